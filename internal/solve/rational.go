package solve

import (
	"math"
	"math/big"
	"math/bits"
	"strconv"
)

// rational is an exact fraction in lowest terms with den > 0. It is held in 64
// bits as long as it fits, which speed ratios nearly always do, and in big
// integers beyond. The zero value is no number at all.
type rational struct {
	num, den int64    // num is never the least int64, so that it can be negated
	big      *big.Rat // nil while num/den holds it
}

// newRational returns num/den, den not 0.
func newRational(num, den int64) rational {
	if num == math.MinInt64 || den == math.MinInt64 {
		return rationalOf(big.NewRat(num, den))
	}
	if den < 0 {
		num, den = -num, -den
	}
	g := divisor(num, den)
	return rational{num: num / g, den: den / g}
}

// rationalOf takes a big rational, which must not be changed any more.
func rationalOf(r *big.Rat) rational {
	if num, den := r.Num(), r.Denom(); num.IsInt64() && den.IsInt64() && num.Int64() != math.MinInt64 {
		return rational{num: num.Int64(), den: den.Int64()}
	}
	return rational{big: r}
}

// rat returns the number as a big rational, not to be changed.
func (a rational) rat() *big.Rat {
	if a.big != nil {
		return a.big
	}
	return big.NewRat(a.num, a.den)
}

// known reports whether it is a number.
func (a rational) known() bool { return a.den != 0 || a.big != nil }

func (a rational) times(b rational) rational {
	if a.big == nil && b.big == nil {
		// Across, so that products of what cancels do not overflow.
		g, h := divisor(a.num, b.den), divisor(b.num, a.den)
		num, fits := fittingProduct(a.num/g, b.num/h)
		den, too := fittingProduct(a.den/h, b.den/g)
		if fits && too {
			return rational{num: num, den: den}
		}
	}
	return rationalOf(new(big.Rat).Mul(a.rat(), b.rat()))
}

// over returns a/b, b not 0.
func (a rational) over(b rational) rational {
	switch {
	case b.big != nil:
		return a.times(rationalOf(new(big.Rat).Inv(b.big)))
	case b.num < 0:
		return a.times(rational{num: -b.den, den: -b.num})
	}
	return a.times(rational{num: b.den, den: b.num})
}

func (a rational) plus(b rational) rational {
	if a.big == nil && b.big == nil {
		x, fits := fittingProduct(a.num, b.den)
		y, fitsY := fittingProduct(b.num, a.den)
		den, fitsDen := fittingProduct(a.den, b.den)
		if sum := x + y; fits && fitsY && fitsDen && (sum >= x) == (y >= 0) && sum != math.MinInt64 {
			return newRational(sum, den)
		}
	}
	return rationalOf(new(big.Rat).Add(a.rat(), b.rat()))
}

func (a rational) negated() rational {
	if a.big != nil {
		return rationalOf(new(big.Rat).Neg(a.big))
	}
	a.num = -a.num
	return a
}

func (a rational) magnitude() rational {
	if a.big != nil {
		return rationalOf(new(big.Rat).Abs(a.big))
	}
	a.num = max(a.num, -a.num)
	return a
}

// cmp returns -1, 0 or +1 where a is less than, equal to or greater than b.
func (a rational) cmp(b rational) int {
	if a.big != nil || b.big != nil {
		return a.rat().Cmp(b.rat())
	}
	if (a.num < 0) != (b.num < 0) {
		if a.num < 0 {
			return -1
		}
		return 1
	}
	high, low := bits.Mul64(uint64(max(a.num, -a.num)), uint64(b.den))
	highB, lowB := bits.Mul64(uint64(max(b.num, -b.num)), uint64(a.den))
	order := 0
	switch {
	case high < highB || high == highB && low < lowB:
		order = -1
	case high != highB || low != lowB:
		order = 1
	}
	if a.num < 0 {
		return -order
	}
	return order
}

// float returns the nearest float64; infinite beyond 1e308.
func (a rational) float() float64 {
	const exact = 1 << 53
	if a.big == nil && max(a.num, -a.num) <= exact && a.den <= exact {
		return float64(a.num) / float64(a.den)
	}
	f, _ := a.rat().Float64()
	return f
}

// String writes "3/4", or "3" for a whole number.
func (a rational) String() string {
	switch {
	case a.big != nil:
		return a.big.RatString()
	case a.den == 1:
		return strconv.FormatInt(a.num, 10)
	}
	return strconv.FormatInt(a.num, 10) + "/" + strconv.FormatInt(a.den, 10)
}

// divisor returns the greatest common divisor, positive unless both are 0.
func divisor(a, b int64) int64 {
	return int64(gcd(uint64(max(a, -a)), uint64(max(b, -b))))
}

// fittingProduct returns a·b and whether it fits, being other than the least int64.
func fittingProduct(a, b int64) (int64, bool) {
	high, low := bits.Mul64(uint64(max(a, -a)), uint64(max(b, -b)))
	if high != 0 || low > math.MaxInt64 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(low), true
	}
	return int64(low), true
}

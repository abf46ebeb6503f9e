package solve

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// TestRational: every operation is what big integers give, to the last bit,
// about the ends of 64 bits too.
func TestRational(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 14))
	draw := func() int64 {
		switch n := rng.Int64() >> rng.IntN(63); rng.IntN(6) {
		case 0:
			return math.MaxInt64 - n>>40
		case 1:
			return math.MinInt64 + n>>40
		case 2:
			return -n
		default:
			return n
		}
	}
	same := func(what string, got rational, want *big.Rat) {
		t.Helper()
		if got.rat().Cmp(want) != 0 || got.String() != want.RatString() {
			t.Fatalf("%s: %v, want %v", what, got, want.RatString())
		}
		fits := want.Num().IsInt64() && want.Denom().IsInt64() && want.Num().Int64() != math.MinInt64
		if fits != (got.big == nil) {
			t.Fatalf("%s: %v in the wrong size", what, got)
		}
		if f, _ := want.Float64(); got.float() != f {
			t.Fatalf("%s: %v is %v, want %v", what, got, got.float(), f)
		}
	}
	for range 20000 {
		n, d, m, e := draw(), draw(), draw(), draw()
		if d == 0 || e == 0 {
			continue
		}
		if rng.IntN(4) == 0 {
			m = n
		}
		a, b := newRational(n, d), newRational(m, e)
		x, y := big.NewRat(n, d), big.NewRat(m, e)
		same("itself", a, x)
		same("times", a.times(b), new(big.Rat).Mul(x, y))
		same("plus", a.plus(b), new(big.Rat).Add(x, y))
		same("negated", a.negated(), new(big.Rat).Neg(x))
		same("magnitude", a.magnitude(), new(big.Rat).Abs(x))
		same("squared and back", a.times(b).times(b), new(big.Rat).Mul(new(big.Rat).Mul(x, y), y))
		if m != 0 {
			same("over", a.over(b), new(big.Rat).Quo(x, y))
			same("over and back", a.over(b).over(a.plus(b).times(a).plus(newRational(1, 1)).magnitude().plus(newRational(1, 3))),
				new(big.Rat).Quo(new(big.Rat).Quo(x, y), plusThird(x, y)))
		}
		if got := a.cmp(b); got != x.Cmp(y) {
			t.Fatalf("%v compared with %v: %d", a, b, got)
		}
		if a.cmp(a) != 0 || a.cmp(a.plus(newRational(1, 1))) != -1 {
			t.Fatalf("%v is not itself, or not less than one more", a)
		}
	}
	if (rational{}).known() || !newRational(0, 1).known() {
		t.Error("nothing is taken for a number, or 0 for nothing")
	}
}

// plusThird returns |(x + y)·x + 1| + 1/3.
func plusThird(x, y *big.Rat) *big.Rat {
	r := new(big.Rat).Add(x, y)
	r.Mul(r, x).Add(r, big.NewRat(1, 1)).Abs(r)
	return r.Add(r, big.NewRat(1, 3))
}

// TestRepeatOfOverflow: the two ways to the repeat agree, and the first gives
// way to the second.
func TestRepeatOfOverflow(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 71))
	for range 2000 {
		var ratios []Ratio
		for range 1 + rng.IntN(6) {
			r := newRational(1+rng.Int64N(1<<uint(1+rng.IntN(20))), 1+rng.Int64N(1<<uint(1+rng.IntN(30))))
			ratios = append(ratios, Ratio{r.num, r.den})
		}
		if a, b := repeatOf(ratios), bigRepeatOf(ratios); a.cmp(b) != 0 || (a.big == nil) != (b.big == nil) {
			t.Fatalf("%v repeat after %v or %v", ratios, a, b)
		}
	}
}

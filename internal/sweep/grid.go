package sweep

import (
	"math"
	"math/big"
	"slices"
	"strconv"
)

// decimalGrid is a range whose values are short decimals: value i is
// (low + i·step)/10^places. Nearly all are, and it writes them without big
// numbers.
type decimalGrid struct {
	low, step int64
	places    int
}

// newDecimalGrid returns the grid of n values; nil where low or step is no short
// decimal, or a value has more than 18 digits.
func newDecimalGrid(low, step *big.Rat, n int) *decimalGrid {
	places := 0
	for _, r := range []*big.Rat{low, step} {
		p, exact := r.FloatPrec()
		if !exact || p > 15 {
			return nil
		}
		places = max(places, p)
	}
	scale := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil))
	const most = 1e18
	scaled := func(r *big.Rat) (int64, bool) {
		whole := new(big.Rat).Mul(r, scale).Num()
		return whole.Int64(), whole.IsInt64()
	}
	g := &decimalGrid{places: places}
	var okLow, okStep bool
	g.low, okLow = scaled(low)
	g.step, okStep = scaled(step)
	if !okLow || !okStep || math.Abs(float64(g.low))+float64(n)*math.Abs(float64(g.step)) > most {
		return nil
	}
	return g
}

// value writes value i with its unit.
func (g *decimalGrid) value(i int, unit string) string {
	v, places := g.low+int64(i)*g.step, g.places
	for ; places > 0 && v%10 == 0; places-- {
		v /= 10
	}
	var room [40]byte
	b := room[:0]
	if v < 0 {
		b, v = append(b, '-'), -v
	}
	digits := len(b)
	b = strconv.AppendInt(b, v, 10)
	for len(b)-digits <= places {
		b = slices.Insert(b, digits, '0')
	}
	if places > 0 {
		b = slices.Insert(b, len(b)-places, '.')
	}
	if unit != "" {
		b = append(append(b, ' '), unit...)
	}
	return string(b)
}

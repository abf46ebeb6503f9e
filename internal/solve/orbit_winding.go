package solve

import (
	"math"
	"math/bits"
)

// compareSpeed orders ratios by size, whatever their sign.
func compareSpeed(p, q Ratio) int {
	a, b := math.Abs(p.Float()), math.Abs(q.Float())
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	default:
		return 0
	}
}

// orbitWindings returns how often each axis turns before all are home: whole
// numbers without a common factor. It reports false when they do not fit.
func orbitWindings(ratios []Ratio) ([]int64, bool) {
	const most = 1 << 62
	common := int64(1)
	for _, r := range ratios {
		step := r.Den / gcd64(common, r.Den)
		if float64(common)*float64(step) > most {
			return nil, false
		}
		common *= step
	}
	n := make([]int64, len(ratios))
	factor := int64(0)
	for i, r := range ratios {
		num := max(r.Num, -r.Num)
		if float64(num)*float64(common/r.Den) > most {
			return nil, false
		}
		n[i] = num * (common / r.Den)
		factor = gcd64(factor, n[i])
	}
	for i := range n {
		n[i] /= factor
	}
	return n, true
}

func gcd64(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// mulMod returns a·b mod m for m > 0 without overflow, in [0, m).
func mulMod(a, b, m int64) int64 {
	a, b = a%m, b%m
	if a < 0 {
		a += m
	}
	if b < 0 {
		b += m
	}
	high, low := bits.Mul64(uint64(a), uint64(b))
	_, rest := bits.Div64(high, low, uint64(m))
	return int64(rest)
}

// inverseMod returns the inverse of b modulo a, for coprime a > 0 and b > 0, by
// Euclid's algorithm.
func inverseMod(b, a int64) int64 {
	if a == 1 {
		return 0
	}
	r0, r1 := a, b%a
	t0, t1 := int64(0), int64(1)
	for r1 > 1 {
		k := r0 / r1
		r0, r1 = r1, r0-k*r1
		t0, t1 = t1, t0-k*t1
	}
	if t1 < 0 {
		t1 += a
	}
	return t1
}

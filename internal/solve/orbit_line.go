package solve

import (
	"math"
	"slices"
)

// orbitLine is a straight strand on the torus: axis i (in the order of
// orbitSearch.axes) stands at base[i] + slope[i]·θ.
type orbitLine struct {
	base, slope []float64
}

// orbitSide says from which side a place at a break is meant.
type orbitSide int

const (
	orbitBefore  orbitSide = -1
	orbitBetween orbitSide = 0 // not at a break
	orbitAfter   orbitSide = 1
)

// place sets the field's angles for a place on the line. At a break they are
// taken orbitNudge before or after it, on the axis that has the break and on no
// other: a slow axis would otherwise carry a fast one far along.
func (s *orbitSearch) place(l *orbitLine, theta float64, stand orbitSide) {
	for i := range s.axes {
		s.x[s.axes[i].index] = orbitWrap(l.base[i] + l.slope[i]*theta)
	}
	if stand == orbitBetween {
		return
	}
	for i := range s.axes {
		a := &s.axes[i]
		x := s.x[a.index]
		met := x
		if a.warped && len(a.breaks) > 0 {
			met = orbitWrap(s.field.Met(s.x, a.index))
		}
		if off, ok := a.breakBy(met); ok {
			s.x[a.index] = orbitWrap(x + off + math.Copysign(orbitNudge, float64(stand)*l.slope[i]))
		}
	}
}

// breakBy returns how far on from an angle in [0, 2π) the break lies that is within
// orbitNudge of it; false where there is none.
func (a *orbitAxis) breakBy(met float64) (float64, bool) {
	n := len(a.breaks)
	if n == 0 {
		return 0, false
	}
	i, _ := slices.BinarySearch(a.breaks, met)
	for _, b := range [2]float64{a.breaks[(i+n-1)%n], a.breaks[i%n]} {
		if off := math.Remainder(b-met, 2*math.Pi); math.Abs(off) < orbitNudge {
			return off, true
		}
	}
	return 0, false
}

// at returns one quantity at a place on the line, with the sign that makes the
// search one for a greatest; -Inf where there is no value.
func (s *orbitSearch) at(l *orbitLine, theta float64, stand orbitSide, side, q int) float64 {
	s.place(l, theta, stand)
	return s.here(side, q)
}

// here is at, where the field's angles have been set.
func (s *orbitSearch) here(side, q int) float64 {
	var v float64
	if s.field.One != nil {
		v = s.field.One(s.x, q)
	} else {
		s.field.All(s.x, s.values)
		v = s.values[q]
	}
	return orbitSigned(v, side)
}

func orbitSigned(v float64, side int) float64 {
	if v != v {
		return math.Inf(-1)
	}
	return orbitSigns[side] * v
}

// cuts appends to list the places in (from, to) where the line crosses a break
// of any axis, in order.
func (s *orbitSearch) cuts(list []float64, l *orbitLine, from, to float64) []float64 {
	start := len(list)
	for i := range s.axes {
		a := &s.axes[i]
		slope := math.Abs(l.slope[i])
		if slope == 0 {
			continue
		}
		turn, reach := 2*math.Pi/slope, 0.0
		if a.warped {
			reach = orbitWarp / slope
		}
		for _, b := range a.breaks {
			first := (b - l.base[i]) / l.slope[i]
			first += turn * math.Ceil((from-reach-first)/turn)
			for theta := first; theta < to+reach; theta += turn {
				at := theta
				if a.warped {
					at = s.warpedCut(l, i, b, theta)
				}
				if at > from && at < to {
					list = append(list, at)
				}
			}
		}
	}
	slices.Sort(list[start:])
	return list
}

// warpedCut returns where the line meets a break of a warped axis, near the
// place where the axis itself stands at it, by the secant method; NaN where that
// does not settle.
func (s *orbitSearch) warpedCut(l *orbitLine, axis int, b, theta float64) float64 {
	short := func(theta float64) float64 {
		s.place(l, theta, orbitBetween)
		return math.Remainder(s.field.Met(s.x, s.axes[axis].index)-b, 2*math.Pi)
	}
	slope := l.slope[axis]
	f := short(theta)
	next := theta - f/slope
	for range 12 {
		g := short(next)
		if math.Abs(g) < 1e-13 || next == theta {
			return next
		}
		rate := (g - f) / (next - theta)
		if !(rate*slope > 0) {
			return math.NaN()
		}
		theta, f = next, g
		next -= g / rate
	}
	if math.Abs(f) < orbitNudge/4 {
		return theta
	}
	return math.NaN()
}

// orbitPeak is a place where a search found a local greatest value.
type orbitPeak struct {
	theta, value float64
	edge         bool // it lies at the end of the stretch searched, not at a break
}

// scan returns the greatest value of a quantity on a stretch of a line, looked
// at every step and refined.
func (s *orbitSearch) scan(l *orbitLine, from, to, step float64, side, q int) orbitPeak {
	var buffer [16]float64
	marks := append(buffer[:0], from)
	marks = append(s.cuts(marks, l, from, to), to)
	best := orbitPeak{theta: from, value: math.Inf(-1)}
	for i := 1; i < len(marks); i++ {
		s.scanPiece(l, marks[i-1], marks[i], step, side, q, &best)
	}
	best.edge = best.theta-from <= orbitNudge || to-best.theta <= orbitNudge
	return best
}

// orbitStop returns the k-th of the n+3 places that a smooth piece is looked at:
// n equal steps, and one place just inside each end, which tells whether the
// quantity rises inward from there.
func orbitStop(from, to float64, k, n int) (float64, orbitSide) {
	const inset = 0.05 // of a step
	h := (to - from) / float64(n)
	switch k {
	case 0:
		return from, orbitAfter
	case 1:
		return from + inset*h, orbitBetween
	case n + 1:
		return to - inset*h, orbitBetween
	case n + 2:
		return to, orbitBefore
	default:
		return from + float64(k-1)*h, orbitBetween
	}
}

// scanPiece scans between two breaks.
func (s *orbitSearch) scanPiece(l *orbitLine, from, to, step float64, side, q int, best *orbitPeak) {
	if to-from < 4*orbitNudge {
		return
	}
	n := max(2, int(math.Ceil((to-from)/step)))
	c := orbitCandidate{side: side, q: q, left: from, mid: from, right: from}
	here, after := math.Inf(-1), s.at(l, from, orbitAfter, side, q)
	for k := range n + 3 {
		before := here
		here, after = after, math.Inf(-1)
		c.left, c.mid = c.mid, c.right
		if k < n+2 {
			var stand orbitSide
			c.right, stand = orbitStop(from, to, k+1, n)
			after = s.at(l, c.right, stand, side, q)
		}
		if c.value = here; here >= before && here >= after && c.promise(before, after) > best.value {
			s.refine(l, c, best)
		}
	}
}

// orbitCandidate is a sample on a line no less than its neighbours. At the end
// of a smooth piece mid is left or right.
type orbitCandidate struct {
	side, q          int
	strand           int64 // which turn of the fastest axis
	left, mid, right float64
	value            float64
	upper            float64
}

func (c *orbitCandidate) atEnd() bool { return c.mid == c.left || c.mid == c.right }

// promise returns more than the value is likely to reach between neighbours of
// the given values: four times what a parabola through the three rises above the
// middle one, and a share of the drop for what is no parabola.
func (c *orbitCandidate) promise(left, right float64) float64 {
	upper := c.value + 1e-15*math.Abs(c.value)
	dropLeft, dropRight := c.value-left, c.value-right
	p, r := c.mid-c.left, c.right-c.mid
	// A neighbour on the other side of a break tells nothing.
	noLeft := math.IsInf(dropLeft, 1) || p < 1e-6*r
	noRight := math.IsInf(dropRight, 1) || r < 1e-6*p
	switch {
	case noLeft && noRight:
		return upper
	case noLeft:
		return upper + dropRight/2
	case noRight:
		return upper + dropLeft/2
	}
	curvature := (dropRight/r + dropLeft/p) / (p + r)
	if curvature > 0 {
		slope := curvature*r - dropRight/r
		upper += slope * slope / curvature
	}
	return upper + (dropLeft+dropRight)/8
}

// refine finds the local greatest value next to a sample and keeps it if it
// beats the best.
func (s *orbitSearch) refine(l *orbitLine, c orbitCandidate, best *orbitPeak) {
	keep := func(theta, value float64) {
		if value > best.value {
			best.theta, best.value = theta, value
		}
	}
	keep(c.mid, c.value)
	if c.left == c.right {
		return
	}
	if c.atEnd() {
		// At the end of a smooth piece: unless the value rises inward at once, the
		// end is the greatest of it.
		inward := c.mid + 1e-4*(c.left+c.right-2*c.mid)
		v := s.at(l, inward, orbitBetween, c.side, c.q)
		if v <= c.value {
			return
		}
		c.mid, c.value = inward, v
	}
	theta, value := brentMax(func(t float64) float64 { return s.at(l, t, orbitBetween, c.side, c.q) }, c.left, c.mid, c.right, c.value, s.fine(c.side, c.q)*(c.right-c.left))
	keep(theta, value)
}

// brentMax finds a local greatest value of f in [a, b], starting from x with
// f(x) = fx, to the tolerance given in x. Golden section with parabolic steps:
// R. P. Brent, Algorithms for Minimization without Derivatives, 1973, ch. 5.
func brentMax(f func(float64) float64, a, x, b, fx, tol float64) (float64, float64) {
	const golden = 0.3819660112501051 // (3 − √5)/2
	w, v := x, x
	fw, fv := fx, fx
	var d, e float64
	for range 60 {
		mid := (a + b) / 2
		tol1 := tol + 1e-15*math.Abs(x)
		if math.Abs(x-mid) <= 2*tol1-(b-a)/2 {
			break
		}
		useGolden := true
		if math.Abs(e) > tol1 {
			r := (x - w) * (fv - fx)
			q := (x - v) * (fw - fx)
			p := (x-v)*q - (x-w)*r
			q = 2 * (q - r)
			if q > 0 {
				p = -p
			} else {
				q = -q
			}
			previous := e
			e = d
			if math.Abs(p) < math.Abs(q*previous/2) && p > q*(a-x) && p < q*(b-x) {
				d = p / q
				if u := x + d; u-a < 2*tol1 || b-u < 2*tol1 {
					d = math.Copysign(tol1, mid-x)
				}
				useGolden = false
			}
		}
		if useGolden {
			if e = b - x; x >= mid {
				e = a - x
			}
			d = golden * e
		}
		u := x + d
		if math.Abs(d) < tol1 {
			u = x + math.Copysign(tol1, d)
		}
		fu := f(u)
		if fu >= fx {
			if u >= x {
				a = x
			} else {
				b = x
			}
			v, w, x = w, x, u
			fv, fw, fx = fw, fx, fu
			continue
		}
		if u < x {
			a = u
		} else {
			b = u
		}
		if fu >= fw || w == x {
			v, w = w, u
			fv, fw = fw, fu
		} else if fu >= fv || v == x || v == w {
			v, fv = u, fu
		}
	}
	return x, fx
}

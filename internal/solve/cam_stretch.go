package solve

import (
	"math"
	"slices"
)

// Quantities with friction change where the follower turns: the friction turns
// round there. They are judged stretch by stretch, each smooth and of one
// direction.

// camStretch is part of a span over which the follower only rises, only falls or
// only rests.
type camStretch struct {
	span      int
	from, to  float64
	direction float64 // +1, -1 or 0
	cells     int     // into which it is cut to be searched, at most camStretchCells
}

// camRest is the velocity, relative to the greatest, below which a follower
// counts as resting.
const camRest = 1e-12

// still is the velocity up to which the follower rests.
func (c *Cam) still() float64 {
	return camRest * max(c.lift.Max.Value-c.lift.Min.Value, math.SmallestNonzeroFloat64)
}

// stretches returns the stretches of a turn in order.
func (c *Cam) stretches() []camStretch {
	out := make([]camStretch, 0, 32)
	still := c.still()
	for i := range c.spans {
		from, end := c.spans[i].from, c.spanEnd(i)
		n := c.intervals(i)
		w := camTurns{c: c, span: i, still: still, cells: min(max(n, 1), camStretchCells)}
		// Just inside the ends, where a law at rest there has begun to move.
		inside := (end - from) * camInside
		before := w.place(from + inside)
		w.start, w.now = from, before.direction
		for k := 1; k <= n; k++ {
			at := from + (end-from)*float64(k)/float64(n)
			if k == n {
				at = end - inside
			}
			next := w.place(at)
			out = w.between(out, &before, &next)
			before = next
		}
		out = append(out, camStretch{i, w.start, end, w.now, w.cells})
	}
	return out
}

// camInside is how far inside a span, as a share of it, its ends are looked at.
const camInside = 1e-6

// camTurns finds where the follower turns within a span.
type camTurns struct {
	c     *Cam
	span  int
	still float64
	cells int
	start float64 // of the stretch under way
	now   float64 // its direction
}

// camTurnPlace is a place in a span, with the velocity and acceleration there.
type camTurnPlace struct {
	phi, v, a float64
	direction float64
}

func (w *camTurns) place(phi float64) camTurnPlace {
	l := w.c.spanLift(w.span, phi)
	p := camTurnPlace{phi: phi, v: l.V, a: l.A}
	if math.Abs(l.V) > w.still {
		p.direction = math.Copysign(1, l.V)
	}
	return p
}

// between appends the stretches that end between two places. Where both go one
// way but the velocity comes to an extreme between them, toward the other way, it
// may have turned twice.
func (w *camTurns) between(out []camStretch, low, high *camTurnPlace) []camStretch {
	d := low.direction
	if d != high.direction {
		turn := w.turn(low, high)
		out = append(out, camStretch{w.span, w.start, turn, w.now, w.cells})
		w.start, w.now = turn, high.direction
		return out
	}
	if (low.a > 0) == (high.a > 0) {
		return out
	}
	if d*low.a < 0 && d != 0 {
		// The tangents meet beyond the extreme, or nearly so: cells are short.
		meet := (high.v - low.v - high.a*(high.phi-low.phi)) / (low.a - high.a)
		if d*(low.v+low.a*meet) > camTangents*(math.Abs(low.v)+math.Abs(high.v)) {
			return out
		}
	} else if d != 0 {
		return out
	}
	most := w.place(camSwitch(low.phi, high.phi, func(phi float64) bool {
		return (w.c.spanLift(w.span, phi).A > 0) == (low.a > 0)
	}))
	if most.direction != d && most.direction != 0 {
		out = w.between(out, low, &most)
		return w.between(out, &most, high)
	}
	return out
}

// camTangents, of the velocities at two places, is how far from rest the meeting
// of their tangents must lie to show that the follower does not turn between.
const camTangents = 0.05

// turn returns where the direction changes between two places: where the
// velocity is zero between a rise and a fall, or beside a rest by halving.
func (w *camTurns) turn(low, high *camTurnPlace) float64 {
	if low.direction*high.direction < 0 {
		return rootBetween(func(phi float64) float64 { return w.c.spanLift(w.span, phi).V }, low.phi, high.phi, low.v, high.v)
	}
	return camSwitch(low.phi, high.phi, func(phi float64) bool { return w.place(phi).direction == low.direction })
}

// rubKinks returns the angles φ at which the follower turns back, or begins or
// ends a rest, and those at which its acceleration jumps.
func (c *Cam) rubKinks() []float64 {
	var out []float64
	stretches := c.stretches()
	before := stretches[len(stretches)-1].direction
	for i := range stretches {
		s := &stretches[i]
		span := &c.spans[s.span]
		if s.direction != before || s.from == span.from && span.step == AccelerationStep {
			out = append(out, camReduce(s.from))
		}
		before = s.direction
	}
	return out
}

// jumpy reports whether the lift or its velocity jumps somewhere.
func (c *Cam) jumpy() bool {
	return slices.ContainsFunc(c.spans, func(s camSpan) bool { return s.step == LiftStep || s.step == VelocityStep })
}

// camGolden narrows a bracket by the golden section; 26 rounds take it to 4e-6
// of its length, where a maximum is flat to 1e-11.
const camGolden = 26

// camStretchCells is how finely a stretch is searched for local maxima first,
// unless it is short, and camGaussCells how finely it is integrated.
const (
	camStretchCells = 12
	camGaussCells   = 6
)

// at returns the start of a cell.
func (s *camStretch) at(k int) float64 {
	return s.from + (s.to-s.from)*float64(k)/float64(s.cells)
}

// camGoldenMost returns where f is greatest between low and high, by the golden
// section.
func camGoldenMost(low, high float64, f func(float64) float64) float64 {
	const g = 0.6180339887498949
	x, y := high-g*(high-low), low+g*(high-low)
	fx, fy := f(x), f(y)
	for range camGolden {
		if fx > fy {
			high, y, fy = y, x, fx
			x = high - g*(high-low)
			fx = f(x)
		} else {
			low, x, fx = x, y, fy
			y = low + g*(high-low)
			fy = f(y)
		}
	}
	return (low + high) / 2
}

// camGoldenPeak returns the greatest value of f between low and high, where it
// has one maximum, and where.
func camGoldenPeak(low, high float64, f func(float64) float64) CamAt {
	best := CamAt{math.Inf(-1), low}
	camGoldenMost(low, high, func(phi float64) float64 {
		v := f(phi)
		if v > best.Value {
			best = CamAt{v, phi}
		}
		return v
	})
	return best
}

// gauss5 are nodes and weights of five-point Gauss–Legendre quadrature on
// [-1, 1] (Abramowitz and Stegun, table 25.4).
var gauss5 = [5][2]float64{
	{-0.9061798459386640, 0.2369268850561891},
	{-0.5384693101056831, 0.4786286704993665},
	{0, 0.5688888888888889},
	{0.5384693101056831, 0.4786286704993665},
	{0.9061798459386640, 0.2369268850561891},
}

// integral returns the integral of f over a stretch, by Gauss–Legendre
// quadrature on cells.
func (s *camStretch) integral(f func(phi float64) float64) float64 {
	sum := 0.0
	cells := min(s.cells, camGaussCells)
	half := (s.to - s.from) / (2 * float64(cells))
	for k := range cells {
		centre := s.from + (2*float64(k)+1)*half
		for _, g := range gauss5 {
			sum += g[1] * f(centre+half*g[0])
		}
	}
	return sum * half
}

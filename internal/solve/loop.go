package solve

// A belt loop by exact tangent geometry.
//
// The belt's pitch line meets circle i on its left with σ_i = +1 or on its
// right with σ_i = -1 as it runs; for a loop that runs counter-clockwise σ is
// +1 inside the loop and -1 on the belt's back, for a clockwise one the other
// way. With d the vector between centres of successive circles,
//
//	ρ = σ_j·R_j − σ_i·R_i,  l = √(d² − ρ²),  heading h = (l·d − ρ·d⟂)/d²
//	wrap θ_i = σ_i·angle(h_in, h_out) mod 2π
//	L = Σ l + Σ R_i·θ_i
//
// where d⟂ is d turned a quarter turn counter-clockwise. The loop closes once
// when Σ σ_i·θ_i is one turn in its own sense. Derived from the tangents; for
// two circles it is the open belt of the handbooks (Budynas & Nisbett,
// Shigley's Mechanical Engineering Design, Eqs. 17-1 and 17-2).

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Circle is one pulley as the belt's pitch line meets it.
type Circle struct {
	At     r2.Vec
	Radius float64 // to the pitch line, mm
	Back   bool    // met by the belt's back, from outside the loop
}

// LoopStatus says whether a loop closes.
type LoopStatus int

const (
	LoopOK LoopStatus = iota
	// LoopTooFew: fewer than two pulleys.
	LoopTooFew
	// LoopOverlap: pulleys First and Second stand in each other; Clearance is
	// negative.
	LoopOverlap
	// LoopUntouched: the belt passes pulley First at Clearance and does not bear
	// on the side stated.
	LoopUntouched
	// LoopCrosses: the belt would cross itself, where First and Second are the
	// pulleys that the crossing stretches leave or lie on.
	LoopCrosses
)

var loopStatuses = [...]string{"ok", "too few", "overlap", "untouched", "crosses"}

// String returns the word reports write for the status.
func (s LoopStatus) String() string { return loopStatuses[s] }

// Loop is a solved belt loop. Its slices run parallel to the circles and are
// reused by the next SolveLoop, so that it allocates nothing once they are long
// enough. Span i runs from circle i to the next one as listed.
type Loop struct {
	Status        LoopStatus
	First, Second int
	Clearance     float64

	Length    float64
	Clockwise bool      // running in the order listed, the belt goes round clockwise
	Wraps     []float64 // rad, in [0, 2π)
	Spans     []float64 // mm
	Headings  []r2.Vec  // unit vectors along the spans, in the order listed

	straights []straight // of the way being looked at for crossings
	slant     float64    // greatest squared sine between a span and its line of centres
	least     float64    // least wrap
}

// straight is a span with its ends and the box about it.
type straight struct {
	leave, meet r2.Vec
	low, high   r2.Vec
}

// wrapTolerance, in rad, is how far beyond nothing a wrap may fall by rounding:
// a pulley that a straight belt just touches has wrap 0, not a whole turn.
const wrapTolerance = 1e-9

// turnTolerance, in rad, separates one turn from none or two.
const turnTolerance = 1e-6

// SolveLoop finds the loop over the circles in the order listed, which may go
// either way round: the one whose signed wraps add to one turn and that crosses
// itself nowhere, of two the shorter. When there is none, Status says why and
// the lengths are those of no loop; Length is then 0.
func SolveLoop(l *Loop, circles []Circle) {
	if !l.close(circles) {
		l.explain(circles)
	}
}

// close is SolveLoop without the reason for a failure.
func (l *Loop) close(circles []Circle) bool {
	l.size(len(circles))
	if len(circles) < 2 {
		l.fail(LoopTooFew, 0, 0, 0)
		return false
	}
	convex := true
	for i := range circles {
		convex = convex && !circles[i].Back
	}
	if convex {
		// Bending one way only and going round once, it is a convex curve, which
		// cannot cross itself.
		ccw := l.run(circles, 1)
		if ccw && !l.maybeBothWays(circles) {
			return true
		}
		length := l.Length
		cw := l.run(circles, -1)
		if ccw && (!cw || length <= l.Length) {
			return l.run(circles, 1)
		}
		return cw
	}
	ccw := l.run(circles, 1) && !l.crosses(circles, 1)
	length := l.Length
	cw := l.run(circles, -1) && !l.crosses(circles, -1)
	if ccw && (!cw || length <= l.Length) {
		return l.run(circles, 1)
	}
	return cw
}

// maybeBothWays reports whether a loop without back-side pulleys, just laid
// counter-clockwise, might also be laid the other way. Laid so, each heading h is
// mirrored in the line of centres, to 2l·d/d² − h. Every pulley at which those
// headings still turn counter-clockwise has a wrap of more than half a turn, and
// the wraps can add to one turn only if they are no more than two.
//
// A heading turns by no more than twice its slant, so a turn by no more than four
// times the greatest; with asin x ≤ πx/2 a loop of ample wraps is told at once.
func (l *Loop) maybeBothWays(circles []Circle) bool {
	n := len(circles)
	if n < 3 || l.least*l.least > 4*math.Pi*math.Pi*l.slant {
		return false
	}
	mirrored := func(i, j int) (x, y float64) {
		dx, dy := circles[j].At.X-circles[i].At.X, circles[j].At.Y-circles[i].At.Y
		k := 2 * l.Spans[i] / (dx*dx + dy*dy)
		return k*dx - l.Headings[i].X, k*dy - l.Headings[i].Y
	}
	inX, inY := mirrored(n-1, 0)
	turning := 0
	for i := range circles {
		j := i + 1
		if j == n {
			j = 0
		}
		outX, outY := mirrored(i, j)
		if inX*outY-inY*outX > wrapTolerance {
			turning++
		}
		inX, inY = outX, outY
	}
	return turning <= 2
}

func (l *Loop) size(n int) {
	if cap(l.Wraps) < n {
		l.Wraps, l.Spans, l.Headings = make([]float64, n), make([]float64, n), make([]r2.Vec, n)
	}
	l.Wraps, l.Spans, l.Headings = l.Wraps[:n], l.Spans[:n], l.Headings[:n]
}

func (l *Loop) fail(status LoopStatus, first, second int, clearance float64) {
	l.Status, l.First, l.Second, l.Clearance = status, first, second, clearance
	l.Length = 0
}

// run lays the belt round the circles, counter-clockwise for way +1, clockwise
// for -1, and reports whether it goes round exactly once.
func (l *Loop) run(circles []Circle, way float64) bool {
	n := len(circles)
	l.Clockwise = way < 0
	spans, headings, wraps := l.Spans[:n], l.Headings[:n], l.Wraps[:n]
	length, slant := 0.0, 0.0
	from := n - 1
	signed := sided(circles[from], way)
	for to := range circles {
		// Span from circle from to circle to; stored by where it starts.
		next := sided(circles[to], way)
		dx, dy := circles[to].At.X-circles[from].At.X, circles[to].At.Y-circles[from].At.Y
		square := dx*dx + dy*dy
		rho := next - signed
		room := square - rho*rho
		if !(room >= 0) || square == 0 {
			l.fail(LoopOverlap, from, to, math.Sqrt(square)-math.Abs(rho))
			return false
		}
		span := math.Sqrt(room)
		spans[from] = span
		per := 1 / square
		headings[from] = r2.Vec{X: (dx*span + dy*rho) * per, Y: (dy*span - dx*rho) * per}
		length += span
		slant = max(slant, rho*rho*per)
		from, signed = to, next
	}
	turn, least := 0.0, math.Inf(1)
	in := headings[n-1]
	for i, c := range circles {
		out := headings[i]
		wrap := math.Atan2(in.X*out.Y-in.Y*out.X, in.X*out.X+in.Y*out.Y)
		sign := way
		if c.Back {
			sign = -way
		}
		wrap *= sign
		if wrap < 0 {
			if wrap += 2 * math.Pi; wrap > 2*math.Pi-wrapTolerance {
				wrap = 0
			}
		}
		wraps[i] = wrap
		least = min(least, wrap)
		length += c.Radius * wrap
		turn += sign * wrap
		in = out
	}
	if math.Abs(way*turn-2*math.Pi) > turnTolerance {
		l.fail(LoopCrosses, 0, 0, 0)
		return false
	}
	l.Status, l.First, l.Second, l.Clearance = LoopOK, 0, 0, 0
	l.Length, l.slant, l.least = length, slant, least
	return true
}

// sided returns the radius, negative where the belt meets the circle on its
// right.
func sided(c Circle, way float64) float64 {
	if c.Back {
		return -way * c.Radius
	}
	return way * c.Radius
}

// Ends returns the points where the belt leaves circle i and meets the next.
func (l *Loop) Ends(circles []Circle, i int) (leave, meet r2.Vec) {
	j := (i + 1) % len(circles)
	way := 1.0
	if l.Clockwise {
		way = -1
	}
	h := l.Headings[i]
	right := r2.Vec{X: h.Y, Y: -h.X}
	leave = r2.Add(circles[i].At, r2.Scale(sided(circles[i], way), right))
	meet = r2.Add(circles[j].At, r2.Scale(sided(circles[j], way), right))
	return leave, meet
}

// Pull returns how fast the loop grows as circle i moves, mm per mm along each
// coordinate: the headings in and out, the wraps adding nothing to first order.
func (l *Loop) Pull(i int) r2.Vec {
	in := l.Headings[(i+len(l.Headings)-1)%len(l.Headings)]
	return r2.Sub(in, l.Headings[i])
}

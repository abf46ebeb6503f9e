package solve

// Where a belt loop crosses itself, and why there is no loop. A loop that bends
// both ways can go round once and still cross itself, so every two of its
// straight and curved stretches are compared.

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// crossTolerance, in mm, is how deep two stretches may run into each other
// before they count as crossing: more than rounding, less than a belt's skin.
const crossTolerance = 1e-9

// crosses reports whether the loop just laid crosses itself, and if so fails it
// with the pulleys concerned.
func (l *Loop) crosses(circles []Circle, way float64) bool {
	n := len(circles)
	l.straighten(circles)
	for i := range n {
		for j := range i {
			if l.spansCross(i, j) || l.arcsCross(circles, i, j, way) {
				l.fail(LoopCrosses, j, i, 0)
				return true
			}
		}
		for j := range n {
			// Span i touches the circles it joins, at its ends only.
			if j != i && j != (i+1)%n && l.spanCrossesArc(circles, i, j, way) {
				l.fail(LoopCrosses, i, j, 0)
				return true
			}
		}
	}
	return false
}

// straighten notes the ends of all spans.
func (l *Loop) straighten(circles []Circle) {
	l.straights = l.straights[:0]
	for i := range circles {
		leave, meet := l.Ends(circles, i)
		l.straights = append(l.straights, straight{
			leave: leave, meet: meet,
			low:  r2.Vec{X: min(leave.X, meet.X), Y: min(leave.Y, meet.Y)},
			high: r2.Vec{X: max(leave.X, meet.X), Y: max(leave.Y, meet.Y)},
		})
	}
}

func (l *Loop) spansCross(i, j int) bool {
	s, t := &l.straights[i], &l.straights[j]
	if s.high.X < t.low.X || t.high.X < s.low.X || s.high.Y < t.low.Y || t.high.Y < s.low.Y {
		return false
	}
	apart := func(a, h, c, d r2.Vec) bool { // c and d on one side of the line from a along h
		sc, sd := r2.Cross(h, r2.Sub(c, a)), r2.Cross(h, r2.Sub(d, a))
		return sc <= crossTolerance && sd <= crossTolerance || sc >= -crossTolerance && sd >= -crossTolerance
	}
	return !apart(s.leave, l.Headings[i], t.leave, t.meet) && !apart(t.leave, l.Headings[j], s.leave, s.meet)
}

// onArc reports whether the direction from the circle's centre lies within the
// belt's wrap on it, by more than a hair.
func (l *Loop) onArc(i int, way float64, back bool, direction r2.Vec) bool {
	in := l.Headings[(i+len(l.Headings)-1)%len(l.Headings)]
	sign := way
	if back {
		sign = -way
	}
	// The belt meets the circle at sign·(in turned a quarter clockwise).
	start := r2.Vec{X: sign * in.Y, Y: -sign * in.X}
	along := sign * math.Atan2(r2.Cross(start, direction), r2.Dot(start, direction))
	if along < 0 {
		along += 2 * math.Pi
	}
	return along > wrapTolerance && along < l.Wraps[i]-wrapTolerance
}

func (l *Loop) spanCrossesArc(circles []Circle, span, i int, way float64) bool {
	s, c := &l.straights[span], &circles[i]
	if c.At.X+c.Radius < s.low.X || c.At.X-c.Radius > s.high.X || c.At.Y+c.Radius < s.low.Y || c.At.Y-c.Radius > s.high.Y {
		return false
	}
	a, h := s.leave, l.Headings[span]
	toCentre := r2.Sub(c.At, a)
	along, off := r2.Dot(toCentre, h), r2.Cross(h, toCentre)
	if math.Abs(off) >= c.Radius-crossTolerance {
		return false
	}
	half := math.Sqrt(c.Radius*c.Radius - off*off)
	for _, t := range [...]float64{along - half, along + half} {
		if t <= crossTolerance || t >= l.Spans[span]-crossTolerance {
			continue
		}
		if l.onArc(i, way, c.Back, r2.Sub(r2.Add(a, r2.Scale(t, h)), c.At)) {
			return true
		}
	}
	return false
}

func (l *Loop) arcsCross(circles []Circle, i, j int, way float64) bool {
	a, b := &circles[i], &circles[j]
	between := r2.Sub(b.At, a.At)
	if reach := a.Radius + b.Radius; r2.Norm2(between) >= reach*reach {
		return false
	}
	d := r2.Norm(between)
	if d >= a.Radius+b.Radius-crossTolerance || d <= math.Abs(a.Radius-b.Radius)+crossTolerance {
		return false
	}
	x := (d*d + a.Radius*a.Radius - b.Radius*b.Radius) / (2 * d)
	y := math.Sqrt(max(0, a.Radius*a.Radius-x*x))
	u := r2.Scale(1/d, between)
	for _, side := range [...]float64{-y, y} {
		p := r2.Add(r2.Scale(x, u), r2.Scale(side, r2.Vec{X: -u.Y, Y: u.X})) // from a's centre
		if l.onArc(i, way, a.Back, p) && l.onArc(j, way, b.Back, r2.Sub(p, between)) {
			return true
		}
	}
	return false
}

// explain finds the reason why there is no loop, the plainest first: pulleys
// that leave the belt no room, a pulley the belt passes by, or a belt across
// itself. A curve that crosses itself nowhere turns exactly once (Hopf's
// Umlaufsatz), so wraps that add to anything else are a crossing too.
func (l *Loop) explain(circles []Circle) {
	if l.Status == LoopTooFew || l.noRoom(circles) || l.passedBy(circles) {
		return
	}
	for _, way := range [...]float64{1, -1} {
		l.run(circles, way)
		if l.crosses(circles, way) {
			return
		}
	}
	l.fail(LoopCrosses, 0, 0, 0)
}

// noRoom looks for the two circles that stand deepest in each other.
func (l *Loop) noRoom(circles []Circle) bool {
	worst := 0.0
	for i := range circles {
		for j := range i {
			reach := circles[i].Radius + circles[j].Radius
			if circles[i].Back == circles[j].Back {
				reach = math.Abs(circles[i].Radius - circles[j].Radius)
			}
			// At the same place there is no direction to run in.
			gap := r2.Norm(r2.Sub(circles[i].At, circles[j].At)) - reach
			if gap < worst || gap == 0 && worst == 0 && circles[i].At == circles[j].At {
				worst = gap
				l.fail(LoopOverlap, j, i, gap)
			}
		}
	}
	return l.Status == LoopOverlap && worst <= 0
}

// passedByMost is the longest run searched for a pulley the belt passes by; the
// search costs the cube of it.
const passedByMost = 64

// holds reports whether a point lies within the loop, the wraps taken as
// straight from end to end.
func (l *Loop) holds(circles []Circle, p r2.Vec) bool {
	within := false
	side := func(a, b r2.Vec) {
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			within = !within
		}
	}
	_, last := l.Ends(circles, len(circles)-1)
	for i := range circles {
		leave, meet := l.Ends(circles, i)
		side(last, leave)
		side(leave, meet)
		last = meet
	}
	return within
}

// passedBy looks for a pulley without which the belt would close and then run
// clear of the side it should bear on, and says how far; of several, the one it
// passes nearest.
func (l *Loop) passedBy(circles []Circle) bool {
	n := len(circles)
	if n < 3 || n > passedByMost {
		return false
	}
	var rest Loop
	others := make([]Circle, 0, n-1)
	passed := -1
	nearest := math.Inf(1)
	for i, c := range circles {
		others = append(append(others[:0], circles[:i]...), circles[i+1:]...)
		rest.size(n - 1)
		for _, way := range [...]float64{1, -1} { // over two circles both are loops
			if !rest.run(others, way) || rest.crosses(others, way) {
				continue
			}
			bridge := (i + n - 2) % (n - 1) // the span that now runs past circle i
			leave, _ := rest.Ends(others, bridge)
			inside := way * r2.Cross(rest.Headings[bridge], r2.Sub(c.At, leave))
			if c.Back {
				inside = -inside // from the belt toward the side that should bear on it
			}
			clear := inside - c.Radius
			if clear > 0 && clear < nearest && rest.holds(others, c.At) != c.Back {
				passed, nearest = i, clear
			}
		}
	}
	if passed < 0 {
		return false
	}
	l.fail(LoopUntouched, passed, passed, nearest)
	return true
}

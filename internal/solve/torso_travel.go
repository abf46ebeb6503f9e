package solve

import (
	"cmp"
	"math"
	"slices"

	"understage/internal/mech"
)

// Two yokes place the torso by their two travels alone, and over the range of
// the travels every quantity of place is smooth and close to flat. So its crests
// on the torus of the shafts' angles follow from few places in the plane of the
// travels: it is greatest where each travel either turns, or stands at a value
// at which the quantity is level. The shafts' angles that belong to a travel are
// found on the rises and falls of its cam.

// travelAxis is one yoke's travel over a turn of its shaft.
type travelAxis struct {
	push    *torsoPush
	levels  []float64 // travels at which quantities are looked at, increasing
	turning []bool    // [level]: the travel turns there
	turns   []travelTurn
	strokes []travelStroke
}

// travelTurn is where the travel turns back: at one angle, or a dwell.
type travelTurn struct {
	from, to float64 // shaft's angle, from ≤ to, not wrapped
	sign     float64 // +1 where the travel is greatest, −1 where least
	level    int     // its travel, in levels
	bend     float64 // second derivative of the travel by the angle
	rough    bool    // a joint of the cam's motion stands there
}

// travelStroke is a rise, a fall or, with start = end, a dwell of the travel.
type travelStroke struct {
	from, to   float64 // shaft's angle, not wrapped
	start, end float64 // travel
}

const (
	// travelLevels is into how many steps at least the range of a travel is
	// divided: quantities of place are nearly parabolas over it.
	travelLevels = 4
	// travelMost is the most levels of an axis; a cam that turns back oftener is
	// searched by its angles.
	travelMost = 24
	// travelSame, of the range, is how close two travels count as one.
	travelSame = 1e-9
	// travelSlack, of what a quantity changes along an axis, is the slope per step
	// that may be the rounding of a level place.
	travelSlack = 0.01
	// travelSteady is the least slope between levels over the greatest of a quantity
	// that grows or falls all along an axis: a parabola's slopes over four steps may
	// come down to a seventh before it turns back at the end.
	travelSteady = 0.3
)

// newTravelAxis divides a yoke's turn. It reports false where the travel jumps,
// never changes or turns back too often.
func newTravelAxis(p *torsoPush) (travelAxis, bool) {
	a := travelAxis{push: p}
	if p.kind != mech.Yoke || p.cam == nil || p.ratio == 0 {
		return a, false
	}
	for _, s := range p.cam.spans {
		if s.step == LiftStep {
			return a, false
		}
	}
	a.addStrokes()
	low, high := math.Inf(1), math.Inf(-1)
	moving := 0
	for _, s := range a.strokes {
		low, high = min(low, s.start, s.end), max(high, s.start, s.end)
		if s.start != s.end {
			moving++
		}
	}
	if moving < 2 || !(high > low) || moving > travelMost {
		return a, false
	}
	a.addTurns()
	a.addLevels(high - low)
	return a, len(a.turns) > 1 && len(a.levels) > travelLevels && len(a.levels) <= travelMost
}

// stand returns the travel of a lift.
func (p *torsoPush) stand(lift float64) float64 { return p.ratio * (lift - p.plumb) }

// addStrokes joins the cam's stretches of one direction.
func (a *travelAxis) addStrokes() {
	p := a.push
	last := math.Inf(-1) // direction of the stroke being joined
	for _, s := range p.cam.stretches() {
		end := p.stand(p.cam.spanLift(s.span, s.to).S)
		if s.direction != last {
			start := p.stand(p.cam.spanLift(s.span, s.from).S)
			a.strokes = append(a.strokes, travelStroke{from: s.from - p.phase, start: start})
			last = s.direction
		}
		stroke := &a.strokes[len(a.strokes)-1]
		stroke.to, stroke.end = s.to-p.phase, end
		if s.direction == 0 {
			stroke.end = stroke.start
		}
	}
}

// rises returns +1 where the travel grows, −1 where it falls, 0 where it dwells.
func (s *travelStroke) rises() float64 { return float64(cmp.Compare(s.end, s.start)) }

// addTurns lists where the travel turns back, from the strokes that move and the
// dwells between them.
func (a *travelAxis) addTurns() {
	n := len(a.strokes)
	for i := range a.strokes {
		s := &a.strokes[i]
		if s.rises() == 0 {
			continue
		}
		t := travelTurn{from: s.to, to: s.to, sign: s.rises()}
		k := 1
		for ; a.strokes[(i+k)%n].rises() == 0; k++ {
			d := &a.strokes[(i+k)%n]
			t.to += d.to - d.from
		}
		if a.strokes[(i+k)%n].rises() == t.sign {
			continue
		}
		l := a.push.cam.Lift(t.from + a.push.phase)
		step := a.push.cam.Step(t.from + a.push.phase)
		t.bend = a.push.ratio * l.A
		t.rough = step == VelocityStep || step == AccelerationStep
		a.levels = append(a.levels, s.end)
		t.level = len(a.levels) - 1
		a.turns = append(a.turns, t)
	}
}

// addLevels sorts the travels at which it turns and puts others between, so that
// no two lie farther apart than a share of the range.
func (a *travelAxis) addLevels(extent float64) {
	turns := a.levels
	sorted := slices.Clone(turns)
	slices.Sort(sorted)
	sorted = slices.CompactFunc(sorted, func(p, q float64) bool { return math.Abs(q-p) < travelSame*extent })
	a.levels = nil
	for i, v := range sorted {
		if i > 0 {
			gap := v - sorted[i-1]
			n := math.Ceil(gap/(extent/travelLevels) - 1e-6)
			for k := 1.0; k < n; k++ {
				a.levels = append(a.levels, sorted[i-1]+gap*k/n)
			}
		}
		a.levels = append(a.levels, v)
	}
	a.turning = make([]bool, len(a.levels))
	for i := range a.turns {
		t := &a.turns[i]
		at := turns[t.level]
		t.level, _ = slices.BinarySearch(a.levels, at-travelSame*extent)
		a.turning[t.level] = true
	}
}

// travelPlace is where the travel stands at a value: at one angle or a dwell.
type travelPlace struct {
	from, to float64 // shaft's angle, not wrapped
	slope    float64 // of the travel by the angle
}

// places appends where the travel stands at a value between its ends.
func (a *travelAxis) places(list []travelPlace, value float64) []travelPlace {
	extent := a.levels[len(a.levels)-1] - a.levels[0]
	for i := range a.strokes {
		s := &a.strokes[i]
		switch {
		case s.start == s.end:
			if math.Abs(s.start-value) <= travelSame*extent {
				list = append(list, travelPlace{from: s.from, to: s.to})
			}
		case (s.start < value) != (s.end < value):
			x := a.reach(s, value)
			list = append(list, travelPlace{x, x, a.push.ratio * a.push.cam.Lift(x+a.push.phase).V})
		}
	}
	return list
}

// reach returns where a stroke comes by a travel.
func (a *travelAxis) reach(s *travelStroke, value float64) float64 {
	return rootBetween(func(x float64) float64 {
		return a.push.stand(a.push.cam.Lift(x+a.push.phase).S) - value
	}, s.from, s.to, s.start-value, s.end-value)
}

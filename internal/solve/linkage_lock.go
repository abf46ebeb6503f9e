package solve

import (
	"math"

	"understage/internal/mech"
)

// LinkageLock is where a chain cannot go on: the driving shaft is held, or the
// chain comes apart.
type LinkageLock struct {
	At   float64 // the driver's angle (Driver.Angle) there, rad in [0, 2π)
	Turn float64 // how far its shaft has turned by then, rad
	// MotorTurns is the motor turns by then; negative when not known.
	MotorTurns float64
	Back       float64 // the driver's angle at which it locks when turned backwards from home, rad in [0, 2π); of a single shaft only
	Over       float64 // how far the shaft can turn between the two, rad; 0 when not known
	Misfit     Misfit  // what would let it through
}

// BranchMerge is a pose in which two ways of assembling the chain meet, so that
// it may go on in either.
type BranchMerge struct {
	Pin int
	At  float64 // the driver's angle there, rad in [0, 2π)
}

const (
	// lockStep, rad, is the spacing at which the cycle is looked at; dips of the
	// margin between are followed down wherever it has a local least.
	lockStep = math.Pi / 720
	// lockMost is the most places looked at along the path of several shafts.
	lockMost = 200000
	// mergeMargin is how near to zero a margin, a squared sine, must come for the
	// branches to count as touching: 1e-10, an angle of 10 microradians.
	mergeMargin = 1e-10
)

// chainWalk looks for locks along a straight line of shaft angles x = rate·τ.
type chainWalk struct {
	a       *linkageAnalysis
	rates   []float64
	x       []float64
	margins [3][]float64
	merges  []chainTouch
}

// chainTouch is a step whose margin comes down to zero and goes up again.
type chainTouch struct {
	step int
	at   float64
}

// findLocks follows the chain from home and notes where it locks and where its
// branches meet.
func (a *linkageAnalysis) findLocks(r *LinkageResult) {
	for _, b := range a.c.blocks {
		r.Otherwise = r.Otherwise || !b.returns
	}
	w := &chainWalk{a: a, rates: a.c.rates, x: make([]float64, len(a.c.rates))}
	if len(a.c.rates) == 1 {
		w.rates = []float64{1}
	}
	for i := range w.margins {
		w.margins[i] = make([]float64, len(a.c.steps))
	}
	span := a.span()
	lock, step := w.follow(span, 1)
	axis := a.c.inputAxis(0)
	for _, touch := range w.merges {
		r.Merges = append(r.Merges, BranchMerge{Pin: a.c.steps[touch.step].pin, At: r.Driver.Angle(touch.at * w.rates[axis])})
	}
	if step == mech.None {
		if len(w.rates) > 1 && span < a.repeat() {
			a.findLockAnywhere(r)
		}
		return
	}
	r.Status = LinkageLocks
	r.Locks = &LinkageLock{At: r.Driver.Angle(lock * w.rates[axis]), Turn: lock * w.rates[axis], Misfit: a.wanted(step)}
	r.Locks.MotorTurns = r.Locks.Turn / (2 * math.Pi * a.c.rates[axis])
	r.Fault.Pins = []int{a.c.steps[step].pin}
	if len(w.rates) > 1 {
		a.gone = true
		return
	}
	back, stepBack := w.follow(span, -1)
	if stepBack == mech.None { // only across a jump of a cam
		back = 0
	}
	r.Locks.Back, r.Locks.Over = r.Driver.Angle(-back), lock+back
	a.from, a.to = -back, lock
}

// repeat returns how far the motor turns, rad, until the shafts of the chain are
// home; a turn of a single shaft by its own.
func (a *linkageAnalysis) repeat() float64 {
	if len(a.c.rates) == 1 {
		return 2 * math.Pi
	}
	ratios := make([]Ratio, 0, len(a.orbit.Axes))
	for _, axis := range a.orbit.Axes {
		ratios = append(ratios, axis.Ratio)
	}
	turns := repeatOf(ratios).float()
	return 2 * math.Pi * turns
}

// span returns how far to follow the path: a turn of a single shaft, the repeat
// of several as far as it may be followed.
func (a *linkageAnalysis) span() float64 {
	if len(a.c.rates) == 1 {
		return 2 * math.Pi
	}
	return math.Min(lockMost*lockStep/slicesMax(a.c.rates), a.repeat())
}

// findLockAnywhere looks for a lock over all the angles that shafts with a long
// repeat pass through: where a step's margin falls below zero.
func (a *linkageAnalysis) findLockAnywhere(r *LinkageResult) {
	n := len(a.c.steps)
	field := Field{N: n, Sides: onlyMin(n), All: func(x, out []float64) {
		fillNaN(out)
		closes := a.c.Solve(x, a.p)
		for i := range out {
			if !closes && i > a.p.Failed {
				break
			}
			out[i] = a.p.Margin[i]
		}
	}}
	for step, e := range a.orbit.Extents(field) {
		if !e.Valid || e.Min.Value >= -touchMargin {
			continue
		}
		r.Status, a.gone = LinkageLocks, true
		r.Fault.Pins = []int{a.c.steps[step].pin}
		lock := &LinkageLock{At: -1, MotorTurns: -1, Misfit: Misfit{Pin: a.c.steps[step].pin, Link: [2]int{mech.None, mech.None}}}
		if e.Min.Turns >= 0 {
			lock.MotorTurns = e.Min.Turns
			lock.Turn = 2 * math.Pi * e.Min.Turns * a.c.rates[a.c.inputAxis(0)]
			lock.At = r.Driver.Angle(lock.Turn)
		}
		r.Locks = lock
		return
	}
}

// solve poses the chain at the place τ along the path.
func (w *chainWalk) solve(at float64) bool {
	for i, r := range w.rates {
		w.x[i] = math.Remainder(at*r, 2*math.Pi)
	}
	return w.a.c.Solve(w.x, w.a.p)
}

// follow goes from home over the span, forwards or backwards, and returns the
// place along the path at which the chain locks and the step that does not
// close, or None.
func (w *chainWalk) follow(span, way float64) (lock float64, step int) {
	fastest := 0.0
	for _, r := range w.rates {
		fastest = max(fastest, r)
	}
	n := int(math.Ceil(span * fastest / lockStep))
	w.merges = w.merges[:0]
	for k := range n + 2 {
		at := way * span * float64(k) / float64(n)
		if !w.solve(at) {
			good := way * span * float64(max(k-1, 0)) / float64(n)
			return w.edge(good, at)
		}
		w.margins[0], w.margins[1], w.margins[2] = w.margins[1], w.margins[2], w.margins[0]
		copy(w.margins[2], w.a.p.Margin)
		if k < 2 {
			continue
		}
		for i, mid := range w.margins[1] {
			if mid > w.margins[0][i] || mid > w.margins[2][i] || mid > 0.02 {
				continue
			}
			h := span / float64(n)
			if lock, step := w.dip(i, at-2*way*h, at, way); step != mech.None {
				return lock, step
			}
		}
	}
	return 0, mech.None
}

// edge narrows down the place between one that can be reached and one that
// cannot.
func (w *chainWalk) edge(good, bad float64) (lock float64, step int) {
	for range 100 {
		mid := (good + bad) / 2
		if mid == good || mid == bad {
			break
		}
		if w.solve(mid) {
			good = mid
		} else {
			bad = mid
		}
	}
	w.solve(bad)
	step = w.a.p.Failed
	w.solve(good)
	return math.Abs(good), step
}

// dip follows a margin down to its least between two places (golden section).
// Where it goes below zero the chain locks before; where it just touches zero,
// branches meet.
func (w *chainWalk) dip(step int, from, to, way float64) (lock float64, failed int) {
	const golden = 0.3819660112501051
	left, right := from, to
	least, at := math.Inf(1), from
	for range 90 {
		span := right - left
		p, q := left+golden*span, right-golden*span
		var value [2]float64
		for i, x := range [...]float64{p, q} {
			if !w.solve(x) {
				lock, failed = w.edge(from, x)
				return lock, failed
			}
			value[i] = w.a.p.Margin[step]
			if value[i] < least {
				least, at = value[i], x
			}
		}
		if value[0] < value[1] {
			right = q
		} else {
			left = p
		}
		if math.Abs(right-left) < 1e-13 {
			break
		}
	}
	if least < mergeMargin && way > 0 {
		for _, m := range w.merges {
			if m.step == step && math.Abs(m.at-at) < 1e-6 {
				return 0, mech.None
			}
		}
		w.merges = append(w.merges, chainTouch{step: step, at: at})
	}
	return 0, mech.None
}

// inputAxis returns the axis that an input turns with.
func (c *Chain) inputAxis(input int) int {
	for i := range c.steps {
		if s := &c.steps[i]; (s.kind == stepCrank || s.kind == stepFollower) && s.pin == c.Inputs[input] {
			return s.axis
		}
	}
	return 0
}

// wanted returns the length that would let a step close all the way round, the
// chain before it being as it is.
func (a *linkageAnalysis) wanted(step int) Misfit {
	s := &a.c.steps[step]
	if s.kind == stepBlock || s.kind == stepLines {
		return Misfit{Pin: s.pin, Link: [2]int{mech.None, mech.None}}
	}
	var worst Misfit
	off := 0.0
	x := make([]float64, len(a.c.rates))
	look := func(tau float64) float64 {
		for i, r := range a.c.rates {
			x[i] = math.Remainder(tau*r/a.c.rates[0], 2*math.Pi)
		}
		if !a.c.run(x, a.p, step) || a.c.take(step, x, a.p) {
			return 0
		}
		f := s.misfit(a.p.Pins)
		miss := math.Abs(f.Needs - f.Has)
		if miss > off {
			off, worst = miss, f
		}
		return miss
	}
	const places = 1440
	best := 0
	for k := range places {
		before := off
		look(float64(k) * 2 * math.Pi / places)
		if off > before {
			best = k
		}
	}
	left, right := float64(best-1)*2*math.Pi/places, float64(best+1)*2*math.Pi/places
	for range 60 { // the greatest lies between (ternary section)
		p, q := left+(right-left)/3, right-(right-left)/3
		if look(p) > look(q) {
			right = q
		} else {
			left = p
		}
	}
	return worst
}

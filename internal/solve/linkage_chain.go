package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// This file evaluates planar chains of pinned links. The unknowns are the pins
// themselves ("natural coordinates": García de Jalón and Bayo, Kinematic and
// Dynamic Simulation of Multibody Systems, 1994, chapter 2): a bar is a fixed
// distance between two pins, a plate places its further pins as a similarity of
// two of them, a slot keeps its pin on the line through two others. A chain is
// compiled once into steps, each of which places one pin or one link from pins
// already placed (linkage_compile.go); what falls apart into dyads is in closed
// form (linkage_dyad.go), anything else is a Newton block
// (linkage_newton.go).
//
// Rates and accelerations are exact derivatives per radian of motor turn.

// touchMargin is how far below zero a dyad's margin, a squared sine, may be for
// rounding before the dyad counts as open: 1e-13 is a transmission angle of
// 0.3 microradians, and puts a locking angle out by about as little.
const touchMargin = 1e-13

// PinMotion is where a pin is and how it moves, in the linkage's view: mm, and
// mm per radian and per radian² of motor turn.
type PinMotion struct {
	Pos, Vel, Acc r2.Vec
}

// Chain is a linkage ready to be solved at any angles of its driving shafts.
// It does not change once compiled and may be shared; each user needs a
// ChainPose.
type Chain struct {
	// Shafts lists the driving shafts: one axis of Solve's argument each.
	Shafts   []int
	Mobility Mobility
	// Inputs lists the driven pins, cranks and followers.
	Inputs []int
	// Unsaid lists pins for which the spec does not say which way they go; those
	// of a dyad go to the left of the line between its outer pins.
	Unsaid []int

	linkage int       // index in the model
	rates   []float64 // turn of each driving shaft per turn of the motor, > 0
	bodies  []chainBody
	steps   []chainStep
	blocks  []*chainBlock
	points  []chainPoint
	home    []PinMotion // pins as they stand at motor turn 0
	slots   []chainSlot
}

// ChainPose holds one pose of a chain and the room to work it out in. Make one
// with Chain.NewPose; its slices belong to it.
type ChainPose struct {
	Pins []PinMotion
	// Margin tells, for each step of the chain, how far it is from coming
	// apart: sin² of the angle between the links it joins, negative where they
	// do not reach. Steps that cannot fail have 1.
	Margin []float64
	// Singular says that two branches touch in this pose, so that rates are
	// indeterminate; those of the pins concerned are 0.
	Singular bool
	// Failed is the step that did not close, or None.
	Failed int

	blocks []chainBlockPose
}

// chainBody is a rigid link: its pins and where they lie in its own frame.
type chainBody struct {
	name   string // of a plate; "" for bars
	pins   []int
	at     []r2.Vec
	placed bool // while compiling: a step has placed the link
	frame  bool // the ground or a shaft, known from the outset
}

// chainPoint is a point on a link, as a similarity of two of its pins.
type chainPoint struct {
	a, b int
	k    r2.Vec
}

// chainSlot is a pin running along the line from pin b toward pin c.
type chainSlot struct {
	pin, b, c int
	length    float64 // b to c
}

// Together reports whether links of the chain must be solved together, because
// they do not fall apart into dyads.
func (c *Chain) Together() bool { return len(c.blocks) > 0 }

// NewPose returns room for poses of the chain, standing at motor turn 0.
func (c *Chain) NewPose() *ChainPose {
	p := &ChainPose{
		Pins:   append([]PinMotion(nil), c.home...),
		Margin: make([]float64, len(c.steps)),
		Failed: mech.None,
	}
	for i := range p.Margin {
		p.Margin[i] = 1
	}
	for _, b := range c.blocks {
		p.blocks = append(p.blocks, b.newPose(len(c.Shafts)))
	}
	return p
}

// Solve poses the chain with each driving shaft turned by the angle x, rad in
// the shaft's own sense since motor turn 0, parallel to c.Shafts. It reports
// whether the chain reaches that pose on its own branch; where it does not,
// p.Failed names the step and pins after it are stale. It does not allocate.
func (c *Chain) Solve(x []float64, p *ChainPose) bool {
	p.Failed = mech.None
	p.Singular = false
	return c.run(x, p, len(c.steps))
}

// run takes the first n steps.
func (c *Chain) run(x []float64, p *ChainPose, n int) bool {
	for i := range c.steps[:n] {
		if !c.take(i, x, p) {
			p.Failed = i
			return false
		}
	}
	return true
}

// take runs one step.
func (c *Chain) take(i int, x []float64, p *ChainPose) bool {
	s := &c.steps[i]
	margin := 1.0
	switch s.kind {
	case stepCrank:
		s.crank(x, p.Pins)
		return true
	case stepPlate:
		s.plate(p.Pins)
		return true
	case stepFollower:
		s.follower(x, p.Pins)
		return true
	case stepCircles:
		margin = s.circles(p.Pins)
	case stepCircleLine:
		margin = s.circleLine(p.Pins)
	case stepLines:
		margin = s.lines(p.Pins)
	case stepLever:
		margin = s.lever(p.Pins)
	case stepBlock:
		margin = c.takeBlock(i, x, p)
	}
	p.Margin[i] = margin
	if margin <= touchMargin {
		if margin < -touchMargin || math.IsNaN(margin) {
			return false
		}
		p.Singular = true
	}
	return true
}

// Point returns the motion of the linkage's point of that index in a pose.
func (c *Chain) Point(p *ChainPose, i int) PinMotion {
	pt := &c.points[i]
	return similar(&p.Pins[pt.a], &p.Pins[pt.b], pt.k)
}

// Link returns the direction of the line from pin a to pin b, rad, with its
// rate and acceleration: those of the link that carries both. From
// w = r×r'/r², al = r×r"/r² for a line of fixed length.
func (p *ChainPose) Link(a, b int) (angle, rate, acceleration float64) {
	m, n := &p.Pins[a], &p.Pins[b]
	r := r2.Sub(n.Pos, m.Pos)
	size := r2.Dot(r, r)
	if size == 0 {
		return 0, 0, 0
	}
	return math.Atan2(r.Y, r.X), r2.Cross(r, r2.Sub(n.Vel, m.Vel)) / size, r2.Cross(r, r2.Sub(n.Acc, m.Acc)) / size
}

// similar places a point at a + k(b − a), k as a complex number.
func similar(a, b *PinMotion, k r2.Vec) PinMotion {
	return PinMotion{
		Pos: r2.Add(a.Pos, turnBy(r2.Sub(b.Pos, a.Pos), k)),
		Vel: r2.Add(a.Vel, turnBy(r2.Sub(b.Vel, a.Vel), k)),
		Acc: r2.Add(a.Acc, turnBy(r2.Sub(b.Acc, a.Acc), k)),
	}
}

// turnBy turns and stretches v by k: the complex product.
func turnBy(v, k r2.Vec) r2.Vec {
	return r2.Vec{X: v.X*k.X - v.Y*k.Y, Y: v.X*k.Y + v.Y*k.X}
}

// complexQuotient returns v/w as complex numbers.
func complexQuotient(v, w r2.Vec) r2.Vec {
	size := r2.Dot(w, w)
	return r2.Vec{X: (v.X*w.X + v.Y*w.Y) / size, Y: (v.Y*w.X - v.X*w.Y) / size}
}

// perpendicular returns v turned a quarter turn counter-clockwise.
func perpendicular(v r2.Vec) r2.Vec { return r2.Vec{X: -v.Y, Y: v.X} }

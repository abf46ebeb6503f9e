package solve

import (
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// LinkageStatus says how far a linkage could be solved.
type LinkageStatus int

const (
	LinkageSolved      LinkageStatus = iota
	LinkageUndriven                  // a shaft that drives it does not turn
	LinkageOver                      // held too often: Fault.Mobility has the count
	LinkageUnder                     // hangs loose: Fault.Mobility has the count
	LinkageMalformed                 // two pins on one spot, a bar without length, a slot not on one link
	LinkageUnassembled               // cannot be put together at motor turn 0
	LinkageLocks                     // assembled, but locks somewhere in the turn
)

// LinkageFault says what keeps a chain from being solved.
type LinkageFault struct {
	Status LinkageStatus
	Pins   []int // the pins concerned
	Misfit Misfit
}

// Misfit is a link that does not reach: the length it has and the length it
// would need, mm. Needs is the nearest length that would do.
type Misfit struct {
	Pin        int    // that cannot be placed
	Link       [2]int // the pins at the link's ends
	Has, Needs float64
	Slot       bool // the distance is of a slot from a pin, not a bar's length
}

// chainBuilder compiles one chain.
type chainBuilder struct {
	m     *mech.Model
	l     *mech.Linkage
	drive *Drive
	cams  []*Cam
	c     *Chain
	pose  *ChainPose
	x     []float64 // home: all zero
	known []bool
	used  []bool // slots
	fault *LinkageFault

	newtonOnly bool
}

// NewChain compiles linkage i of the model. A chain that cannot be compiled is
// nil and the fault says why. Cams are those of CompileCams.
func NewChain(m *mech.Model, i int, d *Drive, cams []*Cam) (*Chain, LinkageFault) {
	return compileChain(m, i, d, cams, false)
}

// compileChain is NewChain; with newtonOnly it takes no dyad in closed form.
func compileChain(m *mech.Model, i int, d *Drive, cams []*Cam, newtonOnly bool) (*Chain, LinkageFault) {
	l := &m.Linkages[i]
	b := &chainBuilder{m: m, l: l, drive: d, cams: cams, newtonOnly: newtonOnly, c: &Chain{linkage: i, Mobility: countMobility(m, l)}}
	b.known = make([]bool, len(l.Pins))
	b.used = make([]bool, len(l.Slots))
	b.pose = &ChainPose{Pins: make([]PinMotion, len(l.Pins)), Failed: mech.None}
	for _, stage := range []func() bool{b.makeBodies, b.makeSlots, b.countUp, b.placeInputs, b.placeRest, b.makePoints} {
		if !stage() {
			return nil, *b.fault
		}
	}
	b.c.home = append([]PinMotion(nil), b.pose.Pins...)
	return b.c, LinkageFault{}
}

func (b *chainBuilder) fail(status LinkageStatus, pins ...int) bool {
	if b.fault == nil {
		b.fault = &LinkageFault{Status: status, Pins: pins, Misfit: Misfit{Pin: mech.None}}
	}
	return false
}

// makeBodies lists the rigid links. The ground and the driving shafts come
// last, as links known from the outset.
func (b *chainBuilder) makeBodies() bool {
	c := b.c
	for _, bar := range b.l.Bars {
		if bar.Length <= 0 || bar.Pins[0] == bar.Pins[1] {
			return b.fail(LinkageMalformed, bar.Pins[:]...)
		}
		c.bodies = append(c.bodies, chainBody{pins: bar.Pins[:], at: []r2.Vec{{}, {X: bar.Length}}})
	}
	for _, plate := range b.l.Plates {
		body := chainBody{name: plate.Name}
		for _, p := range plate.Pins {
			for k, at := range body.at {
				if at == p.At || body.pins[k] == p.Pin {
					return b.fail(LinkageMalformed, body.pins[k], p.Pin)
				}
			}
			body.pins = append(body.pins, p.Pin)
			body.at = append(body.at, p.At)
		}
		c.bodies = append(c.bodies, body)
	}
	ground := chainBody{placed: true, frame: true}
	shafts := map[int]*chainBody{}
	var order []int
	for i, p := range b.l.Pins {
		switch p.Kind {
		case mech.FixedPin:
			ground.pins = append(ground.pins, i)
			ground.at = append(ground.at, p.At)
		case mech.CrankPin:
			if shafts[p.Crank.Shaft] == nil {
				shafts[p.Crank.Shaft] = &chainBody{placed: true, frame: true}
				order = append(order, p.Crank.Shaft)
			}
			sin, cos := math.Sincos(p.Crank.Phase)
			body := shafts[p.Crank.Shaft]
			body.pins = append(body.pins, i)
			body.at = append(body.at, r2.Vec{X: p.Crank.Radius * cos, Y: p.Crank.Radius * sin})
		}
	}
	c.bodies = append(c.bodies, ground)
	for _, s := range order {
		c.bodies = append(c.bodies, *shafts[s])
	}
	return true
}

func (b *chainBuilder) makeSlots() bool {
	for _, s := range b.l.Slots {
		length, ok := b.c.rigid(s.Line[0], s.Line[1])
		if !ok || length == 0 || s.Pin == s.Line[0] || s.Pin == s.Line[1] {
			return b.fail(LinkageMalformed, s.Pin, s.Line[0], s.Line[1])
		}
		b.c.slots = append(b.c.slots, chainSlot{pin: s.Pin, b: s.Line[0], c: s.Line[1], length: length})
	}
	return true
}

// rigid returns the distance between two pins of one link.
func (c *Chain) rigid(p, q int) (float64, bool) {
	for i := range c.bodies {
		body := &c.bodies[i]
		if body.frame {
			continue
		}
		j, k := slices.Index(body.pins, p), slices.Index(body.pins, q)
		if j >= 0 && k >= 0 {
			return r2.Norm(r2.Sub(body.at[j], body.at[k])), true
		}
	}
	return 0, false
}

func (b *chainBuilder) countUp() bool {
	switch excess := b.c.Mobility.Excess(); {
	case excess > 0:
		return b.fail(LinkageUnder)
	case excess < 0:
		return b.fail(LinkageOver)
	case b.c.Mobility.Driven == 0:
		return b.fail(LinkageUndriven)
	}
	return true
}

// axis returns the index of a driving shaft among the chain's, adding it.
func (b *chainBuilder) axis(shaft int) (axis int, rate, sense float64, ok bool) {
	sense = b.drive.Sign(b.m, shaft)
	if sense == 0 {
		return 0, 0, 0, false
	}
	rate = math.Abs(b.drive.Ratios[shaft].Float())
	axis = slices.Index(b.c.Shafts, shaft)
	if axis < 0 {
		axis = len(b.c.Shafts)
		b.c.Shafts = append(b.c.Shafts, shaft)
		b.c.rates = append(b.c.rates, rate)
		b.x = append(b.x, 0)
	}
	return axis, rate, sense, true
}

// placeInputs places every pin that is fixed or driven.
func (b *chainBuilder) placeInputs() bool {
	for i, p := range b.l.Pins {
		step := chainStep{pin: i, a: mech.None, c: mech.None, line: noLine, over: noLine}
		switch p.Kind {
		case mech.FixedPin:
			b.pose.Pins[i].Pos = p.At
			b.known[i] = true
			continue
		case mech.CrankPin:
			axis, rate, sense, ok := b.axis(p.Crank.Shaft)
			if !ok {
				return b.fail(LinkageUndriven, i)
			}
			step.kind, step.axis, step.rate, step.sense = stepCrank, axis, rate, sense
			step.la, step.phase, step.k = p.Crank.Radius, p.Crank.Phase, b.m.Shafts[p.Crank.Shaft].At
		case mech.FollowerPin:
			cam := &b.m.Cams[p.Cam]
			axis, rate, _, ok := b.axis(cam.Shaft)
			if !ok || b.cams[p.Cam].source == camFromNothing {
				return b.fail(LinkageUndriven, i)
			}
			step.kind, step.axis, step.rate, step.cam, step.phase = stepFollower, axis, rate, b.cams[p.Cam], cam.Phase
			step.at, step.along, step.swings = p.At, p.Along, cam.Follower.Swings()
			if step.swings {
				step.k = r2.Add(b.m.Shafts[cam.Shaft].At, cam.Follower.Pivot)
				step.at = r2.Sub(p.At, step.k)
				step.sense = swingSense(cam.Follower)
			}
		default:
			continue
		}
		step.axes = 1 << min(step.axis, 63)
		b.c.Inputs = append(b.c.Inputs, i)
		b.add(step)
		b.known[i] = true
	}
	return true
}

// swingSense is the way a swinging follower turns as its lift grows: away from
// the cam, so clockwise when the roller lies to the left of the line from the
// cam's axis to the pivot.
func swingSense(f *mech.Follower) float64 {
	if f.Left {
		return -1
	}
	return 1
}

// add appends a step and takes it at home. It reports whether it closes there.
func (b *chainBuilder) add(step chainStep) bool {
	for _, pin := range []int{step.a, step.c, step.line.b, step.line.c, step.over.b, step.over.c} {
		step.axes |= b.axesOf(pin)
	}
	b.c.steps = append(b.c.steps, step)
	b.pose.Margin = append(b.pose.Margin, 1)
	return b.c.take(len(b.c.steps)-1, b.x, b.pose)
}

// axesOf returns the set of driving shafts that move a placed pin.
func (b *chainBuilder) axesOf(pin int) uint64 {
	if pin < 0 {
		return 0
	}
	for i := range b.c.steps {
		if b.c.steps[i].places(pin, b.c) {
			return b.c.steps[i].axes
		}
	}
	return 0
}

// places reports whether the step places the pin.
func (s *chainStep) places(pin int, c *Chain) bool {
	switch s.kind {
	case stepLever:
		return slices.Contains(s.pins, pin)
	case stepBlock:
		return slices.Contains(c.blocks[s.block].pins, pin)
	default:
		return s.pin == pin
	}
}

// placeRest places everything else, dyads first, a Newton block where no dyad
// is left, until nothing is.
func (b *chainBuilder) placeRest() bool {
	for {
		if !b.newtonOnly {
			progress, ok := b.dyads()
			if !ok {
				return false
			}
			if progress {
				continue
			}
		}
		if !slices.Contains(b.known, false) {
			break
		}
		if !b.placeBlock() {
			return false
		}
	}
	for i := range b.c.bodies {
		if body := &b.c.bodies[i]; !body.placed {
			return b.fail(LinkageOver, body.pins...)
		}
	}
	for i, s := range b.c.slots {
		if !b.used[i] {
			return b.fail(LinkageOver, s.pin, s.b, s.c)
		}
	}
	return true
}

func (b *chainBuilder) makePoints() bool {
	for _, pt := range b.l.Points {
		length, ok := b.c.rigid(pt.On[0], pt.On[1])
		if !ok || length == 0 {
			return b.fail(LinkageMalformed, pt.On[:]...)
		}
		b.c.points = append(b.c.points, chainPoint{a: pt.On[0], b: pt.On[1], k: r2.Scale(1/length, pt.At)})
	}
	return true
}

package solve

import (
	"slices"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// Forces in a planar chain of links. The pins are the coordinates; every
// constraint of the chain pushes on its pins with a multiplier times its
// gradient (García de Jalón and Bayo, Kinematic and Dynamic Simulation of
// Multibody Systems, 1994, ch. 4):
//
//	bar        λ·(b − a)/|b − a| on b, its negative on a
//	plate      f on each pin beyond two, what the similarity sends back on those
//	slot       ν square to the line on the pin, its negative on the line's pins
//	slide      σ square to the line
//
// Every movable pin is in equilibrium with them and with its loads: a square
// linear system. A bar's weight acts half at each pin, which is exact for a
// uniform bar; its inertia by the consistent mass m/6·[2 1; 1 2], exact too. A
// plate's mass counts in equal parts at its pins, a mass at a point there. What then pushes on a driven
// pin is what its crank or follower must overcome.
//
// A pin rubs with the couple μ·N·r on every link but the one that carries it,
// against that link's turn on it. Couples change the forces, so the system is
// solved again until they settle.

const gravity = 9.80665 // m/s², standard (3rd CGPM, 1901); with kg it gives N

const (
	// loadRounds bounds the iteration on friction; it contracts by about μ·r over
	// the length of a link each round.
	loadRounds = 30
	// loadSettled, relative, is when friction counts as settled: far below what
	// any coefficient is known to.
	loadSettled = 1e-10
	// loadLocks, relative, is how much friction may still change after all rounds
	// or pull instead of press; more means that no force moves the part.
	loadLocks = 1e-3
)

// loadState says whether forces were found.
type loadState int

const (
	loadSolved loadState = iota
	loadLoose            // the part is not held, or stands in a singular pose
	loadLocked           // friction holds it against any force
)

// loadMember is a bar or plate.
type loadMember struct {
	pins     []int
	k        []r2.Vec // of the pins beyond two, as similarity of the first two
	mass     float64
	column   int     // of its first multiplier
	gradient int     // its first push
	end      int     // its first end, the one on its first pin
	couple   float64 // of pin friction on it

	// As placed: square to the way from the first pin to the second and over its
	// square, and the turn per radian of motor turn.
	cross r2.Vec
	rate  float64
}

// chainEnd is a member on one of its pins.
type chainEnd struct {
	pin   int
	share r2.Vec // weight and inertia that the member brings to the pin
	force r2.Vec // on the pin, from the last solve
}

// chainPush is the force g of one constraint on one pin per unit of its
// multiplier.
type chainPush struct {
	column, pin int
	end         int // of the member whose constraint it is; None: a slide or slot
	g           r2.Vec
}

// chainJoint is where a member turns on a pin that it does not carry.
type chainJoint struct {
	member, end, pin int
	on               int     // the member that carries the pin; None: the frame or a crank
	sense            float64 // sign of the member's turn on it, as placed
}

// slotState is a slot as placed.
type slotState struct {
	gradient int     // its first push: on its pin, then on the pins of its line
	share    float64 // of the way between the two pins of the line
	along    r2.Vec  // unit vector of the line
	slip     float64 // of the pin along it
}

// loadPoint is a mass fixed to a member. What pulls at it counts at two of the
// member's pins, by the similarity that places it.
type loadPoint struct {
	member int
	at     [2]int // places of the two pins in the member
	k      r2.Vec
	mass   float64
}

// chainLoad is a linkage ready to have its forces found. It is not for
// concurrent use.
type chainLoad struct {
	linkage *mech.Linkage
	members []loadMember
	ends    []chainEnd
	joints  []chainJoint
	points  []loadPoint
	row     []int // by pin: its first equation, or None where it is held
	carrier []int // by pin: the member that the pin is fast in, or None: the frame or a crank
	slides  []int // pins
	slots   []slotState
	columns int
	slides0 int // column of the first slide; slots follow
	slots0  int
	// gradients are what the constraints push on; the first so many, linked, are
	// those of members.
	gradients []chainPush
	linked    int

	rub    loadRub
	radius float64 // of the pins, 0: not known, no friction
	down   r2.Vec

	ok     bool // it has as many constraints as coordinates
	pins   []PinMotion
	firm   bool      // the equilibrium of the pins as placed has a solution
	matrix []float64 // factored
	pivots []int
	weight []r2.Vec // by pin, of all members
	load   []r2.Vec // by pin, with friction
	rhs    []float64
	// multiplier is by constraint, from the last solve.
	multiplier []float64

	// By pin, where it is driven or held: what pushes on it, what work it asks for
	// without friction, the couple of friction on what holds it, and how that turns
	// per radian of motor turn.
	held       []r2.Vec
	free       []float64
	heldCouple []float64
	heldRate   []float64
	centre     []r2.Vec // that it turns about, if it does
	turns      []bool
}

// newChainLoad prepares a linkage. It reports ok false where the chain has not
// as many constraints as coordinates.
func newChainLoad(m *mech.Model, l *mech.Linkage) *chainLoad {
	n := len(l.Pins)
	c := &chainLoad{
		linkage: l, row: make([]int, n), carrier: make([]int, n),
		weight: make([]r2.Vec, n), load: make([]r2.Vec, n), held: make([]r2.Vec, n), free: make([]float64, n), heldCouple: make([]float64, n),
		heldRate: make([]float64, n), centre: make([]r2.Vec, n), turns: make([]bool, n),
		rub: resolveRub(l.PinRub, m.Breakaway), radius: l.PinDiameter.Or(0) / 2,
	}
	if l.View != geom.Plan { // in plan, weights act along the pins
		c.down = r2.Vec{Y: -1}
	}
	equations := 0
	for i, p := range l.Pins {
		c.row[i], c.carrier[i] = mech.None, mech.None
		if p.Kind == mech.FreePin || p.Kind == mech.SlidePin {
			c.row[i], c.carrier[i] = equations, unclaimed
			equations += 2
		}
		switch p.Kind {
		case mech.SlidePin:
			c.slides = append(c.slides, i)
		case mech.CrankPin:
			c.centre[i], c.turns[i] = m.Shafts[p.Crank.Shaft].At, true
		case mech.FollowerPin:
			cam := &m.Cams[p.Cam]
			if cam.Follower.Swings() {
				c.centre[i], c.turns[i] = r2.Add(m.Shafts[cam.Shaft].At, cam.Follower.Pivot), true
			}
		}
	}
	for _, b := range l.Bars {
		c.addMember(loadMember{pins: b.Pins[:], mass: b.Mass.Or(0)}, 1)
	}
	for i := range l.Plates {
		c.addPlate(&l.Plates[i])
	}
	for i := range l.Points {
		c.addPoint(&l.Points[i])
	}
	c.addJoints()
	c.addLines()
	c.ok = c.columns == equations
	c.matrix = make([]float64, equations*c.columns)
	c.pivots = make([]int, equations)
	c.rhs = make([]float64, equations)
	c.multiplier = make([]float64, c.columns)
	return c
}

// addJoints notes where members turn, once it is known who carries each pin.
func (c *chainLoad) addJoints() {
	for i, m := range c.members {
		for k, pin := range m.pins {
			on := c.carrier[pin]
			if on == unclaimed {
				on = mech.None
			}
			if on != i {
				c.joints = append(c.joints, chainJoint{member: i, end: m.end + k, pin: pin, on: on})
			}
		}
	}
}

// addLines takes in the slides and slots, whose constraints follow the members'.
func (c *chainLoad) addLines() {
	c.linked = len(c.gradients)
	c.slides0 = c.columns
	for i, p := range c.slides {
		c.addPush(c.slides0+i, p, mech.None, perpendicular(c.linkage.Pins[p].Along))
	}
	c.slots0 = c.slides0 + len(c.slides)
	for i, s := range c.linkage.Slots {
		c.slots = append(c.slots, slotState{gradient: len(c.gradients)})
		for _, pin := range [3]int{s.Pin, s.Line[0], s.Line[1]} {
			c.addPush(c.slots0+i, pin, mech.None, r2.Vec{})
		}
	}
	c.columns = c.slots0 + len(c.slots)
}

func (c *chainLoad) addPush(column, pin, end int, g r2.Vec) {
	c.gradients = append(c.gradients, chainPush{column, pin, end, g})
}

// unclaimed marks a movable pin that no link has been found to carry yet.
const unclaimed = -2

func (c *chainLoad) addPlate(p *mech.Plate) {
	m := loadMember{mass: p.Mass.Or(0)}
	for _, pin := range p.Pins {
		m.pins = append(m.pins, pin.Pin)
	}
	for _, pin := range p.Pins[2:] {
		m.k = append(m.k, complexQuotient(r2.Sub(pin.At, p.Pins[0].At), r2.Sub(p.Pins[1].At, p.Pins[0].At)))
	}
	c.addMember(m, 1+2*len(m.k))
}

func (c *chainLoad) addMember(m loadMember, multipliers int) {
	m.column, m.gradient, m.end = c.columns, len(c.gradients), len(c.ends)
	// The first two pins are pushed apart, along the line between them as placed.
	c.addPush(m.column, m.pins[0], m.end, r2.Vec{})
	c.addPush(m.column, m.pins[1], m.end+1, r2.Vec{})
	for j, k := range m.k {
		// p_j = p_0 + k·(p_1 − p_0): its transpose sends a force on p_j back.
		for i, row := range [2]r2.Vec{{X: k.X, Y: -k.Y}, {X: k.Y, Y: k.X}} {
			column, unit := m.column+1+2*j+i, r2.Vec{X: float64(1 - i), Y: float64(i)}
			c.addPush(column, m.pins[j+2], m.end+j+2, unit)
			c.addPush(column, m.pins[0], m.end, r2.Sub(row, unit))
			c.addPush(column, m.pins[1], m.end+1, r2.Scale(-1, row))
		}
	}
	c.columns += multipliers
	for _, pin := range m.pins {
		c.ends = append(c.ends, chainEnd{pin: pin})
		if c.carrier[pin] == unclaimed {
			c.carrier[pin] = len(c.members)
		}
	}
	c.members = append(c.members, m)
}

// addPoint takes in a point that has a mass, on the first member that holds both
// of its pins.
func (c *chainLoad) addPoint(p *mech.LinkagePoint) {
	if p.Mass.Value <= 0 {
		return
	}
	for i := range c.members {
		m := &c.members[i]
		a, b := slices.Index(m.pins, p.On[0]), slices.Index(m.pins, p.On[1])
		if a < 0 || b < 0 {
			continue
		}
		length := norm2(r2.Sub(c.placeOf(i, b), c.placeOf(i, a)))
		c.points = append(c.points, loadPoint{i, [2]int{a, b}, r2.Scale(1/length, p.At), p.Mass.Value})
		return
	}
}

// placeOf returns where the k-th pin of a member lies in its own frame.
func (c *chainLoad) placeOf(member, k int) r2.Vec {
	if member < len(c.linkage.Bars) {
		return r2.Vec{X: float64(k) * c.linkage.Bars[member].Length}
	}
	return c.linkage.Plates[member-len(c.linkage.Bars)].Pins[k].At
}

// heavy reports whether any link has a mass.
func (c *chainLoad) heavy() bool {
	for i := range c.members {
		if c.members[i].mass > 0 {
			return true
		}
	}
	return len(c.points) > 0
}

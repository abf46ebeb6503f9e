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
	pins   []int
	k      []r2.Vec // of the pins beyond two, as similarity of the first two
	mass   float64
	column int      // of its first multiplier
	force  []r2.Vec // on each of its pins, from the last solve
	share  []r2.Vec // weight and inertia it brings to each pin
	couple float64  // of pin friction on it
	rate   float64
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
	points  []loadPoint
	row     []int // by pin: its first equation, or None where it is held
	carrier []int // by pin: the member that the pin is fast in, or None: the frame or a crank
	slides  []int // pins
	columns int
	slides0 int // column of the first slide; slots follow
	slots0  int

	rub    loadRub
	radius float64 // of the pins, 0: not known, no friction
	down   r2.Vec

	matrix []float64
	pivots []int
	load   []r2.Vec // by pin
	rhs    []float64
	ok     bool

	// By pin, where it is driven or held: what pushes on it, the couple of
	// friction on what holds it, and how that turns per radian of motor turn.
	held       []r2.Vec
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
		load: make([]r2.Vec, n), held: make([]r2.Vec, n), heldCouple: make([]float64, n),
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
	for i, on := range c.carrier {
		if on == unclaimed {
			c.carrier[i] = mech.None
		}
	}
	c.slides0 = c.columns
	c.slots0 = c.slides0 + len(c.slides)
	c.columns = c.slots0 + len(l.Slots)
	c.ok = c.columns == equations
	c.matrix = make([]float64, equations*c.columns)
	c.pivots = make([]int, equations)
	c.rhs = make([]float64, equations)
	return c
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
	m.column = c.columns
	m.force, m.share = make([]r2.Vec, len(m.pins)), make([]r2.Vec, len(m.pins))
	c.columns += multipliers
	for _, pin := range m.pins {
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

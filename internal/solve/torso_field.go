package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// torsoField evaluates the quantities of one torso.
type torsoField struct {
	t          *Torso
	spec       *mech.Torso
	weight     torsoWeight
	all        []torsoQuantity
	list       []torsoQuantity // those being searched, up to order
	places     []int           // of list in all
	plane      *travelPlane    // of two yokes
	follow     int64           // Orbit.Follow
	order      int
	faces      [2]float64 // levels of the stage's top and underside
	driven     [2]pushState
	memory     [2][]pushMemory
	pose       TorsoPose
	outOfReach bool // whether any angle was
	failures   int
	helped     bool // whether the last resort of posing ever did
}

// torsoPatience is how often the last resort of posing may fail before it is
// left out: a figure that is out of reach at many angles would take seconds.
const torsoPatience = 300

// posed notes how posing went and reports whether there is a pose.
func (f *torsoField) posed() bool {
	if f.pose.Status == TorsoPosed {
		f.helped = f.helped || f.pose.far
		return true
	}
	f.outOfReach = true
	f.failures++
	f.pose.hasty = !f.helped && f.failures > torsoPatience
	return false
}

func newTorsoField(t *Torso, m *mech.Model, speed float64) *torsoField {
	spec := m.Torso
	f := &torsoField{t: t, spec: spec, weight: newTorsoWeight(m, speed), faces: [2]float64{0, -spec.Stage.Thickness}}
	add := func(kind torsoKind, index, other int) { f.all = append(f.all, torsoQuantity{kind, index, other}) }
	for k := torsoLean; k <= torsoWrench; k++ {
		add(k, 0, 0)
	}
	if !t.yokes { // two yokes act at the same angle always
		add(torsoSquare, 0, 0)
	}
	for i := range spec.Pushes {
		if f.weight.judges(t, i) {
			add(torsoPress, i, 0)
		}
		add(torsoAlong, i, 0)
		add(torsoAcross, i, 0)
	}
	for i := range f.faces {
		if i == 0 && spec.Stage.Opening.At == (r2.Vec{}) && spec.Pivot >= 0 {
			continue // the shaft stands out farther at the lower face
		}
		for k := torsoReach; k <= torsoHalfDepth; k++ {
			add(k, i, 0)
		}
	}
	for i := range spec.Points {
		for k := torsoX; k <= torsoSurge; k++ {
			add(k, i, 0)
		}
		add(torsoClear, i, mech.None)
		for j := range spec.KeepClear {
			add(torsoClear, i, j)
		}
	}
	return f
}

// choose makes the quantities of the orders given those to be evaluated.
func (f *torsoField) choose(from, to int) {
	f.list, f.places, f.order = f.list[:0], f.places[:0], to
	for i, q := range f.all {
		if order := q.kind.order(); order >= from && order <= to {
			f.list, f.places = append(f.list, q), append(f.places, i)
		}
	}
	for i := range f.memory {
		for k := range f.memory[i] {
			f.memory[i][k].known = false // its derivatives may be missing
		}
	}
}

// field presents the quantities to the search.
func (f *torsoField) field() Field {
	sides, smooth := make([]Sides, len(f.list)), make([]bool, len(f.list))
	for i, q := range f.list {
		sides[i] = q.kind.sides()
		smooth[i] = f.smooth(q)
	}
	field := Field{N: len(f.list), All: f.fill, One: f.one, Met: f.met, Sides: sides, Smooth: smooth}
	switch {
	case f.plane == nil:
	case f.order == torsoPlaces:
		f.plane.survey()
		field.Crests = f.plane.crestsOf
	default:
		bounds := newTorsoBounds(f.plane)
		field.Range = func(from, to, low, high []float64) { bounds.ranges(f, from, to, low, high) }
	}
	return field
}

// smooth reports whether a quantity is smooth between the joints of the cams. A
// distance has kinks where the nearest face changes, and a shaft may meet the
// joints of an edge at angles that are not known.
func (f *torsoField) smooth(q torsoQuantity) bool {
	if q.kind == torsoClear {
		return false
	}
	for i := range f.t.pushes {
		if p := &f.t.pushes[i]; p.kind == mech.Edge && len(p.cam.Breaks()) > 0 && !f.t.warps(i) {
			return false
		}
	}
	return true
}

// fill evaluates every quantity of the list.
func (f *torsoField) fill(x, out []float64) {
	f.drive(x)
	f.t.poseDriven(&f.driven, &f.pose, f.order)
	if !f.posed() {
		fillNaN(out)
		return
	}
	f.measure(x, out)
}

// measure evaluates every quantity of the list as posed.
func (f *torsoField) measure(x, out []float64) {
	po := &f.pose
	var r, v r3.Vec
	at := -1
	for i := range f.list {
		q := &f.list[i]
		if q.kind < torsoX {
			out[i] = f.body(x, q)
			continue
		}
		if q.index != at {
			at = q.index
			r = po.Turn(f.t.points[at])
			v = cross3(po.omega, r)
		}
		switch q.kind {
		case torsoX:
			out[i] = r.X
		case torsoY:
			out[i] = r.Y
		case torsoZ:
			out[i] = r.Z + f.t.pivot
		case torsoSpeed:
			out[i] = r3.Dot(v, v)
		case torsoSurge:
			a := r3.Add(cross3(po.alpha, r), cross3(po.omega, v))
			out[i] = r3.Dot(a, a)
		default:
			out[i] = f.clear(r3.Vec{X: r.X, Y: r.Y, Z: r.Z + f.t.pivot}, q)
		}
	}
}

// drive fills driven at the angles x. A grid comes by the same few angles of
// each shaft again and again, so the cams' states are kept.
func (f *torsoField) drive(x []float64) {
	for i := range f.t.pushes {
		at := x[f.t.pushes[i].axis]
		if f.memory[i] == nil {
			f.memory[i] = make([]pushMemory, 1<<pushMemoryBits)
		}
		m := &f.memory[i][pushPlace(at)]
		if !m.known || m.at != at {
			m.known, m.at = true, at
			f.t.driveOne(i, at, &m.state, f.order)
		}
		f.driven[i] = m.state
	}
}

// pushMemory is a push's state at an angle of its shaft.
type pushMemory struct {
	known bool
	at    float64
	state pushState
}

// pushMemoryBits gives the number of angles remembered, as a power of two.
const pushMemoryBits = 6

// pushPlace returns where an angle is remembered: multiplying by 2⁶⁴/φ spreads
// neighbours (D. E. Knuth, The Art of Computer Programming, volume 3, section 6.4).
func pushPlace(at float64) uint64 {
	return math.Float64bits(at) * 0x9E3779B97F4A7C15 >> (64 - pushMemoryBits)
}

func (f *torsoField) one(x []float64, i int) float64 {
	q := f.list[i]
	f.t.PoseAt(x, &f.pose, q.kind.order())
	if !f.posed() {
		return math.NaN()
	}
	return f.single(x, i)
}

// single evaluates one quantity of the list as posed.
func (f *torsoField) single(x []float64, i int) float64 {
	q := f.list[i]
	if q.kind < torsoX {
		return f.body(x, &q)
	}
	at := f.t.points[q.index]
	switch q.kind {
	case torsoX:
		return f.t.Point(&f.pose, at).X
	case torsoY:
		return f.t.Point(&f.pose, at).Y
	case torsoZ:
		return f.t.Point(&f.pose, at).Z
	case torsoSpeed:
		v := f.pose.Velocity(at)
		return r3.Dot(v, v)
	case torsoSurge:
		a := f.pose.Acceleration(at)
		return r3.Dot(a, a)
	default:
		return f.clear(f.t.Point(&f.pose, at), &q)
	}
}

// torsoAbout stands for the tangent of a quarter of a turn.
const torsoAbout = 1e17

// body returns a quantity that belongs to no point.
func (f *torsoField) body(x []float64, q *torsoQuantity) float64 {
	po := &f.pose
	switch q.kind {
	case torsoLean:
		return po.p
	case torsoNod:
		return po.q
	case torsoIncline:
		return po.w
	case torsoTwist:
		if po.cos == -1 { // half a turn, in (−π, π]
			return torsoAbout
		}
		return po.sin / (1 + po.cos)
	case torsoSlot:
		return po.slot
	case torsoTurning:
		return r3.Dot(po.omega, po.omega)
	case torsoWrench:
		return r3.Dot(po.alpha, po.alpha)
	case torsoSquare:
		return f.t.squareness(x, po)
	case torsoPress:
		return f.t.press(x, po, &f.weight, q.index)
	case torsoAlong, torsoAcross:
		p := &f.t.pushes[q.index]
		ux, uy := p.direction()
		if q.kind == torsoAcross {
			ux, uy = -uy, ux
		}
		return -p.depth * (po.p*ux + po.q*uy)
	default:
		s := f.t.section(po, f.faces[q.index], f.spec.ShaftDiameter/2)
		switch q.kind {
		case torsoReach:
			return s.reach(f.spec.Stage.Opening.At)
		case torsoHalfWidth:
			return s.halfWidth(f.spec.Stage.Opening.At)
		default:
			return s.halfDepth(f.spec.Stage.Opening.At)
		}
	}
}

// clear returns the gap between a point's ball and an obstacle.
func (f *torsoField) clear(at r3.Vec, q *torsoQuantity) float64 {
	radius := f.spec.Points[q.index].Radius
	if q.other == mech.None {
		return at.Z - radius
	}
	return ObstacleDistance(at, &f.spec.KeepClear[q.other]) - radius
}

// direction returns the way a push acts: a yoke's own, and from the cam's or
// crank's axis to the torso's at rest for the others.
func (p *torsoPush) direction() (x, y float64) {
	if p.kind == mech.Yoke {
		return p.alongX, p.alongY
	}
	sin, cos := math.Sincos(p.heading)
	return cos, sin
}

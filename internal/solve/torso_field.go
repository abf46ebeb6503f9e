package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r3"
)

// torsoKind is a quantity of the torso whose extremes are sought. Where an angle
// or a length has a simpler monotone measure, that is searched and the extremes
// converted: squares for speeds, tangents for angles.
type torsoKind int

const (
	torsoLean      torsoKind = iota // tan
	torsoNod                        // tan
	torsoIncline                    // 1/cos
	torsoTwist                      // tan of half
	torsoSlot                       // mm
	torsoTurning                    // angular speed squared
	torsoWrench                     // angular acceleration squared
	torsoSquare                     // sine of the angle between the pushes
	torsoPress                      // of push index, N
	torsoAlong                      // of push index: the shaft along and across its direction, mm
	torsoAcross                     //
	torsoReach                      // of stage face index, mm
	torsoHalfWidth                  //
	torsoHalfDepth                  //
	torsoX                          // of point index, mm
	torsoY                          //
	torsoZ                          //
	torsoSpeed                      // squared
	torsoSurge                      // acceleration squared
	torsoClear                      // of point index to obstacle other, or the stage for None, mm
)

// order is the order of derivatives that a quantity needs.
func (k torsoKind) order() int {
	switch k {
	case torsoTurning, torsoSpeed:
		return 1
	case torsoWrench, torsoSurge, torsoPress:
		return 2
	default:
		return 0
	}
}

func (k torsoKind) sides() Sides {
	switch k {
	case torsoIncline, torsoTurning, torsoWrench, torsoSpeed, torsoSurge, torsoReach, torsoHalfWidth, torsoHalfDepth:
		return OnlyMax
	case torsoClear, torsoSquare, torsoPress:
		return OnlyMin
	default:
		return BothSides
	}
}

// finish turns what was searched into what is reported.
func (k torsoKind) finish(v float64) float64 {
	switch k {
	case torsoLean, torsoNod:
		return math.Atan(v)
	case torsoIncline:
		return math.Acos(min(1, 1/v))
	case torsoTwist:
		return 2 * math.Atan(v)
	case torsoSquare:
		return math.Asin(min(1, v))
	case torsoTurning, torsoWrench, torsoSpeed, torsoSurge:
		return math.Sqrt(v)
	default:
		return v
	}
}

// torsoQuantity is a quantity, of a push, stage face or point, and of an
// obstacle.
type torsoQuantity struct {
	kind         torsoKind
	index, other int
}

// torsoField evaluates the quantities of one torso.
type torsoField struct {
	t          *Torso
	spec       *mech.Torso
	weight     torsoWeight
	list       []torsoQuantity
	faces      [2]float64 // levels of the stage's top and underside
	pose       TorsoPose
	outOfReach bool // whether any angle was
}

func newTorsoField(t *Torso, m *mech.Model, speed float64) *torsoField {
	spec := m.Torso
	f := &torsoField{t: t, spec: spec, weight: newTorsoWeight(m, speed), faces: [2]float64{0, -spec.Stage.Thickness}}
	add := func(kind torsoKind, index, other int) { f.list = append(f.list, torsoQuantity{kind, index, other}) }
	for k := torsoLean; k <= torsoSquare; k++ {
		add(k, 0, 0)
	}
	for i := range spec.Pushes {
		if f.weight.judges(t, i) {
			add(torsoPress, i, 0)
		}
		add(torsoAlong, i, 0)
		add(torsoAcross, i, 0)
	}
	for i := range f.faces {
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

// field presents the quantities to the search.
func (f *torsoField) field() Field {
	sides := make([]Sides, len(f.list))
	for i, q := range f.list {
		sides[i] = q.kind.sides()
	}
	return Field{N: len(f.list), All: f.all, One: f.one, Sides: sides}
}

func (f *torsoField) all(x, out []float64) {
	f.t.PoseAt(x, &f.pose, 2)
	if f.pose.Status != TorsoPosed {
		f.outOfReach = true
		fillNaN(out)
		return
	}
	var r, v, a r3.Vec
	at := -1
	for i, q := range f.list {
		if q.kind >= torsoX && q.index != at {
			at = q.index
			r, v = f.t.PointRate(&f.pose, f.t.points[at])
			a = f.pose.Acceleration(f.t.points[at])
		}
		switch q.kind {
		case torsoX:
			out[i] = r.X
		case torsoY:
			out[i] = r.Y
		case torsoZ:
			out[i] = r.Z
		case torsoSpeed:
			out[i] = r3.Dot(v, v)
		case torsoSurge:
			out[i] = r3.Dot(a, a)
		case torsoClear:
			out[i] = f.clear(r, q)
		default:
			out[i] = f.body(x, q)
		}
	}
}

func (f *torsoField) one(x []float64, i int) float64 {
	q := f.list[i]
	f.t.PoseAt(x, &f.pose, q.kind.order())
	if f.pose.Status != TorsoPosed {
		f.outOfReach = true
		return math.NaN()
	}
	if q.kind < torsoX {
		return f.body(x, q)
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
		return f.clear(f.t.Point(&f.pose, at), q)
	}
}

// body returns a quantity that belongs to no point.
func (f *torsoField) body(x []float64, q torsoQuantity) float64 {
	po := &f.pose
	switch q.kind {
	case torsoLean:
		return po.p
	case torsoNod:
		return po.q
	case torsoIncline:
		return po.w
	case torsoTwist:
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
func (f *torsoField) clear(at r3.Vec, q torsoQuantity) float64 {
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

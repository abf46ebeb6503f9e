package solve

import (
	"cmp"
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r3"
)

// edgeRimPoints is how many places of a rim are carried over when a cam that was
// drawn for a follower of its own pushes the torso's shaft too: 2 points a
// degree leave a cubic spline within 1e-6 mm of a smooth rim.
const edgeRimPoints = 720

// edgeCam returns the cam as the torso's shaft rides on it, and the heading that
// its mark is parallel to at φ = 0. A cam without follower, or with a roller like
// the shaft on a line through its axis, is that already. The rim of any other was
// drawn for its own follower; the shaft rides on it as on a measured rim.
func edgeCam(c *Cam, radius, heading float64) (*Cam, float64) {
	f := c.cam.Follower
	if f == nil || c.Status != CamSolved {
		return c, heading
	}
	if f.Path == mech.Straight && f.Kind == mech.Roller && f.Radius == radius && f.Offset == 0 {
		return c, f.Heading
	}
	rim := make([]mech.Point, 0, edgeRimPoints)
	for i := range edgeRimPoints {
		at := c.Contact(2 * math.Pi * float64(i) / edgeRimPoints).Rim
		angle := orbitWrap(-c.sense * math.Atan2(at.Y, at.X))
		rim = append(rim, mech.Point{Angle: angle, Value: math.Hypot(at.X, at.Y)})
	}
	slices.SortFunc(rim, func(p, q mech.Point) int { return cmp.Compare(p.Angle, q.Angle) })
	rim = slices.CompactFunc(rim, func(p, q mech.Point) bool { return math.Abs(p.Angle-q.Angle) < 1e-9 })
	spec := *c.cam
	spec.Follower = nil
	spec.Shape = mech.Shape{Kind: mech.ShapeMeasured, Rim: rim}
	return CompileCam(&spec, radius, c.sense), f.Heading
}

// torsoWeight is what presses the torso onto the cams it rides on.
type torsoWeight struct {
	mass    float64 // kg; 0 when not given
	centre  r3.Vec  // body
	inertia r3.Vec  // kg·mm² about the pivot, body axes
	speed   float64 // of the motor, rad/s
	springs [2]edgeSpring
}

// edgeSpring presses the shaft onto a rim, or the rim onto the shaft.
type edgeSpring struct {
	given             bool
	preload, per, own float64 // N on the base circle, N/mm of lift, steady N
}

// freeFall, N/kg, is the standard acceleration of free fall (ISO 80000-3).
const freeFall = 9.80665

func newTorsoWeight(m *mech.Model, speed float64) torsoWeight {
	t := m.Torso
	w := torsoWeight{speed: speed, centre: t.CentreOfMass}
	if t.Mass.OK && t.CentreGiven {
		w.mass = t.Mass.Value
		x, y, z := t.CentreOfMass.X, t.CentreOfMass.Y, t.CentreOfMass.Z
		w.inertia = r3.Scale(w.mass, r3.Vec{X: y*y + z*z, Y: x*x + z*z, Z: x*x + y*y})
		if t.Inertia != nil {
			w.inertia = *t.Inertia
		}
	}
	for i := range t.Pushes {
		if cam := t.Pushes[i].Cam; t.Pushes[i].Kind == mech.Edge && cam != mech.None {
			l := &m.Cams[cam].Load
			w.springs[i] = edgeSpring{l.SpringRate.OK || l.SpringPreload.OK || l.Force.OK, l.SpringPreload.Or(0), l.SpringRate.Or(0), l.Force.Or(0)}
		}
	}
	return w
}

// judges reports whether anything is known that presses on a push.
func (w *torsoWeight) judges(t *Torso, push int) bool {
	return t.pushes[push].kind == mech.Edge && (w.mass > 0 || w.springs[push].given)
}

// moment returns that of weight and inertia about the pivot, N·mm: r × mg −
// I·α − ω × I·ω, the last two turned into the body's axes and back.
func (w *torsoWeight) moment(po *TorsoPose) r3.Vec {
	if w.mass == 0 {
		return r3.Vec{}
	}
	c := po.Turn(w.centre)
	g := w.mass * freeFall
	m := r3.Vec{X: -c.Y * g, Y: c.X * g}
	x, y, z := po.Turn(r3.Vec{X: 1}), po.Turn(r3.Vec{Y: 1}), po.Turn(r3.Vec{Z: 1})
	in := func(v r3.Vec) r3.Vec {
		return r3.Add(r3.Add(r3.Scale(w.inertia.X*r3.Dot(v, x), x), r3.Scale(w.inertia.Y*r3.Dot(v, y), y)), r3.Scale(w.inertia.Z*r3.Dot(v, z), z))
	}
	rate := r3.Add(in(po.alpha), r3.Cross(po.omega, in(po.omega)))
	return r3.Sub(m, r3.Scale(w.speed*w.speed/1000, rate)) // kg·mm²/s² to N·mm
}

// press returns the force with which an edge push's rim and the shaft press on
// each other, N, without friction; x are the angles that the pose was solved at,
// with accelerations. By virtual work with p and q free and the twist following
// the guide, Σ λi·∂fi/∂(p, q) + M·∂(turn)/∂(p, q) = 0; λ times the slope n of f by
// the shaft's place is the force in the plan.
func (t *Torso) press(x []float64, po *TorsoPose, w *torsoWeight, push int) float64 {
	var s [2]pushState
	t.drive(x, &s, 0)
	a, b := t.pushes[0].row(&s[0], po.p, po.q), t.pushes[1].row(&s[1], po.p, po.q)
	m := w.moment(po)
	byP, byQ := *po, *po
	byP.p1, byP.q1, byQ.p1, byQ.q1 = 1, 0, 0, 1
	for _, way := range [2]*TorsoPose{&byP, &byQ} {
		t.twist(way, 1)
		way.turnRates(1)
	}
	forceP, forceQ := r3.Dot(m, byP.omega), r3.Dot(m, byQ.omega)
	det := a.fp*b.fq - a.fq*b.fp
	row, lambda := a, (b.fp*forceQ-b.fq*forceP)/det
	if push == 1 {
		row, lambda = b, (a.fq*forceP-a.fp*forceQ)/det
	}
	p := &t.pushes[push]
	// Without friction the force is square to the shaft, so it has an upright part
	// besides the λ·n in the plan.
	nx, ny := -row.fp/p.depth, -row.fq/p.depth
	up := po.p*nx + po.q*ny
	force := lambda * math.Sqrt(nx*nx+ny*ny+up*up)
	spring := &w.springs[push]
	lift := math.Hypot(-p.depth*po.p-p.atX, -p.depth*po.q-p.atY) - p.cam.PrimeRadius()
	return force + spring.preload + spring.per*lift + spring.own
}

// squareness returns the sine of the angle between the ways in which the two
// pushes hold the shaft.
func (t *Torso) squareness(x []float64, po *TorsoPose) float64 {
	var s [2]pushState
	t.drive(x, &s, 0)
	a, b := t.pushes[0].row(&s[0], po.p, po.q), t.pushes[1].row(&s[1], po.p, po.q)
	return math.Abs(a.fp*b.fq-a.fq*b.fp) / (math.Hypot(a.fp, a.fq) * math.Hypot(b.fp, b.fq))
}

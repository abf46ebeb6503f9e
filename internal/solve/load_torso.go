package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Forces on the torso. It hangs on its ball pivot and is held by three
// contacts; each pushes with a multiplier λ times a force f whose direction is
// the common normal of the surfaces that touch. With a the shaft's axis, u the
// direction of a push, n the normal of the slot's walls, X the place where the
// pin meets the arm's mid-plane, all from the pivot:
//
//	yoke    f = u − (a·u/a_z)·z     at c = −(depth/a_z)·a   (square to the shaft and to the plate's edge)
//	rod     f = e                   at the ball, e along the rod
//	guide   f = n − (n_z/a_z)·a     at X                    (square to the upright pin)
//
// Moments about the pivot balance: Σ λ·(r × f) + weight + inertia + friction = 0,
// three equations for three multipliers. Every contact rubs with μ·N against
// its own sliding, the pivot with the couple μ·N·r against the turn; friction
// changes the forces, so this is solved again until they settle. The moment
// arms r × f are the gradients of the pose's three constraints, so without
// friction this is virtual work.

// torsoMotion is the torso in one pose: its own axes in the stage frame, and
// its rotation's rates per radian, and radian², of motor turn.
type torsoMotion struct {
	x, y, z      r3.Vec
	omega, alpha r3.Vec
}

// turned returns a body vector in the stage frame.
func (b *torsoMotion) turned(v r3.Vec) r3.Vec {
	return r3.Add(r3.Add(r3.Scale(v.X, b.x), r3.Scale(v.Y, b.y)), r3.Scale(v.Z, b.z))
}

// body returns a stage vector in the body's own axes.
func (b *torsoMotion) body(v r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(v, b.x), Y: r3.Dot(v, b.y), Z: r3.Dot(v, b.z)}
}

// torsoContact is one of the three contacts in a pose.
type torsoContact struct {
	at    r3.Vec // from the pivot
	force r3.Vec // per unit of the multiplier
	speed r3.Vec // of the surface that pushes, mm per radian of motor turn
	skin  float64
	rub   loadRub
	size  float64 // of force
	arm   r3.Vec  // moment of force
	sides [2]contactSide

	// As pressed on a side, its multiplier's sign; per unit of the multiplier's
	// size. touch is where the surfaces touch, from the pivot.
	side         float64
	touch        r3.Vec
	moment, push r3.Vec // of force and friction
	dragPer      r3.Vec
	lostPer      float64
	free, lambda float64 // multipliers without friction and with it
	drag         r3.Vec  // friction on the torso
	lost         float64
}

// contactSide is what friction does at a contact that presses on one side, per
// unit of the multiplier's size and of the coefficient.
type contactSide struct {
	known        bool // of this pose
	touch        r3.Vec
	drag, moment r3.Vec
	lost         float64
}

// torsoLoad is the torso ready to have its forces found; not for concurrent use.
type torsoLoad struct {
	torso    *mech.Torso
	mass     float64
	centre   r3.Vec
	inertia  r3.Vec // principal, about the pivot
	pivotRub loadRub
	slotWall r3.Vec // normal of the slot's walls, body axes
	contacts [3]torsoContact
	rows     torsoRows // without friction
	held     bool      // rows could be found
	couple   r3.Vec    // friction at the pivot
	pivot    r3.Vec    // force of the torso on its pivot
	lost     float64
}

// newTorsoLoad prepares the torso. Its mass must be given.
func newTorsoLoad(m *mech.Model) *torsoLoad {
	t := m.Torso
	l := &torsoLoad{torso: t, mass: t.Mass.Value, centre: t.CentreOfMass, pivotRub: resolveRub(t.PivotRub, m.Breakaway)}
	if t.Inertia != nil {
		l.inertia = *t.Inertia
	} else { // all of it at the centre of mass
		c := r3.Vec{X: l.centre.X * l.centre.X, Y: l.centre.Y * l.centre.Y, Z: l.centre.Z * l.centre.Z}
		l.inertia = r3.Scale(l.mass, r3.Vec{X: c.Y + c.Z, Y: c.X + c.Z, Z: c.X + c.Y})
	}
	for i, p := range t.Pushes {
		l.contacts[i].rub = resolveRub(p.Rub, m.Breakaway)
		l.contacts[i].skin = t.ShaftDiameter / 2
		if p.Kind == mech.Rod {
			l.contacts[i].skin = 0
		}
	}
	l.contacts[2].rub = resolveRub(t.Guide.Rub, m.Breakaway)
	slot := r3.Unit(r3.Vec{X: t.Guide.Pin.X, Y: t.Guide.Pin.Y})
	l.slotWall = r3.Vec{X: -slot.Y, Y: slot.X}
	return l
}

// placeYoke sets a yoke's contact; travel is that of the plate per radian of
// motor turn.
func (l *torsoLoad) placeYoke(i int, b *torsoMotion, travel float64) {
	p := &l.torso.Pushes[i]
	u := r3.Vec{X: p.Along.X, Y: p.Along.Y}
	c := &l.contacts[i]
	c.at = r3.Scale(-p.Depth/b.z.Z, b.z)
	c.force = r3.Vec{X: u.X, Y: u.Y, Z: -r3.Dot(b.z, u) / b.z.Z}
	c.speed = r3.Scale(travel, u)
}

// placeEdge sets the contact of a shaft that rides on a cam's rim: normal is the
// slope of the pose's constraint where the axis stands, at the cam's axis, rate
// its signed turn per turn of the motor. The rim carries its own motion past
// the shaft.
func (l *torsoLoad) placeEdge(i int, b *torsoMotion, normal, at r2.Vec, rate float64) {
	c := &l.contacts[i]
	c.at = r3.Scale(-l.torso.Pushes[i].Depth/b.z.Z, b.z)
	c.force = r3.Vec{X: normal.X, Y: normal.Y, Z: -(b.z.X*normal.X + b.z.Y*normal.Y) / b.z.Z}
	out := r2.Unit(normal)
	c.speed = r3.Vec{X: -rate * (c.at.Y - c.skin*out.Y - at.Y), Y: rate * (c.at.X - c.skin*out.X - at.X)}
}

// placeRod sets a rod's contact; pin is the crank pin from the pivot, and speed
// its velocity per radian of motor turn. A ball end does not slide.
func (l *torsoLoad) placeRod(i int, b *torsoMotion, pin, speed r3.Vec) {
	c := &l.contacts[i]
	c.at = r3.Scale(-l.torso.Pushes[i].Depth, b.z)
	c.force = r3.Unit(r3.Sub(c.at, pin))
	c.speed = speed
	c.rub = loadRub{}
}

// placeGuide sets the guide's contact.
func (l *torsoLoad) placeGuide(b *torsoMotion) {
	g := &l.torso.Guide
	c := &l.contacts[2]
	n := b.turned(l.slotWall)
	c.at = r3.Vec{X: g.Pin.X, Y: g.Pin.Y}
	c.at.Z = -(g.Depth + b.z.X*c.at.X + b.z.Y*c.at.Y) / b.z.Z
	c.force = r3.Sub(n, r3.Scale(n.Z/b.z.Z, b.z))
}

// outside returns the moment of weight and inertia about the pivot, N·mm, and
// their force, N.
func (l *torsoLoad) outside(b *torsoMotion, speed float64) (moment, force r3.Vec) {
	centre := b.turned(l.centre)
	force = r3.Vec{Z: -l.mass * gravity}
	moment = r3.Cross(centre, force)
	if speed == 0 {
		return moment, force
	}
	w2 := speed * speed / 1000 // kg·mm/s² to N
	omega := b.body(b.omega)
	alpha := b.body(b.alpha)
	spin := r3.Vec{X: l.inertia.X * omega.X, Y: l.inertia.Y * omega.Y, Z: l.inertia.Z * omega.Z}
	rate := r3.Vec{X: l.inertia.X * alpha.X, Y: l.inertia.Y * alpha.Y, Z: l.inertia.Z * alpha.Z}
	moment = r3.Sub(moment, r3.Scale(w2, b.turned(r3.Add(rate, r3.Cross(omega, spin)))))
	swing := r3.Add(r3.Cross(b.alpha, centre), r3.Cross(b.omega, r3.Cross(b.omega, centre)))
	return moment, r3.Sub(force, r3.Scale(l.mass*w2, swing))
}

// settle works out what the contacts, once placed, do at any speed.
func (l *torsoLoad) settle() {
	for i := range l.contacts {
		c := &l.contacts[i]
		c.size = norm3(c.force)
		c.arm = cross3(c.at, c.force)
		c.sides[0].known, c.sides[1].known = false, false
	}
	l.held = l.rows.find(l.contacts[0].arm, l.contacts[1].arm, l.contacts[2].arm)
}

// pushForce returns the force that a push must bring along its own motion, N:
// that of the surface on the shaft, friction and all.
func (l *torsoLoad) pushForce(i int) float64 {
	c := &l.contacts[i]
	return l.along(i, r3.Add(r3.Scale(c.lambda, c.force), c.drag))
}

// freePush is pushForce without friction.
func (l *torsoLoad) freePush(i int) float64 {
	c := &l.contacts[i]
	return c.free * l.along(i, c.force)
}

func (l *torsoLoad) along(i int, force r3.Vec) float64 {
	u := l.torso.Pushes[i].Along
	return u.X*force.X + u.Y*force.Y
}

// work returns the work a push must bring per radian of motor turn.
func (l *torsoLoad) work(i int) float64 {
	c := &l.contacts[i]
	return r3.Dot(c.speed, r3.Add(r3.Scale(c.lambda, c.force), c.drag))
}

// freeWork is work without friction.
func (l *torsoLoad) freeWork(i int) float64 {
	c := &l.contacts[i]
	return c.free * r3.Dot(c.speed, c.force)
}

func norm3(v r3.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z) }

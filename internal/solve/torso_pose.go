package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// TorsoPose is the torso at one instant. Rates are by the motor's angle, per
// rad. A zero TorsoPose is ready to be filled; filling it again starts the
// search from the pose it holds, which saves time and changes nothing else.
type TorsoPose struct {
	// Status is TorsoPosed, or why the rest means nothing.
	Status TorsoStatus
	// p = tan(lean), q = tan(nod), w = 1/cos(tilt), and derivatives.
	p, q, w    float64
	p1, q1, w1 float64
	p2, q2, w2 float64
	// Twist about the shaft and derivatives, distance along the slot.
	cos, sin       float64
	twist1, twist2 float64
	slot           float64
	// The axis, and the body's angular velocity and acceleration in the stage's
	// frame.
	axis, axis1, axis2 r3.Vec
	omega, alpha       r3.Vec
	// hasty leaves out the last resort of the search, far says that it was needed.
	hasty, far bool
}

// Posed reports whether the pose holds.
func (po *TorsoPose) Posed() bool {
	return po.Status == TorsoPosed || po.Status == TorsoPushNotDriven
}

// Pose fills the pose after the given motor turns, with velocities and
// accelerations.
func (t *Torso) Pose(motorTurns float64, pose *TorsoPose) {
	var x [2]float64
	for i := range t.orbit.Axes {
		x[i] = t.orbit.Axes[i].angle(motorTurns)
	}
	t.PoseAt(x[:len(t.orbit.Axes)], pose, 2)
}

// PoseAt fills the pose at angles x of the orbit's axes, with derivatives up to
// order: 0 the pose alone, 1 velocities, 2 accelerations too.
func (t *Torso) PoseAt(x []float64, pose *TorsoPose, order int) {
	var s [2]pushState
	if t.Status != TorsoPosed && t.Status != TorsoPushNotDriven {
		pose.Status = t.Status
		return
	}
	t.drive(x, &s, order)
	t.poseDriven(&s, pose, order)
}

// poseDriven fills the pose from the pushes as driven.
func (t *Torso) poseDriven(s *[2]pushState, pose *TorsoPose, order int) {
	if t.yokes {
		m := &t.level
		pose.p, pose.q = m[0]*s[0].e+m[1]*s[1].e, m[2]*s[0].e+m[3]*s[1].e
		if order > 0 {
			pose.p1, pose.q1 = m[0]*s[0].e1+m[1]*s[1].e1, m[2]*s[0].e1+m[3]*s[1].e1
			pose.p2, pose.q2 = m[0]*s[0].e2+m[1]*s[1].e2, m[2]*s[0].e2+m[3]*s[1].e2
		}
	} else {
		r, far, ok := t.tilt(s, pose.p, pose.q, pose.hasty)
		if !ok {
			*pose = TorsoPose{Status: TorsoOutOfReach, hasty: pose.hasty}
			return
		}
		pose.far = far
		pose.p, pose.q = r.p, r.q
		if order > 0 {
			t.tiltRates(s, pose)
		}
	}
	pose.Status = TorsoPosed
	t.twist(pose, order)
	if order > 0 {
		pose.turnRates(order)
	}
}

// tiltRates solves the pushes' derivatives.
func (t *Torso) tiltRates(s *[2]pushState, pose *TorsoPose) {
	a, a1, _ := t.pushes[0].rates(&s[0], pose.p, pose.q, 0, 0)
	b, b1, _ := t.pushes[1].rates(&s[1], pose.p, pose.q, 0, 0)
	inverse := 1 / (a.fp*b.fq - a.fq*b.fp)
	pose.p1, pose.q1 = (b.fq*a1-a.fq*b1)*inverse, (a.fp*b1-b.fp*a1)*inverse
	_, _, a2 := t.pushes[0].rates(&s[0], pose.p, pose.q, pose.p1, pose.q1)
	_, _, b2 := t.pushes[1].rates(&s[1], pose.p, pose.q, pose.p1, pose.q1)
	pose.p2, pose.q2 = (b.fq*a2-a.fq*b2)*inverse, (a.fp*b2-b.fp*a2)*inverse
}

// twist closes the guide. With χ = Xq − Yp and k = D + m/(w + 1) the twist is the
// angle of (X² + Y² + mk, χk), whose length is |(X, Y)|·|g|.
func (t *Torso) twist(pose *TorsoPose, order int) {
	p, q := pose.p, pose.q
	w := math.Sqrt(1 + p*p + q*q)
	pose.w = w
	az := 1 / w
	pose.axis = r3.Vec{X: p * az, Y: q * az, Z: az}
	m, chi := p*t.pinX+q*t.pinY, t.pinX*q-t.pinY*p
	inverse := 1 / (w + 1)
	k := t.arm + m*inverse
	c, s := t.pin2+m*k, chi*k
	square := c*c + s*s
	long := math.Sqrt(square)
	pose.cos, pose.sin = c/long, s/long
	pose.slot = long / math.Sqrt(t.pin2)
	if order == 0 {
		return
	}
	w1 := (p*pose.p1 + q*pose.q1) * az
	m1, chi1 := pose.p1*t.pinX+pose.q1*t.pinY, t.pinX*pose.q1-t.pinY*pose.p1
	n := m * inverse
	n1 := (m1 - n*w1) * inverse
	c1, s1 := m1*k+m*n1, chi1*k+chi*n1
	cross := c*s1 - s*c1
	pose.w1 = w1
	pose.twist1 = cross / square
	if order == 1 {
		return
	}
	w2 := (pose.p1*pose.p1 + pose.q1*pose.q1 + p*pose.p2 + q*pose.q2 - w1*w1) * az
	m2, chi2 := pose.p2*t.pinX+pose.q2*t.pinY, t.pinX*pose.q2-t.pinY*pose.p2
	n2 := (m2 - 2*n1*w1 - n*w2) * inverse
	c2, s2 := m2*k+2*m1*n1+m*n2, chi2*k+2*chi1*n1+chi*n2
	pose.w2 = w2
	pose.twist2 = (c*s2 - s*c2 - 2*pose.twist1*(c*c1+s*s1)) / square
}

// turnRates fills the angular velocity and acceleration. The smallest turn that
// tilts the axis to a has angular velocity (ẑ + a)×ȧ/(1 + a_z); twisting adds
// ψ̇·a.
func (po *TorsoPose) turnRates(order int) {
	a, az := po.axis, po.axis.Z
	w1 := po.w1 * az
	d := r3.Vec{X: (po.p1 - po.p*w1) * az, Y: (po.q1 - po.q*w1) * az, Z: -w1 * az}
	share := 1 / (1 + az)
	b := r3.Vec{X: a.X * share, Y: a.Y * share, Z: 1}
	swing := cross3(b, d)
	po.axis1 = d
	po.omega = r3.Vec{X: swing.X + po.twist1*a.X, Y: swing.Y + po.twist1*a.Y, Z: swing.Z + po.twist1*az}
	if order == 1 {
		return
	}
	w2 := po.w2 * az
	d2 := r3.Vec{
		X: (po.p2-po.p*w2)*az - 2*w1*d.X,
		Y: (po.q2-po.q*w2)*az - 2*w1*d.Y,
		Z: -w2*az - 2*w1*d.Z,
	}
	po.axis2 = d2
	turn := cross3(b, d2)
	k := d.Z * share
	po.alpha = r3.Vec{
		X: turn.X - k*swing.X + po.twist2*a.X + po.twist1*d.X,
		Y: turn.Y - k*swing.Y + po.twist2*a.Y + po.twist1*d.Y,
		Z: turn.Z - k*swing.Z + po.twist2*az + po.twist1*d.Z,
	}
}

func cross3(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: a.Y*b.Z - a.Z*b.Y, Y: a.Z*b.X - a.X*b.Z, Z: a.X*b.Y - a.Y*b.X}
}

// Lean returns atan(R13/R33), rad: positive when the hat goes toward +x.
func (po *TorsoPose) Lean() float64 { return math.Atan(po.p) }

// Nod returns atan(R23/R33), rad: positive when the hat goes upstage.
func (po *TorsoPose) Nod() float64 { return math.Atan(po.q) }

// Tilt returns the angle of the shaft from upright, rad.
func (po *TorsoPose) Tilt() float64 { return math.Atan(math.Hypot(po.p, po.q)) }

// Twist returns the turn about the shaft's own axis, by the swing-twist split,
// in (−π, π], counter-clockwise seen from above.
func (po *TorsoPose) Twist() float64 {
	if twist := math.Atan2(po.sin, po.cos); twist != -math.Pi {
		return twist
	}
	return math.Pi
}

// Slot returns the distance of the guide pin's centre from the shaft's axis
// along the slot, mm.
func (po *TorsoPose) Slot() float64 { return po.slot }

// Axis returns the unit vector up the shaft.
func (po *TorsoPose) Axis() r3.Vec { return po.axis }

// AngularVelocity returns the body's angular velocity in the stage's frame, rad
// per rad of the motor.
func (po *TorsoPose) AngularVelocity() r3.Vec { return po.omega }

// AngularAcceleration returns the body's angular acceleration in the stage's
// frame, rad per rad² of the motor.
func (po *TorsoPose) AngularAcceleration() r3.Vec { return po.alpha }

// Turn carries a body vector into the stage's frame.
func (po *TorsoPose) Turn(at r3.Vec) r3.Vec {
	a := &po.axis
	x, y := po.cos*at.X-po.sin*at.Y, po.sin*at.X+po.cos*at.Y
	across := a.X*x + a.Y*y
	lift := at.Z - across/(1+a.Z)
	return r3.Vec{X: x + a.X*lift, Y: y + a.Y*lift, Z: a.Z*at.Z - across}
}

// Point returns where a body place stands, in the stage's frame.
func (t *Torso) Point(po *TorsoPose, at r3.Vec) r3.Vec {
	r := po.Turn(at)
	r.Z += t.pivot
	return r
}

// Velocity returns the velocity of a body place, mm per rad of the motor. The
// pose must have order 1 or more.
func (po *TorsoPose) Velocity(at r3.Vec) r3.Vec { return cross3(po.omega, po.Turn(at)) }

// PointRate returns where a body place stands, in the stage's frame, and its
// velocity, mm per rad of the motor. The pose must have order 1 or more.
func (t *Torso) PointRate(po *TorsoPose, at r3.Vec) (point, velocity r3.Vec) {
	r := po.Turn(at)
	velocity = cross3(po.omega, r)
	r.Z += t.pivot
	return r, velocity
}

// Acceleration returns the acceleration of a body place, mm per rad² of the
// motor, at a steady motor. The pose must have order 2.
func (po *TorsoPose) Acceleration(at r3.Vec) r3.Vec {
	r := po.Turn(at)
	return r3.Add(cross3(po.alpha, r), cross3(po.omega, cross3(po.omega, r)))
}

// Contact returns where the shaft's axis crosses the level of a push, in the
// stage's frame.
func (t *Torso) Contact(po *TorsoPose, push int) r3.Vec {
	d := t.pushes[push].depth
	return r3.Vec{X: -d * po.p, Y: -d * po.q, Z: t.pivot - d}
}

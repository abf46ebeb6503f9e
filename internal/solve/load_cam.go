package solve

import "math"

// camWork is what a cam's follower asks of its shaft at one angle, N·mm in the
// shaft's own sense.
type camWork struct {
	torque   float64
	own      float64 // of that, for spring, weight, inertia and steady force
	friction float64 // lost at the contact and in the guide
	along    float64 // N that presses the follower down, before friction
	way      float64 // of the follower, mm per radian of the cam
}

// work finds it at a lift with the cam turning at a speed, rad/s, and a push from
// outside against the lift: N, or N·mm for a swinging follower. Where nothing
// holds the follower down, or its guide locks, only the work done counts: what is
// wrong there, the cam's own findings say.
func (c *Cam) work(l Lift, speed, push float64, rest bool) camWork {
	p := &c.load
	direction := 0.0
	if math.Abs(l.V) > p.still {
		direction = math.Copysign(1, l.V)
	}
	f := p.under(l, speed, direction, push/p.lever, rest)
	w := camWork{torque: f.Along * p.lever * l.V, own: (f.Along*p.lever - push) * l.V, along: f.Along, way: p.lever * l.V}
	if f.Normal > 0 && !math.IsInf(f.Normal, 0) {
		w.friction = f.Torque - w.torque
		w.torque = f.Torque
	}
	return w
}

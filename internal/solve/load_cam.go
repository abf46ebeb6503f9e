package solve

import "understage/internal/mech"

// camWork is what a cam's follower asks of its shaft at one angle, N·mm in the
// shaft's own sense.
type camWork struct {
	torque   float64
	own      float64 // of that, for spring, weight, inertia and steady force
	friction float64 // lost at the contact and in the guide
}

// work finds it with the cam turning at a speed, rad/s, and a push from outside
// against the lift: N, or N·mm for a swinging follower. Virtual work:
// torque = load · s'.
func (c *Cam) work(load *mech.CamLoad, phi, speed, push float64, rest bool) camWork {
	l := c.Lift(phi)
	own := load.SpringPreload.Value + load.SpringRate.Value*l.S + load.Force.Value
	own += load.Mass.Value * l.A * speed * speed / 1000 // kg·mm/s² to N
	if load.Vertical {
		own += load.Mass.Value * gravity
	}
	return camWork{torque: (own + push) * l.V, own: own * l.V}
}

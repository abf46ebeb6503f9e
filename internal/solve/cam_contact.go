package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// Contact is where a follower touches its cam. Points are in the template's
// frame: origin on the cam's axis, the timing mark along +X, as the view is
// seen. The rim of a face cam is unrolled instead: x along the track in the
// order met, y the height over the rim at zero lift.
type Contact struct {
	Rim   r2.Vec
	Pitch r2.Vec // roller's centre; the rim point itself for knife and flat
	// Pressure is the signed pressure angle in rad, positive on an offset-free
	// rise: the angle between the follower's motion and the common normal.
	Pressure float64
	// Radius of curvature of the rim in mm: positive where it bulges, negative
	// where it is hollow, ±Inf where it is straight. It is negative too where the
	// stated motion undercuts. At a joint it is the one just after; where the
	// velocity jumps (Cam.Step) the rim has no radius there.
	Radius float64
}

// Contact returns where the follower touches the cam at φ, any real. It is the
// zero Contact unless the cam's Status is CamSolved.
func (c *Cam) Contact(phi float64) Contact {
	return c.ContactAt(phi, c.Lift(phi))
}

// ContactAt is Contact for a lift already known.
func (c *Cam) ContactAt(phi float64, l Lift) Contact {
	if c.Status != CamSolved {
		return Contact{}
	}
	switch {
	case c.path == mech.Axial:
		return c.axialContact(phi, l)
	case c.kind == mech.Flat:
		return c.flatContact(phi, l)
	case c.path == mech.Swing:
		return c.swingContact(phi, l)
	}
	return c.straightContact(phi, l)
}

// template turns a canonical point (x, y) back by the angle of the mark and
// mirrors it for a clockwise cam.
func (c *Cam) template(x, y, sin, cos float64) r2.Vec {
	return r2.Vec{X: x*cos + y*sin, Y: c.sense * (y*cos - x*sin)}
}

func (c *Cam) straightContact(phi float64, l Lift) Contact {
	d, e := c.d+l.S, c.offset
	q := l.V - e
	ll := d*d + q*q
	root := math.Sqrt(ll)
	// The mark stands at φ past +Y.
	cos, sin := math.Sincos(phi)
	cos = -cos
	k := Contact{
		Pitch:    c.template(e, d, sin, cos),
		Pressure: math.Atan(q / d),
		Radius:   ll*root/(d*d+q*(2*l.V-e)-d*l.A) - c.roller,
	}
	k.Rim = k.Pitch
	if c.roller > 0 {
		x, y := c.straightRim(&l)
		k.Rim = c.template(x, y, sin, cos)
	}
	return k
}

// straightRim returns the rim under a straight roller or knife, in the canonical
// picture.
func (c *Cam) straightRim(l *Lift) (x, y float64) {
	d, q := c.d+l.S, l.V-c.offset
	f := c.roller / math.Sqrt(d*d+q*q)
	return c.offset + f*q, d - f*d
}

// rimAt returns the rim point of Contact alone, for φ with its sine and cosine.
func (c *Cam) rimAt(phi, sin, cos float64) r2.Vec {
	l := c.Lift(phi)
	switch {
	case c.path != mech.Straight:
		return c.ContactAt(phi, l).Rim
	case c.kind == mech.Flat:
		return c.template(l.V, c.base+l.S, cos, -sin)
	}
	x, y := c.straightRim(&l)
	return c.template(x, y, cos, -sin) // the mark stands at φ past +Y
}

func (c *Cam) swingContact(phi float64, l Lift) Contact {
	a, arm := c.pivot, c.arm
	sinPsi, cosPsi := math.Sincos(c.rest + l.S)
	w := c.side * l.V
	u := 1 + w
	ll := a*a + arm*arm*u*u - 2*a*arm*u*cosPsi
	root := math.Sqrt(ll)
	sin, cos := math.Sincos(c.mark + phi)
	x, y := a-arm*cosPsi, c.side*arm*sinPsi
	k := Contact{
		Pitch:    c.template(x, y, sin, cos),
		Pressure: c.side * math.Atan((arm*u-a*cosPsi)/(a*sinPsi)),
		Radius:   ll*root/(a*a+arm*arm*u*u*u-a*arm*(u*(2+w)*cosPsi+l.A*sinPsi)) - c.roller,
	}
	k.Rim = k.Pitch
	if c.roller > 0 {
		f := c.roller / root
		k.Rim = c.template(x-f*(a-arm*u*cosPsi), y-f*c.side*arm*u*sinPsi, sin, cos)
	}
	return k
}

func (c *Cam) flatContact(phi float64, l Lift) Contact {
	var k Contact
	if c.path == mech.Straight {
		cos, sin := math.Sincos(phi)
		k.Rim = c.template(l.V, c.base+l.S, sin, -cos)
		k.Radius = c.base + l.S + l.A
	} else {
		a, f := c.pivot, c.face
		sinPsi, cosPsi := math.Sincos(c.rest + l.S)
		w := c.side * l.V
		u := 1 + w
		q := a * cosPsi / u
		sin, cos := math.Sincos(c.mark + phi)
		k.Rim = c.template(a-q*cosPsi+f*sinPsi, c.side*(q*sinPsi+f*cosPsi), sin, cos)
		k.Radius = f + a*sinPsi*(1+2*w)/(u*u) + a*cosPsi*l.A/(u*u*u)
		k.Pressure = c.side * math.Atan(f/q)
	}
	k.Pitch = k.Rim
	return k
}

func (c *Cam) axialContact(phi float64, l Lift) Contact {
	slope := l.V / c.track
	ll := 1 + slope*slope
	root := math.Sqrt(ll)
	k := Contact{
		Pitch:    r2.Vec{X: c.track * camReduce(phi), Y: l.S + c.roller},
		Pressure: math.Atan(slope),
		Radius:   -c.track*c.track*ll*root/l.A - c.roller,
	}
	f := c.roller / root
	k.Rim = r2.Vec{X: k.Pitch.X + f*slope, Y: k.Pitch.Y - f}
	return k
}

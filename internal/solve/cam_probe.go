package solve

import (
	"math"

	"understage/internal/mech"
)

// camQuantity is one of the quantities whose extremes over a turn are sought.
type camQuantity int

const (
	camLift camQuantity = iota
	camVelocity
	camAcceleration
	camSlant    // tangent of the pressure angle
	camBend     // curvature of the pitch curve; for a flat face the rim's radius
	camReach    // place of the contact along a flat face
	camRiseNeed // s'/tan(limit) − s: the d that holds the limit on the rise, less −e/tan(limit)
	camFallNeed // −s'/tan(limit) − s: the same on the return
	camQuantities
)

// camProbe is every quantity and its slope by φ at one angle.
type camProbe struct {
	phi          float64
	value, slope [camQuantities]float64
}

// probe evaluates the quantities up to and with last on span i.
//
// Straight roller (L² = D² + q², D = d + s, q = s' − e): slant q/D, curvature
// (D² + q(2s' − e) − D·s”)/L³. Swinging roller (w = σs', u = 1 + w, L² = a² +
// l²u² − 2alu·cos ψ): slant σ(lu − a·cos ψ)/(a·sin ψ), curvature (a² + l²u³ −
// alu(2 + w)cos ψ − al·s”·sin ψ)/L³. Derived by kinematic inversion; see
// docs/formulas-cam.md.
func (c *Cam) probe(i int, phi float64, last camQuantity, p *camProbe) {
	l := c.spanLift(i, phi)
	p.phi = phi
	p.value[camLift], p.slope[camLift] = l.S, l.V
	p.value[camVelocity], p.slope[camVelocity] = l.V, l.A
	p.value[camAcceleration], p.slope[camAcceleration] = l.A, l.J
	if last < camSlant {
		return
	}
	p.value[camRiseNeed], p.slope[camRiseNeed] = l.V*c.flatness-l.S, l.A*c.flatness-l.V
	p.value[camFallNeed], p.slope[camFallNeed] = -l.V*c.flatness-l.S, -l.A*c.flatness-l.V
	switch {
	case c.path == mech.Axial:
		c.probeAxial(l, p)
	case c.kind == mech.Flat && c.path == mech.Straight:
		p.value[camSlant], p.slope[camSlant] = 0, 0
		p.value[camBend], p.slope[camBend] = c.base+l.S+l.A, l.V+l.J
		p.value[camReach], p.slope[camReach] = l.V, l.A
	case c.kind == mech.Flat:
		c.probeSwingFlat(l, p)
	case c.path == mech.Swing:
		c.probeSwing(l, p)
	default:
		c.probeStraight(l, p)
	}
}

func (c *Cam) probeStraight(l Lift, p *camProbe) {
	d, q := c.d+l.S, l.V-c.offset
	p.value[camSlant] = q / d
	p.slope[camSlant] = (l.A*d - q*l.V) / (d * d)
	ll := d*d + q*q
	l3 := ll * math.Sqrt(ll)
	n := d*d + q*(2*l.V-c.offset) - d*l.A
	n1 := 2*d*l.V + 3*q*l.A - d*l.J
	p.value[camBend] = n / l3
	p.slope[camBend] = (n1 - 3*n*(d*l.V+q*l.A)/ll) / l3
}

func (c *Cam) probeSwing(l Lift, p *camProbe) {
	a, arm := c.pivot, c.arm
	sin, cos := math.Sincos(c.rest + l.S)
	w, w1 := c.side*l.V, c.side*l.A
	u := 1 + w
	num, den := arm*u-a*cos, a*sin
	num1, den1 := arm*w1+a*sin*l.V, a*cos*l.V
	p.value[camSlant] = c.side * num / den
	p.slope[camSlant] = c.side * (num1*den - num*den1) / (den * den)
	ll := a*a + arm*arm*u*u - 2*a*arm*u*cos
	ll1 := 2*arm*arm*u*w1 - 2*a*arm*(w1*cos-u*sin*l.V)
	l3 := ll * math.Sqrt(ll)
	n := a*a + arm*arm*u*u*u - a*arm*(u*(2+w)*cos+l.A*sin)
	n1 := 3*arm*arm*u*u*w1 - a*arm*(w1*(2+w)*cos+u*w1*cos-u*(2+w)*sin*l.V+l.J*sin+l.A*cos*l.V)
	p.value[camBend] = n / l3
	p.slope[camBend] = (n1 - 1.5*n*ll1/ll) / l3
}

// probeSwingFlat: the contact lies q = a·cos ψ/u from the foot of the pivot, the
// slant is σf/q, the rim's radius f + a·sin ψ(1 + 2w)/u² + a·s”·cos ψ/u³.
func (c *Cam) probeSwingFlat(l Lift, p *camProbe) {
	a := c.pivot
	sin, cos := math.Sincos(c.rest + l.S)
	w, w1 := c.side*l.V, c.side*l.A
	u := 1 + w
	q := a * cos / u
	q1 := -(a*sin*l.V + q*w1) / u
	p.value[camReach], p.slope[camReach] = q, q1
	p.value[camSlant] = c.side * c.face / q
	p.slope[camSlant] = -c.side * c.face * q1 / (q * q)
	p.value[camBend] = c.face + a*sin*(1+2*w)/(u*u) + a*cos*l.A/(u*u*u)
	p.slope[camBend] = (a*cos*l.V*(1+2*w)+2*a*sin*w1*(1-(1+2*w)/u))/(u*u) +
		a*(cos*l.J-sin*l.V*l.A-3*cos*l.A*w1/u)/(u*u*u)
}

func (c *Cam) probeAxial(l Lift, p *camProbe) {
	t := c.track
	slant, slant1 := l.V/t, l.A/t
	ll := 1 + slant*slant
	l3 := ll * math.Sqrt(ll)
	p.value[camSlant], p.slope[camSlant] = slant, slant1
	p.value[camBend] = -l.A / (t * t * l3)
	p.slope[camBend] = (-l.J + 3*l.A*slant*slant1/ll) / (t * t * l3)
}

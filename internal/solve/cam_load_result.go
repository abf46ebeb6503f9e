package solve

import (
	"math"

	"understage/internal/mech"
	"understage/internal/standard"
)

// CamLoadResult is the load of a cam over a turn at its running speed. Unless
// Known, only Speed holds.
type CamLoadResult struct {
	Known   bool
	Assumed bool    // a friction coefficient was not given
	Speed   float64 // rad/s of the shaft

	Normal     CamAt // greatest contact force, N
	LeastAlong CamAt // least force that holds the follower down, N; at or below 0 it floats
	Torque     CamExtent
	MeanTorque float64 // N·mm over the turn
	// Jams says that the guide locks somewhere; Guide is the greatest share of
	// the push that its friction takes, 1 and above jams. Guided says whether
	// there is a guide to judge.
	Guided, Jams bool
	Guide        CamAt
	// Float is the shaft's speed, rad/s, at which the follower first leaves the
	// cam; +Inf when no speed does.
	Float   float64
	FloatAt float64
	// Mass says that a mass is given, without which nothing floats.
	Mass bool

	Contact CamContact
	Drop    *CamDrop // nil without a sudden drop
	Wear    CamWear
}

// AnalyseCamLoad finds the load of a cam whose shaft turns at speed rad/s.
func AnalyseCamLoad(c *Cam, speed float64) CamLoadResult {
	p := c.Load()
	r := CamLoadResult{Speed: speed, Assumed: p.Assumed}
	if c.Status != CamSolved {
		return r
	}
	r.Drop = c.drop(p, speed)
	if !p.Known {
		r.Contact = c.contactMaterials()
		return r
	}
	r.Known, r.Guided, r.Mass = true, p.length > 0, p.mass > 0
	t := camLoadTurn{c: c, p: p, speed: speed}
	peaks := t.peaks()
	r.Normal = peaks[loadNormal]
	r.Torque = CamExtent{peaks[loadTorqueLow].negative(), peaks[loadTorque]}
	r.LeastAlong = peaks[loadAlong].negative()
	r.MeanTorque = t.integral(func(s *camStretch, l Lift) float64 { return p.Force(l, speed, s.direction, false).Torque }) / (2 * math.Pi)
	r.Jams = math.IsInf(r.Normal.Value, 1)
	if peaks[loadGuide].Value > 0 {
		r.Guide = peaks[loadGuide]
	}
	r.Float = math.Sqrt(max(-peaks[loadFloat].Value, 0))
	r.FloatAt = peaks[loadFloat].Angle
	r.Contact = c.hertz(peaks[loadPress])
	r.Wear = t.wear(peaks[loadWear])
	return r
}

// negative turns the peak of a negated quantity into the least of the quantity.
func (a CamAt) negative() CamAt { return CamAt{-a.Value, a.Angle} }

// floats returns ω² at which inertia takes away all that holds the follower
// down at a lift; +Inf where it presses it on.
func (p *CamLoad) floats(l Lift) float64 {
	if l.A >= 0 {
		return math.Inf(1)
	}
	held := p.steady + p.rate*p.lever*l.S
	return 1000 * max(held, 0) / (-p.mass * l.A * p.lever)
}

func camMost(a, b CamAt) CamAt {
	if b.Value > a.Value {
		return b
	}
	return a
}

// CamDrop is a sudden drop of the follower.
type CamDrop struct {
	Angle  float64 // φ of the drop
	Height float64 // mm
	Known  bool    // weight or spring drives it down, and the shaft's speed is known
	Time   float64 // s until it lands on the cam
	Turned float64 // rad of the cam in that time
	Clear  float64 // rad until the cam has risen again by a tenth of the drop
	Speed  float64 // mm/s at which it lands, across the rim's own
}

// camDropShare is the share of its height by which the cam may have risen again
// before a dropped follower should have landed.
const camDropShare = 0.1

// drop follows the first sudden drop: from rest at the top, x” = −(steady +
// k·x)/m as the cam turns on beneath, until the follower meets the rim.
func (c *Cam) drop(p *CamLoad, speed float64) *CamDrop {
	for _, j := range c.jumps() {
		if j.Step != LiftStep || j.After.S >= j.Before.S {
			continue
		}
		d := &CamDrop{Angle: j.Angle, Height: (j.Before.S - j.After.S) * p.lever}
		d.Clear = c.clearAfter(j)
		pull := p.steady + p.rate*p.lever*j.Before.S
		if p.mass > 0 && pull > 0 && speed > 0 {
			c.fall(p, j, speed, d)
		}
		return d
	}
	return nil
}

// clearAfter is the angle after a drop until the lift has risen again by
// camDropShare of it.
func (c *Cam) clearAfter(j CamJump) float64 {
	edge := j.After.S + camDropShare*(j.Before.S-j.After.S)
	const n = 720
	for k := 1; k <= n; k++ {
		to := 2 * math.Pi * float64(k) / n
		if c.Lift(j.Angle+to).S < edge && k < n {
			continue
		}
		return camSwitch(2*math.Pi*float64(k-1)/n, to-2*camJoint, func(a float64) bool { return c.Lift(j.Angle+a).S < edge })
	}
	return 2 * math.Pi
}

// fall integrates nothing: weight alone gives a parabola, a spring a cosine
// about its own rest.
func (c *Cam) fall(p *CamLoad, j CamJump, speed float64, d *CamDrop) {
	top := j.Before.S * p.lever
	stiff := 1000 * p.rate / p.mass // 1/s²
	gone := 1000 * (p.steady + p.rate*top) / p.mass
	place := func(t float64) float64 {
		if stiff == 0 {
			return top - gone*t*t/2
		}
		return top - gone/stiff*(1-math.Cos(math.Sqrt(stiff)*t))
	}
	above := func(t float64) bool { return place(t) > c.Lift(j.Angle+camJoint+speed*t).S*p.lever }
	// Free fall of the whole drop takes at least this long with the spring's full
	// pull, so marching in twentieths of it cannot step over the landing.
	step := math.Sqrt(2*d.Height/gone) / 20
	t := step
	for above(t) {
		if t += step; t > 400*step {
			return // held up before it lands
		}
	}
	t = camSwitch(max(t-step, 1e-9), t, above)
	d.Known, d.Time, d.Turned = true, t, speed*t
	d.Speed = gone * t
	if stiff > 0 {
		d.Speed = gone / math.Sqrt(stiff) * math.Sin(math.Sqrt(stiff)*t)
	}
}

// CamContact is the pressure where follower and cam touch.
type CamContact struct {
	// Known says that both moduli, the rim's radius and a force are known;
	// otherwise Missing names what is not.
	Known    bool
	Missing  string
	Pressure CamAt      // greatest, MPa
	Width    float64    // mm, of the band of contact there
	Strength mech.Given // MPa, the lesser tensile yield of the two, where known
}

// contactMaterials finds what is known of the two materials.
func (c *Cam) contactMaterials() CamContact {
	load := &c.cam.Load
	var k CamContact
	_, missing := c.modulus()
	k.Missing = missing
	for _, name := range []string{load.Material, load.FollowerMaterial} {
		if m, ok := standard.FindMaterial(name); ok && m.Strength > 0 {
			if !k.Strength.OK || m.Strength < k.Strength.Value {
				k.Strength = known(m.Strength)
			}
		}
	}
	return k
}

// modulus returns the contact modulus E* in MPa, 1/E* = Σ(1 − ν²)/E, or what is
// missing for it.
func (c *Cam) modulus() (star float64, missing string) {
	load := &c.cam.Load
	sum := 0.0
	for _, part := range []struct {
		what, name string
		own        mech.Given
	}{{"cam", load.Material, load.Modulus}, {"follower", load.FollowerMaterial, load.FollowerModulus}} {
		m, found := standard.FindMaterial(part.name)
		poisson := standard.AssumedPoisson
		if found && m.Poisson > 0 {
			poisson = m.Poisson
		}
		e := part.own.Or(m.Modulus)
		switch {
		case e > 0:
			sum += (1 - poisson*poisson) / e
		case part.name == "":
			return 0, "material of the " + part.what
		default:
			return 0, "modulus of the " + part.what + ", for none is published here of " + part.name
		}
	}
	return 1 / sum, ""
}

// hertz finds the greatest line-contact pressure: p0 = √((N/b)E*/(πR')), with
// 1/R' the sum of the curvatures (H. Hertz; Mechanical Engineer's Data Handbook,
// p. 52). The band is 2·√(4(N/b)R'/(πE*)) wide. most is the greatest N/R'.
func (c *Cam) hertz(most CamAt) CamContact {
	k := c.contactMaterials()
	star, missing := c.modulus()
	width := c.cam.Thickness
	switch {
	case missing != "":
		return k
	case c.kind == mech.Knife:
		k.Missing = "radius of the knife's edge"
		return k
	case width <= 0:
		k.Missing = "thickness of the cam"
		return k
	}
	pressure := math.Sqrt(max(most.Value, 0) * star / (width * math.Pi))
	if math.IsInf(pressure, 0) {
		k.Missing = "fair rim and a follower that does not jam"
		return k
	}
	k.Known, k.Pressure = true, CamAt{pressure, most.Angle}
	if bend := c.closeness(c.Lift(most.Angle)); bend > 0 {
		k.Width = 4 * pressure / (star * bend)
	}
	return k
}

// closeness is 1/R', the sum of the curvatures of rim and roller, 1/mm.
func (c *Cam) closeness(l Lift) float64 {
	radius := c.ContactAt(0, l).Radius
	if radius == 0 {
		return math.Inf(1)
	}
	bend := 1 / radius
	if c.kind == mech.Roller && c.roller > 0 {
		bend += 1 / c.roller
	}
	return bend
}

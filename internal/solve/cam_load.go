package solve

import (
	"math"

	"understage/internal/mech"
)

// Forces on a cam. What presses the follower down along its motion is
//
//	F = m·s''·ω² + F0 + k·s + m·g (where it lifts its mass) + steady force
//
// at the roller's centre or knife's edge, for a swinging flat face at the place
// that touches the base circle, along the motion there. With the pressure angle
// α the normal force N and a rubbing follower's friction μN balance it:
//
//	N·(cos α − μ sin α) − direction·μg·(side load on the guide) = F
//
// The guide's two reactions come from moments about them: with the force acting
// at the overhang A below a guide of length B, |N1| + |N2| = (2A + B)/B times the
// side load (Rothbart, Cam Design Handbook, ch. 6, from memory; derived). The
// overhang shrinks as the follower rises. A flat face loads its guide by the
// distance of the contact from its line instead. A roller is taken to roll
// without loss; its pin is not known.
//
// The torque at the camshaft is the moment of N and μN about its axis, which is
// N·cos α·s' (virtual work) and the rubbing's μN times the contact's distance
// from the axis along the normal.

// camGravity is standard gravity in m/s² (9.80665 by definition; NIST SP 811).
const camGravity = 9.80665

// CamLoad is what presses on one cam, with every number settled.
type CamLoad struct {
	c *Cam
	// Known says that something is given that presses the follower down.
	Known bool
	// Assumed says that a friction coefficient stands in for one not given.
	Assumed bool

	mass    float64 // kg
	steady  float64 // N at zero lift: preload, weight and steady force
	rate    float64 // N per mm of the follower's way
	rub     loadRub // at the contact; zero for a roller
	guide   loadRub
	length  float64 // B; 0 without a guide
	hang    float64 // A at zero lift
	foot    float64 // offset of a flat face's stem, canonical
	lever   float64
	still   float64 // velocity up to which the follower rests
	rolling bool
}

// CamForce is the load at one angle.
type CamForce struct {
	Along float64 // N that presses the follower down along its motion, before friction
	// Normal is the contact force in N: 0 when the follower has lost contact,
	// +Inf when it jams in its guide.
	Normal float64
	// Torque in N·mm that the camshaft must be given in its own sense, friction
	// included; +Inf when the follower jams.
	Torque float64
	// Guide is the share of the push that the guide's friction takes: 1 and above
	// jams.
	Guide float64
}

// newCamLoad settles what presses on a compiled cam. breakaway is the maker's
// static over sliding friction.
func newCamLoad(c *Cam, breakaway mech.Given) CamLoad {
	load := &c.cam.Load
	out := CamLoad{c: c, lever: c.lever(), rolling: c.kind == mech.Roller, still: c.still()}
	out.mass = load.Mass.Value
	out.rate = load.SpringRate.Value
	out.steady = load.SpringPreload.Value + load.Force.Value
	if load.Vertical {
		out.steady += out.mass * camGravity
	}
	out.Known = load.SpringRate.OK || load.Force.OK || load.Mass.OK
	if !out.rolling {
		out.rub = resolveRub(mech.Rub{Sliding: load.Friction, Materials: [2]string{load.Material, load.FollowerMaterial}}, breakaway)
		out.Assumed = out.rub.assumed
	}
	if load.GuideLength.OK && c.path != mech.Swing {
		out.guide = resolveRub(mech.Rub{Sliding: load.GuideFriction}, breakaway)
		out.Assumed = out.Assumed || out.guide.assumed
		out.length, out.hang = load.GuideLength.Value, load.GuideOverhang.Value
	}
	if f := c.cam.Follower; f != nil && f.Kind == mech.Flat && f.Path == mech.Straight {
		out.foot = c.sense * f.Offset
	}
	return out
}

// Along returns the force in N that presses the follower down along its motion
// at a lift, the shaft turning at speed rad/s, before any friction. It is
// negative where inertia would lift the follower off.
func (p *CamLoad) Along(l Lift, speed float64) float64 {
	return p.mass*l.A*p.lever*speed*speed/1000 + p.steady + p.rate*p.lever*l.S
}

// Force returns the load at a lift, the shaft turning at speed rad/s. direction
// is +1 where the follower rises, -1 where it falls and 0 where it rests and its
// friction is not called on; rest takes the coefficients for breaking away.
func (p *CamLoad) Force(l Lift, speed, direction float64, rest bool) CamForce {
	return p.under(l, speed, direction, 0, rest)
}

// under is Force with a further force from outside, N against the lift.
func (p *CamLoad) under(l Lift, speed, direction, push float64, rest bool) CamForce {
	f := CamForce{Along: p.Along(l, speed) + push}
	if f.Along <= 0 || p.c.Status != CamSolved {
		return f
	}
	mu, guide := p.rub.at(rest), p.guide.at(rest)
	push, side, moment := p.press(l, mu)
	taken := 0.0
	if p.length > 0 {
		taken = direction * guide * p.thrust(l, side, moment, mu)
	}
	if push > 0 {
		f.Guide = taken / push
	}
	if push-taken <= 0 {
		f.Normal, f.Torque, f.Guide = math.Inf(1), math.Inf(1), max(f.Guide, 1)
		return f
	}
	f.Normal = f.Along / (push - taken)
	f.Torque = f.Normal * (p.turn(l) + mu*moment)
	return f
}

// press returns, per newton of normal force, the force along the follower's
// motion and the one across it, rubbing included, and the distance of the
// contact from the cam's axis along the normal.
func (p *CamLoad) press(l Lift, mu float64) (push, side, moment float64) {
	c := p.c
	switch {
	case c.path == mech.Axial:
		slope := l.V / c.track
		cos := 1 / math.Sqrt(1+slope*slope)
		sin := slope * cos
		return cos - mu*sin, sin + mu*cos, c.track * cos
	case c.kind == mech.Flat && c.path == mech.Straight:
		return 1, mu, c.base + l.S
	case c.kind == mech.Flat:
		sin, cos := math.Sincos(c.rest + l.S)
		q := c.pivot * cos / (1 + c.side*l.V)
		return (q - c.side*mu*c.face) / p.lever, 0, c.pivot*sin + c.face
	case c.path == mech.Swing:
		sin, cos := math.Sincos(c.rest + l.S)
		u := 1 + c.side*l.V
		x, y := c.pivot-c.arm*u*cos, c.arm*u*sin // normal, not yet of unit length
		root := math.Hypot(x, y)
		tan := c.side * (c.arm*u - c.pivot*cos) / (c.pivot * sin)
		cosA := 1 / math.Sqrt(1+tan*tan)
		h := ((c.pivot-c.arm*cos)*x + c.arm*sin*y) / root
		return cosA - mu*tan*cosA, 0, h - c.roller
	}
	d, q := c.d+l.S, l.V-c.offset
	root := math.Hypot(d, q)
	return (d - mu*q) / root, (q + mu*d) / root, (d*d-c.offset*q)/root - c.roller
}

// thrust returns the sum of the guide's two reactions per newton of normal
// force.
func (p *CamLoad) thrust(l Lift, side, moment, mu float64) float64 {
	hang := max(p.hang-l.S, 0)
	if p.c.kind == mech.Flat {
		arm := l.V - p.foot
		return (math.Abs(arm-mu*hang) + math.Abs(arm-mu*(hang+p.length))) / p.length
	}
	return math.Abs(side) * (2*hang + p.length) / p.length
}

// turn returns the moment about the camshaft per newton of normal force without
// rubbing: the follower's way per radian times the cosine of the pressure angle.
func (p *CamLoad) turn(l Lift) float64 {
	push, _, _ := p.press(l, 0)
	return push * p.lever * l.V
}

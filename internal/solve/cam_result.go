package solve

import (
	"math"

	"understage/internal/mech"
	"understage/internal/standard"
)

// CamResult is what decides whether a cam can be made and followed. Lifts are
// mm, or rad for a swinging follower; derivatives are per rad of the cam's own
// turn. With a Status other than CamSolved only the lift and its derivatives
// hold, and none of them where the shape states the rim.
type CamResult struct {
	Status       CamStatus
	NoMotion     bool    // the stated rim moves no such follower: lift and derivatives say nothing
	Sense        float64 // +1 counter-clockwise, -1 clockwise
	Swings       bool    // lift is an angle
	Lever        float64 // mm of the follower's way per unit of lift: 1, or the arm
	Base, Roller float64
	Lift         CamExtent
	Velocity     CamExtent
	Acceleration CamExtent
	// Pressure is the range of the signed pressure angle, rad; Peak the one of
	// greatest magnitude, as a magnitude.
	Pressure     CamExtent
	PeakPressure CamAt
	// LeastConvex is the least radius of the rim where it bulges, LeastHollow
	// where it is hollow, both positive; Inf where there is no such place. A rim
	// that undercuts has a LeastConvex of the radius that would be needed to
	// bring it about: zero or negative.
	LeastConvex CamAt
	LeastHollow CamAt
	Undercut    bool
	// Face is where the contact lies along a flat face: from the follower's line,
	// or from the foot of the pivot, in mm.
	Face    CamExtent
	Jumps   []CamJump
	Sizing  CamSizing
	Load    CamLoadResult
	Bridges []CamAt // hollows of a stated rim that the follower spans: width in rad of the rim, and φ
}

// CamJump is a joint at which the lift, its velocity or its acceleration jumps.
type CamJump struct {
	Angle         float64
	Step          Step
	Before, After Lift
}

// solveCams analyses the model's cams, but for those that are the base's own
// and held to the same limit.
func (v *variant) solveCams(m *mech.Model) {
	v.Cams = make([]CamResult, len(m.Cams))
	for i, c := range v.Machine.Cams {
		limit := CamPressureLimit(m.Limits, c)
		if v.keepsCam(i, PartCams) && limit == CamPressureLimit(v.base.Machine.Model.Limits, c) {
			v.Cams[i] = v.base.Cams[i]
			v.Cams[i].Load = CamLoadResult{}
		} else {
			v.Cams[i] = AnalyseCam(c, limit)
		}
	}
}

// solveCamLoads finds the load of every cam at the motor's running speed; of a
// cam that nothing turns, standing still.
func (v *variant) solveCamLoads(m *mech.Model) {
	for i, c := range v.Machine.Cams {
		speed := 0.0
		if shaft := m.Cams[i].Shaft; m.Motor != nil && shaft >= 0 {
			speed = v.Motor.RunningSpeed * math.Abs(v.Drive.Ratios[shaft].Float())
		}
		if v.keepsCam(i, PartCams|PartLoad) && v.base.Cams[i].Load.Speed == speed {
			v.Cams[i].Load = v.base.Cams[i].Load
		} else {
			v.Cams[i].Load = AnalyseCamLoad(c, speed)
		}
	}
}

// keepsCam reports whether a cam is the base's, of which these parts are known.
func (v *variant) keepsCam(i int, parts Parts) bool {
	return v.base != nil && v.base.Has(parts) && i < len(v.base.Machine.Cams) && v.base.Machine.Cams[i] == v.Machine.Cams[i]
}

// CamPressureLimit is the limit, in rad, of the pressure angle for the kind of
// follower.
func CamPressureLimit(own map[string]float64, c *Cam) float64 {
	if c.Swings() {
		return standard.Limit(own, "pressure_angle_swing")
	}
	return standard.Limit(own, "pressure_angle")
}

// AnalyseCam finds the true extremes of a cam over one turn, and the sizes that
// hold the pressure angle, in rad, within the limit.
func AnalyseCam(c *Cam, limit float64) CamResult {
	r := CamResult{Status: c.Status, Sense: c.sense, Swings: c.Swings(), Lever: c.lever(), Base: c.base, Roller: c.roller, Lift: c.lift, NoMotion: c.NoMotion()}
	r.LeastConvex.Value, r.LeastHollow.Value = math.Inf(1), math.Inf(1)
	if c.source == camFromNothing {
		return r
	}
	last := camFallNeed
	if c.Status != CamSolved {
		last = camAcceleration
	}
	sized := *c
	sized.flatness = 1 / math.Tan(limit)
	s := sized.search(camLift, last)
	r.Velocity, r.Acceleration = s.extent[camVelocity], s.extent[camAcceleration]
	r.Jumps = c.jumps()
	if c.Status != CamSolved {
		return r
	}
	slant := s.extent[camSlant]
	r.Pressure = CamExtent{
		CamAt{math.Atan(slant.Min.Value), slant.Min.Angle},
		CamAt{math.Atan(slant.Max.Value), slant.Max.Angle},
	}
	r.PeakPressure = r.Pressure.Max
	if -r.Pressure.Min.Value > r.PeakPressure.Value {
		r.PeakPressure = CamAt{-r.Pressure.Min.Value, r.Pressure.Min.Angle}
	}
	if c.kind == mech.Flat {
		r.Face = s.extent[camReach]
	}
	c.judgeRim(&r, s.extent[camBend])
	r.Sizing = sized.size(&r, s.extent[camRiseNeed].Max.Value, s.extent[camFallNeed].Max.Value, limit)
	return r
}

// judgeRim fills the radii of the rim from the range of the pitch curvature, or
// of the radius under a flat face.
func (c *Cam) judgeRim(r *CamResult, bend CamExtent) {
	switch {
	case c.source == camFromDisc:
		r.LeastConvex.Value = c.disc.DiscRadius
	case c.source == camFromRim:
		c.rim.judge(r)
	case c.kind == mech.Flat && c.overturns(r):
		// The rim would have to turn the face faster than it turns itself.
		r.Undercut, r.LeastConvex = true, CamAt{-c.base, r.Velocity.Min.Angle}
		r.Pressure, r.PeakPressure, r.Face = CamExtent{}, CamAt{}, CamExtent{}
	case c.kind == mech.Flat:
		r.LeastConvex = bend.Min
		r.Undercut = bend.Min.Value <= 0
	default:
		if bend.Max.Value > 0 {
			r.LeastConvex = CamAt{1/bend.Max.Value - c.roller, bend.Max.Angle}
			r.Undercut = c.roller > 0 && r.LeastConvex.Value <= 0
		}
		if bend.Min.Value < 0 {
			r.LeastHollow = CamAt{c.roller - 1/bend.Min.Value, bend.Min.Angle}
		}
	}
	if !c.cam.Shape.Kind.StatesRim() {
		c.judgeJumps(r)
	}
}

// overturns reports whether a swinging face would turn as fast as the cam, or
// faster, somewhere: 1 + σs' falls to 0.
func (c *Cam) overturns(r *CamResult) bool {
	return c.path == mech.Swing && min(c.side*r.Velocity.Min.Value, c.side*r.Velocity.Max.Value) <= -1
}

// judgeJumps counts the corners that a velocity jump puts into the pitch curve.
// Where it jumps down the corner stands out, and neither a roller nor a flat
// face can follow it; where it jumps up a roller lies in a hollow of its own
// radius, and a flat face tips over a corner of the rim.
func (c *Cam) judgeJumps(r *CamResult) {
	for _, j := range r.Jumps {
		dropped := j.Step == LiftStep && j.After.S < j.Before.S
		if j.Step == AccelerationStep || dropped && c.kind != mech.Knife {
			continue // a follower that drops is not meant to follow the edge it leaves
		}
		down := j.Step == LiftStep || j.After.V < j.Before.V
		switch {
		case down && c.kind == mech.Flat && c.path == mech.Straight:
			r.LeastConvex, r.Undercut = CamAt{math.Inf(-1), j.Angle}, true
		case down:
			r.LeastConvex = camLeast(r.LeastConvex, CamAt{-c.roller, j.Angle})
			r.Undercut = r.Undercut || c.kind != mech.Knife
		case c.kind != mech.Flat:
			r.LeastHollow = camLeast(r.LeastHollow, CamAt{c.roller, j.Angle})
		}
	}
	if math.IsInf(r.LeastConvex.Value, -1) {
		r.LeastConvex.Value = -c.base
	}
}

func camLeast(a, b CamAt) CamAt {
	if b.Value < a.Value {
		return b
	}
	return a
}

// jumps lists the joints where the lift is not smooth to the second order.
func (c *Cam) jumps() []CamJump {
	var out []CamJump
	for i, s := range c.spans {
		if s.step == NoStep {
			continue
		}
		before := (i + len(c.spans) - 1) % len(c.spans)
		out = append(out, CamJump{
			Angle:  camReduce(s.from),
			Step:   s.step,
			Before: c.spanLift(before, c.spanEnd(before)),
			After:  c.spanLift(i, s.from),
		})
	}
	return out
}

// SolveCamsAlone solves the cams of a model without a drive, all turning in one
// sense at one speed in rad/s, 0 for one not known.
func SolveCamsAlone(m *mech.Model, sense, speed float64) *Solution {
	k := &Machine{Model: m, Drive: SolveDrive(m), Cams: make([]*Cam, len(m.Cams))}
	for i := range m.Cams {
		k.Cams[i] = CompileCam(&m.Cams[i], camEdgeRadius(m), sense)
	}
	s := &Solution{Machine: k, Drive: k.Drive, Cams: make([]CamResult, len(k.Cams))}
	for i, c := range k.Cams {
		s.Cams[i] = AnalyseCam(c, CamPressureLimit(m.Limits, c))
		s.Cams[i].Load = AnalyseCamLoad(c, speed)
	}
	return s
}

package check

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
)

// camCase is one cam under judgement.
type camCase struct {
	m     *mech.Model
	cam   *mech.Cam
	r     *solve.CamResult
	where string
}

// CamFindings judges the cams alone.
func CamFindings(m *mech.Model, s *solve.Solution) []Finding { return camFindings(m, s) }

// camFindings judges every cam: first whether it can be made and followed.
func camFindings(m *mech.Model, s *solve.Solution) []Finding {
	var all []Finding
	for i := range m.Cams {
		c := camCase{m: m, cam: &m.Cams[i], r: &s.Cams[i], where: partPath("cams", m.Cams[i].Name)}
		all = append(all, c.followerFinding(), c.jumpsFinding())
		if c.r.Status != solve.CamSolved {
			continue
		}
		all = append(all, c.pressureFinding(), c.undercutFinding())
		for _, judge := range []func() (Finding, bool){
			c.rollerFinding, c.hollowFinding, c.faceFinding, c.dropFinding, c.backwardFinding,
			c.guideFinding, c.floatFinding, c.contactFinding, c.wearFinding,
		} {
			if f, applies := judge(); applies {
				all = append(all, f)
			}
		}
	}
	return all
}

func (c *camCase) finding(rule string) Finding {
	return Finding{Rule: rule, Where: c.where, Source: source(rule)}
}

func (c *camCase) kind() mech.FollowerKind {
	if c.cam.Follower == nil {
		return mech.Roller
	}
	return c.cam.Follower.Kind
}

func camDegrees(rad float64) float64 { return rad * 180 / math.Pi }

// followerFinding asks whether cam and follower fit together at all.
func (c *camCase) followerFinding() Finding {
	f := c.finding("cam_follower")
	f.Severity = Fail
	r := c.r
	switch r.Status {
	case solve.CamBase:
		f.Value, f.Unit = known(r.Base), "mm"
		f.Message = fmt.Sprintf("the base circle has a radius of %.4g mm: make base greater than zero", r.Base)
		if c.cam.Shape.Kind == mech.ShapeEccentric {
			f.Message = "the axis lies outside the disc: make the eccentric's offset less than its radius"
		}
	case solve.CamOffset:
		f.Value, f.Limit, f.Unit = known(math.Abs(c.cam.Follower.Offset)), known(r.Base+r.Roller), "mm"
		f.Message = fmt.Sprintf("the follower's line passes outside the prime circle: make offset less than %.4g mm, or the base greater", r.Base+r.Roller)
	case solve.CamBelow:
		f.Value, f.Unit = known(r.Lift.Min.Value), "mm"
		f.Message = fmt.Sprintf("the lift falls to %.4g mm and so below the cam's axis: raise the points or enlarge the base", r.Lift.Min.Value)
	case solve.CamArm:
		f.Message = c.armMessage()
	case solve.CamPair:
		f.Message = "a flat face cannot ride on a face cam: take a roller or knife, and give the track a radius"
	default:
		f.Severity = OK
		f.Message = "the follower stands on the cam over the whole turn"
		if least := r.Lift.Min.Value * r.Lever; least < -camDip {
			f.Severity = Caution
			f.Value, f.Limit, f.Unit = known(least), known(0), "mm"
			f.Message = fmt.Sprintf("the lift dips to %s at %.1f deg, inside the base circle: raise the points by as much and make the base that much smaller", inWords(c.m, least), camDegrees(r.Lift.Min.Angle))
		}
	}
	return f
}

// camDip is how far, in mm, a lift may dip inside the base circle unnoticed.
const camDip = 0.001

func (c *camCase) armMessage() string {
	f := c.cam.Follower
	a := math.Hypot(f.Pivot.X, f.Pivot.Y)
	if f.Kind == mech.Flat {
		return fmt.Sprintf("the face cannot touch the whole rim: its pivot stands %.4g mm from the axis, which must be more than base - face + lift", a)
	}
	return fmt.Sprintf("the arm cannot reach over the whole turn: the distances of pivot (%.4g mm), arm (%.4g mm) and prime circle plus lift (from %.4g mm) must form a triangle", a, f.Arm, c.r.Base+c.r.Roller)
}

// pressureFinding judges the greatest pressure angle.
func (c *camCase) pressureFinding() Finding {
	rule := "pressure_angle"
	if c.r.Swings {
		rule = "pressure_angle_swing"
	}
	const badly = 1.5 // times the limit: judged fail
	f := c.finding(rule)
	most, got := limit(c.m, rule), c.r.PeakPressure.Value
	f.Value, f.Limit, f.Unit = known(camDegrees(got)), known(camDegrees(most)), "deg"
	f.Message = fmt.Sprintf("the pressure angle keeps within %.1f deg", camDegrees(got))
	if got <= most {
		return f
	}
	f.Severity = Caution
	if got > badly*most {
		f.Severity = Fail
	}
	f.Message = fmt.Sprintf("the pressure angle reaches %.1f deg at %.1f deg of the cam", camDegrees(got), camDegrees(c.r.PeakPressure.Angle)) + c.sizeAdvice()
	return f
}

// sizeAdvice says which size keeps the pressure angle's limit.
func (c *camCase) sizeAdvice() string {
	s := c.r.Sizing
	switch {
	case c.cam.Follower == nil && s.Base.OK, s.Base.OK && !s.BestBase.OK:
		return fmt.Sprintf(": enlarge the base to %.4g mm, or spread the motion", s.Base.Value)
	case s.Base.OK && s.BestBase.Value < 0.98*s.Base.Value:
		return fmt.Sprintf(": enlarge the base to %.4g mm, or to %.4g mm with an offset of %.3g mm, or spread the motion", s.Base.Value, s.BestBase.Value, s.BestOffset.Value)
	case s.Base.OK:
		return fmt.Sprintf(": enlarge the base to %.4g mm, or spread the motion", s.Base.Value)
	case c.r.Swings:
		return ": no base alone helps; move the pivot, change the arm or spread the motion"
	case c.cam.Shape.Kind.StatesRim():
		return ": make the rim's rises gentler or larger round"
	}
	return fmt.Sprintf(": enlarge the track's radius to %.4g mm or spread the motion", s.Track.Value)
}

// undercutFinding asks whether the rim that the motion wants exists.
func (c *camCase) undercutFinding() Finding {
	f := c.finding("undercut")
	least := c.r.LeastConvex
	if !math.IsInf(least.Value, 0) {
		f.Value, f.Unit = known(least.Value), "mm"
	}
	f.Message = "the rim is fair all round"
	if !c.r.Undercut {
		return f
	}
	f.Severity = Fail
	f.Limit = known(0)
	at := camDegrees(least.Angle)
	switch fair := c.r.Sizing.Fair; {
	case fair.OK && c.kind() == mech.Flat:
		f.Message = fmt.Sprintf("the rim undercuts at %.1f deg: enlarge the base above %.4g mm, or spread the motion", at, fair.Value)
	case fair.OK:
		f.Message = fmt.Sprintf("the rim undercuts at %.1f deg: enlarge the base above %.4g mm, take a smaller roller, or spread the motion", at, fair.Value)
	default:
		f.Message = fmt.Sprintf("the rim undercuts at %.1f deg, where the motion has a corner: take a law without jumps", at)
		if c.cam.Follower.Swings() {
			f.Message = fmt.Sprintf("the rim undercuts at %.1f deg: enlarge the base, spread the motion, or move the pivot", at)
		}
	}
	return f
}

// rollerFinding compares roller and pitch curve.
func (c *camCase) rollerFinding() (Finding, bool) {
	if c.kind() != mech.Roller || c.r.Roller <= 0 || math.IsInf(c.r.LeastConvex.Value, 0) || c.r.Undercut {
		return Finding{}, false
	}
	const rule = "roller_size"
	f := c.finding(rule)
	pitch := c.r.LeastConvex.Value + c.r.Roller
	least := limit(c.m, rule)
	f.Value, f.Limit = known(pitch/c.r.Roller), known(least)
	f.Message = fmt.Sprintf("the pitch curve's least radius is %.3g times the roller's", pitch/c.r.Roller)
	if pitch < least*c.r.Roller {
		f.Severity = Caution
		f.Message = fmt.Sprintf("the pitch curve bulges to a radius of %.4g mm at %.1f deg: take a roller of at most %.3g mm radius, or enlarge the base", pitch, camDegrees(c.r.LeastConvex.Angle), pitch/least)
	}
	return f, true
}

// hollowFinding asks whether the follower reaches the bottom of each hollow.
func (c *camCase) hollowFinding() (Finding, bool) {
	hollow := c.r.LeastHollow
	if math.IsInf(hollow.Value, 0) {
		return Finding{}, false
	}
	f := c.finding("hollow")
	f.Value, f.Limit, f.Unit = known(hollow.Value), known(c.r.Roller), "mm"
	at := camDegrees(hollow.Angle)
	switch {
	case len(c.r.Bridges) > 0 && c.kind() == mech.Flat:
		f.Severity = Caution
		f.Message = fmt.Sprintf("the flat face bridges the hollow at %.1f deg and tips from one side to the other: fill the hollow, or take a roller of less than %.3g mm radius", at, hollow.Value)
		f.Limit = mech.Given{}
	case len(c.r.Bridges) > 0:
		f.Severity = Caution
		f.Message = fmt.Sprintf("the follower bridges the hollow of %.4g mm radius at %.1f deg and knocks at %.1f deg: take a roller of less than %.3g mm radius, or ease the hollow", hollow.Value, at, camDegrees(c.r.Bridges[0].Angle), hollow.Value)
	case c.cam.Shape.Kind.StatesRim():
		f.Message = fmt.Sprintf("the follower reaches the bottom of every hollow, the tightest of %.4g mm radius", hollow.Value)
	default:
		f.Message = fmt.Sprintf("the tightest hollow has a radius of %.4g mm at %.1f deg: cut it with a smaller tool", hollow.Value, at)
	}
	return f, true
}

// jumpsFinding asks whether the motion is smooth.
func (c *camCase) jumpsFinding() Finding {
	f := c.finding("jumps")
	var worst *solve.CamJump
	count := 0
	for i := range c.r.Jumps {
		j := &c.r.Jumps[i]
		if j.Step == solve.LiftStep && j.After.S < j.Before.S {
			continue // a drop is meant; rule drop judges it
		}
		count++
		if worst == nil || j.Step < worst.Step {
			worst = j
		}
	}
	f.Value = known(float64(count))
	if worst == nil {
		f.Message = "velocity and acceleration are continuous"
		if count < len(c.r.Jumps) {
			f.Message = "velocity and acceleration are continuous but for the drop"
		}
		return f
	}
	f.Severity = Caution
	at := camDegrees(worst.Angle)
	switch {
	case worst.Step == solve.LiftStep:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the follower cannot jump up at %.1f deg: give the rise an angle", at)
	case len(c.r.Bridges) > 0:
		f.Message = fmt.Sprintf("the velocity jumps at %.1f deg, where the follower meets the far side of a hollow: ease the hollow", at)
	case worst.Step == solve.VelocityStep:
		f.Message = fmt.Sprintf("the velocity jumps at %.1f deg, which knocks: take a law that starts and ends at rest, such as modified-sine", at)
	default:
		f.Message = fmt.Sprintf("the acceleration jumps at %.1f deg, which jerks: take modified-sine, modified-trapezoid, cycloidal, 3-4-5 or 4-5-6-7", at)
	}
	return f
}

// faceFinding asks for the width of a flat face.
func (c *camCase) faceFinding() (Finding, bool) {
	if c.kind() != mech.Flat {
		return Finding{}, false
	}
	f := c.finding("face_width")
	f.Unit = "mm"
	low, high := c.r.Face.Min.Value, c.r.Face.Max.Value
	if c.r.Swings {
		f.Limit = known(high - low)
		f.Message = fmt.Sprintf("the face must reach from %.4g mm to %.4g mm from the foot of its pivot", low, high)
		f.Severity = Unknown
		if c.cam.Load.FaceWidth.OK {
			f.Value = c.cam.Load.FaceWidth
			f.Severity = OK
			if f.Value.Value < high-low {
				f.Severity = Fail
			}
		} else {
			f.Message = "give follower.width to judge it: " + f.Message
		}
		return f, true
	}
	// Seen along the heading, a counter-clockwise cam's contact runs to the right
	// on the rise; the face is measured from the follower's own line.
	right, left := high, low
	if c.r.Sense < 0 {
		right, left = -low, -high
	}
	right, left = right-c.cam.Follower.Offset, left-c.cam.Follower.Offset
	need := 2 * max(right, -left)
	f.Limit = known(need)
	switch width := c.cam.Load.FaceWidth; {
	case !width.OK:
		f.Severity = Unknown
		f.Message = fmt.Sprintf("give follower.width to judge it: the contact runs %.4g mm to the right and %.4g mm to the left of the follower's line", right, -left)
	case width.Value < need:
		f.Value, f.Severity = width, Fail
		f.Message = fmt.Sprintf("widen the face to %.4g mm: the contact runs %.4g mm to the right and %.4g mm to the left of the follower's line", need, right, -left)
	default:
		f.Value = width
		f.Message = fmt.Sprintf("the contact stays on the face: %.4g mm to the right, %.4g mm to the left", right, -left)
	}
	return f, true
}

// backwardFinding asks what a reversible motor does to the cam.
func (c *camCase) backwardFinding() (Finding, bool) {
	if c.m.Motor == nil || c.m.Motor.Sense != mech.Reversible {
		return Finding{}, false
	}
	f := c.finding("cam_backward")
	f.Message = "backwards the follower runs the same way in reverse, rise and return exchanged"
	for _, j := range c.r.Jumps {
		if j.Step == solve.LiftStep {
			f.Severity = Fail
			f.Message = fmt.Sprintf("backwards the drop at %.1f deg is a wall: let the motor turn one way only, or give the fall an angle", camDegrees(j.Angle))
		}
	}
	return f, true
}

package check

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
)

// torsoFindings judges the torso. A figure without one has nothing to judge
// here; one without a pose at any angle only has that.
func torsoFindings(m *mech.Model, s *solve.Solution) []Finding {
	if m.Torso == nil || s.Torso == nil {
		return nil
	}
	all := []Finding{poseFinding(m, s.Torso)}
	if !s.Torso.Posed {
		return all
	}
	all = append(all,
		tiltFinding(m, s.Torso),
		twistFinding(m, s.Torso),
		slotFinding(m, s.Torso),
		openingFinding(m, s.Torso),
		shaftDepthFinding(m, s.Torso),
		belowStageFinding(m),
	)
	all = append(all, pushFindings(m, s)...)
	all = append(all, clearanceFindings(m, s.Torso)...)
	return append(all, headFindings(m, s)...)
}

const torsoPath = "torso"

func pushPath(m *mech.Model, push int) string {
	return partPath("torso.pushes", m.Torso.Pushes[push].Name)
}

// poseFinding asks whether the torso can be posed throughout.
func poseFinding(m *mech.Model, r *solve.TorsoResult) Finding {
	const rule = "pose"
	f := Finding{Rule: rule, Where: torsoPath, Source: source(rule), Severity: Fail}
	switch r.Status {
	case solve.TorsoPosed:
		f.Severity = OK
		f.Message = "the torso has a pose at every angle"
	case solve.TorsoParallel:
		f.Message = "both pushes act along one line, so nothing holds the shaft across it: turn one of them"
	case solve.TorsoGuideOnAxis:
		f.Message = "the guide pin stands on the shaft's axis and cannot keep the figure from turning: set it to one side"
	case solve.TorsoNotPlan:
		f.Message = "an edge or rod push needs an upright shaft: use one of the plan view"
	case solve.TorsoCamUnsolved:
		f.Where = badCamPath(m, r)
		f.Message = "the cam that pushes the torso cannot move its follower: see the findings on the cam"
	case solve.TorsoPushNotDriven:
		f.Severity = Unknown
		f.Message = "nothing turns a shaft that pushes the torso, so it is posed with that shaft standing: drive it"
	case solve.TorsoOutOfReach:
		f.Message = outOfReachMessage(m, r)
		if r.FailsAt >= 0 {
			f.Value, f.Unit = known(r.FailsAt), "turns"
		}
	}
	return f
}

// badCamPath returns the path of the first cam that pushes and has no motion.
func badCamPath(m *mech.Model, r *solve.TorsoResult) string {
	for i := range m.Torso.Pushes {
		if cam := m.Torso.Pushes[i].Cam; cam != mech.None && r.Pushes[i].CamUnsolved {
			return partPath("cams", m.Cams[cam].Name)
		}
	}
	return torsoPath
}

func outOfReachMessage(m *mech.Model, r *solve.TorsoResult) string {
	when := "at some angle of the shafts"
	if r.FailsAt >= 0 {
		when = fmt.Sprintf("at motor turn %.6g", r.FailsAt)
	}
	text := "no pose meets both pushes and the guide " + when
	for i := range m.Torso.Pushes {
		p := &m.Torso.Pushes[i]
		if p.Kind == mech.Rod && r.Pushes[i].RodReach.OK {
			text += fmt.Sprintf("; the rod of %s is %s long, and there upright would need %s", p.Name, inWords(m, p.Length), inWords(m, r.Pushes[i].RodReach.Value))
		}
	}
	return text + ": change a length, a throw or a shaft's place"
}

func tiltFinding(m *mech.Model, r *solve.TorsoResult) Finding {
	const rule = "tilt"
	most := limit(m, rule)
	f := Finding{
		Rule: rule, Where: torsoPath, Source: source(rule),
		Value: known(degrees(r.Tilt.Value)), Limit: known(degrees(most)), Unit: "deg",
		Message: fmt.Sprintf("the shaft tilts up to %.1f deg", degrees(r.Tilt.Value)),
	}
	if r.Tilt.Value > most {
		f.Severity = Caution
		f.Message += ": see that the pivot allows it, use less lift, or push farther below the pivot"
	}
	return f
}

// twistFinding compares the greatest twist with the greatest tilt.
func twistFinding(m *mech.Model, r *solve.TorsoResult) Finding {
	const rule = "twist_against_tilt"
	twist := max(math.Abs(r.Twist.Min.Value), math.Abs(r.Twist.Max.Value))
	f := Finding{
		Rule: rule, Where: "torso.guide", Source: source(rule), Limit: known(limit(m, rule)),
		Message: fmt.Sprintf("the figure twists up to %.1f deg and tilts up to %.1f deg", degrees(twist), degrees(r.Tilt.Value)),
	}
	if r.Tilt.Value < 1e-9 {
		f.Message = "the figure neither tilts nor twists"
		return f
	}
	f.Value = known(twist / r.Tilt.Value)
	if f.Value.Value > f.Limit.Value {
		f.Severity = Caution
		f.Message += fmt.Sprintf(": raise the arm toward the pivot or set the pin farther out, for the arm now makes %.2f deg of twist per deg across it", r.Gain.Most)
	}
	return f
}

// slotFinding compares the pin's travel with the slot.
func slotFinding(m *mech.Model, r *solve.TorsoResult) Finding {
	const rule = "slot"
	g := &m.Torso.Guide
	f := Finding{Rule: rule, Where: "torso.guide", Source: source(rule), Unit: "mm", Limit: known(limit(m, rule))}
	low, high := r.Slot.Min.Value, r.Slot.Max.Value
	needs := fmt.Sprintf("from %s to %s", inWords(m, low), inWords(m, high))
	if !g.SlotGiven {
		f.Severity = Unknown
		f.Message = "give the slot, to know whether it is long enough: the pin's centre runs " + needs + " from the shaft's axis"
		return f
	}
	spare := min(low-g.SlotMin, g.SlotMax-high)
	f.Value = known(spare)
	switch {
	case spare < 0:
		f.Severity = Fail
		f.Message = "lengthen the slot by " + slotEnds(m, g.SlotMin-low, high-g.SlotMax) + ": the pin's centre runs " + needs + " from the shaft's axis"
	case spare < f.Limit.Value:
		f.Severity = Caution
		f.Message = fmt.Sprintf("lengthen the slot: only %s is left beyond the pin's travel, %s", inWords(m, spare), needs)
	default:
		f.Message = fmt.Sprintf("the pin's centre runs %s and the slot leaves %s beyond", needs, inWords(m, spare))
	}
	return f
}

// slotEnds says how much a slot lacks at its near and at its far end; what is
// not positive is enough.
func slotEnds(m *mech.Model, near, far float64) string {
	switch {
	case far <= 0:
		return inWords(m, near) + " toward the shaft"
	case near <= 0:
		return inWords(m, far) + " away from the shaft"
	}
	return inWords(m, near) + " toward the shaft and " + inWords(m, far) + " away from it"
}

// openingFinding compares the opening needed with the one given.
func openingFinding(m *mech.Model, r *solve.TorsoResult) Finding {
	const rule = "opening"
	o := &m.Torso.Stage.Opening
	f := Finding{Rule: rule, Where: "torso.stage", Source: source(rule), Unit: "mm", Limit: known(limit(m, rule))}
	needs := fmt.Sprintf("a circle of %s, or %s by %s", inWords(m, r.Opening.Circle.Value), inWords(m, r.Opening.Width.Value), inWords(m, r.Opening.Depth.Value))
	var gap float64
	switch o.Shape {
	case mech.CircleOpening:
		gap = (o.Diameter - r.Opening.Circle.Value) / 2
	case mech.RectangleOpening:
		gap = min(o.Width-r.Opening.Width.Value, o.Depth-r.Opening.Depth.Value) / 2
	default:
		f.Severity = Unknown
		f.Message = "give the opening in the stage, to know whether it is large enough: the shaft needs " + needs
		return f
	}
	f.Value = known(gap)
	switch {
	case gap < 0:
		f.Severity = Fail
		f.Message = fmt.Sprintf("enlarge the opening by %s: the shaft needs %s", inWords(m, -2*gap), needs)
	case gap < f.Limit.Value:
		f.Severity = Caution
		f.Message = fmt.Sprintf("enlarge the opening: only %s is left beside the shaft, which needs %s", inWords(m, gap), needs)
	default:
		f.Message = fmt.Sprintf("the shaft keeps %s from the edge of the opening; it needs %s", inWords(m, gap), needs)
	}
	return f
}

// shaftDepthFinding asks whether the shaft reaches its lowest part. A level
// plate meets a tilted shaft farther down, by the cosine of the tilt.
func shaftDepthFinding(m *mech.Model, r *solve.TorsoResult) Finding {
	const rule = "shaft_depth"
	lowest, at := m.Torso.Guide.Depth, "the guide's arm"
	for i := range m.Torso.Pushes {
		p := &m.Torso.Pushes[i]
		depth := p.Depth
		if p.Kind != mech.Rod {
			depth /= math.Cos(r.Tilt.Value)
		}
		if depth > lowest {
			lowest, at = depth, "push "+p.Name
		}
	}
	spare := m.Torso.ShaftDepth - lowest
	f := Finding{
		Rule: rule, Where: "torso.shaft", Source: source(rule), Unit: "mm",
		Value: known(spare), Limit: known(limit(m, rule)),
		Message: fmt.Sprintf("the shaft reaches %s below %s", inWords(m, spare), at),
	}
	if spare < f.Limit.Value {
		f.Severity = Caution
		f.Message = fmt.Sprintf("lengthen the shaft: it ends %s below %s", inWords(m, spare), at)
		if spare < 0 {
			f.Severity = Fail
			f.Message = fmt.Sprintf("lengthen the shaft by %s: it ends above %s", inWords(m, -spare), at)
		}
	}
	return f
}

// belowStageFinding asks whether what pushes and guides lies under the stage.
func belowStageFinding(m *mech.Model) Finding {
	const rule = "below_stage"
	t := m.Torso
	highest, at := t.Guide.Depth, "the guide's arm"
	for i := range t.Pushes {
		if t.Pushes[i].Depth < highest {
			highest, at = t.Pushes[i].Depth, "push "+t.Pushes[i].Name
		}
	}
	gap := highest - t.Pivot - t.Stage.Thickness
	f := Finding{
		Rule: rule, Where: torsoPath, Source: source(rule), Unit: "mm",
		Value: known(gap), Limit: known(limit(m, rule)),
		Message: fmt.Sprintf("%s lies %s below the stage", at, inWords(m, gap)),
	}
	if gap < f.Limit.Value {
		f.Severity = Fail
		f.Message = fmt.Sprintf("lower %s by %s: it is not clear below the stage", at, inWords(m, f.Limit.Value-gap))
	}
	return f
}

package check

import (
	"fmt"

	"understage/internal/mech"
	"understage/internal/solve"
)

// pushFindings judges the pushes one by one, and how squarely they act.
func pushFindings(m *mech.Model, s *solve.Solution) []Finding {
	var all []Finding
	for i := range m.Torso.Pushes {
		switch m.Torso.Pushes[i].Kind {
		case mech.Yoke:
			all = append(all, yokePlateFinding(m, s.Torso, i))
		case mech.Edge:
			all = append(all, edgeContactFinding(m, s, i))
		}
	}
	return append(all, pushAngleFinding(m, s.Torso))
}

// yokePlateFinding asks what is left of the plate between follower and slot.
func yokePlateFinding(m *mech.Model, r *solve.TorsoResult, push int) Finding {
	const rule = "yoke_plate"
	f := Finding{Rule: rule, Where: pushPath(m, push), Source: source(rule), Unit: "mm", Limit: known(limit(m, rule))}
	plate := r.Pushes[push].Plate
	if !plate.OK {
		f.Severity, f.Limit, f.Unit = Unknown, mech.Given{}, ""
		f.Message = fmt.Sprintf("a lever carries this plate, and its length depends on the lever: draw it; the plate's slot needs %s end to end", inWords(m, r.Pushes[push].SlotLength))
		return f
	}
	roller := 0.0
	if follower := m.Cams[m.Torso.Pushes[push].Cam].Follower; follower != nil {
		roller = follower.Radius
	}
	left := plate.Value - roller - m.Torso.ShaftDiameter/2
	f.Value = known(left)
	switch {
	case left < 0:
		f.Severity = Fail
		f.Message = fmt.Sprintf("move the cam's shaft %s away from the torso: follower and shaft want the same place, %s apart from middle to middle", inWords(m, f.Limit.Value-left), inWords(m, plate.Value))
	case left < f.Limit.Value:
		f.Severity = Caution
		f.Message = fmt.Sprintf("move the cam's shaft away from the torso: only %s of the plate is left between follower and slot", inWords(m, left))
	default:
		f.Message = fmt.Sprintf("the plate measures %s from follower to slot and the slot %s end to end", inWords(m, plate.Value), inWords(m, r.Pushes[push].SlotLength))
	}
	return f
}

// edgeContactFinding asks whether the shaft stays on the rim.
func edgeContactFinding(m *mech.Model, s *solve.Solution, push int) Finding {
	const rule = "edge_contact"
	f := Finding{Rule: rule, Where: pushPath(m, push), Source: source(rule), Unit: "N", Limit: known(limit(m, rule))}
	press := s.Torso.Pushes[push].Press
	if !s.Torso.Pushes[push].PressKnown {
		f.Severity, f.Limit, f.Unit = Unknown, mech.Given{}, ""
		f.Message = "give the closing spring of the cam, or mass and centre of mass of the torso, to know whether the shaft stays on the rim"
		return f
	}
	f.Value = known(press.Value)
	if press.Value < f.Limit.Value {
		f.Severity = Fail
		f.Message = fmt.Sprintf("the shaft leaves the rim: the force that presses it on falls to %.2g N, so stiffen the closing spring or shift the weight toward the cam", press.Value)
		return f
	}
	f.Message = fmt.Sprintf("the shaft is pressed onto the rim with at least %.2g N, friction left out", press.Value)
	return f
}

// pushAngleFinding asks how squarely the pushes act to each other.
func pushAngleFinding(m *mech.Model, r *solve.TorsoResult) Finding {
	const rule = "push_angle"
	f := Finding{
		Rule: rule, Where: "torso.pushes", Source: source(rule), Unit: "deg",
		Value: known(degrees(r.PushAngle.Value)), Limit: known(degrees(limit(m, rule))),
		Message: fmt.Sprintf("the two pushes act at %.0f deg to each other or more squarely", degrees(r.PushAngle.Value)),
	}
	if r.PushAngle.Value < limit(m, rule) {
		f.Severity = Caution
		f.Message = fmt.Sprintf("set the pushes more squarely to each other: they come within %.0f deg of acting along one line", degrees(r.PushAngle.Value))
	}
	return f
}

package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/solve"
)

// frameFindings judges what lies under the stage: sizes, stack-up, clearances,
// the plates and the motor's mount.
func frameFindings(m *mech.Model, s *solve.Solution) []Finding {
	r := &s.Frame
	if len(r.Parts) == 0 {
		return nil
	}
	all := []Finding{sizesFinding(r)}
	all = append(all, stackFindings(m, r)...)
	all = append(all, crossedFindings(m, r)...)
	all = append(all, nearFindings(m, r)...)
	all = append(all, bearingFindings(m, r)...)
	for i := range r.Plates {
		all = append(all, wallFinding(m, r, &r.Plates[i]), bedFinding(m, r, &r.Plates[i]))
	}
	all = append(all, boreFindings(m, s)...)
	if f, ok := mountFinding(m, r); ok {
		all = append(all, f)
	}
	return append(all, stageSlotFindings(m, s)...)
}

const framePath = "frame"

// sizesFinding names the parts whose sizes are assumed.
func sizesFinding(r *solve.FrameResult) Finding {
	const rule = "frame_sizes"
	f := Finding{Rule: rule, Where: framePath, Source: source(rule)}
	const most = 4 // named in the sentence; tables mark the rest
	var named []string
	count := 0
	for i := range r.Parts {
		p := &r.Parts[i]
		if len(p.Assumed) == 0 {
			continue
		}
		if count++; len(named) < most {
			named = append(named, strings.Join(p.Assumed, " and ")+" of "+p.Name)
		}
	}
	if count == 0 {
		f.Message = "the sizes of all parts are given"
		return f
	}
	f.Severity = Unknown
	more := ""
	if count > most {
		more = fmt.Sprintf(", and of %d more parts", count-most)
	}
	f.Message = "sizes that the spec leaves out are assumed: " + strings.Join(named, ", ") + more + "; write them to be sure"
	return f
}

// stackFindings asks whether parts on one shaft share a height.
func stackFindings(m *mech.Model, r *solve.FrameResult) []Finding {
	const rule = "shaft_stack"
	if len(r.Stacks) == 0 {
		return nil
	}
	need := limit(m, rule)
	least := r.Stacks[0]
	var all []Finding
	for _, k := range r.Stacks {
		if k.Room < least.Room {
			least = k
		}
		if k.Room >= need-1e-9 {
			continue
		}
		upper, lower := &r.Parts[k.Upper], &r.Parts[k.Lower]
		f := Finding{Rule: rule, Where: upper.Where, Source: source(rule), Severity: Fail, Value: frameValue(k.Room), Limit: frameValue(need), Unit: "mm"}
		f.Message = fmt.Sprintf("%s and %s share a height: move one of them %s along its shaft, or make it thinner",
			upper.Name, lower.Name, inWords(m, need-k.Room))
		all = append(all, f)
	}
	if len(all) == 0 {
		upper, lower := &r.Parts[least.Upper], &r.Parts[least.Lower]
		all = append(all, Finding{Rule: rule, Where: upper.Where, Source: source(rule), Value: frameValue(least.Room), Limit: frameValue(need), Unit: "mm",
			Message: fmt.Sprintf("parts that share a shaft or pin each have a height of their own; the least room is between %s and %s", upper.Name, lower.Name)})
	}
	return all
}

// crossedFindings asks whether wheels on crossing shafts are written on the side
// that their sense needs.
func crossedFindings(m *mech.Model, r *solve.FrameResult) []Finding {
	const rule = "gear_side"
	var all []Finding
	for i, g := range m.Gears {
		if g.Kind != mech.Bevel && g.Kind != mech.Crown {
			continue
		}
		f := Finding{Rule: rule, Where: partPath("drive.gears", g.Name), Source: source(rule), Message: "the wheels lie on the sides that their sense needs"}
		if slices.Contains(r.Crossed, i) {
			f.Severity = Fail
			f.Message = "as the levels of its wheels are written, the pair turns in the other sense: move one wheel to the other side of the shaft it meets, or change sense"
		}
		all = append(all, f)
	}
	return all
}

// nearFindings judges the pairs that come too near, worst first, and says which
// is the nearest of the rest.
func nearFindings(m *mech.Model, r *solve.FrameResult) []Finding {
	const rule = "frame_clearance"
	need := limit(m, rule)
	var all []Finding
	for i := range r.Clearances {
		c := &r.Clearances[i]
		a, b := &r.Parts[c.A], &r.Parts[c.B]
		f := Finding{Rule: rule, Where: a.Where, Source: source(rule), Value: frameValue(c.Gap), Limit: frameValue(need), Unit: "mm"}
		if c.Gap >= need-1e-9 {
			if len(all) == 0 {
				f.Message = fmt.Sprintf("parts keep clear of each other; the nearest are %s and %s%s", a.Name, b.Name, nearTurn(c))
				return []Finding{f}
			}
			break
		}
		verb := fmt.Sprintf("come within %s of each other", inWords(m, c.Gap))
		f.Severity = Caution
		if c.Gap <= 0 {
			f.Severity, verb = Fail, "meet"
		}
		f.Message = fmt.Sprintf("%s and %s %s%s: %s", a.Name, b.Name, verb, nearTurn(c), howToPart(m, c, a, b, need))
		all = append(all, f)
	}
	if len(all) == 0 {
		all = append(all, Finding{Rule: rule, Where: framePath, Source: source(rule), Limit: frameValue(need), Unit: "mm", Value: frameValue(r.Far),
			Message: fmt.Sprintf("no two parts come nearer than %s that are not meant to touch", inWords(m, r.Far))})
	}
	return all
}

func nearTurn(c *solve.FrameClearance) string {
	if !c.Moves || c.Turns < 0 {
		return ""
	}
	return fmt.Sprintf(", nearest at motor turn %.4g", c.Turns)
}

// howToPart says which way and how far to move a part.
func howToPart(m *mech.Model, c *solve.FrameClearance, a, b *solve.FramePart, need float64) string {
	if c.Flat {
		along := fmt.Sprintf("move one of them %s along %s", inWords(m, need-c.Level), axisName(a.View))
		if c.Plan < need {
			along += fmt.Sprintf(", or %s apart in %s", inWords(m, need-c.Plan), a.View)
		}
		return along
	}
	best, axis := math.Inf(1), ""
	for _, way := range []struct {
		name  string
		apart float64
	}{{"x", c.Apart.X}, {"y", c.Apart.Y}, {"z", c.Apart.Z}} {
		if way.apart < best {
			best, axis = way.apart, way.name
		}
	}
	return fmt.Sprintf("move one of them %s along %s", inWords(m, need+best), axis)
}

func axisName(v geom.View) string {
	switch v {
	case geom.Front:
		return "y"
	case geom.Side:
		return "x"
	}
	return "z"
}

// bearingFindings asks whether each shaft is held by two plates.
func bearingFindings(m *mech.Model, r *solve.FrameResult) []Finding {
	const rule = "shaft_bearings"
	if len(m.Shafts) == 0 {
		return nil
	}
	if len(m.Frame.Plates) == 0 {
		return []Finding{{Rule: rule, Where: framePath, Source: source(rule), Severity: Unknown, Limit: frameValue(limit(m, rule)),
			Message: "no frame plates are given: write them under frame.plates to have holes, walls and drawings"}}
	}
	var all []Finding
	for i := range m.Shafts {
		held, seen := 0, 0
		for k := range r.Plates {
			if m.Frame.Plates[r.Plates[k].Plate].View == m.Shafts[i].View {
				seen++
			}
			if r.Plates[k].Holds(i) {
				held++
			}
		}
		all = append(all, bearingFinding(m, i, held, seen))
	}
	return all
}

func bearingFinding(m *mech.Model, shaft, held, seen int) Finding {
	const rule = "shaft_bearings"
	need := limit(m, rule)
	f := Finding{Rule: rule, Where: partPath("drive.shafts", m.Shafts[shaft].Name), Source: source(rule), Value: frameValue(float64(held)), Limit: frameValue(need)}
	switch {
	case float64(held) >= need:
		f.Message = fmt.Sprintf("%d frame plates hold it", held)
	case seen == 0:
		f.Severity = Unknown
		f.Message = fmt.Sprintf("no frame plate of the %s view is given to hold it: add one, or brackets of your own", m.Shafts[shaft].View)
	case held == 0:
		f.Severity = Fail
		f.Message = "it passes through no frame plate: set from and to so that it reaches them, or widen their outlines"
	default:
		f.Severity = Caution
		f.Message = fmt.Sprintf("only %d frame plate holds it: lengthen the shaft or add a plate", held)
	}
	return f
}

// wallFinding judges a plate's thinnest wall.
func wallFinding(m *mech.Model, r *solve.FrameResult, p *solve.PlateResult) Finding {
	const rule = "hole_wall"
	need := limit(m, rule)
	f := Finding{Rule: rule, Where: r.Parts[p.Part].Where, Source: source(rule), Limit: frameValue(need), Unit: "mm"}
	if !p.Wall {
		f.Severity, f.Message = Unknown, "the plate has no holes, so nothing goes through it: check its level against the ends of the shafts"
		return f
	}
	f.Value = frameValue(p.Least.Wall)
	hole := p.Holes[p.Least.A].Name
	other := "the edge"
	if p.Least.B != mech.None {
		other = p.Holes[p.Least.B].Name
	}
	switch {
	case p.Least.Wall >= need-1e-9:
		f.Message = fmt.Sprintf("the thinnest wall is between %s and %s", hole, other)
	case p.Least.Wall <= 0:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the hole for %s breaks into %s: move one of them %s", hole, other, inWords(m, need-p.Least.Wall))
	default:
		f.Severity = Caution
		f.Message = fmt.Sprintf("the wall between %s and %s is thin: move one of them %s, or use a smaller hole", hole, other, inWords(m, need-p.Least.Wall))
	}
	return f
}

// boreFindings judges the material round the bores of cams.
func boreFindings(m *mech.Model, s *solve.Solution) []Finding {
	const rule = "hole_wall"
	need := limit(m, rule)
	var all []Finding
	for i := range s.Frame.Parts {
		p := &s.Frame.Parts[i]
		if p.Kind != solve.FrameCam || p.Index >= len(s.Cams) {
			continue
		}
		for k := range s.Frame.Parts {
			shaft := &s.Frame.Parts[k]
			if shaft.Kind != solve.FrameShaft || shaft.Index != p.Shaft {
				continue
			}
			edge := s.Cams[p.Index].Base
			if f := m.Cams[p.Index].Follower; f != nil && f.Path == mech.Axial { // its track runs round a drum
				edge = f.TrackRadius
			}
			wall := edge - shaft.Radius - m.Frame.HoleAllowance/2
			f := Finding{Rule: rule, Where: p.Where, Source: source(rule), Value: frameValue(wall), Limit: frameValue(need), Unit: "mm",
				Message: "the bore leaves enough material inside the base circle"}
			switch {
			case wall <= 0:
				f.Severity, f.Message = Fail, fmt.Sprintf("the bore breaks through the rim: make the base circle %s larger, or the shaft thinner", inWords(m, need-wall))
			case wall < need-1e-9:
				f.Severity, f.Message = Caution, fmt.Sprintf("the bore leaves a thin wall: make the base circle %s larger, or the shaft thinner", inWords(m, need-wall))
			}
			all = append(all, f)
		}
	}
	return all
}

// bedFinding asks how a plate goes onto the bed.
func bedFinding(m *mech.Model, r *solve.FrameResult, p *solve.PlateResult) Finding {
	const rule = "bed_fit"
	f := Finding{Rule: rule, Where: r.Parts[p.Part].Where, Source: source(rule)}
	size := fmt.Sprintf("%s by %s", inWords(m, p.Size.X), inWords(m, p.Size.Y))
	switch fit := &p.Fit; {
	case !fit.Given:
		f.Severity, f.Message = Unknown, "the plate is "+size+"; write frame.bed to know whether it fits the print bed"
	case fit.Whole && fit.Turned:
		f.Message = "the plate, " + size + ", fits the bed turned by a quarter"
	case fit.Whole:
		f.Message = "the plate, " + size + ", fits the bed whole"
	case fit.Parts > 0:
		f.Severity = Caution
		f.Message = fmt.Sprintf("the plate, %s, is larger than the bed: print it in %d parts, split %s", size, fit.Parts, splitWords(m, fit))
	default:
		f.Severity = Fail
		f.Message = "the plate, " + size + ", is larger than the bed and no line parts it without crossing a hole: move a hole, or make the plate smaller"
	}
	return f
}

func splitWords(m *mech.Model, fit *solve.BedFit) string {
	axis := "v"
	if fit.AlongU {
		axis = "u"
	}
	var at []string
	for _, s := range fit.Splits {
		at = append(at, inWords(m, s))
	}
	text := "where " + axis + " is " + strings.Join(at, " and ")
	if len(fit.Across) > 0 {
		other := map[string]string{"u": "v", "v": "u"}[axis]
		var across []string
		for _, s := range fit.Across {
			across = append(across, inWords(m, s))
		}
		text += ", and where " + other + " is " + strings.Join(across, " and ")
	}
	return text
}

// mountFinding asks whether the motor can be screwed on.
func mountFinding(m *mech.Model, r *solve.FrameResult) (Finding, bool) {
	const rule = "motor_mount"
	if m.Motor == nil {
		return Finding{}, false
	}
	f := Finding{Rule: rule, Where: "motor.body", Source: source(rule)}
	switch r.Mount.Status {
	case solve.MountUnknown:
		f.Where, f.Severity, f.Message = "motor", Unknown, "the motor's body is not given: write motor.body to place it and have its holes"
	case solve.MountNoPlate:
		f.Severity, f.Message = Fail, "no frame plate of its shaft's view lies at the motor's face: add one, or move its level"
		if r.Mount.Away != 0 {
			f.Message = fmt.Sprintf("the nearest frame plate lies %s from the motor's face: move one of them", inWords(m, math.Abs(r.Mount.Away)))
		}
		if len(m.Frame.Plates) == 0 {
			f.Severity, f.Message = Unknown, "no frame plates are given to screw the motor to: write frame.plates"
		}
	case solve.MountOffPlate:
		f.Severity, f.Message = Fail, "plate "+m.Frame.Plates[r.Mount.Plate].Name+" does not reach round the motor's boss and screws: widen its outline"
	case solve.MountNoScrews:
		f.Severity, f.Message = Unknown, "the motor's screws are not given: write motor.body.screws, or clamp its body"
		if d := m.Motor.Body.Diameter; d > 0 {
			f.Message += fmt.Sprintf(" in a bore of %s", inWords(m, d+m.Frame.HoleAllowance))
		}
	default:
		f.Message = "the motor is screwed to plate " + m.Frame.Plates[r.Mount.Plate].Name
	}
	return f, true
}

// stageSlotFindings says where linkages need a slot in the stage.
func stageSlotFindings(m *mech.Model, s *solve.Solution) []Finding {
	const rule = "stage_slot"
	if m.Torso == nil {
		return nil
	}
	var all []Finding
	for i := range m.Linkages {
		f := Finding{Rule: rule, Where: partPath("linkages", m.Linkages[i].Name), Source: source(rule), Message: "it does not pass through the stage"}
		if i >= len(s.Machine.Chains) || s.Machine.Chains[i] == nil {
			f.Severity, f.Message = Unknown, "it cannot be posed, so what it passes through is not known"
		}
		for _, slot := range s.Frame.Slots {
			if slot.Linkage == i {
				f.Message = fmt.Sprintf("it passes through the stage: cut a slot for x %s to %s, y %s to %s, and clearance all round",
					inWords(m, slot.Min.X), inWords(m, slot.Max.X), inWords(m, slot.Min.Y), inWords(m, slot.Max.Y))
			}
		}
		all = append(all, f)
	}
	return all
}

func frameValue(v float64) mech.Given { return mech.Given{Value: v, OK: true} }

package check

import (
	"fmt"
	"slices"

	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/standard"
)

// ServiceFactor is what the torque is multiplied by before a belt is judged: the
// lesser of the handbook's 1.5 to 2.0 for power drives (Handbook of Timing Belts
// and Pulleys, D265, p. T-50).
const ServiceFactor = 1.5

// BeltLoad is the torque a belt is judged under, and where it comes from.
type BeltLoad struct {
	Duty  solve.BeltDuty
	From  string // in words; "" where no torque is known
	AtMax bool   // the motor's stall torque, for want of the loads
}

// BeltLoadOf returns what the figure's motor asks of a belt.
func BeltLoadOf(m *mech.Model, s *solve.Solution, belt int) BeltLoad {
	duty, from, ok := solve.BeltDutyOf(m, s, belt)
	duty.Service = ServiceFactor
	if !ok {
		from = ""
	}
	return BeltLoad{Duty: duty, From: from, AtMax: !s.Motor.PeakTorque.OK}
}

// tensionFinding asks whether a belt whose loop closes carries its torque.
func tensionFinding(m *mech.Model, b *mech.Belt, r *solve.BeltResult, load BeltLoad) Finding {
	const rule = "belt_tension"
	f := Finding{Rule: rule, Severity: Unknown, Where: beltPath(b), Source: source(rule)}
	section, listed := standard.FindSection(b.Section.Name)
	switch {
	case load.From == "":
		f.Message = "no torque is known at the belt: give the motor and what it drives"
		return f
	case !b.Width.OK:
		f.Message = "give the belt's width, to know whether it carries the torque"
		return f
	case !listed || !section.Tension.OK:
		f.Message = "no allowable tension is known for this belt system: ask the supplier"
		return f
	}
	t := solve.SolveTension(m, b, r, section, load.Duty)
	most := limit(m, rule)
	share := t.Tight / max(t.Allowable.Value, 1e-9)
	f.Value, f.Limit = known(share), known(most)
	switch {
	case share <= most:
		f.Severity = OK
		f.Message = fmt.Sprintf("%s asks for %.3g N on the tight side, and the belt carries %.3g N", load.From, t.Tight, t.Allowable.Value)
	case load.AtMax:
		f.Message = fmt.Sprintf("%s would pull %.3g N and the belt carries %.3g N: give masses, springs and friction, to know what it is really asked", load.From, t.Tight, t.Allowable.Value)
	default:
		f.Severity = Fail
		f.Message = fmt.Sprintf("%s asks for %.3g N on the tight side and the belt carries %.3g N: take a wider belt, larger sprockets or more wrap", load.From, t.Tight, t.Allowable.Value)
	}
	return f
}

// layoutRules joins what can stand near a belt to the rule that judges it.
var layoutRules = [...]struct {
	rule  string
	kinds []solve.GapKind
	clear string // what an empty neighbourhood is said to be
}{
	{"belt_clearance", []solve.GapKind{solve.BeltToShaft, solve.BeltToHub, solve.BeltToPulley, solve.BeltToBelt}, "nothing else stands in the belt's layer"},
	{"pulley_clearance", []solve.GapKind{solve.PulleyToPulley}, "no other pulley stands at this level"},
	{"belt_layers", []solve.GapKind{solve.LayerToLayer}, "no other belt shares a shaft with it"},
}

// layoutFindings judges what a belt runs near, the nearest of each kind.
func layoutFindings(m *mech.Model, gaps []solve.Gap, belt int) []Finding {
	var all []Finding
	for _, l := range layoutRules {
		all = append(all, beltGapFinding(m, gaps, belt, l.rule, l.kinds, l.clear))
	}
	return all
}

func beltGapFinding(m *mech.Model, gaps []solve.Gap, belt int, rule string, kinds []solve.GapKind, clear string) Finding {
	f := Finding{Rule: rule, Where: beltPath(&m.Belts[belt]), Source: source(rule), Unit: "mm", Message: clear}
	nearest, unsure := -1, -1
	for i, g := range gaps {
		if g.Belt != belt || !slices.Contains(kinds, g.Kind) {
			continue
		}
		if !g.Known {
			if unsure < 0 || g.Size < gaps[unsure].Size {
				unsure = i
			}
			continue
		}
		if nearest < 0 || g.Size < gaps[nearest].Size {
			nearest = i
		}
	}
	least := limit(m, rule)
	if nearest >= 0 {
		g := gaps[nearest]
		f.Value, f.Limit = known(g.Size), known(least)
		switch {
		case g.Size < 0:
			f.Severity = Fail
			f.Message = fmt.Sprintf("%s and %s are %s in each other: %s", g.Mine, g.Other, inWords(m, -g.Size), layoutCure(g.Kind))
		case g.Size < least:
			f.Severity = Caution
			f.Message = fmt.Sprintf("%s and %s are only %s apart: %s", g.Mine, g.Other, inWords(m, g.Size), layoutCure(g.Kind))
		default:
			f.Message = fmt.Sprintf("nearest are %s and %s, %s apart", g.Mine, g.Other, inWords(m, g.Size))
		}
	}
	if unsure >= 0 && f.Severity == OK && gaps[unsure].Size < least {
		f.Severity = Unknown
		f.Message = fmt.Sprintf("%s and %s may meet: give widths, levels and diameters of both", gaps[unsure].Mine, gaps[unsure].Other)
	}
	return f
}

func layoutCure(kind solve.GapKind) string {
	switch kind {
	case solve.LayerToLayer:
		return "set the belts' levels farther apart"
	case solve.PulleyToPulley:
		return "move them apart, make one smaller or put them in different layers"
	case solve.BeltToBelt:
		return "put the belts in different layers or lead one round the other"
	default:
		return "move one of them, lead the belt round with an idler, or put it in another layer"
	}
}

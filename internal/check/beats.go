package check

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
)

const beatsPath = "beats"

// beatFindings judges the beats of a figure that has any.
func beatFindings(m *mech.Model, s *solve.Solution) []Finding {
	if m.Beats == nil || s.Beats == nil {
		return nil
	}
	r := s.Beats
	all := []Finding{beatFinding(m, r)}
	if r.Status != solve.BeatsFound {
		return all
	}
	if r.Target.OK {
		all = append(all, tempoFinding(m, s))
	}
	return append(all, evennessFinding(m, r))
}

// beatFinding asks whether there is a beat.
func beatFinding(m *mech.Model, r *solve.BeatsResult) Finding {
	const rule = "beats"
	f := Finding{Rule: rule, Where: beatsPath, Source: source(rule)}
	name := m.Beats.Of.Name
	switch r.Status {
	case solve.BeatsFound:
		f.Value, f.Unit = known(r.PerMinute), "per min"
		f.Message = fmt.Sprintf("%s beats %.4g times a minute", name, r.PerMinute)
		if r.Part {
			f.Severity = Unknown
			f.Message += fmt.Sprintf(", counted over the first %.4g motor turns: the whole repeat is too long to follow", r.Turns)
		}
	case solve.BeatsStill:
		f.Severity = Fail
		f.Message = fmt.Sprintf("%s never beats: its coordinate does not vary, choose another event or point", name)
	case solve.BeatsNever:
		f.Severity = Fail
		f.Message = fmt.Sprintf("%s never beats: the cam does not drop", name)
		if m.Beats.When == mech.Touching && r.Range.Valid {
			f.Value, f.Limit, f.Unit = known(r.Range.Min.Value), known(m.Beats.Height), "mm"
			f.Message = fmt.Sprintf("%s never touches %s: it moves between %s and %s, set a height between them", name, inWords(m, m.Beats.Height), inWords(m, r.Range.Min.Value), inWords(m, r.Range.Max.Value))
		}
	default:
		f.Severity = Unknown
		f.Message = fmt.Sprintf("%s cannot be posed all the way round, so its beats cannot be counted", name)
	}
	return f
}

// tempoFinding compares the tempo with the one asked for, and says what would
// meet it.
func tempoFinding(m *mech.Model, s *solve.Solution) Finding {
	const rule = "beat_tempo"
	r := s.Beats
	most := limit(m, rule)
	off := math.Abs(r.PerMinute/r.Target.Value - 1)
	f := Finding{
		Rule: rule, Where: beatsPath, Source: source(rule), Value: known(off), Limit: known(most),
		Message: fmt.Sprintf("%.4g beats per minute meet the %.4g asked for", r.PerMinute, r.Target.Value),
	}
	if off <= most {
		return f
	}
	f.Severity = Caution
	f.Message = fmt.Sprintf("%.4g beats per minute instead of %.4g: %s", r.PerMinute, r.Target.Value, supplyWords(m, r))
	if len(r.Sprockets) > 0 {
		f.Message += ", or " + SprocketWords(m, r.Sprockets[0])
	}
	return f
}

// supplyWords says which supply would meet the tempo.
func supplyWords(m *mech.Model, r *solve.BeatsResult) string {
	v := r.SupplyForTarget.Value
	if v > m.Motor.Rated {
		return fmt.Sprintf("that would take %.3g V, more than the motor's %.3g V", v, m.Motor.Rated)
	}
	return fmt.Sprintf("set the supply to %.3g V", v)
}

// SprocketWords says which wheel to exchange for which.
func SprocketWords(m *mech.Model, c solve.SprocketChange) string {
	part := "gears"
	name := ""
	if c.Part.Kind == solve.BeltPart {
		part, name = "belt", m.Belts[c.Part.Index].Name
	} else {
		name = m.Gears[c.Part.Index].Name
	}
	more := ""
	if c.Stocked {
		more = ", which is in the drawer,"
	}
	switch {
	case c.Part.Kind != solve.BeltPart:
		more += " and mind the gears' spacing"
	case c.Belt > 0:
		more += fmt.Sprintf(" with a belt of %d teeth", c.Belt)
	default:
		more += ", for which no stocked belt fits,"
	}
	return fmt.Sprintf("fit %d teeth instead of %d on shaft %s of %s %s%s for %.4g per minute", c.To, c.From, m.Shafts[c.Shaft].Name, part, name, more, c.PerMinute)
}

func evennessFinding(m *mech.Model, r *solve.BeatsResult) Finding {
	const rule = "beat_evenness"
	least := limit(m, rule)
	got := r.Evenness()
	f := Finding{
		Rule: rule, Where: beatsPath, Source: source(rule), Value: known(got), Limit: known(least),
		Message: "the beats come evenly",
	}
	if got < least {
		f.Severity = Caution
		f.Message = fmt.Sprintf("the shortest gap between beats is %.2f of the longest: move the lobes or throws so that they come evenly, or count fewer", got)
	}
	return f
}

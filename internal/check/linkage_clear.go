package check

import (
	"fmt"

	"understage/internal/mech"
	"understage/internal/solve"
)

// linkageClearances judges the gaps of a linkage's points by the torso's rules.
func linkageClearances(m *mech.Model, l *mech.Linkage, r *solve.LinkageResult) []Finding {
	var all []Finding
	for _, rule := range [...]string{"clearance", "pinch_gap"} {
		for _, c := range r.Clearances {
			all = append(all, linkageGapFinding(m, l, rule, c))
		}
	}
	return all
}

// linkageGapFinding judges one gap, by clearance or pinch_gap.
func linkageGapFinding(m *mech.Model, l *mech.Linkage, rule string, c solve.LinkageClearance) Finding {
	least, gap := limit(m, rule), c.Gap.Value
	f := Finding{
		Rule: rule, Where: linkagePath(l), Source: source(rule), Unit: "mm",
		Value: known(gap), Limit: known(least),
	}
	point := l.Points[c.Point].Name
	other := "the torso's "
	if c.Obstacle != mech.None {
		other = m.Torso.KeepClear[c.Obstacle].Name
	} else {
		other += m.Torso.Points[c.Torso].Name
	}
	f.Message = fmt.Sprintf("%s keeps %s clear of %s%s", point, inWords(m, gap), other, atTurns(c.Gap))
	if gap >= least {
		return f
	}
	f.Severity = Caution
	switch {
	case rule == "pinch_gap":
		f.Message = fmt.Sprintf("open, close or guard the gap between %s and %s, which narrows to %s%s and pinches a finger", point, other, inWords(m, max(gap, 0)), atTurns(c.Gap))
	case gap < 0:
		f.Severity = Fail
		f.Message = fmt.Sprintf("move %s or %s: they meet by %s%s", other, point, inWords(m, -gap), atTurns(c.Gap))
	default:
		f.Message = fmt.Sprintf("move %s or %s: they come within %s%s", other, point, inWords(m, gap), atTurns(c.Gap))
	}
	return f
}

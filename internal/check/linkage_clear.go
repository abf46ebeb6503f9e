package check

import (
	"fmt"

	"understage/internal/mech"
	"understage/internal/solve"
)

// linkageClearances judges the gaps of a linkage's points, by the same limit as
// the torso's.
func linkageClearances(m *mech.Model, l *mech.Linkage, r *solve.LinkageResult) []Finding {
	const rule = "clearance"
	var all []Finding
	for _, c := range r.Clearances {
		least := limit(m, rule)
		f := Finding{
			Rule: rule, Where: linkagePath(l), Source: source(rule), Unit: "mm",
			Value: known(c.Gap.Value), Limit: known(least),
		}
		point, other := l.Points[c.Point].Name, ""
		if c.Obstacle != mech.None {
			other = m.Torso.KeepClear[c.Obstacle].Name
		} else {
			other = "the torso's " + m.Torso.Points[c.Torso].Name
		}
		when := ""
		if !c.Gap.Bound && c.Gap.Turns >= 0 {
			when = fmt.Sprintf(" at motor turn %.4g", c.Gap.Turns)
		}
		f.Message = fmt.Sprintf("%s stays %s from %s", point, inWords(m, c.Gap.Value), other)
		switch {
		case c.Gap.Value < 0:
			f.Severity = Fail
			f.Message = fmt.Sprintf("%s goes %s into %s%s: move one of them, or shorten the crank", point, inWords(m, -c.Gap.Value), other, when)
		case c.Gap.Value < least:
			f.Severity = Caution
			f.Message = fmt.Sprintf("%s comes within %s of %s%s: move one of them, or shorten the crank", point, inWords(m, c.Gap.Value), other, when)
		}
		all = append(all, f)
	}
	return all
}

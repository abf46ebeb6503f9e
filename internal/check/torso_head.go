package check

import (
	"fmt"

	"understage/internal/mech"
	"understage/internal/solve"
)

// gravity, mm/s², is the standard acceleration of free fall (ISO 80000-3).
const gravity = 9806.65

// clearanceFindings judges each point against the obstacle it comes nearest to,
// and against every other it comes too near.
func clearanceFindings(m *mech.Model, r *solve.TorsoResult) []Finding {
	if len(m.Torso.Points) == 0 {
		var all []Finding
		for _, rule := range []string{"clearance", "pinch_gap"} {
			all = append(all, Finding{
				Rule: rule, Severity: Unknown, Where: torsoPath, Source: source(rule),
				Message: "give points of the figure, to know what it would hit",
			})
		}
		return all
	}
	var all []Finding
	for _, rule := range []string{"clearance", "pinch_gap"} {
		least := limit(m, rule)
		for i := range m.Torso.Points {
			nearest := -1
			found := false
			for k, c := range r.Clearances {
				if c.Point != i {
					continue
				}
				if nearest < 0 || c.Gap.Value < r.Clearances[nearest].Gap.Value {
					nearest = k
				}
				if c.Gap.Value < least {
					all = append(all, gapFinding(m, rule, c))
					found = true
				}
			}
			if !found && nearest >= 0 {
				all = append(all, gapFinding(m, rule, r.Clearances[nearest]))
			}
		}
	}
	return all
}

// gapFinding judges one gap, by clearance or pinch_gap.
func gapFinding(m *mech.Model, rule string, c solve.Clearance) Finding {
	point, obstacle := m.Torso.Points[c.Point].Name, "the stage"
	if c.Obstacle != mech.None {
		obstacle = m.Torso.KeepClear[c.Obstacle].Name
	}
	gap := c.Gap.Value
	f := Finding{
		Rule: rule, Where: partPath("torso.points", point), Source: source(rule), Unit: "mm",
		Value: known(gap), Limit: known(limit(m, rule)),
		Message: fmt.Sprintf("%s keeps %s clear of %s%s", point, inWords(m, gap), obstacle, atTurns(c.Gap)),
	}
	if gap >= f.Limit.Value {
		return f
	}
	f.Severity = Caution
	switch {
	case rule == "pinch_gap":
		f.Message = fmt.Sprintf("open, close or guard the gap between %s and %s, which narrows to %s%s and pinches a finger", point, obstacle, inWords(m, max(gap, 0)), atTurns(c.Gap))
	case gap < 0:
		f.Severity = Fail
		f.Message = fmt.Sprintf("move %s or %s: they meet by %s%s", obstacle, point, inWords(m, -gap), atTurns(c.Gap))
	default:
		f.Message = fmt.Sprintf("move %s or %s: they come within %s%s", obstacle, point, inWords(m, gap), atTurns(c.Gap))
	}
	return f
}

// atTurns says when an extreme is met.
func atTurns(e solve.Extreme) string {
	if e.Turns < 0 {
		return ""
	}
	if e.Bound {
		return fmt.Sprintf(", nearest about motor turn %.6g", e.Turns)
	}
	return fmt.Sprintf(" at motor turn %.6g", e.Turns)
}

// headFindings compares the figure's motion with a walking person's.
func headFindings(m *mech.Model, s *solve.Solution) []Finding {
	const turning, jolt = "head_turning", "head_jolt"
	if m.Motor == nil || s.Motor.RunningSpeed <= 0 {
		var all []Finding
		for _, rule := range []string{turning, jolt} {
			all = append(all, Finding{
				Rule: rule, Severity: Unknown, Where: torsoPath, Source: source(rule),
				Message: "give the motor, to know how fast the figure moves",
			})
		}
		return all
	}
	speed := s.Motor.RunningSpeed
	turn := Finding{
		Rule: turning, Where: torsoPath, Source: source(turning), Unit: "deg/s",
		Value: known(degrees(s.Torso.Turning.Value * speed)), Limit: known(degrees(limit(m, turning))),
		Message: fmt.Sprintf("the figure turns at up to %.1f deg/s", degrees(s.Torso.Turning.Value*speed)),
	}
	if turn.Value.Value > turn.Limit.Value {
		turn.Severity = Caution
		turn.Message += ", faster than a walking head: gear it slower or use less lift"
	}
	if len(m.Torso.Points) == 0 {
		return []Finding{turn, {
			Rule: jolt, Severity: Unknown, Where: torsoPath, Source: source(jolt),
			Message: "give points of the figure, to know how hard they are moved",
		}}
	}
	worst := 0
	for i := range s.Torso.Points {
		if s.Torso.Points[i].Acceleration.Value > s.Torso.Points[worst].Acceleration.Value {
			worst = i
		}
	}
	g := s.Torso.Points[worst].Acceleration.Value * speed * speed / gravity
	hard := Finding{
		Rule: jolt, Where: partPath("torso.points", m.Torso.Points[worst].Name), Source: source(jolt), Unit: "g",
		Value: known(g), Limit: known(limit(m, jolt)),
		Message: fmt.Sprintf("%s is accelerated by up to %.2g g", m.Torso.Points[worst].Name, g),
	}
	if g > hard.Limit.Value {
		hard.Severity = Caution
		hard.Message += ", more than a walking head: gear it slower, or use a law with less peak acceleration"
	}
	return []Finding{turn, hard}
}

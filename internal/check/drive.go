package check

import (
	"fmt"
	"math"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"
)

// driveFindings judges how the motor's turning reaches the shafts, the gears
// and how long the motion lasts without repeating. A figure without a motor
// has gears to judge and nothing else.
func driveFindings(m *mech.Model, s *solve.Solution) []Finding {
	var all []Finding
	if m.Motor != nil {
		all = append(all, lockFindings(m, s)...)
		all = append(all, drivenFindings(m, s)...)
		all = append(all, repeatFindings(m, s)...)
	}
	for i, g := range m.Gears {
		if g.Kind == mech.Worm && m.Motor != nil {
			all = append(all, wormFinding(g, s.Drive.Backward, i))
		}
		if i < len(s.Gears) {
			all = append(all, gearSpacingFinding(m, g, s.Gears[i]))
		}
	}
	return all
}

func shaftPath(m *mech.Model, shaft int) string {
	return partPath("drive.shafts", m.Shafts[shaft].Name)
}

// partName returns the part in words: "belt loop", "gears chime".
func partName(m *mech.Model, p solve.Part) string {
	switch p.Kind {
	case solve.BeltPart:
		return "belt " + m.Belts[p.Index].Name
	case solve.GearPart:
		return "gears " + m.Gears[p.Index].Name
	default:
		return "the motor"
	}
}

// lockFindings asks whether two paths through the drive disagree.
func lockFindings(m *mech.Model, s *solve.Solution) []Finding {
	const rule = "drive_locks"
	if !s.Drive.Locks() {
		return []Finding{{
			Rule: rule, Where: "drive", Source: source(rule),
			Message: "all paths through the drive agree on the shafts' speeds",
		}}
	}
	var all []Finding
	for _, c := range s.Drive.Conflicts {
		all = append(all, Finding{
			Rule: rule, Severity: Fail, Where: shaftPath(m, c.Shaft), Source: source(rule),
			Message: fmt.Sprintf("the drive locks: %s turns shaft %s %s times per motor turn and %s %s times; change the teeth on one path or take one of them out",
				partName(m, c.First), m.Shafts[c.Shaft].Name, c.Ratio, partName(m, c.Via), c.Second),
		})
	}
	return all
}

// drivenFindings names the shafts that stand still.
func drivenFindings(m *mech.Model, s *solve.Solution) []Finding {
	const rule = "driven"
	var all []Finding
	for _, i := range s.Drive.Undriven {
		all = append(all, Finding{
			Rule: rule, Severity: Fail, Where: shaftPath(m, i), Source: source(rule),
			Message: fmt.Sprintf("nothing drives shaft %s: tie it to the motor with a belt or gears, or take it out", m.Shafts[i].Name),
		})
	}
	for _, i := range s.Drive.Overflows {
		all = append(all, Finding{
			Rule: rule, Severity: Unknown, Where: shaftPath(m, i), Source: source(rule),
			Message: fmt.Sprintf("the exact ratio of shaft %s has too many digits to follow: use fewer or smaller tooth counts on the way to it", m.Shafts[i].Name),
		})
	}
	if len(all) == 0 {
		all = append(all, Finding{Rule: rule, Where: "drive", Source: source(rule), Message: "every shaft turns with the motor"})
	}
	return all
}

func wormFinding(g mech.Gear, backward []int, i int) Finding {
	const rule = "worm_backward"
	f := Finding{Rule: rule, Where: partPath("drive.gears", g.Name), Source: source(rule), Message: "the worm drives its wheel"}
	for _, b := range backward {
		if b == i {
			f.Severity = Fail
			f.Message = "the wheel would have to drive the worm, which most often locks: put the worm on the shaft nearer the motor"
		}
	}
	return f
}

// tooClose is how much of the gear_spacing limit shafts may stand nearer than
// the teeth need, before the backlash is used up.
const tooClose = 0.2

// gearSpacingFinding compares the shafts' distance with what the teeth need,
// over the whole take-up.
func gearSpacingFinding(m *mech.Model, g mech.Gear, r solve.GearResult) Finding {
	const rule = "gear_spacing"
	f := Finding{Rule: rule, Where: partPath("drive.gears", g.Name), Source: source(rule), Limit: known(limit(m, rule))}
	switch r.Status {
	case solve.GearParallel:
		f.Severity, f.Limit = Fail, mech.Given{}
		f.Message = fmt.Sprintf("%s gears join shafts that stand square to each other, and these are parallel: give one another view, or make the pair spur or internal", g.Kind)
		return f
	case solve.GearCrossed:
		f.Severity, f.Limit = Fail, mech.Given{}
		f.Message = fmt.Sprintf("%s gears join parallel shafts, and these stand in different views: make the pair bevel, crown or worm", g.Kind)
		return f
	case solve.GearUnknown:
		f.Severity = Unknown
		f.Message = "give the module, to know whether the shafts stand where the teeth mesh"
		if g.Kind == mech.Worm {
			f.Message = "the distance of a worm's shafts depends on the worm's own diameter: check it against the worm at hand"
		}
		return f
	}
	near, far := r.Needed-r.Least, r.Most-r.Needed // how much too close, too far
	off := max(near, far)
	if g.Module <= 0 { // bevel and crown axes must meet whatever their module
		f.Value, f.Limit, f.Unit = known(off), known(0), "mm"
		if off > axesMeet {
			f.Severity = Caution
			f.Message = fmt.Sprintf("the axes pass each other %s apart and should meet: move a shaft by that, or give the module to judge it by", inWords(m, off))
			return f
		}
		f.Message = "the axes meet"
		return f
	}
	f.Value = known(off / g.Module)
	where := "as drawn"
	if r.Moved {
		where = "over the take-up"
	}
	switch {
	case near > tooClose*f.Limit.Value*g.Module && r.Needed > 0:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the shafts come to %s apart %s and the teeth need %s: set them %s farther apart, or move the take-up to another shaft",
			inWords(m, r.Least), where, inWords(m, r.Needed), inWords(m, near))
	case off > f.Limit.Value*g.Module:
		f.Severity = Caution
		if far > g.Module {
			f.Severity = Fail // the teeth are two modules deep and more than half out
		}
		f.Message = fmt.Sprintf("the shafts stand up to %s apart %s and the teeth need %s: bring them %s closer, or move the take-up to another shaft",
			inWords(m, r.Most), where, inWords(m, r.Needed), inWords(m, far))
	case r.Needed == 0:
		f.Message = fmt.Sprintf("the axes meet within %s %s", inWords(m, off), where)
	default:
		f.Message = fmt.Sprintf("the shafts stand within %s of the %s that the teeth need %s", inWords(m, off), inWords(m, r.Needed), where)
	}
	return f
}

// axesMeet, in mm, is nearer than a printed frame can be told from meeting.
const axesMeet = 0.1

// repeatFindings judges how long the motion lasts without repeating.
func repeatFindings(m *mech.Model, s *solve.Solution) []Finding {
	const rule = "repeat"
	f := Finding{Rule: rule, Where: "drive", Source: source(rule), Unit: "s"}
	switch s.Repeat.Status {
	case solve.NothingTurns:
		f.Severity = Unknown
		f.Message = "no cam or crank is driven, so nothing repeats: put one on a driven shaft"
		return []Finding{f}
	case solve.RepeatUnknown:
		f.Severity = Unknown
		f.Message = "the repeat is known once the drive turns with exact ratios: see the other findings on the drive"
		return []Finding{f}
	}
	seconds := secondsFor(s, s.Repeat.Turns)
	f.Value, f.Limit = known(seconds), known(limit(m, rule))
	f.Message = fmt.Sprintf("the motion repeats after %s, %s", motorTurns(s.Repeat.Exact), duration(seconds))
	if seconds < f.Limit.Value {
		f.Severity = Caution
		f.Message += ": " + longerRepeat(s)
	}
	return []Finding{f, nearFinding(m, s)}
}

// nearFinding judges the nearest thing to a repeat before it.
func nearFinding(m *mech.Model, s *solve.Solution) Finding {
	const rule = "near_repeat"
	near := s.Repeat.Near
	f := Finding{Rule: rule, Where: "drive", Source: source(rule), Unit: "deg", Limit: known(degrees(limit(m, rule)))}
	switch near.Status {
	case solve.NoNearRepeat:
		f.Message = "before it repeats, the figure is never near home with all shafts at once"
	case solve.NearSearchEnded:
		f.Severity = Unknown
		f.Message = fmt.Sprintf("in the first %s, %s, the figure is never near home with all shafts at once; later was not looked at",
			motorTurns(fmt.Sprintf("%.6g", near.Searched)), duration(secondsFor(s, near.Searched)))
	default:
		seconds := secondsFor(s, near.Turns)
		f.Value = known(degrees(near.Worst))
		f.Message = fmt.Sprintf("after %s, %s, all shafts are within %.1f deg of home", motorTurns(fmt.Sprintf("%.6g", near.Turns)), duration(seconds), degrees(near.Worst))
		if seconds < limit(m, "repeat") {
			f.Severity = Caution
			f.Message += ", and the motion seems to repeat: change a sprocket or gear by a tooth"
		}
	}
	return f
}

// longerRepeat says how to make the repeat longer. One shaft alone is home after
// each of its turns, whatever its tooth count.
func longerRepeat(s *solve.Solution) string {
	moving := 0
	for _, matters := range s.Repeat.Matters {
		if matters {
			moving++
		}
	}
	if moving == 1 {
		return "all that moves sits on one shaft; put a cam on a second one, or slow this one down"
	}
	return "change a sprocket or gear by one tooth, so that the tooth counts have no common divisor"
}

// motorTurns writes a count of turns with its noun.
func motorTurns(count string) string {
	if count == "1" {
		return "1 motor turn"
	}
	return count + " motor turns"
}

func secondsFor(s *solve.Solution, turns float64) float64 {
	return turns * 2 * math.Pi / s.Motor.RunningSpeed
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }

// duration writes seconds as people say them: "42 s", "3 min 20 s", "2.4 h",
// "26.6 days".
func duration(seconds float64) string {
	switch {
	case seconds < 10:
		return fmt.Sprintf("%.2g s", seconds)
	case seconds < 99.5:
		return fmt.Sprintf("%.0f s", seconds)
	case seconds < 5400:
		whole := int(math.Round(seconds))
		return strings.TrimSuffix(fmt.Sprintf("%d min %d s", whole/60, whole%60), " 0 s")
	case seconds < 2*86400:
		return fmt.Sprintf("%.3g h", seconds/3600)
	case seconds < 730*86400:
		return fmt.Sprintf("%.3g days", seconds/86400)
	default:
		return fmt.Sprintf("%.3g years", seconds/(365.25*86400))
	}
}

// inWords writes a length in the maker's unit, with its name.
func inWords(m *mech.Model, mm float64) string {
	if m.Lengths == mech.Inch {
		return fmt.Sprintf("%.3f in", mm/25.4)
	}
	return fmt.Sprintf("%.2f mm", mm)
}

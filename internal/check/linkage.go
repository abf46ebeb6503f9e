package check

import (
	"fmt"
	"math"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"
)

// linkageFindings judges every linkage and the beats.
func linkageFindings(m *mech.Model, s *solve.Solution) []Finding {
	var all []Finding
	for i := range m.Linkages {
		if i >= len(s.Linkages) {
			break
		}
		l, r := &m.Linkages[i], &s.Linkages[i]
		all = append(all, mobilityFinding(l, r))
		if r.Chain == nil {
			all = append(all, assemblyFinding(m, l, r)...)
			continue
		}
		all = append(all, assemblyFinding(m, l, r)...)
		all = append(all, lockFinding(m, l, r), branchFinding(l, r), transmissionFinding(m, l, r))
		all = append(all, grashofFindings(m, l, r)...)
		all = append(all, slotReachFindings(m, l, r)...)
		all = append(all, linkageClearances(m, l, r)...)
	}
	return append(all, beatFindings(m, s)...)
}

func linkagePath(l *mech.Linkage) string { return partPath("linkages", l.Name) }

const degreesPerRadian = 180 / math.Pi

// pinNames lists pins by name.
func pinNames(l *mech.Linkage, pins []int) string {
	names := make([]string, len(pins))
	for i, p := range pins {
		names[i] = l.Pins[p].Name
	}
	return strings.Join(names, ", ")
}

// mobilityFinding compares the chain's motions with what drives it.
func mobilityFinding(l *mech.Linkage, r *solve.LinkageResult) Finding {
	const rule = "mobility"
	count := r.Mobility
	f := Finding{
		Rule: rule, Where: linkagePath(l), Source: source(rule),
		Value: known(float64(count.Count())), Limit: known(float64(count.Driven)),
	}
	sum := fmt.Sprintf("%d links, %d pin and sliding joints, %d slots: mobility %d with %d driven", count.Links, count.LowerPairs, count.HigherPairs, count.Count(), count.Driven)
	switch excess := count.Excess(); {
	case r.Status == solve.LinkageMalformed:
		f.Severity = Unknown
		f.Message = "the links as written make no chain to count"
	case excess > 0:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the chain hangs loose by %d: add a bar or fix a pin (%s)", excess, sum)
	case excess < 0:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the chain is held %d times too often: take a bar away or free a pin (%s)", -excess, sum)
	case count.Driven == 0:
		f.Severity = Fail
		f.Message = fmt.Sprintf("nothing drives the chain: put a pin on a crank or let it follow a cam (%s)", sum)
	case r.Status == solve.LinkageOver:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the count comes out, but pins %s are held twice and others hang loose: move a bar from one to the other (%s)", pinNames(l, r.Fault.Pins), sum)
	case r.Status == solve.LinkageUnder:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the count comes out, but pin %s hangs loose while others are held twice: move a bar to it (%s)", pinNames(l, r.Fault.Pins), sum)
	default:
		f.Message = "every motion is driven once: " + sum
	}
	return f
}

// assemblyFinding says whether the chain goes together at motor turn 0. A chain
// refused for its mobility has nothing to assemble.
func assemblyFinding(m *mech.Model, l *mech.Linkage, r *solve.LinkageResult) []Finding {
	const rule = "assembly"
	f := Finding{Rule: rule, Where: linkagePath(l), Source: source(rule)}
	switch r.Status {
	case solve.LinkageOver, solve.LinkageUnder:
		return nil
	case solve.LinkageMalformed:
		f.Severity = Fail
		f.Message = fmt.Sprintf("pins %s: two pins stand on one spot, a bar has no length, or a slot is not cut in one link", pinNames(l, r.Fault.Pins))
	case solve.LinkageUndriven:
		if r.Mobility.Driven == 0 {
			return nil
		}
		f.Severity = Unknown
		f.Message = fmt.Sprintf("nothing turns the shaft that drives pin %s: tie it to the motor", pinNames(l, r.Fault.Pins))
	case solve.LinkageUnassembled:
		f.Severity = Fail
		f.Value, f.Limit, f.Unit = misfitValues(r.Fault.Misfit)
		f.Message = "cannot be put together at start: " + misfitWords(m, l, r.Fault.Misfit)
	default:
		f.Message = "goes together at motor turn 0"
	}
	return []Finding{f}
}

func misfitValues(f solve.Misfit) (value, limit mech.Given, unit string) {
	if f.Link[1] == mech.None || f.Needs == f.Has {
		return mech.Given{}, mech.Given{}, ""
	}
	return known(f.Has), known(f.Needs), "mm"
}

// misfitWords names the link that does not reach, with the length it has and
// the nearest that would do.
func misfitWords(m *mech.Model, l *mech.Linkage, f solve.Misfit) string {
	pin := l.Pins[f.Pin].Name
	if f.Link[0] == mech.None || f.Link[1] == mech.None {
		return fmt.Sprintf("pin %s has no place, change a link that leads to it", pin)
	}
	ends := l.Pins[f.Link[0]].Name + "-" + l.Pins[f.Link[1]].Name
	most := "at least"
	if f.Needs < f.Has {
		most = "at most"
	}
	switch {
	case f.Needs == f.Has:
		return fmt.Sprintf("pin %s does not close by link %s, change a length or start nearer to how it goes", pin, ends)
	case f.Slot:
		return fmt.Sprintf("the slot cannot reach pin %s: %s is %s, it would need %s", l.Pins[f.Link[1]].Name, ends, inWords(m, f.Has), inWords(m, f.Needs))
	}
	return fmt.Sprintf("pin %s: link %s is %s, make it %s %s", pin, ends, inWords(m, f.Has), most, inWords(m, f.Needs))
}

// driverWords names the angle a chain is told by: of its crank, or of its cam.
func driverWords(m *mech.Model, l *mech.Linkage, d solve.Driver) string {
	if d.Cam != mech.None {
		return "cam " + m.Cams[d.Cam].Name
	}
	return "crank " + l.Pins[d.Pin].Name
}

func lockFinding(m *mech.Model, l *mech.Linkage, r *solve.LinkageResult) Finding {
	const rule = "linkage_locks"
	f := Finding{Rule: rule, Where: linkagePath(l), Source: source(rule), Unit: "deg"}
	if r.Locks == nil {
		f.Message = "goes all the way round without locking"
		if r.Otherwise {
			f.Severity = Fail
			f.Message = "comes back otherwise than it started after a turn: the links pass through on another branch, change a length"
		}
		return f
	}
	f.Severity = Fail
	if r.Locks.At < 0 {
		f.Message = fmt.Sprintf("locks at some of the angles its shafts come to together: change a link that leads to pin %s", pinNames(l, r.Fault.Pins))
		return f
	}
	f.Value = known(r.Locks.At * degreesPerRadian)
	f.Message = fmt.Sprintf("locks with %s at %.2f deg, at motor turn %.4g", driverWords(m, l, r.Driver), r.Locks.At*degreesPerRadian, r.Locks.MotorTurns)
	if r.Locks.Misfit.Link[1] != mech.None && r.Locks.Misfit.Needs != r.Locks.Misfit.Has {
		f.Message += ": " + misfitWords(m, l, r.Locks.Misfit)
	} else {
		f.Message += fmt.Sprintf(": change a link that leads to pin %s", pinNames(l, r.Fault.Pins))
	}
	return f
}

// branchFinding asks whether the chain always knows which way to go.
func branchFinding(l *mech.Linkage, r *solve.LinkageResult) Finding {
	const rule = "assembly_branch"
	f := Finding{Rule: rule, Where: linkagePath(l), Source: source(rule), Message: "keeps to the way of assembly that start says"}
	switch {
	case len(r.Merges) > 0:
		f.Severity = Caution
		f.Value, f.Unit = known(r.Merges[0].At*degreesPerRadian), "deg"
		f.Message = fmt.Sprintf("at %.2f deg the links at pin %s come in line and may go on either way: change a length or guide them through", r.Merges[0].At*degreesPerRadian, l.Pins[r.Merges[0].Pin].Name)
	case len(r.Chain.Unsaid) > 0:
		f.Severity = Caution
		f.Message = fmt.Sprintf("start does not say to which side pin %s goes: give its start, it is taken to lie left of the line between the pins that hold it", pinNames(l, r.Chain.Unsaid))
	}
	return f
}

func transmissionFinding(m *mech.Model, l *mech.Linkage, r *solve.LinkageResult) Finding {
	const rule = "transmission_angle"
	least := limit(m, rule)
	f := Finding{Rule: rule, Where: linkagePath(l), Source: source(rule), Unit: "deg", Limit: known(least * degreesPerRadian)}
	worst := math.Pi
	var at solve.Transmission
	for _, j := range r.Joints {
		if got := math.Pi/2 - j.Off(); j.Angle.Valid && got < worst {
			worst, at = got, j
		}
	}
	if worst == math.Pi {
		if !r.Chain.Together() {
			f.Message = "no joint of this chain could bind"
			return f
		}
		f.Severity = Unknown
		f.Message = "no joint of this chain has a transmission angle by itself: its links are solved together, turn it by hand to feel where it binds"
		return f
	}
	f.Value = known(worst * degreesPerRadian)
	span := fmt.Sprintf("%.1f to %.1f deg at pin %s", at.Angle.Min.Value*degreesPerRadian, at.Angle.Max.Value*degreesPerRadian, l.Pins[at.Pin].Name)
	f.Message = "the transmission angle stays well away from 0 and 180 deg: " + span
	if worst < least {
		f.Severity = Caution
		f.Message = fmt.Sprintf("the transmission angle comes within %.1f deg of 0 or 180 (%s): lengthen the output link, move its pivot, or shorten the crank", worst*degreesPerRadian, span)
	}
	return f
}

// loopMeanings say what the kind of a loop means for the drive.
var loopMeanings = map[solve.LoopKind]string{
	solve.CrankRocker:   "the crank turns fully and the output swings",
	solve.DoubleCrank:   "crank and output both turn fully",
	solve.DoubleRocker:  "the coupler is shortest, so the crank cannot turn fully: make the crank the shortest link",
	solve.RockerCrank:   "the output link is shortest, so the crank cannot turn fully: make the crank the shortest link",
	solve.ChangePoint:   "the links all come in line, where the output may go either way: change a length a little",
	solve.TripleRocker:  "no link can turn fully: shorten the crank until shortest and longest are less than the other two",
	solve.SliderCrank:   "the crank turns fully",
	solve.SliderRocker:  "the crank cannot turn fully: make the rod longer than crank and offset together",
	solve.SlottedLever:  "the crank turns fully and the lever swings, slower one way than the other",
	solve.WhitworthLoop: "the crank turns fully and takes the lever round with it",
}

// grashofFindings classes every loop between a crank and the frame.
func grashofFindings(m *mech.Model, l *mech.Linkage, r *solve.LinkageResult) []Finding {
	const rule = "grashof"
	var all []Finding
	for _, loop := range r.Loops {
		f := Finding{Rule: rule, Where: linkagePath(l), Source: source(rule)}
		f.Message = fmt.Sprintf("%s at pin %s: %s", loop.Kind, l.Pins[loop.Pin].Name, loopMeanings[loop.Kind])
		switch {
		case !loop.Kind.FullTurn() && r.Locks == nil:
			// The crank does not turn fully because the drive does not ask it to.
		case !loop.Kind.FullTurn():
			f.Severity = Fail
		case loop.Kind == solve.ChangePoint:
			f.Severity = Caution
		}
		if loop.Kind <= solve.TripleRocker {
			f.Value, f.Limit, f.Unit = known(loop.Grashof), known(0), "mm"
		}
		all = append(all, f)
	}
	return all
}

// slotReachFindings asks whether pins stay within their slots.
func slotReachFindings(m *mech.Model, l *mech.Linkage, r *solve.LinkageResult) []Finding {
	const rule = "slot_reach"
	var all []Finding
	for _, t := range r.Slots {
		s := l.Slots[t.Slot]
		f := Finding{Rule: rule, Where: linkagePath(l), Source: source(rule), Unit: "mm"}
		pin, ends := l.Pins[s.Pin].Name, l.Pins[s.Line[0]].Name+"-"+l.Pins[s.Line[1]].Name
		low, high := t.Travel.Min.Value, t.Travel.Max.Value
		switch {
		case !t.Travel.Valid:
			f.Severity, f.Message = Unknown, fmt.Sprintf("pin %s cannot be posed in slot %s", pin, ends)
		case high > t.Length:
			f.Severity, f.Value, f.Limit = Fail, known(high), known(t.Length)
			f.Message = fmt.Sprintf("pin %s leaves slot %s: it runs to %s from %s, make the link at least that long instead of %s", pin, ends, inWords(m, high), l.Pins[s.Line[0]].Name, inWords(m, t.Length))
		case low < 0:
			f.Severity, f.Value, f.Limit = Fail, known(low), known(0)
			f.Message = fmt.Sprintf("pin %s runs out of slot %s, %s beyond %s: carry the slot past it", pin, ends, inWords(m, -low), l.Pins[s.Line[0]].Name)
		default:
			f.Value, f.Limit = known(high), known(t.Length)
			f.Message = fmt.Sprintf("pin %s runs from %s to %s in slot %s of %s", pin, inWords(m, low), inWords(m, high), ends, inWords(m, t.Length))
		}
		all = append(all, f)
	}
	return all
}

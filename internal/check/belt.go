package check

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/standard"
)

// beltFindings judges every belt: whether it closes, bends and holds, can be
// bought, can be reached and tensioned by its take-up, carries its torque and
// runs clear.
func beltFindings(m *mech.Model, s *solve.Solution) []Finding {
	var all []Finding
	gaps := solve.SolveLayout(m, s.Belts)
	for i := range s.Belts {
		all = append(all, Belt(m, s, i, BeltLoadOf(m, s, i), gaps)...)
	}
	return all
}

// Belt judges one belt under a load, with what solve.SolveLayout found.
func Belt(m *mech.Model, s *solve.Solution, i int, load BeltLoad, gaps []solve.Gap) []Finding {
	b, r := &m.Belts[i], &s.Belts[i]
	all := []Finding{loopFinding(m, b, r)}
	if r.Status == solve.LoopOK {
		all = append(all, meshFinding(m, b, r))
	}
	all = append(all, leastTeethFinding(m, s, b), stockedFinding(m, b, r))
	all = append(all, fitFindings(m, b, r)...)
	if r.Status == solve.LoopOK {
		all = append(all, tensionFinding(m, b, r, load))
	}
	all = append(all, idlerFindings(m, b)...)
	return append(all, layoutFindings(m, gaps, i)...)
}

// NoPlace is the finding on a belt that nothing that was asked to move closes.
func NoPlace(b *mech.Belt, message string) Finding {
	const rule = "belt_reach"
	return Finding{Rule: rule, Severity: Fail, Where: beltPath(b), Source: source(rule), Message: message}
}

func beltPath(b *mech.Belt) string { return partPath("drive.belts", b.Name) }

// pulleyName returns what stands at a stop of the run: the shaft's or idler's
// name.
func pulleyName(m *mech.Model, p mech.Pulley) string {
	if p.Shaft == mech.None {
		return p.Idler
	}
	return m.Shafts[p.Shaft].Name
}

// loopFinding says whether the belt closes, and if not why.
func loopFinding(m *mech.Model, b *mech.Belt, r *solve.BeltResult) Finding {
	const rule = "belt_loop"
	f := Finding{Rule: rule, Where: beltPath(b), Source: source(rule)}
	if r.Status == solve.LoopOK {
		f.Message = fmt.Sprintf("the loop closes in %s, %.4g teeth", inWords(m, r.Length), r.TeethExact)
		return f
	}
	f.Severity = Fail
	var first, second string
	if len(b.Run) > 0 {
		first, second = pulleyName(m, b.Run[r.First]), pulleyName(m, b.Run[r.Second])
	}
	gap := inWords(m, math.Abs(r.Clearance))
	switch r.Status {
	case solve.LoopTooFew:
		f.Message = "a belt needs at least two pulleys: add one to the run"
	case solve.LoopOverlap:
		f.Value, f.Limit, f.Unit = known(r.Clearance), known(0), "mm"
		f.Message = fmt.Sprintf("pulleys %s and %s lack %s of room between them: move them apart or make one smaller", first, second, gap)
	case solve.LoopUntouched:
		f.Value, f.Limit, f.Unit = known(r.Clearance), known(0), "mm"
		side := "inside"
		if b.Run[r.First].Back {
			side = "back"
		}
		f.Message = fmt.Sprintf("the belt does not bear with its %s on pulley %s and passes it at %s: move the pulley into the belt, turn its side, or take it out of the run", side, first, gap)
	case solve.LoopCrosses:
		f.Message = "in this order and on these sides the belt closes only by crossing itself: change the order of the run or the side of a pulley"
		if r.First == r.Second {
			break
		}
		f.Message = fmt.Sprintf("the loop closes only by crossing itself near pulleys %s and %s: change the order of the run or the side they are met on", first, second)
	}
	return f
}

// fewestInMesh is where a belt is not merely derated but slips over the teeth:
// the factor for two teeth in mesh is 0.2 and ends there.
const fewestInMesh = 2

// meshFinding judges the sprocket with the fewest teeth in mesh.
func meshFinding(m *mech.Model, b *mech.Belt, r *solve.BeltResult) Finding {
	const rule = "belt_mesh"
	f := Finding{Rule: rule, Where: beltPath(b), Source: source(rule), Limit: known(limit(m, rule)), Unit: "teeth"}
	worst := -1
	for i, p := range b.Run {
		if p.Teeth > 0 && (worst < 0 || r.Pulleys[i].TeethInMesh < r.Pulleys[worst].TeethInMesh) {
			worst = i
		}
	}
	if worst < 0 {
		f.Severity, f.Limit = Unknown, mech.Given{}
		f.Message = "no pulley of the run is toothed, so the belt drives nothing: add sprockets"
		return f
	}
	least := r.Pulleys[worst].TeethInMesh
	f.Value = known(least)
	f.Message = fmt.Sprintf("at least %.1f teeth are in mesh, on %s", least, pulleyName(m, b.Run[worst]))
	if least < f.Limit.Value {
		f.Severity = Caution
		if least < fewestInMesh {
			f.Severity = Fail
		}
		f.Message = fmt.Sprintf("only %.1f teeth are in mesh on %s: give it more wrap with an idler or by moving a shaft, or a larger sprocket", least, pulleyName(m, b.Run[worst]))
	}
	return f
}

// leastTeethFinding compares every sprocket with the smallest recommended at
// its speed, and reports the one that falls shortest.
func leastTeethFinding(m *mech.Model, s *solve.Solution, b *mech.Belt) Finding {
	const rule = "least_teeth"
	f := Finding{Rule: rule, Where: beltPath(b), Source: source(rule), Unit: "teeth"}
	section, _ := standard.FindSection(b.Section.Name)
	worst, margin := -1, math.Inf(1)
	for i, p := range b.Run {
		if p.Teeth <= 0 {
			continue
		}
		least, from := leastTeeth(m, s, b, section, p)
		if d := float64(p.Teeth) - least; d < margin {
			worst, margin = i, d
			f.Value, f.Limit = known(float64(p.Teeth)), known(least)
			f.Source = from
		}
	}
	switch {
	case worst < 0:
		f.Message = "no pulley of the run is toothed"
	case margin < 0:
		f.Severity = Caution
		f.Message = fmt.Sprintf("the belt bends sharply round the %d teeth of %s: use %.0f or more", b.Run[worst].Teeth, pulleyName(m, b.Run[worst]), f.Limit.Value)
	default:
		f.Message = fmt.Sprintf("every sprocket is large enough, the smallest beside its limit being %s with %d teeth", pulleyName(m, b.Run[worst]), b.Run[worst].Teeth)
	}
	return f
}

// leastTeeth returns the fewest teeth for one sprocket and where that is from.
func leastTeeth(m *mech.Model, s *solve.Solution, b *mech.Belt, section standard.Section, p mech.Pulley) (float64, string) {
	const rule = "least_teeth"
	if own, ok := m.Limits[rule]; ok {
		return own, source(rule)
	}
	for _, other := range b.Run {
		if other.Back && section.LeastTeethBack.OK {
			return section.LeastTeethBack.Value, section.LeastTeethBack.Source
		}
	}
	rpm := 0.0
	if m.Motor != nil && p.Shaft != mech.None {
		rpm = math.Abs(s.Drive.Ratios[p.Shaft].Float()) * s.Motor.RunningSpeed * 30 / math.Pi
	}
	if least, ok := section.Least(rpm); ok {
		return least.Value, least.Source
	}
	return limit(m, rule), "common practice: no table covers this belt system"
}

// beltCode names a belt: its code, or its teeth.
func beltCode(f solve.FittedBelt) string {
	if f.Code != "" {
		return f.Code
	}
	return fmt.Sprintf("of %d teeth", f.Teeth)
}

func stockedFinding(m *mech.Model, b *mech.Belt, r *solve.BeltResult) Finding {
	const rule = "belt_stocked"
	f := Finding{Rule: rule, Where: beltPath(b), Source: source(rule)}
	fit := r.Fitted
	section, _ := standard.FindSection(b.Section.Name)
	switch {
	case fit.Drawer:
		f.Message = fmt.Sprintf("belt %s is in the drawer", beltCode(fit))
	case fit.Stocked && fit.Standing.Firm():
		f.Message = fmt.Sprintf("belt %s is a standard length", beltCode(fit))
	case fit.Stocked:
		f.Message = fmt.Sprintf("belt %s is in a length list from memory: ask the supplier before relying on it", beltCode(fit))
	case fit.Teeth == 0 || len(section.Lengths) == 0:
		f.Severity = Unknown
		f.Message = "no list of lengths is known for this belt system: say which belt, and note it under stock"
	default:
		f.Severity = Caution
		f.Message = fmt.Sprintf("a belt of %d teeth is in no list%s", fit.Teeth, nearestStocked(m, b, fit.Teeth))
	}
	return f
}

// nearestStocked suggests the stocked lengths on either side.
func nearestStocked(m *mech.Model, b *mech.Belt, teeth int) string {
	below, above := 0, 0
	for _, s := range solve.BeltStock(m, b.Section.Name) {
		if s.Teeth < teeth {
			below = s.Teeth
		} else if above == 0 {
			above = s.Teeth
		}
	}
	switch {
	case below > 0 && above > 0:
		return fmt.Sprintf(": %d and %d teeth are", below, above)
	case below+above > 0:
		return fmt.Sprintf(": %d teeth are the nearest", below+above)
	default:
		return ": fit one that is, or note it under stock"
	}
}

// fitFindings judges whether the belt can be put where it closes.
func fitFindings(m *mech.Model, b *mech.Belt, r *solve.BeltResult) []Finding {
	if r.Fitted.Teeth == 0 {
		const rule = "belt_reach"
		return []Finding{{
			Rule: rule, Severity: Unknown, Where: beltPath(b), Source: source(rule),
			Message: "no belt is known to fit: say which, as a stock code or teeth",
		}}
	}
	if b.TakeUp == nil {
		return []Finding{fixedFinding(m, b, r)}
	}
	reach := reachFinding(m, b, r)
	if reach.Severity != OK {
		return []Finding{reach}
	}
	return append([]Finding{reach}, allowanceFindings(m, b, r)...)
}

func fixedFinding(m *mech.Model, b *mech.Belt, r *solve.BeltResult) Finding {
	const rule = "fixed_centres"
	f := Finding{Rule: rule, Where: beltPath(b), Source: source(rule), Limit: known(limit(m, rule)), Unit: "mm"}
	if r.Status != solve.LoopOK {
		f.Severity = Unknown
		f.Message = "the belt cannot be compared with a loop that does not close"
		return f
	}
	off := r.Fitted.Length - r.Length
	f.Value = known(math.Abs(off))
	if math.Abs(off) <= f.Limit.Value {
		f.Message = fmt.Sprintf("belt %s differs by %s from the loop as drawn", beltCode(r.Fitted), inWords(m, math.Abs(off)))
		return f
	}
	f.Severity = Fail
	how := "slack"
	if off < 0 {
		how = "short"
	}
	f.Message = fmt.Sprintf("belt %s is %s %s for the shafts as drawn and there is no take-up: add one or move a shaft", beltCode(r.Fitted), inWords(m, math.Abs(off)), how)
	return f
}

func reachFinding(m *mech.Model, b *mech.Belt, r *solve.BeltResult) Finding {
	const rule = "belt_reach"
	f := Finding{Rule: rule, Where: beltPath(b), Source: source(rule), Unit: "mm"}
	moved := pulleyName(m, b.Run[b.TakeUp.Pulley])
	fit := r.Fitted
	if !fit.TakeUp.OK {
		f.Severity = Fail
		f.Message = fmt.Sprintf("belt %s closes nowhere along the take-up of %s: fit another belt or turn the take-up's direction", beltCode(fit), moved)
		return f
	}
	f.Value = fit.TakeUp
	travel := fit.TakeUp.Value
	if fit.Reachable {
		f.Message = fmt.Sprintf("belt %s closes with %s taken up by %s", beltCode(fit), moved, inWords(m, travel))
		return f
	}
	end, missing := b.TakeUp.Max, travel-b.TakeUp.Max
	if travel < b.TakeUp.Min {
		end, missing = b.TakeUp.Min, b.TakeUp.Min-travel
	}
	f.Severity, f.Limit = Fail, known(end)
	f.Message = fmt.Sprintf("belt %s needs %s of take-up at %s, %s beyond its range: widen the range, move a shaft or fit another belt", beltCode(fit), inWords(m, travel), moved, inWords(m, missing))
	return f
}

// allowanceFindings judges what the take-up leaves for tensioning and for
// slipping the belt on.
func allowanceFindings(m *mech.Model, b *mech.Belt, r *solve.BeltResult) []Finding {
	if b.TakeUp.Free {
		return []Finding{unknownTravel(b, "take_up_allowance"), unknownTravel(b, "fitting_allowance")}
	}
	tighten, slacken := takeUpLeft(b, r)
	tension := Finding{Rule: "take_up_allowance", Where: beltPath(b), Source: source("take_up_allowance"), Limit: known(limit(m, "take_up_allowance"))}
	tension.Value = known(tighten / r.Fitted.Length)
	need := tension.Limit.Value * r.Fitted.Length
	tension.Message = fmt.Sprintf("%s of travel is left to tension the belt", inWords(m, tighten))
	if tighten < need {
		tension.Severity = Caution
		tension.Message = fmt.Sprintf("only %s of travel is left to tension the belt: widen the range by %s on the side that tightens it", inWords(m, tighten), inWords(m, need-tighten))
	}
	fitting := Finding{Rule: "fitting_allowance", Where: beltPath(b), Source: source("fitting_allowance"), Limit: known(limit(m, "fitting_allowance"))}
	fitting.Value = known(slacken / b.Section.Pitch)
	need = fitting.Limit.Value * b.Section.Pitch
	fitting.Message = fmt.Sprintf("%s of travel is left to slip the belt on", inWords(m, slacken))
	if slacken < need {
		fitting.Severity = Caution
		fitting.Message = fmt.Sprintf("only %s of travel is left to slip the belt on: widen the range by %s on the side that slackens it, or fit belt and sprockets together", inWords(m, slacken), inWords(m, need-slacken))
	}
	return []Finding{tension, fitting}
}

func unknownTravel(b *mech.Belt, rule string) Finding {
	return Finding{
		Rule: rule, Severity: Unknown, Where: beltPath(b), Source: source(rule),
		Message: "say how far the take-up can move, to know what travel is left",
	}
}

// takeUpLeft returns the travel left the way that tightens the belt and the
// other way.
func takeUpLeft(b *mech.Belt, r *solve.BeltResult) (tighten, slacken float64) {
	at := r.Fitted.TakeUp.Value
	if r.Fitted.Tightens {
		return b.TakeUp.Max - at, at - b.TakeUp.Min
	}
	return at - b.TakeUp.Min, b.TakeUp.Max - at
}

// idlerFindings judges smooth idlers and what a reversing motor does to them.
func idlerFindings(m *mech.Model, b *mech.Belt) []Finding {
	var all []Finding
	idlers := 0
	for _, p := range b.Run {
		if p.Shaft == mech.None {
			idlers++
		}
		if p.Teeth > 0 || p.Back {
			continue
		}
		const rule = "inside_idler"
		teeth := p.Diameter * math.Pi / b.Section.Pitch
		f := Finding{Rule: rule, Where: beltPath(b), Source: source(rule), Value: known(teeth), Limit: known(limit(m, rule)), Unit: "teeth"}
		f.Message = fmt.Sprintf("smooth pulley %s is large enough for the toothed side", pulleyName(m, p))
		if teeth < f.Limit.Value {
			f.Severity = Caution
			f.Message = fmt.Sprintf("smooth pulley %s on the toothed side should be at least %s across: take a larger or toothed one, or put it at the belt's back", pulleyName(m, p), inWords(m, f.Limit.Value*b.Section.Pitch/math.Pi))
		}
		all = append(all, f)
	}
	if m.Motor != nil && m.Motor.Sense == mech.Reversible {
		const rule = "belt_reversal"
		f := Finding{Rule: rule, Where: beltPath(b), Source: source(rule), Message: "the belt runs the same both ways, it has no idler"}
		if idlers > 0 {
			f.Severity = Caution
			f.Message = "turning backwards puts the idler on the tight side: tension by moving a shaft instead, or set it tight enough both ways"
		}
		all = append(all, f)
	}
	return all
}

package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/standard"
)

// motorLoadFindings judges the motor under load. Where loads are not known each
// rule says so.
func motorLoadFindings(m *mech.Model, r *solve.MotorResult) []Finding {
	return append(append(yokeHoldFindings(m, r), []Finding{
		loadDataFinding(r),
		torqueMarginFinding(m, r),
		continuousFinding(m, r),
		stallHeatFinding(m, r),
	}...), fuseFinding(m, r)...)
}

// loadMissing reports whether the loads are known at all, and what counts as
// nothing for want of data.
func loadMissing(r *solve.MotorResult) (known bool, missing []solve.LoadGap) {
	if r.Load == nil {
		return false, nil
	}
	for _, g := range r.Load.Gaps {
		if !g.Assumed {
			missing = append(missing, g)
		}
	}
	return r.Load.Known, missing
}

func gapList(gaps []solve.LoadGap) string {
	var list []string
	for _, g := range gaps {
		if name := g.Where + "." + g.What; !slices.Contains(list, name) {
			list = append(list, name)
		}
	}
	if len(list) > 4 {
		list = append(list[:3], fmt.Sprintf("%d more", len(list)-3))
	}
	return strings.Join(list, ", ")
}

// loadDataFinding says what is missing or assumed.
func loadDataFinding(r *solve.MotorResult) Finding {
	const rule = "load_data"
	f := Finding{Rule: rule, Where: motorPath, Source: source(rule), Message: "everything that weighs, presses or rubs is given"}
	known, missing := loadMissing(r)
	switch {
	case len(missing) > 0:
		f.Severity = Unknown
		f.Message = "give " + gapList(missing) + ": what is not given counts as nothing"
	case r.Load != nil && r.Load.Unposed:
		f.Severity = Unknown
		f.Message = "see that the figure can be posed throughout: its loads are given, but not all forces can be found"
	case !known:
		f.Severity = Unknown
		f.Message = "give the masses, springs and friction of the figure, to know torque, current and running speed"
	case len(r.Load.Gaps) > 0:
		f.Severity = Unknown
		f.Message = "give " + gapList(r.Load.Gaps) + ": plastic on dry steel is assumed there"
	}
	return f
}

// judgeLoad finishes a finding whose value is known: what fails on the loads
// that are given fails all the more with those that are not, but what passes is
// not yet known to.
func judgeLoad(f Finding, r *solve.MotorResult, severity Severity, bad, good string) Finding {
	f.Severity, f.Message = severity, bad
	if severity != OK {
		return f
	}
	f.Message = good
	if _, missing := loadMissing(r); len(missing) > 0 {
		f.Severity = Unknown
		f.Message = good + ", as far as the loads are given"
	}
	return f
}

func unknownLoad(f Finding, r *solve.MotorResult, what string) Finding {
	f.Severity = Unknown
	switch {
	case r.Load != nil && r.Load.Locked != "":
		f.Message = "free " + r.Load.Locked + ", which friction locks, to know " + what
	case r.Load != nil && r.Load.Unposed:
		f.Message = "see that the figure can be posed throughout, to know " + what
	case r.Load != nil && r.Load.Known:
		f.Message = "see that the motor turns the figure, to know " + what
	default:
		f.Message = "give the masses, springs and friction of the figure, to know " + what
	}
	return f
}

// yokeHoldFindings asks of every cam that moves the torso by a yoke whether its
// follower stays on.
func yokeHoldFindings(m *mech.Model, r *solve.MotorResult) []Finding {
	const rule = "yoke_hold"
	if r.Load == nil || !r.Load.Known {
		return nil
	}
	var all []Finding
	for _, h := range r.Load.Holds {
		cam := &m.Cams[h.Cam]
		least, limit := h.Least.Value, limit(m, rule)
		f := Finding{
			Rule: rule, Where: partPath("cams", cam.Name), Source: source(rule),
			Value: known(least), Limit: known(limit), Unit: "N",
		}
		severity := OK
		switch pressed := cam.Load.SpringRate.OK || cam.Load.Force.OK; {
		case least >= limit:
		case pressed:
			severity = Fail
		default:
			severity = Unknown
		}
		f = judgeLoad(f, r, severity,
			fmt.Sprintf("strengthen the spring by %.3g N, or balance the torso: it lifts the follower off its cam%s", limit-least, turnsText(h.Least)),
			fmt.Sprintf("the follower is pressed on with %.3g N at least", least))
		if severity == Unknown {
			f.Message = fmt.Sprintf("give the follower a spring of %.3g N or more, and write it down: the torso lifts it off its cam", limit-least)
		}
		all = append(all, f)
	}
	return all
}

// torqueMarginFinding compares the stall torque with the peak.
func torqueMarginFinding(m *mech.Model, r *solve.MotorResult) Finding {
	const rule = "torque_margin"
	f := Finding{Rule: rule, Where: motorPath, Source: source(rule)}
	if !r.PeakTorque.OK {
		return unknownLoad(f, r, "the torque it asks for")
	}
	least := limit(m, rule)
	margin := math.Inf(1)
	if r.TorqueMargin.OK {
		margin = r.TorqueMargin.Value
		f.Value, f.Limit = known(margin), known(least)
	}
	severity := OK
	if margin < least {
		severity = Caution
	}
	if margin <= 1 {
		severity = Fail
	}
	return judgeLoad(f, r, severity,
		fmt.Sprintf("raise the supply, lighten the figure or take a stronger motor: it asks for %.3g N·mm of %.3g N·mm%s", r.PeakTorque.Value, r.StallTorque, turnsText(r.Load.Peak)),
		fmt.Sprintf("the figure asks for %.3g N·mm at most of %.3g N·mm", r.PeakTorque.Value, r.StallTorque))
}

func turnsText(e solve.Extreme) string {
	if e.Turns < 0 {
		return ""
	}
	return fmt.Sprintf(" after %.4g motor turns", e.Turns)
}

// startFinding asks whether the motor starts in the worst pose.
func startFinding(m *mech.Model, r *solve.MotorResult) Finding {
	const rule = "start"
	f := Finding{Rule: rule, Where: motorPath, Source: source(rule)}
	if r.Status == solve.MotorCannotStart {
		f.Severity = Fail
		f.Value, f.Limit, f.Unit = known(r.Line.Supply), known(r.StartVoltage), "V"
		f.Message = fmt.Sprintf("raise the supply above %.3g V: less does not turn even the unloaded motor; speeds and times here are at the rated no-load speed", r.StartVoltage)
		return f
	}
	if r.Load != nil && r.Load.Locked != "" {
		f.Severity = Fail
		f.Message = "reduce the friction of " + r.Load.Locked + ": it locks against any torque"
		return f
	}
	if !r.PeakTorque.OK {
		return unknownLoad(f, r, "whether the motor starts in the worst pose")
	}
	l, least := r.Load, limit(m, rule)
	severity, need := OK, l.Breakaway.Value
	if need > 0 {
		margin := r.StallTorque / need
		f.Value, f.Limit = known(margin), known(least)
		if margin < least {
			severity = Caution
		}
		if margin <= 1 {
			severity = Fail
		}
	}
	return judgeLoad(f, r, severity,
		fmt.Sprintf("raise the supply, lighten the figure or reduce friction: from rest it takes %.3g N·mm of %.3g N·mm%s; %.3g V just starts it", need, r.StallTorque, turnsText(l.Breakaway), l.StartSupply),
		fmt.Sprintf("it starts in any pose from %.3g V up", l.StartSupply))
}

// continuousCurrent is what the winding bears for hours, A, and whether the
// sheet says so.
func continuousCurrent(m *mech.Model) (float64, bool) {
	if m.Motor.Continuous.OK {
		return m.Motor.Continuous.Value, true
	}
	return limit(m, "continuous_current") * m.Motor.Stall.Current, false
}

func continuousName(m *mech.Model) string {
	most, given := continuousCurrent(m)
	if given {
		return fmt.Sprintf("the sheet's continuous %.3g A", most)
	}
	return fmt.Sprintf("%.3g A, %.0f %% of the stall current", most, 100*limit(m, "continuous_current"))
}

// continuousFinding compares the heating current with what the winding bears.
func continuousFinding(m *mech.Model, r *solve.MotorResult) Finding {
	const rule = "continuous_current"
	f := Finding{Rule: rule, Where: motorPath, Source: source(rule), Unit: "A"}
	most, _ := continuousCurrent(m)
	f.Limit = known(most)
	if !r.Loaded {
		return unknownLoad(f, r, "the current it draws")
	}
	f.Value = known(r.Load.Heating)
	severity := OK
	if r.Load.Heating > most {
		severity = Caution
	}
	return judgeLoad(f, r, severity,
		fmt.Sprintf("lighten the figure or take a stronger motor: it draws %.3g A, more than %s", r.Load.Heating, continuousName(m)),
		fmt.Sprintf("it draws %.3g A, within %s", r.Load.Heating, continuousName(m)))
}

// stallHeatFinding asks what a jam does to the winding.
func stallHeatFinding(m *mech.Model, r *solve.MotorResult) Finding {
	const rule = "stall_heat"
	most, _ := continuousCurrent(m)
	ratio, limit := r.StallCurrent*r.StallCurrent/(most*most), limit(m, rule)
	f := Finding{
		Rule: rule, Where: motorPath, Source: source(rule),
		Value: known(ratio), Limit: known(limit),
		Message: fmt.Sprintf("a jam heats the winding with %.3g W, which it bears", r.StallHeat),
	}
	if ratio <= limit {
		return f
	}
	jam := fmt.Sprintf("a jam heats the winding with %.3g W, %.3g times what it bears at %s", r.StallHeat, ratio, continuousName(m))
	fuse := m.Motor.Fuse
	if fuse.OK && r.StallCurrent >= standard.FuseOpens*fuse.Value {
		f.Message = fmt.Sprintf("%s, but opens the %.3g A fuse within %.0f s", jam, fuse.Value, standard.FuseOpensWithin)
		return f
	}
	f.Severity = Caution
	rating, opens := standard.FindFuse(r.PeakCurrent.Or(m.Motor.NoLoad.Current), r.StallCurrent)
	switch {
	case rating == 0 || !opens:
		f.Message = "fit a current limit or a timer, no fuse tells a jam from work: " + jam
	case fuse.OK:
		f.Message = fmt.Sprintf("fit a fuse of %.3g A, the %.3g A one does not open: %s", rating, fuse.Value, jam)
	default:
		f.Message = fmt.Sprintf("fit a fuse of %.3g A: %s", rating, jam)
	}
	return f
}

// fuseFinding asks whether the fuse lasts. It applies where there is one.
func fuseFinding(m *mech.Model, r *solve.MotorResult) []Finding {
	const rule = "fuse"
	fuse := m.Motor.Fuse
	if !fuse.OK {
		return nil
	}
	f := Finding{Rule: rule, Where: motorPath, Source: source(rule)}
	if !r.PeakCurrent.OK {
		return []Finding{unknownLoad(f, r, "whether the fuse lasts")}
	}
	share, most := r.PeakCurrent.Value/fuse.Value, limit(m, rule)
	f.Value, f.Limit = known(share), known(most)
	severity := OK
	if share > most {
		severity = Caution
	}
	bad := fmt.Sprintf("lighten the figure: no listed fuse carries the peak of %.3g A", r.PeakCurrent.Value)
	if rating, _ := standard.FindFuse(r.PeakCurrent.Value, r.StallCurrent); rating > 0 {
		bad = fmt.Sprintf("fit a fuse of %.3g A: the peak of %.3g A ages one of %.3g A", rating, r.PeakCurrent.Value, fuse.Value)
	}
	return []Finding{judgeLoad(f, r, severity, bad,
		fmt.Sprintf("the %.3g A fuse carries the peak of %.3g A for good", fuse.Value, r.PeakCurrent.Value))}
}

package check

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/standard"
)

// ShowFindings judges what the figures of a show do together; each figure's own
// findings are Findings of its model on the common rail.
func ShowFindings(show *mech.Show, r *solve.ShowResult) []Finding {
	j := showCase{show: show, r: r}
	all := j.runs()
	all = append(all, j.current(), j.start(), j.fuse())
	if r.Drop.OK {
		all = append(all, j.drop())
	}
	all = append(all, j.gaps()...)
	return append(all, j.tempo()...)
}

// showCase is a show under judgement.
type showCase struct {
	show *mech.Show
	r    *solve.ShowResult
}

func (j *showCase) limit(rule string) float64 { return standard.Limit(j.show.Limits, rule) }

func (j *showCase) figure(i int) string { return partPath("figures", j.show.Figures[i].Name) }

// allKnown reports whether every figure's loads are known.
func (j *showCase) allKnown() bool {
	for _, f := range j.r.Figures {
		if f.Runs && !f.Known {
			return false
		}
	}
	return true
}

// runs judges every figure on the rail.
func (j *showCase) runs() []Finding {
	const rule = "show_runs"
	var all []Finding
	for i, f := range j.r.Figures {
		out := Finding{Rule: rule, Where: j.figure(i), Source: source(rule), Value: known(j.r.Voltage), Unit: "V"}
		switch {
		case !f.Runs:
			out.Severity = Fail
			out.Message = fmt.Sprintf("raise the voltage: at %.3g V the motor does not turn the figure", j.r.Voltage)
		case !f.Known:
			out.Severity = Unknown
			out.Message = "give the figure's masses, springs and friction: its currents are those without load"
		default:
			out.Message = fmt.Sprintf("it runs at %.3g rpm on %.3g V", f.Solution.Motor.RunningSpeed*30/math.Pi, j.r.Voltage)
		}
		all = append(all, out)
	}
	return all
}

const showSupplyPath = "supply"

// current compares the peaks of all with the supply's limit.
func (j *showCase) current() Finding {
	const rule = "show_current"
	f := Finding{Rule: rule, Where: showSupplyPath, Source: source(rule), Value: known(j.r.Bound), Unit: "A"}
	if !j.show.Supply.Limit.OK {
		f.Severity = Unknown
		f.Message = fmt.Sprintf("give supply.limit, to know whether it gives the %.3g A that all figures draw at once", j.r.Bound)
		return f
	}
	most := j.limit(rule) * j.show.Supply.Limit.Value
	f.Limit = known(most)
	f.Message = fmt.Sprintf("all figures draw %.3g A at once at most, which the supply gives", j.r.Bound)
	switch {
	case j.r.Bound > most:
		f.Severity = Fail
		f.Message = fmt.Sprintf("take a supply of %.3g A or more, or fewer figures: all together they draw %.3g A", j.r.Bound, j.r.Bound)
	case !j.allKnown():
		f.Severity = Unknown
		f.Message += ", as far as their loads are given"
	}
	return f
}

// start compares the starting current with the supply's limit.
func (j *showCase) start() Finding {
	const rule = "show_start"
	f := Finding{Rule: rule, Where: showSupplyPath, Source: source(rule), Value: known(j.r.Start), Unit: "A"}
	if !j.show.Supply.Limit.OK {
		f.Severity = Unknown
		f.Message = fmt.Sprintf("give supply.limit, to know whether it starts the figures, which draw %.3g A for an instant", j.r.Start)
		return f
	}
	most := j.limit(rule) * j.show.Supply.Limit.Value
	f.Limit = known(most)
	f.Message = fmt.Sprintf("starting draws %.3g A for an instant, which the supply gives", j.r.Start)
	if j.r.Start > most {
		f.Severity = Caution
		f.Message = fmt.Sprintf("start the figures one after the other (start:), or take a supply that gives %.3g A for an instant: one that cuts off will not start them", j.r.Start)
	}
	return f
}

// fuse asks whether one fuse can guard all.
func (j *showCase) fuse() Finding {
	const rule = "show_fuse"
	f := Finding{Rule: rule, Where: showSupplyPath, Source: source(rule), Value: known(j.r.Fuse), Unit: "A"}
	if j.r.Fuse == 0 {
		f.Severity = Caution
		f.Value = mech.Given{}
		f.Message = fmt.Sprintf("split the figures over several supplies: no listed fuse carries %.3g A", j.r.Bound)
		return f
	}
	f.Message = fmt.Sprintf("a common fuse of %.3g A carries all figures and opens when one jams", j.r.Fuse)
	if j.r.FuseOpens {
		return f
	}
	for _, p := range j.show.Figures {
		if !p.Model.Motor.Fuse.OK {
			f.Severity = Caution
			f.Message = fmt.Sprintf("give every figure a fuse of its own (motor.fuse): a common one of %.3g A guards the wire, but does not open when one figure jams", j.r.Fuse)
			return f
		}
	}
	f.Message = fmt.Sprintf("a common fuse of %.3g A guards the wire, and every figure has its own", j.r.Fuse)
	return f
}

// drop judges the voltage lost along the lead.
func (j *showCase) drop() Finding {
	const rule = "show_drop"
	share, most := j.r.Drop.Value/j.show.Supply.Voltage, j.limit(rule)
	f := Finding{
		Rule: rule, Where: showSupplyPath, Source: source(rule), Value: known(share), Limit: known(most),
		Message: fmt.Sprintf("the lead of %.3g mm² loses %.2g V at most", j.r.Wire.Area, j.r.Drop.Value),
	}
	if share > most {
		f.Severity = Caution
		f.Message = fmt.Sprintf("take a lead thicker than %.3g mm², which carries the current but loses %.2g V", j.r.Wire.Area, j.r.Drop.Value)
	}
	return f
}

// gaps judges every pair of figures.
func (j *showCase) gaps() []Finding {
	const rule = "neighbour_gap"
	least := j.limit(rule)
	var all []Finding
	for _, g := range j.r.Gaps {
		names := fmt.Sprintf("%s of %s and %s of %s", g.PointA, j.show.Figures[g.A].Name, g.PointB, j.show.Figures[g.B].Name)
		f := Finding{
			Rule: rule, Where: j.figure(g.A), Source: source(rule), Value: known(g.Gap), Limit: known(least), Unit: "mm",
			Message: names + " stay clear of each other",
		}
		switch {
		case g.Gap < 0:
			f.Severity = Fail
			f.Message = fmt.Sprintf("move the figures %.3g mm apart: %s collide", -g.Gap, names)
		case g.Gap < least:
			f.Severity = Caution
			f.Message = fmt.Sprintf("move the figures %.3g mm apart or guard the place: %s pinch a finger", least-g.Gap, names)
		}
		all = append(all, f)
	}
	if len(all) == 0 && len(j.show.Figures) > 1 {
		all = append(all, Finding{
			Rule: rule, Severity: Unknown, Where: "figures", Source: source(rule), Limit: known(least), Unit: "mm",
			Message: "give the figures points to watch, to know whether neighbours keep clear",
		})
	}
	return all
}

// tempo judges the beats of every figure against the common tempo.
func (j *showCase) tempo() []Finding {
	const rule = "show_tempo"
	if !j.show.Tempo.OK {
		return nil
	}
	want, most := j.show.Tempo.Value*60, j.limit(rule)
	var all []Finding
	for i, p := range j.r.Figures {
		b := p.Solution.Beats
		if b == nil || b.PerMinute <= 0 {
			continue
		}
		off := math.Abs(b.PerMinute/want - 1)
		f := Finding{
			Rule: rule, Where: j.figure(i), Source: source(rule), Value: known(off), Limit: known(most),
			Message: fmt.Sprintf("it beats %.4g a minute to a tempo of %.4g", b.PerMinute, want),
		}
		if off > most {
			f.Severity = Caution
			f.Message = fmt.Sprintf("it beats %.4g a minute to a tempo of %.4g: give it another sprocket, or a supply of its own%s", b.PerMinute, want, tempoSupply(p.Solution, want))
		}
		if !p.Known && f.Severity == OK {
			f.Severity = Unknown
			f.Message += ", without load"
		}
		all = append(all, f)
	}
	return all
}

// tempoSupply says at which voltage a figure would keep a tempo, per minute.
func tempoSupply(s *solve.Solution, perMinute float64) string {
	if s.Beats.PerMotorTurn <= 0 {
		return ""
	}
	speed := perMinute / s.Beats.PerMotorTurn * 2 * math.Pi / 60
	return fmt.Sprintf(" of %.3g V", s.Motor.SupplyForSpeed(speed))
}

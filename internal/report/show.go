package report

import (
	"fmt"
	"io"
	"strings"

	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/solve"
)

// Show is everything the show command says. Keys carry their units, as those of
// Report do.
type Show struct {
	Version  int          `json:"version"`
	Show     string       `json:"show"`
	Supply   ShowSupply   `json:"supply"`
	Figures  []ShowFigure `json:"figures"`
	Gaps     []ShowGap    `json:"gaps"`
	TempoMin Value        `json:"tempo_per_min"`
	Findings []Finding    `json:"findings"`
	Cautions []string     `json:"cautions"`
}

// ShowSupply is what the figures draw together.
type ShowSupply struct {
	VoltageV      Value `json:"voltage_V"` // without load
	RailV         Value `json:"rail_V"`    // under the mean current of all
	LimitA        Value `json:"limit_A"`
	MeanA         Value `json:"mean_current_A"`
	PeakBoundA    Value `json:"peak_bound_A"` // sum of the figures' own peaks
	PeakMetA      Value `json:"peak_met_A"`   // greatest met in the duration
	PeakMetAtS    Value `json:"peak_met_at_s"`
	DurationS     Value `json:"duration_s"`
	StartA        Value `json:"start_current_A"`
	FuseA         Value `json:"fuse_A"`
	FuseOpens     bool  `json:"fuse_opens_on_jam"`
	WireMm2       Value `json:"wire_mm2"`
	DropV         Value `json:"lead_drop_V"`
	CapacityAh    Value `json:"battery_capacity_Ah"`
	BatteryHours  Value `json:"battery_hours"`
	BatteryUsable Value `json:"battery_usable_share"`
}

// ShowFigure is one figure of the show.
type ShowFigure struct {
	Name       string `json:"name"`
	File       string `json:"file"`
	Figure     string `json:"figure"`
	Runs       bool   `json:"runs"`
	Loaded     bool   `json:"loaded"`
	RunningRPM Value  `json:"running_rpm"`
	MeanA      Value  `json:"mean_current_A"`
	PeakA      Value  `json:"peak_current_A"`
	StallA     Value  `json:"stall_current_A"`
	PeriodS    Value  `json:"repeat_period_s"`
	BeatsMin   Value  `json:"beats_per_min"`
	Verdict    string `json:"verdict"`
}

// ShowGap is the least gap of two figures.
type ShowGap struct {
	A      string `json:"figure_a"`
	PointA string `json:"point_a"`
	B      string `json:"figure_b"`
	PointB string `json:"point_b"`
	Mm     Value  `json:"mm"`
	TurnsA Value  `json:"at_turns_a"`
	TurnsB Value  `json:"at_turns_b"`
}

// BuildShow lays out a solved and judged show.
func BuildShow(show *mech.Show, r *solve.ShowResult, findings []check.Finding) *Show {
	out := &Show{
		Version: 1, Show: show.Name, Supply: buildShowSupply(show, r), Figures: []ShowFigure{}, Gaps: []ShowGap{},
		TempoMin: Null, Findings: Findings(findings), Cautions: cautions[:],
	}
	if show.Tempo.OK {
		out.TempoMin = Value(show.Tempo.Value * 60)
	}
	for i := range r.Figures {
		out.Figures = append(out.Figures, buildShowFigure(&show.Figures[i], &r.Figures[i]))
	}
	for _, g := range r.Gaps {
		out.Gaps = append(out.Gaps, ShowGap{
			A: show.Figures[g.A].Name, PointA: g.PointA, B: show.Figures[g.B].Name, PointB: g.PointB,
			Mm: Value(g.Gap), TurnsA: Value(g.TurnsA), TurnsB: Value(g.TurnsB),
		})
	}
	return out
}

func buildShowSupply(show *mech.Show, r *solve.ShowResult) ShowSupply {
	s := ShowSupply{
		VoltageV: Value(show.Supply.Voltage), RailV: Value(r.Voltage), LimitA: given(show.Supply.Limit),
		MeanA: Value(r.Mean), PeakBoundA: Value(r.Bound), PeakMetA: Value(r.Peak.Value), PeakMetAtS: Value(r.Peak.Turns),
		DurationS: Value(show.Duration), StartA: Value(r.Start), FuseA: Null, FuseOpens: r.FuseOpens, WireMm2: Null,
		DropV: given(r.Drop), CapacityAh: given(show.Supply.Capacity), BatteryHours: given(r.Hours), BatteryUsable: Null,
	}
	if r.Fuse > 0 {
		s.FuseA = Value(r.Fuse)
	}
	if r.WireFound {
		s.WireMm2 = Value(r.Wire.Area)
	}
	if show.Supply.Capacity.OK {
		s.BatteryUsable = Value(show.Supply.Usable)
	}
	return s
}

func buildShowFigure(p *mech.Placed, f *solve.ShowFigure) ShowFigure {
	s := f.Solution
	out := ShowFigure{
		Name: p.Name, File: p.File, Figure: p.Model.Name, Runs: f.Runs, Loaded: f.Known, RunningRPM: Null,
		MeanA: Value(f.Mean), PeakA: Value(f.Peak), StallA: Value(f.Stall), PeriodS: Null, BeatsMin: Null,
		Verdict: Verdict(Findings(check.Findings(p.Model, s))),
	}
	if f.Runs {
		out.RunningRPM = rpm(s.Motor.RunningSpeed)
		if f.Period > 0 {
			out.PeriodS = Value(f.Period)
		}
		if s.Beats != nil && s.Beats.PerMinute > 0 {
			out.BeatsMin = Value(s.Beats.PerMinute)
		}
	}
	return out
}

// WriteText prints the show: verdict, supply, figures, gaps, findings, cautions.
func (s *Show) WriteText(w io.Writer, style Style) error {
	var b strings.Builder
	b.WriteString(Wrap(strings.ToUpper(s.Show), style.Width, ""))
	b.WriteString(style.paint(showVerdict(s.Findings), verdictColor(s.Findings)) + "\n\n")
	for _, t := range s.tables(style.Units) {
		if err := t.Write(&b, style.Width); err != nil {
			return err
		}
		b.WriteString("\n")
	}
	writeFindings(&b, s.Findings, style)
	b.WriteString("\nCautions\n")
	for _, c := range s.Cautions {
		b.WriteString("  - " + hanging(c, 4, style.Width))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// showVerdict says in a line what a show's findings come to.
func showVerdict(findings []Finding) string {
	verdict := Verdict(findings)
	for from, to := range map[string]string{"not yet ready to print": "not yet ready to play", "before printing": "before it plays", "ready to print": "ready to play"} {
		if at := strings.Index(verdict, from); at >= 0 {
			return verdict[:at] + to + verdict[at+len(from):]
		}
	}
	return verdict
}

func (s *Show) tables(u Units) []Table {
	tables := []Table{s.supplyTable(u), s.figureTable(u)}
	if len(s.Gaps) > 0 {
		t := Table{
			Title:   "Least gaps between figures, at any instant of either",
			Columns: []Column{{Head: "figure"}, {Head: "point"}, {Head: "figure"}, {Head: "point"}, {Head: u.LengthName(), Right: true}},
		}
		for _, g := range s.Gaps {
			t.Rows = append(t.Rows, []string{g.A, g.PointA, g.B, g.PointB, u.Length(g.Mm)})
		}
		tables = append(tables, t)
	}
	return tables
}

func (s *Show) supplyTable(u Units) Table {
	p := &s.Supply
	t := Table{
		Title:   fmt.Sprintf("Supply of %s V, %s V under load", u.Plain(p.VoltageV), u.Plain(p.RailV)),
		Columns: []Column{{Head: ""}, {Head: "A", Right: true}},
		Rows: [][]string{
			{"mean of all together", u.Plain(p.MeanA)},
			{fmt.Sprintf("most in %s, after %s", timeSpan(p.DurationS), timeSpan(p.PeakMetAtS)), u.Plain(p.PeakMetA)},
			{"most that can ever be", u.Plain(p.PeakBoundA)},
			{"starting, for an instant", u.Plain(p.StartA)},
			{"limit of the supply", u.Plain(p.LimitA)},
			{"fuse for all, time-delay", u.Plain(p.FuseA)},
		},
	}
	if finite(float64(p.WireMm2)) {
		note := fmt.Sprintf("Wire for all: %s mm² or thicker.", u.Plain(p.WireMm2))
		if finite(float64(p.DropV)) {
			note += fmt.Sprintf(" It loses %s V at the most current.", u.Plain(p.DropV))
		}
		t.Notes = append(t.Notes, note)
	}
	if finite(float64(p.BatteryHours)) {
		t.Notes = append(t.Notes, fmt.Sprintf("The battery of %s A·h lasts %s, drawn to %.0f %%.", u.Plain(p.CapacityAh), timeSpan(p.BatteryHours*3600), 100*float64(p.BatteryUsable)))
	}
	return t
}

func (s *Show) figureTable(u Units) Table {
	t := Table{
		Title: "Figures",
		Columns: []Column{
			{Head: "figure"}, {Head: "rpm", Right: true}, {Head: "mean A", Right: true}, {Head: "peak A", Right: true},
			{Head: "stall A", Right: true}, {Head: "repeat", Right: true}, {Head: "beats/min", Right: true},
		},
	}
	for _, f := range s.Figures {
		t.Rows = append(t.Rows, []string{
			f.Name, u.Plain(f.RunningRPM), u.Plain(f.MeanA), u.Plain(f.PeakA), u.Plain(f.StallA), timeSpan(f.PeriodS), u.Plain(f.BeatsMin),
		})
	}
	if finite(float64(s.TempoMin)) {
		t.Notes = append(t.Notes, fmt.Sprintf("Common tempo: %s beats a minute.", u.Plain(s.TempoMin)))
	}
	for _, f := range s.Figures {
		t.Notes = append(t.Notes, fmt.Sprintf("%s (%s): %s.", f.Name, f.File, f.Verdict))
	}
	return t
}

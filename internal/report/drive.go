package report

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Shaft is one shaft. RPM is never negative; Sense is "ccw", "cw", or "still"
// where nothing drives it, seen in the shaft's view.
type Shaft struct {
	Name    string  `json:"name"`
	View    string  `json:"view"`
	At      []Value `json:"at_mm"`
	Ratio   string  `json:"ratio"`
	RPM     Value   `json:"rpm"`
	Sense   string  `json:"sense"`
	Matters bool    `json:"matters"` // the repeat waits for it
}

// Repeat is how long the figure takes to be back where it started. ShaftTurns
// counts the turns of every driven shaft in that time. Bound says that extremes
// are taken over all combinations of the shafts' angles.
type Repeat struct {
	MotorTurns      Value            `json:"motor_turns"`
	MotorTurnsExact string           `json:"motor_turns_exact"`
	PeriodS         Value            `json:"period_s"`
	ShaftTurns      map[string]Value `json:"shaft_turns"`
	Bound           bool             `json:"bound"`
	Near            *Near            `json:"near"`
	// NearSearchedTurns is how far a near repeat was looked for; null where the
	// whole repeat was, or one was found.
	NearSearchedTurns Value `json:"near_searched_turns"`
}

// Near is the first time the figure is nearly back before the repeat.
type Near struct {
	MotorTurns Value `json:"motor_turns"`
	Seconds    Value `json:"seconds"`
	WorstDeg   Value `json:"worst_deg"`
	WorstMM    Value `json:"worst_mm"`
}

// Gear is a pair of gears. Distances are between axes: as the teeth need, as
// drawn, with the belts fitted, and over the whole take-up.
type Gear struct {
	Name      string `json:"name"`
	Kind      string `json:"kind"`
	Driver    string `json:"driver"`
	Driven    string `json:"driven"`
	Teeth     [2]int `json:"teeth"`
	Sense     string `json:"sense"` // of the driven shaft against the driver's: "same" or "opposite"
	ModuleMM  Value  `json:"module_mm"`
	NeededMM  Value  `json:"needed_mm"`
	SpacingMM Value  `json:"spacing_mm"`
	FittedMM  Value  `json:"fitted_mm"`
	RangeMM   Range  `json:"range_mm"`
}

func buildShafts(m *mech.Model, s *solve.Solution) []Shaft {
	out := make([]Shaft, len(m.Shafts))
	for i, shaft := range m.Shafts {
		ratio := s.Drive.Ratios[i]
		row := Shaft{
			Name: shaft.Name, View: shaft.View.String(), At: []Value{Value(shaft.At.X), Value(shaft.At.Y)},
			Ratio: ratio.String(), RPM: Null, Sense: "still",
			Matters: i < len(s.Repeat.Matters) && s.Repeat.Matters[i],
		}
		if m.Motor != nil {
			row.RPM = rpm(math.Abs(ratio.Float()) * s.Motor.RunningSpeed)
		}
		switch sign := s.Drive.Sign(m, i); {
		case sign > 0:
			row.Sense = "ccw"
		case sign < 0:
			row.Sense = "cw"
		}
		out[i] = row
	}
	return out
}

// buildRepeat returns nil where nothing turns or the drive's ratios are not
// known.
func buildRepeat(m *mech.Model, s *solve.Solution) *Repeat {
	if m.Motor == nil || s.Repeat.Status != solve.RepeatOK {
		return nil
	}
	seconds := func(turns float64) Value { return Value(turns * 2 * math.Pi / s.Motor.RunningSpeed) }
	r := &Repeat{
		MotorTurns: Value(s.Repeat.Turns), MotorTurnsExact: s.Repeat.Exact, PeriodS: seconds(s.Repeat.Turns),
		ShaftTurns: make(map[string]Value), Bound: s.Repeat.Bound, NearSearchedTurns: Null,
	}
	for i, shaft := range m.Shafts {
		if s.Drive.Ratios[i].Driven() {
			r.ShaftTurns[shaft.Name] = Value(s.Repeat.ShaftTurns[i])
		}
	}
	switch near := s.Repeat.Near; near.Status {
	case solve.NearFound:
		r.Near = &Near{
			MotorTurns: Value(near.Turns), Seconds: seconds(near.Turns),
			WorstDeg: degrees(near.Worst), WorstMM: Null,
		}
		if near.Moves {
			r.Near.WorstMM = Value(near.Move)
		}
	case solve.NearSearchEnded:
		r.NearSearchedTurns = Value(near.Searched)
	}
	return r
}

func degrees(rad float64) Value { return Value(rad * 180 / math.Pi) }

func buildGears(m *mech.Model, s *solve.Solution) []Gear {
	out := make([]Gear, 0, len(m.Gears))
	for i, g := range m.Gears {
		row := Gear{
			Name: g.Name, Kind: g.Kind.String(), Sense: "same",
			Driver: m.Shafts[g.Driver.Shaft].Name, Driven: m.Shafts[g.Driven.Shaft].Name,
			Teeth: [2]int{g.Driver.Teeth, g.Driven.Teeth}, ModuleMM: Null,
			NeededMM: Null, SpacingMM: Null, FittedMM: Null, RangeMM: Range{Min: Null, Max: Null},
		}
		if solve.GearReverses(g) {
			row.Sense = "opposite"
		}
		if g.Module > 0 {
			row.ModuleMM = Value(g.Module)
		}
		if i < len(s.Gears) {
			r := s.Gears[i]
			row.SpacingMM, row.FittedMM = Value(r.Spacing), Value(r.Fitted)
			row.RangeMM = Range{Min: Value(r.Least), Max: Value(r.Most)}
			if r.Status == solve.GearOK {
				row.NeededMM = Value(r.Needed)
			}
		}
		out = append(out, row)
	}
	return out
}

func driveTables(r *Report, u Units) []Table {
	var tables []Table
	if len(r.Shafts) > 0 {
		tables = append(tables, shaftTable(r, u))
	}
	if r.Repeat != nil {
		tables = append(tables, repeatTable(r.Repeat, u))
	}
	if len(r.Gears) > 0 {
		tables = append(tables, gearTable(r, u))
	}
	return tables
}

func shaftTable(r *Report, u Units) Table {
	t := Table{Title: "Shafts", Columns: []Column{
		{Head: "shaft"}, {Head: "view"}, {Head: "at " + u.LengthName(), Right: true},
		{Head: "ratio", Right: true}, {Head: "rpm", Right: true}, {Head: "sense"}, {Head: "turns in a repeat", Right: true},
	}}
	for _, s := range r.Shafts {
		turns := ""
		if r.Repeat != nil {
			if n, ok := r.Repeat.ShaftTurns[s.Name]; ok {
				turns = wholeOrPlain(n)
			}
		}
		t.Rows = append(t.Rows, []string{
			s.Name, s.View, u.Length(s.At[0]) + ", " + u.Length(s.At[1]), s.Ratio, u.Plain(s.RPM), s.Sense, turns,
		})
	}
	return t
}

// wholeOrPlain writes a count in full where it is one a reader can take in.
func wholeOrPlain(v Value) string {
	f := float64(v)
	if f == math.Trunc(f) && math.Abs(f) < 1e9 {
		return fmt.Sprintf("%.0f", f)
	}
	return fmt.Sprintf("%.6g", f)
}

func repeatTable(r *Repeat, u Units) Table {
	t := Table{
		Title:   "Repeat",
		Columns: []Column{{Head: ""}, {Head: "motor turns", Right: true}, {Head: "after", Right: true}, {Head: "worst shaft", Right: true}, {Head: "worst point", Right: true}},
		Rows:    [][]string{{"all home", r.MotorTurnsExact, timeSpan(r.PeriodS), "0.0 deg", ""}},
	}
	switch {
	case r.Near != nil:
		point := ""
		if finite(float64(r.Near.WorstMM)) {
			point = u.Length(r.Near.WorstMM) + " " + u.LengthName()
		}
		t.Rows = append(t.Rows, []string{"nearly home", wholeOrPlain(r.Near.MotorTurns), timeSpan(r.Near.Seconds), u.Degrees(r.Near.WorstDeg) + " deg", point})
	case finite(float64(r.NearSearchedTurns)):
		t.Notes = append(t.Notes, fmt.Sprintf("Not nearly home in the first %s motor turns; later was not looked at.", wholeOrPlain(r.NearSearchedTurns)))
	default:
		t.Notes = append(t.Notes, "Never nearly home before that.")
	}
	if r.Bound {
		t.Notes = append(t.Notes, "Too long to follow: extremes are over all combinations of the shafts' angles.")
	}
	return t
}

// timeSpan writes seconds as people say them.
func timeSpan(seconds Value) string {
	switch s := float64(seconds); {
	case !finite(s):
		return "-"
	case s < 100:
		return fmt.Sprintf("%.3g s", s)
	case s < 6000:
		whole := int(math.Round(s))
		return fmt.Sprintf("%d min %02d s", whole/60, whole%60)
	case s < 2*86400:
		return fmt.Sprintf("%.3g h", s/3600)
	case s < 730*86400:
		return fmt.Sprintf("%.3g days", s/86400)
	default:
		return fmt.Sprintf("%.3g years", s/(365.25*86400))
	}
}

func gearTable(r *Report, u Units) Table {
	t := Table{Title: "Gears, distance between axes in " + u.LengthName(), Columns: []Column{
		{Head: "gears"}, {Head: "kind"}, {Head: "pair"}, {Head: "teeth", Right: true}, {Head: "needed", Right: true},
		{Head: "drawn", Right: true}, {Head: "fitted", Right: true}, {Head: "take-up", Right: true},
	}}
	for _, g := range r.Gears {
		over := "none"
		if g.RangeMM.Min != g.RangeMM.Max {
			over = u.Length(g.RangeMM.Min) + ".." + u.Length(g.RangeMM.Max)
		}
		t.Rows = append(t.Rows, []string{
			g.Name, g.Kind, g.Driver + ", " + g.Driven, fmt.Sprintf("%d:%d", g.Teeth[0], g.Teeth[1]),
			u.Length(g.NeededMM), u.Length(g.SpacingMM), u.Length(g.FittedMM), over,
		})
	}
	return t
}

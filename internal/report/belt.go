package report

import (
	"fmt"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Belt is one loop as drawn, and the belt that is fitted to it. Where the loop
// does not close its lengths are null; Status says why in a word.
type Belt struct {
	Name        string  `json:"name"`
	Pitch       string  `json:"pitch"`
	PitchMM     Value   `json:"pitch_mm"`
	Status      string  `json:"status"`
	LengthMM    Value   `json:"length_mm"`
	TeethExact  Value   `json:"teeth_exact"`
	TeethFitted *int    `json:"teeth_fitted"`
	Code        string  `json:"code"`
	Stocked     bool    `json:"stocked"`
	Drawer      bool    `json:"drawer"`
	Reachable   bool    `json:"reachable"`
	TakeUpMM    Value   `json:"take_up_mm"`
	OtherMM     Value   `json:"take_up_other_mm"` // the next solution, null where there is one only
	FittedAt    []Value `json:"fitted_at"`        // where the taken-up pulley stands with the belt fitted
	// CentreMM is the distance of two pulleys: with the belt asked for, or as
	// drawn where none is.
	CentreMM       Value           `json:"centre_mm"`
	DrawnCentreMM  Value           `json:"drawn_centre_mm"`
	FittedCentreMM Value           `json:"fitted_centre_mm"`
	Pulleys        []Pulley        `json:"pulleys"`
	Spans          []Span          `json:"spans"`
	Candidates     []BeltCandidate `json:"candidates"`
}

// Pulley is one stop of the run. Teeth is null for a plain pulley; for an idler
// Shaft is its name.
type Pulley struct {
	Shaft           string  `json:"shaft"`
	Idler           bool    `json:"idler"`
	Teeth           *int    `json:"teeth"`
	Side            string  `json:"side"` // "inside" or "back"
	At              []Value `json:"at_mm"`
	PitchDiameterMM Value   `json:"pitch_diameter_mm"`
	OutsideMM       Value   `json:"outside_diameter_mm"`
	WrapDeg         Value   `json:"wrap_deg"`
	TeethInMesh     Value   `json:"teeth_in_mesh"`
}

// Span is the straight stretch between two stops.
type Span struct {
	From     string  `json:"from"`
	To       string  `json:"to"`
	LengthMM Value   `json:"length_mm"`
	LeaveMM  []Value `json:"leave_mm"`
	MeetMM   []Value `json:"meet_mm"`
}

// BeltCandidate is a stocked belt near the exact length.
type BeltCandidate struct {
	Teeth     int    `json:"teeth"`
	Code      string `json:"code"`
	LengthMM  Value  `json:"length_mm"`
	Stocked   bool   `json:"stocked"`
	Drawer    bool   `json:"drawer"`
	Standing  string `json:"standing"` // of the list it is in: read, memory; "" for the drawer's own
	TakeUpMM  Value  `json:"take_up_mm"`
	Reachable bool   `json:"reachable"`
	CentreMM  Value  `json:"centre_mm"`
}

func point(x, y float64) []Value { return []Value{Value(x), Value(y)} }

func buildBelts(m *mech.Model, s *solve.Solution) []Belt {
	out := make([]Belt, 0, len(m.Belts))
	for i := range m.Belts {
		if i < len(s.Belts) {
			out = append(out, BuildBelt(m, &m.Belts[i], &s.Belts[i]))
		}
	}
	return out
}

// BuildBelt lays one solved belt out.
func BuildBelt(m *mech.Model, b *mech.Belt, r *solve.BeltResult) Belt {
	out := Belt{
		Name: b.Name, Pitch: b.Section.Name, PitchMM: Value(b.Section.Pitch), Status: r.Status.String(),
		LengthMM: Null, TeethExact: Null, TakeUpMM: given(r.Fitted.TakeUp), OtherMM: given(r.Fitted.Other),
		Code: r.Fitted.Code, Stocked: r.Fitted.Stocked, Drawer: r.Fitted.Drawer, Reachable: r.Fitted.Reachable,
		FittedAt: []Value{}, CentreMM: given(r.Centre), DrawnCentreMM: given(r.Centre), FittedCentreMM: given(r.Fitted.Centre),
		Pulleys: []Pulley{}, Spans: []Span{}, Candidates: []BeltCandidate{},
	}
	if r.Fitted.Teeth > 0 {
		teeth := r.Fitted.Teeth
		out.TeethFitted = &teeth
	}
	if b.Teeth > 0 {
		out.CentreMM = given(r.Fitted.Centre)
	}
	if r.Fitted.TakeUp.OK {
		out.FittedAt = point(r.Fitted.At.X, r.Fitted.At.Y)
	}
	closed := r.Status == solve.LoopOK
	if closed {
		out.LengthMM, out.TeethExact = Value(r.Length), Value(r.TeethExact)
	}
	for i, p := range b.Run {
		out.Pulleys = append(out.Pulleys, buildPulley(m, p, r.Pulleys[i], closed))
		if closed {
			out.Spans = append(out.Spans, Span{
				From: pulleyName(m, p), To: pulleyName(m, b.Run[(i+1)%len(b.Run)]), LengthMM: Value(r.Spans[i].Length),
				LeaveMM: point(r.Spans[i].Leave.X, r.Spans[i].Leave.Y), MeetMM: point(r.Spans[i].Meet.X, r.Spans[i].Meet.Y),
			})
		}
	}
	for _, c := range r.Candidates {
		out.Candidates = append(out.Candidates, BeltCandidate{
			Teeth: c.Teeth, Code: c.Code, LengthMM: Value(c.Length), Stocked: c.Stocked, Drawer: c.Drawer, Standing: string(c.Standing),
			TakeUpMM: given(c.TakeUp), Reachable: c.Reachable, CentreMM: given(c.Centre),
		})
	}
	return out
}

func pulleyName(m *mech.Model, p mech.Pulley) string {
	if p.Shaft == mech.None {
		return p.Idler
	}
	return m.Shafts[p.Shaft].Name
}

func buildPulley(m *mech.Model, p mech.Pulley, r solve.PulleyResult, closed bool) Pulley {
	out := Pulley{
		Shaft: pulleyName(m, p), Idler: p.Shaft == mech.None, Side: "inside", At: point(r.At.X, r.At.Y),
		PitchDiameterMM: Value(2 * r.Radius), OutsideMM: Value(2 * r.Outside), WrapDeg: Null, TeethInMesh: Null,
	}
	if p.Back {
		out.Side = "back"
	}
	if closed {
		out.WrapDeg = degrees(r.Wrap)
	}
	if p.Teeth > 0 {
		teeth := p.Teeth
		out.Teeth = &teeth
		if closed {
			out.TeethInMesh = Value(r.TeethInMesh)
		}
	}
	return out
}

func beltTables(r *Report, u Units) []Table {
	var tables []Table
	for _, b := range r.Belts {
		tables = append(tables, BeltTables(b, u)...)
	}
	return tables
}

// BeltTables lays out one belt: its run, and the lengths around it.
func BeltTables(b Belt, u Units) []Table {
	unit := u.LengthName()
	run := Table{Title: beltTitle(b, u), Columns: []Column{
		{Head: "pulley"}, {Head: "teeth", Right: true}, {Head: "side"}, {Head: "at " + unit, Right: true},
		{Head: "pitch dia", Right: true}, {Head: "wrap deg", Right: true}, {Head: "in mesh", Right: true}, {Head: "span on", Right: true},
	}}
	for i, p := range b.Pulleys {
		teeth, mesh, span := "plain", "", "-"
		if p.Teeth != nil {
			teeth, mesh = fmt.Sprint(*p.Teeth), fixed(float64(p.TeethInMesh), 1)
		}
		if i < len(b.Spans) {
			span = u.Length(b.Spans[i].LengthMM)
		}
		run.Rows = append(run.Rows, []string{
			p.Shaft, teeth, p.Side, u.Length(p.At[0]) + ", " + u.Length(p.At[1]),
			u.Length(p.PitchDiameterMM), u.Degrees(p.WrapDeg), mesh, span,
		})
	}
	run.Notes = append(run.Notes, fittedNote(b, u))
	if len(b.Candidates) == 0 {
		return []Table{run}
	}
	return []Table{run, candidateTable(b, u)}
}

func beltTitle(b Belt, u Units) string {
	title := "Belt " + b.Name
	if b.Pitch != "" {
		title += ", " + b.Pitch
	}
	title += fmt.Sprintf(", pitch %.5g mm", float64(b.PitchMM))
	if finite(float64(b.LengthMM)) {
		return fmt.Sprintf("%s: %s %s, %s teeth as drawn", title, u.Length(b.LengthMM), u.LengthName(), fixed(float64(b.TeethExact), 3))
	}
	return title + ": does not close"
}

func fittedNote(b Belt, u Units) string {
	if b.TeethFitted == nil {
		return "No belt is known to fit."
	}
	note := fmt.Sprintf("Fitted: %d teeth", *b.TeethFitted)
	if b.Code != "" {
		note += " (" + b.Code + ")"
	}
	switch {
	case b.Drawer:
		note += ", in the drawer"
	case b.Stocked:
		note += ", a listed length"
	default:
		note += ", in no list"
	}
	if finite(float64(b.TakeUpMM)) {
		note += fmt.Sprintf("; take-up %s %s, which puts the pulley at %s, %s", u.Length(b.TakeUpMM), u.LengthName(), u.Length(b.FittedAt[0]), u.Length(b.FittedAt[1]))
	}
	if finite(float64(b.FittedCentreMM)) {
		note += fmt.Sprintf("; centre distance %s %s", u.Length(b.FittedCentreMM), u.LengthName())
	}
	return note + "."
}

func candidateTable(b Belt, u Units) Table {
	two := len(b.Pulleys) == 2
	t := Table{Title: "Lengths around it", Columns: []Column{
		{Head: "teeth", Right: true}, {Head: "code"}, {Head: "length " + u.LengthName(), Right: true},
		{Head: "take-up", Right: true}, {Head: "in range"}, {Head: "drawer"},
	}}
	if two {
		t.Columns = append(t.Columns, Column{Head: "centre", Right: true})
	}
	for _, c := range b.Candidates {
		row := []string{fmt.Sprint(c.Teeth), c.Code, u.Length(c.LengthMM), u.Length(c.TakeUpMM), yesNo(c.Reachable), yesNo(c.Drawer)}
		if two {
			row = append(row, u.Length(c.CentreMM))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

package report

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
)

// BeltDetail is a belt as the belt command reports it: the keys of the report,
// and beside them what is asked of one belt at a time.
type BeltDetail struct {
	Belt
	Approximate *Approximate   `json:"approximate"` // two inside pulleys only
	Allowance   Allowance      `json:"allowance"`
	Tension     *Tension       `json:"tension"` // null where no torque is known
	Positions   []BeltPosition `json:"positions"`
}

// Approximate is what the handbooks' short formulas say, and how far they are
// off: positive where they say too much.
type Approximate struct {
	LengthMM      Value `json:"length_mm"`
	LengthErrorMM Value `json:"length_error_mm"`
	CentreMM      Value `json:"centre_mm"` // for the fitted belt
	CentreErrorMM Value `json:"centre_error_mm"`
}

// Allowance is the travel published for tensioning a belt and slipping it on.
type Allowance struct {
	TensionMM Value  `json:"tension_mm"`
	FittingMM Range  `json:"fitting_mm"`
	Source    string `json:"source"`
}

// Tension is how tight the belt must be, and what that loads.
type Tension struct {
	Driver       string        `json:"driver"`
	TorqueNmm    Value         `json:"torque_Nmm"`
	TorqueIs     string        `json:"torque_is"`
	Service      Value         `json:"service_factor"`
	EffectiveN   Value         `json:"effective_N"`
	TightN       Value         `json:"tight_N"`
	SlackN       Value         `json:"slack_N"`
	StaticN      Value         `json:"static_N"`
	AllowableN   Value         `json:"allowable_N"`
	MeshFactor   Value         `json:"mesh_factor"`
	WidthMM      Value         `json:"width_mm"`
	LeastWidthMM Value         `json:"least_width_mm"`
	MassKgM      Value         `json:"mass_kg_m"`
	BeltSpeed    Value         `json:"belt_speed_mm_s"`
	Spans        []SpanTension `json:"spans"`
	Hubs         []HubLoad     `json:"hubs"`
	Assumptions  []string      `json:"assumptions"`
}

// SpanTension is one span with the belt fitted. Note and Cents say the pitch of
// the plucked span as a musician's tuner does, A4 = 440 Hz.
type SpanTension struct {
	From         string `json:"from"`
	To           string `json:"to"`
	LengthMM     Value  `json:"length_mm"`
	RunningN     Value  `json:"running_N"`
	DeflectionMM Value  `json:"deflection_mm"`
	DeflectionN  Value  `json:"deflection_N"`
	FrequencyHz  Value  `json:"frequency_Hz"`
	Note         string `json:"note"`
	Cents        Value  `json:"cents"`
}

// HubLoad is the pull of the belt on one shaft, and its direction in the view.
type HubLoad struct {
	Shaft      string `json:"shaft"`
	StaticN    Value  `json:"static_N"`
	RunningN   Value  `json:"running_N"`
	RunningDeg Value  `json:"running_deg"`
}

// BeltPosition is one place of the moved pulley or pulleys that closes the belt
// or belts asked for.
type BeltPosition struct {
	Moved    []string  `json:"moved"`
	TravelMM []Value   `json:"travel_mm"`
	At       [][]Value `json:"at_mm"`
}

// lowestHeard, in Hz, is about the lowest tone an ear or a tuner makes out.
const lowestHeard = 20

const allowanceSource = "Roloff/Matek, Maschinenelemente, section 16.3.2 (second hand)"

// BuildBeltDetail lays one belt out with the short formulas and the published
// allowances; tension and positions are the caller's to add.
func BuildBeltDetail(m *mech.Model, b *mech.Belt, r *solve.BeltResult) BeltDetail {
	d := BeltDetail{Belt: BuildBelt(m, b, r), Positions: []BeltPosition{}}
	length := r.Length
	if r.Fitted.Teeth > 0 {
		length = r.Fitted.Length
	}
	d.Allowance = Allowance{
		TensionMM: Value(0.005 * length),
		FittingMM: Range{Min: Value(b.Section.Pitch), Max: Value(2.5 * b.Section.Pitch)},
		Source:    allowanceSource,
	}
	if len(b.Run) == 2 && !b.Run[0].Back && !b.Run[1].Back {
		d.Approximate = approximate(b, r)
	}
	return d
}

func approximate(b *mech.Belt, r *solve.BeltResult) *Approximate {
	a := &Approximate{LengthMM: Null, LengthErrorMM: Null, CentreMM: Null, CentreErrorMM: Null}
	small, large := r.Pulleys[0].Radius, r.Pulleys[1].Radius
	if r.Status == solve.LoopOK {
		length := solve.ApproximateLength(small, large, r.Centre.Value)
		a.LengthMM, a.LengthErrorMM = Value(length), Value(length-r.Length)
	}
	z1, z2 := min(b.Run[0].Teeth, b.Run[1].Teeth), max(b.Run[0].Teeth, b.Run[1].Teeth)
	if z1 > 0 && r.Fitted.Centre.OK {
		if c := solve.ApproximateCentre(b.Section.Pitch, z1, z2, r.Fitted.Teeth); c.OK {
			a.CentreMM, a.CentreErrorMM = Value(c.Value), Value(c.Value-r.Fitted.Centre.Value)
		}
	}
	return a
}

// BuildPositions lays places out.
func BuildPositions(places []solve.Place) []BeltPosition {
	out := make([]BeltPosition, 0, len(places))
	for _, p := range places {
		row := BeltPosition{Moved: p.Moved, TravelMM: []Value{}, At: [][]Value{}}
		for i, at := range p.At {
			row.TravelMM = append(row.TravelMM, Value(p.Travel[i]))
			row.At = append(row.At, point(at.X, at.Y))
		}
		out = append(out, row)
	}
	return out
}

// BuildTension lays a belt's tensions out. torqueIs says where the torque comes
// from.
func BuildTension(m *mech.Model, b *mech.Belt, t *solve.BeltTension, duty solve.BeltDuty, torqueIs string) *Tension {
	out := &Tension{
		Driver: pulleyName(m, b.Run[duty.Driver]), TorqueNmm: Value(duty.Torque), TorqueIs: torqueIs, Service: Value(duty.Service),
		EffectiveN: Value(t.Effective), TightN: Value(t.Tight), SlackN: Value(t.Slack), StaticN: Value(t.Static),
		AllowableN: given(t.Allowable), MeshFactor: Value(t.MeshFactor), WidthMM: given(b.Width), LeastWidthMM: given(t.LeastWidth),
		MassKgM: given(t.MassPer), BeltSpeed: Value(t.BeltSpeed), Spans: []SpanTension{}, Hubs: []HubLoad{},
		Assumptions: []string{
			"working tensions 1.25 and 0.25 of the effective tension, and their mean to set",
			"torque taken off in equal parts by the driven sprockets; bearings and idlers take none",
			"the deflection force is that of a string: the belt's own stiffness adds a little, and raises the pitch of short spans",
		},
	}
	for i, s := range t.Spans {
		row := SpanTension{
			From: pulleyName(m, b.Run[i]), To: pulleyName(m, b.Run[(i+1)%len(b.Run)]), LengthMM: Value(s.Length), RunningN: Value(s.Running),
			DeflectionMM: Value(s.Deflection), DeflectionN: Value(s.Force), FrequencyHz: given(s.Frequency), Cents: Null,
		}
		if note := solve.NoteOf(s.Frequency.Value); s.Frequency.OK && note.Finite && s.Frequency.Value >= lowestHeard {
			row.Note, row.Cents = note.Name, Value(note.Cents)
		}
		out.Spans = append(out.Spans, row)
	}
	for i, h := range t.Hubs {
		out.Hubs = append(out.Hubs, HubLoad{
			Shaft: pulleyName(m, b.Run[i]), StaticN: Value(r2.Norm(h.Static)), RunningN: Value(r2.Norm(h.Running)),
			RunningDeg: degrees(math.Atan2(h.Running.Y, h.Running.X)),
		})
	}
	return out
}

// BeltDetailTables lays a belt out for a terminal.
func BeltDetailTables(d BeltDetail, u Units) []Table {
	tables := BeltTables(d.Belt, u)
	if notes := detailNotes(d, u); len(notes) > 0 {
		tables[0].Notes = append(tables[0].Notes, notes...)
	}
	if len(d.Positions) > 0 {
		tables = append(tables, positionTable(d.Positions, u))
	}
	if d.Tension != nil {
		tables = append(tables, tensionTable(d.Tension, u), hubTable(d.Tension))
	}
	return tables
}

func detailNotes(d BeltDetail, u Units) []string {
	var notes []string
	if a := d.Approximate; a != nil {
		note := "For the curious:"
		if finite(float64(a.LengthErrorMM)) {
			note += fmt.Sprintf(" the approximate length formula is off by %s mm", u.Plain(a.LengthErrorMM))
		}
		if finite(float64(a.CentreErrorMM)) {
			if finite(float64(a.LengthErrorMM)) {
				note += ","
			}
			note += fmt.Sprintf(" the approximate distance for the fitted belt by %s mm", u.Plain(a.CentreErrorMM))
		}
		if note != "For the curious:" {
			notes = append(notes, note+".")
		}
	}
	return append(notes, fmt.Sprintf("Leave %s %s of travel to tension it and %s to %s to slip it on.",
		u.Length(d.Allowance.TensionMM), u.LengthName(), u.Length(d.Allowance.FittingMM.Min), u.Length(d.Allowance.FittingMM.Max)))
}

func positionTable(positions []BeltPosition, u Units) Table {
	t := Table{Title: "Where it closes, nearest first", Columns: []Column{
		{Head: "moved"}, {Head: "travel " + u.LengthName(), Right: true}, {Head: "stands at", Right: true},
	}}
	for _, p := range positions {
		for i, name := range p.Moved {
			t.Rows = append(t.Rows, []string{name, u.Length(p.TravelMM[i]), u.Length(p.At[i][0]) + ", " + u.Length(p.At[i][1])})
		}
	}
	t.Notes = append(t.Notes, "All else here is with the nearest of them.")
	return t
}

func tensionTable(t *Tension, u Units) Table {
	table := Table{
		Title: fmt.Sprintf("Tension for %s N·mm at %s (%s), service factor %s", u.Plain(t.TorqueNmm), t.Driver, t.TorqueIs, u.Plain(t.Service)),
		Columns: []Column{{Head: "span"}, {Head: "length " + u.LengthName(), Right: true}, {Head: "running N", Right: true},
			{Head: "push N", Right: true}, {Head: "for " + u.LengthName(), Right: true}, {Head: "pitch Hz", Right: true}, {Head: "note"}},
	}
	for _, s := range t.Spans {
		note := ""
		if s.Note != "" {
			note = fmt.Sprintf("%s %+.0f ct", s.Note, float64(s.Cents))
		}
		table.Rows = append(table.Rows, []string{s.From + ", " + s.To, u.Length(s.LengthMM), u.Plain(s.RunningN), u.Plain(s.DeflectionN), u.Length(s.DeflectionMM), u.Plain(s.FrequencyHz), note})
	}
	allow := "unknown without the belt's width"
	if finite(float64(t.AllowableN)) {
		allow = u.Plain(t.AllowableN) + " N"
	}
	table.Notes = append(table.Notes, fmt.Sprintf("Set it to %s N; running, %s N on the tight side and %s N on the slack one. Allowable on the tight side: %s.",
		u.Plain(t.StaticN), u.Plain(t.TightN), u.Plain(t.SlackN), allow))
	if finite(float64(t.LeastWidthMM)) {
		table.Notes = append(table.Notes, fmt.Sprintf("Narrowest standard width that carries it: %s %s.", u.Length(t.LeastWidthMM), u.LengthName()))
	}
	for _, a := range t.Assumptions {
		table.Notes = append(table.Notes, "Assumed: "+a+".")
	}
	return table
}

func hubTable(t *Tension) Table {
	table := Table{Title: "Pull on the shafts", Columns: []Column{{Head: "shaft"}, {Head: "set N", Right: true}, {Head: "running N", Right: true}, {Head: "toward deg", Right: true}}}
	u := Units{}
	for _, h := range t.Hubs {
		table.Rows = append(table.Rows, []string{h.Shaft, u.Plain(h.StaticN), u.Plain(h.RunningN), u.Degrees(h.RunningDeg)})
	}
	return table
}

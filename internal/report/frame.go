package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Frame is what lies under the stage.
type Frame struct {
	Parts      []FramePart      `json:"parts"`
	Clearances []FrameClearance `json:"clearances"` // nearest first; all others stay beyond far_mm
	FarMM      Value            `json:"far_mm"`
	Stacks     []FrameStack     `json:"stacks"`
	Plates     []FramePlate     `json:"plates"`
	StageSlots []StageSlot      `json:"stage_slots"`
}

// FramePart is one part of the stack-up. Levels are along the third axis of its
// view. DiameterMM is null for what is not round.
type FramePart struct {
	Name       string   `json:"name"`
	Where      string   `json:"where"`
	View       string   `json:"view"`
	FromMM     Value    `json:"from_mm"`
	ToMM       Value    `json:"to_mm"`
	DiameterMM Value    `json:"diameter_mm"`
	Shaft      string   `json:"shaft"` // "" for what sits on none
	Assumed    []string `json:"assumed"`
	kind       solve.FrameKind
}

// FrameClearance is the least distance of two parts over the repeat; AtTurns is
// null where neither moves or the turn is not known.
type FrameClearance struct {
	Parts   [2]string `json:"parts"`
	MM      Value     `json:"mm"`
	AtTurns Value     `json:"at_turns"`
	Bound   bool      `json:"bound,omitempty"`
}

// FrameStack is the room between neighbours on a shaft or pin.
type FrameStack struct {
	Upper  string `json:"upper"`
	Lower  string `json:"lower"`
	RoomMM Value  `json:"room_mm"`
}

// FramePlate is one plate as made. WallMM is null without holes.
type FramePlate struct {
	Name        string      `json:"name"`
	View        string      `json:"view"`
	ThicknessMM Value       `json:"thickness_mm"`
	LevelMM     Value       `json:"level_mm"`
	SizeMM      [2]Value    `json:"size_mm"`
	Holes       []PlateHole `json:"holes"`
	Spans       []PlateSpan `json:"spans"`
	WallMM      Value       `json:"wall_mm"`
	Fits        string      `json:"fits"` // "whole", "turned", "parts", "no", "unknown"
	SplitAxis   string      `json:"split_axis,omitempty"`
	SplitsMM    []Value     `json:"splits_mm"`
	AcrossMM    []Value     `json:"across_mm"` // lines the other way
}

// PlateHole is one hole: round, or a slot from AtMM to EndMM. FittedMM is where
// the fitted belt puts what goes in a slot.
type PlateHole struct {
	For        string    `json:"for"`
	AtMM       [2]Value  `json:"at_mm"`
	EndMM      *[2]Value `json:"end_mm"`
	FittedMM   *[2]Value `json:"fitted_mm"`
	DiameterMM Value     `json:"diameter_mm"`
	FitsMM     Value     `json:"fits_mm"`
}

// PlateSpan is a distance to check, between holes by number from 1.
type PlateSpan struct {
	Holes     [2]int `json:"holes"`
	CentresMM Value  `json:"centres_mm"`
	OverPins  Value  `json:"over_pins_mm"`
}

// StageSlot is a slot that a linkage needs in the stage.
type StageSlot struct {
	Linkage string `json:"linkage"`
	XMM     Range  `json:"x_mm"`
	YMM     Range  `json:"y_mm"`
}

func buildFrame(m *mech.Model, s *solve.Solution) *Frame {
	r := &s.Frame
	f := &Frame{Parts: []FramePart{}, Clearances: []FrameClearance{}, Stacks: []FrameStack{}, Plates: []FramePlate{}, StageSlots: []StageSlot{}, FarMM: Value(r.Far)}
	for i := range r.Parts {
		p := &r.Parts[i]
		part := FramePart{Name: p.Name, Where: p.Where, View: p.View.String(), FromMM: Value(p.From), ToMM: Value(p.To), DiameterMM: Null, Assumed: []string{}, kind: p.Kind}
		if p.Radius > 0 {
			part.DiameterMM = Value(2 * p.Radius)
		}
		if p.Shaft != mech.None {
			part.Shaft = m.Shafts[p.Shaft].Name
		}
		part.Assumed = append(part.Assumed, p.Assumed...)
		f.Parts = append(f.Parts, part)
	}
	for _, c := range r.Clearances {
		out := FrameClearance{Parts: [2]string{r.Parts[c.A].Name, r.Parts[c.B].Name}, MM: Value(c.Gap), AtTurns: Null, Bound: c.Bound}
		if c.Moves && c.Turns >= 0 {
			out.AtTurns = Value(c.Turns)
		}
		f.Clearances = append(f.Clearances, out)
	}
	for _, k := range r.Stacks {
		f.Stacks = append(f.Stacks, FrameStack{r.Parts[k.Upper].Name, r.Parts[k.Lower].Name, Value(k.Room)})
	}
	for i := range r.Plates {
		f.Plates = append(f.Plates, buildPlate(m, r, &r.Plates[i]))
	}
	for _, slot := range r.Slots {
		f.StageSlots = append(f.StageSlots, StageSlot{m.Linkages[slot.Linkage].Name,
			Range{Min: Value(slot.Min.X), Max: Value(slot.Max.X)}, Range{Min: Value(slot.Min.Y), Max: Value(slot.Max.Y)}})
	}
	return f
}

func buildPlate(m *mech.Model, r *solve.FrameResult, p *solve.PlateResult) FramePlate {
	spec, part := &m.Frame.Plates[p.Plate], &r.Parts[p.Part]
	out := FramePlate{Name: spec.Name, View: spec.View.String(), ThicknessMM: Value(part.Thickness()), LevelMM: Value(part.Level()),
		SizeMM: [2]Value{Value(p.Size.X), Value(p.Size.Y)}, Holes: []PlateHole{}, Spans: []PlateSpan{}, WallMM: Null, SplitsMM: []Value{}, AcrossMM: []Value{}}
	if p.Wall {
		out.WallMM = Value(p.Least.Wall)
	}
	for i := range p.Holes {
		h := &p.Holes[i]
		hole := PlateHole{For: h.Name, AtMM: [2]Value{Value(h.At.X), Value(h.At.Y)}, DiameterMM: Value(h.Diameter), FitsMM: Value(h.Fits)}
		if h.Slotted() {
			hole.EndMM = &[2]Value{Value(h.End.X), Value(h.End.Y)}
			if h.HasFit {
				hole.FittedMM = &[2]Value{Value(h.Fitted.X), Value(h.Fitted.Y)}
			}
		}
		out.Holes = append(out.Holes, hole)
	}
	for _, span := range p.Spans {
		out.Spans = append(out.Spans, PlateSpan{[2]int{span.A + 1, span.B + 1}, Value(span.Centres), Value(span.OverPins)})
	}
	switch fit := &p.Fit; {
	case !fit.Given:
		out.Fits = "unknown"
	case fit.Turned:
		out.Fits = "turned"
	case fit.Whole:
		out.Fits = "whole"
	case fit.Parts > 0:
		out.Fits, out.SplitAxis = "parts", "v"
		if fit.AlongU {
			out.SplitAxis = "u"
		}
		for _, at := range fit.Splits {
			out.SplitsMM = append(out.SplitsMM, Value(at))
		}
		for _, at := range fit.Across {
			out.AcrossMM = append(out.AcrossMM, Value(at))
		}
	default:
		out.Fits = "no"
	}
	return out
}

func frameTables(r *Report, u Units) []Table {
	if r.Frame == nil || len(r.Frame.Parts) == 0 {
		return nil
	}
	var tables []Table
	for _, view := range [...]string{"plan", "front", "side"} {
		if t, ok := stackTable(r.Frame, view, u); ok {
			tables = append(tables, t)
		}
	}
	tables = append(tables, nearTable(r.Frame, u))
	for i := range r.Frame.Plates {
		tables = append(tables, plateTable(&r.Frame.Plates[i], u))
	}
	return tables
}

// stackTable draws a view's parts from the side: one line to a part, highest
// first, with a column to each shaft that shows where the shaft runs and what
// sits on it.
func stackTable(f *Frame, view string, u Units) (Table, bool) {
	const mostShafts = 6
	var parts, shafts []*FramePart
	for i := range f.Parts {
		p := &f.Parts[i]
		switch {
		case p.View != view || p.kind == solve.FramePoint || p.kind == solve.FrameObstacle:
		case p.kind == solve.FrameShaft:
			shafts = append(shafts, p)
		default:
			parts = append(parts, p)
		}
	}
	if len(shafts) == 0 && len(parts) <= 1 {
		return Table{}, false
	}
	columns := shafts
	if len(columns) > mostShafts {
		columns = nil
	}
	t := Table{Title: fmt.Sprintf("Stack, %s view %s", view, u.LengthName()), Columns: []Column{{"to", true}, {"from", true}}}
	for _, s := range columns {
		t.Columns = append(t.Columns, Column{Head: shortName(s.Shaft)})
	}
	t.Columns = append(t.Columns, Column{Head: "part"})
	slices.SortStableFunc(parts, func(a, b *FramePart) int { return cmp.Compare(b.FromMM+b.ToMM, a.FromMM+a.ToMM) })
	assumed := false
	for _, p := range parts {
		row := []string{u.Length(p.ToMM), u.Length(p.FromMM)}
		for _, s := range columns {
			row = append(row, stackCell(p, s))
		}
		name := p.Name
		if len(p.Assumed) > 0 {
			name += " *"
			assumed = true
		}
		t.Rows = append(t.Rows, append(row, name))
	}
	for _, s := range shafts {
		star := ""
		if len(s.Assumed) > 0 {
			star, assumed = " *", true
		}
		t.Notes = append(t.Notes, fmt.Sprintf("Shaft %s, %s thick, from %s to %s: %s long%s.", s.Shaft, u.Length(s.DiameterMM), u.Length(s.FromMM), u.Length(s.ToMM), u.Length(s.ToMM-s.FromMM), star))
	}
	if assumed {
		t.Notes = append(t.Notes, "* a size is assumed, see frame_sizes.")
	}
	return t, true
}

func stackCell(p, shaft *FramePart) string {
	switch {
	case p.Shaft == shaft.Shaft:
		return "[##]"
	case shaft.FromMM < p.ToMM && shaft.ToMM > p.FromMM:
		return " ||"
	}
	return ""
}

func shortName(name string) string {
	const most = 6
	if r := []rune(name); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return name
}

func nearTable(f *Frame, u Units) Table {
	const most = 12
	t := Table{Title: "Nearest parts under the stage", Columns: []Column{{"part", false}, {"and", false}, {"least " + u.LengthName(), true}, {"at turns", true}}}
	for i, c := range f.Clearances {
		if i == most {
			t.Notes = append(t.Notes, fmt.Sprintf("%d more pairs come nearer than %s.", len(f.Clearances)-most, u.Length(f.FarMM)))
			break
		}
		t.Rows = append(t.Rows, []string{c.Parts[0], c.Parts[1], u.Length(c.MM), fixed(float64(c.AtTurns), 2)})
	}
	if len(f.Clearances) == 0 {
		t.Columns = nil
	}
	t.Notes = append(t.Notes, fmt.Sprintf("All pairs that are not meant to touch and are not listed stay %s apart or more.", u.Length(f.FarMM)))
	for _, s := range f.StageSlots {
		t.Notes = append(t.Notes, fmt.Sprintf("Linkage %s needs a slot in the stage: x %s to %s, y %s to %s, and clearance all round.",
			s.Linkage, u.Length(s.XMM.Min), u.Length(s.XMM.Max), u.Length(s.YMM.Min), u.Length(s.YMM.Max)))
	}
	return t
}

func plateTable(p *FramePlate, u Units) Table {
	t := Table{Title: fmt.Sprintf("Holes of plate %s, %s view %s", p.Name, p.View, u.LengthName()),
		Columns: []Column{{"", true}, {"for", false}, {"u", true}, {"v", true}, {"diameter", true}, {"fits", true}}}
	for i, h := range p.Holes {
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), h.For, u.Length(h.AtMM[0]), u.Length(h.AtMM[1]), u.Length(h.DiameterMM), u.Length(h.FitsMM)})
		if h.EndMM != nil {
			t.Rows = append(t.Rows, []string{"", "  slot to", u.Length(h.EndMM[0]), u.Length(h.EndMM[1]), "", ""})
		}
		if h.FittedMM != nil {
			t.Rows = append(t.Rows, []string{"", "  belt fits at", u.Length(h.FittedMM[0]), u.Length(h.FittedMM[1]), "", ""})
		}
	}
	if len(p.Holes) == 0 {
		t.Columns, t.Notes = nil, []string{"Nothing goes through it."}
		return t
	}
	t.Notes = append(t.Notes, fmt.Sprintf("Level %s, %s thick, %s by %s; thinnest wall %s. Diameters are as made, with the allowance.",
		u.Length(p.LevelMM), u.Length(p.ThicknessMM), u.Length(p.SizeMM[0]), u.Length(p.SizeMM[1]), u.Length(p.WallMM)))
	if text := bedText(p, u); text != "" {
		t.Notes = append(t.Notes, text)
	}
	if len(p.Spans) > 0 {
		const most = 10
		var spans []string
		for i, s := range p.Spans {
			if i == most {
				spans = append(spans, "more in the JSON")
				break
			}
			spans = append(spans, fmt.Sprintf("%d-%d %s (%s)", s.Holes[0], s.Holes[1], u.Length(s.CentresMM), u.Length(s.OverPins)))
		}
		t.Notes = append(t.Notes, "Between centres, and over pins: "+strings.Join(spans, ", ")+".")
	}
	return t
}

func bedText(p *FramePlate, u Units) string {
	switch p.Fits {
	case "whole":
		return "It fits the bed whole."
	case "turned":
		return "It fits the bed turned by a quarter."
	case "parts":
		var at []string
		for _, v := range p.SplitsMM {
			at = append(at, u.Length(v))
		}
		text := fmt.Sprintf("Larger than the bed: print it in %d parts, split where %s is %s", (len(p.SplitsMM)+1)*(len(p.AcrossMM)+1), p.SplitAxis, strings.Join(at, " and "))
		if len(p.AcrossMM) > 0 {
			var across []string
			for _, v := range p.AcrossMM {
				across = append(across, u.Length(v))
			}
			text += ", and where v is " + strings.Join(across, " and ")
		}
		return text + "."
	case "no":
		return "Larger than the bed, and no line parts it without crossing a hole."
	}
	return ""
}

// angleText writes an angle in degrees in [0, 360) to a tenth.
func angleText(rad float64) string {
	deg := math.Mod(rad*180/math.Pi, 360)
	if deg < 0 {
		deg += 360
	}
	if deg >= 359.95 {
		deg = 0
	}
	return fixed(deg, 1)
}

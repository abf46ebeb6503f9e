package report

import (
	"fmt"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Linkage is one planar chain. Angles of the driver are its crank's, or its
// cam's φ, in [0, 360). Where the chain could not be compiled or assembled,
// Status says why in a word and the rest is null or empty.
type Linkage struct {
	Name     string   `json:"name"`
	Status   string   `json:"status"`
	Mobility Mobility `json:"mobility"`
	Driver   string   `json:"driver"` // pin
	// LocksAtDeg is the driver's angle at which the chain locks, going forward
	// from motor turn 0; null when it does not. LocksBackAtDeg is the other end
	// of what it can turn over.
	LocksAtDeg      Value               `json:"locks_at_deg"`
	LocksAtTurns    Value               `json:"locks_at_turns"` // of the motor
	LocksBackAtDeg  Value               `json:"locks_back_at_deg"`
	TurnsOverDeg    Value               `json:"turns_over_deg"`
	BranchesMeetDeg []Value             `json:"branches_meet_deg"`
	TransmissionDeg Range               `json:"transmission_deg"`
	Joints          []LinkageJoint      `json:"joints"`
	Loops           []LinkageLoop       `json:"loops"`
	Outputs         []LinkageOutput     `json:"outputs"`
	Slots           []LinkageSlot       `json:"slots"`
	Points          []LinkagePointReach `json:"points"`
	Clearances      []LinkageGap        `json:"clearances"`
}

// Mobility is the Kutzbach-Gruebler count.
type Mobility struct {
	Links       int `json:"links"`
	LowerPairs  int `json:"lower_pairs"`
	HigherPairs int `json:"higher_pairs"`
	Count       int `json:"count"`
	Driven      int `json:"driven"`
}

// LinkageJoint is the transmission angle at one pin.
type LinkageJoint struct {
	Pin             string `json:"pin"`
	TransmissionDeg Range  `json:"transmission_deg"`
}

// LinkageLoop is what a simple loop from crank to frame is.
type LinkageLoop struct {
	Pin       string `json:"pin"`
	Kind      string `json:"kind"`
	FullTurn  bool   `json:"full_turn"`
	GrashofMM Value  `json:"grashof_mm"` // shortest + longest − the other two; null but for four-bars
}

// LinkageOutput is a link pivoted on the frame, or a sliding pin.
type LinkageOutput struct {
	Pin         string  `json:"pin"`
	Pivot       *string `json:"pivot"` // null for a sliding pin
	SwingDeg    Value   `json:"swing_deg"`
	StrokeMM    Value   `json:"stroke_mm"`
	TurnsFully  bool    `json:"turns_fully"`
	EndsDeg     []Value `json:"ends_deg"` // the driver's angles at its two ends
	TimeRatio   Value   `json:"time_ratio"`
	TorqueRatio Value   `json:"least_torque_ratio"`        // of a pivoted link
	PushPerMM   Value   `json:"least_force_per_torque_mm"` // of a sliding pin, 1/mm
	AtDeg       Value   `json:"least_advantage_at_deg"`
}

// LinkageSlot is where a pin runs in its slot, from the slot's first pin.
type LinkageSlot struct {
	Pin      string    `json:"pin"`
	Line     [2]string `json:"line"`
	LengthMM Value     `json:"length_mm"`
	TravelMM Range     `json:"travel_mm"`
}

// LinkagePointReach is where a point gets to, in the stage frame. PathMM is over a
// turn of the only driving shaft, or over the repeat of several.
type LinkagePointReach struct {
	Name             string `json:"name"`
	XMM              Range  `json:"x_mm"`
	YMM              Range  `json:"y_mm"`
	ZMM              Range  `json:"z_mm"`
	PeakSpeed        Value  `json:"peak_speed_mm_s"`
	PeakAcceleration Value  `json:"peak_acceleration_mm_s2"`
	PathMM           Value  `json:"path_mm"`
}

// LinkageGap is the least gap of a point to an obstacle or a ball of the torso,
// written torso.NAME.
type LinkageGap struct {
	Point    string `json:"point"`
	Obstacle string `json:"obstacle"`
	MM       Value  `json:"mm"`
	AtTurns  Value  `json:"at_turns"`
	Bound    bool   `json:"bound,omitempty"`
}

var linkageStatuses = map[solve.LinkageStatus]string{
	solve.LinkageSolved: "solved", solve.LinkageUndriven: "undriven", solve.LinkageOver: "over-constrained",
	solve.LinkageUnder: "under-constrained", solve.LinkageMalformed: "malformed",
	solve.LinkageUnassembled: "not assembled", solve.LinkageLocks: "locks",
}

// rangeOf lays an extent out in the unit that is the given times the model's.
func rangeOf(e solve.Extent, unit float64) Range {
	if !e.Valid {
		return Range{Min: Null, Max: Null}
	}
	return Range{Min: Value(e.Min.Value * unit), Max: Value(e.Max.Value * unit), Bound: e.Min.Bound || e.Max.Bound}
}

// peakOf returns the greatest of an extent in the unit, null when not known.
func peakOf(e solve.Extent, unit float64) Value {
	if !e.Valid {
		return Null
	}
	return Value(e.Max.Value * unit)
}

func buildLinkages(m *mech.Model, s *solve.Solution) []Linkage {
	out := make([]Linkage, 0, len(m.Linkages))
	for i := range m.Linkages {
		if i < len(s.Linkages) {
			out = append(out, buildLinkage(m, s, &m.Linkages[i], &s.Linkages[i]))
		}
	}
	return out
}

func buildLinkage(m *mech.Model, s *solve.Solution, l *mech.Linkage, r *solve.LinkageResult) Linkage {
	out := Linkage{
		Name: l.Name, Status: linkageStatuses[r.Status],
		Mobility: Mobility{
			Links: r.Mobility.Links, LowerPairs: r.Mobility.LowerPairs, HigherPairs: r.Mobility.HigherPairs,
			Count: r.Mobility.Count(), Driven: r.Mobility.Driven,
		},
		LocksAtDeg: Null, LocksAtTurns: Null, LocksBackAtDeg: Null, TurnsOverDeg: Null, BranchesMeetDeg: []Value{},
		TransmissionDeg: rangeOf(r.Transmission, degreesPerRadian),
		Joints:          []LinkageJoint{}, Loops: []LinkageLoop{}, Outputs: []LinkageOutput{}, Slots: []LinkageSlot{},
		Points: []LinkagePointReach{}, Clearances: []LinkageGap{},
	}
	if r.Chain == nil {
		for _, p := range l.Points {
			out.Points = append(out.Points, LinkagePointReach{Name: p.Name, XMM: rangeOf(solve.Extent{}, 1), YMM: rangeOf(solve.Extent{}, 1), ZMM: rangeOf(solve.Extent{}, 1), PeakSpeed: Null, PeakAcceleration: Null, PathMM: Null})
		}
		return out
	}
	out.Driver = l.Pins[r.Driver.Pin].Name
	if r.Locks != nil {
		if r.Locks.At >= 0 {
			out.LocksAtDeg, out.LocksAtTurns = degrees(r.Locks.At), Value(r.Locks.MotorTurns)
		}
		if r.Locks.Over > 0 {
			out.LocksBackAtDeg, out.TurnsOverDeg = degrees(r.Locks.Back), degrees(r.Locks.Over)
		}
	}
	for _, b := range r.Merges {
		out.BranchesMeetDeg = append(out.BranchesMeetDeg, degrees(b.At))
	}
	for _, j := range r.Joints {
		out.Joints = append(out.Joints, LinkageJoint{Pin: l.Pins[j.Pin].Name, TransmissionDeg: rangeOf(j.Angle, degreesPerRadian)})
	}
	for _, loop := range r.Loops {
		row := LinkageLoop{Pin: l.Pins[loop.Pin].Name, Kind: loop.Kind.String(), FullTurn: loop.Kind.FullTurn(), GrashofMM: Null}
		if loop.Kind <= solve.TripleRocker {
			row.GrashofMM = Value(loop.Grashof)
		}
		out.Loops = append(out.Loops, row)
	}
	for _, o := range r.Outputs {
		out.Outputs = append(out.Outputs, buildOutput(l, o))
	}
	for _, t := range r.Slots {
		slot := l.Slots[t.Slot]
		out.Slots = append(out.Slots, LinkageSlot{
			Pin: l.Pins[slot.Pin].Name, Line: [2]string{l.Pins[slot.Line[0]].Name, l.Pins[slot.Line[1]].Name},
			LengthMM: Value(t.Length), TravelMM: rangeOf(t.Travel, 1),
		})
	}
	speed := s.Motor.RunningSpeed
	for i, p := range r.Points {
		out.Points = append(out.Points, LinkagePointReach{
			Name: l.Points[i].Name, XMM: rangeOf(p.X, 1), YMM: rangeOf(p.Y, 1), ZMM: rangeOf(p.Z, 1),
			PeakSpeed: peakOf(p.Speed, speed), PeakAcceleration: peakOf(p.Acceleration, speed*speed), PathMM: given(p.Path),
		})
	}
	for _, c := range r.Clearances {
		out.Clearances = append(out.Clearances, buildGap(m, l, c))
	}
	return out
}

func buildOutput(l *mech.Linkage, o solve.OutputMotion) LinkageOutput {
	row := LinkageOutput{
		Pin: l.Pins[o.Pin].Name, SwingDeg: Null, StrokeMM: Null, TurnsFully: o.Turns, EndsDeg: []Value{},
		TimeRatio: given(o.TimeRatio), TorqueRatio: Null, PushPerMM: Null, AtDeg: Null,
	}
	if o.Pivot == mech.None {
		row.StrokeMM, row.PushPerMM = Value(o.Swings), given(o.Advantage)
	} else {
		pivot := l.Pins[o.Pivot].Name
		row.Pivot, row.SwingDeg, row.TorqueRatio = &pivot, degrees(o.Swings), given(o.Advantage)
	}
	if o.TimeRatio.OK {
		row.EndsDeg = []Value{degrees(o.Ends[0]), degrees(o.Ends[1])}
	}
	if o.Advantage.OK {
		row.AtDeg = degrees(o.AdvantageAt)
	}
	return row
}

func buildGap(m *mech.Model, l *mech.Linkage, c solve.LinkageClearance) LinkageGap {
	gap := LinkageGap{Point: l.Points[c.Point].Name, MM: Value(c.Gap.Value), AtTurns: Value(c.Gap.Turns), Bound: c.Gap.Bound}
	if c.Obstacle != mech.None {
		gap.Obstacle = m.Torso.KeepClear[c.Obstacle].Name
	} else {
		gap.Obstacle = "torso." + m.Torso.Points[c.Torso].Name
	}
	if c.Gap.Turns < 0 {
		gap.AtTurns = Null
	}
	return gap
}

func linkageTables(r *Report, u Units) []Table {
	var tables []Table
	for i := range r.Linkages {
		l := &r.Linkages[i]
		tables = append(tables, linkageTable(l, u))
		if len(l.Points) > 0 && l.Driver != "" {
			tables = append(tables, linkagePointTable(l, u))
		}
		if len(l.Clearances) > 0 {
			tables = append(tables, linkageGapTable(l, u))
		}
	}
	if r.Beats != nil {
		tables = append(tables, beatsTable(r.Beats, u))
	}
	return tables
}

// linkageTable says what kind of chain it is and what its outputs do.
func linkageTable(l *Linkage, u Units) Table {
	t := Table{Title: "Linkage " + l.Name + ": " + l.Status}
	if l.Driver == "" {
		t.Notes = []string{"See the findings for what it needs."}
		return t
	}
	t.Columns = []Column{
		{Head: "output"}, {Head: "swing deg", Right: true}, {Head: "stroke " + u.LengthName(), Right: true},
		{Head: "ends at deg", Right: true}, {Head: "time ratio", Right: true}, {Head: "advantage", Right: true},
	}
	for _, o := range l.Outputs {
		name, gain := "slide "+o.Pin, u.Plain(o.PushPerMM)
		if o.Pivot != nil {
			name, gain = *o.Pivot+"-"+o.Pin, u.Plain(o.TorqueRatio)
		}
		ends := "-"
		if len(o.EndsDeg) == 2 {
			ends = u.Degrees(o.EndsDeg[0]) + ", " + u.Degrees(o.EndsDeg[1])
		}
		t.Rows = append(t.Rows, []string{name, u.Degrees(o.SwingDeg), u.Length(o.StrokeMM), ends, fixed(float64(o.TimeRatio), 2), gain})
	}
	if len(t.Rows) == 0 {
		t.Columns = nil
	}
	for _, loop := range l.Loops {
		t.Notes = append(t.Notes, fmt.Sprintf("At %s: %s.", loop.Pin, loop.Kind))
	}
	if finite(float64(l.TransmissionDeg.Min)) {
		t.Notes = append(t.Notes, fmt.Sprintf("Transmission angle %s to %s deg.", u.Degrees(l.TransmissionDeg.Min), u.Degrees(l.TransmissionDeg.Max)))
	}
	if finite(float64(l.LocksAtDeg)) {
		t.Notes = append(t.Notes, fmt.Sprintf("Locks with %s at %s deg.", l.Driver, u.Degrees(l.LocksAtDeg)))
	}
	for _, s := range l.Slots {
		t.Notes = append(t.Notes, fmt.Sprintf("Pin %s runs from %s to %s %s in slot %s-%s of %s.", s.Pin,
			u.Length(s.TravelMM.Min), u.Length(s.TravelMM.Max), u.LengthName(), s.Line[0], s.Line[1], u.Length(s.LengthMM)))
	}
	return t
}

func linkagePointTable(l *Linkage, u Units) Table {
	unit := u.LengthName()
	t := Table{Title: "Points of " + l.Name + ", " + unit, Columns: []Column{
		{Head: "point"}, {Head: "x", Right: true}, {Head: "y", Right: true}, {Head: "z", Right: true},
		{Head: unit + "/s", Right: true}, {Head: unit + "/s²", Right: true}, {Head: "path", Right: true},
	}}
	span := func(r Range) string {
		low, high := u.Length(r.Min), u.Length(r.Max)
		if low == high {
			return low
		}
		return low + "…" + high
	}
	for _, p := range l.Points {
		t.Rows = append(t.Rows, []string{
			p.Name, span(p.XMM), span(p.YMM), span(p.ZMM), u.Length(p.PeakSpeed), u.Length(p.PeakAcceleration), u.Length(p.PathMM),
		})
	}
	return t
}

func linkageGapTable(l *Linkage, u Units) Table {
	t := Table{Title: "Least gaps of " + l.Name + ", " + u.LengthName(), Columns: []Column{
		{Head: "point"}, {Head: "from"}, {Head: "gap", Right: true}, {Head: "at motor turn", Right: true},
	}}
	for _, g := range l.Clearances {
		t.Rows = append(t.Rows, []string{g.Point, g.Obstacle, u.Length(g.MM), fixed(float64(g.AtTurns), 2)})
	}
	return t
}

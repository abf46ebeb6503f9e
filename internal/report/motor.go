package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Motor is the motor at the supply. What needs load data is null without it.
type Motor struct {
	SupplyV           Value `json:"supply_V"`
	RatedV            Value `json:"rated_V"`
	StartV            Value `json:"start_V"`
	NoLoadRPM         Value `json:"no_load_rpm"`
	StallTorqueNmm    Value `json:"stall_torque_Nmm"`
	StallCurrentA     Value `json:"stall_current_A"`
	StallHeatW        Value `json:"stall_heat_W"`
	NoLoadCurrentA    Value `json:"no_load_current_A"`
	ResistanceOhm     Value `json:"resistance_ohm"`
	GearboxEfficiency Value `json:"gearbox_efficiency"`
	Loaded            bool  `json:"loaded"`
	RunningRPM        Value `json:"running_rpm"`
	RunningTorqueNmm  Value `json:"running_torque_Nmm"`
	PeakTorqueNmm     Value `json:"peak_torque_Nmm"`
	RunningCurrentA   Value `json:"running_current_A"`
	PeakCurrentA      Value `json:"peak_current_A"`
	TorqueMargin      Value `json:"torque_margin"`
	WantedRPM         Value `json:"wanted_rpm"`
	SupplyForWantedV  Value `json:"supply_for_wanted_V"`
	Load              *Load `json:"load"` // null without load data
}

// Load is what the figure asks of its motor over the repeat.
type Load struct {
	PeakTurns Value `json:"peak_at_turns"`
	PeakBound bool  `json:"peak_bound,omitempty"`
	// PeakShafts is the turn, past whole turns and in its own sense, of each shaft
	// that loads the motor.
	PeakShafts         map[string]Value `json:"peak_shafts_deg"`
	LeastTorqueNmm     Value            `json:"least_torque_Nmm"`
	BreakawayTorqueNmm Value            `json:"breakaway_torque_Nmm"`
	BreakawayTurns     Value            `json:"breakaway_at_turns"`
	StartSupplyV       Value            `json:"start_supply_V"`
	LeastRPM           Value            `json:"least_rpm"`
	MostRPM            Value            `json:"most_rpm"`
	HeatingCurrentA    Value            `json:"heating_current_A"`
	Returned           Value            `json:"returned_share"`
	Parts              []LoadPart       `json:"parts"`
	Missing            []string         `json:"missing"`
	Assumed            []string         `json:"assumed"`
}

// LoadPart is one reason why the motor must give torque, in the peak and in the
// mean over the repeat.
type LoadPart struct {
	Name    string `json:"name"`
	PeakNmm Value  `json:"peak_Nmm"`
	MeanNmm Value  `json:"mean_Nmm"`
}

func rpm(speed float64) Value { return Value(speed * 30 / math.Pi) }

// buildMotor returns nil for a figure without a motor. A motor that cannot run
// has no running speed.
func buildMotor(m *mech.Model, s *solve.Solution) *Motor {
	if m.Motor == nil {
		return nil
	}
	r := s.Motor
	out := &Motor{
		SupplyV:           Value(m.Motor.Supply),
		RatedV:            Value(m.Motor.Rated),
		StartV:            Value(r.StartVoltage),
		NoLoadRPM:         rpm(r.NoLoadSpeed),
		StallTorqueNmm:    Value(r.StallTorque),
		StallCurrentA:     Value(r.StallCurrent),
		StallHeatW:        Value(r.StallHeat),
		NoLoadCurrentA:    Value(m.Motor.NoLoad.Current),
		ResistanceOhm:     Value(r.Line.Resistance),
		GearboxEfficiency: Value(r.Line.GearboxEfficiency()),
		Loaded:            r.Loaded,
		RunningRPM:        Null,
		RunningTorqueNmm:  given(r.RunningTorque),
		PeakTorqueNmm:     given(r.PeakTorque),
		RunningCurrentA:   given(r.RunningCurrent),
		PeakCurrentA:      given(r.PeakCurrent),
		TorqueMargin:      given(r.TorqueMargin),
	}
	out.WantedRPM, out.SupplyForWantedV = Null, Null
	if m.Motor.Wanted.OK {
		out.WantedRPM = rpm(m.Motor.Wanted.Value)
		out.SupplyForWantedV = Value(r.SupplyForSpeed(m.Motor.Wanted.Value))
	}
	if r.Status == solve.MotorTurns {
		out.RunningRPM = rpm(r.RunningSpeed)
	}
	if r.Load != nil && r.Load.Peaks {
		out.Load = buildLoad(m, &r)
	}
	return out
}

func buildLoad(m *mech.Model, r *solve.MotorResult) *Load {
	l := r.Load
	out := &Load{
		PeakTurns:          turnsOf(l.Peak),
		PeakBound:          l.Peak.Bound,
		PeakShafts:         map[string]Value{},
		LeastTorqueNmm:     Value(l.Least.Value),
		BreakawayTorqueNmm: Value(l.Breakaway.Value),
		BreakawayTurns:     turnsOf(l.Breakaway),
		StartSupplyV:       Value(l.StartSupply),
		LeastRPM:           Null,
		MostRPM:            Null,
		HeatingCurrentA:    Null,
		Returned:           Value(l.Returned),
		Missing:            []string{},
		Assumed:            []string{},
	}
	if r.Loaded {
		out.LeastRPM, out.MostRPM, out.HeatingCurrentA = rpm(l.LeastSpeed), rpm(l.MostSpeed), Value(l.Heating)
	}
	if l.Peak.Turns >= 0 {
		x := make([]float64, len(l.Load.Shafts))
		l.Load.AnglesAt(l.Peak.Turns, x)
		for i, shaft := range l.Load.Shafts {
			out.PeakShafts[m.Shafts[shaft].Name] = Value(x[i] * degreesPerRadian)
		}
	}
	for p, peak := range l.Shares {
		part := LoadPart{Name: solve.LoadPart(p).String(), PeakNmm: Value(peak), MeanNmm: Value(l.Mean[p])}
		if l.Peak.Turns < 0 {
			part.PeakNmm = Null
		}
		out.Parts = append(out.Parts, part)
	}
	for _, g := range l.Gaps {
		if name := g.Where + "." + g.What; g.Assumed {
			out.Assumed = append(out.Assumed, name)
		} else {
			out.Missing = append(out.Missing, name)
		}
	}
	return out
}

// turnsOf is the motor turn of an extreme; null where a bound has none.
func turnsOf(e solve.Extreme) Value {
	if e.Turns < 0 {
		return Null
	}
	return Value(e.Turns)
}

// motorTables shows the motor unloaded, running and stalled, and what makes up
// the torque.
func motorTables(r *Report, u Units) []Table {
	if r.Motor == nil {
		return nil
	}
	m := r.Motor
	least := Value(math.NaN())
	if m.Load != nil {
		least = m.Load.LeastRPM
	}
	t := Table{
		Title:   fmt.Sprintf("Motor at %s V (rated %s V)", u.Plain(m.SupplyV), u.Plain(m.RatedV)),
		Columns: []Column{{Head: ""}, {Head: "no load", Right: true}, {Head: "running", Right: true}, {Head: "peak load", Right: true}, {Head: "stall", Right: true}},
		Rows: [][]string{
			{"speed rpm", u.Plain(m.NoLoadRPM), u.Plain(m.RunningRPM), u.Plain(least), "0"},
			{"torque N·mm", "0", u.Plain(m.RunningTorqueNmm), u.Plain(m.PeakTorqueNmm), u.Plain(m.StallTorqueNmm)},
			{"current A", u.Plain(m.NoLoadCurrentA), u.Plain(m.RunningCurrentA), u.Plain(m.PeakCurrentA), u.Plain(m.StallCurrentA)},
		},
	}
	if !m.Loaded {
		t.Notes = append(t.Notes, "Running under load is not known: speeds and times are at no load.")
	}
	if m.WantedRPM == m.WantedRPM {
		t.Notes = append(t.Notes, fmt.Sprintf("For %s rpm it takes %s V.", u.Plain(m.WantedRPM), u.Plain(m.SupplyForWantedV)))
	}
	tables := []Table{t}
	if m.Load != nil {
		tables = append(tables, loadTable(m, u))
	}
	return tables
}

// loadTable shows the parts of the torque, the greatest first; parts that ask
// for nothing are left out.
func loadTable(m *Motor, u Units) Table {
	l := m.Load
	t := Table{
		Title:   "Torque at the motor",
		Columns: []Column{{Head: "from"}, {Head: "in the peak", Right: true}, {Head: "mean N·mm", Right: true}},
	}
	decimals := 2
	if math.Abs(float64(m.PeakTorqueNmm)) < 0.1 {
		decimals = 5
	}
	parts := slices.Clone(l.Parts)
	slices.SortStableFunc(parts, func(a, b LoadPart) int {
		return cmp.Compare(math.Abs(float64(b.PeakNmm))+math.Abs(float64(b.MeanNmm)), math.Abs(float64(a.PeakNmm))+math.Abs(float64(a.MeanNmm)))
	})
	for _, p := range parts {
		if p.PeakNmm != 0 || p.MeanNmm != 0 {
			t.Rows = append(t.Rows, []string{p.Name, fixed(float64(p.PeakNmm), decimals), fixed(float64(p.MeanNmm), decimals)})
		}
	}
	note := fmt.Sprintf("From rest it takes up to %s N·mm; %s V starts it in any pose.", u.Plain(l.BreakawayTorqueNmm), u.Plain(l.StartSupplyV))
	if finite(float64(l.PeakTurns)) {
		note = fmt.Sprintf("The peak comes after %s motor turns. ", u.Plain(l.PeakTurns)) + note
	}
	t.Notes = append(t.Notes, note)
	return t
}

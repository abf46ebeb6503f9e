package report

import (
	"fmt"
	"math"

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
	if r.Status == solve.MotorTurns {
		out.RunningRPM = rpm(r.RunningSpeed)
	}
	return out
}

func motorTables(r *Report, u Units) []Table {
	if r.Motor == nil {
		return nil
	}
	m := r.Motor
	t := Table{
		Title:   fmt.Sprintf("Motor at %s V (rated %s V)", u.Plain(m.SupplyV), u.Plain(m.RatedV)),
		Columns: []Column{{Head: ""}, {Head: "no load", Right: true}, {Head: "running", Right: true}, {Head: "peak", Right: true}, {Head: "stall", Right: true}},
		Rows: [][]string{
			{"speed rpm", u.Plain(m.NoLoadRPM), u.Plain(m.RunningRPM), "", "0"},
			{"torque N·mm", "0", u.Plain(m.RunningTorqueNmm), u.Plain(m.PeakTorqueNmm), u.Plain(m.StallTorqueNmm)},
			{"current A", u.Plain(m.NoLoadCurrentA), u.Plain(m.RunningCurrentA), u.Plain(m.PeakCurrentA), u.Plain(m.StallCurrentA)},
		},
	}
	if !m.Loaded {
		t.Notes = append(t.Notes, "No loads are given: running means no load.")
	}
	return []Table{t}
}

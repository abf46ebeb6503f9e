package check

import (
	"testing"

	"understage/internal/mech"
	"understage/internal/solve"
)

// motorSeverity returns how a rule judged the figure, and fails when it did not
// judge it exactly once.
func motorSeverity(t *testing.T, findings []Finding, rule string) Severity {
	t.Helper()
	found := -1
	for i, f := range findings {
		if f.Rule == rule {
			if found >= 0 {
				t.Fatalf("rule %s judged twice", rule)
			}
			found = i
		}
	}
	if found < 0 {
		t.Fatalf("rule %s did not judge", rule)
	}
	return findings[found].Severity
}

func TestMotorFindings(t *testing.T) {
	base := mech.Motor{
		Rated: 6, Supply: 4.8,
		NoLoad: mech.NoLoad{Speed: 2.4, Current: 0.06},
		Stall:  mech.Stall{Torque: 500, Current: 0.8},
	}
	// ke = 5.55/2.4 V·s/rad, so kt/ke reaches 1 at 0.74·5.55/2.4 N·m.
	const consistent = 0.74 * 5.55 / 2.4 * 1000
	cases := []struct {
		name   string
		rule   string
		change func(*mech.Motor)
		want   Severity
	}{
		{"supply at the rating", "supply", func(m *mech.Motor) { m.Supply = 6 }, OK},
		{"supply above it", "supply", func(m *mech.Motor) { m.Supply = 6.01 }, Fail},
		{"lossless gearbox", "motor_sheet", func(m *mech.Motor) { m.Stall.Torque = consistent * 0.999 }, OK},
		{"gearbox that adds work", "motor_sheet", func(m *mech.Motor) { m.Stall.Torque = consistent * 1.001 }, Caution},
		{"below the start voltage", "start", func(m *mech.Motor) { m.Supply = 0.44 }, Fail},
		{"no loads known", "start", func(m *mech.Motor) {}, Unknown},
		{"no loads known", "running_speed", func(m *mech.Motor) {}, Unknown},
	}
	for _, c := range cases {
		motor := base
		c.change(&motor)
		m := &mech.Model{Motor: &motor}
		s := &solve.Solution{Motor: solve.SolveMotor(m)}
		if got := motorSeverity(t, motorFindings(m, s), c.rule); got != c.want {
			t.Errorf("%s: %s = %v, want %v", c.name, c.rule, got, c.want)
		}
	}
}

func TestRunningSpeedIsThatUnderLoad(t *testing.T) {
	for _, c := range []struct {
		result solve.MotorResult
		want   Severity
	}{
		{solve.MotorResult{Loaded: true, RunningSpeed: 2, NoLoadSpeed: 2.1}, OK},
		{solve.MotorResult{Loaded: true, StallTorque: 10, PeakTorque: known(9.99)}, OK},
		{solve.MotorResult{Loaded: true, StallTorque: 10, PeakTorque: known(10)}, Fail},
		{solve.MotorResult{Status: solve.MotorStalls}, Fail},
		{solve.MotorResult{Status: solve.MotorCannotStart}, Fail},
	} {
		if f := runningSpeedFinding(c.result); f.Severity != c.want {
			t.Errorf("%+v: %v, want %v", c.result, f, c.want)
		}
	}
}

func TestMakersOwnSupplyLimit(t *testing.T) {
	m := &mech.Model{
		Motor: &mech.Motor{
			Rated: 6, Supply: 7,
			NoLoad: mech.NoLoad{Speed: 2.4, Current: 0.06},
			Stall:  mech.Stall{Torque: 500, Current: 0.8},
		},
		Limits: map[string]float64{"supply": 1.2},
	}
	s := &solve.Solution{Motor: solve.SolveMotor(m)}
	if got := motorSeverity(t, motorFindings(m, s), "supply"); got != OK {
		t.Errorf("7 V on a 6 V motor with a limit of 1.2 = %v, want ok", got)
	}
}

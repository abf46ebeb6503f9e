package check

import (
	"testing"

	"understage/internal/mech"
	"understage/internal/solve"
)

// loadedMotor is the contract's motor at 4.8 V with loads as given: peak and
// breakaway torque in N·mm, heating current in A.
func loadedMotor(peak, breakaway, heating float64, gaps ...solve.LoadGap) (*mech.Model, *solve.MotorResult) {
	m := &mech.Model{Motor: &mech.Motor{
		Rated: 6, Supply: 4.8,
		NoLoad: mech.NoLoad{Speed: 2.4, Current: 0.06},
		Stall:  mech.Stall{Torque: 500, Current: 0.8},
	}}
	r := solve.SolveMotor(m)
	r.Loaded = true
	r.PeakTorque = known(peak)
	r.PeakCurrent = known(r.Line.Current(peak))
	r.TorqueMargin = known(r.StallTorque / peak)
	r.Load = &solve.LoadResult{
		Known: true, Gaps: gaps, Heating: heating,
		Peak: solve.Extreme{Value: peak}, Breakaway: solve.Extreme{Value: breakaway},
	}
	return m, &r
}

// At 4.8 V the motor stalls at 500·0.58/0.74 = 391.89 N·mm and 0.64 A; 25 % of
// the rated stall current is 0.2 A. Each rule is tried on both sides of its
// limit.
func TestMotorLoadFindings(t *testing.T) {
	const stall = 500 * 0.58 / 0.74
	gap := solve.LoadGap{Where: "torso", What: "mass"}
	guess := solve.LoadGap{Where: "torso.guide", What: "friction", Assumed: true}
	cases := []struct {
		name                     string
		rule                     string
		peak, breakaway, heating float64
		gaps                     []solve.LoadGap
		fuse                     float64
		want                     Severity
	}{
		{"half the stall torque", "torque_margin", stall / 2.01, 1, 0.1, nil, 0, OK},
		{"more than half", "torque_margin", stall / 1.99, 1, 0.1, nil, 0, Caution},
		{"all of it", "torque_margin", stall * 1.01, 1, 0.1, nil, 0, Fail},
		{"a mass missing", "torque_margin", stall / 2.01, 1, 0.1, []solve.LoadGap{gap}, 0, Unknown},
		{"too much even so", "torque_margin", stall / 1.99, 1, 0.1, []solve.LoadGap{gap}, 0, Caution},
		{"starts well", "start", 1, stall / 1.26, 0.1, nil, 0, OK},
		{"just starts", "start", 1, stall / 1.24, 0.1, nil, 0, Caution},
		{"does not start", "start", 1, stall * 1.01, 0.1, nil, 0, Fail},
		{"within a quarter of stall", "continuous_current", 1, 1, 0.199, nil, 0, OK},
		{"beyond it", "continuous_current", 1, 1, 0.201, nil, 0, Caution},
		{"all known", "load_data", 1, 1, 0.1, nil, 0, OK},
		{"a mass missing", "load_data", 1, 1, 0.1, []solve.LoadGap{gap}, 0, Unknown},
		{"friction assumed", "load_data", 1, 1, 0.1, []solve.LoadGap{guess}, 0, Unknown},
		{"no fuse", "stall_heat", 1, 1, 0.1, nil, 0, Caution},
		{"a fuse that opens", "stall_heat", 1, 1, 0.1, nil, 0.315, OK},
		{"a fuse too large", "stall_heat", 1, 1, 0.1, nil, 0.4, Caution},
		{"fuse carries the peak", "fuse", 100, 1, 0.1, nil, 0.315, OK},
		{"fuse ages", "fuse", 130, 1, 0.1, nil, 0.315, Caution},
	}
	for _, c := range cases {
		m, r := loadedMotor(c.peak, c.breakaway, c.heating, c.gaps...)
		if c.fuse > 0 {
			m.Motor.Fuse = known(c.fuse)
		}
		if got := motorSeverity(t, motorFindings(m, &solve.Solution{Motor: *r}), c.rule); got != c.want {
			t.Errorf("%s: %s = %v, want %v", c.name, c.rule, got, c.want)
		}
	}
}

// A winding that bears its stall current needs no fuse: the counter-example of
// micro motors whose continuous current is near stall.
func TestStallHeatBorne(t *testing.T) {
	m, r := loadedMotor(1, 1, 0.1)
	m.Motor.Continuous = known(0.65)
	if got := motorSeverity(t, motorFindings(m, &solve.Solution{Motor: *r}), "stall_heat"); got != OK {
		t.Errorf("0.64 A at stall of 0.65 A continuous = %v, want ok", got)
	}
}

func TestYokeHoldFindings(t *testing.T) {
	for _, c := range []struct {
		name   string
		least  float64
		spring bool
		want   Severity
	}{
		{"pressed on", 0.01, true, OK},
		{"lifted off its spring", -0.01, true, Fail},
		{"no spring given", -0.01, false, Unknown},
	} {
		m, r := loadedMotor(1, 1, 0.1)
		m.Cams = []mech.Cam{{Name: "sway"}}
		if c.spring {
			m.Cams[0].Load.SpringRate = known(0.1)
		}
		r.Load.Holds = []solve.LoadHold{{Least: solve.Extreme{Value: c.least}}}
		if got := motorSeverity(t, yokeHoldFindings(m, r), "yoke_hold"); got != c.want {
			t.Errorf("%s = %v, want %v", c.name, got, c.want)
		}
	}
}

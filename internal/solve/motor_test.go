package solve

import (
	"math"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/floats/scalar"
)

const motorRPM = math.Pi / 30

// watchmanMotor is the contract's example: 6 V, 23 rpm and 60 mA unloaded,
// 0.5 N·m and 0.8 A stalled.
func watchmanMotor(supply float64) *mech.Motor {
	return &mech.Motor{
		Rated: 6, Supply: supply,
		NoLoad: mech.NoLoad{Speed: 23 * motorRPM, Current: 0.06},
		Stall:  mech.Stall{Torque: 500, Current: 0.8},
	}
}

func motorNear(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !scalar.EqualWithinAbsOrRel(got, want, 1e-12, rel) {
		t.Errorf("%s = %.10g, want %.10g", what, got, want)
	}
}

// MIT, Understanding D.C. Motor Characteristics, section 4: the green
// gearmotor, no-load 600 rpm, stall 0.325 N·m, gives most power at 300 rpm and
// 0.163 N·m. The page's line has no friction current.
func TestMotorPeakPower(t *testing.T) {
	line := NewMotorLine(&mech.Motor{
		Rated: 12, Supply: 12,
		NoLoad: mech.NoLoad{Speed: 600 * motorRPM},
		Stall:  mech.Stall{Torque: 325, Current: 2},
	})
	best, at := 0.0, 0.0
	for n := range 601 {
		w := float64(n) * motorRPM
		if p := line.Torque(w) * w / 1000; p > best {
			best, at = p, float64(n)
		}
	}
	motorNear(t, "speed of most power, rpm", at, 300, 0)
	motorNear(t, "torque there, N·m", line.Torque(300*motorRPM)/1000, 0.163, 0.004)
	motorNear(t, "most power, W", best, 5.10508806, 1e-8) // Ts·w0/4
}

// Fitzgerald, Kingsley & Umans, Electric Machinery, example 7.9: armature 1.03
// ohm, 2100 rpm and 1.25 A at 50 V unloaded. The book rounds Km to 0.22 first
// and so prints 275 W of shaft power at 1700 rpm on 48 V; unrounded it is
// 267.06 W. It takes the rotational loss as constant in watts.
func TestMotorTextbookConstants(t *testing.T) {
	const ohm = 1.03
	stall := 50 / ohm
	km := (50 - 1.25*ohm) / (2100 * motorRPM)
	line := NewMotorLine(&mech.Motor{
		Rated: 50, Supply: 48,
		NoLoad: mech.NoLoad{Speed: 2100 * motorRPM, Current: 1.25},
		Stall:  mech.Stall{Torque: km * (stall - 1.25) * 1000, Current: stall},
	})
	motorNear(t, "Km", line.VoltageConstant, 0.22, 0.01)
	motorNear(t, "Km unrounded", line.VoltageConstant, 0.22150958, 1e-7)
	motorNear(t, "kt/ke of a bare motor", line.GearboxEfficiency(), 1, 1e-12)
	loss := line.VoltageConstant * 2100 * motorRPM * 1.25
	motorNear(t, "rotational loss, W", loss, 61, 0.01)
	w := 1700 * motorRPM
	current := line.Current(line.Torque(w))
	motorNear(t, "shaft power, W", line.VoltageConstant*w*current-loss, 267.06456806, 1e-8)
}

// At the rated voltage the line must give the sheet back.
func TestMotorLineReturnsSheet(t *testing.T) {
	r := SolveMotor(&mech.Model{Motor: watchmanMotor(6)})
	motorNear(t, "no-load speed", r.NoLoadSpeed, 23*motorRPM, 1e-12)
	motorNear(t, "stall torque", r.StallTorque, 500, 1e-12)
	motorNear(t, "stall current", r.StallCurrent, 0.8, 1e-12)
	motorNear(t, "no-load current", r.Line.Current(0), 0.06, 1e-12)
	motorNear(t, "speed at stall", r.Line.Speed(500), 0, 1e-12)
}

// By hand, design contract section 4: R = 6/0.8 = 7.5 ohm; at 4.8 V the
// no-load speed is 23·(4.8−0.45)/(6−0.45) rpm, the stall torque
// 500·(0.64−0.06)/(0.8−0.06) N·mm: both below the plain 4.8/6.
func TestMotorBelowRating(t *testing.T) {
	r := SolveMotor(&mech.Model{Motor: watchmanMotor(4.8)})
	motorNear(t, "resistance", r.Line.Resistance, 7.5, 1e-12)
	motorNear(t, "no-load rpm", r.NoLoadSpeed/motorRPM, 23*4.35/5.55, 1e-12)
	motorNear(t, "stall torque", r.StallTorque, 500*0.58/0.74, 1e-12)
	motorNear(t, "stall heat", r.StallHeat, 4.8*4.8/7.5, 1e-12)
	if r.Status != MotorTurns || r.RunningSpeed != r.NoLoadSpeed || r.Loaded {
		t.Errorf("status %v, running %g, loaded %v: want the no-load speed", r.Status, r.RunningSpeed, r.Loaded)
	}
}

// With no friction current speed and torque scale with the voltage alone (VEX
// curriculum, Speed, Power, Torque and DC Motors: new value = spec x new V /
// spec V).
func TestMotorScalesWithVoltage(t *testing.T) {
	motor := watchmanMotor(1.5)
	motor.NoLoad.Current = 0
	r := SolveMotor(&mech.Model{Motor: motor})
	motorNear(t, "no-load rpm", r.NoLoadSpeed/motorRPM, 23.0/4, 1e-12)
	motorNear(t, "stall torque", r.StallTorque, 125, 1e-12)
}

func TestMotorCannotStart(t *testing.T) {
	r := SolveMotor(&mech.Model{Motor: watchmanMotor(0.4499)}) // I0·R is 0.45 V
	if r.Status != MotorCannotStart {
		t.Errorf("status = %v, want MotorCannotStart", r.Status)
	}
	motorNear(t, "no-load speed", r.NoLoadSpeed, 0, 0)
	motorNear(t, "stall torque", r.StallTorque, 0, 0)
	motorNear(t, "start voltage", r.StartVoltage, 0.45, 1e-12)
	motorNear(t, "stand-in running speed", r.RunningSpeed, 23*motorRPM, 1e-12)
}

// Four AA cells, about 0.6 ohm together: droop and stall by the full circuit.
func TestMotorOnBattery(t *testing.T) {
	motor := watchmanMotor(6)
	motor.Feed.Resistance = mech.Given{Value: 0.6, OK: true}
	r := SolveMotor(&mech.Model{Motor: motor})
	motorNear(t, "stall current", r.StallCurrent, 6/8.1, 1e-12)
	motorNear(t, "no-load rpm", r.NoLoadSpeed/motorRPM, 23*(6-0.06*8.1)/5.55, 1e-12)
	motorNear(t, "winding heat", r.StallHeat, 36*7.5/(8.1*8.1), 1e-12)
	w := r.Line.Speed(200)
	motorNear(t, "torque of that speed", r.Line.Torque(w), 200, 1e-12)
	motorNear(t, "supply for it", r.Line.SupplyFor(w, 200), 6, 1e-12)
}

func TestNoMotor(t *testing.T) {
	if r := SolveMotor(&mech.Model{}); r != (MotorResult{}) {
		t.Errorf("a figure without a motor gives %+v", r)
	}
}

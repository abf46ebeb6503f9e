package solve

import (
	"math"
	"testing"
)

// A torque of T0 + T1·cos θ on a straight motor line has a mean time per turn
// in closed form: ∫ dθ/(a − b·cos θ) = 2π/√(a² − b²), Bronshtein, Handbook of
// Mathematics, integral table (from memory; checked here by the sum itself).
func cosineCurve(n int, mean, swing float64) *LoadCurve {
	c := &LoadCurve{Turns: 1, Torque: make([]float64, n)}
	for k := range c.Torque {
		c.Torque[k] = mean + swing*math.Cos(2*math.Pi*float64(k)/float64(n))
	}
	return c
}

func TestLoadCurveRunningSpeed(t *testing.T) {
	line := NewMotorLine(watchmanMotor(4.8))
	c := cosineCurve(256, 120, 80)
	r := c.run(line)
	slope := (line.Speed(0) - line.Speed(100)) / 100
	a, b := line.Speed(120), 80*slope
	motorNear(t, "running speed", r.Speed, math.Sqrt(a*a-b*b), 1e-12)
	motorNear(t, "mean torque", r.Torque, 120, 1e-12)
	motorNear(t, "least speed", r.Least, line.Speed(200), 1e-12)
	motorNear(t, "most speed", r.Most, line.Speed(40), 1e-12)
	// Charge per turn over time: I = I0 + T/kt, and T is linear in w, so
	// ∫ I dt = Is·time − 2π·ke/R.
	motorNear(t, "mean current", r.Current, line.StallCurrent()-line.VoltageConstant/line.Resistance*r.Speed, 1e-12)
}

// A figure that drives the motor harder than its own no-load torque, kt·I0 =
// 40.5 N·mm here, runs it on along the same straight line, so the closed form
// above still holds.
func TestLoadCurveDriven(t *testing.T) {
	line := NewMotorLine(watchmanMotor(4.8))
	if own := line.TorqueConstant * line.NoLoadCurrent; own > 60 {
		t.Fatalf("no-load torque %g N·mm hides what is tested", own)
	}
	r := cosineCurve(256, 0, 120).run(line)
	a, b := line.Speed(0), line.Speed(0)*120/line.StallTorque()
	motorNear(t, "running speed", r.Speed, math.Sqrt(a*a-b*b), 1e-12)
	motorNear(t, "most speed", r.Most, a+b, 1e-12)
	motorNear(t, "torque at that speed", line.Torque(r.Most), -120, 1e-12)
	motorNear(t, "supply for that speed", line.SupplyFor(r.Most, -120), 4.8, 1e-12)
}

// With a steady torque inertia changes nothing; with a ripple it smooths the
// speed, and a very large one runs at the speed of the mean torque.
func TestLoadCurveInertia(t *testing.T) {
	line := NewMotorLine(watchmanMotor(4.8))
	heavy := func(c *LoadCurve, j float64) curveRun {
		c.Inertia = j
		return c.run(line)
	}
	steady := heavy(cosineCurve(64, 120, 0), 1e5)
	motorNear(t, "steady speed", steady.Speed, line.Speed(120), 1e-12)
	light, still := cosineCurve(4096, 120, 80).run(line), heavy(cosineCurve(4096, 120, 80), 1)
	motorNear(t, "speed with next to no inertia", still.Speed, light.Speed, 1e-5)
	flywheel := heavy(cosineCurve(4096, 120, 80), 1e9)
	motorNear(t, "speed with a flywheel", flywheel.Speed, line.Speed(120), 1e-3)
	if span := flywheel.Most - flywheel.Least; span > 0.01*(light.Most-light.Least) {
		t.Errorf("a flywheel leaves a ripple of %g rad/s of %g", span, light.Most-light.Least)
	}
}

// First-order lag: with J·dw/dt = −slope·(w − w∞(θ)) and a small ripple the
// amplitude falls by 1/√(1 + (τ·w)²).
func TestLoadCurveLag(t *testing.T) {
	line := NewMotorLine(watchmanMotor(4.8))
	const j = 3e5 // kg·mm²
	c := cosineCurve(8192, 120, 1)
	c.Inertia = j
	r := c.run(line)
	slope := line.TorqueConstant * line.VoltageConstant / line.Resistance
	lag := j / 1000 / slope * line.Speed(120)
	want := (line.Speed(119) - line.Speed(121)) / math.Sqrt(1+lag*lag)
	if lag < 0.3 {
		t.Fatalf("lag %g rad is too small to test", lag)
	}
	motorNear(t, "ripple", r.Most-r.Least, want, 2e-3)
}

func TestSupplyForSpeed(t *testing.T) {
	r := MotorResult{Line: NewMotorLine(watchmanMotor(4.8))}
	motorNear(t, "unloaded", r.Line.At(r.SupplyForSpeed(1.5)).NoLoadSpeed(), 1.5, 1e-12)
	r.Curve = cosineCurve(256, 120, 80)
	for _, speed := range []float64{0.01, 0.5, 1.2, 2} {
		v := r.SupplyForSpeed(speed)
		if got := r.Curve.run(r.Line.At(v)).Speed; math.Abs(got-speed) > 1e-9 {
			t.Errorf("supply %g V for %g rad/s gives %g rad/s", v, speed, got)
		}
	}
}

func TestLoadCurveStalls(t *testing.T) {
	line := NewMotorLine(watchmanMotor(4.8)) // stalls at 391.9 N·mm
	if r := cosineCurve(64, 320, 80).run(line); !r.Stalls {
		t.Errorf("400 N·mm on a motor that stalls at %.4g N·mm: %+v", line.StallTorque(), r)
	}
}

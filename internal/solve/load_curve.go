package solve

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// The motor over one repeat. While the figure's torque T changes slowly, the
// motor stands on its line at every instant (quasi-static):
//
//	w(θ) = line.Speed(T(θ))      time = ∫ dθ/w      running speed = ∫ dθ / time
//
// With an inertia J at the motor shaft it lags: J·dw/dt = Tm(w) − T(θ), with
// Tm = kt·((V − ke·w)/R − I0) a straight line in w, so that over a short step
// w runs exponentially toward the steady speed with the time constant
// J·R/(kt·ke).

// LoadCurve is the torque that the rotor must give, sampled evenly in motor
// turn over one repeat. Without inertia the samples need not be near each other,
// only spread over all that happens.
type LoadCurve struct {
	Turns   float64   // of the motor in one repeat
	Torque  []float64 // N·mm
	Inertia float64   // kg·mm² at the motor shaft; 0: quasi-static
}

// curveRun is the motor following a curve at one supply.
type curveRun struct {
	Speed       float64 // rad/s, mean over the turns: turns over time
	Least, Most float64 // rad/s
	Torque      float64 // N·mm, mean over the turns
	Current     float64 // A, mean over time
	Heating     float64 // A, root mean square over time
	Stalls      bool    // the speed falls to nothing somewhere
}

// run follows the curve.
func (c *LoadCurve) run(line MotorLine) curveRun {
	if c.Inertia > 0 {
		return c.runHeavy(line)
	}
	r := curveRun{Least: math.Inf(1)}
	var time, charge, heat float64
	share := 1 / float64(len(c.Torque))
	for _, torque := range c.Torque {
		w := line.Speed(torque)
		if w <= 0 {
			return curveRun{Stalls: true}
		}
		i := line.Current(torque)
		r.Least, r.Most = min(r.Least, w), max(r.Most, w)
		r.Torque += torque * share
		time += share / w
		charge += i * share / w
		heat += i * i * share / w
	}
	r.settle(time, charge, heat)
	return r
}

// settle takes the sums over the turns, per turn.
func (r *curveRun) settle(time, charge, heat float64) {
	r.Speed = 1 / time
	r.Current = charge / time
	r.Heating = math.Sqrt(heat / time)
}

const (
	// heavyRounds bounds how often the repeat is followed until it ends at the
	// speed it began with; a heavy flywheel forgets its start slowly.
	heavyRounds = 200
	// heavySettled, relative, is how near the two speeds must be.
	heavySettled = 1e-9
)

// runHeavy follows the curve with inertia, from the steady speed at the mean
// torque on, until it repeats.
func (c *LoadCurve) runHeavy(line MotorLine) curveRun {
	w := line.Speed(floats.Sum(c.Torque) / float64(len(c.Torque)))
	var r curveRun
	for range heavyRounds {
		start := w
		if r, w = c.followHeavy(line, w); r.Stalls || math.Abs(w-start) <= heavySettled*w {
			break
		}
	}
	return r
}

// followHeavy follows the curve once, from a speed w to the one returned.
func (c *LoadCurve) followHeavy(line MotorLine, w float64) (curveRun, float64) {
	share := 1 / float64(len(c.Torque))
	step := 2 * math.Pi * c.Turns * share
	slope := line.TorqueConstant * line.VoltageConstant / (line.Resistance + line.SupplyResistance) // −dTm/dw
	r := curveRun{Least: math.Inf(1)}
	var time, charge, heat float64
	for _, torque := range c.Torque {
		next := heavyStep(w, line.Speed(torque), step, 1000*slope/c.Inertia)
		if w <= 0 || next <= 0 {
			return curveRun{Stalls: true}, 0
		}
		mid := (w + next) / 2
		i := max(0, (line.Supply-line.VoltageConstant*mid)/(line.Resistance+line.SupplyResistance))
		r.Least, r.Most = min(r.Least, next), max(r.Most, next)
		r.Torque += torque * share
		time += share / mid
		charge += i * share / mid
		heat += i * i * share / mid
		w = next
	}
	r.settle(time, charge, heat)
	return r, w
}

// heavyStep returns the speed after a step of the angle, under a torque whose
// steady speed is given; rate is 1 over the time constant. The time of the step
// follows from the mean speed, by two corrections.
func heavyStep(w, steady, step, rate float64) float64 {
	next := w
	for range 3 {
		mid := (w + next) / 2
		if mid <= 0 {
			return 0
		}
		next = steady + (w-steady)*math.Exp(-rate*step/mid)
	}
	return next
}

// supplyFor returns the supply at which the running speed is the one wanted: a
// root between the supplies that give it against the least and the greatest
// torque, by false position (Illinois: Dowell and Jarratt 1971). The speed rises
// all but linearly with the supply, so a few rounds reach the last digits.
func (c *LoadCurve) supplyFor(line MotorLine, speed float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, torque := range c.Torque {
		low, high = min(low, torque), max(high, torque)
	}
	short := func(supply float64) float64 {
		return c.run(line.At(supply)).Speed - speed // Speed is 0 where it stalls
	}
	a, b := line.SupplyFor(speed, low), line.SupplyFor(speed, high)
	fa, fb := short(a), short(b)
	for side := 0; fa < 0 && fb > 0 && b-a > 1e-12*b; {
		x := b - fb*(b-a)/(fb-fa)
		fx := short(x)
		if x <= a || x >= b || fx == 0 {
			return x
		}
		if fx < 0 {
			a, fa = x, fx
			if side < 0 {
				fb /= 2
			}
			side = -1
		} else {
			b, fb = x, fx
			if side > 0 {
				fa /= 2
			}
			side = 1
		}
	}
	if fa >= 0 {
		return a
	}
	return b
}

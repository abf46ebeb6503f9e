package solve

import (
	"math"

	"understage/internal/mech"
)

// LoadResult is what the figure asks of its motor over the repeat. Torques are
// N·mm at the motor, with the efficiency of the drive and sliding friction,
// inertia at the no-load speed, unless they say otherwise.
type LoadResult struct {
	Gaps []LoadGap
	// Known says that something weighs or presses and that the figure can be
	// posed throughout; everything below is meaningless otherwise.
	Known bool

	Peak      Extreme    // greatest torque
	Least     Extreme    // least; negative: the figure drives the motor there
	Breakaway Extreme    // greatest to start from rest, with static friction
	Shares    LoadShares // of the peak
	Mean      LoadShares // over the repeat

	LeastSpeed, MostSpeed float64 // rad/s over the cycle; 0 where the motor stalls
	Heating               float64 // A, root mean square current over time
	StartSupply           float64 // V, least that starts from rest in the worst pose
	Returned              float64 // share of work handed back that reaches the motor

	// Load finds the torque at any instant. It is not for concurrent use.
	Load *Load
}

// AnglesAt sets x, parallel to Shafts, to the shafts' angles after some motor
// turns.
func (l *Load) AnglesAt(motorTurns float64, x []float64) {
	for i := range l.Orbit.Axes {
		x[i] = 2 * math.Pi * l.Orbit.Axes[i].Ratio.Turn(motorTurns)
	}
}

// solveLoad computes the loads and completes the motor's result with them. It
// does nothing where nothing turns.
func solveLoad(k *Machine, s *Solution) {
	m := k.Model
	if m.Motor == nil || k.Drive.Locks() {
		return
	}
	load := NewLoad(k)
	r := &LoadResult{Gaps: load.Gaps, Load: load, Returned: returnedShare(m.Motor, s.Motor.Line)}
	s.Motor.Load = r
	if !load.Known || s.Repeat.Status != RepeatOK {
		return
	}
	speed := s.Motor.NoLoadSpeed
	tables := load.tabulate(speed)
	load.tabulated = tables
	orbit := load.Orbit
	orbit.Bound = s.Repeat.Bound
	extents := orbit.Extents(load.field(speed, tables))
	if !extents[loadSliding].Valid || !extents[loadAtRest].Valid {
		return
	}
	r.Known = true
	r.Peak, r.Least, r.Breakaway = extents[loadSliding].Max, extents[loadSliding].Min, extents[loadAtRest].Max
	load.Set(speed, false)
	if r.Peak.Turns >= 0 {
		x := make([]float64, len(load.Shafts))
		load.AnglesAt(r.Peak.Turns, x)
		load.At(x)
		r.Shares = load.Shares()
	}
	r.Mean = load.meanShares(s)
	s.Motor.Curve = load.curve(m.Motor, s, tables)
	s.Motor.complete(r)
}

// returnedShare is what the gearbox passes on to the rotor of work that the
// figure hands back: the maker's figure, or 2 − 1/η of its forward efficiency
// η = kt/ke, nothing from η = 1/2 down. Losses of friction are then the same
// both ways (common practice for screws and worms).
func returnedShare(motor *mech.Motor, line MotorLine) float64 {
	if motor.Feed.Returned.OK {
		return motor.Feed.Returned.Value
	}
	eta := min(1, line.GearboxEfficiency())
	if eta <= 0.5 {
		return 0
	}
	return 2 - 1/eta
}

const (
	// curveSamples is how many instants of a repeat the mean is taken over; a
	// prime, so that few ripples of a figure fall in step with it.
	curveSamples = 8191
	// curveStep is how many samples a turn of the fastest shaft has where the
	// motor's inertia follows one from the other, up to curveMost in all.
	curveStep = 96
	curveMost = 1 << 18
	// goldenTurn spreads instants of a repeat too long to follow evenly over all
	// combinations of angles.
	goldenTurn = 0.6180339887498949
)

// meanSamples is how many instants the parts of the mean are found at: they are
// shown to three digits.
const meanSamples = 509

// meanShares returns the parts of the torque in the mean over the repeat.
func (l *Load) meanShares(s *Solution) LoadShares {
	step := s.Repeat.Turns / meanSamples
	if s.Repeat.Bound {
		step = goldenTurn
	}
	var mean LoadShares
	x := make([]float64, len(l.Shafts))
	for k := range meanSamples {
		l.AnglesAt(float64(k)*step, x)
		l.At(x)
		for p, part := range l.shares {
			mean[p] += part / meanSamples
		}
	}
	return mean
}

// curve samples the torque that the rotor must give over the repeat.
func (l *Load) curve(motor *mech.Motor, s *Solution, tables bool) *LoadCurve {
	c := &LoadCurve{Turns: s.Repeat.Turns}
	n := curveSamples
	if !tables {
		n = curveSamples / 8
	}
	if motor.Feed.Inertia.OK {
		fastest := 1.0
		for _, a := range l.Orbit.Axes {
			fastest = max(fastest, math.Abs(a.Ratio.Float()))
		}
		n = int(min(curveMost, max(curveSamples, curveStep*fastest*c.Turns)))
		if s.Repeat.Bound {
			c.Turns = float64(n) / (curveStep * fastest)
		}
	}
	step := c.Turns / float64(n)
	if s.Repeat.Bound && !motor.Feed.Inertia.OK {
		step = goldenTurn
	}
	c.Torque = make([]float64, n)
	x := make([]float64, len(l.Shafts))
	for k := range n {
		l.AnglesAt(float64(k)*step, x)
		var torque float64
		if tables {
			torque, _ = l.read(x)
		} else {
			torque = l.At(x)
		}
		c.Torque[k] = s.Motor.Load.Rotor(torque)
	}
	if motor.Feed.Inertia.OK {
		c.Inertia = motor.Feed.Inertia.Value
	}
	return c
}

// Rotor returns the torque that reaches the motor's rotor through its gearbox,
// when the figure asks for a torque at the output shaft.
func (l *LoadResult) Rotor(torque float64) float64 {
	if torque < 0 {
		return torque * l.Returned
	}
	return torque
}

// Follow returns a function that finds the torque asked for after some motor
// turns, N·mm, NaN where the figure cannot be posed. It keeps the last answer
// and is not for concurrent use.
func (r *MotorResult) Follow() func(motorTurns float64) float64 {
	load := r.Load.Load
	x := make([]float64, len(load.Shafts))
	last, torque := math.NaN(), 0.0
	return func(motorTurns float64) float64 {
		if motorTurns != last {
			last = motorTurns
			load.Set(r.NoLoadSpeed, false)
			load.AnglesAt(motorTurns, x)
			torque = load.At(x)
		}
		return torque
	}
}

// complete takes speeds and currents under load into the motor's result.
func (r *MotorResult) complete(l *LoadResult) {
	run := r.Curve.run(r.Line)
	l.StartSupply = r.Line.SupplyFor(0, max(0, l.Breakaway.Value))
	r.PeakTorque = mech.Given{Value: l.Peak.Value, OK: true}
	r.PeakCurrent = mech.Given{Value: r.Line.Current(max(0, l.Peak.Value)), OK: true}
	if l.Peak.Value > 0 {
		r.TorqueMargin = mech.Given{Value: r.StallTorque / l.Peak.Value, OK: true}
	}
	if r.Status == MotorCannotStart {
		return
	}
	if run.Stalls || l.Peak.Value >= r.StallTorque {
		r.Status = MotorStalls
		return
	}
	r.Loaded = true
	r.RunningSpeed = run.Speed
	r.RunningTorque = mech.Given{Value: run.Torque, OK: true}
	r.RunningCurrent = mech.Given{Value: run.Current, OK: true}
	l.LeastSpeed, l.MostSpeed, l.Heating = run.Least, run.Most, run.Heating
}

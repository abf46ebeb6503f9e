package solve

import (
	"math"

	"understage/internal/mech"
)

// LoadResult is what the figure asks of its motor over the repeat. Torques are
// N·mm at the motor, with the efficiency of the drive and sliding friction,
// unless they say otherwise. Inertia is taken at the no-load speed of the rated
// voltage, which the figure does not reach: so they hold at any supply.
type LoadResult struct {
	Gaps []LoadGap
	// Known says that something weighs or presses and that forces were found
	// throughout; everything below is meaningless otherwise.
	Known bool
	// Unposed says that loads are given, but that the figure cannot be posed, or
	// not held, everywhere. Locked is the path of a part that friction holds
	// against any force somewhere, in motion or at rest; "" for none.
	Unposed bool
	Locked  string

	// Peaks says that the extremes were looked for and found.
	Peaks     bool
	Peak      Extreme    // greatest torque
	Least     Extreme    // least; negative: the figure drives the motor there
	Breakaway Extreme    // greatest to start from rest, with static friction
	Shares    LoadShares // of the peak
	Mean      LoadShares // over the repeat

	// Holds says for each cam that moves the torso by a yoke how hard its follower
	// is pressed on at least, with all that the torso asks but its friction.
	Holds []LoadHold

	LeastSpeed, MostSpeed float64 // rad/s over the cycle; 0 where the motor stalls
	Heating               float64 // A, root mean square current over time
	StartSupply           float64 // V, least that starts from rest in the worst pose
	Speed                 float64 // rad/s that inertia is taken at
	Returned              float64 // share of work handed back that reaches the motor

	// Load finds the torque at any instant. It is not for concurrent use.
	Load *Load
}

// LoadHold is the least force, N, that presses a follower on its cam; where it
// is negative the torso lifts the follower off.
type LoadHold struct {
	Cam   int
	Least Extreme
}

// AnglesAt sets x, parallel to Shafts, to the shafts' angles after some motor
// turns.
func (l *Load) AnglesAt(motorTurns float64, x []float64) {
	for i := range l.Orbit.Axes {
		x[i] = 2 * math.Pi * l.Orbit.Axes[i].Ratio.Turn(motorTurns)
	}
}

// solveLoad computes the loads and completes the motor's result with them;
// without peaks only what the running speed and the mean current need. It does
// nothing where nothing turns.
func solveLoad(k *Machine, s *Solution, peaks bool) {
	m := k.Model
	if m.Motor == nil || k.Drive.Locks() {
		return
	}
	load := NewLoad(k)
	r := &LoadResult{Gaps: load.Gaps, Load: load, Returned: returnedShare(m.Motor, s.Motor.Line), Speed: m.Motor.NoLoad.Speed}
	s.Motor.Load = r
	if !load.Known || s.Repeat.Status != RepeatOK {
		return
	}
	if m.Motor.Feed.Inertia.OK {
		load.tabulate(r.Speed, loadFollowSteps)
	}
	curve := load.curve(m.Motor, s)
	if curve == nil {
		r.Unposed, r.Locked = true, load.locked
		if r.Locked != "" {
			s.Motor.Status = MotorStalls
		}
		return
	}
	r.Known = true
	s.Motor.Curve = curve
	if peaks {
		r.findPeaks(s)
	}
	s.Motor.complete(r)
}

// reloadMotor completes the motor's result with the loads of the same figure on
// another supply. It reports false where the motor differs in more than what
// feeds it, so that the loads must be found anew.
func reloadMotor(m *mech.Model, s, base *Solution) bool {
	old, now := base.Machine.Model.Motor, m.Motor
	if old == nil || now == nil || base.Motor.Load == nil || !base.Motor.Load.Known {
		return false
	}
	fed := *old
	fed.Supply, fed.Feed.Resistance, fed.Fuse, fed.Wanted, fed.Continuous = now.Supply, now.Feed.Resistance, now.Fuse, now.Wanted, now.Continuous
	fed.Body = now.Body
	if fed != *now {
		return false
	}
	r := *base.Motor.Load
	r.LeastSpeed, r.MostSpeed, r.Heating = 0, 0, 0
	s.Motor.Load, s.Motor.Curve = &r, base.Motor.Curve
	s.Motor.complete(&r)
	return true
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
	// prime, so that few ripples of a figure fall in step with it. Over the torus
	// of the shafts' angles they lie like a lattice.
	curveSamples = 509
	// curveStep is how many samples a turn of the fastest shaft has where the
	// motor's inertia follows one from the other, up to curveMost in all.
	curveStep = 96
	curveMost = 1 << 18
	// goldenTurn spreads instants of a repeat too long to follow evenly over all
	// combinations of angles.
	goldenTurn = 0.6180339887498949
)

// curve samples the torque that the rotor must give over the repeat, and its
// parts in the mean; nil where the figure cannot be posed throughout.
func (l *Load) curve(motor *mech.Motor, s *Solution) *LoadCurve {
	r := s.Motor.Load
	step := s.Repeat.Turns / curveSamples
	if s.Repeat.Bound {
		step = goldenTurn
	}
	c := &LoadCurve{Turns: s.Repeat.Turns, Torque: make([]float64, curveSamples)}
	l.Set(r.Speed, false)
	x := make([]float64, len(l.Shafts))
	inertia := 0.0
	for k := range c.Torque {
		l.AnglesAt(float64(k)*step, x)
		torque := l.At(x)
		if torque != torque {
			return nil
		}
		c.Torque[k] = r.Rotor(torque)
		for p, part := range l.shares {
			r.Mean[p] += part / curveSamples
		}
		if motor.Feed.Inertia.OK {
			inertia += l.inertia() / curveSamples
		}
	}
	if motor.Feed.Inertia.OK {
		c.Inertia = motor.Feed.Inertia.Value + inertia
		l.follow(c, r, s.Repeat.Bound)
	}
	return c
}

// follow samples a curve closely enough for the motor to follow it with its
// inertia, from the tables where there are any.
func (l *Load) follow(c *LoadCurve, r *LoadResult, bound bool) {
	fastest := 1.0
	for _, a := range l.Orbit.Axes {
		fastest = max(fastest, math.Abs(a.Ratio.Float()))
	}
	n := int(min(curveMost, max(curveSamples, curveStep*fastest*c.Turns)))
	if bound {
		n = curveMost / 8
		c.Turns = float64(n) / (curveStep * fastest)
	}
	c.Torque = make([]float64, n)
	x := make([]float64, len(l.Shafts))
	for k := range c.Torque {
		l.AnglesAt(c.Turns*float64(k)/float64(n), x)
		if l.steps >= loadFollowSteps {
			torque, _ := l.read(x)
			c.Torque[k] = r.Rotor(torque)
		} else {
			c.Torque[k] = r.Rotor(l.At(x))
		}
	}
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
			load.Set(r.Load.Speed, false)
			load.AnglesAt(motorTurns, x)
			torque = load.At(x)
		}
		return torque
	}
}

// complete takes speeds and currents under load into the motor's result.
func (r *MotorResult) complete(l *LoadResult) {
	run := r.Curve.run(r.Line)
	if l.Peaks {
		l.StartSupply = r.Line.SupplyFor(0, max(0, l.Breakaway.Value))
		r.PeakTorque = mech.Given{Value: l.Peak.Value, OK: true}
		r.PeakCurrent = mech.Given{Value: r.Line.Current(max(0, l.Peak.Value)), OK: true}
		if l.Peak.Value > 0 {
			r.TorqueMargin = mech.Given{Value: r.StallTorque / l.Peak.Value, OK: true}
		}
	}
	if r.Status == MotorCannotStart {
		return
	}
	if run.Stalls {
		r.Status = MotorStalls
		return
	}
	r.Loaded = true
	r.RunningSpeed = run.Speed
	r.RunningTorque = mech.Given{Value: run.Torque, OK: true}
	r.RunningCurrent = mech.Given{Value: run.Current, OK: true}
	l.LeastSpeed, l.MostSpeed, l.Heating = run.Least, run.Most, run.Heating
}

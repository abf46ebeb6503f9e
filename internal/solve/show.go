package solve

import (
	"math"

	"understage/internal/mech"
	"understage/internal/standard"
)

// ShowResult is several figures on one supply.
type ShowResult struct {
	Figures []ShowFigure
	Voltage float64 // V at the figures, under the mean current of all

	Mean  float64 // A of all together, over time
	Bound float64 // A, sum of the figures' own peaks, which all may meet at once
	// Peak is the greatest current met while they run together for the show's
	// duration, and Peak.Turns when, in s after switching on.
	Peak Extreme
	// Start is the greatest current while motors start from rest: those that
	// start together draw their stall currents, on what the rail still gives.
	Start float64

	Fuse      float64 // A, least listed one that carries Bound; 0: none
	FuseOpens bool    // when one figure jams and the others run on
	Wire      standard.Wire
	WireFound bool
	Drop      mech.Given // V along the lead at Bound, there and back
	Hours     mech.Given // on the battery, at Mean

	Gaps []ShowGap
}

// ShowFigure is one figure of a show on the common rail.
type ShowFigure struct {
	Solution *Solution
	Mean     float64 // A
	Peak     float64 // A
	Stall    float64 // A
	Runs     bool    // it turns at this supply
	Known    bool    // its loads are known; otherwise its currents are at no load
	Period   float64 // s of its repeat
}

// ShowGap is the least distance between two figures: between surfaces of the
// balls of two of their points, negative where they meet.
type ShowGap struct {
	A, B           int // figures
	PointA, PointB string
	Gap            float64
	TurnsA, TurnsB float64 // motor turns of each at which they come so near
}

// SolveShow computes every figure on the common rail and what they do together.
// The motors' supplies in the models are set to what the rail gives.
func SolveShow(show *mech.Show) *ShowResult {
	r := &ShowResult{Voltage: show.Supply.Voltage}
	r.solveFigures(show)
	if show.Supply.Resistance > 0 {
		// Steady currents follow the torque, not the voltage, so one correction
		// settles the rail.
		r.Voltage = max(0, show.Supply.Voltage-show.Supply.Resistance*r.Mean)
		for i := range show.Figures {
			show.Figures[i].Model.Motor.Supply = r.Voltage
		}
		r.solveFigures(show)
	}
	r.Peak = r.simulate(show)
	r.Start = r.starting(show)
	r.protect(show)
	r.Gaps = showGaps(show, r)
	return r
}

func (r *ShowResult) solveFigures(show *mech.Show) {
	r.Figures = make([]ShowFigure, len(show.Figures))
	r.Mean, r.Bound = 0, 0
	for i := range show.Figures {
		s := Solve(show.Figures[i].Model)
		f := &r.Figures[i]
		*f = ShowFigure{
			Solution: s, Runs: s.Motor.Status == MotorTurns && s.Motor.PeakTorque.Value < s.Motor.StallTorque, Known: s.Motor.Loaded,
			Mean:  s.Motor.RunningCurrent.Or(s.Motor.Line.NoLoadCurrent),
			Peak:  s.Motor.PeakCurrent.Or(s.Motor.Line.NoLoadCurrent),
			Stall: s.Motor.StallCurrent,
		}
		if s.Repeat.Status == RepeatOK {
			f.Period = s.Repeat.Turns * 2 * math.Pi / s.Motor.RunningSpeed
		}
		if !f.Runs { // it stands and draws its stall current
			f.Mean, f.Peak = f.Stall, f.Stall
		}
		r.Mean += f.Mean
		r.Bound += f.Peak
	}
}

const (
	// showSteps is how many instants a turn of the fastest shaft has while the
	// figures are followed together, up to showMost in all.
	showSteps = 32
	showMost  = 400000
)

// simulate follows all figures from switching on, each at the speed its motor
// has at every instant, and returns the greatest total current.
func (r *ShowResult) simulate(show *mech.Show) Extreme {
	fastest := 0.0
	runs := make([]showRun, len(r.Figures))
	for i := range r.Figures {
		runs[i] = newShowRun(r.Figures[i].Solution, show.Figures[i].Start)
		fastest = max(fastest, runs[i].fastest)
	}
	if fastest == 0 {
		return Extreme{Value: r.Bound}
	}
	step := max(2*math.Pi/fastest/showSteps, show.Duration/showMost)
	var peak Extreme
	for time := 0.0; time <= show.Duration; time += step {
		sum := 0.0
		for i := range runs {
			sum += runs[i].step(time, step)
		}
		if sum > peak.Value {
			peak = Extreme{Value: sum, Turns: time}
		}
	}
	return peak
}

// showRun is one figure while the show is followed.
type showRun struct {
	motor   *MotorResult
	start   float64
	turns   float64
	fastest float64 // rad/s of its fastest shaft that loads the motor
	tables  bool
	x       []float64
}

func newShowRun(s *Solution, start float64) showRun {
	r := showRun{motor: &s.Motor, start: start}
	if l := s.Motor.Load; l != nil && l.Known && s.Motor.Status == MotorTurns {
		r.x = make([]float64, len(l.Load.Shafts))
		r.tables = l.Load.tabulate(l.Speed, loadFollowSteps)
		for _, a := range l.Load.Orbit.Axes {
			r.fastest = max(r.fastest, math.Abs(a.Ratio.Float())*s.Motor.RunningSpeed)
		}
	}
	return r
}

// step returns the current now and moves on.
func (r *showRun) step(time, step float64) float64 {
	line := &r.motor.Line
	switch {
	case time < r.start:
		return 0
	case r.motor.Status != MotorTurns:
		return r.motor.StallCurrent
	case r.x == nil:
		return line.NoLoadCurrent
	}
	l := r.motor.Load
	l.Load.AnglesAt(r.turns, r.x)
	var torque float64
	if r.tables {
		torque, _ = l.Load.read(r.x)
	} else {
		l.Load.Set(l.Speed, false)
		torque = l.Load.At(r.x)
	}
	torque = l.Rotor(torque)
	r.turns += max(0, line.Speed(torque)) * step / (2 * math.Pi)
	return line.Current(torque)
}

// starting returns the greatest current when motors start. Motors at rest are
// plain resistances; with the supply's own in series the rail sags to
// V·G⁻¹/(Rs + G⁻¹), G their conductance.
func (r *ShowResult) starting(show *mech.Show) float64 {
	worst := 0.0
	for i := range show.Figures {
		at := show.Figures[i].Start
		conductance, running := 0.0, 0.0
		for k := range show.Figures {
			line := &r.Figures[k].Solution.Motor.Line
			switch start := show.Figures[k].Start; {
			case start == at:
				conductance += 1 / (line.Resistance + line.SupplyResistance)
			case start < at:
				running += r.Figures[k].Peak
			}
		}
		rail := max(0, show.Supply.Voltage-show.Supply.Resistance*running) / (1 + show.Supply.Resistance*conductance)
		worst = max(worst, rail*conductance+running)
	}
	return worst
}

// protect chooses fuse and wire and works out the battery.
func (r *ShowResult) protect(show *mech.Show) {
	// The jam that adds least must open it as well.
	least := math.Inf(1)
	for _, f := range r.Figures {
		least = min(least, f.Stall-f.Mean)
	}
	r.Fuse, r.FuseOpens = standard.FindFuse(r.Bound, r.Mean+least)
	r.Wire, r.WireFound = standard.FindWire(max(r.Fuse, r.Bound))
	if show.Supply.Lead.OK && r.WireFound {
		ohm := 2 * show.Supply.Lead.Value / 1000 * standard.CopperResistance / r.Wire.Area
		r.Drop = mech.Given{Value: ohm * r.Bound, OK: true}
	}
	if show.Supply.Capacity.OK && r.Mean > 0 {
		r.Hours = mech.Given{Value: show.Supply.Capacity.Value * show.Supply.Usable / r.Mean, OK: true}
	}
}

package solve

import (
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// outputQuick, rad, is the least turn of the shaft that counts as a way: a
// sudden drop takes none.
const outputQuick = 1e-6

// OutputMotion is what a chain of one shaft does with a link pivoted on the
// frame, or with a sliding pin, over a turn.
type OutputMotion struct {
	Pin    int     // the sliding pin, or the far pin of the link
	Pivot  int     // None for a sliding pin
	Swings float64 // rad, or stroke in mm; 2π for a link that turns all the way round
	Turns  bool    // goes all the way round
	// The driver's angles at which it reaches its ends, and the time ratio: the
	// shaft's turn one way over that the other way, at least 1. Not known where
	// it turns all the way round, does not move, or drops suddenly.
	Ends      [2]float64
	TimeRatio mech.Given
	// Advantage is the least mechanical advantage without friction: torque of the
	// output per torque of the crank, or for a sliding pin force per torque,
	// 1/mm. It is least where the output is fastest, and without bound where the
	// output stands. Known for chains driven by one crank.
	Advantage   mech.Given
	AdvantageAt float64
}

// outputs measures every output of a chain that one shaft drives and that does
// not lock.
func (a *linkageAnalysis) outputs(r *LinkageResult) []OutputMotion {
	if len(a.c.Shafts) != 1 || r.Locks != nil {
		return nil
	}
	var list []OutputMotion
	for i, p := range a.l.Pins {
		if p.Kind == mech.SlidePin {
			list = append(list, a.output(r, i, mech.None))
		}
	}
	for i := range a.c.bodies {
		body := &a.c.bodies[i]
		if body.frame {
			continue
		}
		pivot := slices.IndexFunc(body.pins, func(pin int) bool { return a.l.Pins[pin].Kind == mech.FixedPin })
		if pivot < 0 {
			continue
		}
		list = append(list, a.output(r, body.pins[boolIndex(pivot == 0)], body.pins[pivot]))
	}
	return list
}

func boolIndex(b bool) int {
	if b {
		return 1
	}
	return 0
}

// output measures one output.
func (a *linkageAnalysis) output(r *LinkageResult, pin, pivot int) OutputMotion {
	o := OutputMotion{Pin: pin, Pivot: pivot}
	f := a.outputAt(pin, pivot, 0)
	breaks := a.c.breaks(0)
	slices.Sort(breaks)
	step := 2 * math.Pi / float64(max(cycleSamples, a.c.samples(0)))
	if pivot != mech.None {
		turn, middle := a.winding(f, step)
		o.Turns = math.Abs(turn) > math.Pi
		f = a.outputAt(pin, pivot, middle)
	}
	if o.Turns {
		o.Swings = 2 * math.Pi
	} else if list := turnings(f, 0, 2*math.Pi, step, breaks); len(list) >= 2 {
		low, high := list[0], list[0]
		for _, t := range list {
			if t.Value < low.Value {
				low = t
			}
			if t.Value > high.Value {
				high = t
			}
		}
		o.Swings = high.Value - low.Value
		o.Ends = [2]float64{r.Driver.Angle(low.At), r.Driver.Angle(high.At)}
		one := orbitWrap(high.At - low.At)
		other := 2*math.Pi - one
		o.TimeRatio = mech.Given{Value: math.Max(one, other) / math.Min(one, other), OK: min(one, other) > outputQuick}
	}
	if len(a.c.Inputs) == 1 && r.Driver.Cam == mech.None {
		a.advantage(&o, r, step, breaks)
	}
	return o
}

// outputAt returns the output's place and rate by the shaft's turn. A link's
// angle is taken from the given one, itself from where the link stands at home,
// and jumps where it is half a turn from that.
func (a *linkageAnalysis) outputAt(pin, pivot int, from float64) motionAt {
	x := make([]float64, 1)
	rate := a.c.rates[0]
	p := &a.l.Pins[pin]
	if pivot == mech.None {
		return func(turn float64) (float64, float64) {
			x[0] = turn
			a.c.Solve(x, a.p)
			at := &a.p.Pins[pin]
			return r2.Dot(r2.Sub(at.Pos, p.At), p.Along), r2.Dot(at.Vel, p.Along) / rate
		}
	}
	sin, cos := math.Sincos(from)
	home := turnBy(r2.Sub(a.c.home[pin].Pos, a.c.home[pivot].Pos), r2.Vec{X: cos, Y: sin})
	return func(turn float64) (float64, float64) {
		x[0] = turn
		a.c.Solve(x, a.p)
		v := r2.Sub(a.p.Pins[pin].Pos, a.p.Pins[pivot].Pos)
		_, w, _ := a.p.Link(pivot, pin)
		return math.Atan2(r2.Cross(home, v), r2.Dot(home, v)), w / rate
	}
}

// winding returns the whole angle an angle gains over a turn, jumps of 2π
// counted back, and the middle of the range it covers on the way.
func (a *linkageAnalysis) winding(f motionAt, step float64) (gain, middle float64) {
	n := int(math.Ceil(2 * math.Pi / step))
	last, _ := f(0)
	low, high := last, last
	start := last
	sum := last
	for k := 1; k <= n; k++ {
		v, _ := f(2 * math.Pi * float64(k) / float64(n))
		sum += math.Remainder(v-last, 2*math.Pi)
		low, high = min(low, sum), max(high, sum)
		last = v
	}
	return sum - start, (low + high) / 2
}

// advantage finds the least mechanical advantage: where the output is fastest.
func (a *linkageAnalysis) advantage(o *OutputMotion, r *LinkageResult, step float64, breaks []float64) {
	f := a.outputAt(o.Pin, o.Pivot, 0)
	rate := a.c.rates[0]
	along := a.l.Pins[o.Pin].Along
	square := func(turn float64) (float64, float64) {
		_, v := f(turn)
		var acc float64
		if o.Pivot == mech.None {
			acc = r2.Dot(a.p.Pins[o.Pin].Acc, along)
		} else {
			_, _, acc = a.p.Link(o.Pivot, o.Pin)
		}
		return v * v, 2 * v * acc / (rate * rate)
	}
	most, at := 0.0, 0.0
	for _, t := range turnings(square, 0, 2*math.Pi, step, breaks) {
		if t.High && t.Value > most {
			most, at = t.Value, t.At
		}
	}
	if most > 0 {
		o.Advantage = mech.Given{Value: 1 / math.Sqrt(most), OK: true}
		o.AdvantageAt = r.Driver.Angle(at)
	}
}

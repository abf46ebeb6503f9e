package solve

import (
	"math"
	"slices"
)

// This file finds every local extreme of a quantity along one turn of a shaft,
// or along the path of several.

// turning is a local extreme. A level stretch counts once, where it is reached.
type turning struct {
	At    float64
	Value float64
	High  bool
}

// motionAt gives a quantity and its derivative at a place along a cycle.
type motionAt func(x float64) (value, slope float64)

const (
	// cycleSamples is how many places of a shaft's turn are looked at before
	// refining: half a degree apart.
	cycleSamples = 720
	// cycleBeside, rad, is how far beside a break one-sided values are taken:
	// above the joint of a cam (camJoint), below anything visible.
	cycleBeside = 1e-9
	// cycleFlat, relative to the steepest slope, is what counts as level.
	cycleFlat = 1e-9
)

// cycleSample is one place looked at. last marks the end of a smooth stretch.
type cycleSample struct {
	x, value, slope float64
	last            bool
}

// sampleCycle looks at f over [from, to), close beside every break and at least
// every step between.
func sampleCycle(f motionAt, from, to, step float64, breaks []float64) []cycleSample {
	stops := []float64{from}
	for _, b := range breaks {
		if b > from+4*cycleBeside && b < to-4*cycleBeside && b-stops[len(stops)-1] > 4*cycleBeside {
			stops = append(stops, b)
		}
	}
	stops = append(stops, to)
	var list []cycleSample
	for k := range len(stops) - 1 {
		p, q := stops[k], stops[k+1]-cycleBeside
		if k > 0 || slices.Contains(breaks, p) {
			p += cycleBeside
		}
		n := max(2, int(math.Ceil((q-p)/step)))
		for i := range n + 1 {
			x := p + (q-p)*float64(i)/float64(n)
			v, d := f(x)
			list = append(list, cycleSample{x: x, value: v, slope: d, last: i == n})
		}
	}
	return list
}

// turnings returns the local extremes of f over the closed cycle [from, to), in
// order.
func turnings(f motionAt, from, to, step float64, breaks []float64) []turning {
	list := sampleCycle(f, from, to, step, breaks)
	steep, low, high := 0.0, math.Inf(1), math.Inf(-1)
	for _, s := range list {
		steep = max(steep, math.Abs(s.slope))
		low, high = min(low, s.value), max(high, s.value)
	}
	flat, level := cycleFlat*steep, cycleLevel(high-low, steep)
	w := cycleWalk{f: f, flat: flat}
	first := slices.IndexFunc(list, func(s cycleSample) bool { return math.Abs(s.slope) > flat })
	if first < 0 && !(high-low > 1e-9) {
		return nil
	}
	n := len(list)
	end := n
	if first < 0 { // nothing but jumps: the way it last went is known after a round
		first, end = 0, 2*n
	}
	for k := range end + 1 {
		if k == n && end > n {
			w.found = nil
		}
		s := list[(first+k)%n]
		w.visit(s)
		if !s.last || k == end {
			continue
		}
		next := list[(first+k+1)%n]
		if jump := next.value - s.value; math.Abs(jump) > level {
			w.jump(s, next, jump)
		} else {
			w.corner = true
		}
	}
	slices.SortFunc(w.found, func(a, b turning) int {
		switch {
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
	return w.found
}

// cycleLevel returns how much a value must change from one side of a break to
// the other to have jumped: more than rounding of its range, and than it goes in
// the sliver left out between.
func cycleLevel(size, steep float64) float64 { return 1e-9*size + 10*cycleBeside*steep }

// cycleWalk follows the samples and notes each change from rising to falling.
type cycleWalk struct {
	f         motionAt
	flat      float64
	direction float64 // +1 rising, −1 falling, 0 not known yet
	before    cycleSample
	level     bool // between level samples
	arrived   cycleSample
	corner    bool // a break lies between before and the next sample
	found     []turning
}

func (w *cycleWalk) visit(s cycleSample) {
	defer func() { w.before, w.corner = s, false }()
	if math.Abs(s.slope) <= w.flat {
		if !w.level {
			w.level, w.arrived = true, s
		}
		return
	}
	d := math.Copysign(1, s.slope)
	if w.direction != 0 && d != w.direction {
		switch {
		case w.level:
			w.note(w.arrived.x, w.arrived.value)
		case w.corner:
			w.note(w.before.x, w.before.value)
		default:
			w.note(w.between(w.before, s))
		}
	}
	w.direction, w.level = d, false
}

// jump passes a sudden change of value from one sample to the next.
func (w *cycleWalk) jump(s, next cycleSample, jump float64) {
	d := math.Copysign(1, jump)
	if w.direction != 0 && d != w.direction {
		if w.level {
			w.note(w.arrived.x, w.arrived.value)
		} else {
			w.note(s.x, s.value)
		}
	}
	w.direction, w.level = d, true
	w.arrived = next
}

func (w *cycleWalk) note(x, value float64) {
	w.found = append(w.found, turning{At: x, Value: value, High: w.direction > 0})
}

// between finds where the slope vanishes between two samples.
func (w *cycleWalk) between(a, b cycleSample) (x, value float64) {
	if b.x < a.x { // across the end of the cycle
		return b.x, b.value
	}
	x = rootBetween(func(x float64) float64 { _, d := w.f(x); return d }, a.x, b.x, a.slope, b.slope)
	value, _ = w.f(x)
	return x, value
}

// rootBetween returns a root of g between a and b, where its values fa and fb
// differ in sign, to rounding: false position with the Illinois weight (Dowell
// and Jarratt 1971), and bisection when that does not shrink the bracket.
func rootBetween(g func(float64) float64, a, b, fa, fb float64) float64 {
	side := 0
	for k := range 200 {
		x := (a*fb - b*fa) / (fb - fa)
		if k%4 == 3 || !(x > min(a, b) && x < max(a, b)) {
			x = (a + b) / 2
		}
		if x == a || x == b {
			return x
		}
		fx := g(x)
		if fx == 0 || math.Abs(b-a) < 1e-14*(1+math.Abs(x)) {
			return x
		}
		if math.Signbit(fx) == math.Signbit(fb) {
			b, fb = x, fx
			if side == 1 {
				fa /= 2
			}
			side = 1
		} else {
			a, fa = x, fx
			if side == -1 {
				fb /= 2
			}
			side = -1
		}
	}
	return (a + b) / 2
}

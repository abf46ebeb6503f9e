package sweep

import (
	"math"
	"testing"
)

// study evaluates a function of made dimensions in every row.
func study(s *Study, nominal, margin []float64, f func(x []float64) float64) Outcome {
	values := make([]float64, s.Rows())
	x := make([]float64, len(nominal))
	for row := range values {
		for k := range x {
			x[k] = nominal[k] + margin[k]*s.Offset(row, k)
		}
		values[row] = f(x)
	}
	o, ok := s.Outcome(values)
	if !ok {
		panic("no outcome")
	}
	return o
}

// Shigley's Mechanical Engineering Design (Budynas and Nisbett), section 1-13,
// example 1-7, from memory: a gap w = a − b − c − d with a = 1.750 ± 0.003,
// b = 0.750 ± 0.001, c = 0.120 ± 0.005, d = 0.875 ± 0.001 in. Published: mean
// 0.005 in, worst-case margin 0.010 in, and by root sum of squares 0.006 in.
func TestStackOfAShoulderedScrew(t *testing.T) {
	nominal := []float64{1.750, 0.750, 0.120, 0.875}
	margin := []float64{0.003, 0.001, 0.005, 0.001}
	gap := func(x []float64) float64 { return x[0] - x[1] - x[2] - x[3] }
	for _, spread := range []Spread{Uniform, Normal} {
		s := NewStudy(4, 4000, spread, 1)
		o := study(s, nominal, margin, gap)
		if math.Abs(o.Drawn-0.005) > 1e-12 || math.Abs(o.Mean-0.005) > 5e-6 {
			t.Errorf("gap as drawn %g, mean %g, want 0.005", o.Drawn, o.Mean)
		}
		if got := o.LinearSpan / spread.Deviation(); math.Abs(got-0.006) > 1e-9 {
			t.Errorf("root sum of squares %g, want 0.006", got)
		}
		// On a linear case the draws must agree with the slopes.
		if math.Abs(o.Spread-o.LinearSpan) > 0.03*o.LinearSpan {
			t.Errorf("spread of the draws %g, by the slopes %g", o.Spread, o.LinearSpan)
		}
		for k, want := range []float64{9. / 36, 1. / 36, 25. / 36, 1. / 36} {
			if math.Abs(o.LinearShare[k]-want) > 1e-9 || math.Abs(o.DrawnShare[k]-want) > 0.04 {
				t.Errorf("share of dimension %d: %g by slopes, %g by draws, want %g", k, o.LinearShare[k], o.DrawnShare[k], want)
			}
		}
		low, high := o.LinearRange()
		if math.Abs(o.Low-low) > 4e-4 || math.Abs(o.High-high) > 4e-4 {
			t.Errorf("5 to 95 percent: draws %g to %g, slopes %g to %g", o.Low, o.High, low, high)
		}
		worst := 0.0
		for row := range s.Rows() {
			for k := range margin {
				worst = max(worst, math.Abs(s.Offset(row, k)))
			}
		}
		if worst > 1 {
			t.Errorf("a part is drawn outside its margin: %g", worst)
		}
	}
}

func TestStudyMovesOneDimensionAtATime(t *testing.T) {
	s := NewStudy(3, 10, Uniform, 1)
	for row := range 1 + 2*3 {
		moved := 0
		for k := range 3 {
			if s.Offset(row, k) != 0 {
				moved++
			}
		}
		if want := min(row, 1); moved != want {
			t.Errorf("row %d moves %d dimensions, want %d", row, moved, want)
		}
	}
}

func TestOutcomeWithoutAnswers(t *testing.T) {
	s := NewStudy(1, 4, Uniform, 1)
	values := make([]float64, s.Rows())
	for i := range values {
		values[i] = math.NaN()
	}
	if _, ok := s.Outcome(values); ok {
		t.Error("an outcome of nothing")
	}
	values = []float64{1, math.NaN(), 1.1, 1, math.NaN(), 1.2, 0.9}
	o, ok := s.Outcome(values)
	if !ok || o.Answered != 3 || o.LinearSpan != 0 {
		t.Errorf("got %+v, %v", o, ok)
	}
}

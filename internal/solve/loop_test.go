package solve

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func circle(x, y, radius float64) Circle { return Circle{At: r2.Vec{X: x, Y: y}, Radius: radius} }

func back(x, y, radius float64) Circle {
	return Circle{At: r2.Vec{X: x, Y: y}, Radius: radius, Back: true}
}

var benchCircles = []Circle{circle(-10, -36, 5.82), circle(36, 0, 12.94), circle(0, 38, 13.9)}

func BenchmarkLoopThreePulleys(b *testing.B) {
	var l Loop
	b.ReportAllocs()
	for b.Loop() {
		SolveLoop(&l, benchCircles)
	}
	if l.Status != LoopOK {
		b.Fatal(l.Status)
	}
}

func BenchmarkLoopBackIdler(b *testing.B) {
	circles := []Circle{circle(-10, -36, 5.82), circle(36, 0, 12.94), back(25, 25, 5), circle(0, 38, 13.9)}
	var l Loop
	b.ReportAllocs()
	for b.Loop() {
		SolveLoop(&l, circles)
	}
	if l.Status != LoopOK {
		b.Fatal(l.Status)
	}
}

// TestLoopTwoPulleys checks against the handbook form for an open belt,
// L = √(4C² − (D−d)²) + (D·θD + d·θd)/2 (Shigley, Eqs. 17-1 and 17-2).
func TestLoopTwoPulleys(t *testing.T) {
	tests := []struct {
		name                string
		big, small, centres float64 // diameters
		want, tolerance     float64
	}{
		// Published exercise: D 1.6 m, d 0.5 m, C 12 m: 27.32 m.
		{"open belt exercise", 1600, 500, 12000, 27320, 5},
		{"exact recomputed", 1600, 500, 12000, 27323.885, 1e-3},
	}
	for _, tt := range tests {
		var l Loop
		SolveLoop(&l, []Circle{circle(3, 4, tt.big/2), circle(3, 4+tt.centres, tt.small/2)})
		if l.Status != LoopOK || math.Abs(l.Length-tt.want) > tt.tolerance {
			t.Errorf("%s: length %g (status %v), want %g", tt.name, l.Length, l.Status, tt.want)
		}
		alpha := math.Asin((tt.big - tt.small) / 2 / tt.centres)
		if math.Abs(l.Wraps[0]-(math.Pi+2*alpha)) > 1e-12 || math.Abs(l.Wraps[1]-(math.Pi-2*alpha)) > 1e-12 {
			t.Errorf("%s: wraps %v", tt.name, l.Wraps)
		}
	}
}

// TestLoopThreeEqualPulleys: three pulleys 2 ft across, 6, 9 and 13 ft apart,
// need 28 + 2π ft (published puzzle solution). The triangle is thin.
func TestLoopThreeEqualPulleys(t *testing.T) {
	x := (6.0*6 + 13*13 - 9*9) / (2 * 13)
	a, b, c := circle(0, 0, 1), circle(x, math.Sqrt(36-x*x), 1), circle(13, 0, 1)
	for _, run := range [][]Circle{{a, b, c}, {c, b, a}, {b, c, a}} {
		var l Loop
		SolveLoop(&l, run)
		if l.Status != LoopOK || math.Abs(l.Length-(28+2*math.Pi)) > 1e-12 {
			t.Errorf("length %.12g (status %v), want %.12g", l.Length, l.Status, 28+2*math.Pi)
		}
	}
}

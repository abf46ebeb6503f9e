package solve

import (
	"math"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

var mxl = mech.BeltSection{Name: "MXL", Pitch: 2.032, ToothHeight: 0.51, PitchLine: 0.254, Back: 0.38}

// watchman is the drive of the harbour watchman: main, side and fore.
func watchman() *mech.Model {
	return &mech.Model{
		Motor:  &mech.Motor{},
		Shafts: []mech.Shaft{{Name: "main", At: r2.Vec{X: -10, Y: -36}}, {Name: "side", At: r2.Vec{X: 36}}, {Name: "fore", At: r2.Vec{Y: 38}}},
		Belts: []mech.Belt{{
			Name: "loop", Section: mxl, Teeth: 125,
			Run:    []mech.Pulley{{Shaft: 0, Teeth: 18}, {Shaft: 1, Teeth: 40}, {Shaft: 2, Teeth: 43}},
			TakeUp: &mech.TakeUp{Pulley: 0, Along: r2.Vec{Y: -1}, Min: -2, Max: 4},
		}},
	}
}

func TestWatchmanBelt(t *testing.T) {
	m := watchman()
	r := SolveBelts(m)[0]
	if r.Status != LoopOK || r.Clockwise {
		t.Fatalf("%+v", r)
	}
	// The fitted pulley stands where the loop is 125 teeth long.
	circles := BeltCircles(m, &m.Belts[0])
	circles[0].At = r.Fitted.At
	var l Loop
	SolveLoop(&l, circles)
	if math.Abs(l.Length-125*2.032) > 1e-8 {
		t.Errorf("length with the belt fitted %.12g, want %.12g", l.Length, 125*2.032)
	}
}

// TestCentre checks exact and approximate centre distances.
func TestCentre(t *testing.T) {
	tests := []struct {
		name                string
		pitch               float64
		small, large, belt  int
		exact, exactBy      float64
		approximate, approx float64
	}{
		// Mott, Machine Elements in Mechanical Design, Ex. 7-3: 14.61 in from the
		// book's table, which is 0.005 in high; recomputed 370.9541 and 14.6049 in.
		{"Mott 7-3, table", 8, 32, 80, 150, 14.61 * 25.4, 0.01 * 25.4, 14.61 * 25.4, 0.01 * 25.4},
		{"Mott 7-3, recomputed", 8, 32, 80, 150, 370.9541, 5e-5, 14.6049 * 25.4, 2e-3},
		// Handbook sheet on JB/T 7512 tables: 20/20 at 3 mm, 936 mm: 438.000 mm.
		{"equal sprockets", 3, 20, 20, 312, 438, 1e-12, 438, 1e-12},
	}
	for _, tt := range tests {
		c := CentreForTeeth(tt.pitch, tt.small, tt.large, tt.belt)
		if !c.OK || math.Abs(c.Value-tt.exact) > tt.exactBy {
			t.Errorf("%s: exact %.8g, want %g", tt.name, c.Value, tt.exact)
		}
		a := ApproximateCentre(tt.pitch, tt.small, tt.large, tt.belt)
		if !a.OK || math.Abs(a.Value-tt.approximate) > tt.approx {
			t.Errorf("%s: approximate %.8g, want %g", tt.name, a.Value, tt.approximate)
		}
	}
	// How far the approximation is high: computed beside the formulas' source.
	for _, tt := range []struct {
		small, large, belt int
		high, by           float64
	}{{20, 40, 130, 0.00007, 5e-6}, {16, 80, 100, 0.078, 5e-4}} {
		high := ApproximateCentre(2, tt.small, tt.large, tt.belt).Value - CentreForTeeth(2, tt.small, tt.large, tt.belt).Value
		if math.Abs(high-tt.high) > tt.by {
			t.Errorf("%d/%d with %d teeth: approximation high by %g, want %g", tt.small, tt.large, tt.belt, high, tt.high)
		}
	}
}

// TestCentreAgainstLoop: the involute form and the tangent geometry are two
// ways to one length, however nearly equal the sprockets and however near.
func TestCentreAgainstLoop(t *testing.T) {
	var l Loop
	for small := 10; small <= 60; small++ {
		for large := small; large <= 120; large += 1 + (large-small)/3 {
			for belt := large + 1; belt < 400; belt += 1 + belt/9 {
				c := CentreForTeeth(2.032, small, large, belt)
				r, R := float64(small)*2.032/2/math.Pi, float64(large)*2.032/2/math.Pi
				if !c.OK || c.Value < R-r {
					t.Fatalf("%d/%d with %d: %+v", small, large, belt, c)
				}
				SolveLoop(&l, []Circle{circle(0, 0, r), circle(c.Value, 0, R)})
				if l.Status != LoopOK || math.Abs(l.Length-2.032*float64(belt)) > 1e-9 {
					t.Errorf("%d/%d with %d teeth at %g: %v, length %.12g, want %.12g", small, large, belt, c.Value, l.Status, l.Length, 2.032*float64(belt))
				}
			}
			if c := CentreForTeeth(2.032, small, large, large); c.OK {
				t.Errorf("%d/%d: a belt of %d teeth leaves a distance of %g", small, large, large, c.Value)
			}
		}
	}
}

func BenchmarkCentre(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		CentreForTeeth(2.032, 18, 40, 90)
	}
}

func BenchmarkBelt(b *testing.B) {
	m := watchman()
	m.Belts[0].Teeth = 0
	b.ReportAllocs()
	for b.Loop() {
		SolveBelt(m, &m.Belts[0])
	}
}

package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// TestTakeUpRoots moves a pulley of a random layout, measures the loop, moves
// the pulley back, and must find the way there again; and a fine walk along the
// same line must meet no solution that was not given.
func TestTakeUpRoots(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	checked, second := 0, 0
	for checked < 60 {
		circles := ring(rng, true)
		k := rng.IntN(len(circles))
		angle := rng.Float64() * 2 * math.Pi
		along := r2.Vec{X: math.Cos(angle), Y: math.Sin(angle)}
		home := circles[k].At
		lengthAt := func(at float64) (float64, bool) {
			var l Loop
			circles[k].At = r2.Add(home, r2.Scale(at, along))
			SolveLoop(&l, circles)
			circles[k].At = home
			return l.Length, l.Status == LoopOK
		}
		moved := 30*rng.Float64() - 15
		want, ok := lengthAt(moved)
		_, drawn := lengthAt(0)
		if !ok || !drawn {
			continue
		}
		checked++
		roots := TakeUpRoots(circles, k, along, []float64{want}, nil)[0]
		if circles[k].At != home {
			t.Fatal("the circle was left elsewhere")
		}
		found := false
		for i, root := range roots {
			found = found || math.Abs(root-moved) < 1e-6
			if got, ok := lengthAt(root); !ok || math.Abs(got-want) > 1e-8 {
				t.Errorf("root %g has length %g, want %g", root, got, want)
			}
			if i > 0 && math.Abs(root) < math.Abs(roots[i-1]) {
				t.Errorf("roots %v are not nearest first", roots)
			}
		}
		if !found {
			t.Errorf("%+v circle %d along %v: roots %v lack %g", circles, k, along, roots, moved)
		}
		if len(roots) > 1 {
			second++
		}
		var was float64
		wasOK := false
		for at := -250.0; at <= 250; at += 0.25 {
			now, ok := lengthAt(at)
			if ok && wasOK && (was < want) != (now < want) && math.Abs(now-was) < 1 {
				near := false
				for _, root := range roots {
					near = near || root >= at-0.25-1e-6 && root <= at+1e-6
				}
				if !near {
					t.Errorf("%+v circle %d along %v: roots %v lack one near %g", circles, k, along, roots, at)
				}
			}
			was, wasOK = now, ok
		}
	}
	if second < 10 {
		t.Errorf("only %d layouts had two solutions", second)
	}
}

// TestTakeUpTwoPulleys: along the line of centres the travel is the difference
// of the exact centre distances, and there is the mirror solution beyond the
// other pulley.
func TestTakeUpTwoPulleys(t *testing.T) {
	const r, R, drawn = 5.821251198529164, 12.936113774509254, 60.0 // 18 and 40 teeth of MXL
	circles := []Circle{circle(0, 0, r), circle(drawn, 0, R)}
	for belt := 75; belt < 140; belt++ {
		length := 2.032 * float64(belt)
		c := CentreForTeeth(2.032, 18, 40, belt)
		roots := TakeUpRoots(circles, 1, r2.Vec{X: 1}, []float64{length}, nil)[0]
		if len(roots) != 2 || math.Abs(roots[0]-(c.Value-drawn)) > 1e-8 || math.Abs(roots[1]-(-c.Value-drawn)) > 1e-8 {
			t.Errorf("%d teeth: roots %v, want %g and %g", belt, roots, c.Value-drawn, -c.Value-drawn)
		}
	}
	// Too short to go round the larger at all.
	if roots := TakeUpRoots(circles, 1, r2.Vec{X: 1}, []float64{2.032 * 39}, nil)[0]; len(roots) != 0 {
		t.Errorf("39 teeth close at %v", roots)
	}
}

func BenchmarkTakeUpRoots(b *testing.B) {
	circles := append([]Circle(nil), benchCircles...)
	lengths := []float64{254}
	b.ReportAllocs()
	for b.Loop() {
		TakeUpRoots(circles, 0, r2.Vec{Y: -1}, lengths, nil)
	}
}

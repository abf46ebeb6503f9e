package solve

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// hullLength is the length of the convex hull of points, by Andrew's monotone
// chain: another method for loops that bend one way only.
func hullLength(points []r2.Vec) float64 {
	slices.SortFunc(points, func(a, b r2.Vec) int {
		if a.X != b.X {
			return cmp.Compare(a.X, b.X)
		}
		return cmp.Compare(a.Y, b.Y)
	})
	chain := func(points []r2.Vec) []r2.Vec {
		var out []r2.Vec
		for _, p := range points {
			for len(out) > 1 && r2.Cross(r2.Sub(out[len(out)-1], out[len(out)-2]), r2.Sub(p, out[len(out)-1])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out[:len(out)-1]
	}
	lower := chain(points)
	slices.Reverse(points)
	hull := append(lower, chain(points)...)
	length := 0.0
	for i, p := range hull {
		length += r2.Norm(r2.Sub(hull[(i+1)%len(hull)], p))
	}
	return length
}

// arcPoints samples a circle from one polar angle to another, deg.
func arcPoints(c Circle, from, to float64) []r2.Vec {
	const n = 4000
	var points []r2.Vec
	for i := range n + 1 {
		a := (from + (to-from)*float64(i)/n) * math.Pi / 180
		points = append(points, r2.Vec{X: c.At.X + c.Radius*math.Cos(a), Y: c.At.Y + c.Radius*math.Sin(a)})
	}
	return points
}

// TestLoopAgainstHull: without back-side pulleys the loop is the convex hull of
// the circles. A hull of sampled points is short by the square of their spacing.
func TestLoopAgainstHull(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	checked := 0
	for checked < 20 {
		circles := ring(rng, false)
		var l Loop
		if SolveLoop(&l, circles); l.Status != LoopOK {
			continue // a pulley within the hull of the others
		}
		checked++
		var points []r2.Vec
		for _, c := range circles {
			points = append(points, arcPoints(c, 0, 360)...)
		}
		if hull := hullLength(points); math.Abs(hull-l.Length) > 1e-4 {
			t.Errorf("%+v: loop %g, hull %g", circles, l.Length, hull)
		}
	}
}

// TestLoopShorterOfTwo: a large pulley that bulges out on both sides of the line
// of two small ones is met on its upper side one way round and on its lower side
// the other, and both go round once; the shorter is meant. The belt then cuts
// through the large pulley's body, which is for the clearances to say.
func TestLoopShorterOfTwo(t *testing.T) {
	a, b, big := circle(0, 0, 5.5), circle(70, 0, 5.5), circle(35, -10, 24.5)
	around := func(from, to float64) float64 {
		points := append(arcPoints(a, 0, 360), arcPoints(b, 0, 360)...)
		return hullLength(append(points, arcPoints(big, from, to)...))
	}
	upper, lower := around(20, 160), around(200, 340)
	if !(upper < lower) {
		t.Fatalf("upper %g, lower %g", upper, lower)
	}
	for _, run := range [][]Circle{{a, b, big}, {big, b, a}} {
		var l Loop
		if SolveLoop(&l, run); l.Status != LoopOK || math.Abs(l.Length-upper) > 1e-4 {
			t.Errorf("%v, length %g, want %g (the other is %g)", l.Status, l.Length, upper, lower)
		}
	}
	big.At.Y = 10
	for _, run := range [][]Circle{{a, b, big}, {big, b, a}} {
		var l Loop
		if SolveLoop(&l, run); l.Status != LoopOK || math.Abs(l.Length-upper) > 1e-4 {
			t.Errorf("mirrored: %v, length %g, want %g", l.Status, l.Length, upper)
		}
	}
}

package solve

import (
	"math"
	"testing"
)

// Straight C needs 33 ns for a four-bar with velocity and acceleration, 60 ns with
// the links' angles, and 250 ns for a six-bar by warm-started Newton.

func BenchmarkFourBar(b *testing.B) {
	c, p := compile(b, chainModel(fourBar(40, 120, 80, 100, 0, true)))
	x := []float64{0}
	b.ReportAllocs()
	for i := range b.N {
		x[0] = float64(i&1023) * (2 * math.Pi / 1024)
		c.Solve(x, p)
	}
}

func BenchmarkFourBarAngles(b *testing.B) {
	c, p := compile(b, chainModel(fourBar(40, 120, 80, 100, 0, true)))
	x := []float64{0}
	b.ReportAllocs()
	sum := 0.0
	for i := range b.N {
		x[0] = float64(i&1023) * (2 * math.Pi / 1024)
		c.Solve(x, p)
		t3, _, _ := p.Link(0, 1)
		t4, _, _ := p.Link(2, 1)
		sum += t3 + t4
	}
	_ = sum
}

func BenchmarkSixBarNewton(b *testing.B) {
	c, p := compile(b, chainModel(stephenson()))
	x := []float64{0}
	b.ReportAllocs()
	for i := range b.N {
		x[0] = float64(i&1023) * (2 * math.Pi / 1024)
		if !c.Solve(x, p) {
			b.Fatal("locks")
		}
	}
}

package draw

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func BenchmarkPDF(b *testing.B) {
	d := sample()
	for b.Loop() {
		if _, err := PDF(d); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSTL(b *testing.B) {
	s := wavy(5)
	for b.Loop() {
		if _, err := s.STL("part"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitArcs(b *testing.B) {
	for b.Loop() {
		FitArcs(func(t float64) (r2.Vec, r2.Vec) {
			r, dr := 30+5*math.Cos(3*t), -15*math.Sin(3*t)
			sin, cos := math.Sincos(t)
			return r2.Vec{X: r * cos, Y: r * sin}, r2.Vec{X: dr*cos - r*sin, Y: dr*sin + r*cos}
		}, 0, 2*math.Pi, 0.01)
	}
}

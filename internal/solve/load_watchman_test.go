package solve_test

import (
	"testing"

	"understage/internal/solve"
	"understage/internal/spec"
)

// BenchmarkLoadWatchman is the load curve of the built-in figure over its
// repeat: torque by contact and friction forces, peak, mean, running speed.
func BenchmarkLoadWatchman(b *testing.B) {
	figure := spec.Figures()[0]
	read, msgs := spec.Load(spec.Source{Name: figure.Name, Text: figure.Text}, nil, nil)
	if len(msgs) > 0 {
		b.Fatal(msgs)
	}
	b.ReportAllocs()
	for b.Loop() {
		if s := solve.SolveParts(read.Model, solve.PartPeak); !s.Motor.Loaded {
			b.Fatal("no loads")
		}
	}
}

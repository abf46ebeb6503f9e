package solve_test

import (
	"testing"

	"understage/internal/solve"
)

func benchFrame(b *testing.B, name string, sets ...string) {
	m := builtIn(b, name, sets...)
	s := solve.Solve(m)
	b.ReportAllocs()
	for b.Loop() {
		solve.SolveFrame(m, s)
	}
}

func BenchmarkFrameWatchman(b *testing.B) { benchFrame(b, "watchman") }

func BenchmarkFrameBaker(b *testing.B) { benchFrame(b, "baker") }

// Two cams that cut into each other.
func BenchmarkFrameRims(b *testing.B) {
	benchFrame(b, "baker", "cams.rock.waves.0.amplitude=2.5")
}

// A rim of many points beside another.
func BenchmarkFrameSpline(b *testing.B) { benchFrame(b, "baker", "cams.nod.through.3.1=1.6") }

// Two rims over a long repeat.
func BenchmarkFrameLong(b *testing.B) {
	benchFrame(b, "baker", "cams.rock.waves.0.amplitude=1", "drive.belts.loop.run.3.teeth=63")
}

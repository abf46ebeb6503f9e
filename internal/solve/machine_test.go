package solve_test

import (
	"math"
	"testing"

	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/spec"
)

// builtIn returns a built-in figure's model.
func builtIn(t testing.TB, name string, sets ...string) *mech.Model {
	t.Helper()
	figure, ok := spec.FindFigure(name)
	if !ok {
		t.Fatalf("no figure %s", name)
	}
	loaded, messages := spec.Load(spec.Source{Name: name, Text: figure.Text}, sets, nil)
	if len(messages) > 0 {
		t.Fatalf("%s: %v", name, messages)
	}
	return loaded.Model
}

// After the repeat, and after a million of them, every part that matters is
// exactly where it was: whole turns are dropped before going to floating point.
func TestPoseComesHomeAfterTheRepeat(t *testing.T) {
	m := builtIn(t, "watchman")
	s := solve.Solve(m)
	k := s.Machine
	const offset = 3.25
	start, later := k.NewPose(), k.NewPose()
	k.Pose(offset, start)
	// The watchman's repeat is 860/3 motor turns; three of them are whole.
	if s.Repeat.Exact != "860/3" {
		t.Fatalf("repeat %s", s.Repeat.Exact)
	}
	for _, turns := range []float64{860, 860e6} {
		k.Pose(turns+offset, later)
		for i := range start.Cams {
			if start.Cams[i] != later.Cams[i] {
				t.Errorf("after %g turns cam %s: %v, want %v", turns, m.Cams[i].Name, later.Cams[i], start.Cams[i])
			}
		}
		if d := math.Abs(start.Torso.Twist() - later.Torso.Twist()); d > 1e-15 {
			t.Errorf("after %g turns the twist is off by %g", turns, d)
		}
		for j, pin := range start.Chains[0].Pins {
			if d := math.Hypot(pin.Pos.X-later.Chains[0].Pins[j].Pos.X, pin.Pos.Y-later.Chains[0].Pins[j].Pos.Y); d > 1e-12 {
				t.Errorf("after %g turns pin %d is off by %g mm", turns, j, d)
			}
		}
	}
}

func TestPoseDoesNotAllocate(t *testing.T) {
	for _, name := range []string{"watchman", "baker", "tinker"} {
		k := solve.Compile(builtIn(t, name))
		pose := k.NewPose()
		turns := 0.0
		if n := testing.AllocsPerRun(100, func() { turns += 0.37; k.Pose(turns, pose) }); n != 0 {
			t.Errorf("%s: %g allocations a pose", name, n)
		}
		if !k.Posed(pose) {
			t.Errorf("%s: cannot be posed at %g", name, turns)
		}
	}
}

func BenchmarkPoseWatchman(b *testing.B) {
	k := solve.Compile(builtIn(b, "watchman"))
	pose := k.NewPose()
	b.ReportAllocs()
	turns := 0.0
	for b.Loop() {
		turns += 0.37
		k.Pose(turns, pose)
	}
}

func BenchmarkSolveWatchman(b *testing.B) {
	m := builtIn(b, "watchman")
	b.ReportAllocs()
	for b.Loop() {
		solve.Solve(m)
	}
}

package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/mech"
)

func solvedLoad(t testing.TB, m *mech.Model) (*Solution, *LoadResult) {
	t.Helper()
	s := Solve(m)
	if s.Motor.Load == nil || !s.Motor.Load.Known {
		t.Fatal("no loads")
	}
	return s, s.Motor.Load
}

// No instant of the repeat may ask for more than the peak, nor less than the
// least; and at the turns given the peak must be met.
func TestLoadExtremes(t *testing.T) {
	_, r := solvedLoad(t, loadFigure(0.2))
	l := r.Load
	x := make([]float64, len(l.Shafts))
	seed := uint64(7)
	rng := rand.New(rand.NewPCG(seed, 1))
	speed := SolveMotor(l.m).NoLoadSpeed
	most, least, start := math.Inf(-1), math.Inf(1), math.Inf(-1)
	for range 40000 {
		l.AnglesAt(rng.Float64()*140, x)
		l.Set(speed, false)
		torque := l.At(x)
		most, least = max(most, torque), min(least, torque)
		l.Set(speed, true)
		start = max(start, l.At(x))
	}
	for _, c := range []struct {
		what          string
		got, reported float64
	}{{"peak", most, r.Peak.Value}, {"least, turned round", -least, -r.Least.Value}, {"breakaway", start, r.Breakaway.Value}} {
		if slack := 1e-6 * math.Abs(c.reported); c.got > c.reported+slack || c.got < c.reported-0.05*math.Abs(c.reported) {
			t.Errorf("seed %d: %s reported %.9g, sampled %.9g", seed, c.what, c.reported, c.got)
		}
	}
	l.AnglesAt(r.Peak.Turns, x)
	l.Set(speed, false)
	if got := l.At(x); math.Abs(got-r.Peak.Value) > 1e-9 {
		t.Errorf("peak of %.12g reported at a pose of %.12g N·mm", r.Peak.Value, got)
	}
}

// The mean torque and the running speed against plain sums over the repeat.
func TestLoadMeans(t *testing.T) {
	s, r := solvedLoad(t, loadFigure(0.2))
	l := r.Load
	x := make([]float64, len(l.Shafts))
	l.Set(s.Motor.NoLoadSpeed, false)
	const n = 140 * 96
	var torque, time float64
	for k := range n {
		l.AnglesAt(140*float64(k)/n, x)
		v := l.At(x)
		if v < 0 {
			v *= r.Returned
		}
		torque += v / n
		time += 1 / s.Motor.Line.Speed(v) / n
	}
	motorNear(t, "mean torque", s.Motor.RunningTorque.Value, torque, 2e-3)
	motorNear(t, "running speed", s.Motor.RunningSpeed, 1/time, 1e-5)
}

func BenchmarkLoadCurve(b *testing.B) {
	m := loadFigure(0.2)
	s := Solve(m)
	k := s.Machine
	b.ReportAllocs()
	for b.Loop() {
		s.Motor = SolveMotor(m)
		solveLoad(k, s)
	}
}

package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
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
	speed := r.Speed
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
	l.Set(r.Speed, false)
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
		solveLoad(k, s, true)
	}
}

// A lone eccentric with a spring and a flat face: lift is ε(1 − cos φ) exactly
// (Mechanical Engineer's Data Handbook, p. 74, y = d(1 − cos θ)), so without
// friction the shaft must be given (F0 + k·ε(1 − cos φ))·ε·sin φ. Its greatest
// value is where F0·cos φ + k·ε(cos φ − cos 2φ) = 0, a quadratic in cos φ. A
// mass adds its inertia m·ε·w²·cos φ to the force.
func TestLoadOfEccentricOnSpring(t *testing.T) {
	const e, rate, preload = 4.0, 0.3, 1.2
	m := &mech.Model{
		Motor:  watchmanMotor(4.8),
		Shafts: []mech.Shaft{{Name: "main"}},
		Cams: []mech.Cam{{
			Name:     "lift",
			Shape:    mech.Shape{Kind: mech.ShapeEccentric, Eccentric: mech.Eccentric{DiscRadius: 18, Offset: e}},
			Follower: &mech.Follower{Kind: mech.Flat},
			Load:     mech.CamLoad{SpringRate: loadGiven(rate), SpringPreload: loadGiven(preload), Friction: loadGiven(0)},
		}},
	}
	s, r := solvedLoad(t, m)
	torque := func(phi float64) float64 { return (preload + rate*e*(1-math.Cos(phi))) * e * math.Sin(phi) }
	r.Load.Set(0, false)
	for k := range 24 {
		phi := float64(k) * math.Pi / 12
		if got := r.Load.At([]float64{phi}); math.Abs(got-torque(phi)) > 1e-9 {
			t.Errorf("at %.0f deg %.10g N·mm, want %.10g", phi*180/math.Pi, got, torque(phi))
		}
	}
	// −2ke·c² + (F0 + ke)·c + ke = 0, the root that lies past a quarter turn
	ke := rate * e
	c := (preload + ke - math.Sqrt((preload+ke)*(preload+ke)+8*ke*ke)) / (4 * ke)
	motorNear(t, "peak", r.Peak.Value, torque(math.Acos(c)), 1e-9)
	motorNear(t, "where, turns", r.Peak.Turns, math.Acos(c)/(2*math.Pi), 1e-4)
	motorNear(t, "least", r.Least.Value, -r.Peak.Value, 1e-9)
	motorNear(t, "margin", s.Motor.TorqueMargin.Value, s.Motor.StallTorque/r.Peak.Value, 1e-12)
	motorNear(t, "supply that starts it", r.StartSupply, s.Motor.Line.SupplyFor(0, r.Peak.Value), 1e-9)

	m.Cams[0].Load.Mass = loadGiven(0.5)
	heavy := NewLoad(Compile(m))
	const w = 10.0
	heavy.Set(w, false)
	for k := range 24 {
		phi := float64(k) * math.Pi / 12
		want := torque(phi) + 0.5*e*w*w*math.Cos(phi)/1000*e*math.Sin(phi)
		if got := heavy.At([]float64{phi}); math.Abs(got-want) > 1e-9 {
			t.Errorf("with a mass, at %.0f deg %.10g N·mm, want %.10g", phi*180/math.Pi, got, want)
		}
	}
}

// A worm takes work and gives none back; a lossless pair passes all both ways.
func TestLoadTrain(t *testing.T) {
	m := &mech.Model{
		Motor:  watchmanMotor(4.8),
		Shafts: make([]mech.Shaft, 4),
		Gears: []mech.Gear{
			{Kind: mech.Worm, Driver: mech.GearWheel{Shaft: 0, Teeth: 1}, Driven: mech.GearWheel{Shaft: 1, Teeth: 20}, Efficiency: loadGiven(0.4)},
			{Driver: mech.GearWheel{Shaft: 1, Teeth: 10}, Driven: mech.GearWheel{Shaft: 2, Teeth: 30}, Efficiency: loadGiven(0.8)},
			{Driver: mech.GearWheel{Shaft: 0, Teeth: 10}, Driven: mech.GearWheel{Shaft: 3, Teeth: 20}, Efficiency: loadGiven(0.9)},
		},
	}
	d := SolveDrive(m)
	train := newLoadTrain(m, &d)
	cases := []struct {
		what   string
		torque [4]float64
		want   float64
	}{
		{"on the motor's own shaft", [4]float64{7, 0, 0, 0}, 7},
		{"through the worm", [4]float64{0, 100, 0, 0}, 100.0 / 20 / 0.4},
		{"through gears and worm", [4]float64{0, 0, 120, 0}, 120.0 / 3 / 0.8 / 20 / 0.4},
		{"the worm holds", [4]float64{0, -100, 0, 0}, 0},
		{"given back through gears", [4]float64{0, 0, 0, -100}, -100.0 / 2 * 0.9},
		{"one branch drives another", [4]float64{0, 100, 0, -10}, 100.0/20/0.4 - 10.0/2*0.9},
		{"what the wheel gives helps the gears on its own shaft", [4]float64{0, -40, 120, 0}, (120.0/3/0.8 - 40) / 20 / 0.4},
	}
	for _, c := range cases {
		torque := c.torque
		motorNear(t, c.what, train.motorTorque(torque[:]), c.want, 1e-12)
	}
}

// The figure's inertia at the motor against the torque that its changes ask for:
// ½·w²·dJ/dθ at a constant speed w.
func TestFigureInertia(t *testing.T) {
	m := loadFigure(0)
	m.Torso.Inertia = &r3.Vec{X: 700, Y: 800, Z: 300}
	m.Linkages[0].Points = []mech.LinkagePoint{{Name: "tip", On: [2]int{1, 2}, At: r2.Vec{X: 70, Y: 34}, Mass: loadGiven(0.03)}}
	m.Cams[0].Load.Mass = loadGiven(0.05)
	l := newTestLoad(t, m)
	const speed, h = 40.0, 1e-5
	inertia := func(turns float64) float64 {
		l.Set(0, false)
		l.At(loadAngles(l, turns))
		return l.inertia()
	}
	for k := range 20 {
		turns := 0.211 * float64(k)
		want := (inertia(turns+h) - inertia(turns-h)) / (2 * h * 2 * math.Pi) / 2 * speed * speed / 1000
		x := loadAngles(l, turns)
		l.Set(0, false)
		still := l.At(x)
		l.Set(speed, false)
		if got := l.At(x) - still; math.Abs(got-want) > 1e-5*(1+math.Abs(want)) {
			t.Errorf("after %.3f turns inertia takes %.8g N·mm, its change says %.8g", turns, got, want)
		}
	}
}

// With an inertia the motor evens out its speed; the mean stays about the same.
func TestLoadWithInertia(t *testing.T) {
	light, lightLoad := solvedLoad(t, loadFigure(0.2))
	m := loadFigure(0.2)
	m.Motor.Feed.Inertia = loadGiven(5e5)
	heavy, heavyLoad := solvedLoad(t, m)
	motorNear(t, "running speed", heavy.Motor.RunningSpeed, light.Motor.RunningSpeed, 1e-3)
	if a, b := lightLoad.MostSpeed-lightLoad.LeastSpeed, heavyLoad.MostSpeed-heavyLoad.LeastSpeed; b >= 0.9*a || b <= 0 {
		t.Errorf("speed varies by %g rad/s without inertia, %g with", a, b)
	}
}

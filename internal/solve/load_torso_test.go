package solve

import (
	"math"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

func loadGiven(v float64) mech.Given { return mech.Given{Value: v, OK: true} }

// loadFigure is a torso of 180 g on two yokes, the cams on shafts of unequal
// speed, with a heavy arm driven by a third; friction where rub is positive.
func loadFigure(rub float64) *mech.Model {
	friction := mech.Rub{Sliding: loadGiven(rub), Static: loadGiven(1.5 * rub)}
	wave := func(n int, a, at float64) mech.Wave { return mech.Wave{PerTurn: n, Amplitude: a, At: at} }
	m := &mech.Model{
		Motor: watchmanMotor(4.8),
		Shafts: []mech.Shaft{
			{Name: "main", At: r2.Vec{X: -10, Y: -36}},
			{Name: "side", At: r2.Vec{X: 36}},
			{Name: "fore", At: r2.Vec{Y: 38}},
			{Name: "beat", View: geom.Front, At: r2.Vec{X: -10, Y: -79}},
		},
		Gears: []mech.Gear{
			{Driver: mech.GearWheel{Shaft: 0, Teeth: 9}, Driven: mech.GearWheel{Shaft: 1, Teeth: 20}, Efficiency: loadGiven(1)},
			{Driver: mech.GearWheel{Shaft: 0, Teeth: 3}, Driven: mech.GearWheel{Shaft: 2, Teeth: 7}, Efficiency: loadGiven(1)},
			{Kind: mech.Crown, Driver: mech.GearWheel{Shaft: 0, Teeth: 45}, Driven: mech.GearWheel{Shaft: 3, Teeth: 15}, Efficiency: loadGiven(1)},
		},
		Cams: []mech.Cam{
			{Name: "sway", Shaft: 1, Base: 16, Shape: mech.Shape{Waves: []mech.Wave{wave(1, 4.4, 0), wave(2, 1.6, 1.2)}},
				Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Heading: math.Pi}},
			{Name: "bow", Shaft: 2, Base: 16, Shape: mech.Shape{Waves: []mech.Wave{wave(1, 5, 0.4)}},
				Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Heading: -math.Pi / 2}},
		},
		Torso: &mech.Torso{
			Pivot: 95, ShaftDiameter: 6, ShaftDepth: 157,
			Pushes: [2]mech.Push{
				{Name: "sway", Cam: 0, Depth: 140, Along: r2.Vec{X: -1}, Ratio: 1, Plumb: 5, Rub: friction},
				{Name: "bow", Cam: 1, Depth: 150, Along: r2.Vec{Y: -1}, Ratio: 1, Plumb: 5, Rub: friction},
			},
			Guide: mech.Guide{Depth: 112, Pin: r2.Vec{X: -80}, PinDiameter: 4, Rub: friction},
			Mass:  loadGiven(0.180), CentreOfMass: r3.Vec{X: 6, Y: 3, Z: 40}, CentreGiven: true,
			PivotRadius: loadGiven(5), PivotRub: friction,
		},
		Linkages: []mech.Linkage{{
			Name: "staff", View: geom.Front,
			Pins: []mech.Pin{
				{Name: "hand", Kind: mech.CrankPin, Crank: mech.Crank{Shaft: 3, Radius: 6}},
				{Name: "knee", Kind: mech.FreePin, Start: r2.Vec{X: 5, Y: -22}, StartGiven: true},
				{Name: "heel", Kind: mech.FixedPin, At: r2.Vec{X: 40, Y: -24}},
			},
			Bars: []mech.Bar{
				{Pins: [2]int{0, 1}, Length: 58, Mass: loadGiven(0.004)},
				{Pins: [2]int{1, 2}, Length: 35, Mass: loadGiven(0.020)},
			},
			PinDiameter: loadGiven(3), PinRub: friction,
		}},
	}
	if rub == 0 {
		m.Torso.PivotRadius, m.Linkages[0].PinDiameter = mech.Given{}, mech.Given{}
	}
	return m
}

func newTestLoad(t testing.TB, m *mech.Model) *Load {
	t.Helper()
	l := NewLoad(Compile(m))
	if !l.Known {
		t.Fatal("no loads known")
	}
	return l
}

// loadAngles are the shafts' angles after some motor turns.
func loadAngles(l *Load, turns float64) []float64 {
	x := make([]float64, len(l.Shafts))
	for i, a := range l.Orbit.Axes {
		x[i] = 2 * math.Pi * math.Abs(a.Ratio.Float()) * turns
	}
	return x
}

// energy is the height energy of torso and arm after some motor turns, N·mm.
func loadEnergy(l *Load, turns float64) float64 {
	x := loadAngles(l, turns)
	l.At(x)
	e := l.m.Torso.Mass.Value * gravity * l.pose.Turn(l.m.Torso.CentreOfMass).Z
	pins := l.chains[0].pose.Pins
	for _, b := range l.m.Linkages[0].Bars {
		e += b.Mass.Value * gravity * (pins[b.Pins[0]].Pos.Y + pins[b.Pins[1]].Pos.Y) / 2
	}
	return e
}

// Virtual work against contact forces summed: without friction the torque at
// the motor is the change of height energy, here by differences.
func TestLoadIsVirtualWork(t *testing.T) {
	l := newTestLoad(t, loadFigure(0))
	const h = 1e-5
	for k := range 40 {
		turns := 0.137 * float64(k)
		want := (loadEnergy(l, turns+h) - loadEnergy(l, turns-h)) / (2 * h * 2 * math.Pi)
		if got := l.At(loadAngles(l, turns)); math.Abs(got-want) > 1e-5 {
			t.Errorf("after %.3f turns %.8g N·mm at the motor, energy says %.8g", turns, got, want)
		}
	}
}

// The torso's weight rests on its three contacts and the pivot.
func TestTorsoForcesBalance(t *testing.T) {
	l := newTestLoad(t, loadFigure(0.3))
	for k := range 20 {
		l.At(loadAngles(l, 0.31*float64(k)))
		b := l.body
		force, moment := r3.Vec{Z: -b.mass * gravity}, r3.Cross(l.pose.Turn(b.centre), r3.Vec{Z: -b.mass * gravity})
		for i := range b.contacts {
			c := &b.contacts[i]
			f := r3.Add(r3.Scale(c.lambda, c.force), c.drag)
			force, moment = r3.Add(force, f), r3.Add(moment, r3.Cross(c.touch, f))
			// Coulomb: friction square to the normal, and in proportion.
			if n := r3.Norm(r3.Scale(c.lambda, c.force)); math.Abs(r3.Norm(c.drag)-0.3*n) > 1e-9*(1+n) || math.Abs(r3.Dot(c.drag, c.force)) > 1e-9*(1+n) {
				t.Errorf("contact %d: friction %v on a normal force of %g N", i, c.drag, n)
			}
		}
		if r3.Norm(r3.Add(moment, b.couple)) > 1e-7 {
			t.Errorf("moments about the pivot leave %v", r3.Add(moment, b.couple))
		}
		if r3.Norm(r3.Sub(force, b.pivot)) > 1e-9 {
			t.Errorf("pivot carries %v of %v", b.pivot, force)
		}
	}
}

// Energy over a full repeat: weights are home again, so the work of the motor
// is what friction took; and at every instant the parts make up the whole.
func TestLoadWorkIsFriction(t *testing.T) {
	m := loadFigure(0.2)
	for i := range m.Gears {
		m.Gears[i].Efficiency = loadGiven(0.9)
	}
	l := newTestLoad(t, m)
	const n = 140 * 256 // 140 motor turns bring 9/20, 3/7 and 3 home
	var work, lost, weights float64
	for k := range n {
		total := l.At(loadAngles(l, 140*float64(k)/n))
		sum := 0.0
		for p, part := range l.Shares() {
			sum += part
			switch LoadPart(p) {
			case LoadTorso, LoadLinkages, LoadFollowers:
				weights += part
			default:
				lost += part
				if part < -1e-12 {
					t.Fatalf("%v gives work: %g", LoadPart(p), part)
				}
			}
		}
		if math.Abs(sum-total) > 1e-9 {
			t.Fatalf("parts make %.10g of %.10g N·mm", sum, total)
		}
		work += total
	}
	if work <= 0 || math.Abs(work-lost) > 1e-6*work || math.Abs(weights) > 1e-6*work {
		t.Errorf("work %.10g, friction %.10g, weights %.10g", work/n, lost/n, weights/n)
	}
}

// Friction of a pose agrees with what leaves the contacts: the work of pushes
// and cranks less the change of height energy.
func TestLoadFrictionIsPower(t *testing.T) {
	l := newTestLoad(t, loadFigure(0.25))
	free := newTestLoad(t, loadFigure(0))
	for k := range 40 {
		turns := 0.173 * float64(k)
		x := loadAngles(l, turns)
		with, without := l.At(x), free.At(x)
		s := l.Shares()
		lost := s[LoadYokes] + s[LoadPivot] + s[LoadGuide] + s[LoadPins] + s[LoadCams]
		if math.Abs(with-without-lost) > 1e-8 || lost <= 0 {
			t.Errorf("after %.3f turns friction adds %.10g N·mm, contacts lose %.10g", turns, with-without, lost)
		}
	}
}

func BenchmarkLoadAt(b *testing.B) {
	l := newTestLoad(b, loadFigure(0.2))
	x := loadAngles(l, 0.4)
	b.ReportAllocs()
	for b.Loop() {
		x[0] += 0.01
		l.At(x)
	}
}

// The same for a torso pushed by a cam's own rim and by a rod: virtual work
// without friction, and power with it.
func TestLoadOfEdgeAndRod(t *testing.T) {
	figure := func(rub float64) *mech.Model {
		m := loadFigure(rub)
		m.Linkages = nil
		p := &m.Torso.Pushes
		p[0].Kind, p[0].Along = mech.Edge, r2.Vec{}
		m.Cams[0].Follower = nil
		p[1] = mech.Push{Name: "bow", Kind: mech.Rod, Cam: mech.None, Crank: mech.Crank{Shaft: 2, Radius: 4, Phase: 0.3}, Depth: 150, PinDepth: 140, Length: 45}
		m.Cams = m.Cams[:1]
		return m
	}
	free, rough := newTestLoad(t, figure(0)), newTestLoad(t, figure(0.25))
	energy := func(turns float64) float64 {
		if v := free.At(loadAngles(free, turns)); v != v {
			t.Fatalf("cannot be posed after %g turns", turns)
		}
		return free.m.Torso.Mass.Value * gravity * free.pose.Turn(free.m.Torso.CentreOfMass).Z
	}
	const h = 1e-5
	for k := range 40 {
		turns := 0.137 * float64(k)
		want := (energy(turns+h) - energy(turns-h)) / (2 * h * 2 * math.Pi)
		x := loadAngles(free, turns)
		without := free.At(x)
		if math.Abs(without-want) > 1e-5 {
			t.Errorf("after %.3f turns %.8g N·mm at the motor, energy says %.8g", turns, without, want)
		}
		with := rough.At(x)
		s := rough.Shares()
		if lost := s[LoadYokes] + s[LoadPivot] + s[LoadGuide]; lost <= 0 || math.Abs(with-without-lost) > 1e-8 {
			t.Errorf("after %.3f turns friction adds %.10g N·mm, contacts lose %.10g", turns, with-without, lost)
		}
	}
}

// Inertia by virtual work: at a constant motor speed the motor must give the
// change of the torso's kinetic energy ½·w·I·w, here by differences of it.
func TestTorsoInertia(t *testing.T) {
	m := loadFigure(0)
	m.Linkages = nil
	m.Torso.Inertia = &r3.Vec{X: 700, Y: 800, Z: 300}
	l := newTestLoad(t, m)
	const speed, h = 40.0, 1e-4
	kinetic := func(turns float64) float64 {
		l.Set(0, false)
		l.At(loadAngles(l, turns))
		b := torsoMotion{x: l.pose.Turn(r3.Vec{X: 1}), y: l.pose.Turn(r3.Vec{Y: 1}), z: l.pose.axis}
		w := b.body(l.pose.omega)
		return (700*w.X*w.X + 800*w.Y*w.Y + 300*w.Z*w.Z) / 2 * speed * speed / 1000
	}
	for k := range 20 {
		turns := 0.211 * float64(k)
		want := (kinetic(turns+h) - kinetic(turns-h)) / (2 * h * 2 * math.Pi)
		x := loadAngles(l, turns)
		l.Set(0, false)
		still := l.At(x)
		l.Set(speed, false)
		if got := l.At(x) - still; math.Abs(got-want) > 1e-4*(1+math.Abs(want)) {
			t.Errorf("after %.3f turns inertia takes %.8g N·mm, energy says %.8g", turns, got, want)
		}
	}
}

// What presses a yoke's follower down is its spring less what the torso pulls:
// never less than reported, at any instant.
func TestYokeHold(t *testing.T) {
	m := loadFigure(0.2)
	m.Cams[0].Load = mech.CamLoad{SpringRate: loadGiven(0.02), SpringPreload: loadGiven(0.3)}
	_, r := solvedLoad(t, m)
	if len(r.Holds) != 2 {
		t.Fatalf("%d cams with yokes, want 2", len(r.Holds))
	}
	l := r.Load
	l.Set(r.Speed, false)
	least := [2]float64{math.Inf(1), math.Inf(1)}
	for k := range 30000 {
		l.At(loadAngles(l, 140*math.Mod(goldenTurn*float64(k), 1)))
		for i := range least {
			least[i] = min(least[i], l.along[i])
		}
	}
	for _, h := range r.Holds {
		if got := least[h.Cam]; got < h.Least.Value-1e-9 || got > h.Least.Value+0.02 {
			t.Errorf("cam %d: pressed on with %.9g N at least, sampled %.9g", h.Cam, h.Least.Value, got)
		}
	}
	// Without a spring the torso both pushes and pulls.
	if hold := r.Holds[1].Least.Value; hold >= 0 {
		t.Errorf("a yoke without a spring is pressed on with %g N", hold)
	}
}

// A changed supply may keep the loads, and must give the same as solving anew.
func TestReloadMotor(t *testing.T) {
	base := Solve(loadFigure(0.2))
	m := loadFigure(0.2)
	m.Motor.Supply = 3.1
	again := &Solution{Motor: SolveMotor(m)}
	if !reloadMotor(m, again, base) {
		t.Fatal("a changed supply asks for the loads anew")
	}
	fresh := Solve(m).Motor
	if again.Motor.RunningSpeed != fresh.RunningSpeed || again.Motor.TorqueMargin != fresh.TorqueMargin || again.Motor.RunningCurrent != fresh.RunningCurrent || again.Motor.Load.StartSupply != fresh.Load.StartSupply {
		t.Errorf("kept %+v\nfresh %+v", again.Motor, fresh)
	}
	m.Motor.Stall.Torque = 400
	if reloadMotor(m, again, base) {
		t.Error("another motor keeps the loads")
	}
}

// Friction that grows faster than the force that moves a part locks it: a pin
// whose μ·r outgrows the link's own lever, and a yoke with a coefficient of 20.
// It is a status, not a number.
func TestFrictionLocks(t *testing.T) {
	pins := loadFigure(0.2)
	pins.Linkages[0].PinRub = mech.Rub{Sliding: loadGiven(30)}
	yoke := loadFigure(0.2)
	yoke.Torso.Pushes[0].Rub = mech.Rub{Sliding: loadGiven(20)}
	still := loadFigure(0.2)
	still.Linkages[0].PinRub = mech.Rub{Sliding: loadGiven(0.2), Static: loadGiven(30)}
	for _, c := range []struct {
		what   string
		m      *mech.Model
		locked string
		known  bool
	}{{"pins", pins, "linkages.staff", false}, {"yoke", yoke, "torso", false}, {"only at rest", still, "linkages.staff", true}} {
		s := Solve(c.m)
		if r := s.Motor.Load; r.Locked != c.locked || r.Known != c.known {
			t.Errorf("%s: locked %q, known %v; want %q, %v", c.what, r.Locked, r.Known, c.locked, c.known)
		}
		if !(s.Motor.RunningSpeed > 0) || math.IsInf(s.Motor.RunningSpeed, 0) {
			t.Errorf("%s: running speed %g", c.what, s.Motor.RunningSpeed)
		}
	}
}

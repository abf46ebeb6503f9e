package solve

import (
	"math"
	"math/rand"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

func analyse(m *mech.Model) LinkageResult {
	k := Compile(m)
	s := &Solution{Motor: SolveMotor(m), Drive: k.Drive}
	s.Repeat = SolveRepeat(m, &s.Drive, 10*degree)
	return solveLinkages(k, s)[0]
}

// A crank that cannot turn fully locks where coupler and rocker are in line:
// cos θ = (a² + d² − (b ± c)²)/(2ad), law of cosines.
func TestLockingAngle(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	found := 0
	for range 300 {
		a, b, c, d := 10+50*r.Float64(), 10+50*r.Float64(), 10+50*r.Float64(), 10+50*r.Float64()
		kind, _ := ClassifyFourBar(a, b, c, d)
		phase := 2 * math.Pi * r.Float64()
		span := math.Sqrt(a*a + d*d - 2*a*d*math.Cos(phase))
		if span > b+c-0.1 || span < math.Abs(b-c)+0.1 {
			continue
		}
		res := analyse(chainModel(fourBar(a, b, c, d, phase, true)))
		if kind.FullTurn() {
			if res.Locks != nil {
				t.Errorf("%v %g %g %g %g locks at %g", kind, a, b, c, d, res.Locks.At)
			}
			continue
		}
		if res.Locks == nil {
			t.Errorf("%v %g %g %g %g: no lock found", kind, a, b, c, d)
			continue
		}
		found++
		forward, back := math.Inf(1), math.Inf(1)
		for _, reach := range [...]float64{b + c, b - c} {
			cos := (a*a + d*d - reach*reach) / (2 * a * d)
			if math.Abs(cos) > 1 {
				continue
			}
			for _, limit := range [...]float64{math.Acos(cos), -math.Acos(cos)} {
				forward = min(forward, orbitWrap(limit-phase))
				back = min(back, orbitWrap(phase-limit))
			}
		}
		near(t, "turn to the lock", res.Locks.Turn, forward, 1e-9)
		near(t, "locks at", math.Remainder(res.Locks.At-phase-forward, 2*math.Pi), 0, 1e-9)
		near(t, "turn between locks", res.Locks.Over, forward+back, 1e-9)
		if off := res.Locks.Misfit.Needs - res.Locks.Misfit.Has; math.Abs(off) < 1e-9 {
			t.Errorf("no other length said for %+v", res.Locks.Misfit)
		}
	}
	if found < 40 {
		t.Errorf("only %d locks", found)
	}
}

// The same lock, found by Newton instead of the closed form.
func TestLockingAngleNewton(t *testing.T) {
	m := chainModel(fourBar(50, 40, 35, 60, 60*degree, true))
	s := &Solution{Drive: SolveDrive(m)}
	c, fault := compileChain(m, 0, &s.Drive, nil, true)
	if c == nil {
		t.Fatalf("%+v", fault)
	}
	var r LinkageResult
	r.Driver = c.driver(m, &s.Drive, 0)
	newLinkageAnalysis(m, 0, c, s).findLocks(&r)
	if r.Locks == nil {
		t.Fatal("no lock found")
	}
	want := math.Acos((50.*50 + 60*60 - 75*75) / (2 * 50 * 60))
	near(t, "locks at", r.Locks.At, want, 1e-9)
	near(t, "turn between", r.Locks.Over, 2*want, 1e-9)
}

// With the lock's own remedy the crank turns fully, and with a hair less it does
// not.
func TestLockRemedy(t *testing.T) {
	a, b, c, d := 40.0, 60.0, 50.0, 90.0
	res := analyse(chainModel(fourBar(a, b, c, d, 0, true)))
	if res.Locks == nil {
		t.Fatal("no lock")
	}
	f := res.Locks.Misfit
	near(t, "needs", f.Needs, a+d-b, 1e-6)
	if l := analyse(chainModel(fourBar(a, b, f.Needs+1e-3, d, 0, true))); l.Locks != nil {
		t.Errorf("still locks with %g", f.Needs)
	}
	if l := analyse(chainModel(fourBar(a, b, f.Needs-1e-3, d, 0, true))); l.Locks == nil {
		t.Errorf("does not lock with less than %g", f.Needs)
	}
}

// Grashof's classes against brute force: a link turns fully against the ground
// when the other two close at every angle of it.
func TestGrashofBruteForce(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	turns := func(a, b, c, d float64) bool {
		for k := range 7200 {
			span := math.Sqrt(a*a + d*d - 2*a*d*math.Cos(float64(k)*math.Pi/3600))
			if span > b+c || span < math.Abs(b-c) {
				return false
			}
		}
		return true
	}
	seen := map[LoopKind]int{}
	for range 1500 {
		a, b, c, d := 1+9*r.Float64(), 1+9*r.Float64(), 1+9*r.Float64(), 1+9*r.Float64()
		kind, excess := ClassifyFourBar(a, b, c, d)
		longest := max(a, b, c, d)
		if 2*longest >= a+b+c+d || math.Abs(excess) < 0.01 {
			continue
		}
		seen[kind]++
		crank, output := turns(a, b, c, d), turns(c, b, a, d)
		if crank != kind.FullTurn() {
			t.Errorf("%v: crank turns fully is %v for %g %g %g %g", kind, crank, a, b, c, d)
		}
		if want := kind == DoubleCrank || kind == RockerCrank; output != want {
			t.Errorf("%v: output turns fully is %v for %g %g %g %g", kind, output, a, b, c, d)
		}
	}
	for _, kind := range [...]LoopKind{CrankRocker, DoubleCrank, DoubleRocker, RockerCrank, TripleRocker} {
		if seen[kind] < 20 {
			t.Errorf("%v only met %d times", kind, seen[kind])
		}
	}
}

// Transmission angle of a crank-rocker: extremes with the crank in line with
// the ground, cos μ = (b² + c² − (d ∓ a)²)/(2bc) (METU open course Mechanisms,
// section 7.1); of a slider-crank 90° − asin((r ± e)/l).
func TestTransmissionExtremes(t *testing.T) {
	a, b, c, d := 40.0, 120.0, 80.0, 100.0
	res := analyse(chainModel(fourBar(a, b, c, d, 0.3, true)))
	mu := func(span float64) float64 { return math.Acos((b*b + c*c - span*span) / (2 * b * c)) }
	near(t, "least", res.Transmission.Min.Value, mu(d-a), 1e-9)
	near(t, "greatest", res.Transmission.Max.Value, mu(d+a), 1e-9)

	res = analyse(chainModel(sliderCrank(50, 250, 20)))
	near(t, "least", res.Transmission.Min.Value, math.Pi/2-math.Asin(70./250), 1e-9)
	near(t, "greatest", res.Transmission.Max.Value, math.Pi/2+math.Asin(30./250), 1e-9)
}

func sliderCrank(r, l, e float64) mech.Linkage {
	return mech.Linkage{
		Pins: []mech.Pin{
			{Name: "A", Kind: mech.CrankPin, Crank: mech.Crank{Radius: r}},
			{Name: "B", Kind: mech.SlidePin, At: r2.Vec{Y: e}, Along: r2.Vec{X: 1}, Start: r2.Vec{X: l, Y: e}, StartGiven: true},
		},
		Bars:   []mech.Bar{{Pins: [2]int{0, 1}, Length: l}},
		Points: []mech.LinkagePoint{{Name: "end", On: [2]int{0, 1}, At: r2.Vec{X: l}}},
	}
}

// Offset slider-crank: stroke √((l+r)²−e²) − √((l−r)²−e²) and the time ratio
// from its two dead centres, asin(e/(l+r)) and 180° + asin(e/(l−r)) (Norton,
// Design of Machinery, section 3.7, from memory; the formulas follow from the
// two right triangles). A point that goes to and fro travels twice the stroke.
func TestSliderCrankStroke(t *testing.T) {
	r, l, e := 50.0, 250.0, 60.0
	res := analyse(chainModel(sliderCrank(r, l, e)))
	stroke := math.Sqrt((l+r)*(l+r)-e*e) - math.Sqrt((l-r)*(l-r)-e*e)
	far, close := math.Asin(e/(l+r)), math.Pi+math.Asin(e/(l-r))
	if len(res.Outputs) != 1 {
		t.Fatalf("%d outputs", len(res.Outputs))
	}
	o := res.Outputs[0]
	near(t, "stroke", o.Swings, stroke, 1e-9)
	near(t, "far end", o.Ends[1], far, 1e-7)
	near(t, "near end", o.Ends[0], close, 1e-7)
	one := close - far
	near(t, "time ratio", o.TimeRatio.Value, one/(2*math.Pi-one), 1e-7)
	near(t, "path", res.Points[0].Path.Value, 2*stroke, 1e-6)
	near(t, "x least", res.Points[0].X.Min.Value, math.Sqrt((l-r)*(l-r)-e*e), 1e-9)
	near(t, "x greatest", res.Points[0].X.Max.Value, math.Sqrt((l+r)*(l+r)-e*e), 1e-9)
	if res.Loops[0].Kind != SliderCrank {
		t.Errorf("taken for a %v", res.Loops[0].Kind)
	}
}

// slottedLever has its pivot below the crank's centre and a slot over the crank
// pin.
func slottedLever(radius, centre, length float64) mech.Linkage {
	return mech.Linkage{
		Pins: []mech.Pin{
			{Name: "K", Kind: mech.CrankPin, Crank: mech.Crank{Radius: radius}},
			{Name: "O", Kind: mech.FixedPin, At: r2.Vec{Y: -centre}},
			{Name: "P", Start: r2.Vec{Y: length - centre}, StartGiven: true},
		},
		Bars:   []mech.Bar{{Pins: [2]int{1, 2}, Length: length}},
		Slots:  []mech.Slot{{Pin: 0, Line: [2]int{1, 2}}},
		Points: []mech.LinkagePoint{{Name: "ram", On: [2]int{1, 2}, At: r2.Vec{X: length}}},
	}
}

// Crank and slotted lever quick returns: Khurmi & Gupta, Theory of Machines,
// example 5.2 (p. 110): centres 240, crank 120, lever 450: time ratio 2, stroke
// 450. Example 5.1 (p. 110): centres 300, crank 120: the book's 1.72 rounds
// coarsely, the closed form (360 − α)/α, α = 2·acos(r/C), gives 1.70995278.
func TestSlottedLever(t *testing.T) {
	res := analyse(chainModel(slottedLever(120, 240, 450)))
	near(t, "time ratio", res.Outputs[0].TimeRatio.Value, 2, 1e-7)
	near(t, "stroke", res.Points[0].X.Max.Value-res.Points[0].X.Min.Value, 450, 1e-8)
	near(t, "swing", res.Outputs[0].Swings, 2*math.Asin(0.5), 1e-9)
	near(t, "slot nearest", res.Slots[0].Travel.Min.Value, 120, 1e-9)
	near(t, "slot farthest", res.Slots[0].Travel.Max.Value, 360, 1e-9)
	near(t, "transmission", res.Transmission.Min.Value, math.Pi/2, 1e-12)
	if res.Loops[0].Kind != SlottedLever {
		t.Errorf("taken for a %v", res.Loops[0].Kind)
	}
	res = analyse(chainModel(slottedLever(120, 300, 500)))
	near(t, "time ratio", res.Outputs[0].TimeRatio.Value, 1.70995278, 1e-7)
	// The pivot inside the crank circle: the lever turns all the way round.
	res = analyse(chainModel(slottedLever(100, 50, 200)))
	if !res.Outputs[0].Turns || res.Loops[0].Kind != WhitworthLoop {
		t.Errorf("does not turn round: %+v", res.Outputs[0])
	}
}

// Lever of a Geneva drive of four slots while it indexes: Hibbeler, Dynamics,
// 11th ed., problem 16-49: r 100, centres √2·r, 2 rad/s, crank at 30° from the
// line of centres: 0.816 rad/s (from memory), 2λ(cos θ − λ)/(1 + λ² − 2λ cos θ).
func TestGenevaRate(t *testing.T) {
	l := slottedLever(100, 100*math.Sqrt2, 300)
	l.Pins[0].Crank.Phase = -60 * degree
	c, p := compile(t, chainModel(l))
	if !c.Solve([]float64{0}, p) {
		t.Fatal("does not close")
	}
	_, w, _ := p.Link(1, 2)
	near(t, "rate", 2*math.Abs(w), 0.81649658, 1e-8)
}

// Khurmi & Gupta, example 8.1 (p. 177): crank 150 mm, rod 600 mm, 300 rpm, 45
// degrees from inner dead centre. The book reads a drawing (4.1 m/s, 117 m/s²,
// 5.67 rad/s, 171.67 rad/s²), 2.6 % off at worst; the digits here are
// recomputed from the closed form.
func TestSliderCrankKhurmi(t *testing.T) {
	l := sliderCrank(150, 600, 0)
	l.Points[0].At = r2.Vec{X: 300}
	c, p := compile(t, chainModel(l))
	if !c.Solve([]float64{45 * degree}, p) {
		t.Fatal("does not close")
	}
	w := 300 * 2 * math.Pi / 60
	mid := c.Point(p, 0)
	_, rod, bend := p.Link(0, 1)
	near(t, "v mid-rod", r2.Norm(mid.Vel)*w/1000, 3.99535811, 1e-7)
	near(t, "a mid-rod", r2.Norm(mid.Acc)*w*w/1000, 117.31042577, 1e-6)
	near(t, "w rod", math.Abs(rod)*w, 5.64246697, 1e-7)
	near(t, "al rod", math.Abs(bend)*w*w, 171.54515607, 1e-5)
}

// The same four-bar in Khurmi & Gupta, example 8.4 (p. 184), Sarkar,
// illustration 6 (p. 20) and Bevan, example 5 (p. 98): 62.5, 175, 112.5, ground
// 200 mm, crank at 60 degrees. All three read drawings, up to 4 % off and
// different from each other; the digits here are recomputed.
func TestFourBarKhurmi(t *testing.T) {
	c, p := compile(t, chainModel(fourBar(62.5, 175, 112.5, 200, 0, true)))
	if !c.Solve([]float64{60 * degree}, p) {
		t.Fatal("does not close")
	}
	const w = 10
	_, w3, al3 := p.Link(0, 1)
	_, w4, al4 := p.Link(2, 1)
	near(t, "w3", math.Abs(w3)*w, 1.98002602, 1e-7)
	near(t, "w4", math.Abs(w4)*w, 3.78707234, 1e-7)
	near(t, "al3", math.Abs(al3)*w*w, 23.36756984, 1e-6)
	near(t, "al4", math.Abs(al4)*w*w, 46.14345990, 1e-6)
}

// A parallelogram's branches meet whenever it is in line.
func TestChangePoint(t *testing.T) {
	res := analyse(chainModel(fourBar(30, 80, 30, 80, 40*degree, true)))
	if res.Locks != nil || len(res.Merges) != 2 {
		t.Fatalf("locks %v, merges %+v", res.Locks, res.Merges)
	}
	for _, m := range res.Merges {
		near(t, "merge", math.Remainder(m.At, math.Pi), 0, 1e-5)
	}
	if res.Loops[0].Kind != ChangePoint {
		t.Errorf("taken for a %v", res.Loops[0].Kind)
	}
}

// Mechanical advantage of a four-bar, T4/T2 = w2/w4 = c·sin μ/(a·sin ν) with ν
// between crank and coupler (Norton, Design of Machinery, section 6.5, from
// memory), against the least over samples of that formula.
func TestMechanicalAdvantage(t *testing.T) {
	m := chainModel(fourBar(40, 120, 80, 100, 0, true))
	res := analyse(m)
	c, p := compile(t, m)
	least := math.Inf(1)
	for k := range 36000 {
		c.Solve([]float64{float64(k) * math.Pi / 18000}, p)
		crank, _, _ := angleOf(p.Pins[0].Pos)
		t3, _, _ := p.Link(0, 1)
		mu := c.transmission(p, c.joints()[0])
		least = min(least, math.Abs(80*math.Sin(mu)/(40*math.Sin(crank-t3))))
	}
	near(t, "advantage", res.Outputs[0].Advantage.Value, least, 1e-6)
}

func angleOf(v r2.Vec) (float64, float64, float64) { return math.Atan2(v.Y, v.X), 0, 0 }

// Bad chains are refused by name and number.
func TestChainFaults(t *testing.T) {
	loose := fourBar(40, 120, 80, 100, 0, true)
	loose.Bars = loose.Bars[:1]
	held := fourBar(40, 120, 80, 100, 0, true)
	held.Pins = append(held.Pins, mech.Pin{Kind: mech.FixedPin, At: r2.Vec{Y: 150}})
	held.Bars = append(held.Bars, mech.Bar{Pins: [2]int{1, 3}, Length: 90})
	short := fourBar(40, 20, 30, 100, 0, true)
	// Right in number, but one part loose and another held twice.
	both := fourBar(40, 120, 80, 100, 0, true)
	both.Pins = append(both.Pins, mech.Pin{Kind: mech.FixedPin, At: r2.Vec{Y: 150}}, mech.Pin{}, mech.Pin{})
	both.Bars = append(both.Bars, mech.Bar{Pins: [2]int{1, 3}, Length: 90}, mech.Bar{Pins: [2]int{3, 4}, Length: 10},
		mech.Bar{Pins: [2]int{4, 5}, Length: 10}, mech.Bar{Pins: [2]int{5, 3}, Length: 10})
	zero := fourBar(40, 0, 80, 100, 0, true)
	for _, tt := range []struct {
		name   string
		l      mech.Linkage
		status LinkageStatus
		excess int
	}{
		{"loose", loose, LinkageUnder, 1},
		{"held", held, LinkageOver, -1},
		{"short", short, LinkageUnassembled, 0},
		{"both", both, LinkageOver, 0},
		{"zero", zero, LinkageMalformed, 0},
	} {
		res := analyse(chainModel(tt.l))
		if res.Status != tt.status || res.Mobility.Excess() != tt.excess {
			t.Errorf("%s: status %d, excess %d, fault %+v", tt.name, res.Status, res.Mobility.Excess(), res.Fault)
		}
	}
	f := analyse(chainModel(short)).Fault.Misfit
	if f.Pin != 1 || f.Link != [2]int{1, 2} || f.Has != 30 {
		t.Errorf("misfit %+v", f)
	}
	near(t, "needs", f.Needs, 40, 1e-9) // 60 from pin to pin, less 20
}

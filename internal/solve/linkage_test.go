package solve

import (
	"math"
	"math/rand"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/spatial/r2"
)

const degree = math.Pi / 180

// chainModel is a figure of one shaft at the origin, the motor's own, and one
// linkage: crank angles are then phase + motor turn.
func chainModel(l mech.Linkage) *mech.Model {
	return &mech.Model{
		Motor: &mech.Motor{
			Rated: 6, Supply: 6, NoLoad: mech.NoLoad{Speed: 1, Current: 0.05}, Stall: mech.Stall{Torque: 500, Current: 1},
		},
		Shafts:   []mech.Shaft{{Name: "main"}},
		Linkages: []mech.Linkage{l},
	}
}

// fourBar is ground d along +u from the shaft, crank a, coupler b, rocker c;
// the coupler's far pin starts above the line of centres or below it.
func fourBar(a, b, c, d, phase float64, above bool) mech.Linkage {
	y := -b
	if above {
		y = b
	}
	return mech.Linkage{
		Name: "four-bar",
		Pins: []mech.Pin{
			{Name: "A", Kind: mech.CrankPin, Crank: mech.Crank{Radius: a, Phase: phase}},
			{Name: "B", Kind: mech.FreePin, Start: r2.Vec{X: d / 2, Y: y}, StartGiven: true},
			{Name: "C", Kind: mech.FixedPin, At: r2.Vec{X: d}},
		},
		Bars: []mech.Bar{{Pins: [2]int{0, 1}, Length: b}, {Pins: [2]int{1, 2}, Length: c}},
	}
}

func compile(t testing.TB, m *mech.Model) (*Chain, *ChainPose) {
	t.Helper()
	d := SolveDrive(m)
	c, fault := NewChain(m, 0, &d, CompileCams(m, d))
	if c == nil {
		t.Fatalf("chain not compiled: %+v", fault)
	}
	return c, c.NewPose()
}

// near fails when got is not within tol of want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// Norton, Design of Machinery, example 4-1: a 40, b 120, c 80, d 100, crank at
// 40 degrees. Printed: 20.298, 57.325 open; -60.98, -98.01 crossed (from
// memory); digits beyond by the half-angle form of section 4.5 of that book.
func TestFourBarNorton(t *testing.T) {
	for _, tt := range []struct {
		above          bool
		theta3, theta4 float64
	}{
		{true, 20.29788278, 57.32488007},
		{false, -60.97796680, -98.00496408},
	} {
		c, p := compile(t, chainModel(fourBar(40, 120, 80, 100, 40*degree, tt.above)))
		if !c.Solve([]float64{0}, p) {
			t.Fatal("does not close")
		}
		t3, _, _ := p.Link(0, 1)
		t4, _, _ := p.Link(2, 1)
		near(t, "theta3", t3/degree, tt.theta3, 1e-8)
		near(t, "theta4", t4/degree, tt.theta4, 1e-8)
	}
}

// METU open course Mechanisms, section 3.8, example 1: offset slider-crank
// a2 50, a3 250, slide 20 above the crank centre, coupler point 120 at 30
// degrees, crank at 60 degrees. Printed: 174.7 degrees, s 273.9, xC 176.0, yC
// 89.4; further digits recomputed from the closed form of that section.
func TestSliderCrankMETU(t *testing.T) {
	sin, cos := math.Sincos(30 * degree)
	l := mech.Linkage{
		Pins: []mech.Pin{
			{Name: "A", Kind: mech.CrankPin, Crank: mech.Crank{Radius: 50, Phase: 60 * degree}},
			{Name: "B", Kind: mech.SlidePin, At: r2.Vec{Y: 20}, Along: r2.Vec{X: 1}, Start: r2.Vec{X: 300, Y: 20}, StartGiven: true},
		},
		Bars:   []mech.Bar{{Pins: [2]int{0, 1}, Length: 250}},
		Points: []mech.LinkagePoint{{Name: "C", On: [2]int{1, 0}, At: r2.Vec{X: 120 * cos, Y: -120 * sin}}},
	}
	c, p := compile(t, chainModel(l))
	if !c.Solve([]float64{0}, p) {
		t.Fatal("does not close")
	}
	angle, _, _ := p.Link(1, 0)
	near(t, "theta13", angle/degree, 174.65197989, 1e-7)
	near(t, "s14", p.Pins[1].Pos.X, 273.91173297, 1e-7)
	pt := c.Point(p, 0)
	near(t, "xC", pt.Pos.X, 176.03337347, 1e-7)
	near(t, "yC", pt.Pos.Y, 89.42497204, 1e-7)
}

// checkRates compares every pin's velocity and acceleration with finite
// differences of the positions.
func checkRates(t *testing.T, c *Chain, p *ChainPose, at []float64) {
	t.Helper()
	x := make([]float64, len(at))
	for pin := range p.Pins {
		for _, axis := range []func(r2.Vec) float64{func(v r2.Vec) float64 { return v.X }, func(v r2.Vec) float64 { return v.Y }} {
			place := func(turn float64) float64 {
				for i := range x {
					x[i] = at[i] + turn*c.rates[i]
				}
				if !c.Solve(x, p) {
					return math.NaN()
				}
				return axis(p.Pins[pin].Pos)
			}
			first := fd.Derivative(place, 0, &fd.Settings{Formula: fd.Central, Step: 1e-5})
			second := fd.Derivative(place, 0, &fd.Settings{Formula: fd.Central2nd, Step: 3e-4})
			if math.IsNaN(first) || math.IsNaN(second) || !c.Solve(at, p) {
				continue
			}
			v, a := axis(p.Pins[pin].Vel), axis(p.Pins[pin].Acc)
			scale := 1 + r2.Norm(p.Pins[pin].Vel) + r2.Norm(p.Pins[pin].Acc)
			if math.Abs(v-first) > 1e-6*scale*scale || math.Abs(a-second) > 1e-4*scale*scale {
				t.Errorf("pin %d at %v: velocity %g, differences %g; acceleration %g, differences %g", pin, at, v, first, a, second)
			}
		}
	}
}

// residual is how far any bar is from its length, any plate from its shape and
// any slot from its pin, worked out from the linkage alone.
func residual(l *mech.Linkage, pins []PinMotion) float64 {
	worst := 0.0
	for _, b := range l.Bars {
		worst = max(worst, math.Abs(r2.Norm(r2.Sub(pins[b.Pins[0]].Pos, pins[b.Pins[1]].Pos))-b.Length))
	}
	for _, plate := range l.Plates {
		for i, p := range plate.Pins {
			for _, q := range plate.Pins[:i] {
				worst = max(worst, math.Abs(r2.Norm(r2.Sub(pins[p.Pin].Pos, pins[q.Pin].Pos))-r2.Norm(r2.Sub(p.At, q.At))))
			}
		}
	}
	for _, s := range l.Slots {
		d := r2.Sub(pins[s.Line[1]].Pos, pins[s.Line[0]].Pos)
		worst = max(worst, math.Abs(r2.Cross(r2.Unit(d), r2.Sub(pins[s.Pin].Pos, pins[s.Line[0]].Pos))))
	}
	for i, p := range l.Pins {
		if p.Kind == mech.SlidePin {
			worst = max(worst, math.Abs(r2.Cross(p.Along, r2.Sub(pins[i].Pos, p.At))))
		}
	}
	return worst
}

// Every chain that compiles keeps its links' lengths within 1e-10 mm all round,
// and its rates are those of its positions.
func TestRandomChains(t *testing.T) {
	solved, blocks := 0, 0
	kinds := map[stepKind]int{}
	for seed := range int64(400) {
		r := rand.New(rand.NewSource(seed))
		l := randomChain(r)
		m := chainModel(l)
		d := SolveDrive(m)
		c, fault := NewChain(m, 0, &d, nil)
		if c == nil {
			if fault.Status == LinkageOver || fault.Status == LinkageUnder || fault.Status == LinkageMalformed {
				t.Errorf("seed %d: %+v", seed, fault)
			}
			continue
		}
		solved++
		blocks += len(c.blocks)
		for i := range c.steps {
			kinds[c.steps[i].kind]++
		}
		p := c.NewPose()
		for k := range 720 {
			x := []float64{float64(k) * 0.5 * degree}
			if !c.Solve(x, p) {
				continue
			}
			if off := residual(&l, p.Pins); off > 1e-10 {
				t.Errorf("seed %d at %v: a link is off by %g mm", seed, x, off)
				break
			}
			if k%90 == 17 && !nearlySingular(p) {
				checkRates(t, c, p, x)
			}
		}
	}
	for kind := stepPlate; kind <= stepBlock; kind++ {
		if kinds[kind] < 10 {
			t.Errorf("step %d only taken %d times", kind, kinds[kind])
		}
	}
	if solved < 300 || blocks < 30 {
		t.Errorf("only %d chains solved, with %d Newton blocks", solved, blocks)
	}
}

func nearlySingular(p *ChainPose) bool {
	for _, m := range p.Margin {
		if m < 0.05 {
			return true
		}
	}
	return false
}

// The dyads' closed forms agree with Newton on the whole chain at once.
func TestDyadsAgainstNewton(t *testing.T) {
	compared := 0
	for seed := range int64(draws(90)) {
		l := randomChain(rand.New(rand.NewSource(seed)))
		m := chainModel(l)
		d := SolveDrive(m)
		c, _ := NewChain(m, 0, &d, nil)
		n, _ := compileChain(m, 0, &d, nil, true)
		if c == nil || n == nil {
			continue
		}
		p, q := c.NewPose(), n.NewPose()
		same := true
		for i := range c.home {
			same = same && r2.Norm(r2.Sub(c.home[i].Pos, n.home[i].Pos)) < 1e-6
		}
		if !same { // put together the other way from a start on the line
			continue
		}
		locked := false
		for k := 0; k < 360 && !locked; k++ {
			x := []float64{float64(k) * degree}
			locked = !c.Solve(x, p) || nearlySingular(p) || !n.Solve(x, q)
			for i := range p.Pins {
				if locked {
					break
				}
				if off := r2.Norm(r2.Sub(p.Pins[i].Pos, q.Pins[i].Pos)); off > 1e-8 {
					t.Fatalf("seed %d pin %d at %v: closed form and Newton differ by %g mm", seed, i, x, off)
				}
				scale := 1 + r2.Norm(p.Pins[i].Acc)
				if off := r2.Norm(r2.Sub(p.Pins[i].Acc, q.Pins[i].Acc)); off > 1e-6*scale {
					t.Fatalf("seed %d pin %d at %v: accelerations differ by %g", seed, i, x, off)
				}
				compared++
			}
		}
	}
	if compared < 8000 {
		t.Errorf("only %d pins compared", compared)
	}
}

// stephenson is a Stephenson six-bar whose crank drives the five-bar loop, so
// that it does not fall apart into dyads: a plate on the crank pin, a plate on
// the ground, and two rods between them.
func stephenson() mech.Linkage {
	at := []r2.Vec{{X: 12}, {X: 20, Y: 70}, {X: -20, Y: 60}, {X: 110, Y: 20}, {X: 90, Y: 85}, {X: 70, Y: 45}}
	l := mech.Linkage{Pins: []mech.Pin{
		{Name: "A", Kind: mech.CrankPin, Crank: mech.Crank{Radius: 12}},
		{Name: "C", Start: at[1], StartGiven: true},
		{Name: "D", Start: at[2], StartGiven: true},
		{Name: "O", Kind: mech.FixedPin, At: at[3]},
		{Name: "E", Start: at[4], StartGiven: true},
		{Name: "F", Start: at[5], StartGiven: true},
	}}
	bar := func(p, q int) {
		l.Bars = append(l.Bars, mech.Bar{Pins: [2]int{p, q}, Length: r2.Norm(r2.Sub(at[p], at[q]))})
	}
	plate := func(pins ...int) {
		p := mech.Plate{}
		for _, i := range pins {
			p.Pins = append(p.Pins, mech.PlatePin{Pin: i, At: at[i]})
		}
		l.Plates = append(l.Plates, p)
	}
	plate(0, 1, 2)
	plate(3, 4, 5)
	bar(1, 4)
	bar(2, 5)
	return l
}

func TestStephensonBlock(t *testing.T) {
	l := stephenson()
	c, p := compile(t, chainModel(l))
	if len(c.blocks) != 1 || len(c.blocks[0].rows) != 4 || !c.blocks[0].returns {
		t.Fatalf("want one block of four equations that closes: %d blocks, %d equations", len(c.blocks), len(c.blocks[0].rows))
	}
	for k := range 3600 {
		x := []float64{float64(k) * 0.1 * degree}
		if !c.Solve(x, p) {
			t.Fatalf("locks at %v", x)
		}
		if off := residual(&l, p.Pins); off > 1e-10 {
			t.Fatalf("off by %g mm at %v", off, x)
		}
		if k%300 == 0 {
			checkRates(t, c, p, x)
		}
	}
}

// A block pushed by a cam that drops goes over the drop on its own branch.
func TestBlockOverDrop(t *testing.T) {
	l := stephenson()
	l.Pins[0] = mech.Pin{Name: "A", Kind: mech.FollowerPin, At: r2.Vec{X: 12}, Along: r2.Vec{Y: 1}}
	m := chainModel(l)
	m.Cams = []mech.Cam{{
		Name: "push", Base: 30,
		Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
			{Rise: 14, Over: 200 * degree, Law: mech.Cycloidal}, {Rise: -9}, {Over: 60 * degree}, {Rise: -5, Over: 100 * degree, Law: mech.Harmonic},
		}},
		Follower: &mech.Follower{Kind: mech.Knife},
	}}
	c, p := compile(t, m)
	if len(c.blocks) != 1 || !c.blocks[0].returns {
		t.Fatalf("%d blocks, or it does not come back", len(c.blocks))
	}
	dwell := make([]PinMotion, len(p.Pins))
	for k := range 3600 {
		deg := float64(k) * 0.1
		if !c.Solve([]float64{deg * degree}, p) {
			t.Fatalf("locks at %g", deg)
		}
		if off := residual(&l, p.Pins); off > 1e-10 {
			t.Fatalf("off by %g mm at %g", off, deg)
		}
		switch {
		case k == 2100:
			copy(dwell, p.Pins)
		case k > 2100 && k < 2600: // the follower stands, so must the chain
			for i := range p.Pins {
				if d := r2.Norm(r2.Sub(p.Pins[i].Pos, dwell[i].Pos)); d > 1e-9 {
					t.Fatalf("pin %d moves by %g in the dwell at %g", i, d, deg)
				}
			}
		}
	}
	res := analyse(m)
	if res.Locks != nil || res.Otherwise {
		t.Errorf("locks %+v, otherwise %v", res.Locks, res.Otherwise)
	}
}

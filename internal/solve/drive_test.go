package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/mech"
)

// chain builds a figure whose shaft 0 is the motor's and whose every shaft
// carries a cam that a linkage follows, so that all matter.
func chain(shafts int, gears ...mech.Gear) *mech.Model {
	m := &mech.Model{Motor: &mech.Motor{}, Gears: gears}
	l := mech.Linkage{}
	for i := range shafts {
		m.Shafts = append(m.Shafts, mech.Shaft{})
		m.Cams = append(m.Cams, mech.Cam{Shaft: i})
		l.Pins = append(l.Pins, mech.Pin{Kind: mech.FollowerPin, Cam: i})
	}
	m.Linkages = []mech.Linkage{l}
	return m
}

func gear(kind mech.GearKind, driver, driverTeeth, driven, drivenTeeth int) mech.Gear {
	return mech.Gear{Kind: kind, Driver: mech.GearWheel{Shaft: driver, Teeth: driverTeeth}, Driven: mech.GearWheel{Shaft: driven, Teeth: drivenTeeth}}
}

func TestRatios(t *testing.T) {
	crown := gear(mech.Crown, 0, 8, 1, 24)
	worm := gear(mech.Worm, 0, 1, 1, 60)
	worm.Opposite = true
	tests := []struct {
		name  string
		model *mech.Model
		want  []string
	}{
		// Khurmi & Gupta, Theory of Machines, Ex. 13.1: 975 rpm through 20/50,
		// 25/75, 26/65 gives 52 rpm.
		{"compound train", chain(4, gear(mech.Spur, 0, 20, 1, 50), gear(mech.Spur, 1, 25, 2, 75), gear(mech.Spur, 2, 26, 3, 65)),
			[]string{"1", "-2/5", "2/15", "-4/75"}},
		// Wentzell, Machine Design, Ex. 13.4: one start on 60 teeth, ratio 60.
		{"worm", chain(2, worm), []string{"1", "-1/60"}},
		{"crown", chain(2, crown), []string{"1", "1/3"}},
		{"internal", chain(2, gear(mech.Internal, 0, 20, 1, 60)), []string{"1", "1/3"}},
		{"reached from the driven side", chain(2, gear(mech.Spur, 1, 20, 0, 60)), []string{"1", "-3"}},
		{"undriven", chain(2), []string{"1", "0"}},
	}
	for _, tt := range tests {
		d := SolveDrive(tt.model)
		for i, want := range tt.want {
			if got := d.Ratios[i].String(); got != want {
				t.Errorf("%s: shaft %d has ratio %s, want %s", tt.name, i, got, want)
			}
		}
	}
	if out := 975 * SolveDrive(tests[0].model).Ratios[3].Float(); math.Abs(math.Abs(out)-52) > 1e-12 {
		t.Errorf("Khurmi Ex. 13.1: %g rpm, want 52", out)
	}
}

func TestBeltSenses(t *testing.T) {
	m := chain(4)
	m.Belts = []mech.Belt{{Run: []mech.Pulley{
		{Shaft: 0, Teeth: 18},
		{Shaft: 1, Teeth: 40},
		{Shaft: 2, Teeth: 12, Back: true},
		{Shaft: 3, Diameter: 10}, // a smooth pulley may slip and drives nothing
	}}}
	d := SolveDrive(m)
	for i, want := range []string{"1", "9/20", "-3/2", "0"} {
		if got := d.Ratios[i].String(); got != want {
			t.Errorf("shaft %d has ratio %s, want %s", i, got, want)
		}
	}
	m.Motor.Sense = mech.Clockwise
	for i, want := range []float64{-1, -1, 1, 0} {
		if got := d.Sign(m, i); got != want {
			t.Errorf("shaft %d turns %g, want %g", i, got, want)
		}
	}
}

func TestDriveLocks(t *testing.T) {
	// 20:40 directly, against 20:30 and 30:45 round the other way: -1/2 and 4/9.
	m := chain(3, gear(mech.Spur, 0, 20, 2, 40), gear(mech.Spur, 0, 20, 1, 30), gear(mech.Spur, 1, 30, 2, 45))
	d := SolveDrive(m)
	if len(d.Conflicts) != 1 {
		t.Fatalf("%d conflicts, want 1", len(d.Conflicts))
	}
	// The walk reaches shaft 2 by gear 0, so gear 2 is passed from shaft 2 or 1
	// and disagrees about one of its ends.
	c := d.Conflicts[0]
	if c.Via != (Part{GearPart, 2}) || c.Ratio.String() == c.Second {
		t.Errorf("conflict %+v", c)
	}
	if SolveRepeat(m, &d, 0.1).Status != RepeatUnknown {
		t.Error("a locked drive has a repeat")
	}
	// The same turning brought round twice is no conflict.
	m = chain(3, gear(mech.Spur, 0, 20, 1, 40), gear(mech.Spur, 1, 40, 2, 20), gear(mech.Internal, 0, 10, 2, 10))
	if d := SolveDrive(m); d.Locks() {
		t.Errorf("agreeing paths lock: %+v", d.Conflicts)
	}
}

func TestRatioOverflow(t *testing.T) {
	var gears []mech.Gear
	for i := range 20 {
		gears = append(gears, gear(mech.Internal, i, 7, i+1, 1009))
	}
	m := chain(21, gears...)
	d := SolveDrive(m)
	if len(d.Overflows) == 0 || d.Ratios[20].Driven() {
		t.Fatalf("7/1009 to the 20th fits 64 bits: %v", d.Ratios[20])
	}
	if got := SolveRepeat(m, &d, 0.1).Status; got != RepeatUnknown {
		t.Errorf("status %v, want RepeatUnknown", got)
	}
}

func TestRepeat(t *testing.T) {
	tests := []struct {
		name  string
		gears []mech.Gear
		want  string
		turns []float64
	}{
		// Hunting tooth, 20:31 and 20:37: 31·37 = 1147 turns, in which the driven
		// shafts turn 740 and 620 times.
		{"1147", []mech.Gear{gear(mech.Internal, 0, 20, 1, 31), gear(mech.Internal, 0, 20, 2, 37)}, "1147", []float64{1147, 740, 620}},
		// Gleason, Gear Technology Solutions p. 96: as many turns of the gear as
		// the pinion has teeth when the counts are coprime.
		{"11 on 30", []mech.Gear{gear(mech.Spur, 0, 30, 1, 11)}, "11", []float64{11, 30}},
		{"same", []mech.Gear{gear(mech.Spur, 0, 30, 1, 30)}, "1", []float64{1, 1}},
	}
	for _, tt := range tests {
		m := chain(len(tt.turns), tt.gears...)
		d := SolveDrive(m)
		r := SolveRepeat(m, &d, 0.1)
		if r.Exact != tt.want {
			t.Errorf("%s: repeats after %s, want %s", tt.name, r.Exact, tt.want)
		}
		for i, want := range tt.turns {
			if r.ShaftTurns[i] != want {
				t.Errorf("%s: shaft %d turns %g times, want %g", tt.name, i, r.ShaftTurns[i], want)
			}
		}
	}
}

func TestRepeatOfFractionAndBound(t *testing.T) {
	// Only the geared-up shaft matters: home every third of a motor turn.
	m := chain(2, gear(mech.Crown, 0, 45, 1, 15))
	m.Linkages[0].Pins = m.Linkages[0].Pins[1:]
	d := SolveDrive(m)
	r := SolveRepeat(m, &d, 0.1)
	if r.Exact != "1/3" || r.ShaftTurns[0] != 1.0/3 || r.ShaftTurns[1] != 1 || r.Matters[0] || r.Bound {
		t.Errorf("%+v", r)
	}
	// 10 007 is prime, so the repeat is 10 007 turns: too many to follow.
	m = chain(2, gear(mech.Spur, 0, 10, 1, 10007))
	d = SolveDrive(m)
	if r := SolveRepeat(m, &d, 0.1); !r.Bound || r.Exact != "10007" {
		t.Errorf("%+v", r)
	}
	// Many coprime pairs: far past 64 bits, and still exact.
	var gears []mech.Gear
	for i, z := range []int{97, 101, 103, 107, 109, 113, 127, 131, 137, 139, 149, 151} {
		gears = append(gears, gear(mech.Spur, 0, 64, i+1, z))
	}
	m = chain(13, gears...)
	d = SolveDrive(m)
	if r := SolveRepeat(m, &d, 0.1); r.Exact != "9479657609748124900768561" || !r.Bound {
		t.Errorf("repeats after %s", r.Exact)
	}
}

// TestNearRepeatExample: with 20:31 and 20:37, 124 whole turns of the first
// shaft leave the third 9.72972973° from home and the others exactly there
// (worked by hand in whole turns). Between whole turns the worst is less: the
// Vs of shafts 1 and 3 cross at (124+67)/(1+20/37) turns.
func TestNearRepeatExample(t *testing.T) {
	m := chain(3, gear(mech.Internal, 0, 20, 1, 31), gear(mech.Internal, 0, 20, 2, 37))
	d := SolveDrive(m)
	if at := worstFromHome(d.Ratios, 124); math.Abs(at*360-9.72972973) > 1e-8 {
		t.Errorf("124 turns leave %g° to go, want 9.72972973°", at*360)
	}
	r := SolveRepeat(m, &d, 7*math.Pi/180)
	if math.Abs(r.Near.Turns-191/(1+20.0/37)) > 1e-9 || r.Near.Status != NearFound {
		t.Errorf("near repeat %+v", r.Near)
	}
	if want := worstFromHome(d.Ratios, r.Near.Turns) * 2 * math.Pi; math.Abs(r.Near.Worst-want) > 1e-9 {
		t.Errorf("worst %g, want %g", r.Near.Worst, want)
	}
}

// worstFromHome returns how far from home the worst shaft is, in turns.
func worstFromHome(ratios []Ratio, turns float64) float64 {
	worst := 0.0
	for _, r := range ratios {
		at := r.Turn(turns)
		worst = max(worst, min(at, 1-at))
	}
	return worst
}

// TestNearRepeatByWalking walks small figures in steps far finer than a stretch
// near home is long and must meet the same first near repeat.
func TestNearRepeatByWalking(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	found := 0
	for range draws(200) {
		k := 2 + rng.IntN(2)
		var gears []mech.Gear
		for i := range k {
			gears = append(gears, gear(mech.Internal, 0, 5+rng.IntN(20), i+1, 5+rng.IntN(20)))
		}
		m := chain(k+1, gears...)
		d := SolveDrive(m)
		limit := (2 + 20*rng.Float64()) * math.Pi / 180
		r := SolveRepeat(m, &d, limit)
		if r.Turns > 400 {
			continue
		}
		slowest, fastest := math.Inf(1), 0.0
		for _, ratio := range d.Ratios {
			slowest, fastest = min(slowest, ratio.Float()), max(fastest, ratio.Float())
		}
		step := limit / (2 * math.Pi) / fastest / 16
		near, ok := 0.0, false
		for at := 1 / slowest; at < r.Turns; at += step {
			if worstFromHome(d.Ratios, at) <= limit/(2*math.Pi) {
				near, ok = at, true
				break
			}
		}
		if ok { // downhill to the local least
			for h := step; h > 1e-13; h /= 2 {
				for _, dir := range []float64{-1, 1} {
					for worstFromHome(d.Ratios, near+dir*h) < worstFromHome(d.Ratios, near) {
						near += dir * h
					}
				}
			}
			ok = worstFromHome(d.Ratios, near) > 1e-9
		}
		got := r.Near
		// A stretch that only just touches the limit can fall between two steps.
		if got.Status == NearFound && (!ok || near > got.Turns+1e-6) && limit-got.Worst < limit/4 {
			continue
		}
		if ok != (got.Status == NearFound) || ok && math.Abs(near-got.Turns) > 1e-7 {
			t.Errorf("ratios %v limit %g: near repeat %+v, walking found %v at %g", d.Ratios, limit, got, ok, near)
		}
		if ok {
			found++
		}
	}
	if !testing.Short() && found < 30 {
		t.Errorf("only %d figures had a near repeat", found)
	}
}

func TestNearRepeatHuge(t *testing.T) {
	// Seven coprime pairs repeat after some 10^14 turns; the search must end.
	var gears []mech.Gear
	for i, z := range []int{97, 101, 103, 107, 109, 113, 127} {
		gears = append(gears, gear(mech.Spur, 0, 64, i+1, z))
	}
	m := chain(8, gears...)
	d := SolveDrive(m)
	r := SolveRepeat(m, &d, 1e-6)
	if r.Near.Status != NearSearchEnded || !(r.Near.Searched > 1000) {
		t.Errorf("%+v", r.Near)
	}
}

// TestReturns: stepping by the three returns meets every count that a walk one
// by one does.
func TestReturns(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 9))
	for range 200 {
		rho := 1 + 3*rng.Float64()
		if rng.IntN(2) == 0 { // ratios of sprockets, which come exactly round
			rho = float64(20+rng.IntN(40)) / float64(10+rng.IntN(10))
		}
		w := 0.3 * rng.Float64() * rng.Float64()
		r := newReturns(rho, w)
		next, visits := r.after(0), 0
		for n := int64(1); n < 20000; n++ {
			if next < n {
				t.Fatalf("rho %g w %g: step back to %d", rho, w, next)
			}
			if next == n {
				next = r.after(n)
				visits++
			} else if x := float64(n) * rho; math.Abs(x-math.Round(x)) <= w {
				t.Fatalf("rho %g w %g: %d is skipped", rho, w, n)
			}
		}
		if r.w < 0.1 && rho != math.Trunc(rho) && visits > 10000 {
			t.Errorf("rho %g w %g: %d of 20000 counts visited", rho, w, visits)
		}
	}
}

func BenchmarkNearRepeatSixShafts(b *testing.B) {
	var gears []mech.Gear
	for i, z := range []int{97, 101, 103, 107, 109} {
		gears = append(gears, gear(mech.Spur, 0, 64, i+1, z))
	}
	m := chain(6, gears...)
	d := SolveDrive(m)
	b.ReportAllocs()
	for b.Loop() {
		SolveRepeat(m, &d, 10*math.Pi/180)
	}
}

func BenchmarkRepeat(b *testing.B) {
	m := chain(4, gear(mech.Internal, 0, 18, 1, 40), gear(mech.Internal, 0, 18, 2, 43), gear(mech.Crown, 0, 45, 3, 15))
	b.ReportAllocs()
	for b.Loop() {
		d := SolveDrive(m)
		SolveRepeat(m, &d, 10*math.Pi/180)
	}
}

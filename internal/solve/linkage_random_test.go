package solve

import (
	"math"
	"math/rand"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// garbageChain is pins and links thrown together, sound as a spec but not
// meant to go together.
func garbageChain(r *rand.Rand) mech.Linkage {
	spot := func() r2.Vec { return r2.Vec{X: 100 * (r.Float64() - 0.5), Y: 100 * (r.Float64() - 0.5)} }
	l := mech.Linkage{}
	n := 2 + r.Intn(6)
	for range n {
		p := mech.Pin{Kind: mech.PinKind(r.Intn(4)), At: spot(), Along: r2.Unit(spot()), Start: spot(), StartGiven: r.Intn(3) > 0}
		p.Crank = mech.Crank{Shaft: r.Intn(2), Radius: 20 * r.Float64(), Phase: 7 * r.Float64()}
		l.Pins = append(l.Pins, p)
	}
	two := func() [2]int {
		i := r.Intn(n)
		return [2]int{i, (i + 1 + r.Intn(n-1)) % n}
	}
	for range r.Intn(6) {
		l.Bars = append(l.Bars, mech.Bar{Pins: two(), Length: 5 + 80*r.Float64()})
	}
	for range r.Intn(2) {
		plate := mech.Plate{}
		for _, pin := range r.Perm(n)[:min(n, 3)] {
			plate.Pins = append(plate.Pins, mech.PlatePin{Pin: pin, At: spot()})
		}
		l.Plates = append(l.Plates, plate)
	}
	if len(l.Bars) > 0 && r.Intn(2) == 0 {
		l.Slots = append(l.Slots, mech.Slot{Pin: r.Intn(n), Line: l.Bars[0].Pins})
		l.Points = append(l.Points, mech.LinkagePoint{Name: "p", On: l.Bars[0].Pins, At: spot()})
	}
	return l
}

// Whatever is written down, the answer is a number or a reason.
func TestGarbageChains(t *testing.T) {
	solved := map[LinkageStatus]int{}
	for seed := range int64(4000) {
		r := rand.New(rand.NewSource(seed))
		m := chainModel(garbageChain(r))
		m.Shafts = append(m.Shafts, mech.Shaft{Name: "second", At: r2.Vec{X: 30}})
		m.Gears = []mech.Gear{{Kind: mech.Spur, Driver: mech.GearWheel{Shaft: 0, Teeth: 12}, Driven: mech.GearWheel{Shaft: 1, Teeth: 30}}}
		res := analyse(m)
		solved[res.Status]++
		finite := func(what string, list ...float64) {
			for _, v := range list {
				if v-v != 0 {
					t.Errorf("seed %d: %s is %g", seed, what, v)
				}
			}
		}
		finite("misfit", res.Fault.Misfit.Has, res.Fault.Misfit.Needs)
		for _, p := range res.Points {
			finite("point", p.X.Min.Value, p.X.Max.Value, p.Z.Min.Value, p.Y.Max.Value, p.Speed.Max.Value, p.Acceleration.Max.Value, p.Path.Value)
		}
		finite("transmission", res.Transmission.Min.Value, res.Transmission.Max.Value)
		for _, o := range res.Outputs {
			finite("output", o.Swings, o.TimeRatio.Value, o.Advantage.Value)
		}
		if res.Locks != nil {
			finite("lock", res.Locks.At, res.Locks.Over, res.Locks.Turn, res.Locks.Misfit.Needs)
		}
	}
	for _, status := range [...]LinkageStatus{LinkageSolved, LinkageOver, LinkageUnder, LinkageMalformed, LinkageUnassembled, LinkageLocks} {
		if solved[status] < 5 {
			t.Errorf("status %d only met %d times", status, solved[status])
		}
	}
}

// The count by links and pairs is the count by coordinates: two unknowns to a
// free pin, one to a sliding one; one equation to a bar or slot, 2k−3 to a plate
// of k pins. Where neither is off, the two ways of counting agree pin by pin.
func TestMobilityByCoordinates(t *testing.T) {
	for seed := range int64(2000) {
		m := chainModel(garbageChain(rand.New(rand.NewSource(seed))))
		l := &m.Linkages[0]
		count := 0
		for _, p := range l.Pins {
			switch p.Kind {
			case mech.FreePin:
				count += 2
			case mech.SlidePin:
				count++
			}
		}
		count -= len(l.Bars) + len(l.Slots)
		for _, p := range l.Plates {
			count -= 2*len(p.Pins) - 3
		}
		if got := countMobility(m, l).Excess(); got != count {
			t.Errorf("seed %d: excess %d by links and pairs, %d by coordinates", seed, got, count)
		}
	}
}

// The extremes reported are never passed by a dense sampling and come within
// 1e-6 of it.
func TestLinkageExtremes(t *testing.T) {
	checked := 0
	for seed := range int64(draws(80)) {
		r := rand.New(rand.NewSource(seed))
		l := randomChain(r)
		if len(l.Bars) == 0 {
			continue
		}
		l.Points = []mech.LinkagePoint{{Name: "p", On: l.Bars[len(l.Bars)-1].Pins, At: r2.Vec{X: 30 * r.Float64(), Y: 30 * r.Float64()}}}
		m := chainModel(l)
		res := analyse(m)
		if res.Chain == nil {
			continue
		}
		checked++
		c, p := res.Chain, res.Chain.NewPose()
		low, high, fast := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}, 0.0
		from, to := 0.0, 2*math.Pi
		if res.Locks != nil {
			from, to = res.Locks.Turn-res.Locks.Over, res.Locks.Turn
		}
		const n = 20000
		for k := range n + 1 {
			if !c.Solve([]float64{from + (to-from)*float64(k)/n}, p) {
				continue
			}
			pt := c.Point(p, 0)
			low = r2.Vec{X: min(low.X, pt.Pos.X), Y: min(low.Y, pt.Pos.Y)}
			high = r2.Vec{X: max(high.X, pt.Pos.X), Y: max(high.Y, pt.Pos.Y)}
			fast = max(fast, r2.Norm(pt.Vel))
		}
		got := res.Points[0]
		const slack = 1e-4 // of the sampling itself: 20000 places miss a smooth top by up to acceleration·(π/20000)²/2
		for _, e := range [...]struct {
			what         string
			got, sampled float64
		}{
			{"x least", -got.X.Min.Value, -low.X}, {"x greatest", got.X.Max.Value, high.X},
			{"y least", -got.Y.Min.Value, -low.Y}, {"y greatest", got.Y.Max.Value, high.Y},
		} {
			// Right at a lock a chain moves without bound, and samples fall short.
			if e.got < e.sampled-1e-6 || res.Locks == nil && e.got > e.sampled+slack*(1+math.Abs(e.sampled)) {
				t.Errorf("seed %d: %s %.9g, sampled %.9g (locks %v)", seed, e.what, e.got, e.sampled, res.Locks != nil)
			}
		}
		tame := res.Transmission.Valid && min(res.Transmission.Min.Value, math.Pi-res.Transmission.Max.Value) > 5*degree
		if got.Speed.Valid && (got.Speed.Max.Value < fast*(1-1e-7) || tame && got.Speed.Max.Value > fast*1.001) {
			t.Errorf("seed %d: speed %.9g, sampled %.9g", seed, got.Speed.Max.Value, fast)
		}
	}
	if !testing.Short() && checked < 50 {
		t.Errorf("only %d chains checked", checked)
	}
}

// twoCranks is a five-bar: two cranks on shafts of unequal speed, two rods, and
// a point on the coupler.
func twoCranks() *mech.Model {
	m := chainModel(mech.Linkage{
		Name: "pair",
		Pins: []mech.Pin{
			{Name: "A", Kind: mech.CrankPin, Crank: mech.Crank{Shaft: 0, Radius: 10}},
			{Name: "B", Kind: mech.CrankPin, Crank: mech.Crank{Shaft: 1, Radius: 14, Phase: 1}},
			{Name: "C", Start: r2.Vec{X: 30, Y: 60}, StartGiven: true},
		},
		Bars:   []mech.Bar{{Pins: [2]int{0, 2}, Length: 60}, {Pins: [2]int{2, 1}, Length: 55}},
		Points: []mech.LinkagePoint{{Name: "p", On: [2]int{0, 2}, At: r2.Vec{X: 90, Y: 5}}},
	})
	m.Shafts = append(m.Shafts, mech.Shaft{Name: "second", At: r2.Vec{X: 60}})
	m.Gears = []mech.Gear{{Kind: mech.Spur, Driver: mech.GearWheel{Shaft: 0, Teeth: 17}, Driven: mech.GearWheel{Shaft: 1, Teeth: 23}}}
	return m
}

// A chain of several shafts: rates by differences along the path, extremes over
// the repeat against sampling, and the count of two driven inputs.
func TestTwoInputs(t *testing.T) {
	m := twoCranks()
	res := analyse(m)
	if res.Status != LinkageSolved || res.Mobility.Count() != 2 || res.Mobility.Driven != 2 {
		t.Fatalf("status %d, mobility %+v", res.Status, res.Mobility)
	}
	c, p := res.Chain, res.Chain.NewPose()
	for k := range 50 {
		checkRates(t, c, p, []float64{float64(k) * 1.7, float64(k) * 2.3})
	}
	low, high := math.Inf(1), math.Inf(-1)
	const n = 400000
	for k := range n {
		turns := 23 * float64(k) / n
		c.Solve([]float64{2 * math.Pi * turns, 2 * math.Pi * turns * 17 / 23}, p)
		v := c.Point(p, 0).Pos.Y
		low, high = min(low, v), max(high, v)
	}
	near(t, "y least", res.Points[0].Y.Min.Value, low, 1e-5)
	near(t, "y greatest", res.Points[0].Y.Max.Value, high, 1e-5)
	if res.Points[0].Y.Min.Value > low || res.Points[0].Y.Max.Value < high {
		t.Errorf("sampling passes the extremes: %v, %g to %g", res.Points[0].Y, low, high)
	}
	if !res.Points[0].Path.OK || res.Points[0].Path.Value < 23*2*math.Pi*5 {
		t.Errorf("path %v", res.Points[0].Path)
	}
}

// Two cranks whose rods reach each other but for a few of the angles they come
// to together: found on a short repeat by following it, and on a long one over
// all angles. The pins are farthest apart, 60 + 10 + 14, with one crank out and
// the other away: at the first crank's 180° and the second's 0°.
func TestTwoInputsLock(t *testing.T) {
	for _, teeth := range [...][2]int{{17, 23}, {997, 1009}} {
		for _, rods := range [...]struct {
			reach float64
			locks bool
		}{{83.9, true}, {84.1, false}} {
			m := twoCranks()
			m.Linkages[0].Bars[0].Length, m.Linkages[0].Bars[1].Length = rods.reach/2, rods.reach/2
			m.Linkages[0].Pins[0].Crank.Phase, m.Linkages[0].Pins[1].Crank.Phase = 0, 180*degree
			m.Gears[0].Driver.Teeth, m.Gears[0].Driven.Teeth = teeth[0], teeth[1]
			res := analyse(m)
			// The path of few turns may miss the very corner where they lock.
			if teeth[0] > 100 && (res.Locks != nil) != rods.locks {
				t.Errorf("%v teeth, reach %g: locks %+v", teeth, rods.reach, res.Locks)
			}
			if res.Locks == nil {
				continue
			}
			if !rods.locks {
				t.Errorf("%v teeth, reach %g: locks at turn %g", teeth, rods.reach, res.Locks.MotorTurns)
			}
			x := 2 * math.Pi * res.Locks.MotorTurns
			sin, cos := math.Sincos(x)
			sin2, cos2 := math.Sincos(-x*float64(teeth[0])/float64(teeth[1]) + 180*degree)
			apart := math.Hypot(60+14*cos2-10*cos, 14*sin2-10*sin)
			if apart < rods.reach-1e-6 {
				t.Errorf("%v teeth: said to lock at turn %g with the pins %g apart", teeth, res.Locks.MotorTurns, apart)
			}
			if res.Points[0].Speed.Valid {
				t.Error("a speed is given though it locks")
			}
		}
	}
}

// The same through Newton, whatever order the poses are asked for in.
func TestTwoInputsNewton(t *testing.T) {
	m := twoCranks()
	d := SolveDrive(m)
	c, _ := NewChain(m, 0, &d, nil)
	n, fault := compileChain(m, 0, &d, nil, true)
	if n == nil {
		t.Fatalf("%+v", fault)
	}
	p, q := c.NewPose(), n.NewPose()
	r := rand.New(rand.NewSource(1))
	for range 2000 {
		x := []float64{2 * math.Pi * r.Float64(), 2 * math.Pi * r.Float64()}
		if !c.Solve(x, p) || !n.Solve(x, q) {
			t.Fatalf("locks at %v", x)
		}
		for i := range p.Pins {
			if off := r2.Norm(r2.Sub(p.Pins[i].Pos, q.Pins[i].Pos)); off > 1e-9 {
				t.Fatalf("pin %d off by %g at %v", i, off, x)
			}
			if off := r2.Norm(r2.Sub(p.Pins[i].Acc, q.Pins[i].Acc)); off > 1e-6 {
				t.Fatalf("pin %d acceleration off by %g at %v", i, off, x)
			}
		}
	}
}

// Mirrored left to right, a chain does the mirrored thing; ten times as large,
// ten times as much.
func TestLinkageMirrorAndScale(t *testing.T) {
	for seed := range int64(draws(60)) {
		l := randomChain(rand.New(rand.NewSource(seed)))
		plain := analyse(chainModel(l))
		if plain.Chain == nil {
			continue
		}
		flip := func(v r2.Vec) r2.Vec { return r2.Vec{X: -v.X, Y: v.Y} }
		big := func(v r2.Vec) r2.Vec { return r2.Scale(10, v) }
		for _, tt := range []struct {
			name  string
			place func(r2.Vec) r2.Vec
			size  float64
			sense mech.Sense
		}{{"mirrored", flip, 1, mech.Clockwise}, {"scaled", big, 10, mech.CounterClockwise}} {
			changed := changeChain(l, tt.place, tt.size, tt.sense == mech.Clockwise)
			m := chainModel(changed)
			m.Motor.Sense = tt.sense
			got := analyse(m)
			if got.Status != plain.Status {
				t.Errorf("seed %d %s: status %d, was %d", seed, tt.name, got.Status, plain.Status)
				continue
			}
			p, q := plain.Chain.NewPose(), got.Chain.NewPose()
			for k := range 40 {
				x := []float64{float64(k) * 9 * degree}
				if a, b := plain.Chain.Solve(x, p), got.Chain.Solve(x, q); a != b {
					t.Errorf("seed %d %s: reaches %v %v at %v", seed, tt.name, a, b, x)
				} else if a {
					for i := range p.Pins {
						if off := r2.Norm(r2.Sub(tt.place(p.Pins[i].Pos), q.Pins[i].Pos)); off > 1e-7 {
							t.Errorf("seed %d %s: pin %d off by %g at %v", seed, tt.name, i, off, x)
						}
					}
				}
			}
			if plain.Locks != nil {
				near(t, "turn to the lock", got.Locks.Turn, plain.Locks.Turn, 1e-8)
			}
		}
	}
}

// changeChain places every part of a chain anew.
func changeChain(l mech.Linkage, place func(r2.Vec) r2.Vec, size float64, mirrored bool) mech.Linkage {
	out := mech.Linkage{Slots: l.Slots, Points: l.Points}
	for _, p := range l.Pins {
		p.At, p.Start = place(p.At), place(p.Start)
		p.Along = r2.Scale(1/size, place(p.Along))
		p.Crank.Radius *= size
		if mirrored {
			p.Crank.Phase = math.Pi - p.Crank.Phase
		}
		out.Pins = append(out.Pins, p)
	}
	for _, b := range l.Bars {
		b.Length *= size
		out.Bars = append(out.Bars, b)
	}
	for _, plate := range l.Plates {
		moved := mech.Plate{}
		for _, p := range plate.Pins {
			moved.Pins = append(moved.Pins, mech.PlatePin{Pin: p.Pin, At: place(p.At)})
		}
		out.Plates = append(out.Plates, moved)
	}
	return out
}

package solve

import (
	"math"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// fourBarModel is a crank-rocker in front view with heavy links: crank 40,
// coupler 120, rocker 80, ground 100 (Norton, Design of Machinery, example
// 4-1), and a plate of three pins for a coupler.
func fourBarModel() *mech.Model {
	given := func(v float64) mech.Given { return mech.Given{Value: v, OK: true} }
	return &mech.Model{
		Shafts: []mech.Shaft{{Name: "main", View: geom.Front}},
		Linkages: []mech.Linkage{{
			View: geom.Front,
			Pins: []mech.Pin{
				{Name: "hand", Kind: mech.CrankPin, Crank: mech.Crank{Shaft: 0, Radius: 40}},
				{Name: "knee", Kind: mech.FreePin},
				{Name: "heel", Kind: mech.FixedPin, At: r2.Vec{X: 100}},
				{Name: "tip", Kind: mech.FreePin},
			},
			Bars: []mech.Bar{{Pins: [2]int{1, 2}, Length: 80, Mass: given(0.030)}},
			Plates: []mech.Plate{{Mass: given(0.060), Pins: []mech.PlatePin{
				{Pin: 0}, {Pin: 1, At: r2.Vec{X: 120}}, {Pin: 3, At: r2.Vec{X: 50, Y: 40}},
			}}},
			// on the bar beyond the heel, and on the plate as seen from its tip
			Points: []mech.LinkagePoint{
				{Name: "boot", On: [2]int{1, 2}, At: r2.Vec{X: 110, Y: -15}, Mass: given(0.025)},
				{Name: "bell", On: [2]int{3, 0}, At: r2.Vec{X: 10, Y: 20}, Mass: given(0.015)},
			},
			PinDiameter: given(4),
			PinRub:      mech.Rub{Sliding: given(0.2)},
		}},
	}
}

// fourBarPins poses it by the intersection of two circles.
func fourBarPins(crank float64) [4]r2.Vec {
	a := r2.Vec{X: 40 * math.Cos(crank), Y: 40 * math.Sin(crank)}
	d := r2.Sub(r2.Vec{X: 100}, a)
	size := r2.Norm(d)
	x := (size*size + 120*120 - 80*80) / (2 * size)
	h := math.Sqrt(120*120 - x*x)
	b := r2.Add(a, r2.Add(r2.Scale(x/size, d), r2.Scale(h/size, perpendicular(d))))
	k := complexQuotient(r2.Vec{X: 50, Y: 40}, r2.Vec{X: 120})
	return [4]r2.Vec{a, b, {X: 100}, r2.Add(a, turnBy(r2.Sub(b, a), k))}
}

// fourBarMotion adds rates by central differences, good to about 1e-7.
func fourBarMotion(crank float64) []PinMotion {
	const h = 1e-4
	before, here, after := fourBarPins(crank-h), fourBarPins(crank), fourBarPins(crank+h)
	pins := make([]PinMotion, 4)
	for i := range pins {
		pins[i] = PinMotion{
			Pos: here[i],
			Vel: r2.Scale(1/(2*h), r2.Sub(after[i], before[i])),
			Acc: r2.Scale(1/(h*h), r2.Add(before[i], r2.Sub(after[i], r2.Scale(2, here[i])))),
		}
	}
	return pins
}

// fourBarPoints places the two masses by unit vectors along their pins.
func fourBarPoints(p [4]r2.Vec) (boot, bell r2.Vec) {
	place := func(a, b r2.Vec, u, v float64) r2.Vec {
		along := r2.Unit(r2.Sub(b, a))
		return r2.Add(a, r2.Add(r2.Scale(u, along), r2.Scale(v, perpendicular(along))))
	}
	return place(p[1], p[2], 110, -15), place(p[3], p[0], 10, 20)
}

// fourBarEnergy is the height energy of bar, plate and points, N·mm.
func fourBarEnergy(p [4]r2.Vec) float64 {
	boot, bell := fourBarPoints(p)
	return gravity * (0.030*(p[1].Y+p[2].Y)/2 + 0.060*(p[0].Y+p[1].Y+p[3].Y)/3 + 0.025*boot.Y + 0.015*bell.Y)
}

// Virtual work: without friction the crank must be given the change of height
// energy; and the reactions of frame and crank must carry the whole weight.
func TestChainLoadVirtualWork(t *testing.T) {
	m, bare := fourBarModel(), fourBarModel()
	bare.Linkages[0].PinDiameter = mech.Given{}
	rough, smooth := newChainLoad(m, &m.Linkages[0]), newChainLoad(bare, &bare.Linkages[0])
	if !rough.ok {
		t.Fatal("a four-bar must have as many constraints as coordinates")
	}
	const h = 1e-4
	for step := range 36 {
		x := float64(step) * math.Pi / 18
		pins := fourBarMotion(x)
		for _, c := range []*chainLoad{rough, smooth} {
			if c.place(pins); c.solve(0, false) != loadSolved {
				t.Fatalf("no forces at %.0f deg", x*180/math.Pi)
			}
			if weight := r2.Add(c.held[0], c.held[2]); math.Abs(weight.X) > 1e-9 || math.Abs(weight.Y+0.130*gravity) > 1e-9 {
				t.Errorf("at %.0f deg crank and frame carry %v, want the weight", x*180/math.Pi, weight)
			}
		}
		want := (fourBarEnergy(fourBarPins(x+h)) - fourBarEnergy(fourBarPins(x-h))) / (2 * h)
		for what, got := range map[string]float64{"with smooth pins": smooth.work(0), "but for friction": rough.free[0]} {
			if math.Abs(got-want) > 1e-5 {
				t.Errorf("at %.0f deg %s the crank needs %.8g N·mm, energy says %.8g", x*180/math.Pi, what, got, want)
			}
		}
		lost := rough.lost(false)
		if got := rough.work(0) - want; lost <= 0 || math.Abs(got-lost) > 1e-5 {
			t.Errorf("at %.0f deg friction takes %.8g N·mm of the crank, its contacts lose %.8g", x*180/math.Pi, got, lost)
		}
	}
}

// Inertia by virtual work: at constant crank speed the crank must be given the
// change of kinetic energy, here by differences of it.
func TestChainLoadInertia(t *testing.T) {
	m := fourBarModel()
	m.Linkages[0].PinDiameter = mech.Given{}
	c := newChainLoad(m, &m.Linkages[0])
	const speed, h = 20.0, 1e-3 // rad/s
	kinetic := func(x float64) float64 {
		p := fourBarMotion(x)
		half := func(mass float64, v r2.Vec) float64 { return mass / 2 * r2.Dot(v, v) }
		// a uniform rod: m/6 (v1² + v1·v2 + v2²)
		rod := 0.030 / 6 * (r2.Dot(p[1].Vel, p[1].Vel) + r2.Dot(p[1].Vel, p[2].Vel) + r2.Dot(p[2].Vel, p[2].Vel))
		boot0, bell0 := fourBarPoints(fourBarPins(x - h/10))
		boot1, bell1 := fourBarPoints(fourBarPins(x + h/10))
		points := half(0.025, r2.Scale(5/h, r2.Sub(boot1, boot0))) + half(0.015, r2.Scale(5/h, r2.Sub(bell1, bell0)))
		plate := half(0.020, p[0].Vel) + half(0.020, p[1].Vel) + half(0.020, p[3].Vel)
		return (rod + plate + points) * speed * speed / 1000
	}
	for step := range 12 {
		x := float64(step) * math.Pi / 6
		pins := fourBarMotion(x)
		c.place(pins)
		if c.solve(0, false) != loadSolved {
			t.Fatal("no forces")
		}
		still := c.work(0)
		if c.solve(speed, false) != loadSolved {
			t.Fatal("no forces")
		}
		want := (kinetic(x+h) - kinetic(x-h)) / (2 * h)
		if got := c.work(0) - still; math.Abs(got-want) > 1e-4*(1+math.Abs(want)) {
			t.Errorf("at %.0f deg inertia takes %.8g N·mm, energy says %.8g", x*180/math.Pi, got, want)
		}
	}
}

package solve

import (
	"math"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

func testShow(figures ...*mech.Model) *mech.Show {
	show := &mech.Show{Supply: mech.ShowSupply{Voltage: 4.8, Usable: 1}, Duration: 120}
	for _, m := range figures {
		show.Figures = append(show.Figures, mech.Placed{Model: m})
	}
	return show
}

// Battery arithmetic: hours = capacity·usable/current; on two motors without
// loads the current is twice the sheet's 60 mA.
func TestShowBattery(t *testing.T) {
	bare := func() *mech.Model { return &mech.Model{Motor: watchmanMotor(6), Shafts: make([]mech.Shaft, 1)} }
	show := testShow(bare(), bare())
	show.Supply.Capacity, show.Supply.Usable = loadGiven(2.4), 0.75
	show.Supply.Lead = loadGiven(3000)
	r := SolveShow(show)
	motorNear(t, "mean current", r.Mean, 0.12, 1e-12)
	motorNear(t, "hours", r.Hours.Value, 2.4*0.75/0.12, 1e-12)
	// 0.5 mm² copper, 3 m there and back: 2·3·0.017241/0.5 ohm.
	motorNear(t, "drop", r.Drop.Value, 0.206892*0.12, 1e-12)
	// Both start together: 6 V sheet resistance 7.5 ohm each.
	motorNear(t, "starting", r.Start, 2*4.8/7.5, 1e-12)
	// 0.16 A carries 0.12 A at 75 %; a jam draws 0.64 + 0.06 A, more than twice it.
	if r.Fuse != 0.16 || !r.FuseOpens {
		t.Errorf("fuse %g A, opens %v; want 0.16 A that opens", r.Fuse, r.FuseOpens)
	}
}

// With the supply's resistance in series, two motors at rest sag the rail to
// V/(1 + Rs·G); running, it sags by the mean current of all.
func TestShowRail(t *testing.T) {
	bare := func() *mech.Model { return &mech.Model{Motor: watchmanMotor(6), Shafts: make([]mech.Shaft, 1)} }
	show := testShow(bare(), bare())
	show.Supply.Resistance = 0.5
	r := SolveShow(show)
	g := 2 / 7.5
	motorNear(t, "starting", r.Start, 4.8*g/(1+0.5*g), 1e-12)
	motorNear(t, "rail", r.Voltage, 4.8-0.5*0.12, 1e-12)
	motorNear(t, "motor's supply", show.Figures[0].Model.Motor.Supply, r.Voltage, 0)
	show.Figures[1].Start = 5
	r = SolveShow(show)
	second := (4.8 - 0.5*0.06) / (1 + 0.5/7.5) / 7.5
	motorNear(t, "one after the other", r.Start, second+0.06, 1e-12)
}

// What they draw at any instant lies between the mean and the bound, and a
// single figure's own peak is met in its repeat.
func TestShowCurrents(t *testing.T) {
	one := SolveShow(testShow(loadFigure(0.2)))
	if one.Peak.Value > one.Bound*(1+1e-9) || one.Peak.Value <= one.Mean {
		t.Errorf("mean %g, met %g, bound %g A", one.Mean, one.Peak.Value, one.Bound)
	}
	show := testShow(loadFigure(0.2), loadFigure(0.3))
	show.Figures[1].Start = 3.3
	two := SolveShow(show)
	motorNear(t, "bound", two.Bound, two.Figures[0].Peak+two.Figures[1].Peak, 1e-12)
	if two.Peak.Value > two.Bound*(1+1e-9) || two.Peak.Value <= two.Mean {
		t.Errorf("mean %g, met %g, bound %g A", two.Mean, two.Peak.Value, two.Bound)
	}
}

// Two cranks of radius 6 whose centres stand 100 apart come within 100 − 12 of
// each other, less their balls.
func TestShowGap(t *testing.T) {
	figure := func() *mech.Model {
		m := loadFigure(0)
		m.Torso = nil
		m.Linkages[0].Level = loadGiven(-66)
		m.Linkages[0].Points = []mech.LinkagePoint{{Name: "hand", On: [2]int{0, 1}, Radius: 2}}
		return m
	}
	show := testShow(figure(), figure())
	show.Figures[1].At = r2.Vec{X: 100}
	r := SolveShow(show)
	if len(r.Gaps) != 1 {
		t.Fatalf("%d gaps", len(r.Gaps))
	}
	if g := r.Gaps[0]; math.Abs(g.Gap-(100-12-4)) > 1e-6 {
		t.Errorf("gap %.9g mm, want 84", g.Gap)
	}
	// Turned half round about its own origin, the second crank's centre (−10, …)
	// goes to (+10, …): 20 further away, and 132 apart in y.
	show.Figures[1].Turn = math.Pi
	r = SolveShow(show)
	want := math.Hypot(120-12, 132) - 4
	if g := r.Gaps[0]; math.Abs(g.Gap-want) > 1e-6 {
		t.Errorf("turned round: gap %.9g mm, want %.9g", g.Gap, want)
	}
}

func TestPlaceInShow(t *testing.T) {
	tr := &showTraced{placed: &mech.Placed{At: r2.Vec{X: 5, Y: -2}, Turn: math.Pi / 2}}
	if got := tr.place(r3.Vec{X: 3, Y: 1, Z: 7}); r3.Norm(r3.Sub(got, r3.Vec{X: 4, Y: 1, Z: 7})) > 1e-12 {
		t.Errorf("placed at %v, want (4, 1, 7)", got)
	}
}

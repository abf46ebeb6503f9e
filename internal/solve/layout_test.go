package solve

import (
	"math"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

func given(v float64) mech.Given { return mech.Given{Value: v, OK: true} }

// sideBySideFigure has belt "a" along the u axis between two equal sprockets and
// belt "b" to be put somewhere.
func layoutFigure() *mech.Model {
	belt := func(name string, from, to int) mech.Belt {
		return mech.Belt{Name: name, Section: mxl, Width: given(6), Level: given(-60), Teeth: 90,
			Run: []mech.Pulley{{Shaft: from, Teeth: 20}, {Shaft: to, Teeth: 20}}}
	}
	return &mech.Model{
		Shafts: []mech.Shaft{
			{Name: "p", At: r2.Vec{X: 0}}, {Name: "q", At: r2.Vec{X: 70}},
			{Name: "r", At: r2.Vec{X: 0, Y: 40}}, {Name: "s", At: r2.Vec{X: 70, Y: 40}},
		},
		Belts: []mech.Belt{belt("a", 0, 1), belt("b", 2, 3)},
	}
}

// tightestGap returns the smallest gap of a kind for a belt.
func tightestGap(m *mech.Model, belt int, kind GapKind) (Gap, bool) {
	var least Gap
	found := false
	for _, g := range SolveLayout(m, SolveBelts(m)) {
		if g.Belt == belt && g.Kind == kind && (!found || g.Size < least.Size) {
			least, found = g, true
		}
	}
	return least, found
}

const r20 = 20 * 2.032 / (2 * math.Pi)

func TestLayoutSideBySide(t *testing.T) {
	m := layoutFigure()
	// Spans at ±r20 of each axis, 40 apart, half a belt's thickness on each side.
	inside := mxl.ToothHeight + mxl.PitchLine
	g, _ := tightestGap(m, 0, BeltToBelt)
	if want := 40 - 2*r20 - 2*inside; math.Abs(g.Size-want) > 1e-9 || !g.Known {
		t.Errorf("spans %+v, want %g", g, want)
	}
	g, _ = tightestGap(m, 0, PulleyToPulley)
	if want := 40 - 2*(r20+mxl.Back); math.Abs(g.Size-want) > 1e-9 {
		t.Errorf("pulleys %+v, want %g", g, want)
	}
	m.Belts[1].Run[0].Flange = given(18)
	g, _ = tightestGap(m, 0, PulleyToPulley)
	if want := 40 - 9 - (r20 + mxl.Back); math.Abs(g.Size-want) > 1e-9 {
		t.Errorf("pulleys with a flange %+v, want %g", g, want)
	}
	// Below each other they do not meet.
	m.Belts[1].Level = given(-70)
	if g, ok := tightestGap(m, 0, BeltToBelt); ok {
		t.Errorf("belts in two layers meet: %+v", g)
	}
	m.Belts[1].Level = mech.Given{}
	if g, _ := tightestGap(m, 0, BeltToBelt); g.Known {
		t.Errorf("a belt of unknown level is known to meet: %+v", g)
	}
}

func TestLayoutSpansCross(t *testing.T) {
	m := layoutFigure()
	m.Shafts[2].At, m.Shafts[3].At = r2.Vec{X: 35, Y: -40}, r2.Vec{X: 35, Y: 40}
	g, _ := tightestGap(m, 0, BeltToBelt)
	if !(g.Size < -1) {
		t.Errorf("crossing belts: %+v", g)
	}
}

func TestLayoutShafts(t *testing.T) {
	m := layoutFigure()
	m.Belts = m.Belts[:1]
	m.Shafts[2].Diameter, m.Shafts[3].Diameter = given(4), given(4)
	m.Shafts[2].At, m.Shafts[3].At = r2.Vec{X: 30, Y: r20 + 5}, r2.Vec{X: 300, Y: 300}
	g, _ := tightestGap(m, 0, BeltToShaft)
	if want := 5 - mxl.Back - 2; math.Abs(g.Size-want) > 1e-9 || g.Other != "shaft r" {
		t.Errorf("above the belt: %+v, want %g", g, want)
	}
	m.Shafts[2].At.Y = 1 // within the loop, under the upper span
	g, _ = tightestGap(m, 0, BeltToShaft)
	if want := r20 - 1 - mxl.ToothHeight - mxl.PitchLine - 2; math.Abs(g.Size-want) > 1e-9 {
		t.Errorf("within the loop: %+v, want %g", g, want)
	}
	m.Shafts[2].At = r2.Vec{X: 3} // through the sprocket
	if g, _ = tightestGap(m, 0, BeltToShaft); !(g.Size < 0) {
		t.Errorf("through the sprocket: %+v", g)
	}
	m.Shafts[2].From, m.Shafts[2].To = given(-50), given(-20) // ends above the belt
	if g, _ = tightestGap(m, 0, BeltToShaft); g.Other == "shaft r" {
		t.Errorf("a shaft that ends above the belt: %+v", g)
	}
	m.Shafts[2].From, m.Shafts[2].View = mech.Given{}, geom.Front
	if g, _ = tightestGap(m, 0, BeltToShaft); g.Other == "shaft r" {
		t.Errorf("a shaft of another view: %+v", g)
	}
}

func TestLayoutLayersAndHubs(t *testing.T) {
	m := layoutFigure()
	m.Belts[1].Run[0].Shaft = 1 // both belts on shaft q
	m.Belts[1].Level = given(-67)
	g, ok := tightestGap(m, 0, LayerToLayer)
	if !ok || math.Abs(g.Size-1) > 1e-12 || !g.Known {
		t.Errorf("belts 7 apart and 6 wide: %+v", g)
	}
	m.Belts[1].Level = given(-64)
	if g, _ = tightestGap(m, 0, LayerToLayer); math.Abs(g.Size+2) > 1e-12 {
		t.Errorf("belts 4 apart and 6 wide: %+v", g)
	}
	// A hub of the lower belt that reaches up into the layer of the upper one.
	m = layoutFigure()
	m.Belts[1].Level = given(-70)
	m.Belts[1].Run[0].Hub = &mech.Hub{Diameter: 12, Length: 5}
	g, ok = tightestGap(m, 0, BeltToHub)
	if want := 40 - r20 - mxl.Back - 6; !ok || math.Abs(g.Size-want) > 1e-9 {
		t.Errorf("hub: %+v, want %g", g, want)
	}
	m.Belts[1].Run[0].Hub.Below = true
	if g, ok := tightestGap(m, 0, BeltToHub); ok {
		t.Errorf("a hub on the far side: %+v", g)
	}
}

package solve

import (
	"math"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

func TestGearSpacing(t *testing.T) {
	plan := func(x, y float64) mech.Shaft { return mech.Shaft{View: geom.Plan, At: r2.Vec{X: x, Y: y}} }
	front := func(x, z float64) mech.Shaft { return mech.Shaft{View: geom.Front, At: r2.Vec{X: x, Y: z}} }
	side := func(y, z float64) mech.Shaft { return mech.Shaft{View: geom.Side, At: r2.Vec{X: y, Y: z}} }
	tests := []struct {
		name            string
		kind            mech.GearKind
		a, b            mech.Shaft
		z1, z2          int
		module          float64
		status          GearStatus
		needed, spacing float64
	}{
		// m(z1+z2)/2 and m(z2-z1)/2: any gear handbook.
		{"spur", mech.Spur, plan(0, 0), plan(24, 18), 20, 40, 1, GearOK, 30, 30},
		{"internal", mech.Internal, plan(0, 0), plan(0, 10), 20, 40, 1, GearOK, 10, 10},
		// Wentzell, Machine Design, Ex. 13.4 states its worm by diametral pitch;
		// the distance needs the worm's own diameter.
		{"worm", mech.Worm, plan(0, 0), front(0, -30), 1, 60, 1, GearUnknown, 0, 0},
		{"no module", mech.Spur, plan(0, 0), plan(10, 0), 20, 40, 0, GearUnknown, 0, 10},
		{"crown, axes meet", mech.Crown, plan(-10, -36), front(-10, -79), 45, 15, 0.8, GearOK, 0, 0},
		{"crown, axes pass", mech.Crown, plan(-10, -36), front(-8.5, -79), 45, 15, 0.8, GearOK, 0, 1.5},
		{"plan and side share y", mech.Bevel, plan(5, 7), side(9, -40), 20, 20, 1, GearOK, 0, 2},
		{"front and side share z", mech.Bevel, front(5, -33), side(9, -40), 20, 20, 1, GearOK, 0, 7},
		{"spur across views", mech.Spur, plan(0, 0), front(10, -5), 20, 40, 1, GearCrossed, 30, 10},
		{"bevel on parallel shafts", mech.Bevel, plan(0, 0), plan(10, 0), 20, 40, 1, GearParallel, 0, 10},
	}
	for _, tt := range tests {
		m := &mech.Model{Shafts: []mech.Shaft{tt.a, tt.b}, Gears: []mech.Gear{{
			Kind: tt.kind, Module: tt.module,
			Driver: mech.GearWheel{Shaft: 0, Teeth: tt.z1}, Driven: mech.GearWheel{Shaft: 1, Teeth: tt.z2},
		}}}
		r := SolveGears(m, nil)[0]
		if r.Status != tt.status || math.Abs(r.Spacing-tt.spacing) > 1e-12 {
			t.Errorf("%s: %+v", tt.name, r)
		}
		if r.Status == GearOK && math.Abs(r.Needed-tt.needed) > 1e-12 {
			t.Errorf("%s needs %g, want %g", tt.name, r.Needed, tt.needed)
		}
	}
}

// TestGearOverTakeUp: a geared shaft that a belt takes up comes nearer than at
// either end of its way where it passes the other shaft.
func TestGearOverTakeUp(t *testing.T) {
	m := &mech.Model{
		Shafts: []mech.Shaft{{At: r2.Vec{X: 0, Y: 0}}, {At: r2.Vec{X: 1, Y: 20}}, {At: r2.Vec{X: 60, Y: 0}}},
		Gears:  []mech.Gear{{Kind: mech.Spur, Module: 1, Driver: mech.GearWheel{Shaft: 0, Teeth: 20}, Driven: mech.GearWheel{Shaft: 1, Teeth: 20}}},
		Belts: []mech.Belt{{
			Section: mxl, Teeth: 100,
			Run:    []mech.Pulley{{Shaft: 0, Teeth: 40}, {Shaft: 2, Teeth: 40}},
			TakeUp: &mech.TakeUp{Pulley: 0, Along: r2.Vec{X: -1}, Min: -4, Max: 5},
		}},
	}
	belts := SolveBelts(m)
	r := SolveGears(m, belts)[0]
	if want := math.Hypot(6, 20); !r.Moved || r.Least != 20 || math.Abs(r.Most-want) > 1e-12 {
		t.Errorf("%+v, want from 20 to %g", r, want)
	}
	// Equal sprockets of 40 teeth and 100 of belt: p(zb-z1)/2 = 60.96 apart.
	if want := math.Hypot(1.96, 20); math.Abs(r.Fitted-want) > 1e-8 {
		t.Errorf("fitted at %g, want %g", r.Fitted, want)
	}
}

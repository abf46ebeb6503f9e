package solve

import (
	"testing"

	"understage/internal/mech"
)

// TestBeltCandidates: the standard list has 90, 100, 110, 125, 140 and 155 teeth
// about the 124.5 as drawn (IP-24), and 125 is within the take-up.
func TestBeltCandidates(t *testing.T) {
	m := watchman()
	m.Belts[0].Teeth = 0
	r := SolveBelts(m)[0]
	want := []int{90, 100, 110, 125, 140, 155}
	if len(r.Candidates) != len(want) {
		t.Fatalf("%d candidates", len(r.Candidates))
	}
	for i, c := range r.Candidates {
		if c.Teeth != want[i] || c.Reachable != (c.Teeth == 125) || c.Drawer || !c.Stocked {
			t.Errorf("candidate %+v, want %d teeth", c, want[i])
		}
	}
	if r.Fitted.Teeth != 125 || r.Fitted.Code != "100MXL" || !r.Fitted.Reachable {
		t.Errorf("fitted %+v", r.Fitted)
	}
}

func TestDrawerComesFirst(t *testing.T) {
	m := watchman()
	b := &m.Belts[0]
	b.Teeth = 0
	b.TakeUp.Min, b.TakeUp.Max = -6, 6
	m.Stock.Belts = []mech.StockBelt{{Section: "mxl", Teeth: 127}, {Section: "XL", Teeth: 124}}
	r := SolveBelts(m)[0]
	if r.Fitted.Teeth != 127 || !r.Fitted.Drawer {
		t.Errorf("fitted %+v, want the 127 teeth in the drawer", r.Fitted)
	}
	// What cannot be reached does not come first.
	m.Stock.Belts[0].Teeth = 150
	if r := SolveBelts(m)[0]; r.Fitted.Teeth != 125 || r.Fitted.Drawer {
		t.Errorf("fitted %+v, want the standard 125", r.Fitted)
	}
	// The same belt in both lists is one belt, and at hand.
	m.Stock.Belts[0].Teeth = 125
	r = SolveBelts(m)[0]
	if !r.Fitted.Drawer || r.Fitted.Code != "100MXL" {
		t.Errorf("fitted %+v", r.Fitted)
	}
	// A section nobody lists has only the drawer.
	b.Section.Name = ""
	m.Stock.Belts = append(m.Stock.Belts, mech.StockBelt{Teeth: 126})
	if r := SolveBelts(m)[0]; r.Fitted.Teeth != 126 || len(r.Candidates) != 1 {
		t.Errorf("fitted %+v of %+v", r.Fitted, r.Candidates)
	}
}

// TestFixedCentres: without take-up a belt fits as drawn or not at all, and a
// loop that cannot close offers no candidates.
func TestFixedCentres(t *testing.T) {
	m := watchman()
	b := &m.Belts[0]
	b.TakeUp = nil
	if r := SolveBelts(m)[0]; r.Fitted.Reachable || r.Fitted.TakeUp.OK {
		t.Errorf("125 teeth fit a loop of 124.47: %+v", r.Fitted)
	}
	m.Shafts[0].At.Y -= 0.7 // 0.0128 short of where 125 teeth close exactly
	if r := SolveBelts(m)[0]; !r.Fitted.Reachable {
		t.Errorf("%+v", r.Fitted)
	}
	m.Shafts[0].At = m.Shafts[1].At
	r := SolveBelts(m)[0]
	if r.Status != LoopOverlap || len(r.Candidates) != 0 || r.Length != 0 || !(r.Clearance < 0) {
		t.Errorf("%+v", r)
	}
}

// TestIdlerRadii: a plain idler inside runs on tooth tips, one at the back on
// the belt's back, and both shift with the section.
func TestIdlerRadii(t *testing.T) {
	for _, tt := range []struct {
		pulley mech.Pulley
		want   float64
	}{
		{mech.Pulley{Diameter: 10}, 5 + 0.51 + 0.254},
		{mech.Pulley{Diameter: 10, Back: true}, 5 + 0.38},
		// MXL 18 teeth: pitch diameter 11.643 mm (IP-24 formula pz/π).
		{mech.Pulley{Teeth: 18}, 11.6425023970583 / 2},
	} {
		if got := PitchRadius(mxl, tt.pulley); got < tt.want-1e-12 || got > tt.want+1e-12 {
			t.Errorf("%+v runs at %.12g, want %.12g", tt.pulley, got, tt.want)
		}
	}
}

// TestSprocketTables checks pitch and outside diameters of XL sprockets against
// a maker's catalogue table, in mm with two decimals.
func TestSprocketTables(t *testing.T) {
	xl := mech.BeltSection{Name: "XL", Pitch: 5.08, PitchLine: 0.254}
	for _, tt := range []struct {
		teeth          int
		pitch, outside float64
	}{
		{10, 16.17, 15.66}, {11, 17.79, 17.28}, {12, 19.40, 18.90}, {13, 21.02, 20.51}, {14, 22.64, 22.13},
		{15, 24.26, 23.75}, {16, 25.87, 25.36}, {17, 27.49, 26.98}, {18, 29.11, 28.60}, {19, 30.72, 30.22}, {20, 32.34, 31.83},
		{72, 116.43, 115.92},
	} {
		p := mech.Pulley{Teeth: tt.teeth}
		b := mech.Belt{Section: xl}
		if got := 2 * PitchRadius(xl, p); got < tt.pitch-0.0056 || got > tt.pitch+0.0056 {
			t.Errorf("%d teeth: pitch diameter %g, table %g", tt.teeth, got, tt.pitch)
		}
		if got := 2 * outsideRadius(&b, p); got < tt.outside-0.0056 || got > tt.outside+0.0056 {
			t.Errorf("%d teeth: outside diameter %g, table %g", tt.teeth, got, tt.outside)
		}
	}
}

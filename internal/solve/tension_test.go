package solve

import (
	"math"
	"testing"

	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
)

// handbookDrive is the calculation sheet on the JB/T 7512 tables: two sprockets
// of 20 teeth, 3 mm pitch, 936 mm of belt (312 teeth) at 438.000 mm.
func handbookDrive() (*mech.Model, *mech.Belt) {
	m := &mech.Model{Shafts: []mech.Shaft{{}, {At: r2.Vec{X: 438}}}}
	b := &mech.Belt{
		Section: mech.BeltSection{Name: "3M", Pitch: 3, ToothHeight: 1.21, PitchLine: 0.381, Back: 0.81},
		Width:   mech.Given{Value: 9, OK: true}, Teeth: 312,
		Run: []mech.Pulley{{Shaft: 0, Teeth: 20}, {Shaft: 1, Teeth: 20}},
	}
	return m, b
}

// TestTensionExample: 49 N of friction load at 0.4 m/s, load factor 1.4.
// Published: 10 teeth in mesh, kz 1, F1 = 85.756 N, F2 = 17.151 N, shaft load
// 101.879 N with a factor of 0.990 on F1 + F2. The sheet's power is
// 49·0.4·1.4 W and its speed 0.399971 m/s.
func TestTensionExample(t *testing.T) {
	m, b := handbookDrive()
	r := SolveBelt(m, b)
	section, _ := standard.FindSection("3M")
	radius := r.Pulleys[0].Radius
	// The sheet divides the power by the rounded-down speed.
	torque := 49 * 0.4 / 0.399971 * radius
	got := SolveTension(m, b, &r, section, BeltDuty{Torque: torque, Speed: 399.971 / radius, Ccw: true, Service: 1.4})
	if math.Abs(got.Tight-85.756) > 1e-3 || math.Abs(got.Slack-17.151) > 1e-3 {
		t.Errorf("tight %g, slack %g; published 85.756, 17.151", got.Tight, got.Slack)
	}
	if r.Pulleys[0].TeethInMesh < 10-1e-12 || got.MeshFactor != 1 {
		t.Errorf("%g teeth in mesh, factor %g", r.Pulleys[0].TeethInMesh, got.MeshFactor)
	}
	for i, hub := range got.Hubs {
		if load := 0.99 * r2.Norm(hub.Running); math.Abs(load-101.879) > 2e-3 {
			t.Errorf("hub %d: %g N, published 101.879", i, load)
		}
	}
	// The driver turns counter-clockwise, so the lower span, leaving the driver,
	// is slack and the upper one tight.
	if got.Spans[0].Running != got.Slack || got.Spans[1].Running != got.Tight {
		t.Errorf("spans %+v", got.Spans)
	}
}

// TestFrequency: notes of a belt frequency meter. 624 N, 0.11 kg/m and 0.17 m
// give f² = 49 072 (printed f = 221 Hz, cut off); 220 Hz is printed as 610 N,
// which its own formula makes 615 N.
func TestFrequency(t *testing.T) {
	mass := mech.Given{Value: 0.11, OK: true}
	f := spanFrequency(624, mass, 170)
	if math.Abs(f.Value*f.Value-49072) > 0.5 || math.Floor(f.Value) != 221 {
		t.Errorf("f = %g, f² = %g", f.Value, f.Value*f.Value)
	}
	if f := spanFrequency(610, mass, 170); math.Abs(f.Value/220-1) > 0.01 {
		t.Errorf("610 N sound at %g Hz, printed 220", f.Value)
	}
	if f := spanFrequency(10, mech.Given{}, 170); f.OK {
		t.Error("a pitch without a mass")
	}
}

// TestNotes: the equally tempered scale at A4 = 440 Hz (ISO 16); frequencies of
// the notes from any table of it.
func TestNotes(t *testing.T) {
	for _, tt := range []struct {
		hz    float64
		name  string
		cents float64
	}{{440, "A4", 0}, {261.625565, "C4", 0}, {27.5, "A0", 0}, {4186.00904, "C8", 0}, {16.3515978, "C0", 0},
		{8.17579892, "C-1", 0}, {493.883301, "B4", 0}, {445, "A4", 19.56}, {466.163762, "A#4", 0}, {430, "A4", -39.8}} {
		n := NoteOf(tt.hz)
		if n.Name != tt.name || math.Abs(n.Cents-tt.cents) > 0.01 {
			t.Errorf("%g Hz is %s %+.2f cents, want %s %+.2f", tt.hz, n.Name, n.Cents, tt.name, tt.cents)
		}
	}
	for _, hz := range []float64{0, -3, math.Inf(1), math.NaN()} {
		if NoteOf(hz).Finite {
			t.Errorf("%g Hz is a note", hz)
		}
	}
}

// TestMeshFactor: ANSI/RMA IP-24, 1.00 at 6 or more, then 0.80, 0.60, 0.40, 0.20.
func TestMeshFactor(t *testing.T) {
	for teeth, want := range map[float64]float64{9.5: 1, 6: 1, 5.99: 0.8, 4.5: 0.6, 3: 0.4, 2.2: 0.2, 1: 0, 0.3: 0} {
		b := &mech.Belt{Run: []mech.Pulley{{Teeth: 20}, {}}}
		r := &BeltResult{Pulleys: []PulleyResult{{TeethInMesh: teeth}, {}}}
		if got := meshFactor(b, r); math.Abs(got-want) > 1e-12 {
			t.Errorf("%g teeth in mesh: %g, want %g", teeth, got, want)
		}
	}
}

// TestHubLoadsBalance: the belt is in balance, so the pulls on all pulleys add
// to nothing, standing and running, and the torques on the pulleys too.
func TestHubLoadsBalance(t *testing.T) {
	m := watchman()
	b := &m.Belts[0]
	b.Width = mech.Given{Value: 6.4, OK: true}
	r := SolveBelt(m, b)
	section, _ := standard.FindSection("MXL")
	for _, ccw := range []bool{true, false} {
		got := SolveTension(m, b, &r, section, BeltDuty{Torque: 30, Speed: 2, Ccw: ccw, Service: 1.5})
		var static, running r2.Vec
		for _, h := range got.Hubs {
			static, running = r2.Add(static, h.Static), r2.Add(running, h.Running)
		}
		if r2.Norm(static) > 1e-9 || r2.Norm(running) > 1e-9 {
			t.Errorf("left over %v and %v", static, running)
		}
		// Across the driver the tension changes by the effective tension, and it
		// falls the way the driver turns.
		step := got.Spans[2].Running - got.Spans[0].Running
		if !ccw {
			step = -step
		}
		if math.Abs(step-got.Effective) > 1e-9 {
			t.Errorf("ccw %v: tension falls by %g over the driver, want %g", ccw, step, got.Effective)
		}
		if !got.Allowable.OK || !got.MassPer.OK || !got.LeastWidth.OK {
			t.Errorf("%+v", got)
		}
	}
}

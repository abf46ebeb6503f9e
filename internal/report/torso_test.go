package report

import (
	"encoding/json"
	"strings"
	"testing"

	"understage/internal/mech"
)

// writtenTorso is a hand-written section.
func writtenTorso() *Torso {
	return &Torso{
		Posed: true, FailsAtTurns: Null,
		LeanDeg: Range{Min: -2, Max: 2.04}, NodDeg: Range{Min: -1.5, Max: 1.5}, TiltDeg: Peak{Max: 2.8},
		TwistDeg: Range{Min: -2.7, Max: 2.7}, SlotMM: Range{Min: 76, Max: 84.1},
		Opening:   Opening{CircleMM: 16.2, WidthMM: 13.5, DepthMM: 12.9},
		TwistGain: TwistGain{PerLean: 0, PerNod: -1.4, Most: 1.4}, PushAngleDeg: 90, TurningDegS: 4.31, TurningDegS2: 4.4,
		Pushes: []TorsoPush{
			{Name: "sway", By: "yoke", AlongMM: Range{Min: -5, Max: 5}, AcrossMM: Range{Min: -4.5, Max: 4.5}, PlateMM: 12, SlotLengthMM: 15.25, PressN: Null},
			{Name: "bow", By: "edge", AlongMM: Range{Min: -5, Max: 5}, AcrossMM: Range{Min: -5, Max: 5}, PlateMM: Null, SlotLengthMM: Null, PressN: 0.4},
		},
		Points:     []TorsoPoint{{Name: "hat", XMM: Range{Min: -5, Max: 5}, YMM: Range{Min: -5, Max: 5}, ZMM: Range{Min: 244.75, Max: 245}, PeakSpeed: 8.5, PeakAcceleration: 9.5}},
		Clearances: []TorsoClearance{{Point: "hat", Obstacle: "stage", MM: 232.75, AtTurns: 20.25}},
	}
}

func TestTorsoTables(t *testing.T) {
	const want = `Torso
                  least  greatest
  lean deg         -2.0       2.0
  nod deg          -1.5       1.5
  tilt deg                    2.8
  twist deg        -2.7       2.7
  turning deg/s               4.3
  pin in slot mm  76.00     84.10
  Near upright the guide makes 0.00 deg of twist per deg of lean and -1.40 per
  deg of nod.

Pushes mm
  push  by            along         across  plate   slot
  sway  yoke  -5.00 to 5.00  -4.50 to 4.50  12.00  15.25
  bow   edge  -5.00 to 5.00  -5.00 to 5.00      -      -
  The shaft needs an opening of 16.20 mm across, or 13.50 by 12.90, before any
  clearance.

Points mm, mm/s, mm/s²
  point            x            y               z  speed  accel.
  hat    -5.0 to 5.0  -5.0 to 5.0  244.8 to 245.0   8.50    9.50

Clearances
  point  obstacle  least mm  at turns
  hat    stage       232.75     20.25

`
	var b strings.Builder
	for _, table := range torsoTables(&Report{Torso: writtenTorso()}, Units{}) {
		if err := table.Write(&b, 80); err != nil {
			t.Fatal(err)
		}
		b.WriteString("\n")
	}
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

// TestTorsoInches: an inch maker's tables are in inches and fit the page.
func TestTorsoInches(t *testing.T) {
	var b strings.Builder
	for _, table := range torsoTables(&Report{Torso: writtenTorso()}, Units{Lengths: mech.Inch}) {
		if err := table.Write(&b, 80); err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"pin in slot in  2.992     3.311", "9.64 to 9.65", "0.638 in across"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is missing from\n%s", want, b.String())
		}
	}
	for line := range strings.Lines(b.String()) {
		if len([]rune(line)) > 81 {
			t.Errorf("too wide: %q", line)
		}
	}
}

// TestTorsoKeys: the keys that scripts rely on (design §7).
func TestTorsoKeys(t *testing.T) {
	text, err := json.Marshal(writtenTorso())
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Lean, Nod, Twist, Slot struct{ Min, Max *float64 }
	}
	var all map[string]json.RawMessage
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	for key, into := range map[string]any{"lean_deg": &got.Lean, "nod_deg": &got.Nod, "twist_deg": &got.Twist, "slot_mm": &got.Slot} {
		if err := json.Unmarshal(all[key], into); err != nil {
			t.Errorf("%s: %v", key, err)
		}
	}
	if got.Slot.Max == nil || *got.Slot.Max != 84.1 || got.Lean.Min == nil {
		t.Errorf("ranges: %s", text)
	}
	for _, want := range []string{
		`"tilt_deg":{"max":2.8}`, `"opening":{"circle_mm":16.2,"width_mm":13.5,"depth_mm":12.9}`,
		`"points":[{"name":"hat","x_mm":{"min":-5,"max":5},"y_mm":`, `"peak_speed_mm_s":8.5,"peak_acceleration_mm_s2":9.5`,
		`"clearances":[{"point":"hat","obstacle":"stage","mm":232.75,"at_turns":20.25}]`, `"fails_at_turns":null`,
	} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%s is missing from %s", want, text)
		}
	}
}

package internal_test

import (
	"encoding/json"
	"math"
	"testing"

	"understage/internal/check"
	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/spec"
)

const fourBarSpec = `
understage: 1
figure: Four-bar
motor:
  rated: 6 V
  supply: 6 V
  no_load: {speed: 30 rpm, current: 50 mA}
  stall: {torque: 0.2 N·m, current: 0.5 A}
  shaft: main
drive:
  view: front
  shafts: {main: {at: [0, 0]}}
linkages:
  foot:
    view: front
    level: -12
    pins:
      hand: {crank: main, radius: 40, phase: 40 deg}
      knee: {}
      heel: {at: [100, 0]}
    bars: [[hand, knee, 120], [knee, heel, 80]]
    start: {knee: [140, 70]}
    points: {toe: {bar: [heel, knee], at: [80, 0]}}
beats: {of: foot.toe, when: rightmost, target: 33 per min}
`

// reported solves a spec and returns the report as a script reads it.
func reported(t *testing.T, text string, sets ...string) map[string]any {
	t.Helper()
	s, msgs := spec.Load(spec.Source{Name: "test", Text: []byte(text)}, sets, nil)
	if len(msgs) > 0 {
		t.Fatal(msgs)
	}
	solution := solve.Solve(s.Model)
	raw, err := json.Marshal(report.Build(s.Model, solution, check.Findings(s.Model, solution)))
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(raw, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// dig follows keys and indices into a report.
func dig(t *testing.T, v any, path ...any) any {
	t.Helper()
	for _, step := range path {
		switch step := step.(type) {
		case string:
			v = v.(map[string]any)[step]
		case int:
			v = v.([]any)[step]
		}
	}
	return v
}

func number(t *testing.T, v any, path ...any) float64 {
	t.Helper()
	n, ok := dig(t, v, path...).(float64)
	if !ok {
		t.Fatalf("%v is %v", path, dig(t, v, path...))
	}
	return n
}

// The keys that scripts rely on, against closed forms of the four-bar of Norton,
// Design of Machinery, example 4-1.
func TestLinkageReport(t *testing.T) {
	const a, b, c, d = 40., 120., 80., 100.
	r := reported(t, fourBarSpec)
	close := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-6 {
			t.Errorf("%s: %.10g, want %.10g", what, got, want)
		}
	}
	mu := func(span float64) float64 { return math.Acos((b*b+c*c-span*span)/(2*b*c)) * 180 / math.Pi }
	close("transmission least", number(t, r, "linkages", 0, "transmission_deg", "min"), mu(d-a))
	close("transmission greatest", number(t, r, "linkages", 0, "transmission_deg", "max"), mu(d+a))
	x := 100 - c*(d*d+c*c-(a+b)*(a+b))/(2*c*d)
	close("x greatest", number(t, r, "linkages", 0, "points", 0, "x_mm", "max"), x)
	close("y", number(t, r, "linkages", 0, "points", 0, "y_mm", "min"), -12)
	close("beats", number(t, r, "beats", "per_min"), 30)
	close("target", number(t, r, "beats", "target_per_min"), 33)
	// R = 12 ohm, I0·R = 0.6 V: 6 V − 0.6 V for 30 rpm, a tenth more for 33.
	close("supply", number(t, r, "beats", "supply_for_target_V"), 0.6+5.4*1.1)
	if v := dig(t, r, "linkages", 0, "locks_at_deg"); v != nil {
		t.Errorf("locks at %v", v)
	}

	// Too short to go round: stretched at cos θ = (a² + d² − (b+c)²)/2ad.
	r = reported(t, fourBarSpec, "linkages.foot.bars.0=[hand, knee, 70]", "linkages.foot.bars.1=[knee, heel, 60]")
	close("locks", number(t, r, "linkages", 0, "locks_at_deg"), math.Acos((a*a+d*d-130*130)/(2*a*d))*180/math.Pi)
	if v := dig(t, r, "beats", "per_min"); v != nil {
		t.Errorf("beats %v though it locks", v)
	}
}

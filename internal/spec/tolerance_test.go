package spec

import (
	"math"
	"strings"
	"testing"

	"understage/internal/units"
)

const toleranced = `understage: 1
figure: Weathercock
units: in
drive:
  shafts:
    main: {at: [0 ±0.01, 1 mm +/- 0.2], diameter: 4 mm ±0.05 mm}
cams:
  tail:
    shaft: main
    phase: 90 ±1.5 deg
    base: 1/2 ±1/64
    waves: [{per_turn: 1, amplitude: 5 mm}]
    follower: {kind: roller, radius: 3 ±0.05 mm, path: straight, heading: 90 deg}
`

func TestTolerancesAreKept(t *testing.T) {
	figure, messages := Load(Source{Name: "t.yaml", Text: []byte(toleranced)}, nil, nil)
	if len(messages) > 0 {
		t.Fatal(messages)
	}
	want := map[string]Tolerance{
		"drive.shafts.main.at.0":     {Dimension: units.Length, Nominal: 0, Margin: 0.254},
		"drive.shafts.main.at.1":     {Dimension: units.Length, Nominal: 1, Margin: 0.2},
		"drive.shafts.main.diameter": {Dimension: units.Length, Nominal: 4, Margin: 0.05},
		"cams.tail.phase":            {Dimension: units.Angle, Nominal: math.Pi / 2, Margin: 1.5 * math.Pi / 180},
		"cams.tail.base":             {Dimension: units.Length, Nominal: 12.7, Margin: 25.4 / 64},
		"cams.tail.follower.radius":  {Dimension: units.Length, Nominal: 3, Margin: 0.05},
	}
	for _, got := range figure.Tolerances {
		w, ok := want[got.Path]
		if !ok {
			t.Errorf("%s: not toleranced, or twice", got.Path)
			continue
		}
		delete(want, got.Path)
		if got.Dimension != w.Dimension || math.Abs(got.Nominal-w.Nominal) > 1e-12 || math.Abs(got.Margin-w.Margin) > 1e-12 {
			t.Errorf("%s: got %+v, want %+v", got.Path, got, w)
		}
	}
	for path := range want {
		t.Errorf("%s: its margin is lost", path)
	}
	if base := figure.Model.Cams[0].Base; base != 12.7 {
		t.Errorf("base %v", base)
	}
}

func TestTolerancesThatMeanNothing(t *testing.T) {
	for margin, want := range map[string]string{
		"±-0.1":   "margin",
		"±":       "found",
		"±1 deg":  "angle",
		"±0.1±.2": "unit",
	} {
		text := strings.Replace(toleranced, "1/2 ±1/64", "1/2 "+margin, 1)
		_, messages := Load(Source{Name: "t.yaml", Text: []byte(text)}, nil, nil)
		if len(messages) != 1 || messages[0].Path != "cams.tail.base" || !strings.Contains(messages[0].Text+messages[0].Want, want) {
			t.Errorf("%s: got %+v", margin, messages)
		}
	}
}

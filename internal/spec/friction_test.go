package spec

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"understage/internal/diag"
	"understage/internal/mech"
)

// loadedWatchman loads the sample with one line of it replaced.
func loadedWatchman(t *testing.T, old, new string) (*Spec, diag.List) {
	t.Helper()
	text, err := os.ReadFile("testdata/watchman.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(text, []byte(old)) {
		t.Fatalf("no %q in the sample", old)
	}
	return Load(Source{Name: "watchman.yaml", Text: bytes.Replace(text, []byte(old), []byte(new), 1)}, nil, nil)
}

func TestFrictionForms(t *testing.T) {
	const guide = "clearance: 0.4}"
	cases := []struct {
		text string
		want mech.Rub
	}{
		{"0.2", mech.Rub{Sliding: mech.Given{Value: 0.2, OK: true}}},
		{"{sliding: 0.2, static: 0.3}", mech.Rub{Sliding: mech.Given{Value: 0.2, OK: true}, Static: mech.Given{Value: 0.3, OK: true}}},
		{"{materials: [pom, steel]}", mech.Rub{Materials: [2]string{"pom", "steel"}}},
		{"{materials: [birch, horn], sliding: 0.4}", mech.Rub{Sliding: mech.Given{Value: 0.4, OK: true}, Materials: [2]string{"birch", "horn"}}},
	}
	for _, c := range cases {
		s, msgs := loadedWatchman(t, guide, "clearance: 0.4, friction: "+c.text+"}")
		report(t, msgs)
		if s != nil && s.Model.Torso.Guide.Rub != c.want {
			t.Errorf("friction: %s = %+v, want %+v", c.text, s.Model.Torso.Guide.Rub, c.want)
		}
	}
}

func TestBadLoads(t *testing.T) {
	cases := []struct{ old, new, path, text string }{
		{"clearance: 0.4}", "clearance: 0.4, friction: {materials: [pm, steel]}}", "torso.guide.friction.materials", "no published friction"},
		{"clearance: 0.4}", "clearance: 0.4, friction: -0.1}", "torso.guide.friction", "-0.1"},
		{"clearance: 0.4}", "clearance: 0.4, friction: {sliding: 0.4, static: 0.3}}", "torso.guide.friction.static", "below sliding"},
		{"sense: ccw", "returns: 1.2", "motor.returns", "1.2"},
		{"sense: ccw", "breakaway: 0.9", "motor.breakaway", "below sliding"},
		{"sense: ccw", "supply_resistance: 4 V", "motor.supply_resistance", "a voltage"},
		{"mass: 180 g", "mass: -180 g", "torso.mass", "-180"},
		{"mass: 180 g", "mass: 180 g\n  inertia: [1 kg·mm2, 1 kg·mm2, 3 kg·mm2]", "torso.inertia", "no body has"},
		{"supply: 4.8 V", "supply: 7 V", "motor.supply", "above the motor's rating"},
		{"current: 0.8 A", "current: 0.05 A", "motor.stall.current", "not above"},
	}
	for _, c := range cases {
		s, msgs := loadedWatchman(t, c.old, c.new)
		if s != nil || len(msgs) != 1 || msgs[0].Path != c.path || !strings.Contains(msgs[0].Text, c.text) {
			t.Errorf("%s: %v, want one complaint of %q at %s", c.new, msgs, c.text, c.path)
		}
	}
}

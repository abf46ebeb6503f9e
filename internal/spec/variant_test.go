package spec

import (
	"reflect"
	"slices"
	"strings"
	"testing"
)

// TestVariant: a variant is what decoding all of it gives, and only what a
// replacement can touch is read anew.
func TestVariant(t *testing.T) {
	margins := []string{"cams.bow.base=16 ±0.1", "cams.sway.base=16 ±0.2", "drive.shafts.main.diameter=4 ±0.1"}
	base, msgs := Load(loadFile(t, "testdata/watchman.yaml"), margins, nil)
	report(t, msgs)
	for _, c := range []struct {
		sets  []string
		fresh []string
	}{
		{nil, []string{}},
		{[]string{"figure=Other"}, []string{}},
		{[]string{"motor.supply=5 V"}, []string{"motor"}},
		{[]string{"motor=~"}, []string{"motor"}},
		{[]string{"limits.near_repeat=5 deg"}, []string{"limits", "motor"}},
		{[]string{"drive.belts.loop.run.1.teeth=38"}, []string{"drive.belts.loop"}},
		{[]string{"drive.gears.chime.module=1"}, []string{"drive.gears.chime"}},
		{[]string{"cams.sway.base=17"}, []string{"cams.sway", "beats"}},
		{[]string{"cams.bow.motion.0.law=cycloidal", "motor.supply=5 V"}, []string{"motor", "cams.bow", "beats"}},
		{[]string{"cams.bow.follower.heading=260"}, []string{"cams.bow", "torso", "linkages", "beats"}},
		{[]string{"cams.sway.follower=~", "torso.pushes.sway={cam: sway, by: edge, depth: 140}"}, []string{"cams.sway", "torso", "linkages", "beats"}},
		{[]string{"torso.guide.pin.0=-81"}, []string{"torso", "beats"}},
		{[]string{"linkages.staff.bars.0.2=59"}, []string{"linkages.staff", "beats"}},
		{[]string{"beats.target=~"}, []string{"beats"}},
		{[]string{"frame.bed=[200, 200]", "stock.belts.MXL=[80]"}, []string{"stock", "frame"}},
		{[]string{"drive.shafts.main.at.0=-11"}, nil},
		{[]string{"units=in"}, nil},
		{[]string{"drive.view=plan"}, nil},
		{[]string{"torso.pivot=95 ±1"}, []string{"torso", "beats"}},
		// A lift without a unit is now an angle.
		{[]string{"cams.sway.follower={kind: roller, radius: 3, path: swing, pivot: [40, 0], arm: 38}", "torso=~"}, []string{"cams.sway", "torso", "linkages", "beats"}},
		{[]string{"cams.bow=~", "torso=~", "beats=~"}, []string{"cams.bow", "torso", "linkages", "beats"}},
		{[]string{"linkages.staff=~", "beats=~"}, []string{"linkages.staff", "beats"}},
	} {
		sets, msgs := ParseSets(c.sets)
		report(t, msgs)
		got, msgs := base.Variant(sets, nil)
		report(t, msgs)
		want, msgs := Load(loadFile(t, "testdata/watchman.yaml"), append(slices.Clone(margins), c.sets...), nil)
		report(t, msgs)
		if got == nil || want == nil {
			continue
		}
		for _, s := range []*Spec{got, want} {
			slices.SortFunc(s.Tolerances, func(a, b Tolerance) int { return strings.Compare(a.Path, b.Path) })
		}
		if !reflect.DeepEqual(got.Model, want.Model) || !reflect.DeepEqual(got.Tolerances, want.Tolerances) {
			t.Errorf("%v: not what decoding all of it gives", c.sets)
		}
		for _, s := range []*Spec{got, want} {
			slices.SortFunc(s.Tolerances, func(a, b Tolerance) int { return strings.Compare(a.Path, b.Path) })
		}
		if !reflect.DeepEqual(got.Fresh, c.fresh) {
			t.Errorf("%v: read anew %q, want %q", c.sets, got.Fresh, c.fresh)
		}
		// A variant is a base for further ones.
		back, msgs := got.Variant(nil, nil)
		report(t, msgs)
		for _, s := range []*Spec{got, want} {
			slices.SortFunc(s.Tolerances, func(a, b Tolerance) int { return strings.Compare(a.Path, b.Path) })
		}
		if !reflect.DeepEqual(back.Model, got.Model) {
			t.Errorf("%v: a variant of it is not the same", c.sets)
		}
	}
}

// One variant of a sweep, with only what it touches read anew.
func BenchmarkVariant(b *testing.B) {
	base, _ := Load(Source{Name: "watchman", Text: Figures()[0].Text}, nil, nil)
	for _, c := range []struct{ name, set string }{
		{"supply", "motor.supply=5 V"},
		{"sprocket", "drive.belts.loop.run.1.teeth=38"},
		{"cam", "cams.sway.base=17 mm"},
		{"pin", "torso.guide.pin.0=-81"},
	} {
		b.Run(c.name, func(b *testing.B) {
			text := []string{c.set}
			b.ReportAllocs()
			for b.Loop() {
				sets, _ := ParseSets(text)
				if _, msgs := base.Variant(sets, nil); msgs != nil {
					b.Fatal(msgs)
				}
			}
		})
	}
}

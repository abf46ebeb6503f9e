package cli

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/spec"
	"understage/internal/sweep"
)

// variantSteps change the watchman, together every kind of thing a solution is
// made of. Each is one variant, or a variant of a variant, as the rows of a grid
// come; the values of one step are set together.
var variantSteps = [][][]string{
	{{"motor.supply=5.5 V"}},
	{{"motor.sense=cw"}},
	{{"drive.belts.loop.run.1.teeth=36"}},
	{{"drive.belts.loop.belt=112"}},
	{{"drive.shafts.side.at=[36.5, 0]"}},
	{{"cams.sway.base=17"}},
	{{"cams.bow.follower.heading=275 deg"}},
	{{"torso.guide.pin=[-78, 2]"}},
	{{"torso.points.hat.radius=20"}},
	{{"torso.mass=300 g"}},
	{{"linkages.staff.bars.0=[hand, knee, 59]"}},
	{{"beats.target=60 per min"}},
	{{"limits.near_repeat=5 deg"}},
	{{"limits.pressure_angle=20 deg"}},
	{{"motor.breakaway=2"}},
	{{"cams.sway.shaft=fore"}},              // one shaft fewer that matters
	{{"drive.gears.chime.driver.teeth=30"}}, // another ratio
	{{"torso.shaft.diameter=5", "cams.bow.base=17"}},
	{{"linkages.staff=~", "beats=~"}},
	{{"beats={of: torso.hat, when: leftmost}", "linkages=~"}},
	{{"cams.sway.base=17"}, {"cams.bow.base=17"}},
	{{"cams.sway.phase=10 deg"}, {"cams.sway.phase=0 deg", "cams.bow.phase=5 deg"}},
	{{"cams.sway.base=17"}, {"motor.sense=cw"}},
	{{"limits.near_repeat=5 deg"}, {"cams.bow.base=17"}},
	{{"limits.near_repeat=5 deg"}, {"limits.near_repeat=10 deg"}},
	{{"linkages.staff=~", "beats=~"}, {"cams.sway.base=17"}},
	{{"torso.pivot=96"}, {"motor.supply=5 V"}, {"linkages.staff.pins.hand.radius=7"}},
}

// pushed turns the watchman into a figure of the other kinds of parts: a cam's
// rim pushes the torso, and a cam's follower moves a linkage.
var pushed = []string{
	"cams.wave={shaft: main, base: 15, waves: [{amplitude: 3}], follower: {kind: roller, radius: 3, path: straight, heading: 0 deg}}",
	"cams.rim={shaft: fore, eccentric: {disc_radius: 18, offset: 4}}",
	"torso.pushes={sway: {cam: sway, by: yoke, depth: 140, plumb: 5}, rim: {cam: rim, by: edge, depth: 140}}",
	"linkages.arm={view: plan, level: -50, pins: {lift: {follows: wave, from: [30, -36]}, elbow: {}, shoulder: {at: [60, -70]}}," +
		" bars: [[lift, elbow, 30], [elbow, shoulder, 30]], start: {elbow: [58, -40]}, points: {fist: {bar: [elbow, shoulder], at: [40, 2], radius: 3}}}",
}

var pushedSteps = [][][]string{
	{{"cams.wave.waves.0.amplitude=4"}},
	{{"cams.rim.eccentric.offset=5"}},
	{{"cams.rim.eccentric.offset=5"}, {"cams.wave.phase=20 deg"}},
	{{"torso.shaft.diameter=5"}}, // the roller of the cam without a follower
	{{"motor.supply=5.5 V"}},
	{{"linkages.arm.bars.0=[lift, elbow, 31]"}},
	{{"linkages.arm=~"}, {"linkages.staff.bars.0=[hand, knee, 59]"}},
	{{"cams.wave.shaft=side"}},
	{{"cams.bow=~", "cams.wave=~", "linkages.arm=~"}},
}

// leaves lists the paths of all single values in a JSON document, as keys of a
// sweep name them.
func leaves(v any, path string, out *[]string) {
	switch v := v.(type) {
	case map[string]any:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			leaves(v[k], strings.TrimPrefix(path+"."+k, "."), out)
		}
	case []any:
		for i, item := range v {
			name := fmt.Sprint(i)
			if m, ok := item.(map[string]any); ok {
				if s, ok := m["name"].(string); ok {
					name = s
				}
			}
			leaves(item, path+"."+name, out)
		}
	default:
		*out = append(*out, path)
	}
}

// Whatever key a sweep shows, and whatever it changes, a row says what a lone
// report of the changed figure says: nothing that matters to a key is left out
// or carried over from another variant.
func TestVariantsAnswerLikeLoneReports(t *testing.T) {
	testVariants(t, nil, variantSteps)
}

func TestVariantsOfOtherParts(t *testing.T) { testVariants(t, pushed, pushedSteps) }

// With the staff this one repeats too late to follow its path, without it does
// not.
func TestVariantsOfBoundFigure(t *testing.T) {
	long := []string{"drive.belts.loop.run.0.teeth=17", "drive.belts.loop.run.1.teeth=59", "drive.belts.loop.run.2.teeth=61"}
	testVariants(t, long, [][][]string{{{"linkages.staff=~", "beats=~"}}, {{"linkages.staff=~", "beats=~"}, {"cams.sway.base=17"}}})
}

func testVariants(t *testing.T, own []string, variants [][][]string) {
	source := spec.Source{Name: "watchman", Text: spec.Figures()[0].Text}
	base, messages := spec.Load(source, own, nil)
	if len(messages) > 0 {
		t.Fatal(messages)
	}
	partial, keys := make(map[solve.Parts]*solve.Solution), make(map[string]sweep.Key)
	for i, steps := range variants {
		if testing.Short() && i%4 != 0 {
			continue
		}
		lone, messages := spec.Load(source, slices.Concat(own, slices.Concat(steps...)), nil)
		if len(messages) > 0 {
			t.Fatalf("%s: %v", steps, messages)
		}
		var figures []*spec.Spec
		for last := base; len(figures) < len(steps); figures = append(figures, last) {
			sets, messages := spec.ParseSets(steps[len(figures)])
			if len(messages) == 0 {
				last, messages = last.Variant(sets, nil)
			}
			if len(messages) > 0 {
				t.Fatalf("%s: %v", steps, messages)
			}
		}
		want := judge(lone.Model, solve.Solve(lone.Model))
		last := make(map[solve.Parts]solved)
		got := make(map[string]*judgedReport) // by the section a key lies in and the parts it needs
		for _, path := range keysOf(t, want) {
			parts := report.Needs(path)
			if partial[parts] == nil {
				partial[parts] = solve.SolveParts(base.Model, parts)
			}
			section, _, _ := strings.Cut(path, ".")
			section = fmt.Sprint(section, parts)
			if got[section] == nil {
				if _, known := last[parts]; !known {
					last[parts] = lastOf(figures, partial[parts], parts)
				}
				w := &worker{want: parts, sections: report.SectionsOf([]string{path})}
				got[section] = w.report(last[parts])
			}
			key, known := keys[path]
			if !known {
				var err error
				if key, err = sweep.ParseKey(path, want); err != nil {
					t.Fatalf("%s: %v", path, err)
				}
				keys[path] = key
			}
			if w, g := key.Find(want), key.Find(got[section]); w != g {
				t.Errorf("%s: %s is %v, a lone report says %v", steps, path, g, w)
			}
		}
	}
}

// keysOf lists every key of a report.
func keysOf(t *testing.T, r *judgedReport) []string {
	document, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var parsed any
	if err := json.Unmarshal(document, &parsed); err != nil {
		t.Fatal(err)
	}
	var paths []string
	leaves(parsed, "", &paths)
	return paths
}

// lastOf solves the last of variants of each other, the first one from the base,
// each next one from the one before.
func lastOf(figures []*spec.Spec, base *solve.Solution, parts solve.Parts) solved {
	for _, figure := range figures {
		base = base.Again(figure.Model, figure.Fresh, parts)
	}
	return solved{figures[len(figures)-1], base}
}

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

// variantSets change one thing of the watchman each, together every kind of
// thing a solution is made of.
var variantSets = []string{
	"motor.supply=5.5 V",
	"motor.sense=cw",
	"drive.belts.loop.run.1.teeth=36",
	"drive.belts.loop.belt=112",
	"drive.shafts.side.at=[36.5, 0]",
	"cams.sway.base=17",
	"cams.bow.follower.heading=275 deg",
	"torso.guide.pin=[-78, 2]",
	"torso.points.hat.radius=20",
	"torso.mass=300 g",
	"linkages.staff.bars.0=[hand, knee, 59]",
	"beats.target=60 per min",
	"limits.near_repeat=5 deg",
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
	text := spec.Figures()[0].Text
	base, messages := spec.Load(spec.Source{Name: "watchman", Text: text}, nil, nil)
	if len(messages) > 0 {
		t.Fatal(messages)
	}
	partial := make(map[solve.Parts]*solve.Solution)
	for i, set := range variantSets {
		if testing.Short() && i%4 != 0 {
			continue
		}
		sets, messages := spec.ParseSets([]string{set})
		if len(messages) > 0 {
			t.Fatal(messages)
		}
		lone, messages := spec.Load(spec.Source{Name: "watchman", Text: text}, []string{set}, nil)
		if len(messages) > 0 {
			t.Fatalf("%s: %v", set, messages)
		}
		want := judge(lone.Model, solve.Solve(lone.Model))
		document, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		var parsed any
		if err := json.Unmarshal(document, &parsed); err != nil {
			t.Fatal(err)
		}
		var paths []string
		leaves(parsed, "", &paths)
		variant, messages := base.Variant(sets, nil)
		if len(messages) > 0 {
			t.Fatalf("%s: %v", set, messages)
		}
		got := make(map[solve.Parts]*judgedReport)
		for _, path := range paths {
			parts := report.Needs(path)
			if partial[parts] == nil {
				partial[parts] = solve.SolveParts(base.Model, parts)
			}
			if got[parts] == nil {
				solution := partial[parts].Again(variant.Model, variant.Fresh, parts)
				if parts == solve.AllParts {
					got[parts] = judge(variant.Model, solution)
				} else {
					got[parts] = &judgedReport{Report: report.Build(variant.Model, solution, nil)}
				}
			}
			key, err := sweep.ParseKey(path, want)
			if err != nil {
				t.Fatalf("%s: %v", path, err)
			}
			if w, g := key.Find(want), key.Find(got[parts]); w != g {
				t.Errorf("%s: %s is %v, a lone report says %v", set, path, g, w)
			}
		}
	}
}

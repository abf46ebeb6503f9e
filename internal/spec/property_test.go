package spec

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"understage/internal/mech"
)

// randomFigure writes a figure with random numbers; length writes a length
// given in mm.
func randomFigure(r *rand.Rand, system string, length func(mm float64) string) string {
	var b strings.Builder
	line := func(format string, values ...any) {
		for i, v := range values {
			if mm, ok := v.(float64); ok {
				values[i] = length(mm)
			}
		}
		fmt.Fprintf(&b, format+"\n", values...)
	}
	some := func(least, most float64) float64 { return math.Round((least+r.Float64()*(most-least))*1000) / 1000 }
	line("understage: 1\nunits: %s", system)
	line("drive:\n  shafts:")
	for _, name := range []string{"a", "b", "c"} {
		line("    %s: {at: [%v, %v], diameter: %v}", name, some(-80, 80), some(-80, 80), some(1, 9))
	}
	line("  belts:\n    loop: {pitch: {length: 2 mm, back: %v}, width: %v, run: [{shaft: a, teeth: %d}, {shaft: b, teeth: 20}, {idler: i, at: [%v, %v], diameter: %v, side: back}], take_up: {shaft: a, along: [%d, 5], range: [%v, %v]}}",
		some(0, 1), some(2, 9), 10+r.IntN(40), some(-80, 80), some(-80, 80), some(4, 12), r.IntN(9), some(-4, 0), some(1, 4))
	line("  gears:\n    g: {driver: {shaft: b, teeth: 20}, driven: {shaft: c, teeth: 40}, module: 0.8}")
	line("cams:")
	line("  w: {shaft: a, base: %v, waves: [{amplitude: %v}, {per_turn: %d, amplitude: %v, at: 30 deg}], follower: {kind: roller, radius: %v, heading: %d, offset: %v}}",
		some(10, 20), some(1, 4), 1+r.IntN(4), some(-2, 2), some(1, 4), r.IntN(360), some(-3, 3))
	rise := some(2, 9)
	line("  m: {shaft: b, base: %v, motion: [{rise: %v, over: 180}, {fall: %v, over: 180}], follower: {kind: flat, heading: 90}}", some(10, 20), rise, rise)
	line("  e: {shaft: c, eccentric: {disc_radius: %v, offset: %v}}", some(10, 20), some(0, 9))
	line("torso:\n  pivot: %v\n  shaft: {diameter: %v, depth: %v}", some(50, 99), some(3, 9), some(99, 180))
	line("  pushes: {one: {cam: w, depth: %v, plumb: %v}, two: {cam: e, by: edge, depth: %v}}", some(90, 99), some(0, 3), some(90, 99))
	line("  guide: {depth: %v, pin: [%v, %v], pin_diameter: %v, slot: [%v, %v], clearance: %v}", some(80, 90), some(-99, -40), some(-3, 3), some(2, 5), some(40, 60), some(70, 90), some(0, 1))
	line("  points: {hat: {at: [%v, %v, %v], radius: %v}}", some(-9, 9), some(-9, 9), some(99, 200), some(0, 20))
	line("  keep_clear: {box: {box: [[%v, 0, 0], [%v, %v, %v]]}}", some(50, 60), some(70, 80), some(5, 9), some(50, 90))
	line("frame: {bed: [%v, %v], hole_allowance: %v}", some(99, 300), some(99, 300), some(0, 1))
	return b.String()
}

// TestUnitsChangeNothing: the same figure in mm and in inches is the same
// machine.
func TestUnitsChangeNothing(t *testing.T) {
	for seed := range uint64(50) {
		in := func(mm float64) string { return fmt.Sprintf("%.17g", mm/25.4) }
		mm := func(mm float64) string { return fmt.Sprintf("%.17g", mm) }
		withUnit := func(mm float64) string { return fmt.Sprintf("%.17g mm", mm) }
		metric := loadText(t, randomFigure(rand.New(rand.NewPCG(seed, 1)), "mm", mm))
		inch := loadText(t, randomFigure(rand.New(rand.NewPCG(seed, 1)), "in", in))
		mixed := loadText(t, randomFigure(rand.New(rand.NewPCG(seed, 1)), "in", withUnit))
		if metric == nil || inch == nil || mixed == nil {
			t.Fatalf("seed %d", seed)
		}
		inch.Lengths, mixed.Lengths = metric.Lengths, metric.Lengths
		if !reflect.DeepEqual(metric, mixed) {
			t.Errorf("seed %d: units written out change the model", seed)
		}
		// Two roundings of a length of 300 mm are below 1e-12 mm.
		if path := differs("model", reflect.ValueOf(metric), reflect.ValueOf(inch), 1e-12); path != "" {
			t.Errorf("seed %d: inches change %s", seed, path)
		}
	}
}

func loadText(t *testing.T, text string) *mech.Model {
	t.Helper()
	s, msgs := Load(Source{Name: "f.yaml", Text: []byte(text)}, nil, nil)
	report(t, msgs)
	if s == nil {
		return nil
	}
	return s.Model
}

// differs returns the path of the first number that differs by more than the
// tolerance, or of anything else that differs; "" when all is alike.
func differs(path string, a, b reflect.Value, tolerance float64) string {
	switch a.Kind() {
	case reflect.Float64:
		if math.Abs(a.Float()-b.Float()) <= tolerance {
			return ""
		}
		return path
	case reflect.Pointer:
		if a.IsNil() || b.IsNil() {
			if a.IsNil() && b.IsNil() {
				return ""
			}
			return path
		}
		return differs(path, a.Elem(), b.Elem(), tolerance)
	case reflect.Struct:
		for i := range a.NumField() {
			if at := differs(path+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i), tolerance); at != "" {
				return at
			}
		}
		return ""
	case reflect.Slice, reflect.Array:
		if a.Len() != b.Len() {
			return path
		}
		for i := range a.Len() {
			if at := differs(fmt.Sprintf("%s.%d", path, i), a.Index(i), b.Index(i), tolerance); at != "" {
				return at
			}
		}
		return ""
	}
	if reflect.DeepEqual(a.Interface(), b.Interface()) {
		return ""
	}
	return path
}

// TestKeyOrderChangesNothing: the keys of a part may come in any order. The
// order of parts and of list entries is the maker's and is kept.
func TestKeyOrderChangesNothing(t *testing.T) {
	files, _ := filepath.Glob("testdata/good/*.yaml")
	for _, file := range append(files, "testdata/watchman.yaml") {
		doc, msgs := Parse(loadFile(t, file))
		report(t, msgs)
		want, msgs := doc.Decode(nil, beside(filepath.Dir(file)))
		report(t, msgs)
		for seed := range uint64(20) {
			r := rand.New(rand.NewPCG(seed, 2))
			other := &Document{root: shuffled(doc.root, keyTable(), r)}
			got, msgs := other.Decode(nil, beside(filepath.Dir(file)))
			report(t, msgs)
			if got == nil || !reflect.DeepEqual(got.Model, want.Model) {
				t.Errorf("%s: seed %d: key order changes the model", file, seed)
			}
		}
	}
}

// shuffled copies the tree with the keys of parts in another order.
func shuffled(n *node, s *schema, r *rand.Rand) *node {
	c := &node{kind: n.kind, text: n.text, pos: n.pos, entries: slices.Clone(n.entries), items: slices.Clone(n.items)}
	for i := range c.entries {
		below, _ := s.child(c.entries[i].key)
		c.entries[i].value = shuffled(c.entries[i].value, below, r)
	}
	for i := range c.items {
		c.items[i] = shuffled(c.items[i], s.item(), r)
	}
	if s.wild == nil {
		r.Shuffle(len(c.entries), func(i, j int) { c.entries[i], c.entries[j] = c.entries[j], c.entries[i] })
	}
	return c
}

// TestRandomReplacements puts wrong and right values in random places of good
// specs, one to three at a time: never a panic, every message at its place, and
// a sound model or a message.
func TestRandomReplacements(t *testing.T) {
	values := []string{"~", "0", "1", "-1", "2.5", "1e9", "-1e-15", "90 deg", "360 deg", "6 V", "1/4 in", "abc", "on", "no", "yes", "knee", "swing", "face", "edge", "rod", "yoke", "roller", "flat", "axial", "back", "worm", "side", "front",
		"[]", "{}", "[0, 0]", "[1, 2]", "[1, 2, 3]", "[[1, 2], [3, 4]]", "[on, no, 4]", "{a: 1}", "{shaft: on, teeth: 3}", "{crank: no, radius: 3}", `""`, "{file: rim.csv}", "100", "touching", "torso.hat", "MXL", "{length: 2 mm}"}
	docs := map[string]*Document{}
	for _, file := range []string{"testdata/good/everything.yaml", "testdata/good/no-drive.yaml", "testdata/watchman.yaml"} {
		docs[file], _ = Parse(loadFile(t, file))
	}
	read := beside("testdata/good")
	whole := map[string]*Spec{}
	shared := 0
	for file, doc := range docs {
		whole[file], _ = doc.Decode(nil, read)
	}
	for file, doc := range docs {
		paths := allPaths(doc.root, nil)
		text := map[string][]byte{file: loadFile(t, file).Text}
		good := 0
		for seed := range uint64(800) {
			r := rand.New(rand.NewPCG(seed, 3))
			var texts []string
			for range 1 + r.IntN(3) {
				path := paths[r.IntN(len(paths))]
				value := values[r.IntN(len(values))]
				if text, ok := nudged(doc.root, path); ok && seed%2 == 0 {
					value = text
				}
				texts = append(texts, path+"="+value)
			}
			sets, msgs := ParseSets(texts)
			report(t, msgs)
			text["--set"] = []byte(strings.Join(texts, "\n"))
			s, msgs := doc.Decode(sets, read)
			again, others := whole[file].Variant(sets, read)
			if !reflect.DeepEqual(msgs, others) || s != nil && !reflect.DeepEqual(s.Model, again.Model) {
				t.Fatalf("%v: a variant is not what decoding all of it gives: %v and %v", texts, msgs, others)
			}
			if again != nil && again.Fresh != nil {
				shared++
			}
			for _, m := range msgs {
				inside(t, m, text)
			}
			if (s == nil) != (len(msgs) > 0) {
				t.Fatalf("%v: spec %v with %d messages", texts, s, len(msgs))
			}
			if s != nil {
				good++
				sound(t, s.Model)
			}
			if t.Failed() {
				t.Fatal(texts)
			}
		}
		if good < 50 || good > 400 {
			t.Errorf("%s: %d of 800 were good, so one side is hardly tried", file, good)
		}
	}
	if shared < 150 {
		t.Errorf("only %d variants shared parts with their base", shared)
	}
}

var decimal = regexp.MustCompile(`^(-?[0-9]+\.?[0-9]*)( .*|)$`)

// nudged returns the value at the path, if it is a number, a little greater.
func nudged(n *node, path string) (string, bool) {
	segments, _ := splitPath(path)
	for _, s := range segments {
		if i := n.find(s); i >= 0 {
			n = n.entries[i].value
		} else if i, ok := listIndex(s, len(n.items)); ok {
			n = n.items[i]
		}
	}
	m := decimal.FindStringSubmatch(n.text)
	if m == nil {
		return "", false
	}
	v, err := strconv.ParseFloat(m[1], 64)
	return fmt.Sprint(v+1) + m[2], err == nil
}

// allPaths lists the path of every value below the node.
func allPaths(n *node, trail []string) []string {
	var paths []string
	add := func(step string, below *node) {
		at := append(slices.Clone(trail), step)
		paths = append(paths, Path(at...))
		paths = append(paths, allPaths(below, at)...)
	}
	for _, e := range n.entries {
		add(e.key, e.value)
	}
	for i, item := range n.items {
		add(fmt.Sprint(i), item)
	}
	return paths
}

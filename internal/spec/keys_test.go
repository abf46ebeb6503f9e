package spec

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"understage/internal/mech"
	"understage/internal/units"

	"gopkg.in/yaml.v3"
)

// TestKeysAreRead: over all good specs the decoder looks for every key of the
// table, and for no other.
func TestKeysAreRead(t *testing.T) {
	files, err := filepath.Glob("testdata/good/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	asked := make(map[string]bool)
	for _, file := range files {
		doc, msgs := Parse(loadFile(t, file))
		report(t, msgs)
		if doc == nil {
			continue
		}
		d := newDecoder(beside("testdata/good"))
		d.asked = func(pattern string) { asked[pattern] = true }
		_, msgs = d.decode(doc.root, nil)
		report(t, msgs)
	}
	for _, k := range Keys() {
		if !asked[k.Path] {
			t.Errorf("no one reads %s", k.Path)
		}
		delete(asked, k.Path)
	}
	for pattern := range asked {
		t.Errorf("%s is read but not in the table", pattern)
	}
}

// TestKeyExamples: the decoder takes every example as a value of its key.
func TestKeyExamples(t *testing.T) {
	for _, k := range Keys() {
		if k.MayBe == "" && k.Path != "limits.NAME" && !strings.ContainsRune(k.Example, '…') {
			readExample(t, k, k.Example)
		}
	}
}

// readExample reads an example as the decoder reads the value of a key.
func readExample(t *testing.T, k Key, example string) {
	t.Helper()
	var y yaml.Node
	if err := yaml.Unmarshal([]byte(example), &y); err != nil {
		t.Errorf("%s: %q: %v", k.Path, example, err)
		return
	}
	d := newDecoder(nil)
	b := &builder{}
	p := &place{node: b.build(y.Content[0], b.place(&y), 0), schema: &schema{key: k}, index: -1}
	d.root = p
	switch k.Kind {
	case Quantity:
		d.quantity(p, k.Dimension, k.Bound)
	case Whole:
		d.wholeAt(p)
	case Pair:
		if k.Path != "cams.NAME.through.N" {
			d.pairAt(p, k.Dimension)
		}
	case Triple:
		d.tripleAt(p)
	case Word:
		if !slices.Contains(k.Words, example) {
			t.Errorf("%s: %q is not one of %v", k.Path, example, k.Words)
		}
	case List:
		d.items(p)
	case Mapping, Named:
		if p.node.kind != mapKind {
			t.Errorf("%s: %q is not a mapping", k.Path, example)
		}
	}
	report(t, d.msgs)
}

// TestKeyWords: where a key's words stand for values of package mech, they are
// the same words in the same order.
func TestKeyWords(t *testing.T) {
	words := map[string][]string{}
	for _, k := range Keys() {
		words[k.Path] = k.Words
	}
	for i, law := range mech.Laws {
		if got := words["cams.NAME.motion.N.law"][i]; got != law.String() {
			t.Errorf("law %d: %s, want %s", i, got, law)
		}
	}
	for i, event := range mech.BeatEvents {
		if got := words["beats.when"][i]; got != event.String() {
			t.Errorf("event %d: %s, want %s", i, got, event)
		}
	}
	for i := range 5 {
		if got := words["drive.gears.NAME.kind"][i]; got != mech.GearKind(i).String() {
			t.Errorf("gear kind %d: %s", i, got)
		}
		if shapeKeys[i] != mech.ShapeKind(i).String() {
			t.Errorf("shape %d: %s", i, shapeKeys[i])
		}
	}
	for i := range 3 {
		for path, want := range map[string]string{
			"cams.NAME.follower.kind": mech.FollowerKind(i).String(),
			"cams.NAME.follower.path": mech.FollowerPath(i).String(),
			"torso.pushes.NAME.by":    mech.PushKind(i).String(),
		} {
			if got := words[path][i]; got != want {
				t.Errorf("%s %d: %s, want %s", path, i, got, want)
			}
		}
	}
}

// TestDefaultTakeUpRange: the number in the code is the one in the table.
func TestDefaultTakeUpRange(t *testing.T) {
	for _, k := range Keys() {
		if k.Path == "drive.belts.NAME.take_up.range" {
			v, err := units.Parse(strings.Trim(strings.Split(k.Default, ",")[1], " ]"), units.Length, units.Defaults{})
			if err != nil || v != takeUpRange {
				t.Errorf("the table says %s, the code %d mm", k.Default, takeUpRange)
			}
		}
	}
}

package spec

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const goodShow = `understage: 1
show: Quayside
units: in
tempo: 52 per min
duration: 10 min
supply: {voltage: 4.8 V, limit: 2 A, resistance: 0.2 ohm, lead: 3 m}
battery: {capacity: 2400 mA·h, usable: 0.7}
figures:
  left: {file: sub/watchman.yaml, at: [-10, 0], turn: 15 deg, start: 2 s}
  right: {file: sub/watchman.yaml}
limits: {neighbour_gap: 30 mm}
`

// readShowFile gives the sample figure under one name.
func readShowFile(name string) ([]byte, error) {
	if name != "sub/watchman.yaml" {
		return nil, errors.New("no such file")
	}
	return os.ReadFile("testdata/watchman.yaml")
}

func TestShow(t *testing.T) {
	s, msgs, _ := LoadShow(Source{Name: "show.yaml", Text: []byte(goodShow)}, nil, readShowFile)
	report(t, msgs)
	if s == nil {
		t.Fatal("no show")
	}
	left := s.Figures[0]
	if left.At.X != -254 || left.Start != 2 || left.Model.Motor.Supply != 4.8 || s.Limits["neighbour_gap"] != 30 {
		t.Errorf("left figure %+v, limits %v", left, s.Limits)
	}
	if s.Figures[0].Model == s.Figures[1].Model {
		t.Error("two figures share one model")
	}
	if s.Supply.Usable != 0.7 || s.Supply.Capacity.Value != 2.4 || s.Duration != 600 {
		t.Errorf("supply %+v, duration %g s", s.Supply, s.Duration)
	}
}

func TestBadShow(t *testing.T) {
	cases := []struct{ old, new, path, text string }{
		{"file: sub/watchman.yaml, at", "file: gone.yaml, at", "figures.left.file", "cannot be read"},
		{"voltage: 4.8 V", "voltage: 7 V", "supply.voltage", "above the rating"},
		{"usable: 0.7", "usable: 1.7", "battery.usable", "1.7"},
		{"capacity: 2400 mA·h", "capacity: 2400 mA", "battery.capacity", "a current"},
		{"turn: 15 deg", "turns: 15 deg", "figures.left.turns", "unknown key"},
		{"show: Quayside\n", "", "show", "missing"},
		{"  left: {file: sub/watchman.yaml, at: [-10, 0], turn: 15 deg, start: 2 s}\n  right: {file: sub/watchman.yaml}\n", "  {}\n", "figures", "0 figures"},
	}
	for _, c := range cases {
		text := strings.Replace(goodShow, c.old, c.new, 1)
		s, msgs, _ := LoadShow(Source{Name: "show.yaml", Text: []byte(text)}, nil, readShowFile)
		if s != nil || len(msgs) == 0 || msgs[0].Path != c.path || !strings.Contains(msgs[0].Text, c.text) {
			t.Errorf("%s: %v, want a complaint of %q at %s", c.new, msgs, c.text, c.path)
		}
	}
}

// A fault in a figure's own spec points into that file.
func TestShowWithBadFigure(t *testing.T) {
	read := func(string) ([]byte, error) { return []byte("understage: 1\nmotor: {rated: 6 N}\n"), nil }
	s, msgs, texts := LoadShow(Source{Name: "show.yaml", Text: []byte(goodShow)}, nil, read)
	if s != nil || len(msgs) == 0 || msgs[0].Pos.File != "sub/watchman.yaml" || texts["sub/watchman.yaml"] == nil {
		t.Errorf("%v", msgs)
	}
}

// TestShowKeysAreRead: the decoder looks for every key of the show's table, and
// for no other.
func TestShowKeysAreRead(t *testing.T) {
	asked := map[string]bool{}
	doc, msgs := Parse(Source{Name: "show.yaml", Text: []byte(goodShow)})
	report(t, msgs)
	d := newDecoder(readShowFile)
	d.asked = func(pattern string) { asked[pattern] = true }
	d.root = &place{node: doc.root, schema: showTable(), index: -1}
	d.show(map[string][]byte{})
	report(t, d.msgs)
	for _, k := range ShowKeys() {
		if !asked[k.Path] {
			t.Errorf("no one reads %s", k.Path)
		}
		delete(asked, k.Path)
	}
	for pattern := range asked {
		t.Errorf("%s is read but not in the table", pattern)
	}
}

// TestShowReference: what docs/show.md says of keys is what the program reads.
func TestShowReference(t *testing.T) {
	file := filepath.Join("..", "..", "docs", "show.md")
	old, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("\n| key | value | left out | example | meaning |\n|---|---|---|---|---|\n")
	for _, k := range ShowKeys() {
		fmt.Fprintf(&b, "| `%s` | %s | %s | `%s` | %s |\n", k.Path, valueOf(k), cell(leftOut(k)), k.Example, cell(k.Meaning))
	}
	const begin, end = "<!-- keys: generated -->\n", "<!-- keys: end -->"
	before, rest, ok := strings.Cut(string(old), begin)
	_, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatal("docs/show.md has no place for the keys")
	}
	text := before + begin + b.String() + "\n" + end + after
	switch {
	case text == string(old):
	case *update:
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	default:
		t.Error("docs/show.md is stale: go test ./internal/spec -update")
	}
}

package spec

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"understage/internal/units"
)

var update = flag.Bool("update", false, "rewrite the generated parts of docs/spec.md")

var referenceFile = filepath.Join("..", "..", "docs", "spec.md")

// TestReference: what docs/spec.md says of keys and units is what the program
// reads.
func TestReference(t *testing.T) {
	old, err := os.ReadFile(referenceFile)
	if err != nil {
		t.Fatal(err)
	}
	text := string(old)
	for name, generated := range map[string]string{"units": unitReference(), "keys": keyReference()} {
		begin, end := "<!-- "+name+": generated -->\n", "<!-- "+name+": end -->"
		before, rest, ok := strings.Cut(text, begin)
		_, after, ok2 := strings.Cut(rest, end)
		if !ok || !ok2 {
			t.Fatalf("docs/spec.md has no place for the %s", name)
		}
		text = before + begin + generated + end + after
	}
	switch {
	case text == string(old):
	case *update:
		if err := os.WriteFile(referenceFile, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	default:
		t.Error("docs/spec.md is stale: go test ./internal/spec -update")
	}
}

// unitReference is the table of dimensions.
func unitReference() string {
	var b strings.Builder
	b.WriteString("\n| quantity | a bare number is in | also written |\n|---|---|---|\n")
	for _, d := range []units.Dimension{
		units.Length, units.Angle, units.Speed, units.Time, units.Mass, units.Force, units.Voltage, units.Current,
		units.Torque, units.Rate, units.SpringRate, units.WearRate, units.Pressure, units.Inertia,
		units.LinearSpeed, units.Acceleration,
	} {
		bare := d.Bare(units.Defaults{})
		switch {
		case d == units.Length:
			bare = "`units`: mm or in"
		case bare == "":
			bare = "not allowed"
		}
		fmt.Fprintf(&b, "| %s | %s | %s |\n", noun(d), bare, strings.Join(d.Units(), ", "))
	}
	return b.String() + "\n"
}

// noun is the dimension's name without its article.
func noun(d units.Dimension) string {
	_, name, _ := strings.Cut(d.Name(), " ")
	return name
}

// keyReference is one table for each key of the top.
func keyReference() string {
	var b strings.Builder
	section := ""
	for _, k := range Keys() {
		title, _, below := strings.Cut(k.Path, ".")
		if !below {
			title = "The top"
		}
		if title != section {
			section = title
			if title != "The top" {
				title = "`" + title + "`"
			}
			fmt.Fprintf(&b, "\n### %s\n\n| key | value | left out | example | meaning |\n|---|---|---|---|---|\n", title)
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | `%s` | %s |\n", k.Path, valueOf(k), cell(leftOut(k)), k.Example, cell(k.Meaning))
	}
	return b.String() + "\n"
}

func cell(s string) string { return strings.ReplaceAll(s, "|", "\\|") }

// leftOut says what happens without the key.
func leftOut(k Key) string {
	switch {
	case k.Required:
		return "required"
	case k.Default == "":
		return ""
	}
	return k.Default
}

// valueOf says in a few words what a value looks like.
func valueOf(k Key) string {
	measure := noun(k.Dimension)
	if k.Dimension == units.Number {
		measure = "number"
	}
	var s string
	switch k.Kind {
	case Mapping:
		s = "keys"
	case Named:
		s = "names"
	case List:
		s = "list"
	case Text:
		s = "text"
	case Word:
		s = "`" + strings.Join(k.Words, "`, `") + "`"
	case Reference:
		s = "name"
	case Quantity:
		s = k.Bound.prefix(measure)
	case Whole:
		s = k.Bound.prefix("whole number")
	case Pair:
		s = "two of " + measure
	case Triple:
		s = "three of " + measure
	case Flag:
		s = "`yes`, `no`"
	}
	if k.MayBe != "" {
		s += " or " + k.MayBe
	}
	return s
}

// TestKeyTable: every key has a meaning and an example, stands below the key
// that holds it and nowhere twice.
func TestKeyTable(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range Keys() {
		if seen[k.Path] {
			t.Errorf("%s stands twice", k.Path)
		}
		seen[k.Path] = true
		if i := strings.LastIndexByte(k.Path, '.'); i >= 0 && !seen[k.Path[:i]] && !strings.HasSuffix(k.Path, "."+nameStep) && !strings.HasSuffix(k.Path, "."+entryStep) {
			t.Errorf("%s stands before the key that holds it", k.Path)
		}
		if k.Meaning == "" || k.Example == "" || !strings.HasSuffix(k.Meaning, ".") {
			t.Errorf("%s: want an example, and a meaning that ends in a full stop", k.Path)
		}
		if k.Required && k.Default != "" {
			t.Errorf("%s is required and has a default", k.Path)
		}
		if k.Kind == Word && (len(k.Words) < 2 || k.Example == "") {
			t.Errorf("%s has no choice of words", k.Path)
		}
		checkExample(t, k)
	}
}

// checkExample: the examples of single values are what they claim to be.
func checkExample(t *testing.T, k Key) {
	t.Helper()
	switch k.Kind {
	case Quantity:
		if strings.HasPrefix(k.Path, "limits.") {
			return // of the rule's dimension
		}
		for _, text := range []string{k.Example, k.Default} {
			if text == "" || text == k.Default && !strings.ContainsAny(text[:1], "-0123456789") {
				continue
			}
			v, err := units.Parse(text, k.Dimension, units.Defaults{})
			if err != nil || k.Bound == Positive && v <= 0 || k.Bound == NotNegative && v < 0 {
				t.Errorf("%s: %q is not what it asks for: %v", k.Path, text, err)
			}
		}
	case Whole:
		if _, err := units.ParseCount(k.Example); err != nil {
			t.Errorf("%s: example %q: %v", k.Path, k.Example, err)
		}
	case Word:
		if !strings.Contains(" "+strings.Join(k.Words, " ")+" ", " "+k.Example+" ") {
			t.Errorf("%s: example %q is none of its words", k.Path, k.Example)
		}
	}
}

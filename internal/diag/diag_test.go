package diag

import (
	"fmt"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

func print(t *testing.T, list List, sources map[string][]byte, color bool) string {
	t.Helper()
	var b strings.Builder
	if err := Write(&b, list, sources, color); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestWrite(t *testing.T) {
	unit := Message{
		Pos:  Pos{"drive.yaml", 3, 9},
		Path: "cams.left.lift",
		Text: `unknown unit "mn"`,
		Want: "a length: mm, cm, m, in",
		Hint: "did you mean mm?",
	}
	source := []byte("\ufeffcams:\r\n  left:\r\n  lift: 8 mn\r\n\tbase: 3\n")
	for _, c := range []struct {
		name string
		list List
		want string
	}{
		{"full", List{unit}, "" +
			"drive.yaml:3:9: cams.left.lift: unknown unit \"mn\" (want a length: mm, cm, m, in)\n" +
			"  3 |   lift: 8 mn\n" +
			"    |         ^\n" +
			"  hint: did you mean mm?\n"},
		{"tabs kept", List{{Pos: Pos{"drive.yaml", 4, 8}, Text: "a tab"}}, "" +
			"drive.yaml:4:8: a tab\n  4 | \tbase: 3\n    | \t      ^\n"},
		{"whole file", List{{Pos: Pos{File: "empty.yaml"}, Text: "an empty file"}}, "empty.yaml: an empty file\n"},
		{"no column", List{{Pos: Pos{"drive.yaml", 3, 0}, Text: "x"}}, "drive.yaml:3: x\n"},
		{"no file", List{{Text: "x"}}, "x\n"},
		{"line beyond the end", List{{Pos: Pos{"drive.yaml", 99, 1}, Text: "x"}}, "drive.yaml:99:1: x\n"},
		{"column beyond the end", List{{Pos: Pos{"drive.yaml", 1, 50}, Text: "x"}},
			"drive.yaml:1:50: x\n  1 | cams:\n    |      ^\n"},
		{"set", List{{Pos: Pos{SetFile, 2, 7}, Path: "torso.pivot", Text: "found a torque"}},
			"--set torso.pivot=5 N·m: torso.pivot: found a torque\n"},
		{"sorted", List{
			{Pos: Pos{"b", 1, 1}, Text: "3"}, {Pos: Pos{"a", 2, 1}, Text: "2"}, {Pos: Pos{"a", 1, 9}, Text: "1"},
		}, "a:1:9: 1\na:2:1: 2\nb:1:1: 3\n"},
		{"controls", List{{Pos: Pos{"a\x1b[2J", 0, 0}, Path: "p\nq", Text: "t\x07\u202e\u009b", Hint: "h\r"}},
			"a␛[2J: p␊q: t␇\ufffd\ufffd\n  hint: h␍\n"},
	} {
		sources := map[string][]byte{"drive.yaml": source, SetFile: SetSource([]string{"a=1", "torso.pivot=5 N·m"})}
		if got := print(t, c.list, sources, false); got != c.want {
			t.Errorf("%s:\n got %q\nwant %q", c.name, got, c.want)
		}
	}
}

func TestWriteCutsAroundTheCaret(t *testing.T) {
	for _, c := range []struct {
		name string
		line string
		mark string // the rune under the caret
	}{
		{"far right", strings.Repeat("ab ", 100) + "X" + strings.Repeat(" cd", 100), "X"},
		{"near the start", "a: X" + strings.Repeat(" cd", 100), "X"},
		{"at the end", strings.Repeat("ab ", 100) + "X", "X"},
		{"tabs", strings.Repeat("\t", 100) + "X" + strings.Repeat("\tcd", 100), "X"},
		{"controls", strings.Repeat("\x1b[31m", 100) + "X", "X"},
		{"not text", strings.Repeat("\xff", 200) + "X", "X"},
	} {
		at := utf8.RuneCountInString(c.line[:strings.Index(c.line, c.mark)])
		list := List{{Pos: Pos{"f", 1, at + 1}, Text: "x"}}
		lines := strings.Split(print(t, list, map[string][]byte{"f": []byte(c.line)}, false), "\n")
		shown, caret := []rune(lines[1]), []rune(lines[2])
		if len(shown) > lineWidth || len(caret) > lineWidth {
			t.Errorf("%s: %d and %d columns", c.name, len(shown), len(caret))
		}
		if i := len(caret) - 1; caret[i] != '^' || string(shown[i]) != c.mark {
			t.Errorf("%s: caret off:\n%s\n%s", c.name, lines[1], lines[2])
		}
	}
}

func TestWriteWideRunes(t *testing.T) {
	got := print(t, List{{Pos: Pos{"f", 1, 4}, Text: "x"}}, map[string][]byte{"f": []byte("漢é\u0301X")}, false)
	if want := "f:1:4: x\n  1 | 漢é\u0301X\n    |    ^\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestWriteIsBounded(t *testing.T) {
	var list List
	for i := range 1234 {
		list = append(list, Message{Pos: Pos{"f", i + 1, 0}, Text: "x"})
	}
	got := print(t, list, nil, false)
	if n := strings.Count(got, "\n"); n != maxMessages+1 || !strings.HasSuffix(got, "\nand 1184 more\n") {
		t.Errorf("%d lines, ending %q", n, got[len(got)-20:])
	}
}

func TestWriteColor(t *testing.T) {
	got := print(t, List{{Pos: Pos{"f", 1, 1}, Text: "x"}}, map[string][]byte{"f": []byte("a")}, true)
	if want := "\x1b[1mf:1:1:\x1b[0m x\n  1 | a\n    | \x1b[1;31m^\x1b[0m\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestNear(t *testing.T) {
	known := []string{"base", "phase", "thickness", "follower", "amplitude", "id", "at", "mm", "MXL", "radius", "near_repeat", "pressure-angle"}
	for word, want := range map[string]string{
		"bas":             "", // three letters
		"bsae":            "base",
		"phas":            "phase",
		"Base":            "base",
		"mxl":             "MXL",
		"id":              "", // itself is no suggestion
		"ie":              "",
		"folower":         "follower",
		"thicknes":        "thickness",
		"thiknes":         "", // seven letters, two edits
		"amplitued":       "amplitude",
		"near-repeat":     "near_repeat",
		"presure-anlge":   "pressure-angle",
		"radii":           "",
		"":                "",
		"something else!": "",
	} {
		if got := Near(word, known); got != want {
			t.Errorf("Near(%q) = %q, want %q", word, got, want)
		}
	}
	if got := Near("cats", []string{"bats", "cast"}); got != "cast" {
		t.Errorf("same first letter first: got %q", got)
	}
}

// FuzzWrite: whatever stands in the source or the message, nothing but text,
// line ends and tabs reaches the terminal, and excerpts stay within 80 columns.
func FuzzWrite(f *testing.F) {
	f.Add("a: 1\n\tb: 漢", "text", 2, 3)
	f.Add(strings.Repeat("\x1b", 300), "\u202e", 1, 250)
	f.Fuzz(func(t *testing.T, source, text string, line, col int) {
		m := Message{Pos: Pos{"f", line, col}, Path: text, Text: text, Want: text, Hint: text}
		got := print(t, List{m}, map[string][]byte{"f": []byte(source)}, false)
		for _, r := range got {
			if r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp)) {
				t.Fatalf("%U reaches the terminal: %q", r, got)
			}
		}
		for i, l := range strings.Split(got, "\n") {
			if i == 1 && strings.Contains(l, " | ") && tabbedWidth([]rune(l)) > lineWidth {
				t.Fatalf("%d columns: %q", tabbedWidth([]rune(l)), l)
			}
		}
	})
}

func ExampleNear() {
	fmt.Println(Near("tickness", []string{"base", "thickness", "phase"}))
	// Output: thickness
}

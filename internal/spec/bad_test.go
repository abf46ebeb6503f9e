package spec

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"understage/internal/diag"
)

// beside returns a reader of files beside a spec in the directory.
func beside(directory string) ReadFile {
	return func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(directory, name)) }
}

var (
	errorMark    = regexp.MustCompile(` # ERROR((?: ` + "`[^`]*`" + `)+)`)
	errorPattern = regexp.MustCompile("`([^`]*)`")
)

// TestBadFiles: in testdata/bad a line with # ERROR `pattern` must draw a
// message "path: text" that matches, for each pattern one; every other line
// none.
func TestBadFiles(t *testing.T) {
	files, err := filepath.Glob("testdata/bad/*.yaml")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, file := range files {
		src := loadFile(t, file)
		s, msgs := Load(src, nil, beside("testdata/bad"))
		if s != nil {
			t.Errorf("%s: read without complaint", file)
		}
		want := make(map[int][]string) // by line
		for i, line := range strings.Split(string(src.Text), "\n") {
			for _, mark := range errorMark.FindAllStringSubmatch(line, -1) {
				for _, p := range errorPattern.FindAllStringSubmatch(mark[1], -1) {
					want[i+1] = append(want[i+1], p[1])
				}
			}
		}
		for _, m := range msgs {
			if !strike(want, m) {
				t.Errorf("%s:%d:%d: unmarked: %s: %s", m.Pos.File, m.Pos.Line, m.Pos.Col, m.Path, m.Text)
			}
		}
		for line, patterns := range want {
			for _, p := range patterns {
				t.Errorf("%s:%d: unmet: %s", file, line, p)
			}
		}
	}
}

// strike takes the mark that a message meets off the list.
func strike(want map[int][]string, m diag.Message) bool {
	patterns := want[m.Pos.Line]
	for i, p := range patterns {
		if matched, err := regexp.MatchString(p, m.Path+": "+m.Text); err == nil && matched {
			want[m.Pos.Line] = append(patterns[:i:i], patterns[i+1:]...)
			return true
		}
	}
	return false
}

// TestBadText: what is wrong with a whole file, or where no mark can stand.
func TestBadText(t *testing.T) {
	const head = "understage: 1\n"
	for _, c := range []struct {
		name, text string
		line, col  int
		pattern    string
	}{
		{"empty", "", 0, 0, "an empty file"},
		{"blank", "\n \n", 0, 0, "an empty file"},
		{"comment", "# nothing\n", 0, 0, "an empty file"},
		{"document mark", "---\n", 0, 0, "an empty file"},
		{"null", "~\n", 1, 1, "nothing"},
		{"a word", "hello\n", 1, 1, "a value"},
		{"a list", "- 1\n", 1, 1, "a list"},
		{"second document", head + "---\nfigure: b\n", 2, 1, "a second document"},
		{"second document, bad", head + "---\n- a\nb: c\n", 4, 1, "does not fit"},
		{"not UTF-8", head + "figure: d\xe9sir\xe9\n", 2, 10, "0xe9"},
		{"UTF-16", "\xff\xfeu\x00n\x00", 1, 1, "0xff"},
		{"control", head + "figure: a\x00b\n", 2, 10, "control character"},
		{"line separator", head + "figure: a\u2028b\n", 2, 10, "U.2028"},
		{"tab", head + "drive:\n\tview: plan\n", 3, 1, "a tab in the indentation"},
		{"tab after blanks", head + "drive:\n  \tview: plan\n  shafts: {}\n", 3, 3, "a tab in the indentation"},
		{"open bracket", head + "frame:\n  bed: [1, 2\nbeats: {}\n", 3, 3, "brackets"},
		{"open brace", head + "frame: {bed: [1, 2]\n", 2, 1, "braces"},
		{"open quote", head + "figure: \"abc\nunits: mm\n", 2, 1, "quote"},
		{"no blank after the colon", head + "figure:abc\nunits: mm\n", 2, 1, "without ': '"},
		{"two colons", head + "figure: a: b\n", 2, 1, "a second ': '"},
		{"uneven", head + "frame:\n    bed: [1, 2]\n  hole_allowance: 1\n", 4, 3, "does not fit"},
		{"uneven list", head + "a:\n  - b\n c: d\n", 4, 2, "does not fit"},
		{"stray dash", head + "a: - b\n", 2, 1, "a list entry"},
		{"at sign", head + "figure: @home\n", 2, 1, "no value starts with"},
		{"percent", head + "figure: %a\n", 2, 1, "no value starts with"},
		{"backslash", head + "figure: \"a\\qb\"\n", 2, 1, "escape"},
		{"unknown alias", head + "figure: *a\n", 2, 1, "an alias"},
		{"lone ampersand", head + "figure: &\n", 2, 1, "no name"},
		{"comma", head + "frame: {bed: [1,,2]}\n", 2, 1, "no value before it"},
		{"no version", "figure: a\n", 1, 1, `"understage" is missing`},
		{"other version", "understage: 3\n", 1, 13, `version "3"`},
		{"version 1.0", "understage: 1.0\n", 1, 13, `version "1.0"`},
		{"null version", "understage:\n", 1, 1, "missing value"},
		{"deep aliases", "understage: 1\nfigure: &a [*a]\n", 2, 9, "nested more than"},
	} {
		s, msgs := Load(Source{Name: "f.yaml", Text: []byte(c.text)}, nil, nil)
		if s != nil || len(msgs) == 0 {
			t.Errorf("%s: read without complaint", c.name)
			continue
		}
		m := msgs[0]
		if matched, _ := regexp.MatchString(c.pattern, m.Path+": "+m.Text); !matched || m.Pos.Line != c.line || m.Pos.Col != c.col || m.Pos.File != "f.yaml" {
			t.Errorf("%s: %+v, want %d:%d %s", c.name, msgs, c.line, c.col, c.pattern)
		}
	}
}

// TestHostile: text made to exhaust a reader draws a message, soon.
func TestHostile(t *testing.T) {
	bomb := "understage: 1\na0: &a0 [x, x, x, x, x, x, x, x, x, x]\n"
	for i := 1; i < 12; i++ {
		ref := "*a" + string(rune('a'+i-2)) + ", "
		if i == 1 {
			ref = "*a0, "
		}
		bomb += "a" + string(rune('a'+i-1)) + ": &a" + string(rune('a'+i-1)) + " [" + strings.Repeat(ref, 9) + strings.TrimSuffix(ref, ", ") + "]\n"
	}
	for name, text := range map[string]string{
		"alias bomb":        bomb,
		"100 MB":            strings.Repeat("understage: 1\n", 100<<20/14),
		"million entries":   "cams: [" + strings.Repeat("1,", 1_000_000) + "1]",
		"many entries":      "cams: [" + strings.Repeat("1,", MaxBytes/2-20) + "1]",
		"many block items":  "cams:\n" + strings.Repeat("- 1\n", MaxBytes/4-20),
		"many empty items":  "cams:\n" + strings.Repeat("-\n", MaxBytes/2-20),
		"many keys":         manyKeys(MaxBytes - 100),
		"same keys":         strings.Repeat("a: 1\n", MaxBytes/5-10),
		"deep brackets":     strings.Repeat("[", MaxBytes),
		"deep braces":       strings.Repeat("{", MaxBytes),
		"deep mappings":     strings.Repeat("{a: ", MaxBytes/4),
		"deep dashes":       strings.Repeat("- ", MaxBytes/2),
		"deep block":        deepBlock(1000),
		"deep keys":         strings.Repeat("? ", MaxBytes/2),
		"many documents":    strings.Repeat("---\n", MaxBytes/4),
		"many comments":     strings.Repeat("#\n", MaxBytes/2-10) + "a: 1",
		"one long word":     "figure: " + strings.Repeat("a", MaxBytes-10),
		"one long quantity": "understage: 1\nframe: {hole_allowance: " + strings.Repeat("1", MaxBytes-100) + "}",
		"one long key":      strings.Repeat("a", MaxBytes-10) + ": 1",
		"many anchors":      strings.Repeat("- &a a\n", MaxBytes/7),
		"open quote":        `a: "` + strings.Repeat("b ", MaxBytes/2-10),
		"many faults":       "understage: 1\nstock: {sprockets: {MXL: [" + strings.Repeat("x,", 40_000) + "x]}}",
	} {
		s, msgs := Load(Source{Name: "f.yaml", Text: []byte(text)}, nil, nil)
		if s != nil || len(msgs) == 0 {
			t.Errorf("%s: read without complaint", name)
		}
		if len(msgs) > maxMessages+1 {
			t.Errorf("%s: %d messages", name, len(msgs))
		}
		for _, m := range msgs {
			inside(t, m, map[string][]byte{"f.yaml": []byte(text)})
			if n := utf8.RuneCountInString(m.Path); n > 1000 {
				t.Errorf("%s: a path of %d characters", name, n)
			}
		}
	}
}

func manyKeys(size int) string {
	var b strings.Builder
	for i := 0; b.Len() < size; i++ {
		b.WriteString("a")
		for n := i; n > 0; n /= 10 {
			b.WriteByte(byte('0' + n%10))
		}
		b.WriteString(": 1\n")
	}
	return b.String()
}

func deepBlock(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

// inside fails when a message points outside its file.
func inside(t *testing.T, m diag.Message, sources map[string][]byte) {
	t.Helper()
	text, known := sources[m.Pos.File]
	if !known {
		t.Errorf("a message about %q: %s", m.Pos.File, m.Text)
		return
	}
	if m.Pos.Line == 0 {
		return
	}
	lines := bytes.Split(bytes.TrimPrefix(text, []byte("\ufeff")), []byte("\n"))
	if m.Pos.Line < 1 || m.Pos.Line > len(lines) || m.Pos.Col < 1 || m.Pos.Col > utf8.RuneCount(lines[m.Pos.Line-1])+1 {
		t.Errorf("%d:%d is outside the text: %s", m.Pos.Line, m.Pos.Col, m.Text)
	}
}

package spec

import (
	"strings"
	"testing"
)

// TestFigures: every file is a figure and the other way round, and no line is
// too long for a terminal of 130 columns.
func TestFigures(t *testing.T) {
	files, err := figureFiles.ReadDir("figures")
	if err != nil || len(files) != len(figureNames) {
		t.Fatalf("%d files for %d figures, %v", len(files), len(figureNames), err)
	}
	for _, f := range Figures() {
		if len(f.Text) == 0 || !strings.HasPrefix(f.Title, headline(f.Text)) {
			t.Errorf("%s: no text, or the title %q is not that of the file", f.Name, f.Title)
		}
		if _, msgs := Load(Source{Name: f.Name, Text: f.Text}, nil, nil); len(msgs) > 0 {
			t.Errorf("%s: %v", f.Name, msgs)
		}
		for i, line := range strings.Split(string(f.Text), "\n") {
			if len(line) > 130 {
				t.Errorf("%s.yaml:%d: %d columns", f.Name, i+1, len(line))
			}
		}
		if found, ok := FindFigure(strings.ToUpper(f.Name)); !ok || found.Title != f.Title {
			t.Errorf("%s is not found by name", f.Name)
		}
	}
	if _, ok := FindFigure("nobody"); ok {
		t.Error("a figure that is not there is found")
	}
}

// headline returns the figure's name as the text writes it.
func headline(text []byte) string {
	_, rest, _ := strings.Cut(string(text), "\nfigure: ")
	name, _, _ := strings.Cut(rest, "\n")
	return name
}

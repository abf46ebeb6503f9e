package spec

import (
	"os"
	"testing"

	"understage/internal/diag"
)

func loadFile(t testing.TB, name string) Source {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return Source{Name: name, Text: text}
}

func report(t testing.TB, msgs diag.List) {
	t.Helper()
	for _, m := range msgs {
		t.Errorf("%s:%d:%d: %s: %s (want %s) %s", m.Pos.File, m.Pos.Line, m.Pos.Col, m.Path, m.Text, m.Want, m.Hint)
	}
}

func TestWatchman(t *testing.T) {
	s, msgs := Load(loadFile(t, "testdata/watchman.yaml"), nil, nil)
	report(t, msgs)
	if s == nil {
		t.Fatal("no model")
	}
	m := s.Model
	if len(m.Shafts) != 4 || len(m.Belts) != 1 || len(m.Gears) != 1 || len(m.Cams) != 2 || len(m.Linkages) != 1 || m.Torso == nil || m.Beats == nil {
		t.Errorf("parts are missing: %+v", m)
	}
	if got := s.Position("drive.belts.loop.run.1.teeth"); got.Line != 25 || got.Col != 25 {
		t.Errorf("position %v", got)
	}
}

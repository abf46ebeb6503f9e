package cli

import (
	"fmt"
	"io"
	"strings"

	"understage/internal/report"
	"understage/internal/standard"
)

// sectionJSON is a belt system in explain --json.
type sectionJSON struct {
	Section string        `json:"section"`
	Form    string        `json:"form"`
	Aliases []string      `json:"aliases"`
	Values  []sectionFact `json:"values"`
	Lengths []sectionBelt `json:"lengths"`
}

// sectionFact is one published figure. At is the code, speed or width it holds
// at; Standing is read, derived, disputed or memory.
type sectionFact struct {
	Name     string       `json:"name"`
	Value    report.Value `json:"value"`
	Unit     string       `json:"unit"`
	At       string       `json:"at"`
	Standing string       `json:"standing"`
	Source   string       `json:"source"`
}

type sectionBelt struct {
	Code     string       `json:"code"`
	Teeth    int          `json:"teeth"`
	LengthMM report.Value `json:"length_mm"`
	Standing string       `json:"standing"`
	Source   string       `json:"source"`
}

func (a *app) explainSection(o outputOptions, s standard.Section) error {
	out := sectionJSON{Section: s.Name, Form: s.Form, Aliases: s.Aliases, Values: sectionFacts(s), Lengths: []sectionBelt{}}
	if out.Aliases == nil {
		out.Aliases = []string{}
	}
	for _, l := range s.Lengths {
		out.Lengths = append(out.Lengths, sectionBelt{l.Code, l.Teeth, report.Value(l.Length), string(l.Standing), l.Source})
	}
	return a.write(o, func(w io.Writer) error {
		if o.json {
			return writeJSON(w, out)
		}
		return writeBeltSystem(w, out)
	})
}

func sectionFacts(s standard.Section) []sectionFact {
	facts := []sectionFact{}
	add := func(name, unit, at string, d standard.Datum) {
		if d.OK {
			facts = append(facts, sectionFact{name, report.Value(d.Value), unit, at, string(d.Standing), d.Source})
		}
	}
	add("pitch", "mm", "", s.Pitch)
	add("height", "mm", "", s.Height)
	add("tooth height", "mm", "", s.ToothHeight)
	add("pitch line above sprocket tips", "mm", "", s.PitchLine)
	add("back above pitch line", "mm", "", s.Back)
	for _, w := range s.Widths {
		at := ""
		if w.Code != "" {
			at = "code " + w.Code
		}
		add("width", "mm", at, w.Datum)
	}
	for _, l := range s.LeastTeeth {
		add("least teeth", "teeth", fmt.Sprintf("to %g rpm", l.UpTo), l.Datum)
	}
	add("least teeth with a pulley on the back", "teeth", "", s.LeastTeethBack)
	add("allowable tension", "N", fmt.Sprintf("%g mm wide", s.Tension.Width), s.Tension.Datum)
	add("mass", "kg/m", fmt.Sprintf("%g mm wide", s.Mass.Width), s.Mass.Datum)
	return facts
}

// writeBeltSystem prints the figures, each source once, and the lengths.
func writeBeltSystem(w io.Writer, s sectionJSON) error {
	t := report.Table{Title: fmt.Sprintf("Belt system %s, %s", s.Section, s.Form), Columns: []report.Column{
		{Head: "figure"}, {Head: "value", Right: true}, {Head: "unit"}, {Head: "at"}, {Head: "standing"}, {Head: "source", Right: true},
	}}
	var sources []string
	number := func(source string) string {
		for i, known := range sources {
			if known == source {
				return fmt.Sprint(i + 1)
			}
		}
		sources = append(sources, source)
		return fmt.Sprint(len(sources))
	}
	for _, f := range s.Values {
		t.Rows = append(t.Rows, []string{f.Name, fmt.Sprintf("%g", float64(f.Value)), f.Unit, f.At, f.Standing, number(f.Source)})
	}
	if len(s.Aliases) > 0 {
		t.Notes = append(t.Notes, "Also written "+strings.Join(s.Aliases, ", ")+".")
	}
	if len(s.Lengths) == 0 {
		t.Notes = append(t.Notes, "No list of lengths is known.")
	} else {
		var codes []string
		for _, l := range s.Lengths {
			mark := ""
			if !standard.Standing(l.Standing).Firm() {
				mark = "*"
			}
			codes = append(codes, fmt.Sprintf("%s%s (%d)", l.Code, mark, l.Teeth))
			number(l.Source)
		}
		t.Notes = append(t.Notes, "Standard belts (teeth), from memory where starred: "+strings.Join(codes, ", ")+".")
	}
	for i, source := range sources {
		t.Notes = append(t.Notes, fmt.Sprintf("%d: %s.", i+1, source))
	}
	return t.Write(w, textWidth)
}

package report

import (
	"io"
	"strings"
)

// Belts is what the belt command says.
type Belts struct {
	Version  int          `json:"version"`
	Figure   string       `json:"figure"`
	Belts    []BeltDetail `json:"belts"`
	Choices  *Choices     `json:"choices,omitempty"`
	Findings []Finding    `json:"findings"`
}

// WriteText prints the belts, what could be chosen instead, and the findings.
func (r *Belts) WriteText(w io.Writer, style Style) error {
	var b strings.Builder
	b.WriteString(style.paint(Tally(r.Findings), verdictColor(r.Findings)) + "\n\n")
	var tables []Table
	for _, d := range r.Belts {
		tables = append(tables, BeltDetailTables(d, style.Units)...)
	}
	if r.Choices != nil {
		tables = append(tables, choiceTable(r.Choices, style.Units))
	}
	for _, t := range tables {
		if err := t.Write(&b, style.Width); err != nil {
			return err
		}
		b.WriteString("\n")
	}
	writeFindings(&b, r.Findings, style)
	_, err := io.WriteString(w, b.String())
	return err
}

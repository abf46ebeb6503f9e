package report

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Table is one block of a text report.
type Table struct {
	Title   string
	Columns []Column
	Rows    [][]string
	Notes   []string // sentences under the table, wrapped to the width
}

// Column heads one column. Numbers stand right.
type Column struct {
	Head  string
	Right bool
}

// Write prints the table, no line longer than width where the cells allow it.
// Cells are padded by rune count and trailing blanks are dropped.
func (t Table) Write(w io.Writer, width int) error {
	var b strings.Builder
	if t.Title != "" {
		b.WriteString(t.Title + "\n")
	}
	if len(t.Columns) > 0 {
		widths := make([]int, len(t.Columns))
		heads := make([]string, len(t.Columns))
		for i, c := range t.Columns {
			heads[i] = c.Head
			widths[i] = utf8.RuneCountInString(c.Head)
			for _, row := range t.Rows {
				widths[i] = max(widths[i], utf8.RuneCountInString(row[i]))
			}
		}
		for _, row := range append([][]string{heads}, t.Rows...) {
			line := "  "
			for i, cell := range row {
				pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
				if t.Columns[i].Right {
					cell = pad + cell
				} else {
					cell += pad
				}
				if i > 0 {
					line += "  "
				}
				line += cell
			}
			b.WriteString(strings.TrimRight(line, " ") + "\n")
		}
	}
	for _, note := range t.Notes {
		b.WriteString(Wrap(note, width, "  "))
	}
	_, err := fmt.Fprint(w, b.String())
	return err
}

// Wrap breaks text at blanks into lines of at most width runes, each led by
// the indent and ended by a newline. A longer word stands alone.
func Wrap(text string, width int, indent string) string {
	var b strings.Builder
	line := indent
	for _, word := range strings.Fields(text) {
		if line != indent && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			b.WriteString(line + "\n")
			line = indent
		}
		if line != indent {
			line += " "
		}
		line += word
	}
	return b.String() + line + "\n"
}

func finite(f float64) bool { return f-f == 0 }

// fixed writes f with the given decimals, a dash when it is not finite, and
// never a negative zero.
func fixed(f float64, decimals int) string {
	if !finite(f) {
		return "-"
	}
	s := fmt.Sprintf("%.*f", decimals, f)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

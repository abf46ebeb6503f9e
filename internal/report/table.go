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

// Write prints the table to the given width in runes. Where the cells do not
// fit, the last column is broken at blanks and goes on below its own head, and
// names are cut; where that is not enough, the columns come in several blocks,
// each led by the first. Cells are padded by rune count and trailing blanks are
// dropped.
func (t Table) Write(w io.Writer, width int) error {
	var b strings.Builder
	if t.Title != "" {
		b.WriteString(Wrap(t.Title, width, ""))
	}
	for i, block := range t.blocks(width) {
		if i > 0 {
			b.WriteString("\n")
		}
		block.writeRows(&b, width)
	}
	for _, note := range t.Notes {
		b.WriteString(Wrap(note, width, "  "))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// blocks splits the columns so that each block fits the width.
func (t Table) blocks(width int) []Table {
	switch {
	case len(t.Columns) == 0:
		return nil
	case t.fits(width):
		return []Table{t}
	}
	var blocks []Table
	taken := []int{0}
	for i := 1; i < len(t.Columns); i++ {
		if len(taken) > 1 && !t.columns(append(taken, i)).fits(width) {
			blocks = append(blocks, t.columns(taken))
			taken = []int{0}
		}
		taken = append(taken, i)
	}
	return append(blocks, t.columns(taken))
}

// fits reports whether the rows, names cut, keep to the width.
func (t Table) fits(width int) bool {
	widths := t.widths()
	return t.narrow(widths, width) <= width
}

// columns returns a table of the columns of those numbers.
func (t Table) columns(numbers []int) Table {
	var part Table
	for _, i := range numbers {
		part.Columns = append(part.Columns, t.Columns[i])
	}
	for _, row := range t.Rows {
		cells := make([]string, len(numbers))
		for k, i := range numbers {
			cells[k] = row[i]
		}
		part.Rows = append(part.Rows, cells)
	}
	return part
}

// widths returns how wide each column is, in runes.
func (t Table) widths() []int {
	widths := make([]int, len(t.Columns))
	for i, c := range t.Columns {
		widths[i] = utf8.RuneCountInString(c.Head)
		for _, row := range t.Rows {
			widths[i] = max(widths[i], utf8.RuneCountInString(row[i]))
		}
	}
	return widths
}

func (t Table) writeRows(b *strings.Builder, width int) {
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Head
	}
	widths := t.widths()
	last := len(widths) - 1
	t.narrow(widths, width)
	left := 0 // runes before the last column
	for _, n := range widths[:last] {
		left += n + 2
	}
	for _, row := range append([][]string{heads}, t.Rows...) {
		var line strings.Builder
		for i, cell := range row[:last] {
			line.WriteString("  " + pad(cell, widths[i], t.Columns[i].Right))
		}
		if t.Columns[last].Right || left+2+utf8.RuneCountInString(row[last]) <= width {
			line.WriteString("  " + pad(row[last], widths[last], t.Columns[last].Right))
			b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
			continue
		}
		b.WriteString(line.String() + "  " + hanging(row[last], left+2, width))
	}
}

// leastName is how far a column of names may be cut down, and leastText what is
// left for the last column to wrap in.
const (
	leastName = 8
	leastText = 12
)

// narrow cuts the widest columns of names down until the rows fit, and returns
// how wide they then are. Numbers are never cut, nor is a column without a head,
// which says what each row is.
func (t Table) narrow(widths []int, width int) int {
	last := len(widths) - 1
	total := 0
	for i, n := range widths {
		if i == last && !t.Columns[last].Right {
			n = min(n, leastText) // it wraps
		}
		total += n + 2
	}
	for ; total > width; total-- {
		widest := -1
		for i, c := range t.Columns[:last] {
			if !c.Right && c.Head != "" && widths[i] > leastName && (widest < 0 || widths[i] > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			break
		}
		widths[widest]--
	}
	return total
}

// pad fills a cell to n runes, or cuts it to as many with a mark that it was.
func pad(cell string, n int, right bool) string {
	if over := utf8.RuneCountInString(cell) - n; over > 0 {
		return string([]rune(cell)[:n-1]) + "…"
	}
	blanks := strings.Repeat(" ", n-utf8.RuneCountInString(cell))
	if right {
		return blanks + cell
	}
	return cell + blanks
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

// hanging wraps text whose first line already holds indent runes; the other
// lines are indented by as much.
func hanging(text string, indent, width int) string {
	blanks := strings.Repeat(" ", indent)
	return strings.TrimPrefix(Wrap(text, width, blanks), blanks)
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

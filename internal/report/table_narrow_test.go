package report

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// TestTableNarrow: names give way to keep a table within its width, numbers
// never do, and names of eight runes stay whole.
func TestTableNarrow(t *testing.T) {
	table := Table{
		Columns: []Column{{Head: "name"}, {Head: "of"}, {Head: "mm", Right: true}},
		Rows:    [][]string{{"a name that goes on", "another that does", "1234567.89"}, {"short", "one", "2.00"}},
	}
	for width, want := range map[int]string{
		80: "  a name that goes on  another that does  1234567.89\n",
		40: "  a name that…  another tha…  1234567.89\n",
		32: "  a name …  another…  1234567.89\n",
	} {
		var b strings.Builder
		if err := table.Write(&b, width); err != nil {
			t.Fatal(err)
		}
		lines := strings.SplitAfter(b.String(), "\n")
		if lines[1] != want {
			t.Errorf("width %d: %q, want %q", width, lines[1], want)
		}
		if n := utf8.RuneCountInString(lines[1]) - 1; n > width {
			t.Errorf("width %d: a row of %d", width, n)
		}
		if !strings.HasSuffix(lines[2], " 2.00\n") {
			t.Errorf("width %d: %q", width, lines[2])
		}
	}
}

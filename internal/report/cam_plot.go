package report

import (
	"fmt"
	"math"
	"strings"

	"understage/internal/solve"
)

// The lift plot has this many lines; its columns follow the width.
const (
	camPlotLines = 9
	camPlotLeast = 24 // columns
)

// camPlot draws the lift over a turn as text, no wider than width runes. plain
// keeps to ASCII.
func camPlot(c *solve.Cam, unit string, u Units, width int, plain bool) string {
	e := c.LiftRange()
	label := func(s float64) string {
		if unit == "deg" {
			return fixed(s*180/math.Pi, 1)
		}
		return u.Length(Value(s))
	}
	top, bottom := label(e.Max.Value), label(e.Min.Value)
	margin := max(len(top), len(bottom)) + 2
	columns := max(width-margin-3, camPlotLeast)
	mark, bar, corner, floor := "*", "|", "+", "-"
	if !plain {
		mark, bar, corner, floor = "•", "│", "└", "─"
	}
	grid := make([][]string, camPlotLines)
	for i := range grid {
		grid[i] = strings.Split(strings.Repeat(" ", columns), "")
	}
	span := e.Max.Value - e.Min.Value
	line := func(s float64) int {
		if span == 0 {
			return camPlotLines - 1
		}
		return camPlotLines - 1 - int(math.Round((s-e.Min.Value)/span*float64(camPlotLines-1)))
	}
	last := -1
	for x := range columns {
		at := min(max(line(c.Lift(2*math.Pi*(float64(x)+0.5)/float64(columns)).S), 0), camPlotLines-1)
		grid[at][x] = mark
		// A steep flank is drawn through, so that no column stands alone.
		for y := min(at, last) + 1; last >= 0 && y < max(at, last); y++ {
			grid[y][x] = mark
		}
		last = at
	}
	var b strings.Builder
	for i, row := range grid {
		head := ""
		switch i {
		case 0:
			head = top
		case camPlotLines - 1:
			head = bottom
		}
		b.WriteString(strings.TrimRight(fmt.Sprintf("%*s %s%s", margin, head, bar, strings.Join(row, "")), " ") + "\n")
	}
	b.WriteString(fmt.Sprintf("%*s %s%s\n", margin, "", corner, strings.Repeat(floor, columns)))
	axis := []rune(strings.Repeat(" ", columns+4))
	for _, deg := range []int{0, 90, 180, 270, 360} {
		at := deg * (columns - 1) / 360
		text := fmt.Sprint(deg)
		at = min(at, columns-len(text))
		copy(axis[at:], []rune(text))
	}
	b.WriteString(strings.TrimRight(fmt.Sprintf("%*s  %s", margin, "", string(axis)), " ") + "\n")
	return b.String()
}

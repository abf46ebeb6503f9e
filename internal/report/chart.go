package report

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"understage/internal/mech"
	"understage/internal/solve"
)

// Chart is what every moving part does when. Times are from motor turn 0.
type Chart struct {
	Version    int        `json:"version"`
	Figure     string     `json:"figure"`
	Over       string     `json:"over"` // a shaft, one turn of it; or "repeat"
	MotorTurns Value      `json:"motor_turns"`
	Seconds    Value      `json:"seconds"` // null without a motor that runs
	Rows       []ChartRow `json:"rows"`

	turnsToDeg float64 // degrees of the shaft per motor turn; 0 over the repeat
}

// ChartRow is one moving part. Low, high, start and end are in Unit.
type ChartRow struct {
	Part     string      `json:"part"`
	Quantity string      `json:"quantity"`
	Unit     string      `json:"unit"`
	Posed    bool        `json:"posed"` // false where it cannot be posed all through
	Low      Value       `json:"low"`
	High     Value       `json:"high"`
	Spans    []ChartSpan `json:"spans"`
}

// ChartSpan is one stretch of a row; a beat or sudden drop has no length.
// Degrees are of the shaft the chart runs over, null over the repeat.
type ChartSpan struct {
	Kind      string `json:"kind"` // rise, dwell, fall, beat
	FromTurns Value  `json:"from_turns"`
	ToTurns   Value  `json:"to_turns"`
	FromDeg   Value  `json:"from_deg"`
	ToDeg     Value  `json:"to_deg"`
	FromS     Value  `json:"from_s"`
	ToS       Value  `json:"to_s"`
	Start     Value  `json:"start"`
	End       Value  `json:"end"`
}

// BuildChart lays a chart out. shaft is the one it runs a turn of, or None over
// the repeat.
func BuildChart(m *mech.Model, s *solve.Solution, c *solve.Chart, shaft int) *Chart {
	out := &Chart{Version: Version, Figure: m.Name, Over: "repeat", MotorTurns: Value(c.Turns), Seconds: Null, Rows: []ChartRow{}}
	period := math.NaN()
	if m.Motor != nil && s.Motor.RunningSpeed > 0 {
		period = 2 * math.Pi / s.Motor.RunningSpeed
		out.Seconds = Value(c.Turns * period)
	}
	degPerTurn := math.NaN()
	if shaft != mech.None {
		out.Over = m.Shafts[shaft].Name
		degPerTurn = 360 * math.Abs(s.Drive.Ratios[shaft].Float())
		out.turnsToDeg = degPerTurn
	}
	for _, r := range c.Rows {
		row := ChartRow{Part: r.Part, Quantity: r.Quantity, Unit: "mm", Posed: !r.Unposed, Low: Null, High: Null, Spans: []ChartSpan{}}
		unit := 1.0
		if r.Angle {
			row.Unit, unit = "deg", degreesPerRadian
		}
		if len(r.Spans) > 0 && r.Quantity != "beat" {
			row.Low, row.High = Value(r.Low*unit), Value(r.High*unit)
		}
		for _, p := range r.Spans {
			row.Spans = append(row.Spans, ChartSpan{
				Kind: p.Kind.String(), FromTurns: Value(p.From), ToTurns: Value(p.To),
				FromDeg: Value(p.From * degPerTurn), ToDeg: Value(p.To * degPerTurn),
				FromS: Value(p.From * period), ToS: Value(p.To * period),
				Start: quiet(p.Start * unit), End: quiet(p.End * unit),
			})
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

// quiet prints a picometre as nothing: it is rounding, not motion.
func quiet(v float64) Value {
	if math.Abs(v) < 1e-9 {
		return 0
	}
	return Value(v)
}

// WriteCSV prints one line per stretch.
func (c *Chart) WriteCSV(w io.Writer) error {
	b := []byte("part,quantity,unit,kind,from_turns,to_turns,from_deg,to_deg,from_s,to_s,start,end\n")
	for _, r := range c.Rows {
		for _, s := range r.Spans {
			b = AppendCSV(b, r.Part)
			b = append(b, ',')
			b = AppendCSV(b, r.Quantity)
			b = append(b, ","+r.Unit+","+s.Kind...)
			for _, v := range [...]Value{s.FromTurns, s.ToTurns, s.FromDeg, s.ToDeg, s.FromS, s.ToS, s.Start, s.End} {
				b = append(b, ',')
				if finite(float64(v)) {
					b = v.Append(b)
				}
			}
			b = append(b, '\n')
		}
	}
	_, err := w.Write(b)
	return err
}

// Marks of a chart's text. Plain letters and signs, so that it reads the same
// in a pipe, in a mail and without color.
const (
	markRise, markFall, markDwell  = '/', '\\', '-'
	markDrop, markLeap, markBeat   = '|', '!', '*'
	markMany                       = '~' // more than one thing in one cell
	chartCellsLeast, chartNameMost = 24, 28
)

// WriteText prints the chart, a row to each part, in lines of at most the width.
func (c *Chart) WriteText(w io.Writer, u Units, width int) error {
	var b strings.Builder
	over := "one turn of " + c.Over
	if c.Over == "repeat" && c.turnsToDeg == 0 {
		over = "the whole repeat"
	}
	title := fmt.Sprintf("Timing over %s: %s motor turns", over, strconv.FormatFloat(float64(c.MotorTurns), 'f', 3, 64))
	if finite(float64(c.Seconds)) {
		title += ", " + fixed(float64(c.Seconds), 1) + " s"
	}
	b.WriteString(Wrap(title, width, ""))
	names, most := c.rowNames()
	cells := max(width-2-most-2, chartCellsLeast)
	b.WriteString(c.ruler(most, cells))
	for i := range c.Rows {
		name := names[i] + strings.Repeat(" ", most-utf8.RuneCountInString(names[i]))
		b.WriteString(strings.TrimRight("  "+name+"  "+string(c.Rows[i].marks(cells, float64(c.MotorTurns))), " ") + "\n")
	}
	b.WriteString(Wrap("/ rise, \\ fall, - dwell, | sudden drop, ! sudden rise, * beat, ~ more than one of them in a place", width, "  "))
	b.WriteString("\n")
	if err := c.valueTable(names, u).Write(&b, width); err != nil {
		return err
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// rowNames returns short names for the rows and the widest.
func (c *Chart) rowNames() (names []string, most int) {
	for _, r := range c.Rows {
		name := strings.TrimPrefix(strings.TrimPrefix(r.Part, "cams."), "linkages.")
		if r.Quantity != "beat" && r.Quantity != "lift" {
			name += " " + r.Quantity
		}
		if runes := []rune(name); len(runes) > chartNameMost {
			name = string(runes[:chartNameMost-1]) + "…"
		}
		names = append(names, name)
		most = max(most, utf8.RuneCountInString(name))
	}
	return names, most
}

// ruler numbers the cells: degrees of the shaft, or motor turns.
func (c *Chart) ruler(indent, cells int) string {
	const marks = 4
	line := []rune(strings.Repeat(" ", 2+indent+2+cells))
	for k := range marks + 1 {
		at := 2 + indent + 2 + k*(cells-1)/marks
		label := strconv.Itoa(k * 360 / marks)
		if c.turnsToDeg == 0 {
			label = strconv.FormatFloat(float64(c.MotorTurns)*float64(k)/marks, 'g', 4, 64)
		}
		if k == marks {
			at = len(line) - len(label)
		}
		copy(line[at:], []rune(label))
	}
	unit := "deg"
	if c.turnsToDeg == 0 {
		unit = "motor turns"
	}
	if len(unit) <= indent {
		copy(line[2:], []rune(unit))
	}
	return strings.TrimRight(string(line), " ") + "\n"
}

// marks draws a row. A cell shows what fills more than half of it; instants win
// over stretches.
func (r *ChartRow) marks(cells int, turns float64) []rune {
	line := []rune(strings.Repeat(" ", cells))
	if !r.Posed {
		return []rune("cannot be posed all through")
	}
	share := make([]float64, cells)
	count := make([]int, cells)
	for _, s := range r.Spans {
		from, to := float64(s.FromTurns)/turns*float64(cells), float64(s.ToTurns)/turns*float64(cells)
		mark := s.mark()
		if s.FromTurns == s.ToTurns {
			at := min(int(from), cells-1)
			if share[at] == math.Inf(1) && line[at] != mark {
				mark = markMany
			}
			line[at], share[at] = mark, math.Inf(1)
			continue
		}
		for at := max(int(from), 0); at < cells && float64(at) < to; at++ {
			part := math.Min(to, float64(at+1)) - math.Max(from, float64(at))
			if part > 1e-6 {
				count[at]++
			}
			if part > share[at] {
				line[at], share[at] = mark, part
			}
		}
	}
	for at, n := range count {
		if n > 3 && !math.IsInf(share[at], 1) {
			line[at] = markMany
		}
	}
	return line
}

func (s *ChartSpan) mark() rune {
	instant := s.FromTurns == s.ToTurns
	switch s.Kind {
	case "beat":
		return markBeat
	case "rise":
		if instant {
			return markLeap
		}
		return markRise
	case "fall":
		if instant {
			return markDrop
		}
		return markFall
	}
	return markDwell
}

// valueTable says between what each row moves.
func (c *Chart) valueTable(names []string, u Units) Table {
	t := Table{Columns: []Column{{Head: "part"}, {Head: "from", Right: true}, {Head: "to", Right: true}, {Head: "unit"}, {Head: "stretches", Right: true}}}
	for i, r := range c.Rows {
		if r.Quantity == "beat" {
			t.Rows = append(t.Rows, []string{names[i], "", "", "beats", strconv.Itoa(len(r.Spans))})
			continue
		}
		write, unit := u.Length, u.LengthName()
		if r.Unit == "deg" {
			write, unit = u.Degrees, "deg"
		}
		t.Rows = append(t.Rows, []string{names[i], write(r.Low), write(r.High), unit, strconv.Itoa(len(r.Spans))})
	}
	return t
}

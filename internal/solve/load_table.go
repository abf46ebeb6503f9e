package solve

import "math"

// loadTable holds functions of one or two angles, side by side, and reads them
// by cubics along each angle within a piece that has no kinks.
type loadTable struct {
	first, second loadNodes
	single        bool // of one angle: the second
	rows, columns int
	functions     int       // values at each node
	values        []float64 // [row][column][function]

	// spans are the least and greatest of each function in each cell, windows in
	// loadWindow cells from each on along every angle: [row][column][function];
	// whole those in all.
	spans, windows [][2]float64
	whole          [][2]float64

	// off is how far below and above what is read the functions may lie, in cells
	// beside a kink and in others.
	off [2][groupTorques][2]float64
}

const (
	loadWindow = 4
	// loadBend is the share of the second differences about a cell that what is
	// read may go beyond its corners by: an eighth for a parabola, and some more.
	loadBend = 1. / 6
)

func newLoadTable(first, second loadNodes, single bool, functions int) *loadTable {
	t := &loadTable{first: first, second: second, single: single, rows: len(first.x), columns: len(second.x), functions: functions}
	if single {
		t.rows = 1
	}
	t.values = make([]float64, t.rows*t.columns*functions)
	return t
}

// point returns room for the values at a node.
func (t *loadTable) point(row, column int) []float64 {
	at := (row*t.columns + column) * t.functions
	return t.values[at : at+t.functions]
}

// add adds the functions at the angles to out.
func (t *loadTable) add(x, y float64, out []float64) {
	column, across := t.second.taps(y)
	row, down, taps := 0, [4]float64{1}, 1
	if !t.single {
		row, down = t.first.taps(x)
		taps = 4
	}
	n := t.functions
	for i := range taps {
		line := t.values[((row+i)*t.columns+column)*n:][:4*n]
		if n == 2 { // as most are
			l := (*[8]float64)(line)
			out[0] += down[i] * (across[0]*l[0] + across[1]*l[2] + across[2]*l[4] + across[3]*l[6])
			out[1] += down[i] * (across[0]*l[1] + across[1]*l[3] + across[2]*l[5] + across[3]*l[7])
			continue
		}
		for j, a := range across {
			w := down[i] * a
			for f, v := range line[j*n:][:n] {
				out[f] += w * v
			}
		}
	}
}

// offAt returns how far off what is read at the angles may be.
func (t *loadTable) offAt(x, y float64) *[groupTorques][2]float64 {
	beside := t.second.beside(t.second.find(y))
	if !t.single {
		beside = beside || t.first.beside(t.first.find(x))
	}
	return t.offIn(beside)
}

// offIn returns how far off what is read in a cell may be.
func (t *loadTable) offIn(beside bool) *[groupTorques][2]float64 {
	if beside {
		return &t.off[0]
	}
	return &t.off[1]
}

// allowOff lets what is read be off by a share of a function's range.
func (t *loadTable) allowOff(share float64) {
	for f := range t.functions {
		span := emptySpan
		for i := f; i < len(t.values); i += t.functions {
			span = [2]float64{min(span[0], t.values[i]), max(span[1], t.values[i])}
		}
		off := share * (span[1] - span[0])
		t.off[0][f], t.off[1][f] = [2]float64{off, off}, [2]float64{off, off}
	}
}

// within sets the spans of the functions between two angles of each axis.
func (t *loadTable) within(x, y [2]float64, span [][2]float64) {
	if t.spans == nil {
		t.bound()
	}
	rowFrom, rowTo, rows := 0, 1, 1
	if !t.single {
		rows = t.first.cells
		rowFrom, rowTo = t.first.reach(x)
	}
	from, to := t.second.reach(y)
	columns, n := t.second.cells, t.functions
	if to-from == columns && rowTo-rowFrom == rows {
		copy(span, t.whole[:n])
		return
	}
	bounds, step := t.windows, loadWindow
	if (rowTo-rowFrom)*(to-from) < loadWindow*loadWindow {
		bounds, step = t.spans, 1
	}
	span = span[:n]
	for f := range span {
		span[f] = emptySpan
	}
	for row := rowFrom; row < rowTo; row += step {
		r := max(rowFrom, min(row, rowTo-step)) % rows
		for column := from; column < to; column += step {
			c := max(from, min(column, to-step)) % columns
			for f, b := range bounds[(r*columns+c)*n:][:n] {
				span[f] = [2]float64{min(span[f][0], b[0]), max(span[f][1], b[1])}
			}
		}
	}
}

var emptySpan = [2]float64{math.Inf(1), math.Inf(-1)}

// bound prepares the bounds.
func (t *loadTable) bound() {
	bends := t.bends()
	rows, columns, n := 1, t.second.cells, t.functions
	if !t.single {
		rows = t.first.cells
	}
	t.spans = make([][2]float64, rows*columns*n)
	at := 0
	t.first.eachCell(t.single, func(row int, edge bool) {
		t.second.eachCell(false, func(column int, beside bool) {
			t.spanCell(row, column, bends, t.offIn(edge || beside), t.spans[at:][:n])
			at += n
		})
	})
	t.whole = append(t.whole, t.spans[:n]...)
	for i, b := range t.spans {
		t.whole[i%n] = [2]float64{min(t.whole[i%n][0], b[0]), max(t.whole[i%n][1], b[1])}
	}
	t.windows = gatherWindows(t.spans, rows, columns, n)
}

// eachCell calls f with the first node of each cell, and whether the cell lies
// beside a kink.
func (n *loadNodes) eachCell(single bool, f func(node int, beside bool)) {
	if single {
		f(0, false)
		return
	}
	for i := range n.pieces {
		p := &n.pieces[i]
		for k := range p.cells {
			f(p.node+k, n.beside(p, float64(k)))
		}
	}
}

// spanCell bounds the functions in the cell from a node on.
func (t *loadTable) spanCell(row, column int, bends []float64, off *[groupTorques][2]float64, out [][2]float64) {
	n := t.functions
	for f := range n {
		span, bend := emptySpan, 0.0
		for r := row; r < min(row+2, t.rows); r++ {
			at := (r*t.columns+column)*n + f
			a, b := t.values[at], t.values[at+n]
			span = [2]float64{min(span[0], a, b), max(span[1], a, b)}
			bend = max(bend, bends[at], bends[at+n])
		}
		out[f] = [2]float64{span[0] - loadBend*bend - off[f][0], span[1] + loadBend*bend + off[f][1]}
	}
}

// bends returns the sizes of the second differences along both angles at every
// node, those next to the end of a piece at its end.
func (t *loadTable) bends() []float64 {
	bends := make([]float64, len(t.values))
	along := func(nodes *loadNodes, start, stride int) {
		for i := range nodes.pieces {
			p := &nodes.pieces[i]
			for k := range p.cells + 1 {
				at := start + (p.node+k)*stride
				mid := start + (p.node+max(1, min(k, p.cells-1)))*stride
				for f := range t.functions {
					bends[at+f] += math.Abs(t.values[mid+f-stride] - 2*t.values[mid+f] + t.values[mid+f+stride])
				}
			}
		}
	}
	for row := range t.rows {
		along(&t.second, row*t.columns*t.functions, t.functions)
	}
	if t.single {
		return bends
	}
	for column := range t.columns {
		along(&t.first, column*t.functions, t.columns*t.functions)
	}
	return bends
}

// gatherWindows merges the spans of loadWindow cells along the columns, and along
// the rows if there are more than one.
func gatherWindows(spans [][2]float64, rows, columns, n int) [][2]float64 {
	merged := spans
	merge := func(down, across int) {
		to := make([][2]float64, len(spans))
		for r := range rows {
			for c := range columns {
				a, b := merged[(r*columns+c)*n:][:n], merged[((r+down)%rows*columns+(c+across)%columns)*n:][:n]
				for f, out := 0, to[(r*columns+c)*n:][:n]; f < n; f++ {
					out[f] = [2]float64{min(a[f][0], b[f][0]), max(a[f][1], b[f][1])}
				}
			}
		}
		merged = to
	}
	for step := 1; step < loadWindow; step *= 2 {
		merge(0, step)
		if rows > 1 {
			merge(step, 0)
		}
	}
	return merged
}

package solve

import "math"

// A periodic function of one or two angles, tabulated at even steps and read
// between them by cubic B-splines through the table's points: twice
// continuously differentiable, with an error of the fourth order in the step
// (C. de Boor, A Practical Guide to Splines, 1978; the coefficients by the
// recursive filter of M. Unser, A. Aldroubi, M. Eden, B-Spline Signal
// Processing, 1993, with the pole √3 − 2).

// loadTable holds some functions side by side.
type loadTable struct {
	rows, columns int       // steps of the first and second angle; rows 1: one angle
	functions     int       // values at each place
	coefficients  []float64 // [row][column][function]
	// windows are the least and greatest coefficients of loadWindow rows (one, for
	// one angle) by loadWindow columns from a place on: [row][column][function][2].
	windows []float64
}

const loadWindow = 4

func newLoadTable(rows, columns, functions int) *loadTable {
	return &loadTable{rows: rows, columns: columns, functions: functions, coefficients: make([]float64, rows*columns*functions)}
}

// point returns room for the values at a place of the table.
func (t *loadTable) point(row, column int) []float64 {
	at := (row*t.columns + column) * t.functions
	return t.coefficients[at : at+t.functions]
}

// settle turns the values put in into coefficients.
func (t *loadTable) settle() {
	line := make([]float64, max(t.rows, t.columns))
	for f := range t.functions {
		for row := range t.rows {
			splineFilter(t.coefficients[row*t.columns*t.functions+f:], t.functions, line[:t.columns])
		}
		for column := range t.columns {
			if t.rows > 1 {
				splineFilter(t.coefficients[column*t.functions+f:], t.columns*t.functions, line[:t.rows])
			}
		}
	}
}

// splineFilter solves (c[k−1] + 4c[k] + c[k+1])/6 = v[k] on a circle, in place
// at a stride. Its length is that of the room given, which must be 4 or more.
func splineFilter(v []float64, stride int, line []float64) {
	n := len(line)
	pole := math.Sqrt(3) - 2
	for k := range line {
		line[k] = v[k*stride]
	}
	// c = 6·v filtered by 1/(1 − pole/z) forward and 1/(1 − pole·z) backward; the
	// start on a circle is a geometric sum.
	wrap := 1 / (1 - math.Pow(pole, float64(n)))
	start, power := 0.0, 1.0
	for k := range n {
		start += power * line[(n-k)%n]
		power *= pole
	}
	line[0] = start * wrap
	for k := 1; k < n; k++ {
		line[k] += pole * line[k-1]
	}
	end, power := 0.0, 1.0
	for k := range n {
		end += power * line[(n-1+k)%n]
		power *= pole
	}
	line[n-1] = -pole * end * wrap
	for k := n - 2; k >= 0; k-- {
		line[k] = pole * (line[k+1] - line[k])
	}
	for k := range line {
		v[k*stride] = 6 * line[k]
	}
}

// splineAt returns the table places and weights of an angle in [0, 2π).
func splineAt(x float64, n int) (places [4]int, weights [4]float64) {
	u := x * float64(n) / (2 * math.Pi)
	k := int(u)
	t := u - float64(k)
	s := 1 - t
	weights = [4]float64{s * s * s / 6, (t*t*(3*t-6) + 4) / 6, (s*s*(3*s-6) + 4) / 6, t * t * t / 6}
	for i := range places {
		p := k - 1 + i
		if p < 0 {
			p += n
		}
		for p >= n {
			p -= n
		}
		places[i] = p
	}
	return places, weights
}

// add adds the first len(out) functions at the angles to out.
func (t *loadTable) add(x, y float64, out []float64) {
	columns, across := splineAt(y, t.columns)
	rows, down := [4]int{}, [4]float64{1}
	taps := 1
	if t.rows > 1 {
		rows, down = splineAt(x, t.rows)
		taps = 4
	}
	if len(out) == 4 && t.functions >= 4 {
		t.addFour(rows[:taps], down[:taps], &columns, &across, (*[4]float64)(out))
		return
	}
	for i, r := range rows[:taps] {
		for j, c := range columns {
			w := down[i] * across[j]
			for f, v := range t.point(r, c)[:len(out)] {
				out[f] += w * v
			}
		}
	}
}

// addFour is add for four functions, which a torso's torques are: it keeps the
// sums in registers.
func (t *loadTable) addFour(rows []int, down []float64, columns *[4]int, across *[4]float64, out *[4]float64) {
	a, b, c, d := out[0], out[1], out[2], out[3]
	for i, r := range rows {
		base := r * t.columns
		for j, column := range columns {
			v := (*[4]float64)(t.coefficients[(base+column)*t.functions:])
			w := down[i] * across[j]
			a += w * v[0]
			b += w * v[1]
			c += w * v[2]
			d += w * v[3]
		}
	}
	*out = [4]float64{a, b, c, d}
}

// within adds bounds of the first len(low) functions between two angles of each
// axis to low and high: a spline lies between the least and the greatest of the
// coefficients it mixes.
func (t *loadTable) within(x, y [2]float64, low, high []float64) {
	if t.windows == nil {
		t.makeWindows()
	}
	var least, most [groupFunctions]float64
	for f := range low {
		least[f], most[f] = math.Inf(1), math.Inf(-1)
	}
	rowFrom, rowTo := 0, 1
	if t.rows > 1 {
		rowFrom, rowTo = splineReach(x, t.rows)
	}
	from, to := splineReach(y, t.columns)
	for row := rowFrom; row < rowTo; row += loadWindow {
		r := max(rowFrom, min(row, rowTo-loadWindow)) % t.rows
		for column := from; column < to; column += loadWindow {
			c := max(from, min(column, to-loadWindow)) % t.columns
			window := t.windows[(r*t.columns+c)*t.functions*2:][:2*len(low)]
			for f := range low {
				least[f], most[f] = min(least[f], window[2*f]), max(most[f], window[2*f+1])
			}
		}
	}
	for f := range low {
		low[f] += least[f]
		high[f] += most[f]
	}
}

// makeWindows prepares bounds, along the columns and then across the rows.
func (t *loadTable) makeWindows() {
	size := t.rows * t.columns * t.functions
	t.windows = make([]float64, 2*size)
	across := make([]float64, 2*size)
	gather := func(to, from []float64, at, place int) {
		for f := range t.functions {
			a, b := (at*t.functions+f)*2, (place*t.functions+f)*2
			to[a], to[a+1] = min(to[a], from[b]), max(to[a+1], from[b+1])
		}
	}
	for i, v := range t.coefficients {
		across[2*i], across[2*i+1] = v, v
	}
	copy(t.windows, across)
	for row := range t.rows {
		for column := range t.columns {
			at := row*t.columns + column
			for k := 1; k < loadWindow; k++ {
				gather(t.windows, across, at, row*t.columns+(column+k)%t.columns)
			}
		}
	}
	if t.rows == 1 {
		return
	}
	copy(across, t.windows)
	for row := range t.rows {
		for column := range t.columns {
			for k := 1; k < loadWindow; k++ {
				gather(t.windows, across, row*t.columns+column, (row+k)%t.rows*t.columns+column)
			}
		}
	}
}

// splineReach returns the places, from the first to before the last, whose
// coefficients matter between two angles; modulo n, and none below 0.
func splineReach(x [2]float64, n int) (from, to int) {
	u := float64(n) / (2 * math.Pi)
	from, to = int(math.Floor(x[0]*u))-1, int(math.Floor(x[1]*u))+3
	if to-from >= n {
		return 0, n
	}
	turns := 0
	for from+turns < 0 {
		turns += n
	}
	return from + turns, to + turns
}

package solve

import (
	"cmp"
	"math"
	"slices"
)

// The path winds a times round the fast axis (angle x) and b times round the
// slow one (angle y), a > b without common factor. Its strands are the lines
// y = w + (b/a)·x at w = 2π·j/a, j = 0 … a−1; the m-th turn of the fast axis
// runs on strand j = b·m mod a.
//
// Let E(w) be the greatest value along the line at w near a hill of the torus.
// E rises steadily from wherever one stands on the hill up to its top, at w*.
// So the best strand on that hill is one of the two beside w*: any other has
// a strand between itself and the top that does better. The search looks for
// all hills on a grid, finds w* of each, and tries the strands beside it,
// going on outward while they improve. (A bound has lines of slope 0 and its
// value is E(w*) itself.)

// orbitTorus is the grid over two axes.
type orbitTorus struct {
	*orbitSearch
	first, second []orbitNode // of the fast and of the slow axis
	grid          []float64   // [quantity in hand][first][second]
	slope         float64     // b/a; 0 for a bound
	line          orbitLine
	done          []bool // [first][second]: on a hill whose top has been met
	tried         []bool // [second] and [first]: ridges along the other axis that have been tried
	// Of the quantity in hand: its grid with a border, its range, and its hills by
	// side.
	padded    []float64
	marks     []float64
	low, high float64
	hills     [2][]orbitHill
}

// searchTorus searches two axes with many windings, or all their combinations.
func (s *orbitSearch) searchTorus() {
	t := &orbitTorus{orbitSearch: s, first: orbitNodes(&s.axes[0]), second: orbitNodes(&s.axes[1])}
	t.line = orbitLine{base: make([]float64, 2), slope: []float64{1, 0}}
	if !s.bound {
		t.slope = float64(s.axes[1].winding) / float64(s.axes[0].winding)
	}
	size := len(t.first) * len(t.second)
	t.done = make([]bool, size)
	t.tried = make([]bool, len(t.first)+len(t.second))
	t.padded = make([]float64, (len(t.first)+2)*(len(t.second)+2))
	at := max(1, min(s.field.N, orbitMaxGrid/size))
	t.grid = make([]float64, at*size)
	for q := 0; q < s.field.N; q += at {
		t.sample(q, min(q+at, s.field.N))
	}
}

// sample looks at the grid and searches the quantities from q to before end,
// as many as are kept at once.
func (t *orbitTorus) sample(from, end int) {
	size := len(t.first) * len(t.second)
	for i, u := range t.first {
		t.x[t.axes[0].index] = orbitWrap(u.x)
		for j, v := range t.second {
			t.x[t.axes[1].index] = orbitWrap(v.x)
			t.field.All(t.x, t.values)
			at := i*len(t.second) + j
			for k, value := range t.values[from:end] {
				t.grid[k*size+at] = value
			}
		}
	}
	for q := from; q < end; q++ {
		along := t.pad(t.grid[(q-from)*size : (q-from+1)*size])
		if along < 0 {
			t.listHills(q)
		}
		for side := range orbitSigns {
			switch {
			case !t.wants(side, q):
			case along >= 0:
				t.searchAxis(along, side, q)
			default:
				t.searchHills(side, q)
			}
		}
	}
}

// pad lays one quantity out with its last row and column repeated before the
// first and its first after the last, so that every node has eight neighbours,
// and notes its range. It returns the one axis that the quantity depends on (0
// too when on none), or -1 when on both. Rounding at a few hundred ulps of its
// size counts as no dependence.
func (t *orbitTorus) pad(grid []float64) int {
	n, m := len(t.first), len(t.second)
	t.low, t.high = math.Inf(1), math.Inf(-1)
	whole := true
	for i := range n {
		row := grid[i*m:][:m]
		to := t.padded[(i+1)*(m+2):][:m+2]
		to[0], to[m+1] = row[m-1], row[0]
		for j, v := range row {
			to[j+1] = v
			if v > t.high {
				t.high = v
			}
			if v < t.low {
				t.low = v
			}
			whole = whole && v == v
		}
	}
	copy(t.padded[:m+2], t.padded[n*(m+2):])
	copy(t.padded[(n+1)*(m+2):], t.padded[m+2:][:m+2])
	if !whole {
		return -1
	}
	nothing := 1e-13 * (t.high - t.low + max(math.Abs(t.low), math.Abs(t.high)))
	first, second := false, false // whether it changes along each axis
	for i := range n {
		for j := range m {
			v := grid[i*m+j]
			first = first || math.Abs(v-grid[j]) > nothing
			second = second || math.Abs(v-grid[i*m]) > nothing
		}
		if first && second {
			return -1
		}
	}
	if second {
		return 1
	}
	return 0
}

// searchAxis searches a quantity that depends on one axis only: the path comes
// by each of that axis's angles in its first turn.
func (t *orbitTorus) searchAxis(axis, side, q int) {
	l := orbitLine{base: make([]float64, 2), slope: make([]float64, 2)}
	l.slope[axis] = 1
	nodes, stride := t.first, len(t.second)+2
	if axis == 1 {
		nodes, stride = t.second, 1
	}
	start := len(t.second) + 3 // of the first node in padded
	peak := orbitPeak{value: math.Inf(-1)}
	ends := orbitEndShare * (t.high - t.low)
	for pass := range 2 { // the samples first, so that few of them are refined
		for i := range nodes {
			at := start + i*stride
			c := orbitCandidate{side: side, q: q, mid: nodes[i].x, value: orbitSigned(t.padded[at], side)}
			before, after := orbitSigned(t.padded[at-stride], side), orbitSigned(t.padded[at+stride], side)
			if c.value < before || c.value < after {
				continue
			}
			c.left, c.right = c.mid-nodeGap(nodes, i-1), c.mid+nodeGap(nodes, i)
			if nodes[i].x-nodes[i].lo < orbitNudge { // the neighbour lies across a break
				c.left = c.mid
				before = math.Inf(-1)
			} else if nodes[i].hi-nodes[i].x < orbitNudge {
				c.right = c.mid
				after = math.Inf(-1)
			}
			if pass == 0 && c.value > peak.value {
				peak.theta, peak.value = c.mid, c.value
			}
			if pass == 1 && c.promise(before, after)+ends > peak.value+t.slack(side, q) {
				t.refine(&l, c, &peak)
			}
		}
	}
	turns := orbitWrap(peak.theta) / (2 * math.Pi) / math.Abs(t.fastest.Float())
	if axis == 1 && t.axes[0].winding > 0 {
		turns *= float64(t.axes[0].winding) / float64(t.axes[1].winding)
	}
	t.offer(side, q, peak.value, turns)
}

// orbitHill is a node of the grid no lower than the eight around it.
type orbitHill struct {
	i, j         int
	value, upper float64
}

// searchHills searches a quantity that depends on both axes.
func (t *orbitTorus) searchHills(side, q int) {
	hills := t.hills[side]
	for k := range hills {
		hills[k].upper = t.hillPromise(&hills[k], side) + 10*orbitEndShare*(t.high-t.low)
	}
	slices.SortStableFunc(hills, func(a, b orbitHill) int { return cmp.Compare(b.upper, a.upper) })
	if len(hills) > 1 {
		clear(t.done)
	}
	clear(t.tried)
	for k, h := range hills {
		if h.upper <= t.worth(side, q) {
			break
		}
		if k > 0 && t.onDoneHill(h) {
			t.done[h.i*len(t.second)+h.j] = true
			continue
		}
		if t.quickHill(h, side, q) {
			continue
		}
		top := t.climb(h, side, q)
		if t.bound {
			t.offer(side, q, top.value, t.closestPass(top))
		} else {
			t.tryStrands(top, side, q)
			t.tryRidge(h, side, q)
		}
		// A plateau or a level ridge has many nodes of one height. Once the path
		// has met the very top, the nodes next to this one have no more to give.
		if t.best[side][q].value >= top.value-1e-12*math.Abs(top.value) {
			t.done[h.i*len(t.second)+h.j] = true
		}
	}
}

func (t *orbitTorus) onDoneHill(h orbitHill) bool {
	n, m := len(t.first), len(t.second)
	for di := -1; di <= 1; di++ {
		for dj := -1; dj <= 1; dj++ {
			if t.done[(h.i+di+n)%n*m+(h.j+dj+m)%m] {
				return true
			}
		}
	}
	return false
}

// listHills lists the nodes of the padded quantity that stand no lower than
// their neighbours, and those that stand no higher.
func (t *orbitTorus) listHills(q int) {
	m := len(t.second) + 2
	g := t.padded
	for side := range t.hills {
		t.hills[side] = t.hills[side][:0]
	}
	wants := [2]bool{t.wants(0, q), t.wants(1, q)}
	for i := range t.first {
		for j := range t.second {
			at := (i+1)*m + j + 1
			v := g[at]
			// A neighbour without a value is neither higher nor lower.
			switch {
			case v != v:
			case wants[0] && !(g[at+1] > v || g[at-1] > v || g[at+m] > v || g[at-m] > v ||
				g[at+m+1] > v || g[at+m-1] > v || g[at-m+1] > v || g[at-m-1] > v):
				t.hills[0] = append(t.hills[0], orbitHill{i: i, j: j, value: v})
				if wants[1] && v == t.low { // level all round: both
					t.hills[1] = append(t.hills[1], orbitHill{i: i, j: j, value: -v})
				}
			case wants[1] && !(g[at+1] < v || g[at-1] < v || g[at+m] < v || g[at-m] < v ||
				g[at+m+1] < v || g[at+m-1] < v || g[at-m+1] < v || g[at-m-1] < v):
				t.hills[1] = append(t.hills[1], orbitHill{i: i, j: j, value: -v})
			}
		}
	}
}

// around returns the quantity beside a hill's node.
func (t *orbitTorus) around(h *orbitHill, di, dj, side int) float64 {
	return orbitSigned(t.padded[(h.i+1+di)*(len(t.second)+2)+h.j+1+dj], side)
}

// hillPromise returns more than the hill at a node is likely to rise to, from
// the neighbours along each axis and on the diagonals.
func (t *orbitTorus) hillPromise(h *orbitHill, side int) float64 {
	upper := h.value
	for axis, nodes := range [2][]orbitNode{t.first, t.second} {
		i, di, dj := h.i, 1, 0
		if axis == 1 {
			i, di, dj = h.j, 0, 1
		}
		c := orbitCandidate{value: h.value, left: -nodeGap(nodes, i-1), right: nodeGap(nodes, i)}
		upper += c.promise(t.around(h, -di, -dj, side), t.around(h, di, dj, side)) - h.value
	}
	drop := 0.0
	for _, d := range [4][2]int{{-1, -1}, {-1, 1}, {1, -1}, {1, 1}} {
		if near := t.around(h, d[0], d[1], side); !math.IsInf(near, -1) {
			drop = max(drop, h.value-near)
		}
	}
	return upper + drop/4
}

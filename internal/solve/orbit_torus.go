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

// orbitTorus is a search of two axes.
type orbitTorus struct {
	*orbitSearch
	orbitGrid
	slope  float64 // b/a; 0 for a bound
	line   orbitLine
	done   []bool // [first][second]: on a hill whose top has been met
	tried  []bool // [second] and [first]: ridges along the other axis that have been tried
	marks  []float64
	passes []orbitPass
	// Of the quantity in hand: its range on the grid, and its hills by side.
	low, high float64
	hills     [2][]orbitHill
}

// searchTorus searches two axes with many windings, or all their combinations.
func (s *orbitSearch) searchTorus() {
	t := &orbitTorus{orbitSearch: s}
	t.line = orbitLine{base: make([]float64, 2), slope: []float64{1, 0}}
	if !s.bound {
		t.slope = float64(s.axes[1].winding) / float64(s.axes[0].winding)
	}
	var left []int // quantities whose crests are not known
	for q := range s.field.N {
		if !t.searchCrests(q) {
			left = append(left, q)
		}
	}
	if len(left) == 0 {
		return
	}
	t.spread(&s.axes[0], &s.axes[1])
	size := len(t.first) * len(t.second)
	t.done = make([]bool, size)
	t.tried = make([]bool, len(t.first)+len(t.second))
	at := max(1, orbitMaxGrid/size)
	for len(left) > 0 {
		n := min(at, len(left))
		t.searchGrid(left[:n])
		left = left[n:]
	}
}

// searchAxis searches a quantity that depends on one axis only: the path comes
// by each of that axis's angles in its first turn.
func (t *orbitTorus) searchAxis(axis, side, q int) {
	l := orbitLine{base: make([]float64, 2), slope: make([]float64, 2)}
	l.slope[axis] = 1
	nodes, stride := t.first, t.stride()
	if axis == 1 {
		nodes, stride = t.second, 1
	}
	start := t.node(0, 0)
	peak := orbitPeak{value: math.Inf(-1)}
	ends := orbitEndShare * (t.high - t.low)
	for pass := range 2 { // the samples first, so that few of them are refined
		for i := range nodes {
			at := start + i*stride
			c := orbitCandidate{side: side, q: q, mid: nodes[i].x, value: orbitSigned(t.layer[at], side)}
			before, after := orbitSigned(t.layer[at-stride], side), orbitSigned(t.layer[at+stride], side)
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
			if !t.smooth(q) || t.axes[0].warped || t.axes[1].warped {
				t.tryRidge(h, side, q)
			}
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

// listHills lists the nodes of the quantity being searched that stand no lower than
// their neighbours, and those that stand no higher.
func (t *orbitTorus) listHills(q int) {
	m := t.stride()
	g := t.layer
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

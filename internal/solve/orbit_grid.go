package solve

import "math"

// orbitGrid is what a search of two axes knows of its quantities at nodes.
type orbitGrid struct {
	first, second []orbitNode // of the fast and of the slow axis
	known         []bool      // [first][second]: looked at
	hand          []int       // quantities in hand
	seen          []int       // nodes looked at, first·len(second) + second
	rows          []float64   // [seen][hand]: the values there
	// layer is the one quantity being searched, the shown-th in hand, laid out with
	// the last row and column repeated before the first and the first after the
	// last, so that every node has eight neighbours; NaN where not looked at.
	layer []float64
	shown int
}

// spread lays the grid out over two axes.
func (g *orbitGrid) spread(first, second *orbitAxis) {
	g.first, g.second = orbitNodes(first), orbitNodes(second)
	g.known = make([]bool, len(g.first)*len(g.second))
}

func (g *orbitGrid) stride() int { return len(g.second) + 2 }

// node returns where a node's value lies in a layer.
func (g *orbitGrid) node(i, j int) int { return (i+1)*g.stride() + j + 1 }

// take puts quantities into hand, of which nothing is known yet.
// room is for how many nodes.
func (g *orbitGrid) take(hand []int, room int) {
	g.hand = hand
	clear(g.known)
	g.seen, g.rows = make([]int, 0, room), make([]float64, 0, room*len(hand))
}

// show lays out the k-th quantity in hand.
func (g *orbitGrid) show(k int) {
	if g.layer == nil {
		g.layer = make([]float64, (len(g.first)+2)*g.stride())
	}
	g.shown = k
	fillNaN(g.layer)
	for n, node := range g.seen {
		g.put(node/len(g.second), node%len(g.second), g.rows[n*len(g.hand)+k])
	}
}

// put lays out a value at a node, and beyond the border.
func (g *orbitGrid) put(i, j int, value float64) {
	n, m := len(g.first), len(g.second)
	row, column := 0, 0
	switch i {
	case 0:
		row = n * g.stride()
	case n - 1:
		row = -n * g.stride()
	}
	switch j {
	case 0:
		column = m
	case m - 1:
		column = -m
	}
	at, layer := g.node(i, j), g.layer
	layer[at], layer[at+row], layer[at+column], layer[at+row+column] = value, value, value, value
}

// orbitSparse is among how many nodes at most one is looked at, as a rule, where
// bounds are known.
const orbitSparse = 2

// orbitFew is how many quantities together cost about as much as one alone.
const orbitFew = 6

// look evaluates the quantities in hand at a node.
func (t *orbitTorus) look(i, j int) {
	node := i*len(t.second) + j
	if t.known[node] {
		return
	}
	t.known[node] = true
	t.x[t.axes[0].index], t.x[t.axes[1].index] = orbitWrap(t.first[i].x), orbitWrap(t.second[j].x)
	few := t.field.One != nil && orbitFew*len(t.hand) < t.field.N
	if !few {
		t.field.All(t.x, t.values)
	}
	for _, q := range t.hand {
		if few {
			t.values[q] = t.field.One(t.x, q)
		}
		t.rows = append(t.rows, t.values[q])
	}
	t.seen = append(t.seen, node)
	t.put(i, j, t.rows[len(t.rows)-len(t.hand)+t.shown])
}

// around returns the quantity being searched beside a hill's node.
func (t *orbitTorus) around(h *orbitHill, di, dj, side int) float64 {
	v := t.layer[t.node(h.i+di, h.j+dj)]
	if v != v {
		n, m := len(t.first), len(t.second)
		t.look((h.i+di+n)%n, (h.j+dj+m)%m)
		v = t.layer[t.node(h.i+di, h.j+dj)]
	}
	return orbitSigned(v, side)
}

// searchGrid searches quantities by their values at nodes: all nodes, or where
// the field bounds a quantity, those that may matter.
func (t *orbitTorus) searchGrid(hand []int) {
	b := t.newBlocks(hand)
	room := len(t.known)
	if b != nil {
		room /= orbitSparse
	}
	t.take(hand, room)
	for k, q := range hand {
		t.show(k)
		if b != nil && b.bounded(k) {
			for side := range orbitSigns {
				if t.wants(side, q) {
					t.searchBlocks(b, k, side, q)
				}
			}
			continue
		}
		for i := range t.first {
			for j := range t.second {
				t.look(i, j)
			}
		}
		t.searchLayer(q)
	}
}

// searchLayer searches a quantity that is known at all nodes.
func (t *orbitTorus) searchLayer(q int) {
	along := t.survey()
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

// survey notes the range of the quantity being searched. It returns the one axis
// that the quantity depends on (0 too when on none), or -1 when on both.
// Rounding at a few hundred ulps of its size counts as no dependence.
func (t *orbitTorus) survey() int {
	t.low, t.high = math.Inf(1), math.Inf(-1)
	whole := true
	for i := range t.first {
		for _, v := range t.layer[t.node(i, 0):][:len(t.second)] {
			if v > t.high {
				t.high = v
			}
			if v < t.low {
				t.low = v
			}
			whole = whole && v == v
		}
	}
	if !whole {
		return -1
	}
	nothing := 1e-13 * (t.high - t.low + max(math.Abs(t.low), math.Abs(t.high)))
	first, second := false, false // whether it changes along each axis
	top := t.layer[t.node(0, 0):]
	for i := range t.first {
		row := t.layer[t.node(i, 0):][:len(t.second)]
		for j, v := range row {
			first = first || math.Abs(v-top[j]) > nothing
			second = second || math.Abs(v-row[0]) > nothing
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

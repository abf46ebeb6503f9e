package solve

import (
	"math"
	"slices"
)

// orbitGridBlock is how many nodes make a block's side.
const orbitGridBlock = 4

// orbitBlocks are the stretches into which the nodes of either axis are divided,
// and what the quantities in hand do not exceed within each pair of them.
type orbitBlocks struct {
	first, second []int          // first node of each, and the number of nodes
	bounds        [2][][]float64 // [side][in hand][first][second], signed
	looked        []bool         // [first][second]
}

// newBlocks bounds quantities; nil where the field has no bounds.
func (t *orbitTorus) newBlocks(hand []int) *orbitBlocks {
	if t.field.Range == nil {
		return nil
	}
	b := &orbitBlocks{first: orbitSplit(len(t.first)), second: orbitSplit(len(t.second))}
	size := (len(b.first) - 1) * (len(b.second) - 1)
	b.looked = make([]bool, size)
	all := make([]float64, 2*len(hand)*size)
	for side := range b.bounds {
		for range hand {
			b.bounds[side] = append(b.bounds[side], all[:size])
			all = all[size:]
		}
	}
	at := 0
	x, y := t.axes[0].index, t.axes[1].index
	for i := range b.first[1:] {
		t.box.from[x], t.box.to[x] = orbitEnds(t.first, b.first, i)
		for j := range b.second[1:] {
			t.box.from[y], t.box.to[y] = orbitEnds(t.second, b.second, j)
			t.field.Range(t.box.from, t.box.to, t.box.low, t.box.high)
			for k, q := range hand {
				b.bounds[0][k][at], b.bounds[1][k][at] = t.box.high[q], -t.box.low[q]
			}
			at++
		}
	}
	return b
}

// orbitSplit divides n nodes into blocks.
func orbitSplit(n int) []int {
	var list []int
	for i := 0; i < n; i += orbitGridBlock {
		list = append(list, i)
	}
	return append(list, n)
}

// orbitEnds returns the angles from the i-th block's first node to the next
// block's.
func orbitEnds(nodes []orbitNode, blocks []int, i int) (from, to float64) {
	if next := blocks[i+1]; next < len(nodes) {
		return nodes[blocks[i]].x, nodes[next].x
	}
	return nodes[blocks[i]].x, nodes[0].x + 2*math.Pi
}

// bounded reports whether all bounds of the k-th quantity in hand are known.
func (b *orbitBlocks) bounded(k int) bool {
	return !math.IsInf(b.bounds[0][k][0], 1) && !math.IsInf(b.bounds[1][k][0], 1)
}

// searchBlocks searches a quantity in the blocks that may hold its extreme.
func (t *orbitTorus) searchBlocks(b *orbitBlocks, k, side, q int) {
	bounds := b.bounds[side][k]
	t.low, t.high = math.Inf(1), math.Inf(-1)
	clear(b.looked)
	most := 0
	for at, v := range bounds {
		if v > bounds[most] {
			most = at
		}
	}
	// The nodes of the most promising block show what the others must beat.
	peak := max(t.worth(side, q), t.lookBlock(b, most, side))
	for at, bound := range bounds {
		if bound > peak {
			peak = max(peak, t.lookBlock(b, at, side))
		}
	}
	if !slices.Contains(b.looked, false) {
		if along := t.survey(); along >= 0 {
			t.searchAxis(along, side, q)
			return
		}
	}
	for {
		t.listBlockHills(b, side)
		t.searchHills(side, q)
		// The path need not come as high as the nodes.
		worth, more := t.worth(side, q), false
		for at, bound := range bounds {
			if bound > worth && !b.looked[at] {
				t.lookBlock(b, at, side)
				more = true
			}
		}
		if !more {
			return
		}
	}
}

// lookBlock looks at all nodes of a pair of blocks and returns the greatest
// value there.
func (t *orbitTorus) lookBlock(b *orbitBlocks, at, side int) float64 {
	most := math.Inf(-1)
	b.looked[at] = true
	columns := len(b.second) - 1
	i, j := at/columns, at%columns
	for u := b.first[i]; u < b.first[i+1]; u++ {
		for v := b.second[j]; v < b.second[j+1]; v++ {
			t.look(u, v)
			value := t.layer[t.node(u, v)]
			t.low, t.high = min(t.low, value), max(t.high, value)
			most = max(most, orbitSigned(value, side))
		}
	}
	return most
}

// listBlockHills lists the nodes in the blocks looked at that stand no lower
// than their neighbours.
func (t *orbitTorus) listBlockHills(b *orbitBlocks, side int) {
	t.hills[side] = t.hills[side][:0]
	columns := len(b.second) - 1
	for at, looked := range b.looked {
		if !looked {
			continue
		}
		i, j := at/columns, at%columns
		for u := b.first[i]; u < b.first[i+1]; u++ {
			for v := b.second[j]; v < b.second[j+1]; v++ {
				h := orbitHill{i: u, j: v, value: orbitSigned(t.layer[t.node(u, v)], side)}
				if !math.IsInf(h.value, -1) && t.isHill(&h, side) {
					t.hills[side] = append(t.hills[side], h)
				}
			}
		}
	}
}

// isHill reports whether a node stands no lower than its neighbours.
func (t *orbitTorus) isHill(h *orbitHill, side int) bool {
	at, m := t.node(h.i, h.j), t.stride()
	for _, d := range [8]int{1, -1, m, -m, m + 1, m - 1, 1 - m, -1 - m} {
		if orbitSigned(t.layer[at+d], side) > h.value { // -Inf where not known yet
			return false
		}
	}
	for di := -1; di <= 1; di++ {
		for dj := -1; dj <= 1; dj++ {
			if t.around(h, di, dj, side) > h.value {
				return false
			}
		}
	}
	return true
}

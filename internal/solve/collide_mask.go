package solve

import "math"

// mark marks a cell of a quantity's.
func (c *cellSearch) mark(p *cellPlace, q int) {
	var from, to [cellAxes]int
	for i, a := range c.axes {
		from[i], to[i] = p.at[i], p.at[i]
		if over := a.halved - a.deep; over >= 0 {
			from[i], to[i] = from[i]>>over, to[i]>>over
		} else {
			from[i], to[i] = from[i]<<-over, (to[i]+1)<<-over-1
		}
	}
	c.mask(q).mark(from, to, 0, 0, 0)
}

// markBest marks the cell in which a quantity has been met lowest.
func (c *cellSearch) markBest(q int) {
	var at [cellAxes]int
	for i := range c.axes {
		at[i] = c.axes[i].cell(c.finds[q].at[i])
	}
	c.mask(q).mark(at, at, 0, 0, 0)
}

func (c *cellSearch) mask(q int) *cellMask {
	f := &c.finds[q]
	if f.mask == nil {
		f.mask = &cellMask{c.axes, make([]uint64, (c.cells()+63)/64)}
	}
	return f.mask
}

// cells returns how many cells a mask has.
func (c *cellSearch) cells() int {
	total := 1
	for i := range c.axes {
		total <<= c.axes[i].deep
	}
	return total
}

// cell returns the number of the cell at an angle in [0, 2π).
func (a *cellAxis) cell(x float64) int {
	n := int(1) << a.deep
	return min(int(x*(float64(n)/(2*math.Pi))), n-1)
}

// cellMask is the cells that may hold a quantity's least value, and those so
// near that a search takes its samples beside that value from them.
type cellMask struct {
	axes []cellAxis
	bits []uint64
}

// mark marks a block of cells, and from axis on those within two samples' distance;
// k is the number of the cell as far as the axes before it tell, in shift bits.
func (m *cellMask) mark(from, to [cellAxes]int, axis, k, shift int) {
	if axis == len(m.axes) {
		m.bits[k/64] |= 1 << (k % 64)
		return
	}
	a := &m.axes[axis]
	n := 1 << a.deep
	near := int(math.Ceil(2 * float64(n) / float64(a.samples)))
	first := from[axis] - near
	for d := range min(to[axis]+near-first+1, n) {
		m.mark(from, to, axis+1, k|(first+d+n)&(n-1)<<shift, shift+a.deep)
	}
}

// has reports whether the cell at the angles x, each in [0, 2π), is marked.
func (m *cellMask) has(x []float64) bool {
	k, shift := 0, 0
	for i := range m.axes {
		a := &m.axes[i]
		k |= a.cell(x[a.index]) << shift
		shift += a.deep
	}
	return m.bits[k/64]&(1<<(k%64)) != 0
}

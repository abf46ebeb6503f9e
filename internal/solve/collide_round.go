package solve

import "math"

// look looks at every cell and drops the items whose bound is too high.
func (c *cellSearch) look() {
	for q := range c.finds {
		c.finds[q].open = 0
	}
	for i := range c.axes {
		c.axes[i].share = 0
	}
	shared := 0
	places, items := c.places[0], c.items[0]
	kept, at := places[:0], 0 // both are compacted in place
	for _, p := range places {
		from, to := p.from, p.to
		p.from = at
		on, crossed := c.stand(&p)
		for k := from; crossed && k < to; k++ {
			it := items[k]
			if c.over(&it) {
				continue
			}
			value, low := c.field.look(it.q)
			if on {
				c.meet(it.q, value)
			}
			if it.low = max(it.low, low); c.over(&it) {
				continue
			}
			items[at] = it
			at++
			c.finds[it.q].open++
			if shared++; shared <= cellShares && len(c.axes) > 1 {
				c.shareOut(it.q)
			}
		}
		if p.to = at; p.from < p.to {
			kept = append(kept, p)
		}
	}
	c.places[0], c.items[0] = kept, items[:at]
}

// over reports whether a quantity cannot be as low in a cell as matters.
func (c *cellSearch) over(it *cellItem) bool {
	return it.low > *c.field.most(it.q)-c.fine || c.finds[it.q].known
}

// meet notes a value of a quantity on the path.
func (c *cellSearch) meet(q int, value float64) {
	f, most := &c.finds[q], c.field.most(q)
	f.looks, f.low, f.high = f.looks+1, min(f.low, value), max(f.high, value)
	if !(value < *most) {
		return
	}
	*most = value
	f.met, f.best, f.known = true, value, value <= c.field.enough(q)
	for i, a := range c.axes {
		f.at[i] = c.x[a.index]
	}
	if f.known {
		f.mask = nil
	}
}

// stand poses at a cell where the path comes by, and reports whether that place
// is on the path, and whether the path comes by at all.
func (c *cellSearch) stand(p *cellPlace) (on, crossed bool) {
	for i := range c.axes {
		a := &c.axes[i]
		w := a.width()
		c.x[a.index], c.reach[a.index] = (float64(p.at[i])+0.5)*w, w/2
	}
	on = c.bound || len(c.axes) == 1
	if c.spacing > 0 {
		if !c.toStrand() {
			return false, false
		}
		on = true
	}
	c.field.stand(c.x, c.reach)
	return on, true
}

// toStrand moves from the middle of a cell onto a strand of the path, and
// narrows the cell to it where it is the only one. The strands are the lines
// y = w + slope·x at w = k·spacing, x being the faster axis's angle.
func (c *cellSearch) toStrand() bool {
	f, s := c.axes[c.fast].index, c.axes[1-c.fast].index
	x, y, dx, dy := c.x[f], c.x[s], c.reach[f], c.reach[s]
	w, across := y-c.slope*x, dy+c.slope*dx
	// A hair wider, for a strand along an edge.
	first, last := math.Ceil((w-across)/c.spacing-1e-9), math.Floor((w+across)/c.spacing+1e-9)
	if first > last {
		return false
	}
	if first == last {
		w = first * c.spacing
		from, to := max(x-dx, (y-dy-w)/c.slope), min(x+dx, (y+dy-w)/c.slope)
		x, dx = (from+to)/2, max(to-from, 0)/2+1e-9
		y, dy = w+c.slope*x, c.slope*dx+1e-9
	} else {
		off := min(max(math.Round(w/c.spacing), first), last)*c.spacing - w
		aside, along := off*dy/across, -off*dx/across
		x, y = x+along, y+aside
		dx, dy = dx+math.Abs(along), dy+math.Abs(aside)
	}
	c.x[f], c.x[s], c.reach[f], c.reach[s] = orbitWrap(x), orbitWrap(y), dx, dy
	return true
}

// shareOut notes how much of a bound's slack is each axis's.
func (c *cellSearch) shareOut(q int) {
	for i := range c.axes {
		if by := c.field.share(q, c.axes[i].index); by > 0 && !math.IsInf(by, 1) {
			c.axes[i].share += by
		}
	}
}

// loosest returns the axis to halve next: the one that gives the bounds the most
// slack.
func (c *cellSearch) loosest() int {
	best := -1
	for i, a := range c.axes {
		if a.halved == a.last {
			continue
		}
		if best < 0 || a.share > c.axes[best].share || a.share == c.axes[best].share && a.halved < c.axes[best].halved {
			best = i
		}
	}
	return best
}

// settle marks the cells that are left of the quantities for which they need no
// more halving, of all when it is the last time. What is the same wherever it was
// looked at is so everywhere.
func (c *cellSearch) settle(last bool) {
	places, items := c.places[0], c.items[0]
	kept, at := places[:0], 0
	for _, p := range places {
		from, to := p.from, p.to
		p.from = at
		for _, it := range items[from:to] {
			f := &c.finds[it.q]
			if f.met && f.looks > c.cells() && f.high-f.low <= cellHair {
				f.known = true
			}
			switch {
			case c.over(&it):
			case last || f.met || f.open > cellFew:
				c.mark(&p, it.q)
			default:
				items[at] = it
				at++
			}
		}
		if p.to = at; p.from < p.to {
			kept = append(kept, p)
		}
	}
	c.places[0], c.items[0] = kept, items[:at]
}

// halve cuts every cell in two.
func (c *cellSearch) halve(axis int) {
	c.axes[axis].halved++
	places, items := c.places[1][:0], c.items[1][:0]
	for _, p := range c.places[0] {
		for half := range 2 {
			next := p
			next.at[axis] = 2*p.at[axis] + half
			next.from = len(items)
			for _, it := range c.items[0][p.from:p.to] {
				if !c.over(&it) {
					items = append(items, it)
				}
			}
			if next.to = len(items); next.from < next.to {
				places = append(places, next)
			}
		}
	}
	c.places[0], c.places[1] = places, c.places[0]
	c.items[0], c.items[1] = items, c.items[0]
}

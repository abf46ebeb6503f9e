package solve

import "math"

// The angles of an orbit's axes are cut into cells, halved axis by axis. In each
// cell every quantity still in question is looked at once, where the path comes
// by: a bound tells how low it may be anywhere in the cell. It leaves the cells
// where it cannot be as low as matters, or as low as it has been met elsewhere.
// What is left holds its least value, and a search need look at nothing else.

// cellField gives N quantities whose least values over an orbit are sought.
type cellField struct {
	n int
	// stand poses at the angles x; reach is how far to either side the cell goes.
	stand func(x, reach []float64)
	// look returns a quantity there, and a value that it is nowhere below within
	// reach, -Inf where nothing is known. NaN: it has no value at x.
	look func(q int) (value, low float64)
	// share returns by how much the bound is lower than the value for the reach of
	// one axis alone, of the orbit's.
	share func(q, axis int) float64
	// most is what a quantity must stay below to matter; what is met on the path
	// lowers it.
	most func(q int) *float64
	// enough is a value as low as need be known of a quantity: where one is met, the
	// other cells do not matter.
	enough func(q int) float64
}

// cellAxis is a driven axis and how finely it is cut.
type cellAxis struct {
	index   int // in the orbit's axes
	winding int64
	samples int
	halved  int // times so far
	deep    int // times, for cells as small as a search's samples stand apart
	last    int // times at the most
	share   float64
}

func (a *cellAxis) width() float64 { return 2 * math.Pi / float64(int(1)<<a.halved) }

// cellItem is a quantity in question in a cell.
type cellItem struct {
	q   int
	low float64
}

// cellPlace is a cell, its number along each axis, and its share of the items.
type cellPlace struct {
	at       [cellAxes]int
	from, to int
}

const (
	// cellAxes is the most axes whose angles are cut.
	cellAxes = 4
	// cellFirst is how often each axis is halved before the first look.
	cellFirst = 2
)

// cellDeep is how often each axis is halved, by how many there are: to cells about
// as small as the samples of a search stand apart.
var cellDeep = [cellAxes + 1]int{0, 6, 5, 4, 3}

const (
	// cellFew is how few cells may be left for those of a quantity that has not been
	// met as low as matters to be halved on, cellMore times per axis: mostly it is
	// nowhere as low.
	cellFew  = 200
	cellMore = 4
	// cellHair is by less than which a lower value does not matter: above the rounding
	// of a bound.
	cellHair = 1e-8
	// cellLast is how often an axis is halved at the most: to a tenth of a microradian.
	cellLast = 26
	// cellMost is how many cells are worth it where bounds alone find a value.
	cellMost = 1000
	// cellShares is for how many bounds of a round it is found out which axis gives
	// them their slack.
	cellShares = 2
)

// cellSearch narrows down cells.
type cellSearch struct {
	field cellField
	axes  []cellAxis
	bound bool // every combination of angles counts
	// Of two axes on a path: the faster, the strands' distance along the slower,
	// and its angle per angle of the faster.
	fast           int
	spacing, slope float64
	fine           float64 // by less than which a lower value does not matter
	x, reach       []float64
	*cellRoom
	finds []cellFind // by quantity
}

// cellFind is what is known of a quantity.
type cellFind struct {
	// mask is the cells that may hold its least value; nil where that does not matter.
	mask *cellMask
	// settled says that its least value is the one met at the angles at, of the axes
	// that are driven, or by no more than cellHair lower.
	settled bool
	at      [cellAxes]float64
	best    float64 // met there

	met       bool    // as low as matters
	known     bool    // as low as need be known
	open      int     // in how many cells it is in question
	looks     int     // on the path
	low, high float64 // of the values met
}

// cellRoom is room for the cells of one search after another.
type cellRoom struct {
	places [2][]cellPlace
	items  [2][]cellItem
}

// newCellSearch returns nil where no axis is driven or too many are.
func newCellSearch(o Orbit, room *cellRoom, f cellField) *cellSearch {
	c := &cellSearch{field: f, cellRoom: room, bound: o.Bound, x: make([]float64, len(o.Axes)), reach: make([]float64, len(o.Axes))}
	var ratios []Ratio
	for i, a := range o.Axes {
		if a.Ratio.Driven() {
			c.axes = append(c.axes, cellAxis{index: i, samples: max(a.Samples, orbitSamples/2)})
			ratios = append(ratios, a.Ratio)
		}
	}
	if len(c.axes) == 0 || len(c.axes) > cellAxes {
		return nil
	}
	windings, ok := orbitWindings(ratios)
	for i := range c.axes {
		c.axes[i].deep = cellDeep[len(c.axes)]
		if ok {
			c.axes[i].winding = windings[i]
			if windings[i] > c.axes[c.fast].winding {
				c.fast = i
			}
		}
	}
	if len(c.axes) > 1 && (!ok || c.axes[c.fast].winding > orbitMaxWindings) {
		c.bound = true
	}
	if len(c.axes) == 2 && !c.bound {
		a, b := float64(c.axes[c.fast].winding), float64(c.axes[1-c.fast].winding)
		c.spacing, c.slope = 2*math.Pi/a, b/a
	}
	return c
}

// narrow finds, by quantity, the cells that may hold its least value.
func (c *cellSearch) narrow() []cellFind {
	rounds := 0 // until cells are small enough
	for i := range c.axes {
		c.axes[i].last = c.axes[i].deep + cellMore
		rounds += c.axes[i].deep - cellFirst
	}
	c.start(cellHair)
	for round := 0; ; round++ {
		c.look()
		if round >= rounds {
			c.settle(round == rounds+cellMore*len(c.axes))
		}
		if len(c.places[0]) == 0 {
			break
		}
		c.halve(c.loosest())
	}
	for q := range c.finds {
		if f := &c.finds[q]; f.met && f.best <= *c.field.most(q)+cellHair {
			f.settled = f.mask == nil
			c.markBest(q)
		}
	}
	return c.finds
}

// least finds every quantity's least value on the orbit, to within fine, by bounds
// alone: what the field's most says in the end. It reports whether that took no more
// cells than are worth it: bounds must near the values faster than cells shrink.
func (c *cellSearch) least(fine float64) bool {
	rounds := 0
	for i := range c.axes {
		c.axes[i].last = cellLast
		rounds += cellLast - cellFirst
	}
	c.start(fine)
	for c.look(); len(c.places[0]) > 0 && rounds > 0; rounds-- {
		if len(c.places[0]) > cellMost {
			return false
		}
		c.halve(c.loosest())
		c.look()
	}
	return true
}

// start looks where the orbit starts, and puts every quantity in question in every
// cell of the first cut.
func (c *cellSearch) start(fine float64) {
	c.fine, c.finds = fine, make([]cellFind, c.field.n)
	clear(c.x)
	clear(c.reach)
	c.field.stand(c.x, c.reach)
	for q := range c.finds {
		c.finds[q].low, c.finds[q].high = math.Inf(1), math.Inf(-1)
		value, _ := c.field.look(q)
		c.meet(q, value)
	}
	total := 1
	for i := range c.axes {
		c.axes[i].halved = cellFirst
		total <<= cellFirst
	}
	places, items := c.places[0][:0], c.items[0][:0]
	for k := range total {
		p := cellPlace{from: len(items)}
		for i := range c.axes {
			p.at[i] = k >> (cellFirst * i) & (1<<cellFirst - 1)
		}
		for q := range c.field.n {
			items = append(items, cellItem{q, math.Inf(-1)})
		}
		p.to = len(items)
		places = append(places, p)
	}
	c.places[0], c.items[0] = places, items
}

package solve

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// framePair is two bodies to be followed.
type framePair struct {
	a, b   int
	movers [2]int // the group's that move them; -1: at rest
	// discs says that rims in it count as the discs they sweep.
	discs bool
	parts int     // number of the pair of parts, by which the least gap is known
	floor float64 // than which the gap is never less
	cells *cellMask
	// settled says that it is nearest at the motor turns given.
	settled bool
	turns   float64
	way     r3.Vec // from the body of the later kind to the other, where a plane last parted them
}

// frameGroup is the pairs of bodies moved by the same shafts.
type frameGroup struct {
	s      *frameScene
	shafts []int
	movers []*frameMover
	index  [][]int // per mover, its shafts' places in shafts
	pairs  []framePair
	x      []float64
	reach  []float64
	own    []float64
	turn   int
	turned []int // per mover, the turn it was last posed for
	// swaying counts what may stray, and swayed is per mover which it last knew.
	swaying int
	swayed  []int
}

// newFrameGroup returns the group of some movers' shafts, without pairs.
func newFrameGroup(s *frameScene, movers ...*frameMover) *frameGroup {
	g := &frameGroup{s: s}
	for _, m := range movers {
		if m != nil {
			g.add(m)
		}
	}
	return g
}

// add returns the group's number of a mover; -1 for a body at rest.
func (g *frameGroup) add(m *frameMover) int {
	if m == nil {
		return -1
	}
	if i := slices.Index(g.movers, m); i >= 0 {
		return i
	}
	index := make([]int, len(m.shafts))
	for k, shaft := range m.shafts {
		if index[k] = slices.Index(g.shafts, shaft); index[k] < 0 {
			index[k] = len(g.shafts)
			g.shafts = append(g.shafts, shaft)
			g.x, g.reach, g.own = append(g.x, 0), append(g.reach, 0), append(g.own, 0)
		}
	}
	g.movers, g.index = append(g.movers, m), append(g.index, index)
	g.turned, g.swayed = append(g.turned, 0), append(g.swayed, 0)
	return len(g.movers) - 1
}

// turnBy reports whether the group's shafts are those of two movers.
func (g *frameGroup) turnBy(movers [2]*frameMover) bool {
	found := 0
	for _, shaft := range g.shafts {
		for _, m := range movers {
			if m != nil && slices.Contains(m.shafts, shaft) {
				found++
				break
			}
		}
	}
	if found < len(g.shafts) {
		return false
	}
	for _, m := range movers {
		if m == nil {
			continue
		}
		for _, shaft := range m.shafts {
			if !slices.Contains(g.shafts, shaft) {
				return false
			}
		}
	}
	return true
}

// turnTo turns the group's shafts to the angles x. Bodies follow when they are
// asked for.
func (g *frameGroup) turnTo(x []float64) {
	copy(g.x, x)
	g.turn++
}

// turnAt turns the group's shafts to where they stand after some motor turns.
func (g *frameGroup) turnAt(motorTurns float64) {
	for i, shaft := range g.shafts {
		g.x[i] = 2 * math.Pi * g.s.ratios[shaft].Turn(motorTurns)
	}
	g.turn++
}

// stand places a body, moved by the group's mover of that number, and reports
// whether it can be.
func (g *frameGroup) stand(mover, body int) bool {
	if mover < 0 {
		return true
	}
	m := g.movers[mover]
	if g.turned[mover] != g.turn {
		g.turned[mover] = g.turn
		own := g.own[:len(m.shafts)]
		for k, at := range g.index[mover] {
			own[k] = g.x[at]
		}
		m.pose(own)
	}
	return m.stand(&g.s.bodies[body])
}

// gap returns a pair's distance as it stands, NaN where it cannot be posed.
func (g *frameGroup) gap(p *framePair) float64 {
	if !g.stand(p.movers[0], p.a) || !g.stand(p.movers[1], p.b) {
		return math.NaN()
	}
	return frameGap(&g.s.bodies[p.a], &g.s.bodies[p.b])
}

// bound returns a pair's distance as it stands and a value that it is nowhere
// below within reach; where that is beyond most, some values beyond it.
func (g *frameGroup) bound(p *framePair, most float64) (gap, low float64) {
	if !g.stand(p.movers[0], p.a) || !g.stand(p.movers[1], p.b) {
		return math.NaN(), math.Inf(-1)
	}
	a, b := g.stray(p.movers[0], p.a), g.stray(p.movers[1], p.b)
	if discA, discB := a.swept(), b.swept(); discA.body != a.body || discB.body != b.body {
		if gap, low = gapBound(discA, discB, most, &p.way); p.discs || low > most {
			return gap, low
		}
	}
	return gapBound(a, b, most, &p.way)
}

// share returns how far a pair's bodies may stray toward each other for what one
// shaft alone may turn.
func (g *frameGroup) share(p *framePair, shaft int) float64 {
	copy(g.own, g.reach)
	clear(g.reach)
	g.reach[shaft] = g.own[shaft]
	g.swaying++
	a, b := g.stray(p.movers[0], p.a), g.stray(p.movers[1], p.b)
	if a.body.kind > b.body.kind {
		a, b = b, a
	}
	by := 0.0
	if p.way == (r3.Vec{}) {
		by = a.by(nil) + b.by(nil)
	} else {
		back := r3.Scale(-1, p.way)
		by = min(a.by(&back)+b.by(&p.way), a.by(&p.way)+b.by(&back))
	}
	copy(g.reach, g.own)
	g.swaying++
	return by
}

// stray returns a body, as it stands, with how far it may stray within reach.
func (g *frameGroup) stray(mover, body int) bodyStray {
	s := bodyStray{body: &g.s.bodies[body]}
	if mover < 0 {
		return s
	}
	s.mover = g.movers[mover]
	if g.swayed[mover] != g.swaying {
		g.swayed[mover] = g.swaying
		for k, at := range g.index[mover] {
			s.mover.reach[k] = g.reach[at]
		}
		if s.mover.sway != nil {
			s.mover.sway(s.mover.reach)
		}
	}
	return s
}

// orbit returns the path of the group's shafts, resolved for what some movers
// move.
func (g *frameGroup) orbit(movers ...int) Orbit {
	o := Orbit{Bound: g.s.bound && len(g.shafts) > 1, Axes: make([]OrbitAxis, len(g.shafts))}
	for i, shaft := range g.shafts {
		o.Axes[i].Ratio = g.s.ratios[shaft]
	}
	for _, i := range movers {
		if i < 0 {
			continue
		}
		m := g.movers[i]
		for k, at := range g.index[i] {
			a := &o.Axes[at]
			if k < len(m.breaks) {
				a.Breaks = append(a.Breaks, m.breaks[k]...)
			}
			a.Samples = max(a.Samples, m.resolve)
		}
	}
	return o
}

// narrow returns the pairs that may come as near as matters, each with the cells
// of the shafts' angles in which it may be nearest.
func (g *frameGroup) narrow(pairs []framePair) []framePair {
	if len(pairs) == 0 {
		return nil
	}
	// Discs come nearer than rims ever do: all they tell is whether rims may.
	var far float64
	most := func(q int) *float64 {
		if p := &pairs[q]; !p.discs {
			return &g.s.least[p.parts]
		}
		far = g.s.far
		return &far
	}
	search := newCellSearch(g.orbit(), &g.s.room, cellField{
		n: len(pairs),
		stand: func(x, reach []float64) {
			g.turnTo(x)
			copy(g.reach, reach)
			g.swaying++
		},
		look:  func(q int) (float64, float64) { return g.bound(&pairs[q], *most(q)) },
		share: func(q, axis int) float64 { return g.share(&pairs[q], axis) },
		most:  most,
		enough: func(q int) float64 {
			if pairs[q].discs {
				return g.s.far
			}
			return pairs[q].floor + floorFine
		},
	})
	if search == nil {
		return pairs
	}
	finds := search.narrow()
	out := pairs[:0:0]
	for q, p := range pairs {
		f := &finds[q]
		if p.cells = f.mask; p.cells == nil {
			continue
		}
		if p.settled = f.settled && len(search.axes) == 1; p.settled {
			ratio := g.s.ratios[g.shafts[search.axes[0].index]]
			p.turns = f.at[0] / (2 * math.Pi) / math.Abs(ratio.Float())
		}
		out = append(out, p)
	}
	return out
}

// follow follows a pair over the repeat.
func (g *frameGroup) follow(p *framePair) Extent {
	field := Field{N: 1, Sides: []Sides{OnlyMin}, Slack: p.slack}
	field.All = func(x, out []float64) {
		out[0] = math.NaN()
		if p.cells == nil || p.cells.has(x) {
			g.turnTo(x)
			out[0] = g.gap(p)
		}
	}
	field.One = func(x []float64, _ int) float64 {
		g.turnTo(x)
		return g.gap(p)
	}
	return g.orbit(p.movers[:]...).Extents(field)[0]
}

// overlapFine, mm, is how well the depth of an overlap is known: it must go, and
// whether by 3.00 mm or 3.01 does not matter.
const overlapFine = 0.01

// floorFine, mm, is the rounding of a pair's floor.
const floorFine = 1e-9

// slack returns how much deeper than the deepest overlap met a place must
// promise to be for a closer look.
func (p *framePair) slack(_ int, least float64) float64 {
	switch {
	case least <= p.floor+floorFine:
		return math.Inf(1)
	case least > 0:
		return 0
	}
	return overlapFine
}

// explain poses the pair at its least distance and measures how it lies.
func (g *frameGroup) explain(p *framePair, c *FrameClearance) {
	if len(g.movers) > 0 && c.Turns >= 0 {
		g.turnAt(c.Turns)
	}
	g.stand(p.movers[0], p.a)
	g.stand(p.movers[1], p.b)
	a, b := &g.s.bodies[p.a], &g.s.bodies[p.b]
	if p.discs {
		a, b = a.swept(), b.swept()
	} else if flatPair(a, b) {
		g.drawRims(p)
	}
	if a.kind > b.kind {
		a, b = b, a
	}
	if flatPair(a, b) {
		c.Flat, c.Level, c.Plan = true, levelGap(a, b), planGap(a, b, math.Inf(-1))
		return
	}
	if b.kind == bodySlab {
		c.Apart = r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: -c.Gap}
		return
	}
	c.Apart = r3.Vec{X: axisOverlap(a, b, boxAxes[0]), Y: axisOverlap(a, b, boxAxes[1]), Z: axisOverlap(a, b, boxAxes[2])}
}

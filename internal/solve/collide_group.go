package solve

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// frameGroup is the pairs of bodies moved by the same shafts.
type frameGroup struct {
	shafts []int
	movers []*frameMover
	index  [][]int // per mover, its shafts' places in shafts
	pairs  []framePair
	bodies []int // that move
	x      []float64
	own    []float64
	known  bool
	posed  bool
}

func newFrameGroup(s *frameScene, movers ...*frameMover) *frameGroup {
	g := &frameGroup{}
	for _, m := range movers {
		if m == nil || slices.Contains(g.movers, m) {
			continue
		}
		g.movers = append(g.movers, m)
		for _, shaft := range m.shafts {
			if !slices.Contains(g.shafts, shaft) {
				g.shafts = append(g.shafts, shaft)
			}
		}
	}
	for _, m := range g.movers {
		var index []int
		for _, shaft := range m.shafts {
			index = append(index, slices.Index(g.shafts, shaft))
		}
		g.index = append(g.index, index)
	}
	for i := range s.bodies {
		if m := s.bodies[i].mover; m != nil && slices.Contains(g.movers, m) {
			g.bodies = append(g.bodies, i)
		}
	}
	g.x = make([]float64, len(g.shafts))
	g.own = make([]float64, len(g.shafts))
	return g
}

// groupOf returns the group of a pair's movers.
func (s *frameScene) groupOf(groups map[string]*frameGroup, i, j int) *frameGroup {
	g := newFrameGroup(s, s.bodies[i].mover, s.bodies[j].mover)
	key := make([]byte, 0, 16)
	for _, m := range g.movers {
		key = append(key, byte(m.number), byte(m.number>>8))
	}
	if old := groups[string(key)]; old != nil {
		return old
	}
	groups[string(key)] = g
	return g
}

// set poses every moving body of the group; the last pose is kept.
func (g *frameGroup) set(s *frameScene, x []float64) bool {
	if g.known && slices.Equal(g.x, x) {
		return g.posed
	}
	copy(g.x, x)
	g.known, g.posed = true, true
	for i, m := range g.movers {
		own := g.own[:len(m.shafts)]
		for k, at := range g.index[i] {
			own[k] = x[at]
		}
		if !m.set(own) {
			g.posed = false
			return false
		}
	}
	for _, i := range g.bodies {
		s.bodies[i].place()
	}
	return true
}

// orbit returns the path of the group's shafts.
func (g *frameGroup) orbit(s *frameScene) Orbit {
	o := Orbit{Bound: s.bound && len(g.shafts) > 1, Axes: make([]OrbitAxis, len(g.shafts))}
	for i, shaft := range g.shafts {
		o.Axes[i].Ratio = s.ratios[shaft]
	}
	for i, m := range g.movers {
		for k, at := range g.index[i] {
			a := &o.Axes[at]
			if k < len(m.breaks) {
				a.Breaks = append(a.Breaks, m.breaks[k]...)
			}
			a.Samples = max(a.Samples, m.samples)
		}
	}
	return o
}

// extents follows pairs over the repeat.
func (g *frameGroup) extents(s *frameScene, pairs []framePair) []Extent {
	if len(pairs) == 0 {
		return nil
	}
	field := Field{N: len(pairs), Sides: make([]Sides, len(pairs)), Slack: g.slack(s, pairs)}
	for i := range field.Sides {
		field.Sides[i] = OnlyMin
	}
	field.All = func(x, out []float64) {
		if !g.set(s, x) {
			fillNaN(out)
			return
		}
		for q, p := range pairs {
			out[q] = frameGap(&s.bodies[p.a], &s.bodies[p.b])
		}
	}
	field.One = func(x []float64, q int) float64 {
		if !g.set(s, x) {
			return math.NaN()
		}
		return frameGap(&s.bodies[pairs[q].a], &s.bodies[pairs[q].b])
	}
	return g.orbit(s).Extents(field)
}

// overlapFine, mm, is how well the depth of an overlap is known: it must go, and
// whether by 3.00 mm or 3.01 does not matter.
const overlapFine = 0.01

// slack returns how much deeper than the deepest overlap met a place must
// promise to be for a closer look: two flat bodies are as deep in each other as
// can be where they overlap by the whole of the heights they share.
func (g *frameGroup) slack(s *frameScene, pairs []framePair) func(q int, least float64) float64 {
	floors := make([]float64, len(pairs))
	for q, p := range pairs {
		floors[q] = math.Inf(-1)
		if a, b := &s.bodies[p.a], &s.bodies[p.b]; a.kind <= bodyOutline && b.kind <= bodyOutline && a.view == b.view {
			floors[q] = levelGap(a, b)
		}
	}
	return func(q int, least float64) float64 {
		switch {
		case least > 0:
			return 0
		case least <= floors[q]:
			return math.Inf(1)
		}
		return overlapFine
	}
}

// explain poses the pair at its least distance and measures how it lies.
func (g *frameGroup) explain(s *frameScene, p framePair, c *FrameClearance) {
	if len(g.movers) > 0 && c.Turns >= 0 {
		x := make([]float64, len(g.shafts))
		for i, shaft := range g.shafts {
			x[i] = 2 * math.Pi * s.ratios[shaft].Turn(c.Turns)
		}
		g.set(s, x)
	}
	a, b := &s.bodies[p.a], &s.bodies[p.b]
	if a.kind > b.kind {
		a, b = b, a
	}
	if b.kind <= bodyOutline && a.view == b.view {
		c.Flat, c.Level, c.Plan = true, levelGap(a, b), planGap(a, b, math.Inf(-1))
		return
	}
	if b.kind == bodySlab {
		c.Apart = r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: -c.Gap}
		return
	}
	c.Apart = r3.Vec{X: axisOverlap(a, b, boxAxes[0]), Y: axisOverlap(a, b, boxAxes[1]), Z: axisOverlap(a, b, boxAxes[2])}
}

// frameLooks is the least number of angles of each shaft that are looked at.
const frameLooks = 24

// looks returns at how many angles of each shaft the group is looked at: six to
// a ripple.
func (g *frameGroup) looks() int {
	if len(g.shafts) > 2 {
		return frameLooks / 2
	}
	looks := frameLooks
	for _, m := range g.movers {
		looks = max(looks, min(m.samples/2, 4*frameLooks))
	}
	return looks
}

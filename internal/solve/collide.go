package solve

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// FrameClearance is the least distance between two parts over the repeat.
type FrameClearance struct {
	A, B  int     // parts, A < B
	Gap   float64 // mm; 0 or less: they meet, and the depth is known to overlapFine
	Turns float64 // motor turns at which; negative where not known. 0 where neither moves
	Moves bool    // one of them moves against the other
	Bound bool    // over all combinations of angles, not the path alone
	// Flat says that both lie flat in one view. Then Level and Plan are the gaps
	// between their heights and in the view in that pose, negative where they
	// overlap so; otherwise Apart is the overlap of their extents along the
	// stage's axes there, positive where they overlap.
	Flat        bool
	Level, Plan float64
	Apart       r3.Vec
}

// frameScene is everything that can meet something.
type frameScene struct {
	parts  []FramePart
	bodies []frameBody
	ratios []Ratio // by shaft
	movers int     // made so far
	bound  bool
	// far, mm: pairs farther apart than this at all times are not followed.
	far float64
}

// framePair is two bodies to be followed, and the best known so far.
type framePair struct{ a, b int }

// clearances returns the least distance of each pair of parts that are not
// meant to touch and that come nearer than far, nearest first.
//
// Pairs fall away in steps, each of which can only overstate how near they come:
// by the blocks they stay within; at angles looked at, with the disc a cam sweeps
// in place of its rim; and at last as they are.
func (s *frameScene) clearances() []FrameClearance {
	boxes := s.sweptBoxes()
	groups := map[string]*frameGroup{}
	var order []*frameGroup
	for i := range s.bodies {
		for j := i + 1; j < len(s.bodies); j++ {
			if !s.mayMeet(i, j) || boxGap(boxes[i], boxes[j]) >= s.far {
				continue
			}
			g := s.groupOf(groups, i, j)
			if len(g.pairs) == 0 {
				order = append(order, g)
			}
			g.pairs = append(g.pairs, framePair{i, j})
		}
	}
	least := map[[2]int]FrameClearance{}
	for _, g := range order {
		for _, c := range g.clearances(s) {
			key := [2]int{c.A, c.B}
			if old, ok := least[key]; c.Gap < s.far && (!ok || c.Gap < old.Gap) {
				least[key] = c
			}
		}
	}
	var out []FrameClearance
	for _, c := range least {
		out = append(out, c)
	}
	slices.SortFunc(out, func(p, q FrameClearance) int {
		return cmp.Or(cmp.Compare(p.Gap, q.Gap), cmp.Compare(p.A, q.A), cmp.Compare(p.B, q.B))
	})
	return out
}

// clearances follows the group's pairs.
func (g *frameGroup) clearances(s *frameScene) []FrameClearance {
	var out []FrameClearance
	note := func(p framePair, gap, turns float64, bound bool) {
		a, b := s.bodies[p.a].part, s.bodies[p.b].part
		c := FrameClearance{A: min(a, b), B: max(a, b), Gap: gap, Turns: turns, Bound: bound, Moves: len(g.movers) > 0}
		g.explain(s, p, &c)
		out = append(out, c)
	}
	if len(g.movers) == 0 {
		for _, p := range g.pairs {
			note(p, frameGap(&s.bodies[p.a], &s.bodies[p.b]), 0, false)
		}
		return out
	}
	pairs := g.pairs[:0:0]
	for _, p := range g.pairs {
		if turns, gap, ok := g.oneRim(s, p); ok {
			note(p, gap, turns, false)
		} else {
			pairs = append(pairs, p)
		}
	}
	g.only(s, pairs)
	over, turns := g.overlapping(s, pairs)
	rest := pairs[:0:0]
	for i, p := range pairs {
		if over[i] { // one above the other: the gap between their heights is all
			note(p, levelGap(&s.bodies[p.a], &s.bodies[p.b]), turns[i], false)
		} else {
			rest = append(rest, p)
		}
	}
	rest = g.dropMeeting(s, rest, note)
	g.only(s, rest)
	rest = g.near(s, rest, frameSweptGap)
	g.only(s, rest)
	rest = g.near(s, rest, frameGap)
	g.only(s, rest)
	for i, e := range g.extents(s, rest) {
		if e.Valid {
			note(rest[i], e.Min.Value, e.Min.Turns, e.Min.Bound)
		}
	}
	return out
}

// dropMeeting notes, where three shafts or more move a group, the pairs that meet
// at one of many instants with the least distance seen, and returns the others:
// to search the depth of a failure over three angles would take longer than it is
// worth.
func (g *frameGroup) dropMeeting(s *frameScene, pairs []framePair, note func(p framePair, gap, turns float64, bound bool)) []framePair {
	const instants = 500
	if len(g.shafts) < 3 || len(pairs) == 0 {
		return pairs
	}
	least, turns := make([]float64, len(pairs)), make([]float64, len(pairs))
	x := make([]float64, len(g.shafts))
	for k := range instants {
		t := float64(k) * (1 + math.Sqrt2)
		for i, shaft := range g.shafts {
			x[i] = 2 * math.Pi * s.ratios[shaft].Turn(t)
		}
		if !g.set(s, x) {
			continue
		}
		for q, p := range pairs {
			if gap := frameGap(&s.bodies[p.a], &s.bodies[p.b]); gap < least[q] {
				least[q], turns[q] = gap, t
			}
		}
	}
	var rest []framePair
	for q, p := range pairs {
		if least[q] < 0 {
			note(p, least[q], turns[q], false)
		} else {
			rest = append(rest, p)
		}
	}
	return rest
}

// only has the group place no more than the bodies of these pairs.
func (g *frameGroup) only(s *frameScene, pairs []framePair) {
	g.bodies = g.bodies[:0]
	for _, p := range pairs {
		for _, i := range [2]int{p.a, p.b} {
			if s.bodies[i].mover != nil && !slices.Contains(g.bodies, i) {
				g.bodies = append(g.bodies, i)
			}
		}
	}
}

// near returns the pairs that may come nearer than far, by a coarse look and, of
// those that it leaves in doubt, a close one.
func (g *frameGroup) near(s *frameScene, pairs []framePair, gap func(a, b *frameBody) float64) []framePair {
	var out []framePair
	if len(g.shafts) < 3 {
		out, pairs = g.look(s, pairs, g.looks()/2, gap)
	}
	more, doubt := g.look(s, pairs, g.looks(), gap)
	return append(append(out, more...), doubt...)
}

// look returns the pairs that come nearer than far at evenly spread angles of the
// shafts, and those that may: their distance at one of these angles, less half
// the longest step between neighbours in every direction.
func (g *frameGroup) look(s *frameScene, pairs []framePair, looks int, gap func(a, b *frameBody) float64) (near, doubt []framePair) {
	if len(pairs) == 0 {
		return nil, nil
	}
	n := len(pairs)
	var values []float64
	sure := make([]bool, n) // met nearer than far
	total := g.grid(s, looks, func(posed bool) {
		for q, p := range pairs {
			v := math.NaN()
			if posed && !sure[q] {
				v = gap(&s.bodies[p.a], &s.bodies[p.b])
				sure[q] = v < s.far
			}
			values = append(values, v)
		}
	})
	least, slack := make([]float64, n), make([]float64, n)
	for q := range least {
		least[q] = math.Inf(1)
	}
	for stride := 1; stride < total; stride *= looks {
		for q := range n {
			step := 0.0
			for k := range total {
				next := k + stride // the neighbour along one shaft, round the turn
				if k/stride%looks == looks-1 {
					next -= stride * looks
				}
				v := values[k*n+q]
				if v < least[q] {
					least[q] = v
				}
				if d := math.Abs(v - values[next*n+q]); d > step {
					step = d
				}
			}
			slack[q] += step / 2
		}
	}
	for q, p := range pairs {
		if sure[q] {
			near = append(near, p)
		} else if total == 1 || least[q]-slack[q] < s.far {
			doubt = append(doubt, p)
		}
	}
	return near, doubt
}

// grid poses the group at evenly spread angles of its shafts, looks to a turn,
// and returns how many poses those are.
func (g *frameGroup) grid(s *frameScene, looks int, visit func(posed bool)) int {
	total := 1
	for range g.shafts {
		total *= looks
	}
	x := make([]float64, len(g.shafts))
	for n := range total {
		rest := n
		for k := range x {
			x[k] = 2 * math.Pi * float64(rest%looks) / float64(looks)
			rest /= looks
		}
		visit(g.set(s, x))
	}
	return total
}

// oneRim solves a cam against a part at rest: over a turn its rim sweeps a disc,
// and the nearest pass is where its greatest radius points at the other.
func (g *frameGroup) oneRim(s *frameScene, p framePair) (turns, gap float64, ok bool) {
	a, b := &s.bodies[p.a], &s.bodies[p.b]
	if a.kind != bodyRim {
		a, b = b, a
	}
	if a.kind != bodyRim || b.mover != nil || len(g.shafts) != 1 {
		return 0, 0, false
	}
	ratio := s.ratios[g.shafts[0]]
	if !ratio.Driven() {
		return 0, 0, false
	}
	gap = frameSweptGap(a, b)
	// Pose the cam at motor turn 0 to learn where its greatest radius points.
	clear(g.own)
	g.known = false
	g.set(s, g.own[:len(g.shafts)])
	toward := r2.Vec{X: 1}
	if b.kind <= bodyOutline && b.view == a.view && len(b.core) > 0 {
		toward = r2.Sub(nearestOf(b.core, a.rim.centre), a.rim.centre)
	} else if b.kind != bodySlab {
		flat, _ := a.view.Project(b.support(r3.Scale(-1, a.view.Stage(a.rim.centre, a.low))))
		toward = r2.Sub(flat, a.rim.centre)
	}
	far := a.rim.world(a.rim.corners[a.rim.farthest])
	now := r2.Sub(far, a.rim.centre)
	turn := math.Atan2(r2.Cross(now, toward), r2.Dot(now, toward)) * a.rim.sense
	if turn < 0 {
		turn += 2 * math.Pi
	}
	return turn / (2 * math.Pi) / math.Abs(ratio.Float()), gap, true
}

// overlapping finds the pairs whose levels are apart and that lie over each
// other at some instant: then the least distance is the gap of their levels. It
// looks at instants spread over the orbit and may miss some, which are then
// followed like any other.
func (g *frameGroup) overlapping(s *frameScene, pairs []framePair) (over []bool, turns []float64) {
	const looks = 48
	over, turns = make([]bool, len(pairs)), make([]float64, len(pairs))
	x := make([]float64, len(g.shafts))
	for k := range looks {
		t := float64(k) * (1 + math.Sqrt2)
		for i, shaft := range g.shafts {
			x[i] = 2 * math.Pi * s.ratios[shaft].Turn(t)
		}
		if !g.set(s, x) {
			continue
		}
		for i, p := range pairs {
			a, b := &s.bodies[p.a], &s.bodies[p.b]
			if a.kind > b.kind {
				a, b = b, a
			}
			if !over[i] && b.kind <= bodyOutline && a.view == b.view && levelGap(a, b) >= 0 && planGap(a, b, 0) <= 0 {
				over[i], turns[i] = true, t
			}
		}
	}
	return over, turns
}

// mayMeet reports whether a pair is to be followed: of different parts that
// share no joint.
func (s *frameScene) mayMeet(i, j int) bool {
	a, b := &s.bodies[i], &s.bodies[j]
	if a.part == b.part {
		return false
	}
	return !s.parts[a.part].touches(&s.parts[b.part])
}

// frameBox is a rectangular block of the stage frame.
type frameBox struct{ min, max r3.Vec }

func boxGap(a, b frameBox) float64 {
	gap := r3.Vec{
		X: max(a.min.X-b.max.X, b.min.X-a.max.X, 0),
		Y: max(a.min.Y-b.max.Y, b.min.Y-a.max.Y, 0),
		Z: max(a.min.Z-b.max.Z, b.min.Z-a.max.Z, 0),
	}
	return r3.Norm(gap)
}

// sweptBoxes returns a block that each body stays within at all times.
func (s *frameScene) sweptBoxes() []frameBox {
	boxes := make([]frameBox, len(s.bodies))
	groups := map[*frameMover][]int{}
	var movers []*frameMover
	for i := range s.bodies {
		m := s.bodies[i].mover
		if m == nil || s.bodies[i].kind == bodyRim { // a rim supports as the disc it sweeps
			boxes[i] = s.bodies[i].box()
			continue
		}
		if groups[m] == nil {
			movers = append(movers, m)
		}
		groups[m] = append(groups[m], i)
	}
	for _, m := range movers {
		s.sweepMover(m, groups[m], boxes)
	}
	return boxes
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

// sweepMover measures the blocks of the bodies that one mover moves, at evenly
// spread angles of its shafts, whether or not the path meets them, and widens
// them by the longest step between neighbours: a motion that is resolved at all
// goes less than half a step beyond its samples.
func (s *frameScene) sweepMover(m *frameMover, bodies []int, boxes []frameBox) {
	g := newFrameGroup(s, m)
	for _, i := range bodies {
		boxes[i] = frameBox{r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}}
	}
	last, step := make([]frameBox, len(bodies)), make([]float64, len(bodies))
	known := false
	g.grid(s, g.looks(), func(posed bool) {
		for k, i := range bodies {
			if !posed {
				break
			}
			box := s.bodies[i].box()
			if known {
				step[k] = max(step[k], boxStep(box, last[k]))
			}
			last[k] = box
			boxes[i] = boxes[i].with(box)
		}
		known = posed
	})
	for k, i := range bodies {
		boxes[i] = boxes[i].grown(step[k])
	}
}

func (b frameBox) with(o frameBox) frameBox {
	return frameBox{
		r3.Vec{X: min(b.min.X, o.min.X), Y: min(b.min.Y, o.min.Y), Z: min(b.min.Z, o.min.Z)},
		r3.Vec{X: max(b.max.X, o.max.X), Y: max(b.max.Y, o.max.Y), Z: max(b.max.Z, o.max.Z)},
	}
}

func (b frameBox) grown(by float64) frameBox {
	d := r3.Vec{X: by, Y: by, Z: by}
	return frameBox{r3.Sub(b.min, d), r3.Add(b.max, d)}
}

// boxStep returns the greatest move of a side from one block to the next.
func boxStep(a, b frameBox) float64 {
	low, high := r3.Sub(a.min, b.min), r3.Sub(a.max, b.max)
	return max(math.Abs(low.X), math.Abs(low.Y), math.Abs(low.Z), math.Abs(high.X), math.Abs(high.Y), math.Abs(high.Z))
}

var boxAxes = [6]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: -1}, {Y: -1}, {Z: -1}}

// box returns the block round a body as it stands.
func (f *frameBody) box() frameBox {
	const endless = 1e6 // mm; a slab has no edges
	if f.kind == bodySlab {
		return frameBox{r3.Vec{X: -endless, Y: -endless, Z: f.low}, r3.Vec{X: endless, Y: endless, Z: f.high}}
	}
	var b frameBox
	b.max = r3.Vec{X: f.support(boxAxes[0]).X, Y: f.support(boxAxes[1]).Y, Z: f.support(boxAxes[2]).Z}
	b.min = r3.Vec{X: f.support(boxAxes[3]).X, Y: f.support(boxAxes[4]).Y, Z: f.support(boxAxes[5]).Z}
	return b
}

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

// rimOf samples a cam's true outline as its template is drawn; n corners evenly
// spaced in polar angle. Where the stated motion folds the outline back, the
// outermost branch is the one that meets others.
func rimOf(c *Cam, n int) *frameRim {
	const fine = 4 // samples to a corner
	radius := make([]float64, n)
	var before r2.Vec
	for k := range n*fine + 1 {
		p := c.Contact(2 * math.Pi * float64(k) / float64(n*fine)).Rim
		if k > 0 {
			markRadii(radius, before, p)
		}
		before = p
	}
	r := &frameRim{corners: make([]r2.Vec, n), radii: radius, sense: c.Sense()}
	for i, rho := range radius {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r.corners[i] = r2.Vec{X: rho * cos, Y: rho * sin}
		if rho > r.greatest {
			r.greatest, r.farthest = rho, i
		}
	}
	return r
}

// markRadii raises the radius of every corner's ray that the stretch from p to
// q crosses to where it crosses.
func markRadii(radius []float64, p, q r2.Vec) {
	n := float64(len(radius))
	from, to := math.Atan2(p.Y, p.X), math.Atan2(q.Y, q.X)
	if to-from > math.Pi {
		to -= 2 * math.Pi
	} else if from-to > math.Pi {
		to += 2 * math.Pi
	}
	if from > to {
		from, to = to, from
	}
	for i := math.Ceil(from / (2 * math.Pi) * n); i <= math.Floor(to/(2*math.Pi)*n); i++ {
		sin, cos := math.Sincos(2 * math.Pi * i / n)
		ray := r2.Vec{X: cos, Y: sin}
		way := r2.Sub(q, p)
		across := r2.Cross(ray, way)
		if across == 0 {
			continue
		}
		k := ((int(i) % len(radius)) + len(radius)) % len(radius)
		radius[k] = max(radius[k], r2.Cross(p, way)/across)
	}
}

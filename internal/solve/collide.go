package solve

import (
	"cmp"
	"math"
	"slices"

	"understage/internal/geom"

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
	bound  bool
	// far, mm: pairs farther apart than this at all times are not followed.
	far float64
	// least holds by pair of parts how near they are known to come, far until then.
	least  []float64
	groups []*frameGroup
	room   cellRoom
}

// clearances returns the least distance of each pair of parts that are not
// meant to touch and that come nearer than far, nearest first.
//
// Pairs fall away in steps, each of which can only overstate how near they come:
// by the blocks they stay within; by bounds over cells of the shafts' angles, with
// the disc a cam sweeps in place of its rim; and by such bounds as they are. What
// is left is followed in the cells that are left.
func (s *frameScene) clearances() []FrameClearance {
	s.pair()
	least := map[[2]int]FrameClearance{}
	for _, g := range s.groups {
		for _, c := range g.clearances() {
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

// pair puts every pair of bodies that are to be followed in a group: of different
// parts that share no joint, and whose blocks come near each other.
func (s *frameScene) pair() {
	boxes := s.sweptBoxes()
	numbers := map[[2]int]int{}
	for i := range s.bodies {
		for j := i + 1; j < len(s.bodies); j++ {
			a, b := &s.bodies[i], &s.bodies[j]
			if a.part == b.part {
				continue
			}
			apart := boxGap(&boxes[i], &boxes[j])
			if apart >= s.far || s.parts[a.part].touches(&s.parts[b.part]) {
				continue
			}
			key := [2]int{min(a.part, b.part), max(a.part, b.part)}
			parts, ok := numbers[key]
			if !ok {
				parts = len(s.least)
				numbers[key] = parts
				s.least = append(s.least, s.far)
			}
			floor := math.Inf(-1)
			if apart > 0 {
				floor = apart
			} else if flatPair(a, b) {
				floor = levelGap(a, b)
			}
			s.join(framePair{a: i, b: j, parts: parts, floor: floor})
		}
	}
	// Parts at rest first: what is known of two parts spares their other pairs work.
	slices.SortStableFunc(s.groups, func(g, h *frameGroup) int { return cmp.Compare(len(g.shafts), len(h.shafts)) })
}

// join puts a pair in the group of the shafts that move it, beginning one if
// need be.
func (s *frameScene) join(p framePair) {
	var moved [2]*frameMover
	for k, i := range [2]int{p.a, p.b} {
		if f, other := &s.bodies[i], &s.bodies[p.a+p.b-i]; f.kind != bodyRim || rimShows(f, other) {
			moved[k] = f.mover
		}
	}
	at := slices.IndexFunc(s.groups, func(g *frameGroup) bool { return g.turnBy(moved) })
	if at < 0 {
		at = len(s.groups)
		s.groups = append(s.groups, &frameGroup{s: s})
	}
	g := s.groups[at]
	p.movers = [2]int{g.add(moved[0]), g.add(moved[1])}
	g.pairs = append(g.pairs, p)
}

// rimShows reports whether a rim counts as it stands to another body. To what
// lies in another view, and to an outline, it is the disc it sweeps.
func rimShows(rim, other *frameBody) bool {
	switch other.kind {
	case bodyPrism, bodyRim:
		return other.view == rim.view
	case bodyRod:
		return rim.view == geom.Plan
	}
	return false
}

// clearances follows the group's pairs.
func (g *frameGroup) clearances() []FrameClearance {
	var out []FrameClearance
	note := func(p *framePair, gap, turns float64, bound bool) {
		a, b := &g.s.bodies[p.a], &g.s.bodies[p.b]
		c := FrameClearance{A: min(a.part, b.part), B: max(a.part, b.part), Gap: gap, Turns: turns, Bound: bound, Moves: a.mover != nil || b.mover != nil}
		if g.s.least[p.parts] = min(g.s.least[p.parts], gap); gap < g.s.far {
			g.explain(p, &c)
		}
		out = append(out, c)
	}
	pairs := g.pairs[:0:0]
	for i := range g.pairs {
		p := &g.pairs[i]
		if turns, gap, ok := g.oneRim(p); ok {
			p.discs = true
			note(p, gap, turns, false)
		} else if len(g.movers) == 0 {
			note(p, frameGap(&g.s.bodies[p.a], &g.s.bodies[p.b]), 0, false)
		} else {
			pairs = append(pairs, *p)
		}
	}
	pairs = g.dropOverlapping(pairs, note)
	pairs = g.narrow(g.narrowDiscs(pairs))
	pairs = g.dropMeeting(pairs, note)
	for i := range pairs {
		p := &pairs[i]
		if p.settled {
			g.turnAt(p.turns)
			note(p, g.gap(p), p.turns, false)
		} else if e := g.follow(p); e.Valid {
			note(p, e.Min.Value, e.Min.Turns, e.Min.Bound)
		}
	}
	return out
}

// narrowDiscs drops the pairs that stay far apart even with discs in place of
// rims, and has the rims of the others drawn.
func (g *frameGroup) narrowDiscs(pairs []framePair) []framePair {
	var discs, rest []framePair
	for _, p := range pairs {
		a, b := &g.s.bodies[p.a], &g.s.bodies[p.b]
		if a.kind == bodyRim && p.movers[0] >= 0 || b.kind == bodyRim && p.movers[1] >= 0 {
			p.discs = true
			discs = append(discs, p)
		} else {
			rest = append(rest, p)
		}
	}
	for _, p := range g.narrow(discs) {
		p.discs = false
		g.drawRims(&p)
		rest = append(rest, p)
	}
	return rest
}

func (g *frameGroup) drawRims(p *framePair) {
	for _, i := range [2]int{p.a, p.b} {
		if f := &g.s.bodies[i]; f.kind == bodyRim {
			f.rim.draw()
		}
	}
}

// dropMeeting notes, where three shafts or more move a group, the pairs that meet
// at one of many instants with the least distance seen, and returns the others:
// to search the depth of a failure over three angles would take longer than it is
// worth.
func (g *frameGroup) dropMeeting(pairs []framePair, note func(p *framePair, gap, turns float64, bound bool)) []framePair {
	const instants = 500
	if len(g.shafts) < 3 || len(pairs) == 0 {
		return pairs
	}
	least, turns := make([]float64, len(pairs)), make([]float64, len(pairs))
	for k := range instants {
		t := float64(k) * instantStep
		g.turnAt(t)
		for q := range pairs {
			if gap := g.gap(&pairs[q]); gap < least[q] {
				least[q], turns[q] = gap, t
			}
		}
	}
	rest := pairs[:0:0]
	for q := range pairs {
		if least[q] < 0 {
			note(&pairs[q], least[q], turns[q], false)
		} else {
			rest = append(rest, pairs[q])
		}
	}
	return rest
}

// instantStep, motor turns, spreads instants over the orbit: no shaft comes by the
// same angles again and again.
const instantStep = 1 + math.Sqrt2

// oneRim solves a cam against a part at rest: over a turn its rim sweeps a disc,
// and the nearest pass is where its greatest radius points at the other.
func (g *frameGroup) oneRim(p *framePair) (turns, gap float64, ok bool) {
	a, b := &g.s.bodies[p.a], &g.s.bodies[p.b]
	if a.kind != bodyRim {
		a, b = b, a
	}
	if a.kind != bodyRim || b.mover != nil {
		return 0, 0, false
	}
	ratio := g.s.ratios[a.mover.shafts[0]]
	if !ratio.Driven() {
		return 0, 0, false
	}
	gap = frameGap(a.disc, b)
	// Pose the cam at motor turn 0 to learn where its greatest radius points.
	a.mover.pose([]float64{0})
	a.mover.stand(a)
	toward := r2.Vec{X: 1}
	if b.kind <= bodyOutline && b.view == a.view && len(b.core) > 0 {
		toward = r2.Sub(nearestOf(b.core, a.rim.centre), a.rim.centre)
	} else if b.kind != bodySlab {
		flat, _ := a.view.Project(b.support(r3.Scale(-1, a.view.Stage(a.rim.centre, a.low))))
		toward = r2.Sub(flat, a.rim.centre)
	}
	now := r2.Sub(a.rim.world(a.rim.farthest), a.rim.centre)
	turn := math.Atan2(r2.Cross(now, toward), r2.Dot(now, toward)) * a.rim.sense
	if turn < 0 {
		turn += 2 * math.Pi
	}
	return turn / (2 * math.Pi) / math.Abs(ratio.Float()), gap, true
}

// dropOverlapping notes the pairs whose levels are apart and that lie over each
// other at some instant, and returns the others: the least distance of those is
// the gap of their levels. It looks at instants spread over the orbit and may miss
// some, which are then followed like any other.
func (g *frameGroup) dropOverlapping(pairs []framePair, note func(p *framePair, gap, turns float64, bound bool)) []framePair {
	const looks = 48
	rest := pairs[:0:0]
	for i := range pairs {
		p := &pairs[i]
		a, b := &g.s.bodies[p.a], &g.s.bodies[p.b]
		if a.kind > b.kind {
			a, b = b, a
		}
		turns, over := 0.0, false
		if flatPair(a, b) && levelGap(a, b) >= 0 {
			for k := 0; k < looks && !over; k++ {
				turns = float64(k) * instantStep
				g.turnAt(turns)
				over = g.stand(p.movers[0], p.a) && g.stand(p.movers[1], p.b) && g.overlap(p)
			}
		}
		if over { // one above the other: the gap between their heights is all
			note(p, levelGap(a, b), turns, false)
		} else {
			rest = append(rest, *p)
		}
	}
	return rest
}

// overlap reports whether two flat bodies lie over each other in their view, as
// they stand.
func (g *frameGroup) overlap(p *framePair) bool {
	a, b := &g.s.bodies[p.a], &g.s.bodies[p.b]
	if a.kind > b.kind {
		a, b = b, a
	}
	if b.kind == bodyRim {
		if planGap(a.swept(), b.swept(), 0) > 0 {
			return false
		}
		g.drawRims(p)
	}
	return planGap(a, b, 0) <= 0
}

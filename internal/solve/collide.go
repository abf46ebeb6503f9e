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

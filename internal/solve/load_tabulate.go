package solve

import "math"

// groupTorques is the most torques that a table gives: at two ends, in two states.
const groupTorques = 4

const (
	// loadSearchSteps is how many steps of a turn a table has that only says where
	// to look for extremes, for each of two angles, and loadFollowSteps that of one
	// that is read instead of the forces. A table of one angle has loadFiner times
	// as many, and one whose cam has many spans loadSpanSteps for each.
	loadSearchSteps = 24
	loadFollowSteps = 48
	loadMostSteps   = 160
	loadFiner       = 4
	loadSpanSteps   = 4
	// loadProbes is about how many places between the nodes of a table for each
	// angle are looked at to tell how far it is off, loadOffMargin how much farther
	// it may be elsewhere, and loadOffLeast, of its range, how far it always may.
	loadProbes    = 24
	loadOffMargin = 2
	loadOffLeast  = 0.004
)

// tabulate makes tables of at least so many steps at a motor speed, and reports
// whether the load can be read from them: every group on one or two angles, no
// jumps, and posed everywhere.
func (l *Load) tabulate(speed float64, steps int) bool {
	if l.steps >= steps {
		return true
	}
	for i := range l.groups {
		g := &l.groups[i]
		if len(g.axes) > 2 {
			return false
		}
		for _, c := range g.cams {
			if l.cams[c].jumpy() {
				return false
			}
		}
	}
	for i := range l.groups {
		if !l.tabulateGroup(&l.groups[i], speed, steps) {
			return false
		}
	}
	l.steps = steps
	return true
}

func (l *Load) tabulateGroup(g *loadGroup, speed float64, steps int) bool {
	single := len(g.axes) == 1
	if single {
		steps *= loadFiner
	}
	var nodes [2]loadNodes
	for i, axis := range g.axes {
		least := l.Orbit.Axes[axis].Samples
		for _, c := range l.axes[axis].cams {
			least = max(least, loadSpanSteps*len(l.cams[c].spans))
		}
		nodes[i] = newLoadNodes(l.kinks(axis), max(steps, min(least*steps/loadSearchSteps, loadMostSteps)))
	}
	g.table = newLoadTable(nodes[0], nodes[len(g.axes)-1], single, loadStates*len(g.branch.ends))
	g.press = newLoadTable(nodes[0], nodes[len(g.axes)-1], single, len(g.yoked))
	t := g.table
	x := make([]float64, len(l.Shafts))
	for i := range t.rows {
		if !single {
			x[g.axes[0]] = orbitWrap(t.first.x[i])
		}
		for j := range t.columns {
			x[g.axes[len(g.axes)-1]] = orbitWrap(t.second.x[j])
			if !l.ends(g, speed, x, t.point(i, j), g.press.point(i, j)) {
				return false
			}
		}
	}
	return l.probe(g, speed, x)
}

// ends finds what a group's tables hold at one place; false where it cannot be
// posed.
func (l *Load) ends(g *loadGroup, speed float64, x, torques, press []float64) bool {
	n := len(g.branch.ends)
	for state := range loadStates {
		if !l.endsIn(g, speed, state, x, torques[state*n:]) {
			return false
		}
		for i := range press {
			if state == loadSliding {
				press[i] = l.along[g.yoked[i]]
			}
		}
	}
	return true
}

// endsIn finds the torques at the ends of a group's branch in one state.
func (l *Load) endsIn(g *loadGroup, speed float64, state int, x, torques []float64) bool {
	l.Set(speed, state == loadAtRest)
	l.clear()
	if !l.ask(g, x) {
		return false
	}
	passOn(g.branch.steps, l.torque)
	for e, shaft := range g.branch.ends {
		torques[e] = l.torque[shaft]
	}
	return true
}

// probe finds how far a group's table is off between its nodes: at places spread
// evenly over the turns (a lattice with the golden section), and for each of them
// at one in cells beside kinks.
func (l *Load) probe(g *loadGroup, speed float64, x []float64) bool {
	t := g.table
	t.allowOff(loadOffLeast)
	first, last := g.axes[0], g.axes[len(g.axes)-1]
	count := loadProbes * len(g.axes)
	for k := range count {
		y := math.Mod(goldenTurn*float64(k), 1)
		z := (float64(k) + 0.5) / float64(count)
		for _, at := range [2][2]float64{
			{2 * math.Pi * y, 2 * math.Pi * z}, {t.first.nearKink(y, k), t.second.nearKink(z, k+len(g.axes)-1)},
		} {
			x[first], x[last] = at[0], at[1]
			var is, read [groupTorques]float64
			if !l.ends(g, speed, x, is[:], nil) {
				return false
			}
			t.add(at[0], at[1], read[:])
			off := t.offAt(at[0], at[1])
			for f := range off {
				o := loadOffMargin * (is[f] - read[f])
				off[f] = [2]float64{max(off[f][0], -o), max(off[f][1], o)}
			}
			if !t.first.kinked && !t.second.kinked {
				break
			}
		}
	}
	return true
}

// kinks returns the angles of an axis at which the friction of a follower turns
// round, or its acceleration jumps.
func (l *Load) kinks(axis int) []float64 {
	a := &l.axes[axis]
	if a.kinks == nil {
		a.kinks = make([]float64, 0, 8)
		for _, i := range a.cams {
			for _, phi := range l.cams[i].rubKinks() {
				a.kinks = append(a.kinks, orbitWrap(phi-l.m.Cams[i].Phase))
			}
		}
	}
	return a.kinks
}

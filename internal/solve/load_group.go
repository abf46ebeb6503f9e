package solve

import (
	"math"
	"slices"

	"understage/internal/mech"
)

// Parts of a load that share no shaft ask for torque independently of each
// other. Each such group depends on one or two angles as a rule, so that it can
// be tabulated once and read at every instant of a long repeat.

// loadGroup is parts of the load that hang together.
type loadGroup struct {
	axes  []int // into Load.Shafts
	torso bool
	chain []int // into Load.chains
	cams  []int
	yoked []int      // of the cams, those whose followers move the torso
	table *loadTable // of the torque at each axis's shaft, sliding then at rest; then what presses on each yoked cam
}

// group sorts the load's parts by the shafts they share.
func (l *Load) group() {
	of := make([]int, len(l.Shafts)) // by axis: the group's first axis
	for i := range of {
		of[i] = i
	}
	root := func(i int) int {
		for of[i] != i {
			i = of[i]
		}
		return i
	}
	join := func(a, b int) {
		a, b = root(a), root(b)
		of[max(a, b)] = min(a, b)
	}
	tie := func(place []int) {
		for _, at := range place {
			join(place[0], at)
		}
	}
	tie(l.place)
	for i := range l.chains {
		tie(l.chains[i].place)
	}
	groups := map[int]int{}
	for i := range l.Shafts {
		r := root(i)
		if _, ok := groups[r]; !ok {
			groups[r] = len(l.groups)
			l.groups = append(l.groups, loadGroup{})
		}
		g := &l.groups[groups[r]]
		g.axes = append(g.axes, i)
	}
	at := func(axis int) *loadGroup { return &l.groups[groups[root(axis)]] }
	if l.body != nil {
		at(l.place[0]).torso = true
	}
	for i := range l.chains {
		g := at(l.chains[i].place[0])
		g.chain = append(g.chain, i)
	}
	for _, c := range l.loaded {
		g := at(l.axis[l.m.Cams[c].Shaft])
		g.cams = append(g.cams, c)
		if l.yokes(c) {
			g.yoked = append(g.yoked, c)
		}
	}
}

// yokes reports whether a cam's follower moves the torso by a yoke.
func (l *Load) yokes(cam int) bool {
	return l.body != nil && slices.ContainsFunc(l.m.Torso.Pushes[:], func(p mech.Push) bool { return p.Kind == mech.Yoke && p.Cam == cam })
}

// groupFunctions is the most values a table gives: two torques in two states,
// and what presses on the two cams of a torso.
const groupFunctions = 6

const (
	// loadTableSteps is how many steps of a turn a table has: for one angle, and
	// for each of two. Friction has kinks where a contact reverses, which a
	// spline rounds off to about the square of the step; where the torque peaks,
	// contacts move at full speed.
	loadTableSteps  = 256
	loadTableSteps2 = 36
	loadTableMost2  = 160
)

// tabulate makes the tables at a motor speed, and reports whether the load can
// be read from them: every group on one or two angles, no jumps, and posed
// everywhere.
func (l *Load) tabulate(speed float64) bool {
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
	x := make([]float64, len(l.Shafts))
	for i := range l.groups {
		if !l.tabulateGroup(&l.groups[i], speed, x) {
			return false
		}
	}
	return true
}

func (l *Load) tabulateGroup(g *loadGroup, speed float64, x []float64) bool {
	rows, columns := 1, loadTableSteps
	if len(g.axes) == 2 {
		rows, columns = l.tableSteps(g.axes[0]), l.tableSteps(g.axes[1])
	}
	n := len(g.axes)
	g.table = newLoadTable(rows, columns, 2*n+len(g.yoked))
	for i := range rows {
		for j := range columns {
			x[g.axes[len(g.axes)-1]] = 2 * math.Pi * float64(j) / float64(columns)
			if rows > 1 {
				x[g.axes[0]] = 2 * math.Pi * float64(i) / float64(rows)
			}
			out := g.table.point(i, j)
			for k, rest := range [2]bool{false, true} {
				l.Set(speed, rest)
				clear(l.torque)
				clear(l.push)
				clear(l.drag)
				if !l.ask(g, x) {
					return false
				}
				for a, axis := range g.axes {
					out[k*n+a] = l.torque[l.Shafts[axis]]
				}
				for a, cam := range g.yoked {
					if !rest {
						out[2*n+a] = l.along[cam]
					}
				}
			}
		}
	}
	g.table.settle()
	return true
}

// tableSteps gives an axis of two as many steps as its ripples ask for.
func (l *Load) tableSteps(axis int) int {
	return min(max(loadTableSteps2, l.Orbit.Axes[axis].Samples), loadTableMost2)
}

// jumpy reports whether the lift or its velocity jumps somewhere.
func (c *Cam) jumpy() bool {
	for i := range c.spans {
		if s := c.spans[i].step; s == LiftStep || s == VelocityStep {
			return true
		}
	}
	return false
}

// read returns the torque at the motor from the tables, sliding and at rest.
func (l *Load) read(x []float64) (sliding, rest float64) {
	clear(l.torque)
	clear(l.still)
	for i := range l.groups {
		g := &l.groups[i]
		var out [4]float64
		n := len(g.axes)
		g.table.add(x[g.axes[0]], x[g.axes[n-1]], out[:2*n])
		for a, axis := range g.axes {
			l.torque[l.Shafts[axis]] += out[a]
			l.still[l.Shafts[axis]] += out[n+a]
		}
	}
	return l.train.motorTorque(l.torque), l.train.motorTorque(l.still)
}

// within bounds the torque at the motor from the tables, sliding and at rest,
// over a box of angles, with room for the shafts' torques. The motor's torque
// rises with that of each shaft.
func (l *Load) within(from, to, low, high []float64, room *[4][]float64) {
	for _, torque := range room {
		clear(torque)
	}
	for i := range l.groups {
		g := &l.groups[i]
		n := len(g.axes)
		first, last := g.axes[0], g.axes[n-1]
		var least, most [4]float64
		g.table.within([2]float64{from[first], to[first]}, [2]float64{from[last], to[last]}, least[:2*n], most[:2*n])
		for a, axis := range g.axes {
			shaft := l.Shafts[axis]
			room[0][shaft] += least[a]
			room[1][shaft] += most[a]
			room[2][shaft] += least[n+a]
			room[3][shaft] += most[n+a]
		}
	}
	low[loadSliding], high[loadSliding] = l.train.motorTorque(room[0]), l.train.motorTorque(room[1])
	low[loadAtRest], high[loadAtRest] = l.train.motorTorque(room[2]), l.train.motorTorque(room[3])
}

// hold is the least force that presses the follower of a yoked cam down. The
// torso's friction is left out: its direction jumps where a contact comes to
// rest, so that forces, unlike work, have no true extreme with it.
func (l *Load) hold(g *loadGroup, which int, speed float64, bound bool) Extent {
	x := make([]float64, len(l.Shafts))
	spread := func(y []float64) []float64 {
		for a, axis := range g.axes {
			x[axis] = y[a]
		}
		return x
	}
	exact := func(y []float64, _ int) float64 {
		l.Set(speed, false)
		clear(l.torque)
		clear(l.push)
		clear(l.drag)
		if !l.ask(g, spread(y)) {
			return math.NaN()
		}
		return l.along[g.yoked[which]]
	}
	f := Field{N: 1, Sides: []Sides{OnlyMin}, One: exact, All: func(y, out []float64) { out[0] = exact(y, 0) }}
	if l.tabulated {
		f.All = func(y, out []float64) {
			var values [groupFunctions]float64
			spread(y)
			g.table.add(x[g.axes[0]], x[g.axes[len(g.axes)-1]], values[:g.table.functions])
			out[0] = values[2*len(g.axes)+which]
		}
	}
	orbit := Orbit{Bound: bound}
	for _, axis := range g.axes {
		orbit.Axes = append(orbit.Axes, l.Orbit.Axes[axis])
	}
	return orbit.Extents(f)[0]
}

// field gives the torque while turning at a speed and when starting from rest,
// sampled from the tables where there are any and refined exactly.
func (l *Load) field(speed float64, tables bool) Field {
	exact := func(x []float64, q int) float64 {
		l.Set(speed, q == loadAtRest)
		return l.At(x)
	}
	f := Field{N: 2, Sides: []Sides{BothSides, OnlyMax}, One: exact}
	if tables {
		f.All = func(x, out []float64) { out[loadSliding], out[loadAtRest] = l.read(x) }
		var bounds [4][]float64
		for i := range bounds {
			bounds[i] = make([]float64, len(l.torque))
		}
		f.Range = func(from, to, low, high []float64) { l.within(from, to, low, high, &bounds) }
		return f
	}
	f.All = func(x, out []float64) {
		for q := range out {
			out[q] = exact(x, q)
		}
	}
	return f
}

// The quantities of the field.
const (
	loadSliding = iota
	loadAtRest
)

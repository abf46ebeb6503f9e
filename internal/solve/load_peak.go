package solve

import (
	"math"
	"slices"
)

// The extremes of a load over the repeat. Tables of the groups say where they may
// be; there the torque is found from the forces.

// The quantities of the field.
const (
	loadSliding = iota
	loadAtRest
	loadStates
)

var loadSides = []Sides{loadSliding: BothSides, loadAtRest: OnlyMax}

// findPeaks finds the extremes over the repeat.
func (r *LoadResult) findPeaks(s *Solution) {
	load := r.Load
	extents := load.extents(r.Speed, s.Repeat.Bound)
	if !extents[loadSliding].Valid || !extents[loadAtRest].Valid {
		return
	}
	r.Peaks, r.Locked = true, load.locked
	r.Peak, r.Least, r.Breakaway = extents[loadSliding].Max, extents[loadSliding].Min, extents[loadAtRest].Max
	if r.Peak.Turns >= 0 {
		load.Set(r.Speed, false)
		x := make([]float64, len(load.Shafts))
		load.AnglesAt(r.Peak.Turns, x)
		load.At(x)
		r.Shares = load.Shares()
	}
	for i := range load.groups {
		g := &load.groups[i]
		if len(g.yoked) == 0 {
			continue
		}
		for which, e := range load.holds(g, r.Speed, s.Repeat.Bound) {
			if e.Valid {
				r.Holds = append(r.Holds, LoadHold{Cam: g.yoked[which], Least: e.Min})
			}
		}
	}
}

// extents finds the extents of the field's quantities over the orbit, or over all
// combinations of angles for a bound.
func (l *Load) extents(speed float64, bound bool) []Extent {
	tables := len(l.Shafts) > 1 && l.tabulate(speed, loadSearchSteps)
	if bound && len(l.Shafts) > 2 && len(l.groups) > 1 && len(l.common) == 0 {
		return l.boundExtents(speed, tables)
	}
	return l.kinkedOrbit(nil, bound).Extents(l.field(speed, tables))
}

// boundExtents bounds the quantities over all combinations of angles. Each
// group's share of the torque at the motor then takes its extremes on its own.
func (l *Load) boundExtents(speed float64, tables bool) []Extent {
	out := make([]Extent, loadStates)
	for i := range l.groups {
		g := &l.groups[i]
		extents := l.kinkedOrbit(g, true).Extents(l.groupField(g, speed, tables))
		for q := range out {
			e := &extents[q]
			if !e.Valid || i > 0 && !out[q].Valid {
				out[q] = Extent{}
				continue
			}
			out[q] = Extent{
				Min: Extreme{Value: out[q].Min.Value + e.Min.Value, Turns: -1, Bound: true},
				Max: Extreme{Value: out[q].Max.Value + e.Max.Value, Turns: -1, Bound: true}, Valid: true,
			}
		}
	}
	return out
}

// orbit is that of a group's shafts, or of all for nil.
func (l *Load) orbit(g *loadGroup, bound bool) Orbit {
	o := Orbit{Bound: bound}
	for axis, a := range l.Orbit.Axes {
		if g == nil || slices.Contains(g.axes, axis) {
			o.Axes = append(o.Axes, a)
		}
	}
	return o
}

// kinkedOrbit is orbit with breaks where friction turns round besides.
func (l *Load) kinkedOrbit(g *loadGroup, bound bool) Orbit {
	o := l.orbit(g, bound)
	for i := range o.Axes {
		axis := i
		if g != nil {
			axis = g.axes[i]
		}
		o.Axes[i].Breaks = append(slices.Clip(o.Axes[i].Breaks), l.kinks(axis)...)
	}
	return o
}

// spread returns a function that sets the angles of a group's shafts among those
// of all.
func (l *Load) spread(g *loadGroup) func(y []float64) []float64 {
	x := make([]float64, len(l.Shafts))
	return func(y []float64) []float64 {
		for a, axis := range g.axes {
			x[axis] = y[a]
		}
		return x
	}
}

// groupField is the torque that a group alone asks of the motor, to which its
// branch brings all of it.
func (l *Load) groupField(g *loadGroup, speed float64, tables bool) Field {
	spread := l.spread(g)
	f := Field{N: loadStates, Sides: loadSides}
	f.All = func(y, out []float64) {
		x := spread(y)
		var torques [groupTorques]float64
		if tables {
			g.table.add(x[g.axes[0]], x[g.axes[len(g.axes)-1]], torques[:])
		} else if !l.ends(g, speed, x, torques[:], nil) {
			torques = [groupTorques]float64{math.NaN(), math.NaN()}
		}
		copy(out, torques[:])
	}
	f.One = func(y []float64, q int) float64 {
		var torques [groupTorques]float64
		if !l.endsIn(g, speed, q, spread(y), torques[:]) {
			return math.NaN()
		}
		return torques[0]
	}
	return f
}

// holds finds the least forces that press on the yoked cams of a group. The
// torso's friction is left out: its direction jumps where a contact comes to rest,
// so that forces, unlike work, have no true extreme with it.
func (l *Load) holds(g *loadGroup, speed float64, bound bool) []Extent {
	spread := l.spread(g)
	f := Field{N: len(g.yoked), Sides: slices.Repeat([]Sides{OnlyMin}, len(g.yoked))}
	f.One = func(y []float64, which int) float64 {
		l.Set(speed, false)
		l.clear()
		l.free = true
		ok := l.ask(g, spread(y))
		if l.free = false; !ok {
			return math.NaN()
		}
		return l.along[g.yoked[which]]
	}
	f.All = func(y, out []float64) {
		for which := range out {
			out[which] = f.One(y, which)
		}
	}
	if l.steps > 0 {
		f.All = func(y, out []float64) {
			x := spread(y)
			clear(out)
			g.press.add(x[g.axes[0]], x[g.axes[len(g.axes)-1]], out)
		}
	}
	return l.orbit(g, bound).Extents(f)
}

// field gives the torque while turning at a speed and when starting from rest,
// sampled from the tables where there are any and refined exactly.
func (l *Load) field(speed float64, tables bool) Field {
	f := Field{N: loadStates, Sides: loadSides}
	f.One = func(x []float64, q int) float64 {
		l.Set(speed, q == loadAtRest)
		return l.At(x)
	}
	if !tables {
		f.All = func(x, out []float64) {
			for q := range out {
				out[q] = f.One(x, q)
			}
		}
		return f
	}
	f.All = func(x, out []float64) { out[loadSliding], out[loadAtRest] = l.read(x) }
	room := newLoadRange(len(l.torque))
	f.Range = func(from, to, low, high []float64) { l.within(from, to, low, high, room) }
	f.Off = func(x []float64, off [][2]float64) { l.offs(x, off, room) }
	return f
}

package solve

// How far apart a pair's shafts stand, against what its teeth need. On their
// pitch circles two gears of module m mesh at
//
//	spur m(z1 + z2)/2,  internal m|z2 − z1|/2
//
// and the axes of bevel and crown gears meet. A worm's distance also needs the
// worm's own diameter, which a spec does not give.

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// GearStatus says whether a pair's spacing can be judged.
type GearStatus int

const (
	GearOK       GearStatus = iota
	GearParallel            // bevel, crown or worm gears on parallel shafts
	GearCrossed             // spur or internal gears on shafts in different views
	GearUnknown             // no module, or a worm
)

// GearResult is how a pair of gears stands. Distances are between axes, mm.
type GearResult struct {
	Status  GearStatus
	Needed  float64 // where Status is GearOK
	Spacing float64 // as drawn
	Fitted  float64 // with the belts' take-ups where their belts put them
	// Least and Most are the spacings over the whole of the take-ups that move
	// either shaft; both are Spacing where none does.
	Least, Most float64
	Moved       bool // a take-up moves one of the shafts
}

// SolveGears measures every pair. Belts gives the take-up of the fitted belts.
func SolveGears(m *mech.Model, belts []BeltResult) []GearResult {
	results := make([]GearResult, len(m.Gears))
	for i, g := range m.Gears {
		results[i] = solveGear(m, g, belts)
	}
	return results
}

func solveGear(m *mech.Model, g mech.Gear, belts []BeltResult) GearResult {
	a, b := m.Shafts[g.Driver.Shaft], m.Shafts[g.Driven.Shaft]
	r := GearResult{Status: gearStatus(g, a, b), Needed: gearCentre(g)}
	r.Spacing = axisDistance(a, b, a.At, b.At)
	wayA, wayB := shaftWay(m, belts, g.Driver.Shaft), shaftWay(m, belts, g.Driven.Shaft)
	r.Moved = wayA.moved || wayB.moved
	r.Fitted = axisDistance(a, b, wayA.fitted, wayB.fitted)
	r.Least, r.Most = math.Inf(1), 0
	for _, p := range wayA.ends {
		for _, q := range wayB.ends {
			d := axisDistance(a, b, p, q)
			r.Least, r.Most = min(r.Least, d), max(r.Most, d)
		}
	}
	// The distance is convex along a straight way, so it is greatest at an end,
	// and least at an end or where one shaft passes the other.
	if nearest := nearestOnWays(a, b, wayA.ends, wayB.ends); nearest < r.Least {
		r.Least = nearest
	}
	return r
}

func gearStatus(g mech.Gear, a, b mech.Shaft) GearStatus {
	parallel := a.View == b.View
	switch {
	case g.Kind == mech.Spur || g.Kind == mech.Internal:
		if !parallel {
			return GearCrossed
		}
		if g.Module <= 0 {
			return GearUnknown
		}
	case parallel:
		return GearParallel
	case g.Kind == mech.Worm:
		return GearUnknown
	}
	return GearOK
}

// gearCentre returns the distance between the axes at which the pair meshes.
func gearCentre(g mech.Gear) float64 {
	switch g.Kind {
	case mech.Spur:
		return g.Module * float64(g.Driver.Teeth+g.Driven.Teeth) / 2
	case mech.Internal:
		return g.Module * math.Abs(float64(g.Driven.Teeth-g.Driver.Teeth)) / 2
	default:
		return 0
	}
}

// axisDistance returns the distance between the lines of two shafts standing
// at p and q of their views: in the plane for parallel shafts, along the common
// perpendicular otherwise.
func axisDistance(a, b mech.Shaft, p, q r2.Vec) float64 {
	if a.View == b.View {
		return r2.Norm(r2.Sub(p, q))
	}
	across := r3.Cross(a.View.Axis(), b.View.Axis()) // unit: the views stand square to each other
	return math.Abs(r3.Dot(across, r3.Sub(b.View.Stage(q, 0), a.View.Stage(p, 0))))
}

// way is where a take-up can put a shaft.
type way struct {
	moved  bool
	ends   [2]r2.Vec
	fitted r2.Vec
}

// shaftWay returns where the shaft can stand: at its place, or along the
// take-up of the first belt that moves it.
func shaftWay(m *mech.Model, belts []BeltResult, shaft int) way {
	at := m.Shafts[shaft].At
	w := way{ends: [2]r2.Vec{at, at}, fitted: at}
	for i, b := range m.Belts {
		if b.TakeUp == nil || b.Run[b.TakeUp.Pulley].Shaft != shaft {
			continue
		}
		w.moved = true
		w.ends[0] = r2.Add(at, r2.Scale(b.TakeUp.Min, b.TakeUp.Along))
		w.ends[1] = r2.Add(at, r2.Scale(b.TakeUp.Max, b.TakeUp.Along))
		if i < len(belts) && belts[i].Fitted.TakeUp.OK {
			w.fitted = belts[i].Fitted.At
		}
		break
	}
	return w
}

// nearestOnWays returns the least distance between the shafts' lines with each
// shaft anywhere on its straight way. The ends against each other are looked at
// elsewhere; here each end is set against the other's way, which is enough
// unless the ways cross, when the distance is nothing.
func nearestOnWays(a, b mech.Shaft, p, q [2]r2.Vec) float64 {
	if a.View != b.View {
		// One coordinate of each shaft counts; two ranges that overlap meet.
		across := r3.Cross(a.View.Axis(), b.View.Axis())
		on := func(s mech.Shaft, ends [2]r2.Vec) (lo, hi float64) {
			e0, e1 := r3.Dot(across, s.View.Stage(ends[0], 0)), r3.Dot(across, s.View.Stage(ends[1], 0))
			return min(e0, e1), max(e0, e1)
		}
		aLow, aHigh := on(a, p)
		bLow, bHigh := on(b, q)
		return max(0, aLow-bHigh, bLow-aHigh)
	}
	if segmentsCross(p, q) {
		return 0
	}
	nearest := math.Inf(1)
	for i := range 2 {
		nearest = min(nearest, toSegment(p[i], q), toSegment(q[i], p))
	}
	return nearest
}

func segmentsCross(p, q [2]r2.Vec) bool {
	side := func(a, b, c r2.Vec) float64 { return r2.Cross(r2.Sub(b, a), r2.Sub(c, a)) }
	return side(p[0], p[1], q[0])*side(p[0], p[1], q[1]) < 0 && side(q[0], q[1], p[0])*side(q[0], q[1], p[1]) < 0
}

// toSegment returns the distance from a point to a segment, which may have no
// length.
func toSegment(p r2.Vec, s [2]r2.Vec) float64 {
	d, t := r2.Sub(s[1], s[0]), 0.0
	if square := r2.Norm2(d); square > 0 {
		t = max(0, min(1, r2.Dot(r2.Sub(p, s[0]), d)/square))
	}
	return r2.Norm(r2.Sub(p, r2.Add(s[0], r2.Scale(t, d))))
}

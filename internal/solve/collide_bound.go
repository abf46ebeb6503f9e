package solve

import (
	"math"

	"understage/internal/geom"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// boundFine, relative, is how well bounds know the distance of bodies.
const boundFine = 1e-3

// gapBound returns how near two bodies are as they stand, frameGap or, by
// boundFine, a little more, and the least they can be apart while they stray as far
// as they may. A distance changes by no more than both bodies stray together; where
// a plane parts them, no more than they stray square to it. Where the least is
// beyond most, the two are some values beyond it. way is where the last bound of
// the pair found such a plane, zero at first.
func gapBound(a, b bodyStray, most float64, way *r3.Vec) (gap, low float64) {
	if a.body.kind > b.body.kind {
		a, b = b, a
	}
	f, g := a.body, b.body
	switch {
	case g.kind == bodySlab:
		over, under := slabGaps(f, g)
		return max(over, under), max(over-a.by(&boxAxes[5]), under-a.by(&boxAxes[2]))
	case flatPair(f, g):
		return flatBound(a, b, most, way)
	case g.kind == bodyRod && f.kind <= bodyOutline && f.view == geom.Plan:
		return rodBound(b, a, most, way)
	}
	return convexBound(a, b, most, way)
}

// flatBound is gapBound of two flat bodies in a view, the kinds in ascending order:
// straying in their view, they keep their levels.
func flatBound(a, b bodyStray, most float64, way *r3.Vec) (gap, low float64) {
	f, g := a.body, b.body
	level, stray := levelGap(f, g), a.by(nil)+b.by(nil)
	switch {
	case g.kind == bodyRim && f.kind == bodyPrism:
		if plan := rimCoreLeast(&g.rim, f.core, f.radius, most+stray+2*cellHair); plan > most {
			return plan, plan - stray
		}
	case g.kind == bodyPrism:
		if apart, low := coreBound(&a, f.core, f.radius, &b, g.core, g.radius, f.view, way); low > most {
			return joinGaps(level, apart), joinGaps(level, low)
		}
	}
	plan := planGap(f, g, min(level, 0))
	least := plan - stray
	if plan > 0 && g.kind == bodyPrism {
		coreWay(f.core, g.core, f.view, way)
		_, low := coreBound(&a, f.core, f.radius, &b, g.core, g.radius, f.view, way)
		least = max(least, low)
	}
	return joinGaps(level, plan), joinGaps(level, least)
}

// convexBound is gapBound of two convex bodies.
func convexBound(a, b bodyStray, most float64, way *r3.Vec) (gap, low float64) {
	if *way == (r3.Vec{}) {
		*way = r3.Vec{X: 1}
	} else if gap, low = planeBound(&a, &b, way); low > max(most, 0) {
		return gap, low
	}
	for _, fine := range [2]float64{boundFine, gjkFine} {
		found := convexWay(a.body, b.body, *way, fine)
		if gap = spaceLength(found); gap == 0 {
			break
		}
		*way = r3.Scale(1/gap, found)
		// What is about as near as the nearest is to be known well.
		if _, low = planeBound(&a, &b, way); low <= 0 {
			break
		}
		if low > most || low < most*(1-4*boundFine) || fine == gjkFine {
			return gap, low
		}
	}
	// They may meet, and then it is their extents that count.
	overlap := extentOverlap(a.body, b.body)
	low = min(gap, -overlap) - a.by(nil) - b.by(nil)
	if gap <= 0 {
		gap = -overlap
	}
	return gap, low
}

// planeBound returns how far a plane square to a unit vector from b to a parts two
// bodies, and how far at least while they stray.
func planeBound(a, b *bodyStray, way *r3.Vec) (apart, low float64) {
	back := r3.Scale(-1, *way)
	apart = r3.Dot(*way, a.body.support(back)) - r3.Dot(*way, b.body.support(*way))
	return apart, apart - a.by(&back) - b.by(way)
}

// rodBound is gapBound of a rod and a flat body in plan. A rod of length l whose
// ends stray by δ changes its tilt by less than 2δ/l, and moves at a height by
// as much as it strays level, and by tan(tilt) times as much as it strays upright;
// its section's half axis is radius/cos(tilt).
func rodBound(rod, flat bodyStray, most float64, way *r3.Vec) (gap, low float64) {
	r, f, any := rod.body, flat.body, rod.by(nil)
	tilt := 2 * any / spaceLength(r3.Sub(r.b, r.a))
	cos := rodCos(r)
	least := cos - tilt
	if !(least > rodUpright) { // it may count by its distance or by its section
		return rodGap(r, f), math.Inf(-1)
	}
	up := max(rod.by(&boxAxes[2]), rod.by(&boxAxes[5]))
	level, section, radius := rodSection(r, f)
	rise := up + r.radius*tilt
	aside := up*math.Sqrt(1-least*least)/least + r.radius*tilt/(least*cos)
	stray := any + flat.by(nil) + aside
	switch f.kind {
	case bodyRim:
		if plan := rimCoreLeast(&f.rim, section[:], radius, most+stray+2*cellHair); plan > most {
			return plan, plan - stray
		}
	case bodyPrism:
		if apart, low := coreBound(&rod, section[:], radius, &flat, f.core, f.radius, geom.Plan, way); low-aside > most {
			return joinGaps(level, apart), joinGaps(level-rise, low-aside)
		}
	}
	plan := sectionGap(f, section, radius, min(level-rise, 0))
	near := plan - stray
	if plan > 0 && f.kind == bodyPrism {
		coreWay(section[:], f.core, geom.Plan, way)
		_, low := coreBound(&rod, section[:], radius, &flat, f.core, f.radius, geom.Plan, way)
		near = max(near, low-aside)
	}
	return joinGaps(level, plan), joinGaps(level-rise, near)
}

// coreBound returns how far a line square to a unit vector from q to p parts two
// grown cores in a view, and how far at least while they stray; -Inf for none.
func coreBound(a *bodyStray, p []r2.Vec, pr float64, b *bodyStray, q []r2.Vec, qr float64, view geom.View, way *r3.Vec) (apart, low float64) {
	if *way == (r3.Vec{}) {
		return math.Inf(-1), math.Inf(-1)
	}
	n, _ := view.Project(*way)
	back := r3.Scale(-1, *way)
	apart = -reach(p, r2.Scale(-1, n)) - reach(q, n) - pr - qr
	return apart, apart - a.by(&back) - b.by(way)
}

// coreWay sets way to the unit vector from q to p between their nearest points, p
// and q apart in a view, and to zero where they touch.
func coreWay(p, q []r2.Vec, view geom.View, way *r3.Vec) {
	var most r2.Vec
	least := math.Inf(1)
	for _, c := range p {
		if d := r2.Sub(c, nearestOf(q, c)); r2.Norm2(d) < least {
			least, most = r2.Norm2(d), d
		}
	}
	for _, c := range q {
		if d := r2.Sub(nearestOf(p, c), c); r2.Norm2(d) < least {
			least, most = r2.Norm2(d), d
		}
	}
	if *way = (r3.Vec{}); least > 0 {
		*way = view.Stage(planUnit(most), 0)
	}
}

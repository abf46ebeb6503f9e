package solve

import (
	"math"

	"understage/internal/geom"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// frameBodyKind is how a body's space is described.
type frameBodyKind int

const (
	// bodyPrism: a grown convex core in a view, between two levels.
	bodyPrism frameBodyKind = iota
	// bodyRim: a cam's true outline, between two levels.
	bodyRim
	// bodyOutline: any simple polygon at rest, between two levels.
	bodyOutline
	// bodyRod: a leaning round rod with flat ends, in the stage frame.
	bodyRod
	// bodyHull: the convex hull of points in the stage frame, grown by a radius.
	bodyHull
	// bodySlab: everything between two heights.
	bodySlab
)

// frameBody is the space that a part, or one piece of it, takes up as it
// stands. Movers change it; nothing else does.
type frameBody struct {
	part      int
	kind      frameBodyKind
	view      geom.View
	low, high float64 // along the view's third axis
	core      []r2.Vec
	radius    float64
	rim       rimPose
	disc      *frameBody // that a rim sweeps
	a, b      r3.Vec     // bodyRod: ends of its axis
	points    []r3.Vec
	mover     *frameMover // nil: fixed
	// place sets the body from its mover's state; placed is the pose it was set for.
	place  func()
	placed int
	// stray returns how far the body may stray from where it stands within what its
	// mover's sway noted, along a unit vector; nil: any way.
	stray func(way *r3.Vec) float64
	row   int // of the samples of a mover without sway
}

// support implements supporter.
func (f *frameBody) support(d r3.Vec) r3.Vec {
	switch f.kind {
	case bodyRod:
		return f.supportRod(d)
	case bodyHull:
		best, most := f.points[0], math.Inf(-1)
		for _, p := range f.points {
			if s := r3.Dot(p, d); s > most {
				best, most = p, s
			}
		}
		if n := spaceLength(d); n > 0 && f.radius > 0 {
			best = r3.Add(best, r3.Scale(f.radius/n, d))
		}
		return best
	}
	flat, along := f.view.Project(d)
	level := f.low
	if along > 0 {
		level = f.high
	}
	return f.view.Stage(f.supportPlan(flat), level)
}

// supportPlan returns the farthest point of a flat outline; a rim counts as the
// disc it sweeps.
func (f *frameBody) supportPlan(d r2.Vec) r2.Vec {
	core, radius := f.core, f.radius
	var centre [1]r2.Vec
	if f.kind == bodyRim {
		centre[0], radius = f.rim.centre, f.rim.greatest
		core = centre[:]
	}
	best, most := core[0], math.Inf(-1)
	for _, p := range core {
		if s := r2.Dot(p, d); s > most {
			best, most = p, s
		}
	}
	if n := planLength(d); n > 0 && radius > 0 {
		best = r2.Add(best, r2.Scale(radius/n, d))
	}
	return best
}

func (f *frameBody) supportRod(d r3.Vec) r3.Vec {
	axis := r3.Sub(f.b, f.a)
	end := f.a
	if r3.Dot(axis, d) > 0 {
		end = f.b
	}
	across := r3.Sub(d, r3.Scale(r3.Dot(axis, d)/r3.Norm2(axis), axis))
	if n := spaceLength(across); n > 0 {
		end = r3.Add(end, r3.Scale(f.radius/n, across))
	}
	return end
}

// frameGap returns the signed distance between two bodies as they stand, mm:
// 0 or less where they overlap. Where both lie flat in one view it is exact,
// the root of the squares of the gap in the view and the gap between their
// levels. Overlap of others is counted by the extents of their overlap along
// the stage's axes, the least of which parts them.
func frameGap(a, b *frameBody) float64 {
	if a.kind > b.kind {
		a, b = b, a
	}
	switch {
	case b.kind == bodySlab:
		return slabGap(a, b)
	case flatPair(a, b):
		level := levelGap(a, b)
		return joinGaps(level, planGap(a, b, min(level, 0)))
	case b.kind == bodyRod && a.kind <= bodyOutline && a.view == geom.Plan:
		return rodGap(b, a)
	}
	if d := convexDistance(a, b); d > 0 {
		return d
	}
	return -extentOverlap(a, b)
}

// flatPair reports whether both lie flat in one view.
func flatPair(a, b *frameBody) bool {
	return a.kind <= bodyOutline && b.kind <= bodyOutline && a.view == b.view
}

func slabGap(a, slab *frameBody) float64 {
	over, under := slabGaps(a, slab)
	return max(over, under)
}

// slabGaps returns how far a body stands over a slab, and under it.
func slabGaps(a, slab *frameBody) (over, under float64) {
	return a.support(boxAxes[5]).Z - slab.high, slab.low - a.support(boxAxes[2]).Z
}

// extentOverlap returns the least overlap of two bodies' extents along the
// stage's axes, negative where they are apart.
func extentOverlap(a, b *frameBody) float64 {
	return min(axisOverlap(a, b, boxAxes[0]), axisOverlap(a, b, boxAxes[1]), axisOverlap(a, b, boxAxes[2]))
}

// axisOverlap returns how far one body must move along an axis, either way, for
// their extents along it to part.
func axisOverlap(a, b *frameBody, axis r3.Vec) float64 {
	back := r3.Scale(-1, axis)
	up := r3.Dot(a.support(axis), axis) - r3.Dot(b.support(back), axis)
	down := r3.Dot(b.support(axis), axis) - r3.Dot(a.support(back), axis)
	return min(up, down)
}

func levelGap(a, b *frameBody) float64 { return max(a.low-b.high, b.low-a.high) }

// joinGaps combines the gap along the third axis with the gap in the view.
func joinGaps(level, plan float64) float64 {
	if level > 0 && plan > 0 {
		return math.Hypot(level, plan)
	}
	return max(level, plan)
}

// planGap returns the signed distance of two flat bodies seen in their view;
// between rims, where that is no more than enough, some such value. Kinds are in
// ascending order.
func planGap(a, b *frameBody, enough float64) float64 {
	switch {
	case b.kind == bodyPrism:
		return coreGap(a.core, a.radius, b.core, b.radius)
	case b.kind == bodyRim && a.kind == bodyPrism:
		return rimCoreGap(&b.rim, a.core, a.radius, enough)
	case b.kind == bodyRim:
		return rimRimGap(&a.rim, &b.rim, enough)
	case a.kind == bodyPrism:
		return outlineGap(b.core, a.core, a.radius)
	case a.kind == bodyRim: // a cam beside a plate's outline: the disc it sweeps
		return outlineGap(b.core, []r2.Vec{a.rim.centre}, a.rim.greatest)
	}
	return outlineGap(b.core, a.core, 0)
}

// rodUpright is the least cosine of a rod's tilt at which it counts by its
// section; one that lies flatter counts by its distance.
const rodUpright = 0.1

// rodGap returns the signed distance of a leaning rod from a flat body in plan:
// the rod's section at the body's heights is the path of its axis there, grown
// by radius/cos(tilt), the longer half axis of the section.
func rodGap(rod, flat *frameBody) float64 {
	if !(rodCos(rod) > rodUpright) {
		return convexDistance(rod, flat)
	}
	level, section, radius := rodSection(rod, flat)
	return joinGaps(level, sectionGap(flat, section, radius, min(level, 0)))
}

// rodCos returns the cosine of a rod's tilt.
func rodCos(rod *frameBody) float64 {
	way := r3.Sub(rod.b, rod.a)
	return math.Abs(way.Z) / spaceLength(way)
}

// rodSection returns the gap along z of a rod that is not too flat from a flat
// body in plan, and its section at the body's heights: a segment, grown by a
// radius.
func rodSection(rod, flat *frameBody) (level float64, section [2]r2.Vec, radius float64) {
	bottom, top := rod.a, rod.b
	if bottom.Z > top.Z {
		bottom, top = top, bottom
	}
	way := r3.Sub(top, bottom)
	cos := way.Z / spaceLength(way)
	// Flat ends of a leaning rod reach a little beyond the ends of its axis.
	dip := rod.radius * math.Sqrt(1-cos*cos)
	level = max(bottom.Z-dip-flat.high, flat.low-top.Z-dip)
	at := func(z float64) r2.Vec {
		t := min(max((z-bottom.Z)/way.Z, 0), 1)
		return r2.Vec{X: bottom.X + t*way.X, Y: bottom.Y + t*way.Y}
	}
	return level, [2]r2.Vec{at(flat.low), at(flat.high)}, rod.radius / cos
}

// sectionGap returns the signed distance of a rod's section from a flat body;
// from a rim, where that is no more than enough, some such value.
func sectionGap(flat *frameBody, section [2]r2.Vec, radius, enough float64) float64 {
	switch flat.kind {
	case bodyRim:
		return rimCoreGap(&flat.rim, section[:], radius, enough)
	case bodyOutline:
		return outlineGap(flat.core, section[:], radius)
	}
	return coreGap(flat.core, flat.radius, section[:], radius)
}

// swept returns the body, or in place of a rim the disc it sweeps.
func (f *frameBody) swept() *frameBody {
	if f.kind == bodyRim {
		return f.disc
	}
	return f
}

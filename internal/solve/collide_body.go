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
	a, b      r3.Vec // bodyRod: ends of its axis
	points    []r3.Vec
	mover     *frameMover // nil: fixed
	// place sets the body from its mover's state.
	place func()
}

// frameMover is what makes bodies move: one cam, the torso, one linkage. set
// takes the angles of its shafts, in order, and reports whether there is a pose.
type frameMover struct {
	number int // among the scene's movers
	shafts []int
	set    func(x []float64) bool
	breaks [][]float64 // per shaft, angles at which the motion has a corner
	// samples per turn of each shaft that resolve its ripples; 0: the usual.
	samples int
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
		return max(b.low-a.support(r3.Vec{Z: 1}).Z, a.support(r3.Vec{Z: -1}).Z-b.high)
	case b.kind <= bodyOutline && a.view == b.view:
		level := levelGap(a, b)
		return joinGaps(level, planGap(a, b, min(level, 0)))
	case b.kind == bodyRod && a.kind <= bodyOutline && a.view == geom.Plan:
		return rodGap(b, a)
	}
	if d := convexDistance(a, b); d > 0 {
		return d
	}
	overlap := math.Inf(1)
	for _, axis := range [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		overlap = min(overlap, axisOverlap(a, b, axis))
	}
	return -overlap
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

// rodGap returns the signed distance of a leaning rod from a flat body in plan:
// the rod's section at the body's heights is the path of its axis there, grown
// by radius/cos(tilt), the longer half axis of the section.
func rodGap(rod, flat *frameBody) float64 {
	bottom, top := rod.a, rod.b
	if bottom.Z > top.Z {
		bottom, top = top, bottom
	}
	way := r3.Sub(top, bottom)
	cos := way.Z / spaceLength(way)
	if !(cos > 0.1) {
		return convexDistance(rod, flat)
	}
	// Flat ends of a leaning rod reach a little beyond the ends of its axis.
	dip := rod.radius * math.Sqrt(1-cos*cos)
	level := max(bottom.Z-dip-flat.high, flat.low-top.Z-dip)
	at := func(z float64) r2.Vec {
		t := min(max((z-bottom.Z)/way.Z, 0), 1)
		return r2.Vec{X: bottom.X + t*way.X, Y: bottom.Y + t*way.Y}
	}
	section := [2]r2.Vec{at(flat.low), at(flat.high)}
	radius := rod.radius / cos
	var plan float64
	switch flat.kind {
	case bodyRim:
		plan = rimCoreGap(&flat.rim, section[:], radius, min(level, 0))
	case bodyOutline:
		plan = outlineGap(flat.core, section[:], radius)
	default:
		plan = coreGap(flat.core, flat.radius, section[:], radius)
	}
	return joinGaps(level, plan)
}

// frameSweptGap is frameGap with the disc that a cam sweeps in place of its rim:
// never more than frameGap.
func frameSweptGap(a, b *frameBody) float64 {
	if a.kind != bodyRim && b.kind != bodyRim {
		return frameGap(a, b)
	}
	var discs [2]frameBody
	var cores [2][1]r2.Vec
	pair := [2]*frameBody{a, b}
	for i, f := range pair {
		if f.kind == bodyRim {
			cores[i][0] = f.rim.centre
			discs[i] = frameBody{kind: bodyPrism, view: f.view, low: f.low, high: f.high, core: cores[i][:], radius: f.rim.greatest}
			pair[i] = &discs[i]
		}
	}
	return frameGap(pair[0], pair[1])
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

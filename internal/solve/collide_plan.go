package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Distances between flat shapes in one view, mm, negative where they overlap:
// then minus the least shift that parts them, for round and straight-edged
// shapes; for rims, minus the deepest reach of one into the other.

// coreGap returns the signed distance between two convex shapes, each a point,
// segment or convex polygon (corners counter-clockwise) grown by a radius.
//
// Apart, the nearest points are a corner and an edge. Overlapping, the least
// shift is along the normal of an edge (separating axis theorem: S. Gottschalk,
// UNC TR96-024, 1996).
func coreGap(p []r2.Vec, pr float64, q []r2.Vec, qr float64) float64 {
	if len(p) == 1 && len(q) == 1 {
		return planLength(r2.Sub(p[0], q[0])) - pr - qr
	}
	split := math.Inf(-1) // greatest gap over the normals of edges
	split = max(split, edgeSplit(p, q), edgeSplit(q, p))
	if split <= 0 {
		return split - pr - qr
	}
	return math.Sqrt(min(cornerDistance2(p, q), cornerDistance2(q, p))) - pr - qr
}

// edgeSplit returns the greatest gap between p and q along the normals of p's
// edges and, of a segment, along its length.
func edgeSplit(p, q []r2.Vec) float64 {
	best := math.Inf(-1)
	switch len(p) {
	case 1:
		return best
	case 2:
		along := planUnit(r2.Sub(p[1], p[0]))
		if along.X != along.X { // of no length: a point
			return planLength(r2.Sub(nearestOf(q, p[0]), p[0]))
		}
		across := r2.Vec{X: -along.Y, Y: along.X}
		for _, n := range [4]r2.Vec{across, r2.Scale(-1, across), along, r2.Scale(-1, along)} {
			best = max(best, -reach(q, r2.Scale(-1, n))-reach(p, n))
		}
		return best
	}
	for i, a := range p {
		edge := planUnit(r2.Sub(p[(i+1)%len(p)], a))
		n := r2.Vec{X: edge.Y, Y: -edge.X}
		if n.X == n.X {
			best = max(best, -reach(q, r2.Scale(-1, n))-r2.Dot(a, n))
		}
	}
	return best
}

// reach returns how far the points extend along n.
func reach(points []r2.Vec, n r2.Vec) float64 {
	most := math.Inf(-1)
	for _, p := range points {
		most = max(most, r2.Dot(p, n))
	}
	return most
}

// cornerDistance2 returns the least squared distance from a corner of p to an
// edge of q.
func cornerDistance2(p, q []r2.Vec) float64 {
	least := math.Inf(1)
	for _, c := range p {
		least = min(least, r2.Norm2(r2.Sub(nearestOf(q, c), c)))
	}
	return least
}

// nearestOf returns the point of the edges of q nearest to c.
func nearestOf(q []r2.Vec, c r2.Vec) r2.Vec {
	if len(q) == 1 {
		return q[0]
	}
	edges := len(q)
	if edges == 2 {
		edges = 1
	}
	var best r2.Vec
	least := math.Inf(1)
	for i := range edges {
		p := nearestOnSegment(q[i], q[(i+1)%len(q)], c)
		if d := r2.Norm2(r2.Sub(p, c)); d < least {
			best, least = p, d
		}
	}
	return best
}

func nearestOnSegment(a, b, c r2.Vec) r2.Vec {
	way := r2.Sub(b, a)
	length2 := r2.Norm2(way)
	if length2 == 0 {
		return a
	}
	t := min(max(r2.Dot(r2.Sub(c, a), way)/length2, 0), 1)
	return r2.Add(a, r2.Scale(t, way))
}

// insideConvex reports whether c lies in the polygon, counter-clockwise.
func insideConvex(q []r2.Vec, c r2.Vec) bool {
	if len(q) < 3 {
		return false
	}
	for i, a := range q {
		if r2.Cross(r2.Sub(q[(i+1)%len(q)], a), r2.Sub(c, a)) < 0 {
			return false
		}
	}
	return true
}

// coreDistance returns the signed distance of a point from the convex core.
func coreDistance(q []r2.Vec, c r2.Vec) float64 {
	d := math.Sqrt(r2.Norm2(r2.Sub(nearestOf(q, c), c)))
	if insideConvex(q, c) {
		return -d
	}
	return d
}

// outlineGap returns the signed distance between any simple polygon and a
// grown convex core.
func outlineGap(outline []r2.Vec, q []r2.Vec, qr float64) float64 {
	least := math.Sqrt(min(cornerDistance2(outline, q), cornerDistance2(q, outline)))
	deepest, meet := 0.0, false
	for _, c := range q {
		if insideOutline(outline, c) {
			deepest, meet = max(deepest, planLength(r2.Sub(nearestOf(outline, c), c))), true
		}
	}
	for _, c := range outline {
		if insideConvex(q, c) {
			deepest, meet = max(deepest, -coreDistance(q, c)), true
		}
	}
	if meet || outlineCrosses(outline, q) {
		return -deepest - qr
	}
	return least - qr
}

// insideOutline reports whether c lies in a simple polygon, by the crossings of
// a ray.
func insideOutline(outline []r2.Vec, c r2.Vec) bool {
	inside := false
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if (a.Y > c.Y) != (b.Y > c.Y) && c.X < a.X+(c.Y-a.Y)*(b.X-a.X)/(b.Y-a.Y) {
			inside = !inside
		}
	}
	return inside
}

// outlineCrosses reports whether an edge of the outline crosses one of the core.
func outlineCrosses(outline, q []r2.Vec) bool {
	if len(q) < 2 {
		return false
	}
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		for j, c := range q {
			d := q[(j+1)%len(q)]
			if turnSign(a, b, c) != turnSign(a, b, d) && turnSign(c, d, a) != turnSign(c, d, b) {
				return true
			}
		}
	}
	return false
}

func turnSign(a, b, c r2.Vec) bool { return r2.Cross(r2.Sub(b, a), r2.Sub(c, a)) > 0 }

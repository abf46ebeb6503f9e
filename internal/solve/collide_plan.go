package solve

import (
	"iter"
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

// frameRim is a cam's outline about its axis, in its own template: corners on
// the true rim, counter-clockwise from polar angle 0, evenly spaced in angle.
type frameRim struct {
	corners  []r2.Vec
	radii    []float64
	greatest float64 // radius
	farthest int     // corner with it
	sense    float64 // in which the cam turns, +1 counter-clockwise
}

// rimPose is a rim as it stands: centre and turn of its template.
type rimPose struct {
	*frameRim
	centre   r2.Vec
	sin, cos float64
}

// local returns a point of the view in the template.
func (r *rimPose) local(p r2.Vec) r2.Vec {
	d := r2.Sub(p, r.centre)
	return r2.Vec{X: r.cos*d.X + r.sin*d.Y, Y: r.cos*d.Y - r.sin*d.X}
}

// world is the inverse of local.
func (r *rimPose) world(p r2.Vec) r2.Vec {
	return r2.Vec{X: r.centre.X + r.cos*p.X - r.sin*p.Y, Y: r.centre.Y + r.sin*p.X + r.cos*p.Y}
}

// corner returns the index of the corner at or before a polar angle.
func (r *frameRim) corner(angle float64) int {
	n := len(r.corners)
	i := int(math.Floor(angle / (2 * math.Pi) * float64(n)))
	return ((i % n) + n) % n
}

// pointGap returns the signed distance of a point, in the template, from the
// rim, if that is less than limit; otherwise some value no less than limit.
// Corners are tried outward from the point's own direction, until the ray they
// lie on passes farther off than the best.
func (r *frameRim) pointGap(p r2.Vec, limit float64) float64 {
	rho := math.Sqrt(r2.Norm2(p))
	if gap := rho - r.greatest; gap >= limit {
		return gap
	}
	n := len(r.corners)
	start := r.corner(math.Atan2(p.Y, p.X))
	a, b := r.corners[start], r.corners[(start+1)%n]
	inside := r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) > 0
	best := r2.Norm2(r2.Sub(nearestOnSegment(a, b, p), p))
	// enough: inside, nearer to the rim than this is no deeper than limit.
	enough := 0.0
	switch {
	case !inside && limit <= 0:
		return 0
	case !inside:
		best = min(best, limit*limit)
	case limit < 0:
		enough = limit * limit
	}
	for _, way := range [2]int{1, -1} {
		for k := 1; k <= n/2 && best > enough; k++ {
			i := start + way*k
			if i < 0 {
				i += n
			} else if i >= n {
				i -= n
			}
			j := i + 1
			if j == n {
				j = 0
			}
			// The edge lies beyond the ray of its nearer corner.
			near := i
			if way < 0 {
				near = j
			}
			if ray := r.corners[near]; r2.Dot(p, ray) > 0 {
				if d := r2.Cross(p, ray); d*d > best*r.radii[near]*r.radii[near] {
					break
				}
			} else if rho*rho > best {
				break
			}
			best = min(best, r2.Norm2(r2.Sub(nearestOnSegment(r.corners[i], r.corners[j], p), p)))
		}
	}
	if inside {
		return -math.Sqrt(best)
	}
	return math.Sqrt(best)
}

// rimCoreGap returns the signed distance between a rim and a grown convex core
// in the same view; where that is no more than enough, some such value.
func rimCoreGap(r *rimPose, q []r2.Vec, qr, enough float64) float64 {
	if len(q) == 1 {
		return r.pointGap(r.local(q[0]), math.Inf(1)) - qr
	}
	gap := math.Inf(1)
	for _, c := range q {
		gap = min(gap, r.pointGap(r.local(c), gap))
		if gap-qr <= enough {
			return gap - qr
		}
	}
	// Corners of the rim against the core's edges: only those that the core's
	// middle and reach leave room for.
	var middle r2.Vec
	for _, c := range q {
		middle = r2.Add(middle, r2.Scale(1/float64(len(q)), c))
	}
	reach := 0.0
	for _, c := range q {
		reach = max(reach, r2.Norm2(r2.Sub(c, middle)))
	}
	reach = math.Sqrt(reach)
	local := r.local(middle)
	for k := range r.outward(local, gap+reach) {
		c := r.corners[k]
		if room := gap + reach; room <= 0 || r2.Norm2(r2.Sub(c, local)) >= room*room {
			continue
		}
		if gap = min(gap, coreDistance(q, r.world(c))); gap-qr <= enough {
			break
		}
	}
	return gap - qr
}

// outward yields the corners, outward from the one that faces a point of the
// template, as far as they may lie within reach of it.
func (r *frameRim) outward(p r2.Vec, reach float64) iter.Seq[int] {
	return func(yield func(int) bool) {
		n := len(r.corners)
		most := n
		if rho := math.Sqrt(r2.Norm2(p)); reach < rho {
			// A point within reach lies at most asin(reach/rho) to either side.
			most = min(n, 2*int(math.Asin(max(reach/rho, 0))/(2*math.Pi)*float64(n))+5)
		}
		facing := r.corner(math.Atan2(p.Y, p.X))
		for k := range most {
			i := facing + (k+1)/2
			if k%2 == 1 {
				i = facing - (k+1)/2
			}
			if i < 0 {
				i += n
			} else if i >= n {
				i -= n
			}
			if !yield(i) {
				return
			}
		}
	}
}

// rimRimGap returns the signed distance between two rims in the same view; where
// that is no more than enough, some such value.
func rimRimGap(p, q *rimPose, enough float64) float64 {
	gap := math.Inf(1)
	for pass := range 2 {
		a, b := p, q
		if pass == 1 {
			a, b = q, p
		}
		centre := a.local(b.centre)
		for k := range a.outward(centre, min(gap, 1e9)+b.greatest) {
			c := a.corners[k]
			if bound := planLength(r2.Sub(c, centre)) - b.greatest; bound >= gap {
				continue
			}
			if gap = min(gap, b.pointGap(b.local(a.world(c)), gap)); gap <= enough {
				return gap
			}
		}
	}
	return gap
}

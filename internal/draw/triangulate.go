package draw

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// errTangled says that an outline crosses itself or a hole leaves it.
var errTangled = errors.New("the outline crosses itself or a hole's edge")

// triangulate divides a flat region into triangles of indices into the points
// of outer and holes in turn. Outer runs counter-clockwise, holes clockwise.
// Holes are joined to the outline by bridges and ears are cut off (Eberly,
// Triangulation by Ear Clipping, Geometric Tools, 1998, rev. 2015).
func triangulate(outer []r2.Vec, holes [][]r2.Vec) ([][3]int, error) {
	points := slices.Clone(outer)
	ring := make([]int, len(outer))
	for i := range ring {
		ring[i] = i
	}
	var rings [][]int
	for _, h := range holes {
		r := make([]int, len(h))
		for i := range r {
			r[i] = len(points) + i
		}
		points = append(points, h...)
		rings = append(rings, r)
	}
	rightmost := func(r []int) int {
		best := 0
		for i := range r {
			if points[r[i]].X > points[r[best]].X {
				best = i
			}
		}
		return best
	}
	slices.SortFunc(rings, func(a, b []int) int {
		return cmp.Compare(points[b[rightmost(b)]].X, points[a[rightmost(a)]].X)
	})
	for _, r := range rings {
		from := rightmost(r)
		to := bridge(points, ring, points[r[from]])
		if to < 0 {
			return nil, errTangled
		}
		joined := append([]int{}, ring[:to+1]...)
		joined = append(joined, r[from:]...)
		joined = append(joined, r[:from+1]...)
		ring = append(joined, ring[to:]...)
	}
	return clipEars(points, ring)
}

// bridge returns the place in the ring that sees the point m to its left: the
// nearer end of the edge hit by a ray along +x from m, or a reflex corner that
// stands in between, the one closest to the ray's direction. -1 when no edge is
// hit.
func bridge(points []r2.Vec, ring []int, m r2.Vec) int {
	best, hit := -1, math.Inf(1)
	for i := range ring {
		a, b := points[ring[i]], points[ring[(i+1)%len(ring)]]
		if a.Y > m.Y || b.Y < m.Y || a.Y == b.Y { // rising edges bound the region on the right
			continue
		}
		x := a.X + (m.Y-a.Y)*(b.X-a.X)/(b.Y-a.Y)
		if x < m.X || x >= hit {
			continue
		}
		best, hit = i, x
		if b.X > a.X {
			best = (i + 1) % len(ring)
		}
	}
	if best < 0 {
		return -1
	}
	corner, meet := points[ring[best]], r2.Vec{X: hit, Y: m.Y}
	if corner == meet {
		return visibleTwin(points, ring, best, m)
	}
	least := math.Inf(1)
	choice := best
	for i := range ring {
		p := points[ring[i]]
		if p == corner || !reflex(points, ring, i) || !inTriangle(p, m, meet, corner) {
			continue
		}
		way := r2.Sub(p, m)
		slope := math.Abs(way.Y) / math.Max(way.X, 1e-300)
		if slope < least || slope == least && way.X < points[ring[choice]].X-m.X {
			choice, least = i, slope
		}
	}
	return visibleTwin(points, ring, choice, m)
}

// visibleTwin picks, of the ring's copies of one point that bridges have made,
// the one whose corner opens toward m.
func visibleTwin(points []r2.Vec, ring []int, at int, m r2.Vec) int {
	n := len(ring)
	for i := range ring {
		if ring[i] != ring[at] {
			continue
		}
		before, p, after := points[ring[(i+n-1)%n]], points[ring[i]], points[ring[(i+1)%n]]
		left, right := turn(before, p, m), turn(p, after, m)
		if turn(before, p, after) >= 0 && left >= 0 && right >= 0 ||
			turn(before, p, after) < 0 && (left >= 0 || right >= 0) {
			return i
		}
	}
	return at
}

// turn is twice the signed area of the triangle: positive when it runs
// counter-clockwise.
func turn(a, b, c r2.Vec) float64 { return r2.Cross(r2.Sub(b, a), r2.Sub(c, a)) }

func reflex(points []r2.Vec, ring []int, i int) bool {
	n := len(ring)
	return turn(points[ring[(i+n-1)%n]], points[ring[i]], points[ring[(i+1)%n]]) < 0
}

// inTriangle reports whether p lies in the triangle or on its edge, whichever
// way the triangle runs.
func inTriangle(p, a, b, c r2.Vec) bool {
	x, y, z := turn(a, b, p), turn(b, c, p), turn(c, a, p)
	return x >= 0 && y >= 0 && z >= 0 || x <= 0 && y <= 0 && z <= 0
}

// clipEars cuts convex corners that hold no other point off the ring.
func clipEars(points []r2.Vec, ring []int) ([][3]int, error) {
	n := len(ring)
	if n < 3 {
		return nil, errTangled
	}
	next, prev := make([]int, n), make([]int, n)
	for i := range n {
		next[i], prev[i] = (i+1)%n, (i+n-1)%n
	}
	at := func(i int) r2.Vec { return points[ring[i]] }
	isEar := func(i int) bool {
		a, b, c := at(prev[i]), at(i), at(next[i])
		if turn(a, b, c) <= 0 {
			return false
		}
		for j := next[next[i]]; j != prev[i]; j = next[j] {
			p := at(j)
			if p == a || p == b || p == c || turn(at(prev[j]), p, at(next[j])) > 0 {
				continue
			}
			if inTriangle(p, a, b, c) {
				return false
			}
		}
		return true
	}
	triangles := make([][3]int, 0, n-2)
	i, idle := 0, 0
	for left := n; left > 3; {
		flat := turn(at(prev[i]), at(i), at(next[i])) == 0 && idle > left
		if !isEar(i) && !flat {
			i = next[i]
			if idle++; idle > 2*left {
				return nil, errTangled
			}
			continue
		}
		triangles = append(triangles, [3]int{ring[prev[i]], ring[i], ring[next[i]]})
		next[prev[i]], prev[next[i]] = next[i], prev[i]
		left--
		// Leaping on spreads the ears round the ring, so triangles stay stout.
		i, idle = next[next[i]], 0
	}
	return append(triangles, [3]int{ring[prev[i]], ring[i], ring[next[i]]}), nil
}

package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// supporter is a convex body: Support returns its farthest point along d, which
// need not be of unit length.
type supporter interface {
	support(d r3.Vec) r3.Vec
}

const (
	// gjkRounds bounds the search; round bodies need the most, about 30.
	gjkRounds = 64
	// gjkFine, relative, is where the distance stops being refined: a thousand
	// times finer than a maker's micrometre at the size of a figure.
	gjkFine = 1e-9
)

// convexDistance returns the distance between two convex bodies, 0 where they
// meet, by E. G. Gilbert, D. W. Johnson and S. S. Keerthi, A fast procedure for
// computing the distance between complex objects in three-dimensional space,
// IEEE J. Robotics and Automation 4 (1988): the nearest point to the origin of
// the difference of the bodies is approached by simplices of support points.
// The point of a simplex nearest to the origin after C. Ericson, Real-Time
// Collision Detection (2005), §5.1 and §9.5.
func convexDistance(a, b supporter) float64 {
	return spaceLength(convexWay(a, b, r3.Vec{X: -1}, gjkFine))
}

// convexWay returns the way from b's nearest point to a's, zero where they meet; as
// long as the distance or, by the relative tolerance fine, longer. The search sets
// out along the way given.
func convexWay(a, b supporter, way r3.Vec, fine float64) r3.Vec {
	var s gjkSimplex
	v := r3.Sub(a.support(r3.Scale(-1, way)), b.support(way))
	s.add(v)
	least := 0.0 // a lower bound of the distance
	for range gjkRounds {
		length := spaceLength(v)
		if length < 1e-12 {
			return r3.Vec{}
		}
		w := r3.Sub(a.support(r3.Scale(-1, v)), b.support(v))
		// The plane square to v through w has the whole difference beyond it.
		least = max(least, r3.Dot(v, w)/length)
		if length-least <= fine*length || s.has(w) {
			return v
		}
		s.add(w)
		next, inside := s.nearest()
		if inside {
			return r3.Vec{}
		}
		if spaceLength(next) >= length { // no progress left in the numbers
			return v
		}
		v = next
	}
	return v
}

// gjkSimplex is one to four points of the difference.
type gjkSimplex struct {
	p [4]r3.Vec
	n int
}

func (s *gjkSimplex) has(w r3.Vec) bool {
	for _, p := range s.p[:s.n] {
		if p == w {
			return true
		}
	}
	return false
}

func (s *gjkSimplex) add(w r3.Vec) {
	s.p[s.n] = w
	s.n++
}

func (s *gjkSimplex) set(points ...r3.Vec) {
	s.n = copy(s.p[:], points)
}

// nearest returns the simplex's point nearest to the origin, keeps only the
// corners it rests on, and reports whether the origin lies inside.
func (s *gjkSimplex) nearest() (v r3.Vec, inside bool) {
	switch s.n {
	case 1:
		return s.p[0], false
	case 2:
		return s.nearestOnEdge(s.p[0], s.p[1]), false
	case 3:
		return s.nearestOnFace(s.p[0], s.p[1], s.p[2]), false
	}
	return s.nearestInBody()
}

func (s *gjkSimplex) nearestOnEdge(a, b r3.Vec) r3.Vec {
	way := r3.Sub(b, a)
	t := -r3.Dot(a, way)
	if t <= 0 {
		s.set(a)
		return a
	}
	if length2 := r3.Norm2(way); t < length2 {
		s.set(a, b)
		return r3.Add(a, r3.Scale(t/length2, way))
	}
	s.set(b)
	return b
}

func (s *gjkSimplex) nearestOnFace(a, b, c r3.Vec) r3.Vec {
	ab, ac := r3.Sub(b, a), r3.Sub(c, a)
	d1, d2 := -r3.Dot(ab, a), -r3.Dot(ac, a)
	if d1 <= 0 && d2 <= 0 {
		s.set(a)
		return a
	}
	d3, d4 := -r3.Dot(ab, b), -r3.Dot(ac, b)
	if d3 >= 0 && d4 <= d3 {
		s.set(b)
		return b
	}
	if vc := d1*d4 - d3*d2; vc <= 0 && d1 >= 0 && d3 <= 0 {
		return s.nearestOnEdge(a, b)
	}
	d5, d6 := -r3.Dot(ab, c), -r3.Dot(ac, c)
	if d6 >= 0 && d5 <= d6 {
		s.set(c)
		return c
	}
	if vb := d5*d2 - d1*d6; vb <= 0 && d2 >= 0 && d6 <= 0 {
		return s.nearestOnEdge(a, c)
	}
	if va := d3*d6 - d5*d4; va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return s.nearestOnEdge(b, c)
	}
	n := r3.Cross(ab, ac)
	s.set(a, b, c)
	n2 := r3.Norm2(n)
	if n2 == 0 {
		return s.nearestOnEdge(a, b)
	}
	return r3.Scale(r3.Dot(a, n)/n2, n)
}

func (s *gjkSimplex) nearestInBody() (v r3.Vec, inside bool) {
	p := s.p
	least := math.Inf(1)
	inside = true
	var best gjkSimplex
	for _, f := range [4][4]int{{0, 1, 2, 3}, {0, 2, 3, 1}, {0, 3, 1, 2}, {1, 3, 2, 0}} {
		a, b, c, d := p[f[0]], p[f[1]], p[f[2]], p[f[3]]
		n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
		// The origin lies beyond this face when it and the fourth corner are on
		// different sides; a flat body counts as beyond every face.
		if r3.Dot(n, a)*r3.Dot(n, r3.Sub(d, a)) < 0 {
			continue
		}
		inside = false
		var face gjkSimplex
		q := face.nearestOnFace(a, b, c)
		if d2 := r3.Norm2(q); d2 < least {
			least, v, best = d2, q, face
		}
	}
	if !inside {
		*s = best
	}
	return v, inside
}

// planLength and spaceLength are lengths in mm: far from where squares overflow,
// so without the care that costs gonum's Norm most of its time.
func planLength(v r2.Vec) float64 { return math.Sqrt(r2.Norm2(v)) }

func spaceLength(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }

// planUnit is v at length 1; NaN where it has none.
func planUnit(v r2.Vec) r2.Vec { return r2.Scale(1/planLength(v), v) }

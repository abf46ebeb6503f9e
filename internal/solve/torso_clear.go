package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// BoxDistance returns the distance from a place to a box, negative inside by
// the depth to its nearest face.
func BoxDistance(at r3.Vec, b mech.Box) float64 {
	x := max(b.Min.X-at.X, at.X-b.Max.X)
	y := max(b.Min.Y-at.Y, at.Y-b.Max.Y)
	z := max(b.Min.Z-at.Z, at.Z-b.Max.Z)
	if x <= 0 && y <= 0 && z <= 0 {
		return max(x, y, z)
	}
	x, y, z = max(x, 0), max(y, 0), max(z, 0)
	return math.Sqrt(x*x + y*y + z*z)
}

// CylinderDistance returns the distance from a place to an upright round post,
// negative inside by the depth to its nearest side or end.
func CylinderDistance(at r3.Vec, c mech.Cylinder) float64 {
	x, y := at.X-c.At.X, at.Y-c.At.Y
	side := math.Sqrt(x*x+y*y) - c.Radius
	end := max(c.From-at.Z, at.Z-c.To)
	switch {
	case side <= 0:
		if end <= 0 {
			return max(side, end)
		}
		return end
	case end <= 0:
		return side
	default:
		return math.Sqrt(side*side + end*end)
	}
}

// ObstacleDistance returns the distance from a place to an obstacle, negative
// inside.
func ObstacleDistance(at r3.Vec, o *mech.Obstacle) float64 {
	if o.Kind == mech.CylinderObstacle {
		return CylinderDistance(at, o.Cylinder)
	}
	return BoxDistance(at, o.Box)
}

// shaftSection is the ellipse in which a level plane cuts the tilted shaft: its
// centre, and the slopes p, q of the axis. Its half axes are r·w along (p, q)
// and r across.
type shaftSection struct {
	x, y, p, q, w, r float64
}

// section returns the cut of the shaft by the level z.
func (t *Torso) section(po *TorsoPose, z, radius float64) shaftSection {
	return shaftSection{(z - t.pivot) * po.p, (z - t.pivot) * po.q, po.p, po.q, po.w, radius}
}

// halfWidth and halfDepth return the greatest |x| and |y| of the section from a
// centre. The ellipse reaches r·√(1 + p²) along x: the square root of
// (r·w·p/m)² + (r·q/m)² with m² = p² + q² = w² − 1.
func (s *shaftSection) halfWidth(centre r2.Vec) float64 {
	return math.Abs(s.x-centre.X) + s.r*math.Sqrt(1+s.p*s.p)
}

func (s *shaftSection) halfDepth(centre r2.Vec) float64 {
	return math.Abs(s.y-centre.Y) + s.r*math.Sqrt(1+s.q*s.q)
}

// reach returns the greatest distance of the section from a centre.
func (s *shaftSection) reach(centre r2.Vec) float64 {
	if centre == (r2.Vec{}) { // the ellipse's long axis points away from the centre
		return math.Sqrt(s.x*s.x+s.y*s.y) + s.r*s.w
	}
	ex, ey := s.x-centre.X, s.y-centre.Y
	m := math.Hypot(s.p, s.q)
	if m < 1e-12 {
		return math.Hypot(ex, ey) + s.r
	}
	ux, uy := s.p/m, s.q/m
	along, across := ex*ux+ey*uy, ey*ux-ex*uy
	return ellipseReach(along, across, s.r*s.w, s.r)
}

// ellipseReach returns the greatest distance from the origin of the ellipse with
// centre (u, v) and half axes a along u and b along v, a ≥ b. In the quarter
// turned away from the origin the distance squared is level where
// b·v·cos θ − a·u·sin θ − (a² − b²)·sin θ·cos θ, divided by sin θ·cos θ a falling
// function, is zero: Newton's method kept in a bracket.
func ellipseReach(u, v, a, b float64) float64 {
	u, v = math.Abs(u), math.Abs(v)
	k := a*a - b*b
	low, high := 0.0, math.Pi/2
	theta := math.Atan2(v*b, u*a+k)
	for range 60 {
		sin, cos := math.Sincos(theta)
		slope := b*v*cos - a*u*sin - k*sin*cos
		if slope > 0 {
			low = theta
		} else {
			high = theta
		}
		next := theta + slope/(b*v*sin+a*u*cos+k*(cos*cos-sin*sin))
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-theta) < 1e-9 {
			break
		}
		theta = next
	}
	sin, cos := math.Sincos(theta)
	return math.Hypot(u+a*cos, v+b*sin)
}

package draw

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Curve is a point and its derivative by the parameter, of any length.
type Curve func(t float64) (point, tangent r2.Vec)

const (
	fitSamples = 8  // places along a piece at which its deviation is measured
	fitDepth   = 14 // halvings before a piece is left straight
)

// FitArcs returns an open path of arcs from f(from) to f(to) that leaves the
// curve by no more than tolerance, mm, and the greatest deviation measured.
// Each piece is a biarc: two arcs that meet the curve's ends and tangents and
// each other smoothly (Bolton, Biarc curves, Computer-Aided Design 7(2), 1975,
// with both end lengths equal). A piece that leaves the curve too far is
// halved; one still too far after all halvings, as at a cusp, is a chord.
func FitArcs(f Curve, from, to, tolerance float64) (Path, float64) {
	fit := arcFit{curve: f, tolerance: tolerance}
	pieces := max(4, int(math.Ceil(math.Abs(to-from)/(math.Pi/8))))
	start := fit.sample(from)
	for i := range pieces {
		t := from + (to-from)*float64(i+1)/float64(pieces)
		end := fit.sample(t)
		fit.piece(start, end, fitDepth)
		start = end
	}
	fit.path.Vertices = append(fit.path.Vertices, Vertex{P: start.p})
	return fit.path, fit.worst
}

type arcFit struct {
	curve     Curve
	tolerance float64
	path      Path
	worst     float64
}

// fitPoint is a place on the curve with its unit tangent; zero at a cusp.
type fitPoint struct {
	t          float64
	p, tangent r2.Vec
}

func (f *arcFit) sample(t float64) fitPoint {
	p, d := f.curve(t)
	if n := r2.Norm(d); n > 0 {
		d = r2.Scale(1/n, d)
	}
	return fitPoint{t, p, d}
}

func (f *arcFit) piece(a, b fitPoint, depth int) {
	first, second := biarc(a, b)
	deviation := 0.0
	for i := 1; i < fitSamples; i++ {
		p, _ := f.curve(a.t + (b.t-a.t)*float64(i)/fitSamples)
		deviation = max(deviation, min(first.distance(p), second.distance(p)))
	}
	// Loops stray from the curve without the curve straying from them.
	wild := math.Abs(first.bulge) > 1 || math.Abs(second.bulge) > 1
	if (deviation > f.tolerance || wild) && depth > 0 {
		middle := f.sample((a.t + b.t) / 2)
		f.piece(a, middle, depth-1)
		f.piece(middle, b, depth-1)
		return
	}
	if wild {
		first = segment{a: a.p, b: b.p}
		f.path.Vertices = append(f.path.Vertices, Vertex{P: a.p})
		f.worst = max(f.worst, deviation)
		return
	}
	f.worst = max(f.worst, deviation)
	f.path.Vertices = append(f.path.Vertices, Vertex{first.a, first.bulge}, Vertex{second.a, second.bulge})
}

// biarc returns two arcs from a to b along their tangents. With v = b − a and
// t = ta + tb, the joint lies at (a + b + d(ta − tb))/2, where d solves
// v·v = 2d(v·t) + 2d²(1 − ta·tb).
func biarc(a, b fitPoint) (first, second segment) {
	v := r2.Sub(b.p, a.p)
	vv, vt := r2.Norm2(v), r2.Dot(v, r2.Add(a.tangent, b.tangent))
	turn := 2 * (1 - r2.Dot(a.tangent, b.tangent))
	d := 0.0
	switch root := math.Sqrt(vt*vt + turn*vv); {
	case vt > 0:
		d = vv / (vt + root) // the same root without cancellation
	case turn > 1e-12:
		d = (root - vt) / turn
	}
	joint := r2.Scale(0.5, r2.Add(r2.Add(a.p, b.p), r2.Scale(d, r2.Sub(a.tangent, b.tangent))))
	first = segment{a.p, joint, halfAngleTangent(a.tangent, r2.Sub(joint, a.p))}
	second = segment{joint, b.p, halfAngleTangent(r2.Sub(b.p, joint), b.tangent)}
	return first, second
}

// halfAngleTangent returns the tangent of half the angle from p to q; a vector
// of no length counts as no angle.
func halfAngleTangent(p, q r2.Vec) float64 {
	cross, dot := r2.Cross(p, q), r2.Dot(p, q)
	length := math.Hypot(cross, dot)
	if length == 0 {
		return 0
	}
	if dot+length <= 0 {
		return 2 // a turn back: beyond a half circle, so refused by the fit
	}
	t := cross / (dot + length)
	if math.Abs(t) < 1e-10 {
		return 0
	}
	return t
}

// distance returns how far the point lies from the segment.
func (s segment) distance(p r2.Vec) float64 {
	ends := min(r2.Norm(r2.Sub(p, s.a)), r2.Norm(r2.Sub(p, s.b)))
	if s.bulge == 0 {
		way := r2.Sub(s.b, s.a)
		t := r2.Dot(r2.Sub(p, s.a), way) / r2.Norm2(way)
		if !(t > 0 && t < 1) {
			return ends
		}
		return r2.Norm(r2.Sub(p, s.at(t)))
	}
	centre, radius, start, sweep := s.arc()
	way := r2.Sub(p, centre)
	if turnFrom(start, math.Atan2(way.Y, way.X), sweep) > math.Abs(sweep) {
		return ends
	}
	return math.Abs(r2.Norm(way) - radius)
}

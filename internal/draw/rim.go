package draw

import (
	"math"

	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
)

// RimTolerance is how far a drawn rim may leave the true one, mm.
const RimTolerance = 0.005

// rimSpan is one smooth stretch of a rim, cut back at either end where lines
// moved outward cross before they get there.
type rimSpan struct {
	from, to      float64  // of φ, between joints of the lift
	start, end    float64  // what is drawn of it
	first, last   r2.Vec   // ends of the rim itself
	leave, arrive r2.Vec   // unit tangents there
	joint         []Vertex // drawn after it
}

// rimPath returns a cam's rim in its template's frame as arcs within
// RimTolerance, moved outward by grow, closed, with a straight step where the
// lift jumps. It runs with φ. Moved out, outer corners become arcs about them and
// inner ones end where the moved lines cross, as a round cutter leaves them.
func rimPath(c *solve.Cam, grow float64) Path {
	spans := rimSpans(c)
	for i := range spans {
		joinSpans(c, &spans[i], &spans[(i+1)%len(spans)], grow)
	}
	path := Path{Closed: true}
	for i := range spans {
		s := &spans[i]
		if s.end-s.start > 1e-9 {
			piece, _ := FitArcs(rimCurve(c, s.from, s.to, grow), s.start, s.end, RimTolerance)
			for _, v := range piece.Vertices {
				path.add(v)
			}
		}
		for _, v := range s.joint {
			path.add(v)
		}
	}
	if n := len(path.Vertices); n > 1 && r2.Norm(r2.Sub(path.Vertices[0].P, path.Vertices[n-1].P)) < 1e-6 {
		path.Vertices = path.Vertices[:n-1]
	}
	return path
}

// rimSpans divides a turn at the joints of the lift.
func rimSpans(c *solve.Cam) []rimSpan {
	breaks := append(append([]float64{}, c.Breaks()...), 2*math.Pi)
	if breaks[0] > 0 {
		breaks = append([]float64{0}, breaks...)
	}
	var spans []rimSpan
	for i := 1; i < len(breaks); i++ {
		from, to := breaks[i-1], breaks[i]
		if to-from < 1e-9 {
			continue
		}
		s := rimSpan{from: from, to: to, start: from, end: to}
		curve := rimCurve(c, from, to, 0)
		s.first, s.leave = curve(from)
		s.last, s.arrive = curve(to)
		s.leave, s.arrive = r2.Unit(s.leave), r2.Unit(s.arrive)
		spans = append(spans, s)
	}
	return spans
}

// joinSpans works out how one stretch goes over into the next: smoothly, round a
// corner, or by a step with a corner at each end.
func joinSpans(c *solve.Cam, a, b *rimSpan, grow float64) {
	const same = 1e-6 // mm, and rad for a bend
	step := r2.Sub(b.first, a.last)
	if r2.Norm(step) < same {
		bend := bendOf(a.arrive, b.leave)
		switch {
		case grow == 0 || math.Abs(bend) < same:
		case bend*c.Sense() < 0:
			a.joint = append(a.joint, roundCorner(a.last, a.arrive, bend, grow, c.Sense())...)
		default: // both end on the line that halves the corner
			normal := r2.Unit(r2.Add(a.arrive, b.leave))
			a.end = trimSpan(c, a, grow, a.last, normal, -1)
			b.start = trimSpan(c, b, grow, a.last, normal, 1)
		}
		return
	}
	if grow == 0 {
		return // path closes the gap with a straight line
	}
	along := r2.Unit(step)
	out := r2.Scale(c.Sense(), r2.Vec{X: -along.Y, Y: along.X})
	on := r2.Add(a.last, r2.Scale(grow, out)) // a point of the step, moved out
	if bend := bendOf(a.arrive, along); bend*c.Sense() < 0 {
		a.joint = append(a.joint, roundCorner(a.last, a.arrive, bend, grow, c.Sense())...)
	} else {
		a.end = trimSpan(c, a, grow, on, out, -1)
	}
	if bend := bendOf(along, b.leave); bend*c.Sense() < 0 {
		a.joint = append(a.joint, roundCorner(b.first, along, bend, grow, c.Sense())...)
	} else {
		b.start = trimSpan(c, b, grow, on, out, 1)
	}
}

// bendOf returns the angle from one direction to another, counter-clockwise
// positive.
func bendOf(a, b r2.Vec) float64 { return math.Atan2(r2.Cross(a, b), r2.Dot(a, b)) }

// roundCorner returns the arc about a corner that joins lines moved off it.
func roundCorner(at, before r2.Vec, bend, grow, side float64) []Vertex {
	out := r2.Scale(side*grow, r2.Vec{X: -before.Y, Y: before.X})
	sin, cos := math.Sincos(bend)
	turned := r2.Vec{X: cos*out.X - sin*out.Y, Y: sin*out.X + cos*out.Y}
	return []Vertex{{r2.Add(at, out), math.Tan(bend / 4)}, {P: r2.Add(at, turned)}}
}

// trimSpan returns where the moved stretch, followed inward from one end (way −1
// from its end, +1 from its start), crosses the line through a point with the
// normal given; the end itself where it never does.
func trimSpan(c *solve.Cam, s *rimSpan, grow float64, point, normal r2.Vec, way float64) float64 {
	const looks = 400
	curve := rimCurve(c, s.from, s.to, grow)
	side := func(phi float64) float64 {
		p, _ := curve(phi)
		return r2.Dot(r2.Sub(p, point), normal)
	}
	end := s.to
	if way > 0 {
		end = s.from
	}
	stride := way * (s.to - s.from) / looks
	beyond := side(end)
	for k := 1; k <= looks; k++ {
		low, high := end+stride*float64(k-1), end+stride*float64(k)
		if side(high)*beyond > 0 {
			continue
		}
		for range 50 {
			middle := (low + high) / 2
			if side(middle)*beyond > 0 {
				low = middle
			} else {
				high = middle
			}
		}
		return high
	}
	return end
}

// rimCurve is one smooth stretch of a rim. The tangent comes from differences of
// the exact rim, taken inside the stretch; only its direction counts.
func rimCurve(c *solve.Cam, from, to, grow float64) Curve {
	const step = 1e-5 // rad: truncation and rounding both leave the direction good to 1e-9
	out := c.Sense()  // the rim runs clockwise on a counter-clockwise cam
	inside := func(phi float64) float64 { return min(max(phi, from+1e-9), to-1e-9) }
	at := func(phi float64) r2.Vec { return c.Contact(inside(phi)).Rim }
	return func(phi float64) (point, tangent r2.Vec) {
		a, b := inside(phi-step), inside(phi+step)
		point, tangent = at(phi), r2.Sub(at(b), at(a))
		if p := inside(phi); b-a < 1.9*step { // at an end: second-order one-sided difference
			h := step
			if p+2*h > to {
				h = -h
			}
			tangent = r2.Scale(1/h, r2.Sub(r2.Sub(r2.Scale(4, at(p+h)), at(p+2*h)), r2.Scale(3, point)))
		}
		if n := r2.Norm(tangent); grow != 0 && n > 0 {
			side := r2.Scale(out/n, r2.Vec{X: -tangent.Y, Y: tangent.X})
			point = r2.Add(point, r2.Scale(grow, side))
		}
		return point, tangent
	}
}

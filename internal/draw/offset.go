package draw

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// offsetPolygon returns the outline of a polygon grown by d, or shrunk where d
// is negative: outer corners are rounded, inner ones stay sharp. Corners may run
// either way. It suits cutter allowances, small beside the edges.
func offsetPolygon(corners []r2.Vec, d float64) Path {
	p := Polygon(corners...)
	if d == 0 || len(corners) < 3 {
		return p
	}
	if p.Area() < 0 {
		p = p.Reverse()
	}
	out := Path{Closed: true}
	n := len(p.Vertices)
	for i := range n {
		before, at, after := p.Vertices[(i+n-1)%n].P, p.Vertices[i].P, p.Vertices[(i+1)%n].P
		in, on := r2.Unit(r2.Sub(at, before)), r2.Unit(r2.Sub(after, at))
		right := func(v r2.Vec) r2.Vec { return r2.Vec{X: v.Y, Y: -v.X} }
		bend := math.Atan2(r2.Cross(in, on), r2.Dot(in, on))
		if bend*d > 0 { // opens: round it
			out.Vertices = append(out.Vertices,
				Vertex{r2.Add(at, r2.Scale(d, right(in))), math.Tan(bend / 4)},
				Vertex{P: r2.Add(at, r2.Scale(d, right(on)))})
			continue
		}
		// Both offset edges meet on the bisector, d/cos(bend/2) away.
		middle := r2.Unit(r2.Add(right(in), right(on)))
		if middle.X != middle.X { // the edge turns straight back
			middle = right(in)
		}
		out.Vertices = append(out.Vertices, Vertex{P: r2.Add(at, r2.Scale(d/math.Cos(bend/2), middle))})
	}
	return out
}

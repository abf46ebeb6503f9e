package draw

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Disc is a filled circle.
type Disc struct {
	Centre r2.Vec
	Radius float64
}

// Hull returns the convex outline round discs, counter-clockwise: arcs of the
// discs joined by common tangents. A disc inside another adds nothing; no disc
// gives an empty path.
//
// The outline is walked by the angle θ of its outward normal n. Disc j takes
// over from i where both reach equally far, (cj − ci)·n = ri − rj, with j
// gaining: θ = α − acos((ri − rj)/d), where α and d are direction and distance
// from i to j.
func Hull(discs []Disc) Path {
	if len(discs) == 0 {
		return Path{Closed: true}
	}
	first := 0
	for i, d := range discs {
		best := discs[first]
		if reach, most := d.Centre.X+d.Radius, best.Centre.X+best.Radius; reach > most ||
			reach == most && d.Centre.Y > best.Centre.Y {
			first = i
		}
	}
	path := Path{Closed: true}
	at, theta := first, 0.0
	for range 2*len(discs) + 2 {
		next, turn := hullNext(discs, at, theta)
		end := min(theta+turn, 2*math.Pi)
		path.arcTo(discs[at], theta, end)
		if end == 2*math.Pi {
			break
		}
		at, theta = next, end
	}
	return path
}

// hullNext returns the disc that takes over from disc at soonest after the
// normal angle theta, and how much farther the normal turns until then.
func hullNext(discs []Disc, at int, theta float64) (next int, turn float64) {
	next, turn = at, 2*math.Pi
	for j, d := range discs {
		way := r2.Sub(d.Centre, discs[at].Centre)
		cos := (discs[at].Radius - d.Radius) / r2.Norm(way)
		if j == at || !(math.Abs(cos) < 1) {
			continue
		}
		over := turnFrom(theta, math.Atan2(way.Y, way.X)-math.Acos(cos), 1)
		if 2*math.Pi-over < 1e-12 {
			over = 0
		}
		// Of discs reached at once the farthest lies on the outline.
		far := r2.Norm2(way) > r2.Norm2(r2.Sub(discs[next].Centre, discs[at].Centre))
		if over < turn-1e-12 || over < turn+1e-12 && far {
			next, turn = j, over
		}
	}
	return next, turn
}

// arcTo appends the arc of the disc between two normal angles, in pieces of at
// most half a turn; a disc of no radius gives its centre.
func (p *Path) arcTo(d Disc, from, to float64) {
	point := func(angle float64) r2.Vec {
		sin, cos := math.Sincos(angle)
		return r2.Vec{X: d.Centre.X + d.Radius*cos, Y: d.Centre.Y + d.Radius*sin}
	}
	if d.Radius == 0 || to-from < 1e-12 {
		p.add(Vertex{P: point(from)})
		return
	}
	pieces := math.Ceil((to - from) / math.Pi)
	step := (to - from) / pieces
	for i := range int(pieces) {
		p.add(Vertex{point(from + float64(i)*step), math.Tan(step / 4)})
	}
	p.add(Vertex{P: point(to)})
}

// add appends a vertex unless it falls on the one before, whose bend it then
// takes over.
func (p *Path) add(v Vertex) {
	const same = 1e-9 // mm, far below any tool's step
	if n := len(p.Vertices); n > 0 && r2.Norm(r2.Sub(p.Vertices[n-1].P, v.P)) < same {
		p.Vertices[n-1].Bulge = v.Bulge
		return
	}
	if n := len(p.Vertices); n > 1 && v.Bulge == 0 && r2.Norm(r2.Sub(p.Vertices[0].P, v.P)) < same {
		return // closes on itself
	}
	p.Vertices = append(p.Vertices, v)
}

// Stadium returns the outline of a disc moved from a to b.
func Stadium(a, b r2.Vec, radius float64) Path {
	return Hull([]Disc{{a, radius}, {b, radius}})
}

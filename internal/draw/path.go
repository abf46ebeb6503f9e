package draw

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Vertex is a corner of a Path and how the segment to the next one bends.
type Vertex struct {
	P r2.Vec
	// Bulge is the tangent of a quarter of the arc's angle, positive
	// counter-clockwise, 0 for a straight line: the convention of DXF polylines.
	Bulge float64
}

// Path is a chain of straight lines and circular arcs. A closed one has a last
// segment back to the first vertex.
type Path struct {
	Vertices []Vertex
	Closed   bool
}

// Bounds is an upright rectangle.
type Bounds struct{ Min, Max r2.Vec }

func emptyBounds() Bounds {
	return Bounds{r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
}

func (b Bounds) empty() bool { return b.Min.X > b.Max.X }

func (b *Bounds) add(p r2.Vec) {
	b.Min = r2.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y)}
	b.Max = r2.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y)}
}

func (b *Bounds) merge(o Bounds) {
	if !o.empty() {
		b.add(o.Min)
		b.add(o.Max)
	}
}

// Size returns width and height.
func (b Bounds) Size() r2.Vec { return r2.Sub(b.Max, b.Min) }

// Centre returns the middle.
func (b Bounds) Centre() r2.Vec { return r2.Scale(0.5, r2.Add(b.Min, b.Max)) }

// segment is one line or arc of a path.
type segment struct {
	a, b  r2.Vec
	bulge float64
}

// segments calls visit with each segment in order.
func (p Path) segments(visit func(segment)) {
	n := len(p.Vertices)
	last := n - 1
	if p.Closed {
		last = n
	}
	for i := range last {
		j := i + 1
		if j == n {
			j = 0
		}
		visit(segment{p.Vertices[i].P, p.Vertices[j].P, p.Vertices[i].Bulge})
	}
}

// arc returns centre, radius, starting angle and signed sweep of a bent segment.
func (s segment) arc() (centre r2.Vec, radius, start, sweep float64) {
	chord := r2.Sub(s.b, s.a)
	// From the middle of the chord the centre lies (1 − bulge²)/(4·bulge) chords
	// to the left.
	k := (1 - s.bulge*s.bulge) / (4 * s.bulge)
	centre = r2.Add(r2.Scale(0.5, r2.Add(s.a, s.b)), r2.Vec{X: -k * chord.Y, Y: k * chord.X})
	from := r2.Sub(s.a, centre)
	return centre, r2.Norm(from), math.Atan2(from.Y, from.X), 4 * math.Atan(s.bulge)
}

// at returns the point a fraction t of the way along.
func (s segment) at(t float64) r2.Vec {
	if s.bulge == 0 {
		return r2.Add(s.a, r2.Scale(t, r2.Sub(s.b, s.a)))
	}
	centre, radius, start, sweep := s.arc()
	sin, cos := math.Sincos(start + t*sweep)
	return r2.Vec{X: centre.X + radius*cos, Y: centre.Y + radius*sin}
}

// Length returns the length of the path.
func (p Path) Length() float64 {
	total := 0.0
	p.segments(func(s segment) {
		if s.bulge == 0 {
			total += r2.Norm(r2.Sub(s.b, s.a))
			return
		}
		_, radius, _, sweep := s.arc()
		total += radius * math.Abs(sweep)
	})
	return total
}

// Area returns the enclosed area, positive when the path runs
// counter-clockwise. An open path is closed by a straight line.
func (p Path) Area() float64 {
	total := 0.0
	p.Closed = true
	p.segments(func(s segment) {
		total += r2.Cross(s.a, s.b) / 2
		if s.bulge != 0 {
			_, radius, _, sweep := s.arc()
			total += radius * radius * (sweep - math.Sin(sweep)) / 2
		}
	})
	return total
}

// Bounds returns the exact rectangle round the path.
func (p Path) Bounds() Bounds {
	b := emptyBounds()
	for _, v := range p.Vertices {
		b.add(v.P)
	}
	p.segments(func(s segment) {
		if s.bulge == 0 {
			return
		}
		centre, radius, start, sweep := s.arc()
		for quarter := range 4 {
			angle := float64(quarter) * math.Pi / 2
			if past := turnFrom(start, angle, sweep); past < math.Abs(sweep) {
				sin, cos := math.Sincos(angle)
				b.add(r2.Vec{X: centre.X + radius*cos, Y: centre.Y + radius*sin})
			}
		}
	})
	return b
}

// turnFrom returns how far the angle lies beyond start in the sense of sweep,
// in [0, 2π).
func turnFrom(start, angle, sweep float64) float64 {
	turn := angle - start
	if sweep < 0 {
		turn = -turn
	}
	turn = math.Mod(turn, 2*math.Pi)
	if turn < 0 {
		turn += 2 * math.Pi
	}
	return turn
}

// Flatten returns points along the path no farther than tolerance from it,
// each vertex among them; the first point of a closed path is not repeated.
func (p Path) Flatten(tolerance float64) []r2.Vec {
	var points []r2.Vec
	p.segments(func(s segment) {
		points = append(points, s.a)
		if s.bulge == 0 {
			return
		}
		_, radius, _, sweep := s.arc()
		// A chord over the angle θ leaves its arc by radius·(1 − cos(θ/2)).
		step := 2 * math.Acos(max(1-tolerance/radius, 0))
		n := int(math.Ceil(math.Abs(sweep) / step))
		for i := 1; i < n; i++ {
			points = append(points, s.at(float64(i)/float64(n)))
		}
	})
	if n := len(p.Vertices); n > 0 && !p.Closed {
		points = append(points, p.Vertices[n-1].P)
	}
	return points
}

// Reverse returns the path run the other way.
func (p Path) Reverse() Path {
	n := len(p.Vertices)
	out := make([]Vertex, n)
	for i := range n {
		out[i].P = p.Vertices[n-1-i].P
		if before := n - 2 - i; before >= 0 {
			out[i].Bulge = -p.Vertices[before].Bulge
		} else if p.Closed {
			out[i].Bulge = -p.Vertices[n-1].Bulge
		}
	}
	return Path{out, p.Closed}
}

// Move returns the path turned about the origin by turn (rad) and then shifted.
func (p Path) Move(turn float64, shift r2.Vec) Path {
	sin, cos := math.Sincos(turn)
	out := make([]Vertex, len(p.Vertices))
	for i, v := range p.Vertices {
		out[i] = Vertex{r2.Vec{X: cos*v.P.X - sin*v.P.Y + shift.X, Y: sin*v.P.X + cos*v.P.Y + shift.Y}, v.Bulge}
	}
	return Path{out, p.Closed}
}

// Polygon returns the closed path through the corners.
func Polygon(corners ...r2.Vec) Path {
	p := Path{Closed: true, Vertices: make([]Vertex, len(corners))}
	for i, c := range corners {
		p.Vertices[i].P = c
	}
	return p
}

// Polyline returns the open path through the points.
func Polyline(points ...r2.Vec) Path {
	p := Polygon(points...)
	p.Closed = false
	return p
}

// Rectangle returns the upright rectangle between two corners.
func Rectangle(b Bounds) Path {
	return Polygon(b.Min, r2.Vec{X: b.Max.X, Y: b.Min.Y}, b.Max, r2.Vec{X: b.Min.X, Y: b.Max.Y})
}

// Round returns a circle as a path of two half turns, counter-clockwise.
func Round(centre r2.Vec, radius float64) Path {
	side := r2.Vec{X: radius}
	return Path{Closed: true, Vertices: []Vertex{{r2.Add(centre, side), 1}, {r2.Sub(centre, side), 1}}}
}

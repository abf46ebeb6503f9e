package draw

import (
	"encoding/binary"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Solid is a flat part of even thickness, its lower face at level 0.
type Solid struct {
	Outer     Path
	Holes     []Path
	Thickness float64
}

// solidTolerance is how far a facet may leave its arc, mm: a tenth of a fine
// print layer.
const solidTolerance = 0.01

// STL writes the solid as a closed surface of triangles, facets outward, in
// binary form (3D Systems, SLC 1989: 80 bytes of header, a count, and for each
// facet normal, three corners and a spare word, little-endian 32-bit floats).
// Lengths are mm. It fails when the thickness is not above zero or the outline
// crosses itself or a hole.
func (s Solid) STL(name string) ([]byte, error) {
	facets, err := s.facets()
	if err != nil {
		return nil, err
	}
	out := make([]byte, 80, 84+50*len(facets))
	copy(out, "mm "+name)
	out = binary.LittleEndian.AppendUint32(out, uint32(len(facets)))
	for _, f := range facets {
		normal := r3.Cross(r3.Sub(f[1], f[0]), r3.Sub(f[2], f[0]))
		if n := r3.Norm(normal); n > 0 {
			normal = r3.Scale(1/n, normal)
		}
		for _, v := range [4]r3.Vec{normal, f[0], f[1], f[2]} {
			for _, x := range [3]float64{v.X, v.Y, v.Z} {
				out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(x)))
			}
		}
		out = append(out, 0, 0)
	}
	return out, nil
}

// facets returns the triangles of both faces and all walls. Every wall shares
// its corners with both faces, so each edge belongs to exactly two facets.
func (s Solid) facets() ([][3]r3.Vec, error) {
	if !(s.Thickness > 0) {
		return nil, errors.New("no thickness given")
	}
	outer := ring(s.Outer, false)
	if len(outer) < 3 {
		return nil, errTangled
	}
	holes := make([][]r2.Vec, len(s.Holes))
	points := slices.Clone(outer)
	for i, h := range s.Holes {
		holes[i] = ring(h, true)
		points = append(points, holes[i]...)
	}
	flat, err := triangulate(outer, holes)
	if err != nil {
		return nil, err
	}
	low := func(p r2.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y} }
	high := func(p r2.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y, Z: s.Thickness} }
	var facets [][3]r3.Vec
	for _, t := range flat {
		a, b, c := points[t[0]], points[t[1]], points[t[2]]
		facets = append(facets, [3]r3.Vec{high(a), high(b), high(c)}, [3]r3.Vec{low(a), low(c), low(b)})
	}
	for _, r := range append([][]r2.Vec{outer}, holes...) {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			facets = append(facets, [3]r3.Vec{low(a), low(b), high(b)}, [3]r3.Vec{low(a), high(b), high(a)})
		}
	}
	return facets, nil
}

// ring flattens a closed path to corners, counter-clockwise or clockwise,
// rounded to the 32-bit floats of the file so that no two corners that it
// would merge stay apart.
func ring(p Path, clockwise bool) []r2.Vec {
	p.Closed = true
	if (p.Area() < 0) != clockwise {
		p = p.Reverse()
	}
	var out []r2.Vec
	for _, v := range p.Flatten(solidTolerance) {
		v = r2.Vec{X: float64(float32(v.X)), Y: float64(float32(v.Y))}
		if n := len(out); n == 0 || out[n-1] != v {
			out = append(out, v)
		}
	}
	for len(out) > 1 && out[0] == out[len(out)-1] {
		out = out[:len(out)-1]
	}
	return out
}

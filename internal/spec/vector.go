package spec

import (
	"understage/internal/units"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// numbers reads a list of exactly len(into) numbers.
func (d *decoder) numbers(p *place, dim units.Dimension, into []float64) bool {
	if p.node.kind != listKind || len(p.node.items) != len(into) {
		found := "found " + p.found()
		switch p.node.kind {
		case nullKind:
			found = "missing value"
		case listKind:
			found = "found a list of " + counted(len(p.node.items), "entry", "entries")
		}
		want := "two numbers in brackets, such as [12, -3]"
		if len(into) == 3 {
			want = "three numbers in brackets, such as [12, -3, 40]"
		}
		d.say(p, found, want, "")
		return false
	}
	good := true
	for i, n := range p.node.items {
		item := place{node: n, schema: p.schema, at: n.pos, up: p, index: i}
		v, ok := d.quantity(&item, dim, Any)
		into[i] = v
		good = good && ok
	}
	return good
}

// pair reads [u, v]. It is zero when not written or at fault.
func (f fields) pair(key string) (r2.Vec, bool) {
	p := f.child(key)
	if p == nil {
		f.fallback(key)
		return r2.Vec{}, false
	}
	return f.d.pairAt(p, p.schema.key.Dimension)
}

func (d *decoder) pairAt(p *place, dim units.Dimension) (r2.Vec, bool) {
	var v [2]float64
	ok := d.numbers(p, dim, v[:])
	return r2.Vec{X: v[0], Y: v[1]}, ok
}

// triple reads [x, y, z].
func (f fields) triple(key string) (r3.Vec, bool) {
	p := f.child(key)
	if p == nil {
		f.fallback(key)
		return r3.Vec{}, false
	}
	return f.d.tripleAt(p)
}

func (d *decoder) tripleAt(p *place) (r3.Vec, bool) {
	var v [3]float64
	ok := d.numbers(p, p.schema.key.Dimension, v[:])
	return r3.Vec{X: v[0], Y: v[1], Z: v[2]}, ok
}

// direction reads a pair of which only the direction counts, as a unit vector.
func (f fields) direction(key string) (r2.Vec, bool) {
	v, ok := f.pair(key)
	if !ok {
		return r2.Vec{}, false
	}
	return f.d.unit(f.child(key), v)
}

func (d *decoder) unit(p *place, v r2.Vec) (r2.Vec, bool) {
	if v.X == 0 && v.Y == 0 {
		d.say(p, "a direction of no length", "a direction such as [0, -1]", "")
		return r2.Vec{}, false
	}
	return r2.Unit(v), true
}

// span reads [least, greatest].
func (f fields) span(key string) (least, greatest float64, ok bool) {
	v, ok := f.pair(key)
	if !ok {
		return 0, 0, false
	}
	if v.X >= v.Y {
		p := f.child(key)
		f.d.say(p, "a range that does not rise", "the lesser value first", "")
		return 0, 0, false
	}
	return v.X, v.Y, true
}

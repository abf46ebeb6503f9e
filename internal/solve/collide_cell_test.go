package solve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// rippleField is a sum of random harmonics of the angles, with the bound that its
// slopes and its greatest curvature give.
type rippleField struct {
	terms []rippleTerm
	x, by []float64
	most  float64
}

type rippleTerm struct {
	n    []float64
	size float64
	lag  float64
}

func newRippleField(r *rand.Rand, axes int) *rippleField {
	f := &rippleField{x: make([]float64, axes), by: make([]float64, axes), most: math.Inf(1)}
	for range 2 + r.IntN(3) {
		t := rippleTerm{n: make([]float64, axes), size: 0.2 + r.Float64(), lag: 7 * r.Float64()}
		for k := range t.n {
			t.n[k] = float64(r.IntN(4))
		}
		f.terms = append(f.terms, t)
	}
	return f
}

func (f *rippleField) at(x []float64) float64 {
	sum := 0.0
	for _, t := range f.terms {
		sum += t.size * math.Cos(t.turn(x))
	}
	return sum
}

func (t *rippleTerm) turn(x []float64) float64 {
	turn := t.lag
	for k, n := range t.n {
		turn += n * x[k]
	}
	return turn
}

// slack returns how much lower the field may be within reach: each term changes by
// no more than its slope times its turn, and half its size times the square of that.
func (f *rippleField) slack(reach []float64) float64 {
	sum := 0.0
	for k, by := range reach {
		slope := 0.0
		for _, t := range f.terms {
			slope -= t.size * t.n[k] * math.Sin(t.turn(f.x))
		}
		sum += math.Abs(slope) * by
	}
	for _, t := range f.terms {
		turn := 0.0
		for k, by := range reach {
			turn += t.n[k] * by
		}
		sum += t.size * turn * turn / 2
	}
	return sum
}

func (f *rippleField) field() cellField {
	return cellField{
		n:     1,
		stand: func(x, reach []float64) { copy(f.x, x); copy(f.by, reach) },
		look:  func(int) (value, low float64) { return f.at(f.x), f.at(f.x) - f.slack(f.by) },
		share: func(_, axis int) float64 {
			alone := make([]float64, len(f.by))
			alone[axis] = f.by[axis]
			return f.slack(alone)
		},
		most:   func(int) *float64 { return &f.most },
		enough: func(int) float64 { return math.Inf(-1) },
	}
}

// The cells that are left hold the least value of a dense walk over the orbit, and
// nothing lower lies outside them; bounds alone find that value.
func TestCellsHoldTheLeast(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	settled := 0
	for trial := range draws(120) {
		axes := 1 + trial%3
		o := Orbit{Bound: axes > 1 && r.IntN(4) == 0, Axes: make([]OrbitAxis, axes)}
		for i := range o.Axes {
			o.Axes[i].Ratio = Ratio{Num: int64(1 + r.IntN(12)), Den: int64(1 + r.IntN(12))}
		}
		f := newRippleField(r, axes)
		walk := walkOrbit(r, o, 40000)
		least, at := math.Inf(1), []float64(nil)
		for _, x := range walk {
			if v := f.at(x); v < least {
				least, at = v, x
			}
		}
		var room cellRoom
		find := newCellSearch(o, &room, f.field()).narrow()[0]
		if find.mask == nil || !find.mask.has(at) {
			t.Fatalf("trial %d, %d axes: the cell of the least %g is not left", trial, axes, least)
		}
		if f.most < least-0.05 && axes < 3 {
			t.Errorf("trial %d, %d axes: met %g, by walking %g", trial, axes, f.most, least)
		}
		for _, x := range walk {
			if v := f.at(x); v < f.most-1e-6 && !find.mask.has(x) {
				t.Fatalf("trial %d, %d axes: %g lies outside the cells, %g is known", trial, axes, v, f.most)
			}
		}
		if axes == 3 { // whose path is not followed by cells
			continue
		}
		f.most = math.Inf(1)
		ok := newCellSearch(o, &room, f.field()).least(1e-6)
		if ok && (f.most > least+1e-6 || f.most < least-0.02*(1+math.Abs(least))) {
			t.Errorf("trial %d, %d axes: least %g, by walking %g", trial, axes, f.most, least)
		}
		if ok {
			settled++
		}
	}
	if settled < draws(120)/3 {
		t.Errorf("bounds alone found only %d values", settled)
	}
}

// Where the path comes by a cell, that place is on it, and all of the path within
// the cell is within reach of it.
func TestStrandsOfCells(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 31))
	crossed := 0
	for trial := range draws(400) {
		o := Orbit{Axes: make([]OrbitAxis, 2)}
		for i := range o.Axes {
			o.Axes[i].Ratio = Ratio{Num: int64(1 + r.IntN(15)), Den: int64(1 + r.IntN(5))}
		}
		c := newCellSearch(o, &cellRoom{}, cellField{stand: func(x, reach []float64) {}})
		var p cellPlace
		for i := range c.axes {
			c.axes[i].halved = 1 + r.IntN(4)
			p.at[i] = r.IntN(1 << c.axes[i].halved)
		}
		_, comes := c.stand(&p)
		inside := 0
		for _, x := range walkOrbit(r, o, 20000) {
			in := true
			for i, a := range c.axes {
				in = in && int(x[a.index]/a.width()) == p.at[i]
			}
			if !in {
				continue
			}
			inside++
			for i := range x {
				if off := math.Abs(math.Remainder(x[i]-c.x[i], 2*math.Pi)); comes && off > c.reach[i]+1e-9 {
					t.Fatalf("trial %d: the path is %g off along axis %d, within a reach of %g", trial, off, i, c.reach[i])
				}
			}
		}
		if inside > 0 && !comes {
			t.Fatalf("trial %d: the path passes through a cell that it is said to miss", trial)
		}
		if !comes {
			continue
		}
		crossed++
		a, b := float64(c.axes[c.fast].winding), float64(c.axes[1-c.fast].winding)
		w := (c.x[c.axes[1-c.fast].index] - b/a*c.x[c.axes[c.fast].index]) / (2 * math.Pi / a)
		if math.Abs(w-math.Round(w)) > 1e-6 {
			t.Fatalf("trial %d: %v is not on the path", trial, c.x)
		}
	}
	if crossed < draws(400)/3 || crossed == draws(400) {
		t.Errorf("the path came by %d cells", crossed)
	}
}

// walkOrbit returns places on the orbit, evenly spread.
func walkOrbit(r *rand.Rand, o Orbit, n int) [][]float64 {
	var ratios []Ratio
	for _, a := range o.Axes {
		ratios = append(ratios, a.Ratio)
	}
	windings, _ := orbitWindings(ratios)
	out := make([][]float64, n)
	for k := range out {
		out[k] = make([]float64, len(o.Axes))
		for i := range o.Axes {
			out[k][i] = 2 * math.Pi * r.Float64()
			if !o.Bound {
				out[k][i] = orbitWrap(2 * math.Pi * float64(windings[i]) * float64(k) / float64(n))
			}
		}
	}
	return out
}

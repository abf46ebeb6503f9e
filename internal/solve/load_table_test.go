package solve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// kinkedTable is of three functions, with kinks at 0.8 and 4 rad along the second
// angle, and along the first, if it has one, at 2 rad.
func kinkedTable(single bool, steps int) (*loadTable, func(x, y float64) [3]float64) {
	kink := func(y float64) float64 { return math.Abs(math.Sin((y-0.8)/2)) * math.Abs(math.Sin((y-4)/2)) }
	f := func(x, y float64) [3]float64 {
		if single {
			x = 0
		}
		return [3]float64{
			2 + math.Cos(x-0.3) - 0.4*math.Sin(3*y) + 0.2*math.Cos(x+2*y),
			kink(y) * (2 + math.Cos(x)),
			math.Abs(math.Sin((x-2)/2)) * math.Cos(y),
		}
	}
	first, second := newLoadNodes([]float64{2}, steps), newLoadNodes([]float64{4, 0.8}, steps)
	t := newLoadTable(first, second, single, 3)
	for i := range t.rows {
		for j := range t.columns {
			v := f(first.x[i], second.x[j])
			copy(t.point(i, j), v[:])
		}
	}
	return t, f
}

// A cubic through four nodes at steps h is off by at most h⁴/24 times the fourth
// derivative (Bronshtein, interpolation by polynomials: the product of the
// distances from the nodes is at most 1 in steps), along each angle; kinks between
// pieces change nothing.
func TestLoadTable(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for _, single := range [...]bool{true, false} {
		const steps = 48
		table, f := kinkedTable(single, steps)
		for i := range table.rows {
			for j := range table.columns {
				var got [3]float64
				table.add(orbitWrap(table.first.x[i]), orbitWrap(table.second.x[j]), got[:])
				for k, v := range table.point(i, j) {
					if math.Abs(got[k]-v) > 1e-12 {
						t.Fatalf("single %v, at node %d %d: %g, want %g", single, i, j, got[k], v)
					}
				}
			}
		}
		h := 2 * math.Pi / steps
		// Greatest fourth derivatives along both angles; a product of half waves has
		// none above 1 but is three times as high.
		bounds := [3]float64{81*0.4 + 16*0.2 + 1.2, 3 + 1, 1 + 1./16}
		for range 20000 {
			x, y := 2*math.Pi*r.Float64(), 2*math.Pi*r.Float64()
			want := f(x, y)
			var got [3]float64
			table.add(x, y, got[:])
			for k := range got {
				if off := math.Abs(got[k] - want[k]); off > bounds[k]*math.Pow(h, 4)/24 {
					t.Fatalf("single %v, function %d at %g %g: off by %g, more than %g", single, k, x, y, off, bounds[k]*math.Pow(h, 4)/24)
				}
			}
		}
	}
}

// A table's bounds over a box hold everywhere in it, and over a small box they
// are close.
func TestLoadTableWithin(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, single := range [...]bool{true, false} {
		table, _ := kinkedTable(single, 48)
		for trial := range 2000 {
			reach := math.Pow(r.Float64(), 4) * 9
			x, y := 20*r.Float64()-7, 20*r.Float64()-7
			var span [3][2]float64
			table.within([2]float64{x, x + reach}, [2]float64{y, y + reach}, span[:])
			for range 20 {
				var v [3]float64
				table.add(orbitWrap(x+reach*r.Float64()), orbitWrap(y+reach*r.Float64()), v[:])
				for f := range v {
					if v[f] < span[f][0]-1e-12 || v[f] > span[f][1]+1e-12 {
						t.Fatalf("trial %d: %g outside %g", trial, v[f], span[f])
					}
				}
			}
			// Five cells, at a slope of 2 at most in each angle.
			if reach < 2*math.Pi/48 && span[0][1]-span[0][0] > 2*2*5*2*math.Pi/48 {
				t.Errorf("trial %d: %g over a box of %g", trial, span[0], reach)
			}
		}
	}
}

// Every angle lies in the piece and cell that hold it, however short the pieces.
func TestLoadNodes(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2))
	for trial := range 300 {
		var kinks []float64
		for range r.IntN(8) {
			kinks = append(kinks, orbitWrap(7*r.Float64()*math.Pow(r.Float64(), 4)))
		}
		n := newLoadNodes(kinks, 24+r.IntN(40))
		for range 200 {
			x := 2 * math.Pi * r.Float64()
			p, u := n.find(x)
			at := x
			if at < n.start {
				at += 2 * math.Pi
			}
			if at < p.from-loadNearKinks || at > p.to+loadNearKinks || at > p.end || math.Abs(u-(at-p.from)/(p.to-p.from)*float64(p.cells)) > 1e-9 {
				t.Fatalf("trial %d: %g in the piece %g to %g at %g", trial, x, p.from, p.to, u)
			}
			// The cells of an interval hold all places in it, and few others.
			long, turns := 7*math.Pow(r.Float64(), 3), 2*math.Pi*float64(r.IntN(9)-4)
			from, to := n.reach([2]float64{x - long + turns, x + turns})
			mid := int(n.cell(orbitWrap(x - long*r.Float64())))
			for mid < from {
				mid += n.cells
			}
			if mid >= to || from < 0 || to > 2*n.cells {
				t.Fatalf("trial %d: cell %d outside %d to %d of %d", trial, mid, from, to, n.cells)
			}
			const bin = 2 * math.Pi / loadBins
			wider := int(n.cell(orbitWrap(x+bin))) - int(n.cell(orbitWrap(x-long-bin)))
			if wider < 0 {
				wider += n.cells
			}
			if long < math.Pi && to-from > wider+1 {
				t.Fatalf("trial %d: cells %d to %d, of %d that a little more holds", trial, from, to, wider+1)
			}
		}
	}
}

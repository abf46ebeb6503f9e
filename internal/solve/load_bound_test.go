package solve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A table's bounds over a box hold everywhere in it, and over a small box they
// are close.
func TestLoadTableWithin(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, rows := range []int{1, 48} {
		table := newLoadTable(rows, 48, 3)
		for i := range rows {
			for j := range 48 {
				x, y := 2*math.Pi*float64(i)/float64(rows), 2*math.Pi*float64(j)/48
				copy(table.point(i, j), []float64{math.Cos(x + 2*y), math.Sin(3*y) + math.Cos(x), 5 * math.Cos(y-x)})
			}
		}
		table.settle()
		for trial := range 300 {
			reach := math.Pow(r.Float64(), 4) * 9
			x, y := 20*r.Float64()-7, 20*r.Float64()-7
			var low, high [3]float64
			table.within([2]float64{x, x + reach}, [2]float64{y, y + reach}, low[:], high[:])
			for range 20 {
				var v [3]float64
				table.add(orbitWrap(x+reach*r.Float64()), orbitWrap(y+reach*r.Float64()), v[:])
				for f := range v {
					if v[f] < low[f]-1e-12 || v[f] > high[f]+1e-12 {
						t.Fatalf("trial %d: %g outside %g to %g", trial, v[f], low[f], high[f])
					}
				}
			}
			// Five steps of a turn's 48, at a slope of 10 at most in each angle.
			if reach < 2*math.Pi/48 && high[2]-low[2] > 2*5*6*2*math.Pi/48 {
				t.Errorf("trial %d: bounds %g to %g over a box of %g", trial, low[2], high[2], reach)
			}
		}
	}
}

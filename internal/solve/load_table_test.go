package solve

import (
	"math"
	"testing"
)

// The spline runs through the table's points, and between them follows a
// harmonic to the fourth order of the step.
func TestLoadTable(t *testing.T) {
	f := func(x, y float64) float64 { return 2 + math.Cos(x-0.3) - 0.4*math.Sin(3*y) + 0.2*math.Cos(x+2*y) }
	const rows, columns = 40, 56
	table := newLoadTable(rows, columns, 2)
	for i := range rows {
		for j := range columns {
			v := f(2*math.Pi*float64(i)/rows, 2*math.Pi*float64(j)/columns)
			copy(table.point(i, j), []float64{v, 5 - v})
		}
	}
	table.settle()
	read := func(x, y float64) (float64, float64) {
		var out [2]float64
		table.add(x, y, out[:])
		return out[0], out[1]
	}
	for i := range rows {
		for j := range columns {
			x, y := 2*math.Pi*float64(i)/rows, 2*math.Pi*float64(j)/columns
			if v, w := read(x, y); math.Abs(v-f(x, y)) > 1e-12 || math.Abs(v+w-5) > 1e-12 {
				t.Fatalf("at node %d %d: %g and %g, want %g", i, j, v, w, f(x, y))
			}
		}
	}
	// The error of a cubic spline on a harmonic n at step h is about
	// (n·h)⁴/384 at the middle; double it for the edges of that estimate.
	bound := 2 * (0.4*math.Pow(3*2*math.Pi/columns, 4) + 1.2*math.Pow(2*2*math.Pi/rows, 4)) / 384
	for k := range 1000 {
		x, y := math.Mod(0.7548776662*float64(k), 2*math.Pi), math.Mod(0.5698402910*float64(k), 2*math.Pi)
		if v, _ := read(x, y); math.Abs(v-f(x, y)) > bound {
			t.Fatalf("at %g %g: off by %g, more than %g", x, y, v-f(x, y), bound)
		}
	}
}

func TestLoadTableOfOneAngle(t *testing.T) {
	table := newLoadTable(1, 4, 1)
	for j, v := range []float64{1, 0, -1, 0} {
		table.point(0, j)[0] = v
	}
	table.settle()
	var out [1]float64
	table.add(0, 1.5*math.Pi, out[:])
	if math.Abs(out[0]) > 1e-15 {
		t.Errorf("through a node: %g, want 0", out[0])
	}
}

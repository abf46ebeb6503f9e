package solve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Bounds that let samples be passed over change no extreme of a long path, and
// slack costs no more than what it allows.
func TestOrbitShortCuts(t *testing.T) {
	orbits := [][]Ratio{
		{{1, 2}, {-31, 37}}, {{9, 20}, {18, 43}, {3, 1}}, {{18, 25}, {18, 31}, {1, 1}}, {{1, 1}, {31, 37}, {5, 3}}, {{97, 89}, {-83, 79}},
	}
	saved := 0 // looks at long paths
	for seed := range uint64(draws(2)) {
		for k, ratios := range orbits {
			r := rand.New(rand.NewPCG(seed, uint64(k)))
			var o Orbit
			for _, ratio := range ratios {
				o.Axes = append(o.Axes, OrbitAxis{Ratio: ratio})
			}
			f := wavyField(r, len(ratios), 1)
			calls := 0
			bounded := f
			bounded.All = func(x, out []float64) { calls++; f.All(x, out) }
			free := bounded
			free.Range = nil
			want := o.Extents(free)
			all := calls
			calls = 0
			got := o.Extents(bounded)
			const slack = 0.01
			loose := f
			loose.Slack = func(int, float64) float64 { return slack }
			rough := o.Extents(loose)
			table := o.Extents(roughened(f, 0.03))
			for q := range want {
				for side, e := range [2][4]float64{
					{want[q].Max.Value, got[q].Max.Value, rough[q].Max.Value, table[q].Max.Value},
					{-want[q].Min.Value, -got[q].Min.Value, -rough[q].Min.Value, -table[q].Min.Value},
				} {
					if math.Abs(e[3]-e[0]) > 1e-9 {
						t.Errorf("seed %d ratios %v quantity %d side %d: %.12g with samples that are off, %.12g without", seed, ratios, q, side, e[3], e[0])
					}
					if math.Abs(e[1]-e[0]) > 1e-9 {
						t.Errorf("seed %d ratios %v quantity %d side %d: %.12g with bounds, %.12g without", seed, ratios, q, side, e[1], e[0])
					}
					if e[2] > e[0]+1e-9 || e[2] < e[0]-slack-1e-3 {
						t.Errorf("seed %d ratios %v quantity %d side %d: %.12g with slack, %.12g without", seed, ratios, q, side, e[2], e[0])
					}
				}
			}
			if len(ratios) > 2 {
				saved += all - calls
			}
		}
	}
	if saved <= 0 {
		t.Errorf("bounds save %d looks", saved)
	}
}

// roughened is a field whose samples are off by as much as it says, like those of
// a table.
func roughened(f Field, off float64) Field {
	rough := f
	rough.One = func(x []float64, q int) float64 {
		out := make([]float64, f.N)
		f.All(x, out)
		return out[q]
	}
	rough.All = func(x, out []float64) {
		f.All(x, out)
		for q := range out {
			out[q] += off * math.Sin(7*x[0]+3*x[1]+float64(q))
		}
	}
	rough.Off = func(_ []float64, offs [][2]float64) {
		for q := range offs {
			offs[q] = [2]float64{off, off}
		}
	}
	return rough
}

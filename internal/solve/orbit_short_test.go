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
	for seed := range uint64(draws(2)) {
		for k, ratios := range orbits {
			r := rand.New(rand.NewPCG(seed, uint64(k)))
			var o Orbit
			for _, ratio := range ratios {
				o.Axes = append(o.Axes, OrbitAxis{Ratio: ratio})
			}
			f := wavyField(r, len(ratios), 3)
			want := o.Extents(f)
			at, out := make([]float64, len(ratios)), make([]float64, f.N)
			calls := 0
			bounded := f
			bounded.All = func(x, out []float64) { calls++; f.All(x, out) }
			bounded.Range = func(from, to, low, high []float64) {
				// Densely along the path, which crosses the box from corner to corner. Five
				// terms of amplitude 1 or less and frequency 3 or less on each axis rise by
				// less than their curvature allows between.
				const n = 32
				fill(low, math.Inf(1))
				fill(high, math.Inf(-1))
				frequency := 0.0
				for i := range at {
					frequency += 3 * (to[i] - from[i])
				}
				rise := 5 * frequency * frequency / 8 / n / n
				for k := range n + 1 {
					for i := range at {
						at[i] = from[i] + (to[i]-from[i])*float64(k)/n
					}
					f.All(at, out)
					for q, v := range out {
						low[q], high[q] = min(low[q], v-rise), max(high[q], v+rise)
					}
				}
			}
			o.Extents(Field{N: f.N, All: bounded.All})
			all := calls
			calls = 0
			got := o.Extents(bounded)
			const slack = 0.01
			loose := f
			loose.Slack = func(int, float64) float64 { return slack }
			rough := o.Extents(loose)
			for q := range want {
				for side, e := range [2][3]float64{
					{want[q].Max.Value, got[q].Max.Value, rough[q].Max.Value},
					{-want[q].Min.Value, -got[q].Min.Value, -rough[q].Min.Value},
				} {
					if math.Abs(e[1]-e[0]) > 1e-9 {
						t.Errorf("seed %d ratios %v quantity %d side %d: %.12g with bounds, %.12g without", seed, ratios, q, side, e[1], e[0])
					}
					if e[2] > e[0]+1e-9 || e[2] < e[0]-slack-1e-3 {
						t.Errorf("seed %d ratios %v quantity %d side %d: %.12g with slack, %.12g without", seed, ratios, q, side, e[2], e[0])
					}
				}
			}
			if len(ratios) > 2 && calls >= all {
				t.Errorf("seed %d ratios %v: %d looks with bounds, %d without", seed, ratios, calls, all)
			}
		}
	}
}

func fill(row []float64, v float64) {
	for i := range row {
		row[i] = v
	}
}

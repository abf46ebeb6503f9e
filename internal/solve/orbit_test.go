package solve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// orbitAngles returns the angles of all axes at a motor turn, by the exact
// ratios.
func orbitAngles(o Orbit, turns float64) []float64 {
	x := make([]float64, len(o.Axes))
	for i, a := range o.Axes {
		r := a.Ratio
		r.Num = max(r.Num, -r.Num)
		x[i] = 2 * math.Pi * r.Turn(turns)
	}
	return x
}

// orbitRepeat returns the motor turns until all axes are home.
func orbitRepeat(o Orbit) float64 {
	var ratios []Ratio
	for _, a := range o.Axes {
		ratios = append(ratios, a.Ratio)
	}
	n, ok := orbitWindings(ratios)
	if !ok {
		panic("windings do not fit")
	}
	return float64(n[0]) / math.Abs(ratios[0].Float())
}

// waveTerm is amplitude·cos(phase + n·x).
type waveTerm struct {
	amplitude, phase float64
	n                []float64
}

// wavyField is a sum of random harmonics over the axes and of their products:
// smooth, with many hills.
func wavyField(r *rand.Rand, axes, highest int) Field {
	quantities := make([][]waveTerm, 4)
	for q := range quantities {
		for range 5 {
			tm := waveTerm{amplitude: r.Float64(), phase: 2 * math.Pi * r.Float64(), n: make([]float64, axes)}
			for i := range tm.n {
				tm.n[i] = float64(r.IntN(2*highest+1) - highest)
			}
			if q == 0 && axes > 1 { // depends on one axis only
				clear(tm.n[1:])
			}
			quantities[q] = append(quantities[q], tm)
		}
	}
	return Field{N: len(quantities), All: func(x, out []float64) {
		for q, terms := range quantities {
			out[q] = 0
			for _, tm := range terms {
				a := tm.phase
				for i, n := range tm.n {
					a += n * x[i]
				}
				out[q] += tm.amplitude * math.Cos(a)
			}
		}
	}, Range: func(from, to, low, high []float64) {
		for q, terms := range quantities {
			low[q], high[q] = 0, 0
			for _, tm := range terms {
				a, b := tm.phase, tm.phase
				for i, n := range tm.n {
					a += min(n*from[i], n*to[i])
					b += max(n*from[i], n*to[i])
				}
				least, most := cosRange(a, b)
				low[q] += tm.amplitude * least
				high[q] += tm.amplitude * most
			}
		}
	}}
}

// cosRange returns the range of the cosine from a to b ≥ a.
func cosRange(a, b float64) (low, high float64) {
	low, high = min(math.Cos(a), math.Cos(b)), max(math.Cos(a), math.Cos(b))
	if math.Ceil(a/(2*math.Pi))*2*math.Pi <= b {
		high = 1
	}
	if math.Ceil((a-math.Pi)/(2*math.Pi))*2*math.Pi+math.Pi <= b {
		low = -1
	}
	return low, high
}

// samplePath is the independent method: the field at count places along the
// path, refined no further.
func samplePath(o Orbit, f Field, count int) (low, high []float64) {
	repeat := orbitRepeat(o)
	low, high = make([]float64, f.N), make([]float64, f.N)
	for q := range low {
		low[q], high[q] = math.Inf(1), math.Inf(-1)
	}
	out := make([]float64, f.N)
	for i := range count {
		f.All(orbitAngles(o, repeat*float64(i)/float64(count)), out)
		for q, v := range out {
			low[q], high[q] = min(low[q], v), max(high[q], v)
		}
	}
	return low, high
}

// TestOrbitAgainstDenseSampling checks the design's demand: no sample lies
// beyond a reported extreme, the extreme is met at the turns given, and a dense
// sample comes within its own coarseness.
func TestOrbitAgainstDenseSampling(t *testing.T) {
	ratios := [][]Ratio{
		{{9, 20}}, {{1, 1}, {1, 1}}, {{1, 2}, {-1, 3}}, {{9, 20}, {18, 43}}, {{18, 25}, {18, 31}},
		{{3, 1}, {1, 200}}, {{101, 1}, {1, 1}}, {{97, 89}, {-83, 79}}, {{1, 1}, {31, 37}, {5, 3}},
	}
	for seed := range uint64(draws(4)) {
		for k, rs := range ratios {
			r := rand.New(rand.NewPCG(seed, uint64(k)))
			var o Orbit
			for _, ratio := range rs {
				o.Axes = append(o.Axes, OrbitAxis{Ratio: ratio})
			}
			f := wavyField(r, len(rs), 3)
			got := o.Extents(f)
			const count = 40000
			low, high := samplePath(o, f, count)
			var ns []Ratio
			ns = append(ns, rs...)
			n, _ := orbitWindings(ns)
			fastest := float64(0)
			for _, w := range n {
				fastest = max(fastest, float64(w))
			}
			// Between samples a term of amplitude 1 and frequency 2·3·fastest turns
			// may rise by half its curvature times half the step squared.
			frequency := 2 * math.Pi * fastest * 3 * float64(len(rs))
			coarse := 5 * 0.5 * math.Pow(frequency/count/2, 2)
			for q := range got {
				if low[q] < got[q].Min.Value-1e-9 || high[q] > got[q].Max.Value+1e-9 {
					t.Errorf("seed %d ratios %v quantity %d: samples %.12g..%.12g beyond %.12g..%.12g", seed, rs, q, low[q], high[q], got[q].Min.Value, got[q].Max.Value)
				}
				if got[q].Min.Value < low[q]-coarse-1e-9 || got[q].Max.Value > high[q]+coarse+1e-9 {
					t.Errorf("seed %d ratios %v quantity %d: reported %.12g..%.12g, samples %.12g..%.12g", seed, rs, q, got[q].Min.Value, got[q].Max.Value, low[q], high[q])
				}
				out := make([]float64, f.N)
				for _, e := range []Extreme{got[q].Min, got[q].Max} {
					f.All(orbitAngles(o, e.Turns), out)
					if math.Abs(out[q]-e.Value) > 1e-9 || e.Turns < 0 || e.Turns >= orbitRepeat(o) {
						t.Errorf("seed %d ratios %v quantity %d: %.12g at turn %.12g, there it is %.12g", seed, rs, q, e.Value, e.Turns, out[q])
					}
				}
			}
		}
	}
}

// TestOrbitTorusAgainstPath compares the two methods on the same orbits.
func TestOrbitTorusAgainstPath(t *testing.T) {
	for seed := range uint64(draws(40)) {
		r := rand.New(rand.NewPCG(seed, 7))
		a := int64(49 + r.IntN(400))
		b := 1 + r.Int64N(a)
		o := Orbit{Axes: []OrbitAxis{{Ratio: reduced(a, 1)}, {Ratio: reduced(-b, 1)}}}
		f := wavyField(r, 2, 4)
		torus := newOrbitSearch(o, f)
		torus.searchTorus()
		path := newOrbitSearch(o, f)
		path.followPath()
		for side := range torus.best {
			for q := range f.N {
				p, g := path.best[side][q], torus.best[side][q]
				if math.Abs(p.value-g.value) > 1e-9 {
					t.Errorf("seed %d windings %d:%d side %d quantity %d: path %.12g at %.6g, torus %.12g at %.6g", seed, a, b, side, q, p.value, p.turns, g.value, g.turns)
				}
			}
		}
	}
}

func reduced(num, den int64) Ratio {
	g := gcd64(max(num, -num), den)
	return Ratio{num / g, den / g}
}

// TestOrbitBreaks has kinks, jumps, level ridges and plateaux.
func TestOrbitBreaks(t *testing.T) {
	const jump = 10 * orbitNudge // slopes here are at most 3
	breaks := []float64{0, 0.5, 2, 2.3, 5}
	shape := func(x float64) float64 { // a dwell, a ramp, a jump
		switch {
		case x < 0.5:
			return 1 + x
		case x < 2:
			return 1.5
		case x < 2.3:
			return 1.5 - (x - 2)
		case x < 5:
			return 0.3 * (x - 2.3)
		default:
			return 0.9 - 3*(x-5)
		}
	}
	f := Field{N: 4, All: func(x, out []float64) {
		u, v := shape(x[0]), shape(x[1])
		out[0] = u + 0.2*math.Cos(x[1])
		out[1] = u - v
		out[2] = math.Hypot(u, v)
		out[3] = u * math.Cos(3*x[1]+x[0])
	}}
	for _, rs := range [][]Ratio{{{1, 1}, {1, 1}}, {{3, 2}, {5, 7}}, {{9, 20}, {18, 43}}, {{167, 163}, {157, 151}}, {{701, 1}, {2, 1}}} {
		o := Orbit{Axes: []OrbitAxis{{Ratio: rs[0], Breaks: breaks}, {Ratio: rs[1], Breaks: breaks}}}
		got := o.Extents(f)
		low, high := samplePath(o, f, 300000)
		for q := range got {
			if low[q] < got[q].Min.Value-jump || high[q] > got[q].Max.Value+jump || got[q].Max.Value > high[q]+0.02 || got[q].Min.Value < low[q]-0.02 {
				t.Errorf("ratios %v quantity %d: samples %.9g..%.9g, reported %.9g..%.9g", rs, q, low[q], high[q], got[q].Min.Value, got[q].Max.Value)
			}
		}
	}
}

// TestOrbitBound: over all combinations, cos x + cos y + cos z reaches its full
// range, and a break's one-sided values count.
func TestOrbitBound(t *testing.T) {
	huge := Ratio{1000003, 999983}
	for k := 1; k <= 4; k++ {
		o := Orbit{Bound: true}
		for i := range k {
			o.Axes = append(o.Axes, OrbitAxis{Ratio: Ratio{huge.Num + int64(2*i), huge.Den}, Breaks: []float64{1}})
		}
		f := Field{N: 2, All: func(x, out []float64) {
			out[0], out[1] = 0, 1
			for _, v := range x {
				out[0] += math.Cos(v - 0.3)
				if v >= 1 {
					v -= 2 * math.Pi
				}
				out[1] += v // rises to 1 just before the break
			}
		}}
		got := o.Extents(f)
		want := []float64{float64(k), 1 + float64(k)}
		for q := range want {
			if e := got[q].Max; math.Abs(e.Value-want[q]) > 5*orbitNudge || !e.Bound {
				t.Errorf("%d axes quantity %d: greatest %+v, want %v", k, q, e, want[q])
			}
		}
	}
}

// TestOrbitGaps: where a quantity has no value the rest still counts.
func TestOrbitGaps(t *testing.T) {
	o := Orbit{Axes: []OrbitAxis{{Ratio: Ratio{1, 1}}, {Ratio: Ratio{0, 1}}}}
	got := o.Extents(Field{N: 2, All: func(x, out []float64) {
		out[0], out[1] = math.Sin(x[0]), math.NaN()
		if x[0] > 1 && x[0] < 2 {
			out[0] = math.NaN()
		}
	}})
	if math.Abs(got[0].Min.Value+1) > 1e-12 || math.Abs(got[0].Min.Turns-0.75) > 1e-6 || math.Abs(got[0].Max.Value-math.Sin(2)) > 1e-6 {
		t.Errorf("with a gap: %+v", got[0])
	}
	if got[1].Valid || got[1].Max.Value != 0 {
		t.Errorf("without a value: %+v", got[1])
	}
}

func BenchmarkOrbitTorus(b *testing.B) {
	f := wavyField(rand.New(rand.NewPCG(1, 1)), 2, 2)
	o := Orbit{Axes: []OrbitAxis{{Ratio: Ratio{997, 991}}, {Ratio: Ratio{983, 977}}}}
	b.ReportAllocs()
	for b.Loop() {
		o.Extents(f)
	}
}

func BenchmarkOrbitPath(b *testing.B) {
	f := wavyField(rand.New(rand.NewPCG(1, 1)), 2, 2)
	o := Orbit{Axes: []OrbitAxis{{Ratio: Ratio{9, 20}}, {Ratio: Ratio{18, 43}}}}
	b.ReportAllocs()
	for b.Loop() {
		o.Extents(f)
	}
}

// TestOrbitSides: an extreme that is not asked for stays unset, the other is the
// same.
func TestOrbitSides(t *testing.T) {
	f := wavyField(rand.New(rand.NewPCG(3, 3)), 2, 2)
	for _, rs := range [][]Ratio{{{9, 20}, {18, 43}}, {{101, 7}, {97, 6}}} {
		o := Orbit{Axes: []OrbitAxis{{Ratio: rs[0]}, {Ratio: rs[1]}}}
		f.Sides = nil
		both := o.Extents(f)
		f.Sides = []Sides{BothSides, OnlyMax, OnlyMin, OnlyMax}
		got := o.Extents(f)
		for q, side := range f.Sides {
			want := both[q]
			switch side {
			case OnlyMax:
				want.Min = Extreme{}
			case OnlyMin:
				want.Max = Extreme{}
			}
			if math.Abs(got[q].Min.Value-want.Min.Value) > 1e-12 || math.Abs(got[q].Max.Value-want.Max.Value) > 1e-12 || !got[q].Valid {
				t.Errorf("ratios %v quantity %d: got %+v, want %+v", rs, q, got[q], want)
			}
		}
	}
}

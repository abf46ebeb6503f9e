package draw

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %v, want %v within %g", what, got, want, tolerance)
	}
}

func TestRoundPath(t *testing.T) {
	p := Round(r2.Vec{X: 3, Y: -2}, 7)
	near(t, "area", p.Area(), math.Pi*49, 1e-12)
	near(t, "reversed area", p.Reverse().Area(), -math.Pi*49, 1e-12)
	near(t, "length", p.Length(), 2*math.Pi*7, 1e-12)
	b := p.Move(0.7, r2.Vec{X: 1}).Bounds()
	near(t, "width", b.Size().X, 14, 1e-12)
	near(t, "height", b.Size().Y, 14, 1e-12)
	flat := p.Flatten(0.01)
	for i, q := range flat {
		middle := r2.Scale(0.5, r2.Add(q, flat[(i+1)%len(flat)]))
		if gap := 7 - r2.Norm(r2.Sub(middle, r2.Vec{X: 3, Y: -2})); gap > 0.01+1e-12 {
			t.Fatalf("chord %d leaves the circle by %g", i, gap)
		}
	}
}

// The open belt round two discs: length and area by the textbook formulas
// L = 2√(d²−(R−r)²) + R(π+2β) + r(π−2β), sin β = (R−r)/d.
func TestHullOfTwoDiscs(t *testing.T) {
	const d, big, small = 50.0, 20.0, 8.0
	beta := math.Asin((big - small) / d)
	straight := math.Sqrt(d*d - (big-small)*(big-small))
	want := 2*straight + big*(math.Pi+2*beta) + small*(math.Pi-2*beta)
	area := straight*(big+small) + big*big*(math.Pi+2*beta)/2 + small*small*(math.Pi-2*beta)/2
	for turn := range 12 {
		sin, cos := math.Sincos(float64(turn) * math.Pi / 6)
		p := Hull([]Disc{{r2.Vec{}, big}, {r2.Vec{X: d * cos, Y: d * sin}, small}})
		near(t, "length", p.Length(), want, 1e-9)
		near(t, "area", p.Area(), area, 1e-9)
	}
}

// A hull reaches as far in every direction as the farthest disc.
func TestHullReach(t *testing.T) {
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 1))
		discs := make([]Disc, 1+rng.IntN(8))
		for i := range discs {
			discs[i] = Disc{r2.Vec{X: math.Round(rng.Float64()*8) * 10, Y: math.Round(rng.Float64()*8) * 10}, math.Round(rng.Float64()*4) * 3}
		}
		p := Hull(discs)
		turned := 0.0
		for k := range 72 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 72)
			want := math.Inf(-1)
			for _, d := range discs {
				want = max(want, d.Centre.X*cos+d.Centre.Y*sin+d.Radius)
			}
			// Turning the path brings the direction onto +u.
			got := p.Move(-2*math.Pi*float64(k)/72, r2.Vec{}).Bounds().Max.X
			near(t, "reach", got, want, 1e-6)
		}
		for _, v := range p.Vertices {
			turned += 4 * math.Atan(v.Bulge)
			if v.Bulge < 0 {
				t.Errorf("seed %d: a hull bends inward", seed)
			}
		}
		if turned > 2*math.Pi+1e-9 {
			t.Errorf("seed %d: arcs turn by %g", seed, turned)
		}
	}
}

// The arcs stay within the tolerance of an ellipse both ways: the ellipse's
// points from the arcs, and the arcs' points from the ellipse, measured by its
// implicit equation over the gradient (first-order distance).
func TestFitArcsEllipse(t *testing.T) {
	const a, b, tolerance = 30.0, 11.0, 0.01
	p, worst := FitArcs(func(t float64) (r2.Vec, r2.Vec) {
		sin, cos := math.Sincos(t)
		return r2.Vec{X: a * cos, Y: b * sin}, r2.Vec{X: -a * sin, Y: b * cos}
	}, 0, 2*math.Pi, tolerance)
	if worst > tolerance {
		t.Errorf("reported deviation %g", worst)
	}
	p.segments(func(s segment) {
		for i := range 20 {
			q := s.at(float64(i) / 20)
			f := q.X*q.X/(a*a) + q.Y*q.Y/(b*b) - 1
			gradient := 2 * math.Hypot(q.X/(a*a), q.Y/(b*b))
			if off := math.Abs(f) / gradient; off > 1.02*tolerance {
				t.Fatalf("arc leaves the ellipse by %g at %v", off, q)
			}
		}
	})
	p.Closed = true
	near(t, "area", p.Area(), math.Pi*a*b, 2*math.Pi*a*tolerance)
	if n := len(p.Vertices); n > 120 {
		t.Errorf("%d arcs", n)
	}
}

// A curve with a sharp corner in mid-piece is followed to the depth limit
// without loops.
func TestFitArcsCorner(t *testing.T) {
	p, _ := FitArcs(func(t float64) (r2.Vec, r2.Vec) {
		if t < 1.3 {
			return r2.Vec{X: t * 10}, r2.Vec{X: 1}
		}
		return r2.Vec{X: 13, Y: (t - 1.3) * 10}, r2.Vec{Y: 1}
	}, 0, 3, 0.01)
	near(t, "length", p.Length(), 30, 0.02)
}

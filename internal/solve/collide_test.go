package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/geom"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// randomCore is a point, a segment or a convex polygon.
func randomCore(r *rand.Rand, at r2.Vec) []r2.Vec {
	switch n := r.IntN(4); n {
	case 0:
		return []r2.Vec{at}
	case 1:
		return []r2.Vec{at, r2.Add(at, r2.Vec{X: r.NormFloat64() * 8, Y: r.NormFloat64() * 8})}
	default:
		var points []r2.Vec
		for range 9 {
			points = append(points, r2.Add(at, r2.Vec{X: r.NormFloat64() * 6, Y: r.NormFloat64() * 6}))
		}
		return convexHull(points)
	}
}

// rasterCore marks the cells of a grid, half a millimetre apart, that a grown
// core covers: those whose middle is nearer to it than the radius.
const rasterCell = 0.25

func covers(core []r2.Vec, radius float64, p r2.Vec) bool { return coreDistance(core, p) <= radius }

// Apart, the gap is the least distance of two rasters; overlapping, it is minus
// the least shift after which the rasters no longer share a cell.
func TestCoreGapAgainstRaster(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	for trial := range 60 {
		p, q := randomCore(r, r2.Vec{}), randomCore(r, r2.Vec{X: r.Float64() * 40, Y: r.Float64() * 10})
		pr, qr := r.Float64()*4, 1+r.Float64()*4
		gap := coreGap(p, pr, q, qr)
		if back := coreGap(q, qr, p, pr); math.Abs(back-gap) > 1e-9 {
			t.Fatalf("trial %d: %g one way, %g the other", trial, gap, back)
		}
		var a, b []r2.Vec
		for x := -30.0; x < 75; x += rasterCell {
			for y := -40.0; y < 50; y += rasterCell {
				cell := r2.Vec{X: x, Y: y}
				if covers(p, pr, cell) {
					a = append(a, cell)
				}
				if covers(q, qr, cell) {
					b = append(b, cell)
				}
			}
		}
		if len(a) == 0 {
			continue // thinner than the raster
		}
		if gap > 0 {
			least := math.Inf(1)
			for _, c := range b {
				least = min(least, coreDistance(p, c)-pr)
			}
			if least < gap-1e-9 || least > gap+rasterCell {
				t.Errorf("trial %d: gap %g, by raster %g", trial, gap, least)
			}
			continue
		}
		shift := math.Inf(1)
		for k := range 180 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 180)
			n := r2.Vec{X: cos, Y: sin}
			// How far q must go along n to lie wholly beyond p: convex bodies part
			// along the normal of the line between them.
			need := math.Inf(-1)
			for _, c := range a {
				need = max(need, r2.Dot(c, n))
			}
			low := math.Inf(1)
			for _, c := range b {
				low = min(low, r2.Dot(c, n))
			}
			shift = min(shift, need-low)
		}
		if math.Abs(shift+gap) > 3*rasterCell {
			t.Errorf("trial %d: overlap %g, by raster %g", trial, -gap, shift)
		}
	}
}

// testRim is a star-shaped outline with lobes.
func testRim(lobes, depth float64) *frameRim {
	const n = 360
	r := &frameRim{corners: make([]r2.Vec, n), radii: make([]float64, n), sense: 1}
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		rho := 20 + depth*math.Cos(lobes*a) + 1.5*math.Sin(2*a)
		sin, cos := math.Sincos(a)
		r.corners[i], r.radii[i] = r2.Vec{X: rho * cos, Y: rho * sin}, rho
		if rho > r.greatest {
			r.greatest, r.farthest = rho, r.corners[i]
		}
	}
	return r
}

// outlineOf returns a rim's corners in the view.
func outlineOf(p *rimPose) []r2.Vec {
	out := make([]r2.Vec, len(p.corners))
	for i, c := range p.corners {
		out[i] = p.world(c)
	}
	return out
}

// bruteGap is the distance of two outlines by every corner against every edge,
// negative by the deepest corner where one reaches into the other.
func bruteGap(p, q []r2.Vec) float64 {
	gap := math.Inf(1)
	for pass := range 2 {
		a, b := p, q
		if pass == 1 {
			a, b = q, p
		}
		for _, c := range a {
			d := r2.Norm(r2.Sub(nearestOf(b, c), c))
			if insideOutline(b, c) {
				d = -d
			}
			gap = min(gap, d)
		}
	}
	return gap
}

// Searches that cut corners short find the same as those that do not.
func TestRimGapsAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	for trial := range 200 {
		pose := func(rim *frameRim, at r2.Vec) *rimPose {
			sin, cos := math.Sincos(r.Float64() * 7)
			return &rimPose{rim, at, sin, cos}
		}
		a := pose(testRim(float64(1+r.IntN(5)), 6*r.Float64()), r2.Vec{})
		away := 15 + 45*r.Float64()
		sin, cos := math.Sincos(r.Float64() * 7)
		at := r2.Vec{X: away * cos, Y: away * sin}
		b := pose(testRim(float64(1+r.IntN(4)), 5*r.Float64()), at)
		want := bruteGap(outlineOf(a), outlineOf(b))
		if got := rimRimGap(a, b, math.Inf(-1)); math.Abs(got-want) > 1e-9 {
			t.Errorf("trial %d: rims %g apart, by brute force %g", trial, got, want)
		}
		enough := -4 * r.Float64()
		if got := rimRimGap(a, b, enough); want > enough+1e-9 && math.Abs(got-want) > 1e-9 || want < enough-1e-9 && (got > enough || got < want-1e-9) {
			t.Errorf("trial %d: rims %g apart down to %g, by brute force %g", trial, got, enough, want)
		}
		core := randomCore(r, at)
		radius := 3 * r.Float64()
		got := rimCoreGap(a, core, radius, math.Inf(-1))
		outline := outlineOf(a)
		want = math.Inf(1)
		for _, c := range core {
			d := r2.Norm(r2.Sub(nearestOf(outline, c), c))
			if insideOutline(outline, c) {
				d = -d
			}
			want = min(want, d)
		}
		for _, c := range outline {
			want = min(want, coreDistance(core, c))
		}
		if math.Abs(got-(want-radius)) > 1e-9 {
			t.Errorf("trial %d: rim and core %g apart, by brute force %g", trial, got, want-radius)
		}
		got, want = rimCoreGap(a, core, radius, enough), want-radius
		if len(core) > 1 && (want > enough+1e-9 && math.Abs(got-want) > 1e-9 || want < enough-1e-9 && (got > enough || got < want-1e-9)) {
			t.Errorf("trial %d: rim and core %g apart down to %g, by brute force %g", trial, got, enough, want)
		}
	}
}

func box(view geom.View, a, b r2.Vec, low, high float64) frameBody {
	core := []r2.Vec{a, {X: b.X, Y: a.Y}, b, {X: a.X, Y: b.Y}}
	return frameBody{kind: bodyPrism, view: view, low: low, high: high, core: core}
}

// Blocks apart by closed form: the root of the squares of the gaps along the
// axes. The same blocks are written in different views.
func TestConvexDistanceOfBlocks(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for trial := range 300 {
		var low, high [2]r3.Vec
		var bodies [2]frameBody
		for i := range bodies {
			at := r3.Vec{X: r.Float64() * 30, Y: r.Float64() * 30, Z: r.Float64() * 30}
			low[i], high[i] = at, r3.Add(at, r3.Vec{X: 1 + 9*r.Float64(), Y: 1 + 9*r.Float64(), Z: 1 + 9*r.Float64()})
			view := geom.Views[r.IntN(3)]
			a, from := view.Project(low[i])
			b, to := view.Project(high[i])
			bodies[i] = box(view, a, b, from, to)
		}
		gap := r3.Vec{
			X: max(low[0].X-high[1].X, low[1].X-high[0].X, 0),
			Y: max(low[0].Y-high[1].Y, low[1].Y-high[0].Y, 0),
			Z: max(low[0].Z-high[1].Z, low[1].Z-high[0].Z, 0),
		}
		if got, want := convexDistance(&bodies[0], &bodies[1]), r3.Norm(gap); math.Abs(got-want) > 1e-6 {
			t.Errorf("trial %d: %g, want %g", trial, got, want)
		}
		if got := frameGap(&bodies[0], &bodies[1]); r3.Norm(gap) > 0 && math.Abs(got-r3.Norm(gap)) > 1e-6 || r3.Norm(gap) == 0 && got > 0 {
			t.Errorf("trial %d: gap %g, want %g", trial, got, r3.Norm(gap))
		}
	}
}

// Thin triangles of support points cost digits: distances of round bodies are
// good to a hundredth of a micrometre, others to a thousandth.
//
// Two long shafts in different views pass each other at the distance of their
// axes less their radii; a leaning rod and balls against segments by closed form.
func TestConvexDistanceOfRoundBodies(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for trial := range 200 {
		plan := frameBody{view: geom.Plan, low: -200, high: 200, radius: 1 + 4*r.Float64(), core: []r2.Vec{{X: 20 * r.Float64(), Y: 20 * r.Float64()}}}
		front := frameBody{view: geom.Front, low: -200, high: 200, radius: 1 + 4*r.Float64(), core: []r2.Vec{{X: 30 + 20*r.Float64(), Y: 20 * r.Float64()}}}
		want := front.core[0].X - plan.core[0].X - plan.radius - front.radius
		if got := convexDistance(&plan, &front); want > 0 && math.Abs(got-want) > 1e-6 {
			t.Errorf("trial %d: shafts %g apart, want %g", trial, got, want)
		}
		a := r3.Vec{X: r.Float64() * 20, Y: r.Float64() * 20, Z: r.Float64() * 20}
		b := r3.Add(a, r3.Vec{X: 10 + r.Float64()*20, Y: r.Float64() * 20, Z: r.Float64() * 20})
		rod := frameBody{kind: bodyRod, a: a, b: b, radius: 2}
		// A ball beside the middle of the rod, straight out.
		out := r3.Unit(r3.Cross(r3.Sub(b, a), r3.Vec{X: 0.3, Y: 1, Z: 0.2}))
		ball := frameBody{kind: bodyHull, radius: 3, points: []r3.Vec{r3.Add(r3.Scale(0.5, r3.Add(a, b)), r3.Scale(5+10*r.Float64(), out))}}
		want = r3.Norm(r3.Sub(ball.points[0], r3.Scale(0.5, r3.Add(a, b)))) - 2
		// The ball's own roundness is in the support, so the search meets it too.
		if got := convexDistance(&rod, &ball); want-3 > 0 && math.Abs(got-(want-3)) > 1e-6 {
			t.Errorf("trial %d: rod and ball %g apart, want %g", trial, got, want-3)
		}
		// Beyond a flat end, straight out along the axis.
		along := r3.Unit(r3.Sub(b, a))
		ball.points[0] = r3.Add(b, r3.Scale(9, along))
		if got := convexDistance(&rod, &ball); math.Abs(got-6) > 1e-5 {
			t.Errorf("trial %d: rod's end and ball %g apart, want 6", trial, got)
		}
	}
}

// An upright rod beside a disc by its heights, and leaning by its section.
func TestRodGap(t *testing.T) {
	disc := frameBody{kind: bodyPrism, view: geom.Plan, low: 0, high: 10, radius: 5, core: []r2.Vec{{X: 20}}}
	for _, c := range []struct {
		name       string
		foot, head r3.Vec
		want       float64
	}{
		{"upright beside it", r3.Vec{Z: -20}, r3.Vec{Z: 40}, 20 - 5 - 2},
		{"upright above it", r3.Vec{X: 20, Z: 14}, r3.Vec{X: 20, Z: 40}, 4},
		{"above and beside", r3.Vec{X: 9, Z: 13}, r3.Vec{X: 9, Z: 40}, 5},
		{"through it", r3.Vec{X: 20, Z: -20}, r3.Vec{X: 20, Z: 40}, -7},
	} {
		rod := frameBody{kind: bodyRod, a: c.foot, b: c.head, radius: 2}
		if got := frameGap(&rod, &disc); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
	// Leaning 3 in 40 toward it: nearest at the disc's upper face, where the axis
	// stands 20 − 15·3/40 ... off; the section's half axis is 2/cos.
	rod := frameBody{kind: bodyRod, a: r3.Vec{Z: -20}, b: r3.Vec{X: 3, Z: 20}, radius: 2}
	cos := 40 / math.Hypot(40, 3)
	want := 20 - 3*30.0/40 - 5 - 2/cos
	if got := frameGap(&rod, &disc); math.Abs(got-want) > 1e-9 {
		t.Errorf("leaning: %g, want %g", got, want)
	}
}

package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"understage/internal/mech"
)

// camRandom is a random cam that its follower can ride on.
func camRandom(r *rand.Rand) (*mech.Cam, float64) {
	var followers []*mech.Follower
	for _, name := range []string{"knife", "knife offset", "roller", "roller right", "roller left", "flat", "swing roller", "swing roller right", "swing knife", "swing flat", "swing flat right"} {
		followers = append(followers, camVariety()[name])
	}
	followers = append(followers, &mech.Follower{Kind: mech.Roller, Radius: 3, Path: mech.Axial, TrackRadius: 25})
	f := followers[r.IntN(len(followers))]
	k := 1.0
	if f.Swings() {
		k = 1.0 / 45
	}
	cam := &mech.Cam{Base: 22, Follower: f}
	cam.Shape.Kind = mech.ShapeKind(r.IntN(5))
	switch cam.Shape.Kind {
	case mech.ShapeWaves:
		for range 1 + r.IntN(4) {
			n := 1 + r.IntN(9)
			cam.Shape.Waves = append(cam.Shape.Waves, mech.Wave{PerTurn: n, Amplitude: 4 * k * r.Float64() / float64(n), At: 7 * r.Float64()})
		}
	case mech.ShapeMotion:
		cam.Shape.Segments = camRandomSegments(r, k)
	case mech.ShapeThrough, mech.ShapeMeasured:
		n := 3 + r.IntN(20)
		points := make([]mech.Point, n)
		for i := range points {
			points[i] = mech.Point{Angle: (float64(i) + 0.5*r.Float64()) * 2 * math.Pi / float64(n), Value: 8 * k * r.Float64() / math.Sqrt(float64(n))}
		}
		cam.Shape.Points = points
		if cam.Shape.Kind == mech.ShapeMeasured {
			for i := range points {
				points[i].Value = points[i].Value/k + 20
			}
			cam.Shape.Points, cam.Shape.Rim = nil, points
			if f.Path == mech.Axial {
				f.Path, f.TrackRadius = mech.Straight, 0
			}
		}
	case mech.ShapeEccentric:
		cam.Shape.Eccentric = mech.Eccentric{DiscRadius: 20, Offset: 6 * r.Float64()}
		if f.Path == mech.Axial {
			f.Path, f.TrackRadius = mech.Straight, 0
		}
	}
	return cam, float64(2*r.IntN(2) - 1)
}

func camRandomSegments(r *rand.Rand, k float64) []mech.Segment {
	var segments []mech.Segment
	left, lift := 2*math.Pi, 0.0
	for left > 1.2 {
		over := min(left-0.6, 0.5+1.5*r.Float64())
		rise := 0.0
		if r.IntN(4) > 0 {
			rise = k * 8 * (r.Float64() - 0.5)
		}
		segments = append(segments, mech.Segment{Rise: rise, Over: over, Law: mech.Laws[r.IntN(len(mech.Laws))]})
		left -= over
		lift += rise
	}
	if r.IntN(5) == 0 {
		return append(segments, mech.Segment{Over: left}, mech.Segment{Rise: -lift})
	}
	return append(segments, mech.Segment{Rise: -lift, Over: left, Law: mech.Laws[1+r.IntN(len(mech.Laws)-1)]})
}

// Dense sampling never passes a reported extreme, and comes within 1e-6 of it.
func TestExtremesAgainstSampling(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	trials := 400
	if testing.Short() {
		trials = 60
	}
	for trial := range trials {
		cam, sense := camRandom(r)
		c := CompileCam(cam, 0, sense)
		if c.Status != CamSolved {
			t.Fatalf("trial %d: status %v of %+v", trial, c.Status, cam)
		}
		c.flatness = 1.7
		s := c.search(camLift, camFallNeed)
		var low, high [camQuantities]float64
		for q := range low {
			low[q], high[q] = math.Inf(1), math.Inf(-1)
		}
		for i := range c.spans {
			from, to := c.spans[i].from, c.spanEnd(i)
			n := max(20, int((to-from)*3000))
			for j := range n + 1 {
				var p camProbe
				c.probe(i, from+(to-from)*float64(j)/float64(n), camFallNeed, &p)
				for q := range p.value {
					low[q], high[q] = min(low[q], p.value[q]), max(high[q], p.value[q])
				}
			}
		}
		for q := range camQuantities {
			e := s.extent[q]
			scale := math.Max(1, math.Max(math.Abs(low[q]), math.Abs(high[q])))
			if high[q] > e.Max.Value+1e-11*scale || low[q] < e.Min.Value-1e-11*scale {
				t.Errorf("trial %d (%v, %+v), quantity %d: sampled %.12g … %.12g passes %.12g … %.12g", trial, cam.Shape.Kind, *cam.Follower, q, low[q], high[q], e.Min.Value, e.Max.Value)
			}
			width := e.Max.Value - e.Min.Value
			if high[q] < e.Max.Value-1e-5*width || low[q] > e.Min.Value+1e-5*width {
				t.Errorf("trial %d (%v, %+v), quantity %d: sampled %.12g … %.12g falls short of %.12g … %.12g", trial, cam.Shape.Kind, *cam.Follower, q, low[q], high[q], e.Min.Value, e.Max.Value)
			}
		}
	}
}

// The slopes that lead to the extremes are those of the values.
func TestProbeSlopes(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for trial := range 300 {
		cam, sense := camRandom(r)
		c := CompileCam(cam, 0, sense)
		c.flatness = 1.7
		i := r.IntN(len(c.spans))
		phi := c.spans[i].from + (0.1+0.8*r.Float64())*(c.spanEnd(i)-c.spans[i].from)
		const h = 1e-6
		var a, p, b camProbe
		c.probe(i, phi-h, camFallNeed, &a)
		c.probe(i, phi, camFallNeed, &p)
		c.probe(i, phi+h, camFallNeed, &b)
		for q := range camQuantities {
			got := (b.value[q] - a.value[q]) / (2 * h)
			if math.Abs(got-p.slope[q]) > 2e-5*(1+math.Abs(p.slope[q])+math.Abs(p.value[q])) {
				t.Errorf("trial %d (%v, %+v), quantity %d: slope %v, finite difference %v", trial, cam.Shape.Kind, *cam.Follower, q, p.slope[q], got)
			}
		}
	}
}

func BenchmarkAnalyseCam(b *testing.B) {
	straight := &mech.Follower{Kind: mech.Roller, Radius: 3, Offset: 2}
	swing := &mech.Follower{Kind: mech.Roller, Radius: 4, Path: mech.Swing, Pivot: r2.Vec{X: 50}, Arm: 45}
	rim := make([]mech.Point, 24)
	for i := range rim {
		rim[i] = mech.Point{Angle: float64(i) * 15 * camDeg, Value: 20 + math.Sin(float64(i*i))}
	}
	for _, c := range []struct {
		name string
		cam  mech.Cam
	}{
		{"motion", mech.Cam{Base: 20, Shape: camProgramT(), Follower: straight}},
		{"waves", mech.Cam{Base: 20, Shape: camGentle(false), Follower: straight}},
		{"swing", mech.Cam{Base: 20, Shape: camProgramW(), Follower: swing}},
		{"measured", mech.Cam{Shape: mech.Shape{Kind: mech.ShapeMeasured, Rim: rim}, Follower: straight}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				camSink = AnalyseCam(CompileCam(&c.cam, 0, 1), 30*camDeg).PeakPressure.Value
			}
		})
	}
}

// A whole turn at 3600 angles: lift, rim, pressure angle, radius.
func BenchmarkCamTurn(b *testing.B) {
	c := CompileCam(&mech.Cam{Base: 20, Shape: camProgramT(), Follower: &mech.Follower{Kind: mech.Roller, Radius: 3}}, 0, 1)
	b.ReportAllocs()
	for b.Loop() {
		camSink = AnalyseCam(c, 30*camDeg).PeakPressure.Value
		for i := range 3600 {
			phi := float64(i) * math.Pi / 1800
			l := c.Lift(phi)
			k := c.ContactAt(phi, l)
			camSink += l.J + k.Rim.X + k.Radius
		}
	}
}

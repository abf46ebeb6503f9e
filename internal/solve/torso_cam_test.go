package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// jointed gives both cams motions with joints: dwells, jumps of acceleration and
// velocity, or a measured rim of many points.
func (c *torsoCase) jointed(r *rand.Rand, points int) {
	for i := range c.m.Cams {
		cam := &c.m.Cams[i]
		if points > 0 {
			cam.Shape = mech.Shape{Kind: mech.ShapeThrough}
			for k := range points {
				at := 2 * math.Pi * float64(k) / float64(points)
				cam.Shape.Points = append(cam.Shape.Points, mech.Point{Angle: at, Value: 5 + 4*math.Cos(at) + 0.02*r.Float64()})
			}
			continue
		}
		laws := [][2]mech.Law{{mech.ModifiedSine, mech.Polynomial345}, {mech.Parabolic, mech.Harmonic}, {mech.ModifiedTrapezoid, mech.Cycloidal}}[r.IntN(3)]
		first, dwell := 1.2+1.5*r.Float64(), 0.8*r.Float64()
		cam.Shape = mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
			{Rise: 10, Over: first, Law: laws[0]}, {Over: dwell}, {Rise: -10, Over: 2*math.Pi - first - dwell, Law: laws[1]},
		}}
	}
	c.cams = CompileCams(c.m, c.d)
}

// TestTorsoExtremesOfJointedCams is TestTorsoExtremes with cams whose motion has
// joints.
func TestTorsoExtremesOfJointedCams(t *testing.T) {
	const count = 10000
	for seed := range uint64(draws(9)) {
		points := []int{0, 0, 24, 0, 100}[seed%5]
		for _, kinds := range [][2]mech.PushKind{pushPairs[0], pushPairs[1]} {
			r := rand.New(rand.NewPCG(seed, 400))
			c := torsoModel(kinds)
			c.vary(r)
			c.d.Ratios[1], c.d.Ratios[2] = reduced(int64(5+r.IntN(30)), 31), reduced(-int64(5+r.IntN(30)), int64(7+30*r.IntN(2)))
			c.jointed(r, points)
			torso := c.torso()
			result := SolveTorso(c.m, torso, false, 1)
			if result.Status != TorsoPosed {
				t.Fatalf("seed %d %v: status %d", seed, kinds, result.Status)
			}
			list := torsoReported(c, result)
			repeat := orbitRepeat(torso.Orbit())
			var po TorsoPose
			worst := map[string]float64{}
			for i := range count {
				turns := repeat * (float64(i) + 0.37) / count
				torso.Pose(turns, &po)
				for _, q := range list {
					v := q.value(&po)
					if q.low != nil {
						worst[q.name] = max(worst[q.name], (q.low.Value-v)/(1+math.Abs(v)))
					}
					if q.high != nil {
						worst[q.name] = max(worst[q.name], (v-q.high.Value)/(1+math.Abs(v)))
					}
				}
			}
			for name, by := range worst {
				if by > 1e-6 {
					t.Errorf("seed %d %v, %d points: %s sampled %.3g beyond the extreme", seed, kinds, points, name, by)
				}
			}
			for _, q := range list {
				for _, e := range []*Extreme{q.low, q.high} {
					if e == nil {
						continue
					}
					// At a jump the extreme holds on one side of the turn given.
					near := math.Inf(1)
					for _, side := range []float64{-1, 0, 1} {
						torso.Pose(e.Turns+side*1e-7, &po)
						near = min(near, math.Abs(q.value(&po)-e.Value))
					}
					if near > 1e-5*(1+math.Abs(e.Value)) {
						t.Errorf("seed %d %v: %s %.9g is not met at turn %.12g, off by %.3g", seed, kinds, q.name, e.Value, e.Turns, near)
					}
				}
			}
		}
	}
}

// TestEdgePress: pushing the rim out by δ lifts the weight; by virtual work the
// force in the plan is ∂V/∂δ.
func TestEdgePress(t *testing.T) {
	for _, kinds := range [][2]mech.PushKind{{mech.Edge, mech.Edge}, {mech.Edge, mech.Yoke}, {mech.Edge, mech.Rod}} {
		c := torsoModel(kinds)
		c.m.Torso.Mass = mech.Given{Value: 0.18, OK: true}
		c.m.Torso.CentreOfMass, c.m.Torso.CentreGiven = c.m.Torso.Points[1].At, true
		weight := newTorsoWeight(c.m, 0)
		for _, x := range [][]float64{{0.3, 1}, {2, 4}, {5, 3}} {
			torso := c.torso()
			var po TorsoPose
			torso.PoseAt(x, &po, 2)
			got := torso.press(x, &po, &weight, 0)
			potential := func(out float64) float64 {
				prime := torso.pushes[0].cam.prime
				torso.pushes[0].cam.prime += out
				var po TorsoPose
				torso.PoseAt(x, &po, 0)
				torso.pushes[0].cam.prime = prime
				return 0.18 * freeFall * po.Turn(c.m.Torso.CentreOfMass).Z
			}
			var s [2]pushState
			torso.drive(x, &s, 0)
			row := torso.pushes[0].row(&s[0], po.p, po.q)
			nx, ny := -row.fp/140, -row.fq/140
			size := math.Sqrt(nx*nx + ny*ny + math.Pow(po.p*nx+po.q*ny, 2)) // square to the shaft
			want := (potential(1e-4) - potential(-1e-4)) / 2e-4 * size
			if math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
				t.Errorf("%v at %v: %.9g N, virtual work says %.9g N", kinds, x, got, want)
			}
		}
	}
}

// TestEdgePressSpring: a spring adds its force, and with it alone the weight is
// left out.
func TestEdgePressSpring(t *testing.T) {
	c := torsoModel([2]mech.PushKind{mech.Edge, mech.Yoke})
	c.m.Cams[0].Load = mech.CamLoad{SpringPreload: mech.Given{Value: 2, OK: true}, SpringRate: mech.Given{Value: 0.1, OK: true}}
	r := SolveTorso(c.m, c.torso(), false, 1)
	low := c.cams[0].LiftRange().Min.Value
	if !r.Pushes[0].PressKnown || math.Abs(r.Pushes[0].Press.Value-(2+0.1*low)) > 1e-9 || r.Pushes[1].PressKnown {
		t.Errorf("press %+v, want %g N", r.Pushes[0], 2+0.1*low)
	}
}

// TestEdgeOnCamWithFollower: the shaft rides on the rim that was drawn for
// another follower, so its surface touches that rim.
func TestEdgeOnCamWithFollower(t *testing.T) {
	for _, f := range []mech.Follower{
		{Kind: mech.Roller, Radius: 3, Heading: math.Pi},
		{Kind: mech.Roller, Radius: 5, Heading: math.Pi, Offset: 4},
		{Kind: mech.Flat, Heading: math.Pi + 0.4},
		{Kind: mech.Knife, Heading: math.Pi},
	} {
		c := torsoModel([2]mech.PushKind{mech.Edge, mech.Yoke})
		c.m.Cams[0].Follower = &f
		c.m.Cams[0].Shape.Waves = []mech.Wave{{PerTurn: 1, Amplitude: 3}, {PerTurn: 2, Amplitude: 0.5, At: 1}}
		c.cams = CompileCams(c.m, c.d)
		torso := c.torso()
		for _, turns := range []float64{0, 0.7, 1.9} {
			var po TorsoPose
			torso.Pose(turns, &po)
			if po.Status != TorsoPosed {
				t.Fatalf("%v: status %d", f, po.Status)
			}
			at := r2.Vec{X: -140 * po.p, Y: -140 * po.q}
			axis := c.m.Shafts[1].At
			mark := f.Heading + 2*math.Pi*9.0/20*turns + c.m.Cams[0].Phase
			near := math.Inf(1)
			for i := range 50000 {
				rim := c.cams[0].Contact(2 * math.Pi * float64(i) / 50000).Rim
				near = min(near, r2.Norm(r2.Sub(r2.Add(axis, r2.Rotate(rim, mark, r2.Vec{})), at)))
			}
			if math.Abs(near-3) > 1e-4 {
				t.Errorf("%v turn %g: the rim comes within %.7g of the shaft's axis, want its radius 3", f, turns, near)
			}
		}
	}
}

// TestTorsoBigGrid: two motions through many points make a grid that is kept in
// parts.
func TestTorsoBigGrid(t *testing.T) {
	if testing.Short() {
		t.Skip("many poses")
	}
	c := torsoModel(pushPairs[0])
	c.jointed(rand.New(rand.NewPCG(1, 1)), 150)
	c.d.Ratios[1], c.d.Ratios[2] = Ratio{997, 100}, Ratio{983, 100}
	torso := c.torso()
	r := SolveTorso(c.m, torso, false, 1)
	var po TorsoPose
	repeat := orbitRepeat(torso.Orbit())
	for i := range 50000 {
		torso.Pose(repeat*float64(i)/50000, &po)
		if po.Twist() > r.Twist.Max.Value+1e-9 || po.Twist() < r.Twist.Min.Value-1e-9 {
			t.Fatalf("twist %g beyond %g..%g", po.Twist(), r.Twist.Min.Value, r.Twist.Max.Value)
		}
	}
}

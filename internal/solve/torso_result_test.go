package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// torsoReport is an extent that a result reports; low or high is nil where only
// the other extreme is.
type torsoReport struct {
	name      string
	low, high *Extreme
	value     func(po *TorsoPose) float64
}

// torsoReported lists what a result reports, with the value each stands for at a
// pose, worked out from the pose and the spec alone.
func torsoReported(c *torsoCase, r *TorsoResult) []torsoReport {
	both := func(name string, e *Extent, f func(po *TorsoPose) float64) torsoReport {
		return torsoReport{name, &e.Min, &e.Max, f}
	}
	tp := c.m.Torso
	list := []torsoReport{
		both("lean", &r.Lean, (*TorsoPose).Lean),
		both("nod", &r.Nod, (*TorsoPose).Nod),
		both("twist", &r.Twist, (*TorsoPose).Twist),
		both("slot", &r.Slot, (*TorsoPose).Slot),
		{"tilt", nil, &r.Tilt, func(po *TorsoPose) float64 { return math.Acos(po.Axis().Z) }},
		{"turning", nil, &r.Turning, func(po *TorsoPose) float64 { return r3.Norm(po.AngularVelocity()) }},
		{"turning rise", nil, &r.TurningRise, func(po *TorsoPose) float64 { return r3.Norm(po.AngularAcceleration()) }},
	}
	for i := range tp.Points {
		p, at := &r.Points[i], tp.Points[i].At
		place := func(po *TorsoPose) r3.Vec { return r3.Add(r3.Vec{Z: tp.Pivot}, po.Turn(at)) }
		list = append(list,
			both("x", &p.X, func(po *TorsoPose) float64 { return place(po).X }),
			both("y", &p.Y, func(po *TorsoPose) float64 { return place(po).Y }),
			both("z", &p.Z, func(po *TorsoPose) float64 { return place(po).Z }),
			torsoReport{"speed", nil, &p.Speed, func(po *TorsoPose) float64 { return r3.Norm(po.Velocity(at)) }},
			torsoReport{"acceleration", nil, &p.Acceleration, func(po *TorsoPose) float64 { return r3.Norm(po.Acceleration(at)) }},
		)
	}
	for i := range r.Clearances {
		cl := &r.Clearances[i]
		at, radius := tp.Points[cl.Point].At, tp.Points[cl.Point].Radius
		list = append(list, torsoReport{"clearance", &cl.Gap, nil, func(po *TorsoPose) float64 {
			place := r3.Add(r3.Vec{Z: tp.Pivot}, po.Turn(at))
			if cl.Obstacle == mech.None {
				return place.Z - radius
			}
			return ObstacleDistance(place, &tp.KeepClear[cl.Obstacle]) - radius
		}})
	}
	return list
}

// TestTorsoExtremes samples random figures along the path: never above a
// reported extreme, and posed at the turns an extreme gives, within 1e-6 of it.
// Every other figure has thousands of turns to a repeat.
func TestTorsoExtremes(t *testing.T) {
	const count = 8000
	for k, kinds := range pushPairs {
		for seed := range uint64(draws(6)) {
			r := rand.New(rand.NewPCG(seed, uint64(200+k)))
			c := torsoModel(kinds)
			c.vary(r)
			if seed%2 == 1 {
				c.d.Ratios[1], c.d.Ratios[2] = reduced(int64(40+r.IntN(60)), 61), reduced(-int64(40+r.IntN(60)), 89)
				c.cams = CompileCams(c.m, c.d)
			}
			result := SolveTorso(c.m, c.torso(), false, 1)
			if result.Status != TorsoPosed {
				t.Fatalf("%v seed %d: status %d at %g", kinds, seed, result.Status, result.FailsAt)
			}
			torso := c.torso()
			list := torsoReported(c, result)
			repeat := orbitRepeat(torso.Orbit())
			var po TorsoPose
			for i := range count {
				torso.Pose(repeat*float64(i)/count, &po)
				for _, q := range list {
					v := q.value(&po)
					tolerance := 1e-9 * (1 + math.Abs(v))
					if q.name == "tilt" {
						tolerance = 1e-7 // acos near 1
					}
					if q.low != nil && v < q.low.Value-tolerance || q.high != nil && v > q.high.Value+tolerance {
						t.Fatalf("%v seed %d: %s is %.12g at turn %.9g of %.9g, reported %+v %+v", kinds, seed, q.name, v, repeat*float64(i)/count, repeat, q.low, q.high)
					}
				}
			}
			for _, q := range list {
				for _, e := range []*Extreme{q.low, q.high} {
					if e == nil {
						continue
					}
					torso.Pose(e.Turns, &po)
					if v := q.value(&po); math.Abs(v-e.Value) > 1e-6*(1+math.Abs(v)) || e.Bound || e.Turns < 0 || e.Turns >= repeat {
						t.Errorf("%v seed %d: %s %.12g at turn %.12g, there it is %.12g", kinds, seed, q.name, e.Value, e.Turns, v)
					}
				}
			}
		}
	}
}

// TestTorsoBound: over all combinations nothing is less extreme than along any
// path.
func TestTorsoBound(t *testing.T) {
	for _, kinds := range pushPairs {
		c := torsoModel(kinds)
		path, bound := SolveTorso(c.m, c.torso(), false, 1), SolveTorso(c.m, c.torso(), true, 1)
		a, b := torsoReported(c, path), torsoReported(c, bound)
		for i := range a {
			if a[i].low != nil && (b[i].low.Value > a[i].low.Value+1e-9 || !b[i].low.Bound) {
				t.Errorf("%v %s: least %.9g on the path, bound %+v", kinds, a[i].name, a[i].low.Value, b[i].low)
			}
			if a[i].high != nil && (b[i].high.Value < a[i].high.Value-1e-9 || b[i].high.Value > a[i].high.Value+0.2*math.Abs(a[i].high.Value)+0.01) {
				t.Errorf("%v %s: greatest %.9g on the path, bound %+v", kinds, a[i].name, a[i].high.Value, b[i].high)
			}
		}
	}
}

// mirrored is the figure seen in a mirror at x = 0: shafts turn the other way.
func (c *torsoCase) mirrored() *torsoCase {
	m := *c.m
	tp := *m.Torso
	m.Torso = &tp
	flip2 := func(v r2.Vec) r2.Vec { return r2.Vec{X: -v.X, Y: v.Y} }
	m.Shafts = append([]mech.Shaft(nil), m.Shafts...)
	for i := range m.Shafts {
		m.Shafts[i].At = flip2(m.Shafts[i].At)
	}
	m.Cams = append([]mech.Cam(nil), m.Cams...)
	for i := range m.Cams {
		if f := m.Cams[i].Follower; f != nil {
			g := *f
			g.Heading, g.Offset = math.Pi-g.Heading, -g.Offset
			m.Cams[i].Follower = &g
		}
	}
	for i := range tp.Pushes {
		p := &tp.Pushes[i]
		p.Along = flip2(p.Along)
		p.Crank.Phase = math.Pi - p.Crank.Phase
	}
	tp.Guide.Pin = flip2(tp.Guide.Pin)
	tp.Points = append([]mech.TorsoPoint(nil), tp.Points...)
	for i := range tp.Points {
		tp.Points[i].At.X = -tp.Points[i].At.X
	}
	tp.KeepClear = append([]mech.Obstacle(nil), tp.KeepClear...)
	for i := range tp.KeepClear {
		o := &tp.KeepClear[i]
		o.Box.Min.X, o.Box.Max.X = -o.Box.Max.X, -o.Box.Min.X
		o.Cylinder.At.X = -o.Cylinder.At.X
	}
	tp.Stage.Opening.At.X = -tp.Stage.Opening.At.X
	motor := *m.Motor
	if motor.Sense == mech.Clockwise {
		motor.Sense = mech.CounterClockwise
	} else {
		motor.Sense = mech.Clockwise
	}
	m.Motor = &motor
	return &torsoCase{m: &m, d: c.d, cams: CompileCams(&m, c.d)}
}

// TestTorsoMirror: a mirrored figure leans and twists the other way, and nothing
// else changes.
func TestTorsoMirror(t *testing.T) {
	for k, kinds := range pushPairs {
		c := torsoModel(kinds)
		c.vary(rand.New(rand.NewPCG(uint64(k), 300)))
		c.m.Torso.Stage.Opening.At = r2.Vec{X: 3, Y: -2}
		a, b := SolveTorso(c.m, c.torso(), false, 1), func() *TorsoResult {
			n := c.mirrored()
			return SolveTorso(n.m, n.torso(), false, 1)
		}()
		for _, v := range []struct {
			name      string
			got, want float64
		}{
			{"lean", b.Lean.Max.Value, -a.Lean.Min.Value}, {"nod", b.Nod.Max.Value, a.Nod.Max.Value},
			{"twist", b.Twist.Min.Value, -a.Twist.Max.Value}, {"slot", b.Slot.Max.Value, a.Slot.Max.Value},
			{"x", b.Points[1].X.Min.Value, -a.Points[1].X.Max.Value}, {"speed", b.Points[1].Speed.Value, a.Points[1].Speed.Value},
			{"acceleration", b.Points[0].Acceleration.Value, a.Points[0].Acceleration.Value},
			{"gap", b.Clearances[4].Gap.Value, a.Clearances[4].Gap.Value}, {"opening", b.Opening.Circle.Value, a.Opening.Circle.Value},
			{"gain", b.Gain.PerNod, -a.Gain.PerNod}, {"gain", b.Gain.PerLean, a.Gain.PerLean},
			{"plate", b.Pushes[0].Plate.Value, a.Pushes[0].Plate.Value},
		} {
			want := v.want
			if v.name == "gain" { // a mirrored lean and a mirrored twist both change sign
				want = map[bool]float64{true: -a.Gain.PerNod, false: a.Gain.PerLean}[v.want == -a.Gain.PerNod]
			}
			if math.Abs(v.got-want) > 1e-8*(1+math.Abs(want)) {
				t.Errorf("%v: mirrored %s %.12g, want %.12g", kinds, v.name, v.got, want)
			}
		}
	}
}

// TestTorsoOpening draws the shaft's section at both faces as points on the
// tilted cylinder and measures it.
func TestTorsoOpening(t *testing.T) {
	c := torsoModel(pushPairs[0])
	c.m.Torso.Stage.Opening.At = r2.Vec{X: 2.5, Y: -1.5}
	torso := c.torso()
	result := SolveTorso(c.m, c.torso(), false, 1)
	tp := c.m.Torso
	var circle, width, depth float64
	var po TorsoPose
	repeat := orbitRepeat(torso.Orbit())
	for i := range 4000 {
		torso.Pose(repeat*float64(i)/4000, &po)
		a := po.Axis()
		side := r3.Unit(r3.Cross(a, r3.Vec{X: 1}))
		front := r3.Cross(side, a)
		for j := range 360 {
			sin, cos := math.Sincos(float64(j) * math.Pi / 180)
			skin := r3.Add(r3.Vec{Z: tp.Pivot}, r3.Scale(3, r3.Add(r3.Scale(cos, side), r3.Scale(sin, front))))
			for _, z := range []float64{0, -tp.Stage.Thickness} {
				at := r3.Add(skin, r3.Scale((z-skin.Z)/a.Z, a))
				x, y := at.X-2.5, at.Y+1.5
				circle = max(circle, 2*math.Hypot(x, y))
				width, depth = max(width, 2*math.Abs(x)), max(depth, 2*math.Abs(y))
			}
		}
	}
	for _, v := range [][2]float64{{result.Opening.Circle.Value, circle}, {result.Opening.Width.Value, width}, {result.Opening.Depth.Value, depth}} {
		if v[0] < v[1]-1e-9 || v[0] > v[1]+0.01 {
			t.Errorf("opening %.9g, drawn %.9g", v[0], v[1])
		}
	}
}

// TestEllipseReach compares with a fine walk round the ellipse.
func TestEllipseReach(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 500 {
		b := 1 + r.Float64()
		a := b * (1 + 0.3*r.Float64())
		u, v := 4*r.Float64()-2, 4*r.Float64()-2
		if r.IntN(5) == 0 {
			u = 0
		}
		want := 0.0
		for i := range 20000 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 20000)
			want = max(want, math.Hypot(u+a*cos, v+b*sin))
		}
		if got := ellipseReach(u, v, a, b); got < want-1e-12 || got > want+1e-6 {
			t.Errorf("centre (%g, %g) axes %g, %g: %.12g, walked %.12g", u, v, a, b, got, want)
		}
	}
}

// TestObstacleDistance compares with the nearest of many places on the surface.
func TestObstacleDistance(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	box := mech.Box{Min: r3.Vec{X: -1, Y: 0, Z: 1}, Max: r3.Vec{X: 2, Y: 1.5, Z: 4}}
	cyl := mech.Cylinder{At: r2.Vec{X: 0.5, Y: 1}, Radius: 1.2, From: 1, To: 3}
	const n = 120
	var boxSkin, cylSkin []r3.Vec
	for i := range n + 1 {
		for j := range n + 1 {
			u, v := float64(i)/n, float64(j)/n
			d := r3.Sub(box.Max, box.Min)
			for _, w := range []float64{0, 1} {
				for _, s := range []r3.Vec{{X: w, Y: u, Z: v}, {X: u, Y: w, Z: v}, {X: u, Y: v, Z: w}} {
					boxSkin = append(boxSkin, r3.Vec{X: box.Min.X + s.X*d.X, Y: box.Min.Y + s.Y*d.Y, Z: box.Min.Z + s.Z*d.Z})
				}
				sin, cos := math.Sincos(2 * math.Pi * v)
				cylSkin = append(cylSkin, r3.Vec{X: 0.5 + 1.2*u*cos, Y: 1 + 1.2*u*sin, Z: 1 + 2*w})
			}
			sin, cos := math.Sincos(2 * math.Pi * v)
			cylSkin = append(cylSkin, r3.Vec{X: 0.5 + 1.2*cos, Y: 1 + 1.2*sin, Z: 1 + 2*u})
		}
	}
	check := func(name string, got float64, at r3.Vec, skin []r3.Vec, inside bool) {
		want := math.Inf(1)
		for _, s := range skin {
			want = min(want, r3.Norm(r3.Sub(s, at)))
		}
		if inside {
			want = -want
		}
		if math.Abs(got-want) > 0.03 || (got < 0) != inside {
			t.Errorf("%s at %v: %.6g, nearest of the skin %.6g", name, at, got, want)
		}
	}
	for range 150 {
		at := r3.Vec{X: 5*r.Float64() - 2, Y: 4*r.Float64() - 1, Z: 5 * r.Float64()}
		inBox := at.X > -1 && at.X < 2 && at.Y > 0 && at.Y < 1.5 && at.Z > 1 && at.Z < 4
		inCyl := math.Hypot(at.X-0.5, at.Y-1) < 1.2 && at.Z > 1 && at.Z < 3
		check("box", BoxDistance(at, box), at, boxSkin, inBox)
		check("cylinder", CylinderDistance(at, cyl), at, cylSkin, inCyl)
	}
}

// TestTorsoPartReach: a rod that is too short for part of a turn fails at the
// right turn, and the rest is still reported.
func TestTorsoPartReach(t *testing.T) {
	c := torsoModel([2]mech.PushKind{mech.Yoke, mech.Rod})
	p := &c.m.Torso.Pushes[1]
	p.Crank.Radius, p.Crank.Phase = 30, -math.Pi/2
	p.Length, p.PinDepth = 30, p.Depth-25
	c.m.Motor.Sense = mech.CounterClockwise
	result := SolveTorso(c.m, c.torso(), false, 1)
	torso := c.torso()
	var before, after TorsoPose
	if result.Status == TorsoOutOfReach && result.FailsAt > 0 {
		torso.Pose(result.FailsAt-1e-6, &before)
		torso.Pose(result.FailsAt+1e-6, &after)
		if before.Status != TorsoPosed || after.Status != TorsoOutOfReach || !result.Lean.Valid {
			t.Errorf("fails at %.9g: before %d, after %d, lean %+v", result.FailsAt, before.Status, after.Status, result.Lean)
		}
	} else {
		t.Errorf("status %d at %g, want out of reach part of the way", result.Status, result.FailsAt)
	}
}

func benchSolveTorso(b *testing.B, kinds [2]mech.PushKind, first, second Ratio) {
	c := torsoModel(kinds)
	c.d.Ratios[1], c.d.Ratios[2] = first, second
	b.ReportAllocs()
	for b.Loop() {
		SolveTorso(c.m, c.torso(), false, 1)
	}
}

func BenchmarkSolveTorso(b *testing.B) {
	benchSolveTorso(b, pushPairs[0], Ratio{9, 20}, Ratio{18, 43})
}

func BenchmarkSolveTorsoLongRepeat(b *testing.B) {
	benchSolveTorso(b, pushPairs[0], Ratio{997, 991}, Ratio{983, 977})
}

func BenchmarkSolveTorsoEdgeRod(b *testing.B) {
	benchSolveTorso(b, pushPairs[5], Ratio{9, 20}, Ratio{18, 43})
}

// BenchmarkTorsoSampled is the watchman's repeat looked at every degree of the
// faster shaft, without any refinement: what SolveTorso is to beat.
func BenchmarkTorsoSampled(b *testing.B) {
	c := torsoModel(pushPairs[0])
	c.d.Ratios[1], c.d.Ratios[2] = Ratio{9, 20}, Ratio{18, 43}
	torso := c.torso()
	const turns, count = 860. / 3, 129 * 360
	var po TorsoPose
	for b.Loop() {
		worst := 0.0
		for i := range count {
			torso.Pose(turns*float64(i)/count, &po)
			for _, p := range torso.points {
				place, velocity := torso.PointRate(&po, p)
				worst = max(worst, place.X, r3.Norm2(velocity), r3.Norm2(po.Acceleration(p)), po.w, po.slot)
			}
		}
		if worst == 0 {
			b.Fatal("nothing moves")
		}
	}
}

// BenchmarkSolveTorsoRim is two yokes on measured rims of many points.
func BenchmarkSolveTorsoRim(b *testing.B) {
	c := torsoModel(pushPairs[0])
	c.d.Ratios[1], c.d.Ratios[2] = Ratio{83, 89}, Ratio{-82, 83}
	for i := range c.m.Cams {
		cam := &c.m.Cams[i]
		cam.Base, cam.Shape = 0, mech.Shape{Kind: mech.ShapeMeasured}
		for k := range 72 {
			at := 2 * math.Pi * float64(k) / 72
			cam.Shape.Rim = append(cam.Shape.Rim, mech.Point{Angle: at, Value: 18 + 3*math.Cos(at) + 0.01*math.Cos(float64(k*k))})
		}
	}
	c.cams = CompileCams(c.m, c.d)
	b.ReportAllocs()
	for b.Loop() {
		SolveTorso(c.m, c.torso(), false, 1)
	}
}

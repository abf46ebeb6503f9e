package solve

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// torsoCase is a figure with two pushers, its drive and cams.
type torsoCase struct {
	m    *mech.Model
	d    Drive
	cams []*Cam
}

func (c *torsoCase) torso() *Torso { return NewTorso(c.m, c.d, c.cams) }

// torsoModel is a figure of the harbour watchman's size whose pushers are of the
// kinds given, on cams of waves or cranks.
func torsoModel(kinds [2]mech.PushKind) *torsoCase {
	m := &mech.Model{
		Motor: &mech.Motor{Shaft: 0},
		Shafts: []mech.Shaft{
			{Name: "main", At: r2.Vec{X: -10, Y: -36}},
			{Name: "side", At: r2.Vec{X: 36}},
			{Name: "fore", At: r2.Vec{Y: 38}},
		},
		Cams: []mech.Cam{
			{Name: "sway", Shaft: 1, Base: 16, Phase: 0.3, Shape: mech.Shape{Kind: mech.ShapeWaves, Waves: []mech.Wave{{PerTurn: 1, Amplitude: 4.4}, {PerTurn: 2, Amplitude: 1.6, At: 1.2}}},
				Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Heading: math.Pi}},
			{Name: "bow", Shaft: 2, Base: 16, Phase: 1.1, Shape: mech.Shape{Kind: mech.ShapeWaves, Waves: []mech.Wave{{PerTurn: 1, Amplitude: 5, At: 0.4}}},
				Follower: &mech.Follower{Kind: mech.Flat, Heading: 3 * math.Pi / 2}},
		},
		Torso: &mech.Torso{
			Pivot: 95, ShaftDiameter: 6, ShaftDepth: 157,
			Pushes: [2]mech.Push{
				{Name: "sway", Cam: 0, Depth: 140, Along: r2.Vec{X: -1}, Ratio: 1, Plumb: 5},
				{Name: "bow", Cam: 1, Depth: 150, Along: r2.Vec{Y: -1}, Ratio: 1, Plumb: 5},
			},
			Guide: mech.Guide{Depth: 112, Pin: r2.Vec{X: -80}, PinDiameter: 4, SlotMin: 74, SlotMax: 87, SlotGiven: true, Clearance: 0.4},
			Points: []mech.TorsoPoint{
				{Name: "hat", At: r3.Vec{Z: 150}, Radius: 12},
				{Name: "lantern", At: r3.Vec{X: 48, Y: -30, Z: 60}, Radius: 15},
			},
			Stage: mech.Stage{Thickness: 9, Opening: mech.Opening{Shape: mech.CircleOpening, Diameter: 20}},
			KeepClear: []mech.Obstacle{
				{Name: "bollard", Kind: mech.BoxObstacle, Box: mech.Box{Min: r3.Vec{X: 78, Y: -30}, Max: r3.Vec{X: 100, Z: 110}}},
				{Name: "mast", Kind: mech.CylinderObstacle, Cylinder: mech.Cylinder{At: r2.Vec{X: -30, Y: 30}, Radius: 5, To: 200}},
			},
		},
	}
	for i, kind := range kinds {
		p := &m.Torso.Pushes[i]
		p.Kind = kind
		switch kind {
		case mech.Edge:
			// The shaft of radius 3 on a base circle that puts it upright at lift 5.
			m.Cams[i].Follower = nil
			m.Cams[i].Base = math.Hypot(m.Shafts[1+i].At.X, m.Shafts[1+i].At.Y) - 3 - 5
		case mech.Rod:
			p.Cam = mech.None
			p.Crank = mech.Crank{Shaft: 1 + i, Radius: 4, Phase: 0.7}
			p.PinDepth = p.Depth - 6
			p.Length = math.Hypot(r2.Norm(m.Shafts[1+i].At), 6) + 0.5
		}
	}
	c := &torsoCase{m: m, d: Drive{Ratios: []Ratio{{1, 1}, {9, 20}, {-18, 43}}}}
	c.cams = CompileCams(c.m, c.d)
	return c
}

var pushPairs = [][2]mech.PushKind{
	{mech.Yoke, mech.Yoke}, {mech.Edge, mech.Yoke}, {mech.Yoke, mech.Rod},
	{mech.Edge, mech.Edge}, {mech.Rod, mech.Rod}, {mech.Edge, mech.Rod}, {mech.Rod, mech.Edge},
}

// vary changes every length and angle of a case at random, within what a figure
// can do.
func (c *torsoCase) vary(r *rand.Rand) {
	near := func(v *float64, by float64) { *v *= 1 + by*(2*r.Float64()-1) }
	tp := c.m.Torso
	near(&tp.Pivot, 0.3)
	near(&tp.Guide.Depth, 0.3)
	angle := 2 * math.Pi * r.Float64()
	reach := 40 + 60*r.Float64()
	tp.Guide.Pin = r2.Vec{X: reach * math.Cos(angle), Y: reach * math.Sin(angle)}
	for i := range tp.Pushes {
		p := &tp.Pushes[i]
		near(&p.Depth, 0.15)
		p.PinDepth = p.Depth - 12*r.Float64()
		near(&p.Length, 0.05)
		near(&p.Plumb, 0.3)
		near(&p.Crank.Radius, 0.3)
		p.Crank.Phase = 2 * math.Pi * r.Float64()
		turn := 0.3 * (2*r.Float64() - 1)
		p.Along = r2.Rotate(p.Along, turn, r2.Vec{})
		p.Ratio = 0.7 + 0.6*r.Float64()
		s := &c.m.Shafts[1+i]
		s.At = r2.Rotate(s.At, turn, r2.Vec{})
	}
	for i := range c.m.Cams {
		c.m.Cams[i].Phase = 2 * math.Pi * r.Float64()
	}
	for i := range tp.Points {
		tp.Points[i].At = r3.Add(tp.Points[i].At, r3.Vec{X: 20 * r.Float64(), Y: 20 * r.Float64(), Z: 20 * r.Float64()})
	}
	for i := 1; i < 3; i++ {
		c.d.Ratios[i] = reduced([]int64{1, -1}[r.IntN(2)]*int64(5+r.IntN(40)), int64(5+r.IntN(40)))
	}
	if r.IntN(2) == 0 {
		c.m.Motor.Sense = mech.Clockwise
	}
	c.cams = CompileCams(c.m, c.d)
}

// rotation returns R's columns.
func rotation(po *TorsoPose) (x, y, z r3.Vec) {
	return po.Turn(r3.Vec{X: 1}), po.Turn(r3.Vec{Y: 1}), po.Turn(r3.Vec{Z: 1})
}

// axisAt returns where the shaft's axis crosses a level.
func axisAt(h, level float64, axis r3.Vec) r3.Vec {
	return r3.Add(r3.Vec{Z: h}, r3.Scale((level-h)/axis.Z, axis))
}

// edgeGap returns how far c lies from the pitch curve of the cam as it stands,
// drawn from the template: on a counter-clockwise cam the rim met at φ lies at
// polar angle −φ from the mark, which stands at the heading at φ = 0.
func (c *torsoCase) edgeGap(push int, turns float64, at r3.Vec) float64 {
	camIndex := c.m.Torso.Pushes[push].Cam
	spec, cam := c.m.Cams[camIndex], c.cams[camIndex]
	axis := c.m.Shafts[spec.Shaft].At
	sense := c.d.Sign(c.m, spec.Shaft)
	phi := 2*math.Pi*math.Abs(c.d.Ratios[spec.Shaft].Float())*turns + spec.Phase
	mark := math.Atan2(-axis.Y, -axis.X) + sense*phi
	gap := func(u float64) float64 {
		rho := cam.PrimeRadius() + cam.Lift(u).S
		sin, cos := math.Sincos(mark - sense*u)
		return math.Hypot(axis.X+rho*cos-at.X, axis.Y+rho*sin-at.Y)
	}
	best, value := 0.0, math.Inf(1)
	for i := range 2000 {
		if g := gap(float64(i) / 2000 * 2 * math.Pi); g < value {
			best, value = float64(i)/2000*2*math.Pi, g
		}
	}
	// The distance squared is smooth where it is zero.
	_, least := brentMax(func(u float64) float64 { return -gap(u) * gap(u) }, best-0.01, best, best+0.01, -value*value, 1e-12)
	return math.Sqrt(-least)
}

// TestTorsoResiduals puts every pose back into the design's statement of the
// three constraints.
func TestTorsoResiduals(t *testing.T) {
	for k, kinds := range pushPairs {
		for seed := range uint64(30) {
			r := rand.New(rand.NewPCG(seed, uint64(k)))
			c := torsoModel(kinds)
			c.vary(r)
			torso := c.torso()
			var po TorsoPose
			for range 20 {
				turns := 1000 * r.Float64()
				torso.Pose(turns, &po)
				where := fmt.Sprintf("%v seed %d turn %.9g", kinds, seed, turns)
				if po.Status != TorsoPosed {
					t.Fatalf("%s: status %d", where, po.Status)
				}
				c.checkPose(t, where, turns, &po)
			}
		}
	}
}

func (c *torsoCase) checkPose(t *testing.T, where string, turns float64, po *TorsoPose) {
	t.Helper()
	tp := c.m.Torso
	close := func(what string, got, want, tolerance float64) {
		if !(math.Abs(got-want) <= tolerance) {
			t.Errorf("%s: %s %.15g, want %.15g", where, what, got, want)
		}
	}
	x, y, z := rotation(po)
	for _, pair := range [][2]r3.Vec{{x, x}, {y, y}, {z, z}} {
		close("column length", r3.Dot(pair[0], pair[1]), 1, 1e-13)
	}
	close("handedness", r3.Dot(r3.Cross(x, y), z), 1, 1e-13)
	close("lean", po.Lean(), math.Atan(z.X/z.Z), 1e-14)
	close("nod", po.Nod(), math.Atan(z.Y/z.Z), 1e-14)
	close("tilt", po.Tilt(), math.Acos(z.Z), 1e-7)
	// ψ = 2·atan2(q_z, q_w), quaternion from the matrix (linkages.md §2.1).
	close("twist", po.Twist(), 2*math.Atan2(x.Y-y.X, 1+x.X+y.Y+z.Z), 1e-13)

	for i := range tp.Pushes {
		p := &tp.Pushes[i]
		at := axisAt(tp.Pivot, tp.Pivot-p.Depth, z)
		switch p.Kind {
		case mech.Yoke:
			spec := c.m.Cams[p.Cam]
			phi := 2*math.Pi*math.Abs(c.d.Ratios[spec.Shaft].Float())*turns + spec.Phase
			close("yoke travel", at.X*p.Along.X+at.Y*p.Along.Y, p.Ratio*(c.cams[p.Cam].Lift(phi).S-p.Plumb), 1e-10)
		case mech.Edge:
			close("gap to the rim", c.edgeGap(i, turns, at), 0, 1e-7)
		case mech.Rod:
			s := p.Crank.Shaft
			angle := p.Crank.Phase + c.d.Sign(c.m, s)*2*math.Pi*math.Abs(c.d.Ratios[s].Float())*turns
			pin := r3.Vec{X: c.m.Shafts[s].At.X + p.Crank.Radius*math.Cos(angle), Y: c.m.Shafts[s].At.Y + p.Crank.Radius*math.Sin(angle), Z: tp.Pivot - p.PinDepth}
			ball := r3.Add(r3.Vec{Z: tp.Pivot}, po.Turn(r3.Vec{Z: -p.Depth}))
			close("rod", r3.Norm(r3.Sub(ball, pin)), p.Length, 1e-10)
		}
	}
	// The vertical through the pin meets the body plane z = −D where
	// z·(pin − P) = −D; there the body's x and y follow.
	pin := r3.Vec{X: tp.Guide.Pin.X, Y: tp.Guide.Pin.Y}
	pin.Z = (-tp.Guide.Depth - z.X*pin.X - z.Y*pin.Y) / z.Z
	gx, gy := r3.Dot(x, pin), r3.Dot(y, pin)
	close("pin beside the slot's line", (gx*tp.Guide.Pin.Y-gy*tp.Guide.Pin.X)/r2.Norm(tp.Guide.Pin), 0, 1e-10)
	close("slot", po.Slot(), (gx*tp.Guide.Pin.X+gy*tp.Guide.Pin.Y)/r2.Norm(tp.Guide.Pin), 1e-10)
}

// TestTorsoRates compares every rate with finite differences.
func TestTorsoRates(t *testing.T) {
	for k, kinds := range pushPairs {
		for seed := range uint64(8) {
			r := rand.New(rand.NewPCG(seed, uint64(100+k)))
			c := torsoModel(kinds)
			c.vary(r)
			torso := c.torso()
			at := c.m.Torso.Points[1].At
			turns := 20 * r.Float64()
			var po TorsoPose
			torso.Pose(turns, &po)
			differ := func(what string, got float64, f func(po *TorsoPose) float64) {
				want := fd.Derivative(func(x float64) float64 {
					var near TorsoPose
					torso.Pose(x/(2*math.Pi), &near)
					return f(&near)
				}, 2*math.Pi*turns, &fd.Settings{Formula: fd.Central, Step: 1e-4})
				if math.Abs(got-want) > 1e-5*(1+math.Abs(want)) {
					t.Errorf("%v seed %d: %s %.10g, differences say %.10g", kinds, seed, what, got, want)
				}
			}
			v, a := po.Velocity(at), po.Acceleration(at)
			omega, alpha := po.AngularVelocity(), po.AngularAcceleration()
			for i := range 3 {
				axis := func(w r3.Vec) float64 { return [3]float64{w.X, w.Y, w.Z}[i] }
				differ("velocity", axis(v), func(po *TorsoPose) float64 { return axis(torso.Point(po, at)) })
				differ("acceleration", axis(a), func(po *TorsoPose) float64 { return axis(po.Velocity(at)) })
				differ("angular acceleration", axis(alpha), func(po *TorsoPose) float64 { return axis(po.AngularVelocity()) })
			}
			// The angular velocity carries each column of R round.
			x, _, _ := rotation(&po)
			differ("turning", r3.Cross(omega, x).Y, func(po *TorsoPose) float64 { return po.Turn(r3.Vec{X: 1}).Y })
			differ("twist rate", po.twist1, (*TorsoPose).Twist)
			differ("twist acceleration", po.twist2, func(po *TorsoPose) float64 { return po.twist1 })
		}
	}
}

// TestTorsoPublishedAxis checks the axis of linkages.md §2.5: L = 100, u = 3,
// v = 2 give a = (−0.03, −0.02, 0.99934979). That text pushes body points, here
// plates hold the axis at a stage level, so the travels that give the same axis
// are 100·a_x/a_z and 100·a_y/a_z. The twist differs too: there a ball-tipped
// pin at a fixed height, g = Sᵀ·Q, here an upright pin through the arm's plane,
// g = Sᵀ·(X, Y, ζ) with ζ = −pX − qY for an arm at the pivot (D = 0). The text's
// second order −u·v/(2L²) thereby gains 2·u·v/(2L²) and changes its sign.
func TestTorsoPublishedAxis(t *testing.T) {
	const az = 0.99934979
	torso := &Torso{pivot: 0, yokes: true, pinX: 30, pin2: 900}
	for i := range torso.pushes {
		p := &torso.pushes[i]
		p.depth, p.ratio = 100, 1
		p.alongX, p.alongY = float64(1-i), float64(i)
	}
	torso.settle()
	s := [2]pushState{{e: 3 / az}, {e: 2 / az}}
	var po TorsoPose
	torso.poseDriven(&s, &po, 0)
	a := po.Axis()
	if math.Abs(a.X+0.03) > 1e-8 || math.Abs(a.Y+0.02) > 1e-8 || math.Abs(a.Z-az) > 1e-8 {
		t.Errorf("axis %v, published (-0.03, -0.02, 0.99934979)", a)
	}
	if second := 3.0 * 2 / (2 * 100 * 100); math.Abs(po.Twist()-second) > 1e-6 {
		t.Errorf("twist %.9g, second order %.9g", po.Twist(), second)
	}
}

// TestTorsoSmallAngles: for small travel the closed form is lean = −u/d, nod =
// −v/d, twist = (X·nod − Y·lean)·D/(X² + Y²), slot = |pin| + (X·lean + Y·nod)·D/|pin|.
func TestTorsoSmallAngles(t *testing.T) {
	for scale := 1e-2; scale > 1e-5; scale /= 10 {
		torso := &Torso{pivot: 95, yokes: true, pinX: -70, pinY: 35, pin2: 70*70 + 35*35, arm: 112}
		torso.pushes[0] = torsoPush{depth: 140, alongX: -1, ratio: 1}
		torso.pushes[1] = torsoPush{depth: 150, alongY: -1, ratio: 1}
		torso.settle()
		s := [2]pushState{{e: 140 * scale}, {e: -150 * 0.7 * scale}}
		var po TorsoPose
		torso.poseDriven(&s, &po, 0)
		lean, nod := scale, -0.7*scale
		tolerance := 10 * scale * scale
		for _, v := range [][2]float64{
			{po.Lean(), lean}, {po.Nod(), nod},
			{po.Twist(), (-70*nod - 35*lean) * 112 / torso.pin2},
			{po.Slot()/math.Sqrt(torso.pin2) - 1, (-70*lean + 35*nod) * 112 / torso.pin2},
		} {
			if math.Abs(v[0]-v[1]) > tolerance {
				t.Errorf("scale %g: %.9g, first order %.9g", scale, v[0], v[1])
			}
		}
	}
}

// TestTorsoLongRod: the longer the rod, the more it acts as a yoke that slides
// along the line from the crank's axis and carries the crank's throw.
func TestTorsoLongRod(t *testing.T) {
	last := math.Inf(1)
	for _, length := range []float64{1e3, 1e4, 1e5, 1e6} {
		c := torsoModel([2]mech.PushKind{mech.Yoke, mech.Rod})
		p := &c.m.Torso.Pushes[1]
		c.m.Shafts[2].At = r2.Vec{Y: length}
		p.Length, p.PinDepth = length, p.Depth
		torso := c.torso()
		worst := 0.0
		for i := range 50 {
			turns := float64(i) * 0.37
			var po TorsoPose
			torso.Pose(turns, &po)
			if po.Status != TorsoPosed {
				t.Fatalf("length %g: status %d", length, po.Status)
			}
			// The pin's throw along y is the ball's: −d·a_y.
			angle := p.Crank.Phase - 2*math.Pi*18.0/43*turns
			worst = max(worst, math.Abs(-p.Depth*po.Axis().Y-p.Crank.Radius*math.Sin(angle)))
		}
		if worst > 300/length || worst > last {
			t.Errorf("length %g: ball off the crank's throw by %g mm (before %g)", length, worst, last)
		}
		last = worst
	}
}

// TestTorsoWarmStart: the pose does not depend on the one before.
func TestTorsoWarmStart(t *testing.T) {
	for _, kinds := range pushPairs {
		torso := torsoModel(kinds).torso()
		var warm TorsoPose
		for i := range 200 {
			turns := float64(i) * 1.618
			var cold TorsoPose
			torso.Pose(turns, &cold)
			torso.Pose(turns, &warm)
			if math.Abs(cold.p-warm.p) > 1e-13 || math.Abs(cold.q-warm.q) > 1e-13 {
				t.Errorf("%v turn %g: cold (%.15g, %.15g), warm (%.15g, %.15g)", kinds, turns, cold.p, cold.q, warm.p, warm.q)
			}
		}
	}
}

// TestTorsoStatus: every way of having no pose is named.
func TestTorsoStatus(t *testing.T) {
	pose := func(kinds [2]mech.PushKind, change func(m *mech.Model, d *Drive)) (TorsoStatus, TorsoStatus) {
		c := torsoModel(kinds)
		change(c.m, &c.d)
		c.cams = CompileCams(c.m, c.d)
		torso := c.torso()
		var po TorsoPose
		torso.Pose(1, &po)
		return torso.Status, po.Status
	}
	for _, test := range []struct {
		name        string
		kinds       [2]mech.PushKind
		change      func(m *mech.Model, d *Drive)
		torso, pose TorsoStatus
	}{
		{"sound", pushPairs[0], func(m *mech.Model, d *Drive) {}, TorsoPosed, TorsoPosed},
		{"parallel", pushPairs[0], func(m *mech.Model, d *Drive) { m.Torso.Pushes[1].Along = r2.Vec{X: 1} }, TorsoParallel, TorsoParallel},
		{"pin on the axis", pushPairs[0], func(m *mech.Model, d *Drive) { m.Torso.Guide.Pin = r2.Vec{} }, TorsoGuideOnAxis, TorsoGuideOnAxis},
		{"front view", pushPairs[4], func(m *mech.Model, d *Drive) { m.Shafts[1].View = geom.Front }, TorsoNotPlan, TorsoNotPlan},
		{"rod too short", pushPairs[4], func(m *mech.Model, d *Drive) { m.Torso.Pushes[0].Length = 5 }, TorsoPosed, TorsoOutOfReach},
		{"shaft stands", pushPairs[0], func(m *mech.Model, d *Drive) { d.Ratios[2] = Ratio{} }, TorsoPushNotDriven, TorsoPosed},
	} {
		if torso, po := pose(test.kinds, test.change); torso != test.torso || po != test.pose {
			t.Errorf("%s: torso %d pose %d, want %d and %d", test.name, torso, po, test.torso, test.pose)
		}
	}
}

func benchTorso(b *testing.B, kinds [2]mech.PushKind, order int) {
	c := torsoModel(kinds)
	torso := c.torso()
	var po TorsoPose
	x := make([]float64, 2)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		i++
		x[0], x[1] = math.Mod(float64(i)*0.01, 6.2), math.Mod(float64(i)*0.0137, 6.2)
		torso.PoseAt(x, &po, order)
	}
}

// BenchmarkTorsoYokes is a two-yoke pose from its cams, with accelerations.
func BenchmarkTorsoYokes(b *testing.B) { benchTorso(b, pushPairs[0], 2) }

func BenchmarkTorsoEdgeRod(b *testing.B) { benchTorso(b, pushPairs[5], 1) }

// BenchmarkTorsoPoints is a two-yoke pose from given travels, with two points and
// their velocities.
func BenchmarkTorsoPoints(b *testing.B) { benchTorsoPoints(b, false) }

// BenchmarkTorsoPointsAngles adds lean, nod and twist as angles.
func BenchmarkTorsoPointsAngles(b *testing.B) { benchTorsoPoints(b, true) }

func benchTorsoPoints(b *testing.B, angles bool) {
	c := torsoModel(pushPairs[0])
	torso := c.torso()
	s := [2]pushState{{e: 3, e1: 2}, {e: -2, e1: 1}}
	hat, lantern := torso.points[0], torso.points[1]
	var po TorsoPose
	var sum r3.Vec
	b.ReportAllocs()
	for b.Loop() {
		s[0].e += 1e-9
		torso.poseDriven(&s, &po, 1)
		for _, at := range [2]r3.Vec{hat, lantern} {
			p, v := torso.PointRate(&po, at)
			sum = r3.Add(sum, r3.Add(p, v))
		}
		if angles {
			sum.X += po.Lean() + po.Nod() + po.Twist()
		}
	}
	torsoSink = sum.X
}

var torsoSink float64

package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"understage/internal/mech"
)

func camGiven(v float64) mech.Given { return mech.Given{Value: v, OK: true} }

// camSprung is a cam with spring and mass and no friction.
func camSprung(f mech.Follower) *mech.Cam {
	return &mech.Cam{Base: 22, Thickness: 8, Shape: camGentle(f.Swings()), Follower: &f, Load: mech.CamLoad{
		Mass: camGiven(0.05), SpringRate: camGiven(0.3), SpringPreload: camGiven(4), Friction: camGiven(0), Vertical: true,
	}}
}

// Without friction the camshaft's power is the follower's: torque × speed =
// force × velocity, and over a closed turn nothing is left.
func TestTorqueIsVirtualWork(t *testing.T) {
	for _, name := range camNames() {
		for _, sense := range []float64{1, -1} {
			f := camVariety()[name]
			c := CompileCam(camSprung(*f), 0, sense)
			p := c.Load()
			const speed = 6.0
			for i := range 36 {
				phi := float64(i) * 10 * camDeg
				l := c.Lift(phi)
				got := p.Force(l, speed, 0, false)
				reach := 1.0
				if f.Path == mech.Swing {
					reach = f.Arm
					if f.Kind == mech.Flat { // from the pivot to where the face touches the base circle
						a := r2.Norm(f.Pivot)
						reach = math.Sqrt(a*a - (22-f.Face)*(22-f.Face))
					}
				}
				way, velocity := l.S*reach, l.V*reach*speed
				force := 0.05*l.A*reach*speed*speed/1000 + 4 + 0.3*way + 0.05*9.80665
				camNear(t, name+" force", got.Along, force, 1e-12)
				camNear(t, name+" torque", got.Torque*speed, force*velocity, 1e-10)
				if f.Path == mech.Straight {
					camNear(t, name+" normal", got.Normal, force/math.Cos(c.Contact(phi).Pressure), 1e-10)
				}
			}
			r := AnalyseCamLoad(c, speed)
			if math.Abs(r.MeanTorque) > 1e-9*r.Torque.Max.Value {
				t.Errorf("%s: mean torque %v of a peak of %v", name, r.MeanTorque, r.Torque.Max.Value)
			}
		}
	}
}

// With rubbing, the power in is the follower's and the rubbing's: friction force
// times the speed at which the surfaces slide.
func TestTorqueWithRubbing(t *testing.T) {
	for _, name := range camNames() {
		f := camVariety()[name]
		if f.Kind == mech.Roller {
			continue
		}
		for _, sense := range []float64{1, -1} {
			cam := camSprung(*f)
			cam.Load.Friction = camGiven(0.3)
			c := CompileCam(cam, 0, sense)
			p := c.Load()
			for i := range 36 {
				phi := float64(i) * 10 * camDeg
				l := c.Lift(phi)
				got := p.Force(l, 1, 0, false)
				want := got.Along*p.lever*l.V + 0.3*got.Normal*camSliding(c, cam, sense, phi)
				camNear(t, name+" torque", got.Torque, want, 1e-5)
			}
		}
	}
}

// camSliding is the speed of the cam's surface against the follower's at the
// contact, for a shaft at 1 rad/s, by differences of places.
func camSliding(c *Cam, cam *mech.Cam, sense, phi float64) float64 {
	const h = 1e-5
	f := cam.Follower
	touch := r2.Rotate(c.Contact(phi).Rim, camTurned(cam, sense, phi), r2.Vec{}) // in the view
	surface := r2.Scale(sense, r2.Vec{X: -touch.Y, Y: touch.X})
	at0, n0 := camStand(cam, c.Lift(phi-h).S)
	at1, n1 := camStand(cam, c.Lift(phi+h).S)
	follower := r2.Scale(1/(2*h), r2.Sub(at1, at0))
	if f.Kind == mech.Flat && f.Path == mech.Swing {
		turn := r2.Cross(n0, n1) / (2 * h)
		away := r2.Sub(touch, f.Pivot)
		follower = r2.Scale(turn, r2.Vec{X: -away.Y, Y: away.X})
	}
	return r2.Norm(r2.Sub(surface, follower))
}

// Angles at which a guide locks a roller's follower, in degrees, by friction and
// overhang over length: computed for the reference table from
// tan α = B/(μ(2A + B)).
func TestGuideLocks(t *testing.T) {
	for _, c := range []struct{ mu, hang, locks float64 }{
		{0.1, 0.5, 78.69}, {0.1, 1, 73.30}, {0.1, 2, 63.43},
		{0.2, 0.5, 68.20}, {0.2, 1, 59.04}, {0.2, 2, 45.00},
		{0.3, 0.5, 59.04}, {0.3, 1, 48.01}, {0.3, 2, 33.69},
		{0.5, 0.5, 45.00}, {0.5, 1, 33.69}, {0.5, 2, 21.80},
	} {
		cam := camSprung(mech.Follower{Kind: mech.Roller, Radius: 3})
		cam.Load.GuideLength, cam.Load.GuideOverhang, cam.Load.GuideFriction = camGiven(20), camGiven(20*c.hang), camGiven(c.mu)
		p := CompileCam(cam, 0, 1).Load()
		// At zero lift tan α = s'/Rp.
		at := func(deg float64) CamForce {
			return p.Force(Lift{V: 25 * math.Tan(deg*camDeg)}, 0, 1, false)
		}
		if f := at(c.locks - 0.01); math.IsInf(f.Normal, 0) || f.Guide >= 1 {
			t.Errorf("μ %v, A/B %v: jams below %v deg", c.mu, c.hang, c.locks)
		}
		if f := at(c.locks + 0.01); !math.IsInf(f.Torque, 1) || f.Guide < 1 {
			t.Errorf("μ %v, A/B %v: does not jam above %v deg", c.mu, c.hang, c.locks)
		}
	}
}

// The guide's friction, found by writing out both reactions: forces across and
// moments about the near edge balance the contact's, and what rubs is the sum.
func TestGuideBalance(t *testing.T) {
	cam := camSprung(mech.Follower{Kind: mech.Roller, Radius: 3})
	cam.Load.GuideLength, cam.Load.GuideOverhang, cam.Load.GuideFriction = camGiven(30), camGiven(25), camGiven(0.2)
	c := CompileCam(cam, 0, 1)
	p := c.Load()
	for i := range 72 {
		phi := float64(i) * 5 * camDeg
		l := c.Lift(phi)
		direction := math.Copysign(1, l.V)
		f := p.Force(l, 3, direction, false)
		alpha := c.Contact(phi).Pressure
		push := f.Normal * math.Sin(alpha)
		far := push * (25 - l.S) / 30 // at the far edge, against the push at the roller
		near := push + far
		camNear(t, "balance along the guide", f.Normal*math.Cos(alpha)-direction*0.2*(math.Abs(near)+math.Abs(far)), f.Along, 1e-11)
	}
}

// An eccentric under a flat face with weight only leaves it at ω² = g/ε; 20 mm
// at 200 rpm with 1 kg, spring 10 N/m and 0.2 N (Norton, problems 15-12 on): the
// inertia at the top is 8.772982 N, so the spring alone does not hold it and its
// weight of 9.80665 N does.
func TestFloat(t *testing.T) {
	cam := &mech.Cam{
		Shape:    mech.Shape{Kind: mech.ShapeEccentric, Eccentric: mech.Eccentric{DiscRadius: 50, Offset: 20}},
		Follower: &mech.Follower{Kind: mech.Flat},
		Load:     mech.CamLoad{Mass: camGiven(1), Vertical: true, Friction: camGiven(0)},
	}
	float := func() float64 { return AnalyseCamLoad(CompileCam(cam, 0, 1), 1).Float }
	camNear(t, "weight only", float(), math.Sqrt(9806.65/20), 1e-9)
	const speed = 200 * math.Pi / 30
	cam.Load.SpringRate, cam.Load.SpringPreload = camGiven(0.01), camGiven(0.2)
	if float() < speed {
		t.Errorf("weight and spring float at %v rad/s, below %v", float(), speed)
	}
	cam.Load.Vertical = false
	if float() > speed {
		t.Errorf("the spring alone holds to %v rad/s, above %v", float(), speed)
	}
	r := AnalyseCamLoad(CompileCam(cam, 0, 1), speed)
	camNear(t, "force at the top", r.LeastAlong.Value, 0.6-8.772982, 1e-6)
	camNear(t, "at", r.LeastAlong.Angle, math.Pi, 1e-6)
}

// An eccentric with a spring under a flat face: N = F0 + kε(1 − cos φ), torque
// N·ε·sin φ, greatest where cos φ solves (F0 + kε)c = kε(2c² − 1).
func TestSprungEccentric(t *testing.T) {
	const f0, k, e = 3, 0.5, 4
	cam := &mech.Cam{
		Shape:    mech.Shape{Kind: mech.ShapeEccentric, Eccentric: mech.Eccentric{DiscRadius: 20, Offset: e}},
		Follower: &mech.Follower{Kind: mech.Flat},
		Load:     mech.CamLoad{SpringRate: camGiven(k), SpringPreload: camGiven(f0), Friction: camGiven(0)},
	}
	r := AnalyseCamLoad(CompileCam(cam, 0, 1), 2)
	b := f0 + k*e
	c := (b - math.Sqrt(b*b+8*k*k*e*e)) / (4 * k * e)
	want := (b - k*e*c) * e * math.Sqrt(1-c*c)
	camNear(t, "peak torque", r.Torque.Max.Value, want, 1e-12)
	camNear(t, "least torque", r.Torque.Min.Value, -want, 1e-12)
	camNear(t, "peak force", r.Normal.Value, f0+2*k*e, 1e-12)
}

// Line contact of F 5 N over 8 mm between radii of 6 mm (200 GPa, 0.29) and 20 mm
// (3.5 GPa, 0.36): p0 = 13.0458791547 MPa, half width 0.0304990835 mm, computed
// for the reference from the formula of the Mechanical Engineer's Data Handbook,
// p. 52.
func TestHertz(t *testing.T) {
	cam := &mech.Cam{
		Thickness: 8,
		Shape:     mech.Shape{Kind: mech.ShapeEccentric, Eccentric: mech.Eccentric{DiscRadius: 20}},
		Follower:  &mech.Follower{Kind: mech.Roller, Radius: 6},
		Load:      mech.CamLoad{Force: camGiven(5), Material: "PLA", FollowerMaterial: "steel"},
	}
	k := AnalyseCamLoad(CompileCam(cam, 0, 1), 1).Contact
	if !k.Known {
		t.Fatalf("missing %s", k.Missing)
	}
	camNear(t, "p0", k.Pressure.Value, 13.0458791547, 1e-9)
	camNear(t, "half width", k.Width/2, 0.0304990835, 1e-8)
	cam.Load.Material = "PETG"
	if k := AnalyseCamLoad(CompileCam(cam, 0, 1), 1).Contact; k.Known || k.Missing == "" {
		t.Errorf("PETG has a modulus: %+v", k)
	}
	cam.Load.Modulus = camGiven(2000)
	if k := AnalyseCamLoad(CompileCam(cam, 0, 1), 1).Contact; !k.Known {
		t.Errorf("the maker's own modulus is not taken: %s", k.Missing)
	}
}

// Free falls of 5, 10 and 20 mm take 31.933, 45.160 and 63.866 ms (computed for
// the reference with g = 9.80665); a spring without weight drops as a quarter of
// a cosine.
func TestDrop(t *testing.T) {
	for _, c := range []struct{ height, ms float64 }{{5, 31.933}, {10, 45.160}, {20, 63.866}} {
		cam := &mech.Cam{Base: 30, Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
			{Over: math.Pi}, {Rise: c.height, Over: math.Pi, Law: mech.Uniform}, {Rise: -c.height},
		}}, Follower: &mech.Follower{Kind: mech.Knife}, Load: mech.CamLoad{Mass: camGiven(0.1), Vertical: true, Friction: camGiven(0)}}
		d := AnalyseCamLoad(CompileCam(cam, 0, 1), 2).Drop
		if d == nil || !d.Known {
			t.Fatal("no drop")
		}
		camNear(t, "fall time", d.Time*1000, c.ms, 1e-5)
		camNear(t, "turned", d.Turned, 2*d.Time, 1e-12)
		camNear(t, "clear", d.Clear, math.Pi+0.1*math.Pi, 1e-9)
		camNear(t, "landing speed", d.Speed, math.Sqrt(2*9806.65*c.height), 1e-6)
		cam.Load.Vertical, cam.Load.SpringRate = false, camGiven(0.2)
		d = AnalyseCamLoad(CompileCam(cam, 0, 1), 2).Drop
		camNear(t, "spring", d.Time, math.Pi/2/math.Sqrt(2000), 1e-6)
	}
}

// Wear by Archard over a round cam turning under a flat face with a constant
// force: the rim slides its whole way under the load, δ = k(N/b) per turn.
func TestWear(t *testing.T) {
	cam := &mech.Cam{
		Thickness: 5,
		Shape:     mech.Shape{Kind: mech.ShapeEccentric, Eccentric: mech.Eccentric{DiscRadius: 20, Offset: 3}},
		Follower:  &mech.Follower{Kind: mech.Flat},
		Load:      mech.CamLoad{Force: camGiven(5), Material: "pla", FollowerMaterial: "brass", Friction: camGiven(0)},
	}
	const speed = 2 * math.Pi * 10 / 60 // 10 rpm
	w := AnalyseCamLoad(CompileCam(cam, 0, 1), speed).Wear
	// The contact is worst where the face stands highest: (R + ε)/R of sliding.
	perTurn := 1.0e-4 / 1000 * 5 / 5 * 23 / 20
	camNear(t, "low", w.Cam.Low*1e6, perTurn*600*1e6, 1e-9)
	camNear(t, "high", w.Cam.High, 4.4*w.Cam.Low, 1e-12)
	least, most := w.Cam.Hours(0.2)
	camNear(t, "hours", least*w.Cam.High, 0.2, 1e-12)
	if !(least < most) {
		t.Errorf("hours %v to %v", least, most)
	}
	if w.Follower.Known {
		t.Errorf("brass on pla has no published wear rate, got %+v", w.Follower)
	}
	// Over a turn the face slides under 5 N by the mean height times 2π.
	cam.Load.FollowerWearRate = camGiven(1e-6)
	w = AnalyseCamLoad(CompileCam(cam, 0, 1), speed).Wear
	camNear(t, "face", w.Follower.Low, 1e-6/1000*5*20*2*math.Pi/(5*6)*600, 1e-9)
	if !w.Follower.Own {
		t.Error("not the maker's own")
	}
	// A roller turns R/Rf times and loses k·N·π/b in its bore each time.
	cam.Follower, cam.Load.FollowerMaterial = &mech.Follower{Kind: mech.Roller, Radius: 4}, "pom"
	cam.Shape.Eccentric.Offset = 0
	w = AnalyseCamLoad(CompileCam(cam, 0, 1), speed).Wear
	if w.Cam.Known || !w.Rolls {
		t.Errorf("a rolled rim wears: %+v", w.Cam)
	}
	camNear(t, "bore", w.Follower.Low, 1e-6/1000*5*math.Pi/5*5*600, 1e-9)
}

func BenchmarkAnalyseCamLoad(b *testing.B) {
	cam := camSprung(mech.Follower{Kind: mech.Roller, Radius: 3})
	cam.Shape = camProgramT()
	cam.Load.GuideLength, cam.Load.GuideOverhang, cam.Load.GuideFriction = camGiven(30), camGiven(25), camGiven(0.2)
	cam.Load.Material, cam.Load.FollowerMaterial = "pla", "steel"
	c := CompileCam(cam, 0, 1)
	b.ReportAllocs()
	for b.Loop() {
		camSink = AnalyseCamLoad(c, 2).MeanTorque
	}
}

// Dense sampling never passes a reported peak of a load, and comes near it; with
// friction, which turns round where the follower does.
func TestLoadPeaksAgainstSampling(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	for trial := range 120 {
		cam, sense := camRandom(r)
		if cam.Shape.Kind == mech.ShapeMeasured && trial%4 > 0 {
			continue // slow to sample
		}
		cam.Load = mech.CamLoad{Mass: camGiven(0.1 * r.Float64()), SpringRate: camGiven(r.Float64()), SpringPreload: camGiven(3), Friction: camGiven(0.3 * r.Float64())}
		if !cam.Follower.Swings() {
			cam.Load.GuideLength, cam.Load.GuideOverhang, cam.Load.GuideFriction = camGiven(30), camGiven(20), camGiven(0.2)
		}
		c := CompileCam(cam, 0, sense)
		const speed = 4
		got := AnalyseCamLoad(c, speed)
		if got.Jams {
			continue
		}
		normal, most, least := math.Inf(-1), math.Inf(-1), math.Inf(1)
		for i := range c.spans {
			from, to := c.spans[i].from, c.spanEnd(i)
			n := max(10, int(4000*(to-from)))
			for j := range n + 1 {
				l := c.spanLift(i, from+(to-from)*float64(j)/float64(n))
				direction := 0.0
				if math.Abs(l.V) > 1e-9 {
					direction = math.Copysign(1, l.V)
				}
				f := c.load.Force(l, speed, direction, false)
				normal, most, least = max(normal, f.Normal), max(most, f.Torque), min(least, f.Torque)
			}
		}
		for _, q := range []struct {
			what         string
			sampled, got float64
		}{{"normal", normal, got.Normal.Value}, {"torque", most, got.Torque.Max.Value}, {"least torque", -least, -got.Torque.Min.Value}} {
			scale := 1e-7 * max(1, math.Abs(q.got))
			if q.sampled > q.got+scale || q.sampled < q.got-1e-3*max(1, math.Abs(q.got)) {
				t.Errorf("trial %d (%v, %+v): %s sampled %.10g, reported %.10g", trial, cam.Shape.Kind, *cam.Follower, q.what, q.sampled, q.got)
			}
		}
	}
}

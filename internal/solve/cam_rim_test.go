package solve

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"understage/internal/mech"
)

// camProgramT: rise 90° cycloidal 10 mm, dwell 60°, return 90° 3-4-5, dwell 120°.
func camProgramT() mech.Shape {
	return mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
		{Rise: 10, Over: 90 * camDeg, Law: mech.Cycloidal}, {Over: 60 * camDeg},
		{Rise: -10, Over: 90 * camDeg, Law: mech.Polynomial345}, {Over: 120 * camDeg},
	}}
}

// camProgramW: rise 100° 3-4-5 of 15°, dwell 40°, return 100° 3-4-5, dwell 120°.
func camProgramW() mech.Shape {
	return mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
		{Rise: 15 * camDeg, Over: 100 * camDeg, Law: mech.Polynomial345}, {Over: 40 * camDeg},
		{Rise: -15 * camDeg, Over: 100 * camDeg, Law: mech.Polynomial345}, {Over: 120 * camDeg},
	}}
}

// Sample geometry of the reference table, each value there computed twice: from
// formulas and from the envelope of the follower's positions. There the mark
// runs along +Y (straight) or the pivot lies along +X (swing); the template
// turns it along +X.
func TestContactSamples(t *testing.T) {
	harmonic := mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
		{Rise: 8, Over: 150 * camDeg, Law: mech.Harmonic}, {Over: 30 * camDeg},
		{Rise: -8, Over: 150 * camDeg, Law: mech.Harmonic}, {Over: 30 * camDeg},
	}}
	for _, c := range []struct {
		name     string
		cam      mech.Cam
		sense    float64
		phi      float64 // degrees
		mark     float64 // degrees, of the mark in the reference's frame
		x, y     float64
		pressure float64 // degrees
		radius   float64
	}{
		{"roller", mech.Cam{Base: 20, Shape: camProgramT(), Follower: &mech.Follower{Kind: mech.Roller, Radius: 4}}, 1, 35, 90, 14.5580917493, 18.0989140534, 22.708630360, 42.186441637},
		{"roller e+5 ccw", mech.Cam{Base: 20, Shape: camProgramT(), Follower: &mech.Follower{Kind: mech.Roller, Radius: 4, Offset: 5}}, 1, 35, 90, 17.7265716519, 14.9905530432, 13.334303881, 49.348397343},
		{"roller e+5 cw", mech.Cam{Base: 20, Shape: camProgramT(), Follower: &mech.Follower{Kind: mech.Roller, Radius: 4, Offset: 5}}, -1, 35, 90, -10.7788707339, 20.4505210323, 31.661461425, 37.790356020},
		{"knife", mech.Cam{Base: 24, Shape: camProgramT(), Follower: &mech.Follower{Kind: mech.Knife}}, 1, 35, 90, 15.4096246022, 22.0072246603, 22.708630360, 46.186441637},
		{"flat", mech.Cam{Base: 22, Shape: harmonic, Follower: &mech.Follower{Kind: mech.Flat}}, 1, 60, 90, 23.7287298682, 8.4284983142, 0, 26.543869910},
		{"swinging roller", mech.Cam{Base: 20, Shape: camProgramW(), Follower: &mech.Follower{Kind: mech.Roller, Radius: 5, Path: mech.Swing, Pivot: r2.Vec{X: 55}, Arm: 45, Left: true}}, 1, 40, 48.24556763, 23.7959617572, 4.2607174167, 18.730343369, 32.473701023},
		{"swinging flat", mech.Cam{Base: 25, Shape: camProgramW(), Follower: &mech.Follower{Kind: mech.Flat, Path: mech.Swing, Pivot: r2.Vec{X: 60}, Face: 2, Left: true}}, 1, 40, 67.4596895365, 31.4693223593, 1.2664651764, 2.704370272, 34.964322161},
	} {
		cam := CompileCam(&c.cam, 0, c.sense)
		k := cam.Contact(c.phi * camDeg)
		if c.name == "swinging roller" {
			// The mark points from the axis to the roller at rest: ψ0 = 26.6274783930°.
			psi := 26.6274783930 * camDeg
			c.mark = math.Atan2(45*math.Sin(psi), 55-45*math.Cos(psi)) / camDeg
		}
		want := r2.Rotate(r2.Vec{X: c.x, Y: c.y}, -c.mark*camDeg, r2.Vec{})
		camNear(t, c.name+" x", k.Rim.X, want.X, 1e-8)
		camNear(t, c.name+" y", k.Rim.Y, want.Y, 1e-8)
		camNear(t, c.name+" pressure angle", k.Pressure/camDeg, c.pressure, 1e-8)
		camNear(t, c.name+" radius", k.Radius, c.radius, 1e-8)
	}
}

// camVariety is a follower of every kind and path, either sign of offset, both
// sides of the pivot.
func camVariety() map[string]*mech.Follower {
	return map[string]*mech.Follower{
		"knife":              {Kind: mech.Knife},
		"knife offset":       {Kind: mech.Knife, Offset: -4},
		"roller":             {Kind: mech.Roller, Radius: 3},
		"roller right":       {Kind: mech.Roller, Radius: 3, Offset: 5},
		"roller left":        {Kind: mech.Roller, Radius: 3, Offset: -5},
		"flat":               {Kind: mech.Flat},
		"swing roller":       {Kind: mech.Roller, Radius: 4, Path: mech.Swing, Pivot: r2.Vec{X: 20, Y: 50}, Arm: 45, Left: true},
		"swing roller right": {Kind: mech.Roller, Radius: 4, Path: mech.Swing, Pivot: r2.Vec{X: -50, Y: 5}, Arm: 40},
		"swing knife":        {Kind: mech.Knife, Path: mech.Swing, Pivot: r2.Vec{X: 50}, Arm: 45},
		"swing flat":         {Kind: mech.Flat, Path: mech.Swing, Pivot: r2.Vec{X: 60}, Face: 2, Left: true},
		"swing flat right":   {Kind: mech.Flat, Path: mech.Swing, Pivot: r2.Vec{Y: 60}, Face: -3},
	}
}

func camNames() []string { return slices.Sorted(maps.Keys(camVariety())) }

func camGentle(swings bool) mech.Shape {
	k := 1.0
	if swings {
		k = 1.0 / 45
	}
	return mech.Shape{Kind: mech.ShapeWaves, Waves: []mech.Wave{{PerTurn: 1, Amplitude: 3 * k, At: 1}, {PerTurn: 2, Amplitude: 1.1 * k, At: 0.3}, {PerTurn: 3, Amplitude: 0.4 * k, At: 2}}}
}

// camFollower is the follower's place at φ and lift, in a frame fixed to the
// cam with the timing mark along +X, by plain construction: the frame of the
// stage turned back. It returns the roller's centre or knife's edge, or a point
// of the face, and the outward normal of the face.
func camFollower(c *mech.Cam, sense, phi, lift float64) (at, normal r2.Vec) {
	at, normal = camStand(c, lift)
	turn := -camTurned(c, sense, phi)
	return r2.Rotate(at, turn, r2.Vec{}), r2.Rotate(normal, turn, r2.Vec{})
}

// camTurned is the angle of the timing mark in the view at φ.
func camTurned(c *mech.Cam, sense, phi float64) float64 {
	mark := c.Follower.Heading
	if c.Follower.Path == mech.Swing {
		rest, n := camStand(c, 0)
		if c.Follower.Kind == mech.Flat {
			rest = n
		}
		mark = math.Atan2(rest.Y, rest.X)
	}
	return mark + sense*phi
}

// camStand is camFollower in the view.
func camStand(c *mech.Cam, lift float64) (at, normal r2.Vec) {
	f := c.Follower
	up := r2.Vec{X: math.Cos(f.Heading), Y: math.Sin(f.Heading)}
	right := r2.Vec{X: up.Y, Y: -up.X}
	prime := c.Base + f.Radius
	a, side := r2.Norm(f.Pivot), -1.0
	if f.Left {
		side = 1
	}
	switch {
	case f.Path == mech.Straight && f.Kind == mech.Flat:
		return r2.Scale(c.Base+lift, up), up
	case f.Path == mech.Straight:
		rise := math.Sqrt(prime*prime-f.Offset*f.Offset) + lift
		return r2.Add(r2.Scale(f.Offset, right), r2.Scale(rise, up)), normal
	case f.Kind == mech.Flat:
		// The face leaves the line from pivot to axis by ψ, on its side.
		psi := math.Asin((c.Base-f.Face)/a) + lift
		n := math.Atan2(f.Pivot.Y, f.Pivot.X) + side*(math.Pi/2-psi)
		normal = r2.Vec{X: math.Cos(n), Y: math.Sin(n)}
		return r2.Add(f.Pivot, r2.Scale(f.Face, normal)), normal
	}
	psi := math.Acos((a*a+f.Arm*f.Arm-prime*prime)/(2*a*f.Arm)) + lift
	along := math.Atan2(f.Pivot.Y, f.Pivot.X) + math.Pi - side*psi
	return r2.Add(f.Pivot, r2.Vec{X: f.Arm * math.Cos(along), Y: f.Arm * math.Sin(along)}), normal
}

// The rim is the envelope of the follower's positions as the cam sees them:
// found here numerically, as the place where neighbouring positions cross.
func TestRimIsEnvelope(t *testing.T) {
	for _, name := range camNames() {
		f := camVariety()[name]
		for _, sense := range []float64{1, -1} {
			cam := &mech.Cam{Base: 22, Shape: camGentle(f.Swings()), Follower: f}
			c := CompileCam(cam, 0, sense)
			for i := range 24 {
				phi := float64(i) * 15 * camDeg
				const h = 2e-4
				place := func(phi float64) (r2.Vec, r2.Vec) {
					return camFollower(cam, sense, phi, c.Lift(phi).S)
				}
				at, _ := place(phi)
				at0, n0 := place(phi - h)
				at1, n1 := place(phi + h)
				want := at
				switch f.Kind {
				case mech.Flat: // p(φ)·n: the neighbouring face lines meet on the rim
					want = camLinesMeet(at0, n0, at1, n1)
				case mech.Roller: // square to the path of the centre, towards the axis
					path := r2.Unit(r2.Sub(at1, at0))
					inward := r2.Vec{X: -path.Y, Y: path.X}
					if r2.Dot(inward, at) > 0 {
						inward = r2.Scale(-1, inward)
					}
					want = r2.Add(at, r2.Scale(f.Radius, inward))
				}
				k := c.Contact(phi)
				if d := r2.Norm(r2.Sub(k.Rim, want)); d > 2e-6 {
					t.Errorf("%s, sense %v, φ %v: rim %v, envelope %v", name, sense, phi, k.Rim, want)
				}
				if f.Kind == mech.Roller {
					if d := r2.Norm(r2.Sub(k.Pitch, at)); d > 1e-11 {
						t.Errorf("%s, sense %v, φ %v: pitch point %v, want %v", name, sense, phi, k.Pitch, at)
					}
				}
			}
		}
	}
}

func camLinesMeet(p, n, q, m r2.Vec) r2.Vec {
	det := r2.Cross(n, m)
	a, b := r2.Dot(n, p), r2.Dot(m, q)
	return r2.Vec{X: (a*m.Y - b*n.Y) / det, Y: (b*n.X - a*m.X) / det}
}

// The radius of curvature is that of the circle through three near points of
// the rim, positive when its centre lies on the axis's side.
func TestRadiusIsThreePointCircle(t *testing.T) {
	for _, name := range camNames() {
		f := camVariety()[name]
		for _, sense := range []float64{1, -1} {
			c := CompileCam(&mech.Cam{Base: 22, Shape: camGentle(f.Swings()), Follower: f}, 0, sense)
			for i := range 36 {
				phi := 0.05 + float64(i)*10*camDeg
				const h = 1e-3
				p, q, r := c.Contact(phi-h).Rim, c.Contact(phi).Rim, c.Contact(phi+h).Rim
				u, v, w := r2.Sub(q, p), r2.Sub(r, q), r2.Sub(r, p)
				area := r2.Cross(u, v) / 2
				// The rim is met clockwise on a counter-clockwise cam.
				want := -sense * 4 * area / (r2.Norm(u) * r2.Norm(v) * r2.Norm(w))
				got := 1 / c.Contact(phi).Radius
				if math.Abs(got-want) > 1e-5*(1+math.Abs(want)) {
					t.Errorf("%s, sense %v, φ %v: curvature %v, three points %v", name, sense, phi, got, want)
				}
			}
		}
	}
}

// The pressure angle lies between the follower's motion and the common normal,
// both taken from the construction, not the formulas.
func TestPressureAngle(t *testing.T) {
	for _, name := range camNames() {
		f := camVariety()[name]
		for _, sense := range []float64{1, -1} {
			cam := &mech.Cam{Base: 22, Shape: camGentle(f.Swings()), Follower: f}
			c := CompileCam(cam, 0, sense)
			for i := range 36 {
				phi := 0.05 + float64(i)*10*camDeg
				l, k := c.Lift(phi), c.Contact(phi)
				const h = 1e-4
				up0, _ := camFollower(cam, sense, phi, l.S-h)
				up1, _ := camFollower(cam, sense, phi, l.S+h)
				motion := r2.Sub(up1, up0)
				along := r2.Sub(c.Contact(phi+h).Rim, c.Contact(phi-h).Rim)
				normal := r2.Vec{X: -along.Y, Y: along.X}
				if r2.Dot(normal, k.Rim) < 0 {
					normal = r2.Scale(-1, normal)
				}
				if f.Kind == mech.Flat && f.Path == mech.Swing {
					// The point of the follower at the contact turns about the pivot.
					pivotTurn := func(s float64) r2.Vec {
						at, n := camFollower(cam, sense, phi, s)
						base, n0 := camFollower(cam, sense, phi, l.S)
						d := r2.Sub(k.Rim, base)
						return r2.Add(at, r2.Rotate(d, math.Atan2(r2.Cross(n0, n), r2.Dot(n0, n)), r2.Vec{}))
					}
					motion = r2.Sub(pivotTurn(l.S+h), pivotTurn(l.S-h))
				}
				want := math.Atan2(r2.Cross(motion, normal), r2.Dot(motion, normal)) * sense
				if math.Abs(k.Pressure-want) > 1e-5 {
					t.Errorf("%s, sense %v, φ %v: pressure angle %v, want %v", name, sense, phi, k.Pressure/camDeg, want/camDeg)
				}
				// Instant centre: the normal passes the line through the cam's axis
				// square to a straight motion at s' from it.
				if f.Path == mech.Straight && f.Kind == mech.Roller {
					up := r2.Unit(motion)
					across := r2.Scale(sense, r2.Vec{X: up.Y, Y: -up.X})
					n := r2.Unit(normal)
					step := -r2.Dot(k.Pitch, up) / r2.Dot(n, up)
					centre := r2.Dot(r2.Add(k.Pitch, r2.Scale(step, n)), across)
					if math.Abs(centre-l.V) > 1e-4 {
						t.Errorf("%s, sense %v, φ %v: instant centre at %v, s' is %v", name, sense, phi, centre, l.V)
					}
				}
			}
		}
	}
}

// An eccentric under every follower: the rim that follows from its motion is the
// round disc, and its derivatives are those of its values. Closed forms: a flat
// face R − ε cos φ (a harmonic), a roller a slider-crank; the sample is computed
// for the reference: ε 5, R 15, r 3, 60° from the top: 19.9714052097, 17.5,
// 16.8614066163.
func TestEccentric(t *testing.T) {
	disc := func(f *mech.Follower) *mech.Cam {
		return &mech.Cam{Shape: mech.Shape{Kind: mech.ShapeEccentric, Eccentric: mech.Eccentric{DiscRadius: 15, Offset: 5}}, Follower: f}
	}
	at := (180 - 60) * camDeg // φ counts from the nearest place
	for _, c := range []struct {
		f      *mech.Follower
		height float64
	}{
		{&mech.Follower{Kind: mech.Roller, Radius: 3}, 19.9714052097},
		{&mech.Follower{Kind: mech.Flat}, 17.5},
		{&mech.Follower{Kind: mech.Knife}, 16.8614066163},
	} {
		cam := CompileCam(disc(c.f), 0, 1)
		camNear(t, c.f.Kind.String(), cam.Lift(at).S+cam.PrimeRadius(), c.height, 1e-10)
	}
	for _, name := range camNames() {
		f := camVariety()[name]
		for _, sense := range []float64{1, -1} {
			cam := CompileCam(disc(f), 0, sense)
			if cam.Status != CamSolved {
				t.Fatalf("%s: status %v", name, cam.Status)
			}
			camNear(t, name+" least lift", cam.LiftRange().Min.Value, 0, 1e-12)
			for i := range 24 {
				phi := float64(i) * 15 * camDeg
				k := cam.Contact(phi)
				camNear(t, name+" disc", math.Hypot(k.Rim.X+5, k.Rim.Y), 15, 1e-12)
				camNear(t, name+" radius", k.Radius, 15, 1e-10)
				camDerivatives(t, name, cam, phi)
			}
			if r := AnalyseCam(cam, 30*camDeg); r.LeastConvex.Value != 15 || r.Undercut {
				t.Errorf("%s: least convex %v, undercut %v", name, r.LeastConvex.Value, r.Undercut)
			}
		}
	}
}

// Motion to rim to motion: a rim's exact points, in order of their angle, given
// back as a measured rim, move the follower as the motion said. The spline
// between 3600 points is itself exact to about 1e-10 mm here.
func TestMotionRimMotion(t *testing.T) {
	for _, name := range camNames() {
		f := camVariety()[name]
		for _, sense := range []float64{1, -1} {
			c := CompileCam(&mech.Cam{Base: 22, Shape: camGentle(f.Swings()), Follower: f}, 0, sense)
			rim := camTrace(c, 3600, sense)
			back := CompileCam(&mech.Cam{Shape: mech.Shape{Kind: mech.ShapeMeasured, Rim: rim}, Follower: f}, 0, sense)
			if back.Status != CamSolved || len(back.rim.bridges) != 0 {
				t.Fatalf("%s: status %v, %d bridges", name, back.Status, len(back.rim.bridges))
			}
			// Zero lift puts the mark; the stated motion is zero on the base circle
			// too, so both agree.
			for i := range draws(60) {
				phi := float64(i) * 6.1 * camDeg
				l, m := c.Lift(phi), back.Lift(phi)
				tol := 1e-9
				if f.Swings() {
					tol /= 45
				}
				if math.Abs(l.S-m.S) > tol {
					t.Errorf("%s, sense %v, φ %v: lift %.12g, want %.12g", name, sense, phi, m.S, l.S)
				}
				if math.Abs(l.V-m.V) > 1e3*tol || math.Abs(l.A-m.A) > 1e5*tol {
					t.Errorf("%s, sense %v, φ %v: derivatives %+v, want %+v", name, sense, phi, m, l)
				}
			}
		}
	}
}

// camTrace is the rim of c as radii at n equal angles from the mark, running
// with φ, each found by bisection on the exact contact points.
func camTrace(c *Cam, n int, sense float64) []mech.Point {
	angle := func(phi float64) float64 { // polar angle from the mark, growing with φ
		k := c.Contact(phi)
		a := -sense * math.Atan2(k.Rim.Y, k.Rim.X)
		return a + 2*math.Pi*math.Round((phi-a)/(2*math.Pi))
	}
	points := make([]mech.Point, n)
	for i := range points {
		want := 2 * math.Pi * float64(i) / float64(n)
		phi := camSwitch(want-1, want+1, func(p float64) bool { return angle(p) < want })
		points[i] = mech.Point{Angle: want, Value: r2.Norm(c.Contact(phi).Rim)}
	}
	return points
}

// A follower on a wavy rim goes where the highest contact holds it: found here
// by trying every place of the rim. The hollows are sharper than the roller and
// the lobes hold a flat face off.
func TestTrueContact(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	bridged := map[mech.FollowerKind]int{}
	for _, name := range camNames() {
		f := camVariety()[name]
		for range draws(4) {
			n := 12 + r.IntN(10)
			rim := make([]mech.Point, n)
			for i := range rim {
				rim[i] = mech.Point{Angle: 2 * math.Pi * (float64(i) + 0.3*r.Float64()) / float64(n), Value: 22 + 4*r.Float64()}
			}
			for _, sense := range []float64{1, -1} {
				cam := &mech.Cam{Shape: mech.Shape{Kind: mech.ShapeMeasured, Rim: rim}, Follower: f}
				c := CompileCam(cam, 0, sense)
				if c.Status != CamSolved {
					t.Fatalf("%s: status %v", name, c.Status)
				}
				bridged[f.Kind] += len(c.rim.bridges)
				cam.Base = c.BaseRadius()
				for i := range 20 {
					phi := 0.01 + float64(i)*18*camDeg
					want := 0.0
					if f.Kind == mech.Knife {
						want = camKnifeTouch(c, cam, sense, phi)
					} else {
						want = camTouch(c, cam, sense, phi)
					}
					if got := c.Lift(phi).S; math.Abs(got-want) > 1e-8 {
						t.Errorf("%s, sense %v, φ %.3f: lift %.9g, by trial %.9g", name, sense, phi, got, want)
					}
				}
			}
		}
	}
	if !testing.Short() && (bridged[mech.Roller] == 0 || bridged[mech.Flat] == 0) {
		t.Errorf("bridges by follower: %v; nothing was put to the test", bridged)
	}
}

// camKnifeTouch lowers a knife from above until its edge meets the rim.
func camKnifeTouch(c *Cam, cam *mech.Cam, sense, phi float64) float64 {
	inside := func(lift float64) bool {
		at, _ := camFollower(cam, sense, phi, lift)
		return r2.Norm(at) < c.rimRadius(camReduce(-sense*math.Atan2(at.Y, at.X)))
	}
	step, high := 0.02, 12.0
	if cam.Follower.Swings() {
		step, high = step/45, 0.5
	}
	for !inside(high - step) {
		high -= step
	}
	return camSwitch(high-step, high, inside)
}

// camTouch is the lift that the most demanding point of the rim asks for: tried
// all round, then ever closer about the best.
func camTouch(c *Cam, cam *mech.Cam, sense, phi float64) float64 {
	best, at := math.Inf(-1), 0.0
	width, n := math.Pi, 3000
	for range 4 {
		centre := at
		for i := -n; i <= n; i++ {
			gamma := centre + width*float64(i)/float64(n)
			if need := camNeed(c, cam, sense, phi, gamma); need > best {
				best, at = need, gamma
			}
		}
		width, n = 2*width/float64(n), 60
	}
	return best
}

// camNeed is the least lift at which the follower is clear of the rim's point
// at γ, -Inf when it never meets that point.
func camNeed(c *Cam, cam *mech.Cam, sense, phi, gamma float64) float64 {
	f := cam.Follower
	radius, polar := c.rimRadius(camReduce(gamma)), camTurned(cam, sense, phi)-sense*gamma
	p := r2.Vec{X: radius * math.Cos(polar), Y: radius * math.Sin(polar)}
	at, normal := camStand(cam, 0)
	a, side := r2.Norm(f.Pivot), -1.0
	if f.Left {
		side = 1
	}
	away := r2.Sub(p, f.Pivot)
	// Angle at the pivot from the cam's axis to the point, on the follower's side.
	lies := side * math.Atan2(r2.Cross(away, r2.Scale(-1, f.Pivot)), -r2.Dot(away, f.Pivot))
	switch {
	case f.Path == mech.Straight && f.Kind == mech.Flat:
		return r2.Dot(p, normal) - cam.Base
	case f.Path == mech.Straight:
		up := r2.Vec{X: math.Cos(f.Heading), Y: math.Sin(f.Heading)}
		d := r2.Sub(p, at)
		across := r2.Cross(up, d)
		return r2.Dot(d, up) + math.Sqrt(max(f.Radius*f.Radius-across*across, 0)) + camNever(math.Abs(across) > f.Radius)
	case f.Kind == mech.Flat:
		return lies + math.Asin(-f.Face/r2.Norm(away)) - math.Asin((cam.Base-f.Face)/a)
	}
	reach := r2.Norm(away)
	cos := (reach*reach + f.Arm*f.Arm - f.Radius*f.Radius) / (2 * reach * f.Arm)
	rest := math.Acos((a*a + f.Arm*f.Arm - c.prime*c.prime) / (2 * a * f.Arm))
	return lies + math.Acos(min(cos, 1)) - rest + camNever(cos > 1)
}

func camNever(never bool) float64 {
	if never {
		return math.Inf(-1)
	}
	return 0
}

func (c *Cam) rimRadius(gamma float64) float64 {
	p := c.rim.profile
	i := len(p) - 1
	for i > 0 && gamma < p[i].from {
		i--
	}
	if gamma < p[0].from {
		i = len(p) - 1
		gamma += 2 * math.Pi
	}
	return p[i].lift(gamma).S
}

func BenchmarkContact(b *testing.B) {
	for _, name := range camNames() {
		f := camVariety()[name]
		b.Run(name, func(b *testing.B) {
			c := CompileCam(&mech.Cam{Base: 22, Shape: camGentle(f.Swings()), Follower: f}, 0, 1)
			l := c.Lift(1)
			b.ReportAllocs()
			phi, sum := 0.0, 0.0
			for b.Loop() {
				k := c.ContactAt(phi, l)
				sum += k.Rim.X + k.Rim.Y + k.Pressure + k.Radius
				phi += 0.01
			}
			camSink = sum
		})
	}
}

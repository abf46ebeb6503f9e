package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/diff/fd"

	"understage/internal/mech"
)

const camDeg = math.Pi / 180

// camNear fails unless got is within tol of want, relative above 1.
func camNear(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*max(1, math.Abs(want))) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

// camUnitRise is a unit rise over one radian, a dwell, and the fall back.
func camUnitRise(law mech.Law) *mech.Cam {
	return &mech.Cam{Base: 10, Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
		{Rise: 1, Over: 1, Law: law}, {Over: 1}, {Rise: -1, Over: 1, Law: law}, {Over: 2*math.Pi - 3},
	}}, Follower: &mech.Follower{Kind: mech.Knife}}
}

// Peak factors of R. L. Norton, Design of Machinery, Table 8-2, to the exact
// values of which the printed 4.945, 5.777 and 7.526 are no roundings.
func TestLawPeakFactors(t *testing.T) {
	pi := math.Pi
	for _, c := range []struct {
		law        mech.Law
		cv, ca, cj float64 // Cj 0: not bounded at the ends
	}{
		{mech.Uniform, 1, 0, 0},
		{mech.Parabolic, 2, 4, 0},
		{mech.Harmonic, pi / 2, pi * pi / 2, 0},
		{mech.Cycloidal, 2, 2 * pi, 4 * pi * pi},
		{mech.ModifiedTrapezoid, 2, 8 * pi / (2 + pi), 61.425974812},
		{mech.ModifiedSine, 4 * pi / (4 + pi), 4 * pi * pi / (4 + pi), 16 * pi * pi * pi / (4 + pi)},
		{mech.Polynomial345, 1.875, 10 / math.Sqrt(3), 60},
		{mech.Polynomial4567, 2.1875, 84 * math.Sqrt(5) / 25, 52.5},
	} {
		cam := CompileCam(camUnitRise(c.law), 0, 1)
		r := AnalyseCam(cam, 30*camDeg)
		name := c.law.String()
		camNear(t, name+" Cv", r.Velocity.Max.Value, c.cv, 1e-9)
		camNear(t, name+" fall Cv", r.Velocity.Min.Value, -c.cv, 1e-9)
		camNear(t, name+" Ca", r.Acceleration.Max.Value, c.ca, 1e-9)
		if c.cj == 0 {
			continue
		}
		jerk := 0.0
		for i := range 100001 {
			jerk = max(jerk, math.Abs(cam.Lift(float64(i)/100000).J))
		}
		camNear(t, name+" Cj", jerk, c.cj, 1e-6)
	}
}

// Samples computed for the reference table by Gauss–Legendre integration of the
// accelerations.
func TestLawSamples(t *testing.T) {
	for _, c := range []struct {
		law        mech.Law
		x          float64
		s, v, a, j float64
	}{
		{mech.Harmonic, 0.1, 0.0244717419, 0.4854027597, 4.6932757895, -4.790733213},
		{mech.Harmonic, 0.3, 0.2061073739, 1.2708009231, 2.9006039565, -12.542302383},
		{mech.Cycloidal, 0.1, 0.0064510716, 0.1909830056, 3.6931636610, 31.938710753},
		{mech.Cycloidal, 0.3, 0.1486346543, 1.3090169944, 5.9756643295, -12.199501951},
		{mech.ModifiedTrapezoid, 0.1, 0.0094590641, 0.2687816994, 4.6488819571, 18.981670113},
		{mech.ModifiedTrapezoid, 0.3, 0.1605903487, 1.2444061881, 4.8881237628, 0},
		{mech.ModifiedSine, 0.1, 0.0106972128, 0.3039640091, 5.2573995937, 21.466284940},
		{mech.ModifiedSine, 0.3, 0.1778877626, 1.3229542069, 4.1080726924, -15.494021925},
		{mech.Polynomial345, 0.3, 0.16308, 1.323, 5.04, -15.6},
		{mech.Polynomial4567, 0.3, 0.126036, 1.29654, 7.4088, -8.82},
		{mech.Parabolic, 0.3, 0.18, 1.2, 4, 0},
		{mech.Parabolic, 0.7, 0.82, 1.2, -4, 0},
	} {
		l := CompileCam(camUnitRise(c.law), 0, 1).Lift(c.x)
		name := c.law.String()
		camNear(t, name+" S", l.S, c.s, 2e-10)
		camNear(t, name+" S'", l.V, c.v, 2e-10)
		camNear(t, name+" S''", l.A, c.a, 2e-10)
		camNear(t, name+" S'''", l.J, c.j, 2e-10)
	}
}

// Every law is point-symmetric, S(x) = 1 − S(1−x), and its derivatives are those
// of its values.
func TestLawSymmetryAndDerivatives(t *testing.T) {
	for _, law := range mech.Laws {
		cam := CompileCam(camUnitRise(law), 0, 1)
		for _, x := range []float64{0.03, 0.11, 0.2, 0.31, 0.42, 0.49, 0.58, 0.66, 0.81, 0.93} {
			camNear(t, law.String()+" symmetry", cam.Lift(x).S+cam.Lift(1-x).S, 1, 1e-13)
			camDerivatives(t, law.String(), cam, x)
		}
	}
}

// camDerivatives compares each derivative with finite differences of the one
// below it.
func camDerivatives(t *testing.T, name string, c *Cam, phi float64) {
	t.Helper()
	central := &fd.Settings{Formula: fd.Central, Step: 1e-5}
	at := c.Lift(phi)
	scale := math.Abs(at.V) + math.Abs(at.A) + math.Abs(at.J) + 1
	for _, d := range []struct {
		what string
		of   func(Lift) float64
		want float64
	}{
		{"s'", func(l Lift) float64 { return l.S }, at.V},
		{"s''", func(l Lift) float64 { return l.V }, at.A},
		{"s'''", func(l Lift) float64 { return l.A }, at.J},
	} {
		got := fd.Derivative(func(x float64) float64 { return d.of(c.Lift(x)) }, phi, central)
		if math.Abs(got-d.want) > 2e-6*scale {
			t.Errorf("%s: %s at φ = %v is %v, finite difference %v", name, d.what, phi, d.want, got)
		}
	}
}

// Knots 0, 5, 8, 2 at quarter turns: second derivatives 3.6475626112,
// −0.6079271019, −6.0792710185, 3.0396355093, computed for the reference table
// from the full cyclic system.
func TestSpline(t *testing.T) {
	cam := CompileCam(&mech.Cam{Base: 10, Shape: mech.Shape{Kind: mech.ShapeThrough, Points: []mech.Point{
		{Angle: 0, Value: 0}, {Angle: 90 * camDeg, Value: 5}, {Angle: 180 * camDeg, Value: 8}, {Angle: 270 * camDeg, Value: 2},
	}}, Follower: &mech.Follower{Kind: mech.Knife}}, 0, 1)
	for i, m := range []float64{3.6475626112, -0.6079271019, -6.0792710185, 3.0396355093} {
		camNear(t, "s'' at a knot", cam.Lift(float64(i)*math.Pi/2).A, m, 2e-10)
	}
	camNear(t, "s(45°)", cam.Lift(45*camDeg).S, 2.03125, 1e-12)
	camNear(t, "s(120°)", cam.Lift(120*camDeg).S, 6.8333333333, 1e-10)
	camNear(t, "s(300°)", cam.Lift(300*camDeg).S, 0.4259259259, 1e-10)
	e := cam.LiftRange()
	camNear(t, "max", e.Max.Value, 8.177236256, 1e-9)
	camNear(t, "max at", e.Max.Angle/camDeg, 165.4399, 1e-6)
	camNear(t, "min", e.Min.Value, -0.285283668, 1e-9)
	camNear(t, "min at", e.Min.Angle/camDeg, 337.0107, 1e-6)
}

// Knots anywhere, two or more: the curve passes through them and is C2 across
// the seam.
func TestSplinePasses(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := 2; n < 30; n++ {
		points := make([]mech.Point, n)
		for i := range points {
			points[i] = mech.Point{Angle: (float64(i) + 0.8*r.Float64()) * 2 * math.Pi / float64(n), Value: 10 * r.Float64()}
		}
		cam := CompileCam(&mech.Cam{Base: 30, Shape: mech.Shape{Kind: mech.ShapeThrough, Points: points}, Follower: &mech.Follower{}}, 0, 1)
		for i, p := range points {
			l := cam.Lift(p.Angle)
			camNear(t, "knot", l.S, p.Value, 1e-12)
			if s := cam.Step(p.Angle); s != NoStep {
				t.Errorf("n = %d: step %d at knot %d", n, s, i)
			}
			before := cam.spanLift((i+n-1)%n, cam.spanEnd((i+n-1)%n))
			camNear(t, "s' across a knot", before.V, l.V, 1e-10)
			camNear(t, "s'' across a knot", before.A, l.A, 1e-9)
		}
	}
}

func TestWaves(t *testing.T) {
	waves := []mech.Wave{{PerTurn: 1, Amplitude: 4.4}, {PerTurn: 2, Amplitude: 1.6, At: 70 * camDeg}, {PerTurn: 19, Amplitude: 0.2, At: 1}, {PerTurn: 2, Amplitude: -0.3}, {PerTurn: -3, Amplitude: 0.5, At: 0.3}}
	cam := CompileCam(&mech.Cam{Base: 16, Shape: mech.Shape{Kind: mech.ShapeWaves, Waves: waves}}, 3, 1)
	direct := func(phi float64) float64 {
		s := 0.0
		for _, w := range waves {
			s += w.Amplitude * math.Cos(float64(w.PerTurn)*(phi-w.At))
		}
		return s
	}
	least := math.Inf(1)
	for i := range 200000 {
		least = min(least, direct(float64(i)*math.Pi/100000))
	}
	for _, phi := range []float64{0, 0.1, 1, 2.5, 3, 4.4, 6.2, -1, 100} {
		camNear(t, "waves", cam.Lift(phi).S, direct(phi)-least, 1e-8)
		camDerivatives(t, "waves", cam, phi)
	}
	if s := cam.LiftRange().Min.Value; s != 0 {
		t.Errorf("least lift %v, want 0", s)
	}
	if len(cam.Breaks()) != 0 {
		t.Errorf("waves break at %v", cam.Breaks())
	}
}

// Any real φ reduces to one turn, joints show the value just after, and what is
// infinite there is flagged.
func TestJoints(t *testing.T) {
	motion := func(segments ...mech.Segment) *Cam {
		return CompileCam(&mech.Cam{Base: 10, Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: segments}, Follower: &mech.Follower{}}, 0, 1)
	}
	drop := motion(mech.Segment{Rise: 6, Over: 2 * math.Pi, Law: mech.Uniform}, mech.Segment{Rise: -6})
	for _, phi := range []float64{0, 2 * math.Pi, -2 * math.Pi, 200 * math.Pi} {
		l, s := drop.Lift(phi), drop.Step(phi)
		if math.Abs(l.S) > 1e-12 || s != LiftStep || !s.Infinite(1) || !s.Infinite(3) {
			t.Errorf("drop at φ = %v: %+v, %v", phi, l, s)
		}
	}
	if s := drop.Step(1); s != NoStep || s.Infinite(3) {
		t.Errorf("no joint at 1 rad: %v", s)
	}
	// A fall first: the start is raised so that the least lift is zero.
	low := motion(mech.Segment{Rise: -4, Over: 2, Law: mech.Harmonic}, mech.Segment{Over: 1}, mech.Segment{Rise: 4, Over: 2*math.Pi - 3, Law: mech.Parabolic})
	camNear(t, "start", low.Lift(0).S, 4, 1e-14)
	camNear(t, "bottom", low.Lift(2.5).S, 0, 1e-14)
	if s := low.Step(3); s != AccelerationStep || s.Infinite(2) || !s.Infinite(3) {
		t.Errorf("parabolic start: %v", s)
	}
	up := motion(mech.Segment{Rise: 4, Over: 2, Law: mech.Uniform}, mech.Segment{Rise: -4, Over: 2*math.Pi - 2, Law: mech.Uniform})
	if s := up.Step(2); s != VelocityStep || s.Infinite(1) || !s.Infinite(2) {
		t.Errorf("uniform turn: %v", s)
	}
}

func BenchmarkLift(b *testing.B) {
	two := []mech.Wave{{PerTurn: 1, Amplitude: 4.4}, {PerTurn: 2, Amplitude: 1.6, At: 1.2}}
	bench := func(name string, cam *mech.Cam) {
		b.Run(name, func(b *testing.B) {
			c := CompileCam(cam, 3, 1)
			b.ReportAllocs()
			phi, sum := 0.0, 0.0
			for b.Loop() {
				l := c.Lift(phi)
				sum += l.S + l.V + l.A + l.J
				phi += 0.01
				if phi > 6.28 {
					phi = 0
				}
			}
			camSink = sum
		})
	}
	for _, law := range mech.Laws {
		bench(law.String(), camUnitRise(law))
	}
	bench("two waves", &mech.Cam{Base: 16, Shape: mech.Shape{Kind: mech.ShapeWaves, Waves: two}})
	bench("eccentric", &mech.Cam{Shape: mech.Shape{Kind: mech.ShapeEccentric, Eccentric: mech.Eccentric{DiscRadius: 18, Offset: 4}}})
}

var camSink float64

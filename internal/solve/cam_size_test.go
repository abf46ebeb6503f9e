package solve

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"understage/internal/mech"
)

func camOf(base float64, shape mech.Shape, f mech.Follower, sense float64) CamResult {
	c := CompileCam(&mech.Cam{Base: base, Shape: shape, Follower: &f}, 0, sense)
	r := AnalyseCam(c, 30*camDeg)
	r.Sizing = SizeCam(c, &r, 30*camDeg)
	return r
}

// Programme T within 30° on both flanks: no offset asks for a prime radius of
// 17.509445300, +5 for 25.358716412 (computed for the reference table).
func TestSizeForPressureAngle(t *testing.T) {
	shape := camProgramT()
	camNear(t, "no offset", camOf(20, shape, mech.Follower{Kind: mech.Roller, Radius: 4}, 1).Sizing.Base.Value, 17.509445300-4, 1e-9)
	camNear(t, "offset +5", camOf(20, shape, mech.Follower{Kind: mech.Roller, Radius: 4, Offset: 5}, 1).Sizing.Base.Value, 25.358716412-4, 1e-9)
	camNear(t, "cw, offset -5", camOf(20, shape, mech.Follower{Kind: mech.Roller, Radius: 4, Offset: -5}, -1).Sizing.Base.Value, 25.358716412-4, 1e-9)
}

// A cam of the size found stands exactly at the limit, and one a little smaller
// passes it; no offset near the best one allows a smaller base.
func TestSizesHold(t *testing.T) {
	shape := camProgramT()
	shape.Segments[2].Over, shape.Segments[3].Over = 120*camDeg, 90*camDeg // a gentler return, so that an offset helps
	for _, sense := range []float64{1, -1} {
		f := mech.Follower{Kind: mech.Roller, Radius: 3, Offset: 2}
		s := camOf(20, shape, f, sense).Sizing
		peak := func(base, offset float64) float64 {
			f.Offset = offset
			return camOf(base, shape, f, sense).PeakPressure.Value
		}
		camNear(t, "at the least base", peak(s.Base.Value, 2), 30*camDeg, 1e-9)
		camNear(t, "at the best offset", peak(s.BestBase.Value, s.BestOffset.Value), 30*camDeg, 1e-9)
		for _, shift := range []float64{-0.5, -0.05, 0.05, 0.5} {
			if p := peak(s.BestBase.Value, s.BestOffset.Value+shift); p <= 30*camDeg {
				t.Errorf("sense %v: offset %v beats the best %v", sense, s.BestOffset.Value+shift, s.BestOffset.Value)
			}
		}
		if s.BestOffset.Value*sense <= 0 {
			t.Errorf("sense %v: best offset %v should help the rise", sense, s.BestOffset.Value)
		}
	}
}

// The least base without undercut leaves a rim with a cusp: its radius is 0.
func TestSizeWithoutUndercut(t *testing.T) {
	shape := camProgramT()
	small := camOf(4, shape, mech.Follower{Kind: mech.Roller, Radius: 17}, 1)
	if !small.Undercut || small.LeastConvex.Value > 0 {
		t.Fatalf("not undercut: %+v", small.LeastConvex)
	}
	for _, base := range []float64{4, 40} {
		fair := camOf(base, shape, mech.Follower{Kind: mech.Roller, Radius: 17}, 1).Sizing.Fair.Value
		camNear(t, "roller at the cusp", camOf(fair, shape, mech.Follower{Kind: mech.Roller, Radius: 17}, 1).LeastConvex.Value, 0, 1e-7)
		fair = camOf(base, shape, mech.Follower{Kind: mech.Flat}, 1).Sizing.Fair.Value
		camNear(t, "flat at the cusp", camOf(fair, shape, mech.Follower{Kind: mech.Flat}, 1).LeastConvex.Value, 0, 1e-9)
	}
	arm := mech.Follower{Kind: mech.Roller, Radius: 5, Path: mech.Swing, Pivot: r2.Vec{X: 55}, Arm: 45, Left: true}
	s := camOf(20, camProgramW(), arm, 1).Sizing
	if !s.Base.OK {
		t.Fatal("no base for the arm")
	}
	camNear(t, "arm at the limit", camOf(s.Base.Value, camProgramW(), arm, 1).PeakPressure.Value, 30*camDeg, 1e-7)
}

// Exercises read with their answers derived: a flat follower on a harmonic rise
// and return of 50 mm, least radius 25 mm, rides on a circle of 50 mm about a
// point 25 mm off the axis, with a face of ±25 mm; s = kθ², 10 mm at 60°, has
// s = 5.625 and s' = 14.32394488 at 45°.
func TestFlatExercises(t *testing.T) {
	half := []mech.Segment{{Rise: 50, Over: math.Pi, Law: mech.Harmonic}, {Rise: -50, Over: math.Pi, Law: mech.Harmonic}}
	r := camOf(25, mech.Shape{Kind: mech.ShapeMotion, Segments: half}, mech.Follower{Kind: mech.Flat}, 1)
	camNear(t, "face", r.Face.Max.Value, 25, 1e-12)
	camNear(t, "face", r.Face.Min.Value, -25, 1e-12)
	camNear(t, "radius", r.LeastConvex.Value, 50, 1e-12)
	c := CompileCam(&mech.Cam{Base: 25, Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: half}, Follower: &mech.Follower{Kind: mech.Flat}}, 0, 1)
	for i := range 36 {
		k := c.Contact(float64(i) * 10 * camDeg)
		camNear(t, "circle", math.Hypot(k.Rim.X+25, k.Rim.Y), 50, 1e-12)
	}
	// The first half of a parabolic rise of 20 mm over 120° is s = kθ².
	par := CompileCam(&mech.Cam{Base: 25, Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
		{Rise: 20, Over: 120 * camDeg, Law: mech.Parabolic}, {Rise: -20, Over: 240 * camDeg, Law: mech.Parabolic},
	}}, Follower: &mech.Follower{Kind: mech.Flat}}, 0, 1)
	l := par.Lift(45 * camDeg)
	camNear(t, "s(45°)", l.S, 5.625, 1e-12)
	camNear(t, "s'(45°)", l.V, 14.32394488, 1e-9)
	camNear(t, "radius less base and lift", par.Contact(45*camDeg).Radius-25-l.S, 18.23781306, 1e-8)
}

// Worked examples with printed answers: B. K. Sarkar, Theory of Machines (2002),
// ch. 9, illustrations 2, 3 and 5 (its "m/s**2" of the last are cm/s²).
func TestWorkedAccelerations(t *testing.T) {
	for _, c := range []struct {
		name           string
		lift, up, down float64
		law            mech.Law
		rpm            float64
		out, back      float64 // m/s²
		tol            float64 // of the digits printed
	}{
		{"illustration 2", 40, 60, 90, mech.Harmonic, 300, 177.6, 78.9, 1e-3},
		{"illustration 3", 50, 120, 60, mech.Harmonic, 100, 6.2, 24.7, 6e-3},
		{"illustration 5", 25, 120, 90, mech.Parabolic, 1000, 250.000, 444.444, 2e-6},
	} {
		r := camOf(40, mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
			{Rise: c.lift, Over: c.up * camDeg, Law: c.law}, {Over: 30 * camDeg},
			{Rise: -c.lift, Over: c.down * camDeg, Law: c.law}, {Over: (330 - c.up - c.down) * camDeg},
		}}, mech.Follower{Kind: mech.Knife}, 1)
		w := c.rpm * math.Pi / 30
		out := CompileCam(&mech.Cam{Base: 40, Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
			{Rise: c.lift, Over: c.up * camDeg, Law: c.law}, {Rise: -c.lift, Over: (360 - c.up) * camDeg, Law: mech.Cycloidal},
		}}, Follower: &mech.Follower{}}, 0, 1).Lift(0).A
		camNear(t, c.name+" out", out*w*w/1000, c.out, c.tol)
		camNear(t, c.name+" back", max(r.Acceleration.Max.Value, -r.Acceleration.Min.Value)*w*w/1000, max(c.back, c.out), c.tol)
	}
}

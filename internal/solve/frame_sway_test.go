package solve

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// swayCams is one cam for each of the ways in which a lift can change: smoothly, with
// jumps of acceleration, of velocity and of the lift, and resting between.
func swayCams() map[string]*mech.Cam {
	motion := func(law mech.Law, fall float64) mech.Shape {
		return mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
			{Rise: 6, Over: 2, Law: law}, {Over: 1}, {Rise: -6, Over: fall, Law: law}, {Over: 2*math.Pi - 3 - fall},
		}}
	}
	shapes := map[string]mech.Shape{
		"drop":    motion(mech.Harmonic, 0),
		"waves":   {Kind: mech.ShapeWaves, Waves: []mech.Wave{{PerTurn: 1, Amplitude: 4}, {PerTurn: 5, Amplitude: 0.5, At: 1}}},
		"through": {Kind: mech.ShapeThrough, Points: []mech.Point{{Angle: 0, Value: 1}, {Angle: 2, Value: 5}, {Angle: 3, Value: 3}, {Angle: 5, Value: 4}}},
		"disc":    {Kind: mech.ShapeEccentric, Eccentric: mech.Eccentric{DiscRadius: 20, Offset: 4}},
	}
	for _, law := range []mech.Law{mech.Uniform, mech.Parabolic, mech.Harmonic, mech.ModifiedSine, mech.Polynomial4567} {
		shapes[law.String()] = motion(law, 1.5)
	}
	cams := map[string]*mech.Cam{}
	for name, shape := range shapes {
		cams[name+" roller"] = &mech.Cam{Base: 20, Shape: shape, Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Offset: 2}}
		cams[name+" knife"] = &mech.Cam{Base: 20, Shape: shape, Follower: &mech.Follower{Kind: mech.Knife}}
		cams[name+" flat"] = &mech.Cam{Base: 40, Shape: shape, Follower: &mech.Follower{Kind: mech.Flat}}
		cams[name+" swing"] = &mech.Cam{Base: 30, Shape: shape, Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Path: mech.Swing, Pivot: r2.Vec{X: 60}, Arm: 48}}
	}
	return cams
}

// A lift stays within its sway, and comes near to it.
func TestCamSwayHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	for name, spec := range swayCams() {
		cam := CompileCam(spec, 0, 1)
		if cam.Status != CamSolved {
			continue
		}
		b := &frameBuild{cams: []*Cam{cam}, results: []CamResult{AnalyseCam(cam, 0.5)}}
		w := b.camSway(0)
		used := 0.0
		for range draws(400) {
			phi, reach := 7*r.Float64(), math.Exp(-6*r.Float64())
			l := cam.Lift(phi)
			by := w.of(phi, &l, reach)
			for range 40 {
				change := cam.Lift(phi+reach*(2*r.Float64()-1)).S - l.S
				if change > by.up+1e-9 || change < -by.down-1e-9 {
					t.Fatalf("%s: at %g within %g the lift changes by %g, sway %+v", name, phi, reach, change, by)
				}
				if by.most() > 1e-6 {
					used = max(used, math.Abs(change)/by.most())
				}
			}
		}
		if used < 0.7 {
			t.Errorf("%s: no more than %g of the sway is used", name, used)
		}
	}
}

// A rim as drawn for collisions passes through the follower's places of contact, and
// reaches its greatest radius.
func TestRimIsDrawnThroughContacts(t *testing.T) {
	drawn := 0
	for name, spec := range swayCams() {
		for _, sense := range []float64{1, -1} {
			cam := CompileCam(spec, 0, sense)
			result := AnalyseCam(cam, 0.5)
			if cam.Status != CamSolved || result.Undercut || slices.ContainsFunc(result.Jumps, func(j CamJump) bool { return j.Step <= VelocityStep }) {
				continue
			}
			rim := newFrameRim(cam)
			rim.draw()
			drawn++
			most, worst := 0.0, 0.0
			for k := range 7200 {
				p := cam.Contact(2 * math.Pi * float64(k) / 7200).Rim
				most = max(most, r2.Norm(p))
				worst = max(worst, r2.Norm(r2.Sub(nearestOf(rim.corners, p), p)))
			}
			if worst > 5e-3 {
				t.Errorf("%s: the rim passes a contact at %g", name, worst)
			}
			if rim.greatest < most-1e-9 || rim.greatest > most+1e-4 || math.Abs(r2.Norm(rim.farthest)-rim.greatest) > 1e-9 {
				t.Errorf("%s: greatest radius %g at %v, by contacts %g", name, rim.greatest, rim.farthest, most)
			}
		}
	}
	if drawn < 30 {
		t.Errorf("only %d rims", drawn)
	}
}

// The torso's places stay within what they are said to stray, any way and along any
// direction.
func TestTorsoStrays(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 3))
	unit := func() r3.Vec { return r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}) }
	for trial := range draws(60) {
		b := frameVariant(t, r, frameFigures[trial%2])
		if b == nil || b.torsoState == nil {
			continue
		}
		state, used, along := b.torsoState, 0.0, 0.0
		for range 40 {
			x := []float64{7 * r.Float64(), 7 * r.Float64()}
			reach := []float64{math.Exp(-6 * r.Float64()), math.Exp(-6 * r.Float64())}
			places := []r3.Vec{r3.Scale(150*r.Float64(), unit())}
			end := r3.Vec{Z: -150 * r.Float64()}
			n := unit()
			if trial%4 == 0 { // square to the place and the shaft, where the twist moves it
				n = r3.Unit(r3.Cross(places[0], r3.Vec{Z: 1}))
			}
			state.set(x)
			state.strays(reach)
			here, foot := state.at(places[0]), state.at(end)
			anyWay, alongWay := state.strayOf(places, nil), state.strayOf(places, &n)
			endAny, endAlong := state.strayOfShaft(-end.Z, 0, nil), state.strayOfShaft(-end.Z, 0, &n)
			for range 40 {
				state.set([]float64{x[0] + reach[0]*(2*r.Float64()-1), x[1] + reach[1]*(2*r.Float64()-1)})
				by, at := r3.Sub(state.at(places[0]), here), r3.Sub(state.at(end), foot)
				if r3.Norm(by) > anyWay+1e-9 || r3.Dot(by, n) > alongWay+1e-9 || r3.Norm(at) > endAny+1e-9 || r3.Dot(at, n) > endAlong+1e-9 {
					t.Fatalf("trial %d: %v goes %v, along %v said %g and %g; %v goes %v, said %g and %g", trial, places[0], by, n, anyWay, alongWay, end, at, endAny, endAlong)
				}
				used, along = max(used, r3.Norm(by)/anyWay), max(along, r3.Dot(at, n)/endAlong)
			}
		}
		if used < 0.4 || along < 0.7 {
			t.Errorf("trial %d: no more than %g and %g of the strays is used", trial, used, along)
		}
	}
}

package check

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"understage/internal/mech"
	"understage/internal/solve"
)

const camTestDegree = math.Pi / 180

// camTestRise is a rise and return with dwells.
func camTestRise(lift, over float64, law mech.Law) mech.Shape {
	return mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
		{Rise: lift, Over: over * camTestDegree, Law: law}, {Over: 20 * camTestDegree},
		{Rise: -lift, Over: over * camTestDegree, Law: law}, {Over: (340 - 2*over) * camTestDegree},
	}}
}

// camTestFindings judges one cam turning at 30 rpm.
func camTestFindings(t *testing.T, cam mech.Cam, motor *mech.Motor) map[string]Finding {
	t.Helper()
	cam.Name = "c"
	m := &mech.Model{Cams: []mech.Cam{cam}, Shafts: []mech.Shaft{{Name: "s"}}}
	s := solve.SolveCamsAlone(m, 1, math.Pi)
	m.Motor = motor
	found := map[string]Finding{}
	for _, f := range CamFindings(m, s) {
		if _, twice := found[f.Rule]; twice {
			t.Errorf("rule %s found twice", f.Rule)
		}
		if f.Where != "cams.c" || f.Message == "" || f.Source == "" {
			t.Errorf("finding %+v", f)
		}
		found[f.Rule] = f
	}
	return found
}

func camTestGiven(v float64) mech.Given { return mech.Given{Value: v, OK: true} }

// Each rule on a cam that passes and one that does not, on either side of its
// limit.
func TestCamRules(t *testing.T) {
	roller := &mech.Follower{Kind: mech.Roller, Radius: 3}
	flat := &mech.Follower{Kind: mech.Flat}
	knife := &mech.Follower{Kind: mech.Knife}
	drop := mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
		{Rise: 10, Over: 300 * camTestDegree, Law: mech.ModifiedSine}, {Over: 20 * camTestDegree}, {Rise: -10}, {Over: 40 * camTestDegree},
	}}
	pressed := mech.CamLoad{Mass: camTestGiven(0.05), SpringRate: camTestGiven(0.2), SpringPreload: camTestGiven(2), Friction: camTestGiven(0.1),
		GuideLength: camTestGiven(30), GuideOverhang: camTestGiven(10), GuideFriction: camTestGiven(0.2), Material: "pla", FollowerMaterial: "steel"}
	with := func(change func(*mech.CamLoad)) mech.CamLoad {
		load := pressed
		change(&load)
		return load
	}
	wavy := mech.Shape{Kind: mech.ShapeMeasured}
	for i := range 36 {
		wavy.Rim = append(wavy.Rim, mech.Point{Angle: float64(i) * 10 * camTestDegree, Value: 20 + 1.5*math.Cos(float64(6*i)*10*camTestDegree)})
	}
	for _, c := range []struct {
		rule     string
		severity Severity
		says     string
		cam      mech.Cam
	}{
		{"cam_follower", OK, "", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller}},
		{"cam_follower", Fail, "base", mech.Cam{Base: 0, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller}},
		{"cam_follower", Fail, "less than 23 mm", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Offset: 23.01}}},
		{"cam_follower", Fail, "arm", mech.Cam{Base: 20, Shape: camTestRise(0.2, 100, mech.Cycloidal), Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Path: mech.Swing, Pivot: r2.Vec{X: 60}, Arm: 30}}},
		{"cam_follower", Fail, "disc", mech.Cam{Shape: mech.Shape{Kind: mech.ShapeEccentric, Eccentric: mech.Eccentric{DiscRadius: 5, Offset: 6}}, Follower: knife}},
		{"cam_follower", Fail, "below the cam's axis", mech.Cam{Base: 5, Shape: mech.Shape{Kind: mech.ShapeThrough, Points: []mech.Point{{Angle: 0, Value: 0}, {Angle: 2, Value: -12}, {Angle: 4, Value: 3}}}, Follower: knife}},
		{"cam_follower", Caution, "dips to", mech.Cam{Base: 20, Shape: mech.Shape{Kind: mech.ShapeThrough, Points: []mech.Point{{Angle: 0, Value: 0}, {Angle: 2, Value: 6}, {Angle: 4, Value: 3}}}, Follower: knife}},
		{"pressure_angle", Fail, "track's radius to", mech.Cam{Shape: camTestRise(12, 60, mech.Cycloidal), Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Path: mech.Axial, TrackRadius: 20}}},
		{"pressure_angle", OK, "", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller}},
		{"pressure_angle", Caution, "enlarge the base to", mech.Cam{Base: 10, Shape: camTestRise(8, 90, mech.Cycloidal), Follower: roller}},
		{"pressure_angle", Fail, "enlarge the base to", mech.Cam{Base: 10, Shape: camTestRise(14, 60, mech.Cycloidal), Follower: roller}},
		{"pressure_angle_swing", OK, "", mech.Cam{Base: 20, Shape: camTestRise(0.2, 100, mech.Cycloidal), Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Path: mech.Swing, Pivot: r2.Vec{X: 40}, Arm: 35, Left: true}}},
		{"pressure_angle_swing", Fail, "", mech.Cam{Base: 20, Shape: camTestRise(0.8, 60, mech.Cycloidal), Follower: &mech.Follower{Kind: mech.Roller, Radius: 3, Path: mech.Swing, Pivot: r2.Vec{X: 40}, Arm: 35, Left: true}}},
		{"undercut", OK, "", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: flat}},
		{"undercut", Fail, "enlarge the base above", mech.Cam{Base: 8, Shape: camTestRise(10, 70, mech.Cycloidal), Follower: flat}},
		{"undercut", Fail, "corner", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Uniform), Follower: roller}},
		{"roller_size", OK, "", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller}},
		{"roller_size", Caution, "take a roller of at most", mech.Cam{Base: 10, Shape: camTestRise(6, 90, mech.Cycloidal), Follower: &mech.Follower{Kind: mech.Roller, Radius: 9}}},
		{"hollow", Caution, "bridges the hollow", mech.Cam{Shape: wavy, Follower: &mech.Follower{Kind: mech.Roller, Radius: 40}}},
		{"hollow", OK, "reaches the bottom", mech.Cam{Shape: wavy, Follower: &mech.Follower{Kind: mech.Roller, Radius: 2}}},
		{"hollow", Caution, "flat face bridges", mech.Cam{Shape: wavy, Follower: flat}},
		{"jumps", OK, "", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.ModifiedSine), Follower: roller}},
		{"jumps", Caution, "acceleration", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Harmonic), Follower: roller}},
		{"jumps", Caution, "velocity", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Uniform), Follower: knife}},
		{"jumps", Fail, "cannot jump up", mech.Cam{Base: 20, Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{{Rise: 5}, {Rise: -5, Over: 2 * math.Pi, Law: mech.Cycloidal}}}, Follower: knife}},
		{"jumps", OK, "but for the drop", mech.Cam{Base: 20, Shape: drop, Follower: knife}},
		{"face_width", Unknown, "give follower.width", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: flat}},
		{"face_width", Fail, "widen", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: flat, Load: mech.CamLoad{FaceWidth: camTestGiven(13.7)}}},
		{"face_width", OK, "", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: flat, Load: mech.CamLoad{FaceWidth: camTestGiven(13.8)}}},
		{"drop", Unknown, "mass", mech.Cam{Base: 20, Shape: drop, Follower: knife}},
		{"drop", OK, "drops 10 mm in 45 ms", mech.Cam{Base: 20, Shape: drop, Follower: knife, Load: mech.CamLoad{Mass: camTestGiven(0.05), Vertical: true}}},
		{"drop", Caution, "has risen again", mech.Cam{Base: 20, Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{{Rise: 90, Over: 2 * math.Pi, Law: mech.Uniform}, {Rise: -90}}}, Follower: knife, Load: mech.CamLoad{Mass: camTestGiven(0.5), Force: camTestGiven(0.01)}}},
		{"drop", OK, "cut back for a roller", mech.Cam{Base: 20, Shape: drop, Follower: roller, Load: mech.CamLoad{Mass: camTestGiven(0.05), Vertical: true}}},
		{"undercut", OK, "", mech.Cam{Base: 20, Shape: drop, Follower: roller}},
		{"guide_jamming", Unknown, "guide", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller}},
		{"guide_jamming", OK, "", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller, Load: pressed}},
		{"guide_jamming", Fail, "locks", mech.Cam{Base: 10, Shape: camTestRise(12, 70, mech.Cycloidal), Follower: roller, Load: with(func(l *mech.CamLoad) { l.GuideOverhang = camTestGiven(60); l.GuideFriction = camTestGiven(0.5) })}},
		{"float", Unknown, "mass", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller}},
		{"float", OK, "stays on", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller, Load: pressed}},
		{"float", Fail, "strengthen", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller, Load: with(func(l *mech.CamLoad) { l.Mass = camTestGiven(80) })}},
		{"float", Fail, "nothing holds", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller, Load: mech.CamLoad{Mass: camTestGiven(0.05)}}},
		{"contact_pressure", Unknown, "thickness", mech.Cam{Base: 20, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller, Load: pressed}},
		{"contact_pressure", Unknown, "PETG", mech.Cam{Base: 20, Thickness: 5, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller, Load: with(func(l *mech.CamLoad) { l.Material = "PETG" })}},
		{"contact_pressure", OK, "", mech.Cam{Base: 20, Thickness: 5, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller, Load: pressed}},
		{"contact_pressure", Fail, "thicken", mech.Cam{Base: 20, Thickness: 5, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: roller, Load: with(func(l *mech.CamLoad) { l.Force = camTestGiven(200) })}},
		{"wear", Unknown, "ABS on steel", mech.Cam{Base: 20, Thickness: 5, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: flat, Load: with(func(l *mech.CamLoad) { l.Material = "ABS" })}},
		{"wear", Unknown, "the cam loses 0.2 mm", mech.Cam{Base: 20, Thickness: 5, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: flat, Load: with(func(l *mech.CamLoad) { l.Material = "waxed beech" })}},
		{"wear", Caution, "the cam loses 0.2 mm", mech.Cam{Base: 20, Thickness: 5, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: flat, Load: with(func(l *mech.CamLoad) { l.FollowerWearRate, l.Force = camTestGiven(1e-9), camTestGiven(20) })}},
		{"wear", OK, "", mech.Cam{Base: 20, Thickness: 5, Shape: camTestRise(6, 100, mech.Cycloidal), Follower: flat, Load: with(func(l *mech.CamLoad) { l.WearRate, l.FollowerWearRate = camTestGiven(1e-8), camTestGiven(1e-9) })}},
	} {
		f, ok := camTestFindings(t, c.cam, nil)[c.rule]
		if !ok {
			t.Errorf("%s: no finding", c.rule)
			continue
		}
		if f.Severity != c.severity || !strings.Contains(f.Message, c.says) {
			t.Errorf("%s: %s %q, want %s with %q", c.rule, f.Severity, f.Message, c.severity, c.says)
		}
	}
}

// Backwards a drop is a wall, and only a reversible motor makes it one.
func TestCamBackward(t *testing.T) {
	shape := camTestRise(6, 100, mech.Cycloidal)
	gentle := mech.Cam{Base: 20, Shape: shape, Follower: &mech.Follower{Kind: mech.Knife}}
	steep := gentle
	steep.Shape = mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{{Rise: 5, Over: 2 * math.Pi, Law: mech.Uniform}, {Rise: -5}}}
	if _, ok := camTestFindings(t, steep, &mech.Motor{})["cam_backward"]; ok {
		t.Error("a motor that turns one way is judged backwards")
	}
	both := &mech.Motor{Sense: mech.Reversible}
	if f := camTestFindings(t, gentle, both)["cam_backward"]; f.Severity != OK || f.Message == "" {
		t.Errorf("gentle: %+v", f)
	}
	if f := camTestFindings(t, steep, both)["cam_backward"]; f.Severity != Fail {
		t.Errorf("drop: %+v", f)
	}
}

package spec

import (
	"fmt"
	"math"
	"reflect"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestEverything: what the fullest good spec says arrives in the model, in the
// model's units. Values in other units are worked out by hand: 1 in = 25.4 mm,
// 1 kgf = 9.80665 N, 1 rpm = 2π/60 rad/s.
func TestEverything(t *testing.T) {
	s, msgs := Load(loadFile(t, "testdata/good/everything.yaml"), nil, beside("testdata/good"))
	report(t, msgs)
	if s == nil {
		return
	}
	m := s.Model
	sound(t, m)
	given := func(v float64) mech.Given { return mech.Given{Value: v, OK: true} }
	for i, c := range []struct{ got, want any }{
		{m.Name, "Every: thing"},
		{m.Motor.Supply, 4.8},
		{m.Motor.NoLoad, mech.NoLoad{Speed: 23 * 2 * math.Pi / 60, Current: 0.06}},
		{m.Motor.Stall, mech.Stall{Torque: 1.2 * 98.0665, Current: 0.8}},
		{m.Motor.Sense, mech.Reversible},
		{m.Motor.Continuous, given(0.25)},
		{m.Shafts[m.Motor.Shaft].Name, "on"},
		{len(m.Motor.Body.Screws), 2},
		{m.Motor.Body.Screws[1], r2.Vec{X: -8.5 * math.Sqrt2 / 2, Y: 7 - 8.5*math.Sqrt2/2}},
		{m.Motor.Body.Above, true},
		{[]string{m.Shafts[1].Name, m.Shafts[2].Name, m.Shafts[3].Name, m.Shafts[4].Name, m.Shafts[5].Name, m.Shafts[6].Name}, []string{"no", "y", "012", "a.b c", "null", "1e3"}},
		{m.Shafts[4].At, r2.Vec{X: 38.1, Y: -60}},
		{m.Shafts[5].View, geom.Front},
		{m.Shafts[5].Level, given(-66)},
		{m.Shafts[0].Level, mech.Given{}},
		{m.Shafts[0].Flat, given(3.5)},
		{m.Belts[0].Width, given(6.35)},
		{m.Belts[0].Teeth, 125}, // 100MXL: 10.0 in of 0.080 in pitch
		{m.Belts[0].Section.Pitch, 2.032},
		{m.Belts[0].Run[0].Hub, &mech.Hub{Diameter: 10, Length: 6, Below: true}},
		{m.Belts[0].Run[2], mech.Pulley{Shaft: mech.None, Idler: "jockey", At: r2.Vec{X: 30, Y: 30}, Diameter: 10, Back: true}},
		{*m.Belts[0].TakeUp, mech.TakeUp{Pulley: 2, Along: r2.Vec{X: 0.6, Y: 0.8}, Min: -3, Max: 3}},
		{m.Belts[1].Section, mech.BeltSection{Pitch: 2, ToothHeight: 0.76, PitchLine: 0.254, Back: 0.5}},
		{*m.Belts[1].TakeUp, mech.TakeUp{Pulley: 1, Along: r2.Vec{X: 1}, Min: -1, Max: 2}},
		{m.Belts[1].Efficiency, given(0.9)},
		{m.Gears[0].Opposite, true}, // spur
		{m.Gears[0].Driver, mech.GearWheel{Shaft: 0, Teeth: 20, Level: given(-50), Hub: &mech.Hub{Diameter: 9, Length: 4}}},
		{m.Gears[1].Kind, mech.Worm},
		{m.Gears[1].Driver.Teeth, 1},
		{m.Gears[2].Opposite, false},
		{m.Cams[0].Phase, math.Pi / 2},
		{m.Cams[0].Shape.Waves, []mech.Wave{{PerTurn: 1, Amplitude: 4.4, At: math.Pi / 9}, {PerTurn: 2, Amplitude: 1.6}}},
		{m.Cams[0].Load.SpringRate, given(0.2)},
		{m.Cams[0].Load.Mass, given(0.04)},
		{m.Cams[0].Load.WearRate, given(2e-6)},
		{m.Cams[0].Load.FaceWidth, given(30)},
		{m.Cams[1].Shape.Segments[2], mech.Segment{Rise: -10, Law: mech.Cycloidal}},
		{m.Cams[1].Follower.Offset, -2.0},
		{m.Cams[2].Shape.Points[1], mech.Point{Angle: math.Pi / 3, Value: 5 * math.Pi / 180}},
		{m.Cams[2].Follower.Left, false},
		{m.Cams[3].Follower.Left, true},
		{m.Cams[3].Follower.Face, 4.0},
		{m.Cams[4].Load.Vertical, true},  // heading 90 in the front view
		{m.Cams[0].Load.Vertical, false}, // in the plan
		{m.Cams[5].Load.Vertical, true},  // axial in the plan
		{m.Cams[6].Shape.Eccentric, mech.Eccentric{DiscRadius: 18, Offset: 4}},
		{m.Cams[7].Shape.Rim[3], mech.Point{Angle: 3 * math.Pi / 2, Value: 15}},
		{m.Cams[8].Shape.Rim[2], mech.Point{Angle: math.Pi / 6, Value: 15.24}},
		{m.Torso.Pushes[0].Kind, mech.Edge},
		{m.Torso.Pushes[1].Crank, mech.Crank{Shaft: 2, Radius: 4, Phase: math.Pi / 6}},
		{m.Torso.Pushes[1].PinDepth, 148.0},
		{m.Torso.Stage.Opening, mech.Opening{Shape: mech.RectangleOpening, Width: 24, Depth: 18, At: r2.Vec{Y: 1}}},
		{m.Torso.KeepClear[0].Box, mech.Box{Min: r3.Vec{X: 78, Y: -30}, Max: r3.Vec{X: 100, Z: 110}}},
		{m.Torso.KeepClear[1].Cylinder, mech.Cylinder{At: r2.Vec{X: 90, Y: 10}, Radius: 8, To: 120}},
		{m.Torso.Mass, given(0.18)},
		{m.Linkages[0].Pins[3].Along, r2.Vec{Y: 1}},
		{m.Linkages[0].Pins[4].Along, r2.Vec{Y: 1}}, // the follower's heading
		{m.Linkages[0].Pins[5].Along, r2.Vec{X: math.Sqrt2 / 2, Y: math.Sqrt2 / 2}},
		{m.Linkages[0].Bars[1], mech.Bar{Pins: [2]int{1, 2}, Length: 35, Mass: given(0.006), Level: given(-62)}},
		{m.Linkages[0].Plates[0].Mass, given(0.012)},
		{m.Linkages[0].Points[1].On, [2]int{1, 2}},
		{m.Beats.Of, mech.BeatSource{Name: "staff.tip", Linkage: 0, Point: 0, Cam: mech.None}},
		{m.Beats.Target, given(52. / 60)},
		{m.Limits["near_repeat"], 5 * math.Pi / 180},
		{m.Stock.Belts[2], mech.StockBelt{Section: "MXL", Teeth: 75, Code: "60MXL", Count: 2, Note: "worn"}},
		{m.Frame.Plates[1].Holes[0], mech.PlateHole{Name: "lead", At: r2.Vec{X: 3, Y: 3}, Diameter: 2}},
	} {
		if at := differs("", reflect.ValueOf(c.got), reflect.ValueOf(c.want), 1e-12*200); at != "" || fmt.Sprintf("%T", c.got) != fmt.Sprintf("%T", c.want) {
			t.Errorf("%d: %+v, want %+v", i, c.got, c.want)
		}
	}
}

// TestPlatePoint: a point in a plate's own coordinates is turned into one from
// its first pin toward its second.
func TestPlatePoint(t *testing.T) {
	m := loadText(t, `understage: 1
linkages:
  l:
    pins: {a: {at: [0, 0]}, b: {}, c: {}}
    plates: {p: {a: [10, 5], b: [10, 25], c: [0, 0]}}
    points: {q: {plate: p, at: [7, 9]}}
`)
	// Toward b is +y of the plate, so 4 along, and 3 to its left.
	want := mech.LinkagePoint{Name: "q", On: [2]int{0, 1}, At: r2.Vec{X: 4, Y: 3}}
	if m != nil && differs("", reflect.ValueOf(m.Linkages[0].Points[0]), reflect.ValueOf(want), 1e-12) != "" {
		t.Errorf("%+v, want %+v", m.Linkages[0].Points[0], want)
	}
}

// TestYokeAlong: left out, a yoke slides along its follower's heading.
func TestYokeAlong(t *testing.T) {
	s, msgs := Load(loadFile(t, "testdata/watchman.yaml"), nil, nil)
	report(t, msgs)
	for i, want := range []r2.Vec{{X: -1}, {Y: -1}} {
		if got := s.Model.Torso.Pushes[i].Along; r2.Norm(r2.Sub(got, want)) > 1e-15 {
			t.Errorf("push %d: along %v, want %v", i, got, want)
		}
	}
}

// TestWithoutDrive: with no drive section a named shaft stands at the origin,
// and cams that name none share one.
func TestWithoutDrive(t *testing.T) {
	s, msgs := Load(loadFile(t, "testdata/good/no-drive.yaml"), nil, nil)
	report(t, msgs)
	if s == nil {
		return
	}
	m := s.Model
	if len(m.Shafts) != 1 || m.Shafts[0].Name != "shaft" || m.Cams[0].Shaft != 0 || m.Cams[1].Shaft != 0 || m.Motor.Shaft != 0 {
		t.Errorf("shafts %+v, cams %+v", m.Shafts, m.Cams)
	}
	if m.Torso.Stage.Thickness != 0 || m.Torso.Pushes[1].Ratio != -1.5 || m.Torso.Pushes[1].Along != (r2.Vec{Y: 1}) {
		t.Errorf("%+v", m.Torso)
	}
}

func TestBeatSources(t *testing.T) {
	src := loadFile(t, "testdata/watchman.yaml")
	for of, want := range map[string]mech.BeatSource{
		"staff.tip":     {Linkage: 0, Point: 0, Cam: mech.None},
		"torso.hat":     {Linkage: mech.None, Point: 0, Cam: mech.None},
		"lantern":       {Linkage: mech.None, Point: 1, Cam: mech.None},
		"drop":          {Linkage: mech.None, Point: mech.None, Cam: 2},
		"cams.drop":     {Linkage: mech.None, Point: mech.None, Cam: 2},
		`torso."a top"`: {Linkage: mech.None, Point: 2, Cam: mech.None},
	} {
		s, msgs := Load(src, []string{
			"cams.drop={shaft: side, base: 10, motion: [{rise: 3, over: 360}, {fall: 3, over: 0}], follower: {kind: knife, heading: 0}}",
			"torso.points.a top={at: [0, 0, 1]}",
			fmt.Sprintf("beats.of=%q", of),
		}, nil)
		report(t, msgs)
		if want.Name = of; s != nil && s.Model.Beats.Of != want {
			t.Errorf("%s: %+v, want %+v", of, s.Model.Beats.Of, want)
		}
	}
	_, msgs := Load(src, []string{"torso.points.sway={at: [0, 0, 1]}", "beats.of=sway"}, nil)
	if len(msgs) != 1 || msgs[0].Path != "beats.of" {
		t.Errorf("a name of two things: %v", msgs)
	}
}

// TestSupplyAboveRating: refused, unless the maker's own limit allows it; a
// limit below the rating is no matter for the reader.
func TestSupplyAboveRating(t *testing.T) {
	src := loadFile(t, "testdata/watchman.yaml")
	for _, c := range []struct {
		sets []string
		ok   bool
	}{
		{[]string{"motor.supply=6 V"}, true},
		{[]string{"motor.supply=6.01 V"}, false},
		{[]string{"motor.supply=7 V", "limits.supply=1.2"}, true},
		{[]string{"motor.supply=7.3 V", "limits.supply=1.2"}, false},
		{[]string{"limits.supply=0.5"}, true},
		{[]string{"motor.supply=~", "limits.supply=0.5"}, true},
	} {
		if s, msgs := Load(src, c.sets, nil); (s != nil) != c.ok {
			t.Errorf("%v: %v", c.sets, msgs)
		}
	}
}

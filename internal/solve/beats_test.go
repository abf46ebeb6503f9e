package solve

import (
	"math"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// beatModel is a four-bar in the front view, driven at a third of the motor's
// speed by 20:60 spur gears, with the rocker's end as the point that beats.
func beatModel() *mech.Model {
	l := fourBar(40, 120, 80, 100, 0, true)
	l.View = geom.Front
	l.Name = "staff"
	l.Level = mech.Given{Value: 5, OK: true}
	l.Pins[0].Crank.Shaft = 1
	l.Points = []mech.LinkagePoint{{Name: "tip", On: [2]int{2, 1}, At: r2.Vec{X: 80}}}
	m := chainModel(l)
	m.Shafts = append(m.Shafts, mech.Shaft{Name: "beat", View: geom.Front})
	m.Gears = []mech.Gear{{Name: "pair", Kind: mech.Spur, Driver: mech.GearWheel{Shaft: 0, Teeth: 20}, Driven: mech.GearWheel{Shaft: 1, Teeth: 60}}}
	m.Beats = &mech.Beats{
		Of:   mech.BeatSource{Name: "staff.tip", Linkage: 0, Point: 0, Cam: mech.None},
		When: mech.Lowest,
	}
	return m
}

func TestBeatsOfFourBar(t *testing.T) {
	m := beatModel()
	m.Beats.Target = mech.Given{Value: 4. / 60, OK: true}
	s := Solve(m)
	b := s.Beats
	if b.Status != BeatsFound || len(b.Events) != 1 {
		t.Fatalf("status %d, %d events", b.Status, len(b.Events))
	}
	// Once a turn of the crank, which turns a third as often as the motor.
	near(t, "beats per motor turn", b.PerMotorTurn, 1./3, 1e-12)
	rpm := s.Motor.RunningSpeed * 60 / (2 * math.Pi)
	near(t, "beats per minute", b.PerMinute, rpm/3, 1e-9)
	near(t, "evenness", b.Evenness(), 1, 1e-12)
	// The rocker's end is lowest where crank and coupler are in line, stretched
	// or folded: the point is on a circle of 80 about the rocker's pivot.
	low := math.Inf(1)
	for _, span := range [...]float64{160, 80} {
		cos := (100*100 + 80*80 - span*span) / (2 * 100 * 80)
		low = min(low, 80*math.Sin(math.Acos(cos)))
	}
	near(t, "lowest", b.Range.Min.Value, low, 1e-8)
	near(t, "z", s.Linkages[0].Points[0].Z.Min.Value, low, 1e-8)
	near(t, "y", s.Linkages[0].Points[0].Y.Min.Value, 5, 0)
	// The supply asked for gives the target exactly.
	m.Motor.Supply = b.SupplyForTarget.Value
	near(t, "at the supply asked for", Solve(m).Beats.PerMinute, 4, 1e-9)
}

// The wheel named gives the tempo named.
func TestSprocketChange(t *testing.T) {
	m := beatModel()
	rpm := SolveMotor(m).RunningSpeed * 60 / (2 * math.Pi)
	m.Beats.Target = mech.Given{Value: rpm / 4 / 60, OK: true} // 20:80 or 15:60
	b := Solve(m).Beats
	if len(b.Sprockets) == 0 {
		t.Fatal("no change found")
	}
	for _, c := range b.Sprockets {
		changed := *m
		changed.Gears = []mech.Gear{m.Gears[0]}
		if c.Wheel == 0 {
			changed.Gears[0].Driver.Teeth = c.To
		} else {
			changed.Gears[0].Driven.Teeth = c.To
		}
		near(t, "then", Solve(&changed).Beats.PerMinute, c.PerMinute, 1e-9)
	}
	near(t, "best", b.Sprockets[0].PerMinute, b.Target.Value, 1e-9)
}

func TestBeatsTouching(t *testing.T) {
	m := beatModel()
	m.Beats.When = mech.Touching
	s := Solve(m)
	z := s.Linkages[0].Points[0].Z
	m.Beats.Height = z.Min.Value + 1 // below the rocker's other end
	b := Solve(m).Beats
	if b.Status != BeatsFound || len(b.Events) != 1 {
		t.Fatalf("status %d, %d events", b.Status, len(b.Events))
	}
	// On the way down: just before it is above, just after below.
	k := Compile(m)
	p := k.NewPose()
	for _, beside := range [...]float64{-1e-6, 1e-6} {
		k.Pose(b.Events[0].Turns+beside, p)
		pos, _, _ := k.Chains[0].PointAt(&m.Linkages[0], 5, p.Chains[0], 0)
		if (pos.Z > m.Beats.Height) != (beside < 0) || math.Abs(pos.Z-m.Beats.Height) > 1e-3 {
			t.Errorf("%g beside the beat at %g, height %g", beside, pos.Z, m.Beats.Height)
		}
	}
	m.Beats.Height = z.Min.Value - 1
	if b := Solve(m).Beats; b.Status != BeatsNever {
		t.Errorf("below its reach: status %d", b.Status)
	}
}

// A point moving in the front view cannot come forward.
func TestBeatsStill(t *testing.T) {
	m := beatModel()
	m.Beats.When = mech.Foremost
	if b := Solve(m).Beats; b.Status != BeatsStill {
		t.Errorf("status %d", b.Status)
	}
}

// The cam of two unequal lobes drops twice; its follower's point bounces.
func TestBeatsOfCam(t *testing.T) {
	m := beatModel()
	m.Cams = []mech.Cam{{
		Name: "tap", Shaft: 1, Phase: 30 * degree, Base: 20,
		Shape: mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
			{Rise: 8, Over: 150 * degree, Law: mech.Cycloidal}, {Rise: -8},
			{Over: 30 * degree}, {Rise: 5, Over: 120 * degree, Law: mech.Harmonic}, {Rise: -5}, {Over: 60 * degree},
		}},
		Follower: &mech.Follower{Kind: mech.Knife},
	}}
	m.Beats.Of = mech.BeatSource{Name: "tap", Linkage: mech.None, Point: mech.None, Cam: 0}
	b := Solve(m).Beats
	if b.Status != BeatsFound || len(b.Events) != 2 {
		t.Fatalf("status %d, events %+v", b.Status, b.Events)
	}
	for i, phi := range [...]float64{150, 300} {
		near(t, "drop", b.Events[i].Turns, 3*(phi-30)/360, 1e-9)
	}
	near(t, "evenness", b.Evenness(), 150./210, 1e-9)

	// A point on a lever that the cam lifts beats at the same instants.
	m.Linkages[0] = mech.Linkage{
		Name: "lever", View: geom.Front,
		Pins: []mech.Pin{
			{Name: "push", Kind: mech.FollowerPin, Cam: 0, At: r2.Vec{}, Along: r2.Vec{Y: 1}},
			{Name: "pivot", Kind: mech.FixedPin, At: r2.Vec{X: 60}},
			{Name: "end", Start: r2.Vec{X: -20}, StartGiven: true},
		},
		Bars:   []mech.Bar{{Pins: [2]int{1, 2}, Length: 90}},
		Slots:  []mech.Slot{{Pin: 0, Line: [2]int{1, 2}}},
		Points: []mech.LinkagePoint{{Name: "tip", On: [2]int{1, 2}, At: r2.Vec{X: 90}}},
	}
	m.Beats.Of = mech.BeatSource{Name: "lever.tip", Linkage: 0, Point: 0, Cam: mech.None}
	m.Beats.When = mech.Lowest
	b = Solve(m).Beats
	if b.Status != BeatsFound || len(b.Events) != 2 {
		t.Fatalf("status %d, events %+v", b.Status, b.Events)
	}
	for i, phi := range [...]float64{150, 300} {
		near(t, "lowest", b.Events[i].Turns, 3*(phi-30)/360, 1e-6)
	}
}

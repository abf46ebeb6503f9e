package solve_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/spec"

	"gonum.org/v1/gonum/spatial/r2"
)

func frameFigure(t testing.TB, name string, sets ...string) (*mech.Model, *solve.Solution) {
	t.Helper()
	m := builtIn(t, name, sets...)
	return m, solve.Solve(m)
}

func framePair(s *solve.Solution, a, b string) (solve.FrameClearance, bool) {
	for _, c := range s.Frame.Clearances {
		names := []string{s.Frame.Parts[c.A].Name, s.Frame.Parts[c.B].Name}
		if slices.Contains(names, a) && slices.Contains(names, b) {
			return c, true
		}
	}
	return solve.FrameClearance{}, false
}

// twoCams is two cams side by side at one level on shafts that turn 4 : 3, and a
// post beside the first.
const twoCams = `
understage: 1
motor: {rated: 6 V, no_load: {speed: 20 rpm, current: 50 mA}, stall: {torque: 0.5 N·m, current: 1 A}, shaft: main}
drive:
  shafts:
    main: {at: [0, 0], diameter: 4}
    side: {at: [DISTANCE, 0], diameter: 4}
    post: {at: [0, -32], diameter: 4, from: -30, to: 0}
  belts:
    loop: {pitch: MXL, width: 6, level: -60, run: [{shaft: main, teeth: 18}, {shaft: side, teeth: 24}]}
    far: {pitch: MXL, width: 6, level: -80, run: [{shaft: main, teeth: 18}, {shaft: post, teeth: 18}]}
cams:
  one: {shaft: main, level: -20, thickness: 5, base: 15, phase: 20 deg, waves: [{per_turn: 1, amplitude: 5}, {per_turn: 3, amplitude: 1.5}], follower: {kind: knife, heading: 90 deg}}
  two: {shaft: side, level: LEVEL, thickness: 5, base: 14, waves: [{per_turn: 2, amplitude: 4}], follower: {kind: roller, radius: 3, heading: 90 deg}}
`

func loadTwoCams(t *testing.T, distance, level string) (*mech.Model, *solve.Solution) {
	t.Helper()
	text := strings.NewReplacer("DISTANCE", distance, "LEVEL", level).Replace(twoCams)
	s, msgs := spec.Load(spec.Source{Name: "two", Text: []byte(text)}, nil, nil)
	if len(msgs) > 0 {
		t.Fatal(msgs)
	}
	return s.Model, solve.Solve(s.Model)
}

// rimsAt returns both rims as they stand after some motor turns.
func rimsAt(m *mech.Model, s *solve.Solution, turns float64) [2][]r2.Vec {
	const n = 480
	var out [2][]r2.Vec
	for i := range out {
		c := &m.Cams[i]
		solved := s.Machine.Cams[i]
		phi := 2*math.Pi*s.Drive.Ratios[c.Shaft].Turn(turns) + c.Phase
		sin, cos := math.Sincos(solve.CamMark(m, i) + solved.Sense()*phi)
		for k := range n {
			p := solved.Contact(2 * math.Pi * float64(k) / n).Rim
			at := m.Shafts[c.Shaft].At
			out[i] = append(out[i], r2.Vec{X: at.X + cos*p.X - sin*p.Y, Y: at.Y + sin*p.X + cos*p.Y})
		}
	}
	return out
}

// Two turning cams against a brute-force sweep of the whole repeat: every point
// of one rim against every point of the other.
func TestTwoCamsAgainstSweep(t *testing.T) {
	for _, distance := range []string{"37", "39.5", "41"} {
		m, s := loadTwoCams(t, distance, "-20")
		got, ok := framePair(s, "cam one", "cam two")
		if !ok {
			t.Fatalf("at %s mm the pair is not listed", distance)
		}
		least, at := math.Inf(1), 0.0
		turnsOf := func(turns float64) float64 {
			rims := rimsAt(m, s, turns)
			gap := math.Inf(1)
			for _, p := range rims[0] {
				if p.X < 10 {
					continue
				}
				for _, q := range rims[1] {
					gap = min(gap, math.Hypot(p.X-q.X, p.Y-q.Y))
				}
			}
			return gap
		}
		repeat := s.Repeat.Turns
		for k := range 300 {
			turns := repeat * float64(k) / 300
			if gap := turnsOf(turns); gap < least {
				least, at = gap, turns
			}
		}
		if got.Gap > 0 && (got.Gap > least+1e-6 || got.Gap < least-0.1) {
			t.Errorf("at %s mm: least %g at turn %g, by sweep %g at %g", distance, got.Gap, got.Turns, least, at)
		}
		if got.Gap > 0 {
			if there := turnsOf(got.Turns); math.Abs(there-got.Gap) > 0.03 {
				t.Errorf("at %s mm: said to be %g at turn %g, by points %g", distance, got.Gap, got.Turns, there)
			}
		}
		if got.Gap <= 0 && least > 0.2 {
			t.Errorf("at %s mm: said to meet, by sweep %g apart", distance, least)
		}
	}
}

// A raster of one instant: the cells of half a millimetre that both cams cover
// are there exactly where the cams are said to meet.
func TestMeetingCamsShareCells(t *testing.T) {
	for _, c := range []struct {
		distance string
		meet     bool
	}{{"33", true}, {"51", false}} {
		m, s := loadTwoCams(t, c.distance, "-20")
		pair, ok := framePair(s, "cam one", "cam two")
		if !ok || (pair.Gap < 0) != c.meet {
			t.Fatalf("at %s mm: listed %v, %+v", c.distance, ok, pair)
		}
		rims := rimsAt(m, s, pair.Turns)
		shared := 0
		for x := -30.0; x < 80; x += 0.5 {
			for y := -30.0; y < 30; y += 0.5 {
				if inside(rims[0], x, y) && inside(rims[1], x, y) {
					shared++
				}
			}
		}
		if shared > 0 != c.meet {
			t.Errorf("at %s mm: %d cells shared", c.distance, shared)
		}
	}
}

func inside(outline []r2.Vec, x, y float64) bool {
	in := false
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if (a.Y > y) != (b.Y > y) && x < a.X+(y-a.Y)*(b.X-a.X)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// A cam passes a post at the distance of the axes less its greatest radius.
func TestCamBesidePost(t *testing.T) {
	m, s := loadTwoCams(t, "60", "-20")
	greatest := 0.0
	for k := range 100000 {
		greatest = max(greatest, r2.Norm(s.Machine.Cams[0].Contact(2*math.Pi*float64(k)/100000).Rim))
	}
	got, ok := framePair(s, "cam one", "shaft post")
	if want := 32 - greatest - 2; !ok || math.Abs(got.Gap-want) > 1e-3 {
		t.Errorf("%+v, want %g", got, want)
	}
	// At that turn the greatest radius does point at the post.
	rim := rimsAt(m, s, got.Turns)[0]
	low := math.Inf(1)
	for _, p := range rim {
		low = min(low, math.Hypot(p.X, p.Y+32)-2)
	}
	if math.Abs(low-got.Gap) > 0.01 {
		t.Errorf("at turn %g the rim is %g off, said %g", got.Turns, low, got.Gap)
	}
}

// Cams one above the other: the gap of their faces, and none of the rest.
func TestLevelsApart(t *testing.T) {
	_, s := loadTwoCams(t, "33", "-28")
	got, ok := framePair(s, "cam one", "cam two")
	if !ok || math.Abs(got.Gap-3) > 1e-9 || !got.Flat {
		t.Errorf("%+v", got)
	}
}

// Parts on one shaft that share a height.
func TestStackShared(t *testing.T) {
	m, s := frameFigure(t, "watchman", "drive.belts.loop.level=-50")
	least := math.Inf(1)
	for _, k := range s.Frame.Stacks {
		least = min(least, k.Room)
	}
	// Sprocket faces −50 ± (6.35 + 1)/2 and a flange of 1; bow cam −55 ± 2.5.
	if want := (-50 - 3.675 - 1) - (-55 + 2.5); math.Abs(least-want) > 1e-9 {
		t.Errorf("least room %g, want %g", least, want)
	}
	_ = m
}

// The built-in watchman's holes, from its spec by hand.
func TestHoles(t *testing.T) {
	m, s := frameFigure(t, "watchman")
	plate := func(name string) *solve.PlateResult {
		for i := range s.Frame.Plates {
			if m.Frame.Plates[s.Frame.Plates[i].Plate].Name == name {
				return &s.Frame.Plates[i]
			}
		}
		t.Fatalf("no plate %s", name)
		return nil
	}
	hole := func(p *solve.PlateResult, name string) solve.PlateHole {
		for _, h := range p.Holes {
			if h.Name == name {
				return h
			}
		}
		t.Fatalf("no hole for %s", name)
		return solve.PlateHole{}
	}
	bottom := plate("bottom")
	main := hole(bottom, "shaft main")
	if main.At != (r2.Vec{X: -10, Y: -34}) || main.End != (r2.Vec{X: -10, Y: -40}) || math.Abs(main.Diameter-4.2) > 1e-12 {
		t.Errorf("main: %+v", main)
	}
	if want := -36 - s.Belts[0].Fitted.TakeUp.Value; !main.HasFit || math.Abs(main.Fitted.Y-want) > 1e-9 {
		t.Errorf("fitted at %g, want %g", main.Fitted.Y, want)
	}
	if len(bottom.Spans) != 1 || math.Abs(bottom.Spans[0].Centres-math.Hypot(36, 38)) > 1e-9 || math.Abs(bottom.Spans[0].OverPins-math.Hypot(36, 38)-4) > 1e-9 {
		t.Errorf("spans: %+v", bottom.Spans)
	}
	// The opening clears the shaft at the plate by the limit: no smaller than the
	// reach found by walking the repeat, and hardly larger.
	opening := hole(plate("top"), "torso shaft")
	pose := s.Machine.NewPose()
	reach := 0.0
	for k := range 20000 {
		s.Machine.Pose(s.Repeat.Turns*float64(k)/20000, pose)
		axis := pose.Torso.Axis()
		for _, z := range []float64{-36, -32} {
			depth := (m.Torso.Pivot - z) / axis.Z
			reach = max(reach, math.Hypot(depth*axis.X, depth*axis.Y)+m.Torso.ShaftDiameter/2/axis.Z)
		}
	}
	if got := opening.Diameter / 2; got < reach+1-1e-9 || got > reach+1.001 {
		t.Errorf("opening radius %g for a reach of %g and a clearance of 1", got, reach)
	}
}

func TestBedFit(t *testing.T) {
	for _, c := range []struct {
		bed   string
		whole bool
		parts int
	}{{"[220, 220]", true, 0}, {"[70, 140]", true, 0}, {"[100, 100]", false, 2}, {"[50, 70]", false, 4}, {"[45, 45]", false, 8}, {"[20, 20]", false, 0}} {
		_, s := frameFigure(t, "watchman", "frame.bed="+c.bed)
		top := s.Frame.Plates[0]
		if top.Fit.Whole != c.whole || top.Fit.Parts != c.parts {
			t.Errorf("bed %s: %+v", c.bed, top.Fit)
		}
		for _, at := range top.Fit.Splits {
			for _, h := range top.Holes {
				coordinate := h.At.Y
				if top.Fit.AlongU {
					coordinate = h.At.X
				}
				if math.Abs(coordinate-at) < h.Diameter/2+2-1e-9 {
					t.Errorf("bed %s: the line at %g crosses %s", c.bed, at, h.Name)
				}
			}
		}
	}
}

// Wheels on crossing shafts are put where their teeth run at one speed: checked
// by the velocity of the touching point on each.
func TestCrossedWheels(t *testing.T) {
	for _, sense := range []string{"same", "opposite"} {
		m, s := frameFigure(t, "watchman", "drive.gears.chime.sense="+sense, "drive.gears.chime.driver.level=~", "drive.gears.chime.driven.level=~")
		var crown, pinion *solve.FramePart
		for i := range s.Frame.Parts {
			switch p := &s.Frame.Parts[i]; p.Name {
			case "gear chime on main":
				crown = p
			case "gear chime on beat":
				pinion = p
			}
		}
		main, beat := m.Shafts[crown.Shaft], m.Shafts[pinion.Shaft]
		// The touching point: above or below the beat shaft at the pinion's y.
		x, y, z := main.At.X, pinion.Level(), crown.Level()
		ratio := s.Drive.Ratios[pinion.Shaft].Float()
		// ω × r: the crown about +z, the pinion about the way to the audience, −y.
		crownX := -1 * (y - main.At.Y)
		pinionX := -ratio * (z - beat.At.Y)
		if math.Abs(crownX-pinionX) > 1e-9 || x != beat.At.X {
			t.Errorf("%s: teeth run at %g and %g", sense, crownX, pinionX)
		}
		if main.View != geom.Plan || beat.View != geom.Front {
			t.Error("the figure has changed")
		}
	}
}

// A tooth's effect on the figure against walking the repeat.
func TestToothStep(t *testing.T) {
	m, s := frameFigure(t, "watchman")
	for _, step := range solve.SolveTiming(m, s) {
		teeth := m.Belts[step.Belt].Run[step.Pulley].Teeth
		if math.Abs(step.Step-2*math.Pi/float64(teeth)) > 1e-12 {
			t.Errorf("step %g of %d teeth", step.Step, teeth)
		}
		for i, e := range step.Lifts {
			c := s.Machine.Cams[i]
			k := slices.Index(step.Shafts, m.Cams[i].Shaft)
			if k < 0 {
				if e.Value != 0 {
					t.Errorf("cam %d changes by %g with a shaft it is not on", i, e.Value)
				}
				continue
			}
			most := 0.0
			for n := range 3600 {
				phi := 2 * math.Pi * float64(n) / 3600
				most = max(most, math.Abs(c.Lift(phi+step.Turns[k]).S-c.Lift(phi).S))
			}
			if e.Value < most-1e-9 || e.Value > most+1e-4 {
				t.Errorf("cam %d changes by %g, by walking %g", i, e.Value, most)
			}
		}
	}
}

func BenchmarkFrame(b *testing.B) {
	m, s := frameFigure(b, "watchman")
	for b.Loop() {
		solve.SolveFrame(m, s)
	}
}

package internal_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/check"
	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/spec"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestFigures: the built-in figures come out fit to print, as a maker's first
// look at the program should.
func TestFigures(t *testing.T) {
	for _, f := range spec.Figures() {
		m := load(t, f.Name, nil)
		for _, finding := range check.Findings(m, solve.Solve(m)) {
			if finding.Severity == check.Fail {
				t.Errorf("%s: %s %s: %s", f.Name, finding.Where, finding.Rule, finding.Message)
			}
		}
	}
}

func load(t *testing.T, name string, sets []string) *mech.Model {
	t.Helper()
	f, ok := spec.FindFigure(name)
	if !ok {
		t.Fatalf("no figure %s", name)
	}
	s, msgs := spec.Load(spec.Source{Name: name, Text: f.Text}, sets, nil)
	if len(msgs) > 0 {
		t.Fatalf("%s %q: %v", name, sets, msgs)
	}
	return s.Model
}

// randomSets changes a built-in figure in ways that leave it a figure.
func randomSets(name string, r *rand.Rand) []string {
	set := func(path string, from, to float64, unit string) string {
		return fmt.Sprintf("%s=%.4f %s", path, from+r.Float64()*(to-from), unit)
	}
	teeth := func(path string, from, to int) string {
		return fmt.Sprintf("%s=%d", path, from+r.IntN(to-from+1))
	}
	switch name {
	case "watchman":
		return []string{
			teeth("drive.belts.loop.run.0.teeth", 16, 20),
			teeth("drive.belts.loop.run.1.teeth", 38, 42),
			teeth("drive.belts.loop.run.2.teeth", 36, 44),
			set("cams.sway.phase", 0, 360, "deg"),
			set("cams.sway.waves.0.amplitude", 2, 5, "mm"),
			set("cams.sway.waves.1.amplitude", 0, 2, "mm"),
			set("cams.sway.follower.offset", -4, 4, "mm"),
			set("cams.bow.phase", 0, 360, "deg"),
			set("torso.pushes.sway.depth", 125, 155, "mm"),
			fmt.Sprintf("torso.guide.pin=[%.3f, %.3f]", -90+20*r.Float64(), -30+60*r.Float64()),
			set("linkages.staff.pins.hand.radius", 4, 8, "mm"),
			set("linkages.staff.pins.hand.phase", 0, 360, "deg"),
			[]string{"motor.sense=ccw", "motor.sense=cw"}[r.IntN(2)],
		}
	default:
		return []string{
			teeth("drive.belts.loop.run.0.teeth", 18, 22),
			teeth("drive.belts.loop.run.2.teeth", 34, 38),
			set("cams.rock.phase", 0, 360, "deg"),
			set("cams.rock.waves.0.amplitude", 0.1, 0.18, "in"),
			set("cams.nod.follower.offset", -0.1, 0.1, "in"),
			set("torso.pushes.nod.depth", 6, 7, "in"),
			set("linkages.arm.pins.crank.radius", 0.2, 0.35, "in"),
			set("linkages.arm.pins.crank.phase", 0, 360, "deg"),
			[]string{"motor.sense=ccw", "motor.sense=cw"}[r.IntN(2)],
		}
	}
}

// TestMirror: a figure seen in a mirror (x to −x, every sense turned about)
// leans the other way and is otherwise the same.
func TestMirror(t *testing.T) {
	forRandomFigures(t, func(t *testing.T, m *mech.Model) {
		a := solve.Solve(m)
		mirror(m)
		b := solve.Solve(m)
		c := comparer{t: t, a: a, b: b, length: 1, flip: true}
		c.compare()
	})
}

// TestScale: a figure ten times as large, belt and teeth too, moves through the
// same angles and ten times the lengths.
func TestScale(t *testing.T) {
	forRandomFigures(t, func(t *testing.T, m *mech.Model) {
		a := solve.Solve(m)
		scale(m, 10)
		b := solve.Solve(m)
		c := comparer{t: t, a: a, b: b, length: 10}
		c.compare()
	})
}

func forRandomFigures(t *testing.T, f func(*testing.T, *mech.Model)) {
	for _, name := range []string{"watchman", "baker"} {
		for seed := range uint64(3) {
			if testing.Short() && seed > 0 {
				break
			}
			sets := randomSets(name, rand.New(rand.NewPCG(seed, 1)))
			if seed == 0 {
				sets = nil // the figure itself
			}
			t.Run(fmt.Sprintf("%s %d", name, seed), func(t *testing.T) {
				t.Logf("--set %q", sets)
				f(t, load(t, name, sets))
			})
		}
	}
}

func flipX(v *r2.Vec) { v.X = -v.X }

// mirror turns x into −x, for figures without shafts in the side view.
func mirror(m *mech.Model) {
	if m.Motor.Sense != mech.Reversible {
		m.Motor.Sense = 1 - m.Motor.Sense
	}
	for i := range m.Shafts {
		flipX(&m.Shafts[i].At)
	}
	for i := range m.Belts {
		for j := range m.Belts[i].Run {
			flipX(&m.Belts[i].Run[j].At)
		}
		if m.Belts[i].TakeUp != nil {
			flipX(&m.Belts[i].TakeUp.Along)
		}
	}
	for i := range m.Cams {
		f := m.Cams[i].Follower
		f.Heading, f.Offset, f.Left = math.Pi-f.Heading, -f.Offset, !f.Left
		flipX(&f.Pivot)
	}
	if m.Torso != nil {
		mirrorTorso(m.Torso)
	}
	for i := range m.Linkages {
		l := &m.Linkages[i]
		for j := range l.Pins {
			p := &l.Pins[j]
			flipX(&p.Start)
			flipX(&p.At)
			flipX(&p.Along)
			p.Crank.Phase = math.Pi - p.Crank.Phase
		}
		for j := range l.Plates {
			for k := range l.Plates[j].Pins {
				flipX(&l.Plates[j].Pins[k].At)
			}
		}
		for j := range l.Points {
			l.Points[j].At.Y = -l.Points[j].At.Y
		}
	}
	if b := m.Beats; b != nil {
		switch b.When {
		case mech.Leftmost:
			b.When = mech.Rightmost
		case mech.Rightmost:
			b.When = mech.Leftmost
		}
	}
}

func mirrorTorso(torso *mech.Torso) {
	for i := range torso.Pushes {
		flipX(&torso.Pushes[i].Along)
		torso.Pushes[i].Crank.Phase = math.Pi - torso.Pushes[i].Crank.Phase
	}
	flipX(&torso.Guide.Pin)
	flipX(&torso.Stage.Opening.At)
	torso.CentreOfMass.X = -torso.CentreOfMass.X
	for i := range torso.Points {
		torso.Points[i].At.X = -torso.Points[i].At.X
	}
	for i := range torso.KeepClear {
		o := &torso.KeepClear[i]
		o.Box.Min.X, o.Box.Max.X = -o.Box.Max.X, -o.Box.Min.X
		flipX(&o.Cylinder.At)
	}
}

// scale makes every length k times as large.
func scale(m *mech.Model, k float64) {
	in2 := func(v *r2.Vec) { *v = r2.Scale(k, *v) }
	in3 := func(v *r3.Vec) { *v = r3.Scale(k, *v) }
	for i := range m.Shafts {
		in2(&m.Shafts[i].At)
		m.Shafts[i].Level.Value *= k
		m.Shafts[i].Diameter.Value *= k
	}
	for i := range m.Belts {
		b := &m.Belts[i]
		b.Section.Name = ""
		b.Section.Pitch *= k
		b.Section.ToothHeight *= k
		b.Section.PitchLine *= k
		b.Section.Back *= k
		for j := range b.Run {
			in2(&b.Run[j].At)
			b.Run[j].Diameter *= k
		}
		if b.TakeUp != nil {
			b.TakeUp.Min *= k
			b.TakeUp.Max *= k
		}
	}
	for i := range m.Gears {
		m.Gears[i].Module *= k
	}
	for i := range m.Cams {
		scaleCam(&m.Cams[i], k)
	}
	if m.Torso != nil {
		scaleTorso(m.Torso, k, in2, in3)
	}
	for i := range m.Linkages {
		l := &m.Linkages[i]
		l.Level.Value *= k
		for j := range l.Pins {
			in2(&l.Pins[j].Start)
			in2(&l.Pins[j].At)
			l.Pins[j].Crank.Radius *= k
		}
		for j := range l.Bars {
			l.Bars[j].Length *= k
		}
		for j := range l.Points {
			in2(&l.Points[j].At)
			l.Points[j].Radius *= k
		}
	}
	if m.Beats != nil {
		m.Beats.Height *= k
	}
}

func scaleCam(c *mech.Cam, k float64) {
	c.Base *= k
	c.Follower.Radius *= k
	c.Follower.Offset *= k
	c.Load.FaceWidth.Value *= k
	for i := range c.Shape.Waves {
		c.Shape.Waves[i].Amplitude *= k
	}
	for i := range c.Shape.Segments {
		c.Shape.Segments[i].Rise *= k
	}
	for i := range c.Shape.Points {
		c.Shape.Points[i].Value *= k
	}
}

func scaleTorso(torso *mech.Torso, k float64, in2 func(*r2.Vec), in3 func(*r3.Vec)) {
	for _, p := range []*float64{
		&torso.Pivot, &torso.ShaftDiameter, &torso.ShaftDepth,
		&torso.Guide.Depth, &torso.Guide.PinDiameter, &torso.Guide.SlotMin, &torso.Guide.SlotMax, &torso.Guide.Clearance,
		&torso.Stage.Thickness, &torso.Stage.Opening.Diameter, &torso.Stage.Opening.Width, &torso.Stage.Opening.Depth,
	} {
		*p *= k
	}
	in2(&torso.Guide.Pin)
	in2(&torso.Stage.Opening.At)
	in3(&torso.CentreOfMass)
	for i := range torso.Pushes {
		torso.Pushes[i].Depth *= k
		torso.Pushes[i].Plumb *= k
	}
	for i := range torso.Points {
		in3(&torso.Points[i].At)
		torso.Points[i].Radius *= k
	}
	for i := range torso.KeepClear {
		o := &torso.KeepClear[i]
		in3(&o.Box.Min)
		in3(&o.Box.Max)
		in2(&o.Cylinder.At)
		o.Cylinder.Radius *= k
		o.Cylinder.From *= k
		o.Cylinder.To *= k
	}
}

// comparer holds two solutions of which b has lengths times length, and x
// turned about where flip is set.
type comparer struct {
	t      *testing.T
	a, b   *solve.Solution
	length float64
	flip   bool
}

// same allows for roundings that add up differently: 1e-9 of the value, or of a
// millimetre or radian where the value is small.
func (c *comparer) same(what string, a, b float64) {
	c.t.Helper()
	c.within(1e-9, what, a, b)
}

func (c *comparer) within(tolerance float64, what string, a, b float64) {
	c.t.Helper()
	if math.Abs(a-b) > tolerance*max(1, math.Abs(a)) || a-a != 0 || b-b != 0 {
		c.t.Errorf("%s: %.12g and %.12g", what, a, b)
	}
}

func (c *comparer) extent(what string, a, b solve.Extent, factor float64, flip bool) {
	c.t.Helper()
	if a.Valid != b.Valid {
		c.t.Errorf("%s: valid %v and %v", what, a.Valid, b.Valid)
	}
	low, high := b.Min.Value, b.Max.Value
	if flip {
		low, high = -high, -low
	}
	c.same(what+" least", a.Min.Value*factor, low)
	c.same(what+" greatest", a.Max.Value*factor, high)
}

func (c *comparer) compare() {
	c.t.Helper()
	c.same("repeat", c.a.Repeat.Turns, c.b.Repeat.Turns)
	for i := range c.a.Belts {
		a, b := c.a.Belts[i], c.b.Belts[i]
		c.same("belt teeth", a.TeethExact, b.TeethExact)
		for j := range a.Pulleys {
			c.same("wrap", a.Pulleys[j].Wrap, b.Pulleys[j].Wrap)
			c.same("span", a.Spans[j].Length*c.length, b.Spans[j].Length)
		}
	}
	for i := range c.a.Cams {
		a, b := c.a.Cams[i], c.b.Cams[i]
		c.same("lift", a.Lift.Max.Value*c.length, b.Lift.Max.Value)
		c.same("pressure angle", a.PeakPressure.Value, b.PeakPressure.Value)
		c.same("rim radius", a.LeastConvex.Value*c.length, b.LeastConvex.Value)
	}
	c.torso(c.a.Torso, c.b.Torso)
	for i := range c.a.Linkages {
		a, b := c.a.Linkages[i], c.b.Linkages[i]
		c.extent("transmission", a.Transmission, b.Transmission, 1, false)
		for j := range a.Points {
			c.extent("point x", a.Points[j].X, b.Points[j].X, c.length, c.flip)
			c.extent("point z", a.Points[j].Z, b.Points[j].Z, c.length, false)
			c.extent("point speed", a.Points[j].Speed, b.Points[j].Speed, c.length, false)
		}
	}
	if c.a.Beats != nil {
		c.same("beats", c.a.Beats.PerMotorTurn, c.b.Beats.PerMotorTurn)
	}
	if c.length == 1 { // a larger figure of the same mass loads its motor more
		c.same("running speed", c.a.Motor.RunningSpeed, c.b.Motor.RunningSpeed)
	}
}

func (c *comparer) torso(a, b *solve.TorsoResult) {
	c.t.Helper()
	if a.Status != solve.TorsoPosed || b.Status != solve.TorsoPosed {
		c.t.Fatalf("torso: status %v and %v", a.Status, b.Status)
	}
	c.extent("lean", a.Lean, b.Lean, 1, c.flip)
	c.extent("nod", a.Nod, b.Nod, 1, false)
	c.extent("twist", a.Twist, b.Twist, 1, c.flip)
	c.extent("slot", a.Slot, b.Slot, c.length, false)
	c.same("tilt", a.Tilt.Value, b.Tilt.Value)
	c.same("opening", a.Opening.Circle.Value*c.length, b.Opening.Circle.Value)
	c.same("opening width", a.Opening.Width.Value*c.length, b.Opening.Width.Value)
	for i := range a.Points {
		p, q := a.Points[i], b.Points[i]
		c.extent("x", p.X, q.X, c.length, c.flip)
		c.extent("y", p.Y, q.Y, c.length, false)
		c.extent("z", p.Z, q.Z, c.length, false)
		c.same("speed", p.Speed.Value*c.length, q.Speed.Value)
		// An acceleration has corners where a spline or a law has its joints, and
		// refinement comes to them from either side.
		c.within(1e-7, "acceleration", p.Acceleration.Value*c.length, q.Acceleration.Value)
	}
	for i := range a.Clearances {
		c.same("clearance", a.Clearances[i].Gap.Value*c.length, b.Clearances[i].Gap.Value)
	}
}

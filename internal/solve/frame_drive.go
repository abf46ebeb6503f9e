package solve

import (
	"math"
	"strconv"

	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// standing returns where a shaft's axis may stand: as drawn, and where the
// take-up of the fitted belt puts it, if that differs.
func (b *frameBuild) standing(shaft int) []r2.Vec {
	at := []r2.Vec{b.m.Shafts[shaft].At}
	for i, belt := range b.m.Belts {
		if belt.TakeUp == nil || belt.Run[belt.TakeUp.Pulley].Shaft != shaft || i >= len(b.belts) {
			continue
		}
		if f := &b.belts[i].Fitted; f.Reachable && f.TakeUp.OK && f.TakeUp.Value != 0 {
			at = append(at, f.At)
		}
	}
	return at[:min(len(at), 2)]
}

// onShaft adds a round body on a shaft.
func (b *frameBuild) onShaft(part, shaft int, radius, low, high float64) {
	b.prism(part, b.m.Shafts[shaft].View, b.standing(shaft), radius, low, high)
}

// addHub adds a hub beside a round part and widens the part's extent by it.
func (b *frameBuild) addHub(part, shaft int, h *mech.Hub, low, high float64) {
	if h == nil || h.Diameter <= 0 || h.Length <= 0 {
		return
	}
	from, to := high, high+h.Length
	if h.Below {
		from, to = low-h.Length, low
	}
	b.onShaft(part, shaft, h.Diameter/2, from, to)
	p := b.part(part)
	p.From, p.To = min(p.From, from), max(p.To, to)
}

// addBelts adds every belt's spans, sprockets and idlers.
func (b *frameBuild) addBelts() {
	for i := range b.m.Belts {
		belt := &b.m.Belts[i]
		where := specPath("drive", "belts", belt.Name)
		p := FramePart{Kind: FrameBelt, Name: "belt " + belt.Name, Where: where, View: belt.View, Shaft: mech.None, Index: i}
		width := sized(belt.Width, standard.FrameBeltWidth, "width", &p.Assumed)
		level := b.beltLevel(belt, &p.Assumed)
		p.From, p.To = level-width/2, level+width/2
		p.join(jointBelt, i, 0)
		part := b.add(p)
		b.addSpans(part, i, belt)
		for k, pulley := range belt.Run {
			b.addPulley(i, k, pulley, width, level)
		}
	}
}

func (b *frameBuild) beltLevel(belt *mech.Belt, assumed *[]string) float64 {
	if belt.Level.OK {
		return belt.Level.Value
	}
	for _, p := range belt.Run {
		if p.Shaft != mech.None && b.m.Shafts[p.Shaft].Level.OK {
			return b.m.Shafts[p.Shaft].Level.Value
		}
	}
	return b.below(belt.View, assumed)
}

// addSpans adds the straight stretches, from tooth tips to back.
func (b *frameBuild) addSpans(part, i int, belt *mech.Belt) {
	if i >= len(b.belts) || b.belts[i].Status != LoopOK {
		return
	}
	r := &b.belts[i]
	p := b.part(part)
	outward := -1.0 // the loop's outside lies to the right of a counter-clockwise run
	if r.Clockwise {
		outward = 1
	}
	inner, outer := -(belt.Section.PitchLine + belt.Section.ToothHeight), belt.Section.Back
	for _, s := range r.Spans {
		way := r2.Sub(s.Meet, s.Leave)
		if !(r2.Norm(way) > 0) {
			continue
		}
		out := r2.Scale(outward, perpendicular(r2.Unit(way)))
		shift := r2.Scale((inner+outer)/2, out)
		core := []r2.Vec{r2.Add(s.Leave, shift), r2.Add(s.Meet, shift)}
		b.prism(part, belt.View, core, (outer-inner)/2, p.From, p.To)
	}
}

// addPulley adds a sprocket or idler: the toothed body, a flange on each side of
// a sprocket, the belt round it, and its hub.
func (b *frameBuild) addPulley(i, k int, pulley mech.Pulley, width, level float64) {
	belt := &b.m.Belts[i]
	p := FramePart{Kind: FrameSprocket, Where: specPath("drive", "belts", belt.Name, "run", strconv.Itoa(k)), View: belt.View,
		Shaft: pulley.Shaft, Index: i, Pulley: k, At: pulleyAt(b.m, pulley)}
	stands := []r2.Vec{p.At}
	if pulley.Shaft != mech.None {
		p.Name = "sprocket on " + b.m.Shafts[pulley.Shaft].Name
		p.join(jointShaft, pulley.Shaft, 0)
		stands = b.standing(pulley.Shaft)
	} else {
		p.Kind, p.Name = FrameIdler, "idler "+pulley.Idler
	}
	if pulley.Teeth == 0 && pulley.Shaft != mech.None {
		p.Name = "pulley on " + b.m.Shafts[pulley.Shaft].Name
	}
	p.join(jointBelt, i, 0)
	room := width + standard.FrameBeltRoom
	pitch := PitchRadius(belt.Section, pulley)
	round := pitch + belt.Section.Back // the belt lies round it
	flange := pulley.Flange.Value / 2
	if !pulley.Flange.OK && !pulley.Back && pulley.Teeth > 0 {
		flange = round + standard.FrameFlange
		p.Assumed = append(p.Assumed, "flange")
	}
	p.From, p.To = level-room/2, level+room/2
	p.Radius = max(outsideRadius(belt, pulley), flange)
	if flange > 0 {
		p.From, p.To = p.From-standard.FrameFlange, p.To+standard.FrameFlange
	}
	low, high := p.From, p.To
	part := b.add(p)
	b.prism(part, belt.View, stands, p.Radius, low, high)
	// The belt's back stands out between the flanges.
	if round > p.Radius {
		b.prism(part, belt.View, stands, round, level-width/2, level+width/2)
	}
	if pulley.Shaft != mech.None {
		b.addHub(part, pulley.Shaft, pulley.Hub, low, high)
	}
}

// addGears adds both wheels of every pair.
func (b *frameBuild) addGears() {
	for i := range b.m.Gears {
		g := &b.m.Gears[i]
		levels, ok := b.gearLevels(g)
		if b.crossed(g) {
			b.out.Crossed = append(b.out.Crossed, i)
		}
		for side, w := range [2]mech.GearWheel{g.Driver, g.Driven} {
			b.addWheel(i, side, w, levels[side], ok[side])
		}
	}
}

func (b *frameBuild) addWheel(i, side int, w mech.GearWheel, level float64, known bool) {
	g := &b.m.Gears[i]
	shaft := b.m.Shafts[w.Shaft]
	ends := [2]string{"driver", "driven"}
	p := FramePart{Kind: FrameGear, Name: "gear " + g.Name + " on " + shaft.Name, Where: specPath("drive", "gears", g.Name, ends[side]),
		View: shaft.View, Shaft: w.Shaft, Index: i, At: shaft.At}
	p.join(jointShaft, w.Shaft, 0)
	p.join(jointGear, i, 0)
	module := g.Module
	if module <= 0 {
		module = 1
		p.Assumed = append(p.Assumed, "module")
	}
	if !known {
		level = b.below(shaft.View, &p.Assumed)
	}
	face := sized(g.Face, standard.FrameGearFace*module, "face", &p.Assumed)
	p.From, p.To = level-face/2, level+face/2
	p.Radius = wheelRadius(g, side, w, module, b.m)
	low, high := p.From, p.To
	part := b.add(p)
	b.onShaft(part, w.Shaft, p.Radius, low, high)
	b.addHub(part, w.Shaft, w.Hub, low, high)
}

// wheelRadius returns a wheel's outside radius: pitch radius and one module of
// addendum; an internal ring counts with two modules of rim beyond its roots; a
// worm fills what the centre distance leaves.
func wheelRadius(g *mech.Gear, side int, w mech.GearWheel, module float64, m *mech.Model) float64 {
	pitch := module * float64(w.Teeth) / 2
	switch {
	case g.Kind == mech.Internal && w.Teeth > otherWheel(g, side).Teeth:
		return pitch + 3.25*module
	case g.Kind == mech.Worm && side == 0:
		a, c := m.Shafts[g.Driver.Shaft], m.Shafts[g.Driven.Shaft]
		centre := axisDistance(a, c, a.At, c.At)
		return max(centre-module*float64(g.Driven.Teeth)/2, 2*module) + module
	}
	return pitch + module
}

func otherWheel(g *mech.Gear, side int) mech.GearWheel {
	if side == 0 {
		return g.Driven
	}
	return g.Driver
}

// gearLevels returns where a pair's wheels lie along their shafts and whether
// that is known. Wheels on parallel shafts share a level. Wheels on crossing
// shafts lie where their pitch circles meet: with r1, r2 the pitch radii and
// s1, s2 = ±1 the sides on which each reaches the other, toward the viewer of
// the other's view positive, equal speed of the teeth asks for s1·s2 = −1 where
// the senses are the same and +1 where they are opposite (ω1·s1·r1 = −ω2·s2·r2).
// Of the two ways left, the one nearer to the driven shaft's own level.
func (b *frameBuild) gearLevels(g *mech.Gear) (levels [2]float64, ok [2]bool) {
	wheels := [2]mech.GearWheel{g.Driver, g.Driven}
	a, c := b.m.Shafts[g.Driver.Shaft], b.m.Shafts[g.Driven.Shaft]
	if a.View != c.View {
		levels, ok = b.crossLevels(g, a, c)
	}
	for side, w := range wheels {
		if w.Level.OK {
			levels[side], ok[side] = w.Level.Value, true
		}
	}
	if a.View == c.View {
		for side := range wheels {
			other := 1 - side
			if !ok[side] && ok[other] {
				levels[side], ok[side] = levels[other], true
			}
		}
		for side, s := range [2]mech.Shaft{a, c} {
			if !ok[side] && s.Level.OK {
				levels[side], ok[side] = s.Level.Value, true
			}
		}
		if ok[0] != ok[1] {
			level := levels[0]
			if ok[1] {
				level = levels[1]
			}
			levels, ok = [2]float64{level, level}, [2]bool{true, true}
		}
		if !ok[0] {
			var ignored []string
			level := b.below(a.View, &ignored)
			levels, ok = [2]float64{level, level}, [2]bool{true, true}
		}
	}
	return levels, ok
}

// crossLevels solves the levels of wheels on crossing shafts.
func (b *frameBuild) crossLevels(g *mech.Gear, a, c mech.Shaft) (levels [2]float64, ok [2]bool) {
	axis := func(s mech.Shaft) (p, way r3.Vec) { return s.View.Stage(s.At, 0), s.View.Axis() }
	pa, wayA := axis(a)
	pc, wayC := axis(c)
	// Where each axis passes the other, as levels.
	_, levelOnA := a.View.Project(pc)
	_, levelOnC := c.View.Project(pa)
	if g.Kind == mech.Worm {
		return [2]float64{levelOnA, levelOnC}, [2]bool{true, true}
	}
	if g.Module <= 0 {
		return levels, ok
	}
	r1, r2 := g.Module*float64(g.Driver.Teeth)/2, g.Module*float64(g.Driven.Teeth)/2
	// Levels run against the way to the viewer in front view.
	upA, upC := signOf(wayA), signOf(wayC)
	want := -1.0
	if g.Opposite {
		want = 1
	}
	best := math.Inf(1)
	for _, s1 := range [2]float64{1, -1} {
		s2 := want * s1
		onC := levelOnC + upC*s1*r1 // the driven wheel, reached on side s1 of the driver
		onA := levelOnA + upA*s2*r2
		far := 0.0
		if g.Driven.Level.OK {
			far += math.Abs(onC - g.Driven.Level.Value)
		} else if c.Level.OK {
			far += math.Abs(onC - c.Level.Value)
		}
		if g.Driver.Level.OK {
			far += math.Abs(onA - g.Driver.Level.Value)
		}
		if far < best {
			best, levels = far, [2]float64{onA, onC}
		}
	}
	return levels, [2]bool{true, true}
}

// crossed reports whether the levels written for both wheels of a crossing pair
// contradict its sense.
func (b *frameBuild) crossed(g *mech.Gear) bool {
	a, c := b.m.Shafts[g.Driver.Shaft], b.m.Shafts[g.Driven.Shaft]
	if g.Kind != mech.Bevel && g.Kind != mech.Crown || a.View == c.View || !g.Driver.Level.OK || !g.Driven.Level.OK {
		return false
	}
	_, onA := a.View.Project(c.View.Stage(c.At, 0))
	_, onC := c.View.Project(a.View.Stage(a.At, 0))
	s1 := (g.Driven.Level.Value - onC) * signOf(c.View.Axis())
	s2 := (g.Driver.Level.Value - onA) * signOf(a.View.Axis())
	return s1 != 0 && s2 != 0 && (s1*s2 > 0) != g.Opposite
}

// signOf returns +1 when a view's way to the viewer runs up its levels.
func signOf(way r3.Vec) float64 {
	if way.X+way.Y+way.Z < 0 {
		return -1
	}
	return 1
}

package solve

import (
	"math"
	"slices"
	"strconv"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
)

// barLayers places a linkage's links one beside the other, so that no two on
// one pin share a height: the first on the linkage's own level, each further one
// on the first layer free of its neighbours, away from the cranks.
type barLayers struct {
	b     *frameBuild
	index int // of the linkage
	l     *mech.Linkage
	level float64
	width float64
	thick float64
	away  float64     // +1 or −1 along the third axis
	layer map[int]int // by link: bars first, then plates
}

// links returns the pins of each link, bars first.
func (y *barLayers) links() [][]int {
	var out [][]int
	for _, bar := range y.l.Bars {
		out = append(out, bar.Pins[:])
	}
	for _, plate := range y.l.Plates {
		var pins []int
		for _, p := range plate.Pins {
			pins = append(pins, p.Pin)
		}
		out = append(out, pins)
	}
	return out
}

// place returns the two faces of a layer.
func (y *barLayers) place(layer int) (low, high float64) {
	middle := y.level + y.away*float64(layer)*(y.thick+standard.FrameWasher)
	return middle - y.thick/2, middle + y.thick/2
}

// addLinkages adds every linkage's bars, plates, pins and cranks.
func (b *frameBuild) addLinkages(chains []*Chain) {
	for i := range b.m.Linkages {
		if i < len(chains) && chains[i] != nil {
			b.addLinkage(i, chains[i])
		}
	}
}

func (b *frameBuild) addLinkage(i int, chain *Chain) {
	l := &b.m.Linkages[i]
	var assumed []string
	y := &barLayers{b: b, index: i, l: l, layer: map[int]int{}}
	y.width = sized(l.BarWidth, standard.FrameBarWidth, "bar width", &assumed)
	y.thick = sized(l.BarThickness, standard.FrameBarThickness, "bar thickness", &assumed)
	y.level, y.away = b.linkageLevel(l, &assumed)
	pose := chain.NewPose()
	mover := newMover(chain.Shafts, func(x []float64) bool { return chain.Solve(x, pose) })
	mover.resolve = 2 * orbitSamples // a long coupler's clearance has sharper dips than a cam's lift
	for _, pin := range l.Pins {
		if pin.Kind == mech.FollowerPin && b.cams[pin.Cam].Status == CamSolved {
			k := slices.Index(chain.Shafts, b.m.Cams[pin.Cam].Shaft)
			for _, phi := range b.cams[pin.Cam].Breaks() {
				if k >= 0 {
					mover.addBreak(k, phi-b.m.Cams[pin.Cam].Phase)
				}
			}
		}
	}
	spans := make([][2]float64, len(l.Pins)) // per pin, the links it holds
	for p := range spans {
		spans[p] = [2]float64{math.Inf(1), math.Inf(-1)}
	}
	links := y.links()
	for k, pins := range links {
		low, high := y.linkPlace(k, links)
		y.addLink(k, pins, low, high, assumed, pose, mover)
		for _, p := range pins {
			spans[p] = [2]float64{min(spans[p][0], low), max(spans[p][1], high)}
		}
	}
	for p := range l.Pins {
		y.addPin(p, spans[p], pose, mover)
	}
}

// linkageLevel returns a linkage's level, and on which side further layers go:
// away from the other parts on its crank's shaft.
func (b *frameBuild) linkageLevel(l *mech.Linkage, assumed *[]string) (level, away float64) {
	crank := mech.None
	for _, p := range l.Pins {
		if p.Kind == mech.CrankPin {
			crank = p.Crank.Shaft
			break
		}
	}
	switch {
	case l.Level.OK:
		level = l.Level.Value
	case crank != mech.None && b.m.Shafts[crank].Level.OK:
		level = b.m.Shafts[crank].Level.Value
	default:
		level = b.below(l.View, assumed)
	}
	sum, n := 0.0, 0
	for i := range b.out.Parts {
		if p := &b.out.Parts[i]; crank != mech.None && p.Shaft == crank {
			sum += p.Level() - level
			n++
		}
	}
	if n > 0 && sum < 0 {
		return level, 1
	}
	return level, -1
}

// linkPlace chooses the layer of a link and returns its faces.
func (y *barLayers) linkPlace(k int, links [][]int) (low, high float64) {
	if k < len(y.l.Bars) && y.l.Bars[k].Level.OK {
		level := y.l.Bars[k].Level.Value
		y.layer[k] = math.MaxInt
		return level - y.thick/2, level + y.thick/2
	}
	layer := 0
	for taken := true; taken; {
		taken = false
		for other := range k {
			if y.layer[other] == layer && slices.ContainsFunc(links[other], func(p int) bool { return slices.Contains(links[k], p) }) {
				taken = true
				layer++
				break
			}
		}
	}
	y.layer[k] = layer
	return y.place(layer)
}

// addLink adds a bar or plate: the hull of its pins, as wide as its strip.
func (y *barLayers) addLink(k int, pins []int, low, high float64, assumed []string, pose *ChainPose, mover *frameMover) {
	b, l := y.b, y.l
	p := FramePart{Kind: FrameBar, View: l.View, From: low, To: high, Shaft: mech.None, Index: k, Assumed: slices.Clone(assumed)}
	if k < len(l.Bars) {
		p.Name = "bar " + l.Pins[pins[0]].Name + "-" + l.Pins[pins[1]].Name
		p.Where = specPath("linkages", l.Name, "bars", strconv.Itoa(k))
	} else {
		plate := l.Plates[k-len(l.Bars)]
		p.Name, p.Where = "plate "+plate.Name, specPath("linkages", l.Name, "plates", plate.Name)
	}
	for _, pin := range pins {
		p.join(jointPin, y.index, pin)
	}
	for _, s := range l.Slots { // a pin in a slot touches the link that has it
		if slices.Contains(pins, s.Line[0]) && slices.Contains(pins, s.Line[1]) {
			p.join(jointPin, y.index, s.Pin)
		}
	}
	order := hullOrder(pins, pose)
	body := frameBody{view: l.View, low: low, high: high, radius: y.width / 2, core: make([]r2.Vec, len(order)), part: b.add(p)}
	b.moving(body, mover, func(f *frameBody) {
		for i, pin := range order {
			f.core[i] = pose.Pins[pin].Pos
		}
	})
	for i, point := range l.Points {
		if slices.Contains(pins, point.On[0]) && slices.Contains(pins, point.On[1]) {
			y.addArm(i, body.part, pins, low, high, pose, mover)
		}
	}
}

// addArm adds the piece of a link that carries a point beyond its pins.
func (y *barLayers) addArm(i, part int, pins []int, low, high float64, pose *ChainPose, mover *frameMover) {
	point := y.l.Points[i]
	body := frameBody{view: y.l.View, low: low, high: high, radius: max(y.width/2, point.Radius), core: make([]r2.Vec, 2), part: part}
	y.b.moving(body, mover, func(f *frameBody) {
		a, c := pose.Pins[point.On[0]].Pos, pose.Pins[point.On[1]].Pos
		along := r2.Unit(r2.Sub(c, a))
		f.core[0] = a
		f.core[1] = r2.Add(a, r2.Add(r2.Scale(point.At.X, along), r2.Scale(point.At.Y, perpendicular(along))))
	})
}

// hullOrder returns the pins on the hull of a link as it stands, in
// counter-clockwise order; a link is rigid, so the order stays.
func hullOrder(pins []int, pose *ChainPose) []int {
	if len(pins) < 3 {
		return pins
	}
	start := 0
	for i, p := range pins {
		if pose.Pins[p].Pos.X < pose.Pins[pins[start]].Pos.X {
			start = i
		}
	}
	order := []int{pins[start]}
	for at := pins[start]; len(order) <= len(pins); {
		next := mech.None
		for _, p := range pins {
			if p == at || pose.Pins[p].Pos == pose.Pins[at].Pos {
				continue
			}
			if next == mech.None {
				next = p
				continue
			}
			side := r2.Cross(r2.Sub(pose.Pins[next].Pos, pose.Pins[at].Pos), r2.Sub(pose.Pins[p].Pos, pose.Pins[at].Pos))
			far := r2.Norm2(r2.Sub(pose.Pins[p].Pos, pose.Pins[at].Pos)) > r2.Norm2(r2.Sub(pose.Pins[next].Pos, pose.Pins[at].Pos))
			if side < 0 || side == 0 && far {
				next = p
			}
		}
		if next == mech.None || next == order[0] {
			return order
		}
		order = append(order, next)
		at = next
	}
	return order
}

// addPin adds a pin through the links it holds, and the crank that carries it.
func (y *barLayers) addPin(pin int, span [2]float64, pose *ChainPose, mover *frameMover) {
	b, l := y.b, y.l
	if math.IsInf(span[0], 0) {
		return
	}
	spec := &l.Pins[pin]
	p := FramePart{Kind: FramePin, Name: "pin " + spec.Name, Where: specPath("linkages", l.Name, "pins", spec.Name), View: l.View,
		From: span[0] - standard.FrameWasher, To: span[1] + standard.FrameWasher, Shaft: mech.None, Index: pin,
		Radius: l.PinDiameter.Or(standard.FramePinDiameter) / 2}
	p.join(jointPin, y.index, pin)
	if spec.Kind == mech.CrankPin {
		low, high := y.place(-1)
		if high > span[0] && low < span[1] { // bars with levels of their own
			low, high = span[0]-standard.FrameWasher-y.thick, span[0]-standard.FrameWasher
		}
		p.From, p.To = min(p.From, low), max(p.To, high)
		y.addCrank(pin, low, high)
	}
	if spec.Kind == mech.FollowerPin {
		p.join(jointCam, spec.Cam, 0)
	}
	body := frameBody{view: l.View, low: p.From, high: p.To, radius: p.Radius, core: make([]r2.Vec, 1), part: b.add(p)}
	b.moving(body, mover, func(f *frameBody) { f.core[0] = pose.Pins[pin].Pos })
}

// addCrank adds a crank as the disc it sweeps.
func (y *barLayers) addCrank(pin int, low, high float64) {
	b, crank := y.b, y.l.Pins[pin].Crank
	shaft := b.m.Shafts[crank.Shaft]
	for i := range b.out.Parts { // two linkages may share a crank
		p := &b.out.Parts[i]
		if p.Kind == FrameCrank && p.Shaft == crank.Shaft && p.From == low {
			p.join(jointPin, y.index, pin)
			return
		}
	}
	p := FramePart{Kind: FrameCrank, Name: "crank on " + shaft.Name, Where: specPath("linkages", y.l.Name, "pins", y.l.Pins[pin].Name),
		View: shaft.View, From: low, To: high, Shaft: crank.Shaft, Index: pin, At: shaft.At,
		Radius: crank.Radius + y.width/2}
	p.join(jointShaft, crank.Shaft, 0)
	p.join(jointPin, y.index, pin)
	b.onShaft(b.add(p), crank.Shaft, p.Radius, low, high)
}

// stageSlots finds where linkages pass through the stage: the true extremes of
// each link's reach between the stage's two faces. It returns the parts that do.
func (b *frameBuild) stageSlots() (through map[int]bool) {
	through = map[int]bool{}
	if b.m.Torso == nil || b.m.Torso.Stage.Thickness <= 0 {
		return through
	}
	bottom := -b.m.Torso.Stage.Thickness
	slots := map[int]*StageSlot{}
	for i := range b.s.bodies {
		f := &b.s.bodies[i]
		p := &b.out.Parts[f.part]
		if p.Kind != FrameBar || f.mover == nil {
			continue
		}
		linkage := p.joints[0].i
		e := b.slotExtent(f, bottom)
		if e == nil {
			continue
		}
		through[f.part] = true
		s := slots[linkage]
		if s == nil {
			slots[linkage] = &StageSlot{Linkage: linkage, Min: e.Min, Max: e.Max}
			continue
		}
		s.Min = r2.Vec{X: min(s.Min.X, e.Min.X), Y: min(s.Min.Y, e.Min.Y)}
		s.Max = r2.Vec{X: max(s.Max.X, e.Max.X), Y: max(s.Max.Y, e.Max.Y)}
	}
	for i := range b.m.Linkages {
		if s := slots[i]; s != nil {
			b.out.Slots = append(b.out.Slots, *s)
		}
	}
	return through
}

// slotExtent returns what a link sweeps between the stage's faces, in plan; nil
// when it never reaches in.
func (b *frameBuild) slotExtent(f *frameBody, bottom float64) *StageSlot {
	if f.view == geom.Plan { // a link in plan lies level and passes through nothing
		return nil
	}
	b.s.sample(f.mover)
	if box := &f.mover.samples.boxes[f.row]; box.max.Z < bottom || box.min.Z > 0 {
		return nil
	}
	g := newFrameGroup(&b.s, f.mover)
	field := Field{N: 2, All: func(x, out []float64) {
		fillNaN(out)
		if f.mover.pose(x); !f.mover.stand(f) {
			return
		}
		out[0], out[1] = bandExtent(f.core, f.radius, bottom, 0)
	}, Sides: []Sides{OnlyMin, OnlyMax}}
	e := g.orbit(0).Extents(field)
	if !e[0].Valid || !e[1].Valid {
		return nil
	}
	u, v := e[0].Min.Value, e[1].Max.Value
	low, high := f.view.Stage(r2.Vec{X: u}, f.low), f.view.Stage(r2.Vec{X: v}, f.high)
	return &StageSlot{
		Min: r2.Vec{X: min(low.X, high.X), Y: min(low.Y, high.Y)},
		Max: r2.Vec{X: max(low.X, high.X), Y: max(low.Y, high.Y)},
	}
}

// bandExtent returns the extent along u of a grown core between two heights v;
// NaN when none of it lies there. The core's edges are cut to the band widened
// by the radius, which bounds the rounded outline from outside.
func bandExtent(core []r2.Vec, radius, low, high float64) (least, most float64) {
	least, most = math.NaN(), math.NaN()
	low, high = low-radius, high+radius
	keep := func(u float64) {
		if !(u >= least) {
			least = u
		}
		if !(u <= most) {
			most = u
		}
	}
	for i, a := range core {
		c := core[(i+1)%len(core)]
		if a.Y >= low && a.Y <= high {
			keep(a.X)
		}
		for _, v := range [2]float64{low, high} {
			if (a.Y-v)*(c.Y-v) < 0 {
				keep(a.X + (v-a.Y)/(c.Y-a.Y)*(c.X-a.X))
			}
		}
	}
	return least - radius, most + radius
}

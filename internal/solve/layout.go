package solve

// What a belt runs near: shafts it does not go round, hubs, other pulleys and
// other belts, in its own view and at its own level. Distances are exact: of a
// centre from a straight span, of two circles, of two spans. The belt is as
// thick as its section on either side of the pitch line.

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// GapKind is what two things a gap lies between.
type GapKind int

const (
	BeltToShaft    GapKind = iota // a span or pulley of the belt, and a shaft it does not go round
	BeltToHub                     // a span of the belt, and a hub at its level
	BeltToPulley                  // a span of the belt, and a pulley it does not run on there
	BeltToBelt                    // a span of the belt, and a span of another; negative where they cross
	PulleyToPulley                // two pulleys, flanges and belts included
	LayerToLayer                  // along a shaft: two belts on it
)

// Gap is the distance between a belt and something else, mm; negative where
// they are in each other. Where Known is false it cannot be told, since a level
// or width is not given.
type Gap struct {
	Kind  GapKind
	Belt  int
	Mine  string // the belt's part: "span main, side" or "pulley main"
	Other string // what it is near, in words
	Size  float64
	Known bool
}

// layer is the stretch of levels something fills; open where it is not known.
type layer struct {
	low, high float64
	known     bool
}

func (l layer) meets(o layer) bool { return !l.known || !o.known || l.low < o.high && o.low < l.high }

// beltLayer returns the levels a belt fills.
func beltLayer(m *mech.Model, b *mech.Belt) layer {
	level := b.Level
	for _, p := range b.Run {
		if !level.OK && p.Shaft != mech.None {
			level = m.Shafts[p.Shaft].Level
		}
	}
	half := b.Width.Value / 2
	return layer{level.Value - half, level.Value + half, level.OK && b.Width.OK}
}

// SolveLayout measures every belt against all that stands near it, as drawn, and
// returns the narrowest gap of each kind, among those that can be told and among
// those that cannot.
func SolveLayout(m *mech.Model, belts []BeltResult) []Gap {
	w := layoutWalk{m: m, belts: belts}
	for i := range m.Belts {
		if i >= len(belts) {
			break
		}
		w.belt, w.from = i, len(w.gaps)
		w.ownPulleys()
		for shaft := range m.Shafts {
			w.shaft(shaft)
		}
		w.hubs()
		for j := range min(len(m.Belts), len(belts)) {
			if j != i {
				w.other(j)
			}
		}
	}
	return w.gaps
}

type layoutWalk struct {
	m     *mech.Model
	belts []BeltResult
	belt  int
	from  int // where the belt's gaps begin
	gaps  []Gap
}

// add keeps the gap if it is the narrowest of its kind for the belt; only then
// are its parts named.
func (w *layoutWalk) add(kind GapKind, size float64, known bool, name func() (mine, other string)) {
	for i := w.from; i < len(w.gaps); i++ {
		g := &w.gaps[i]
		if g.Kind != kind || g.Known != known {
			continue
		}
		if size < g.Size {
			g.Mine, g.Other = name()
			g.Size = size
		}
		return
	}
	g := Gap{Kind: kind, Belt: w.belt, Size: size, Known: known}
	g.Mine, g.Other = name()
	w.gaps = append(w.gaps, g)
}

func (w *layoutWalk) pulley(belt, i int) string {
	return "pulley " + PulleyName(w.m, w.m.Belts[belt].Run[i])
}

func (w *layoutWalk) span(belt, i int) string {
	run := w.m.Belts[belt].Run
	return "span " + PulleyName(w.m, run[i]) + ", " + PulleyName(w.m, run[(i+1)%len(run)])
}

// reachOf returns how far out a pulley reaches with its flange and the belt on
// it.
func reachOf(b *mech.Belt, r *BeltResult, i int) float64 {
	reach := r.Pulleys[i].Radius + b.Section.Back
	if b.Run[i].Back {
		reach = r.Pulleys[i].Radius + b.Section.ToothHeight + b.Section.PitchLine
	}
	return max(reach, r.Pulleys[i].Outside, b.Run[i].Flange.Value/2)
}

// bodyOf returns how far out a pulley reaches with its flange and no belt.
func bodyOf(b *mech.Belt, r *BeltResult, i int) float64 {
	return max(r.Pulleys[i].Outside, b.Run[i].Flange.Value/2)
}

// toSpan returns the distance from a point to span i of a belt, less the belt's
// own thickness on the side of the point.
func toSpan(b *mech.Belt, r *BeltResult, i int, p r2.Vec) float64 {
	s := r.Spans[i]
	far := toSegment(p, [2]r2.Vec{s.Leave, s.Meet})
	inside := r2.Cross(r2.Sub(s.Meet, s.Leave), r2.Sub(p, s.Leave)) > 0
	if r.Clockwise {
		inside = !inside
	}
	if inside {
		return far - b.Section.ToothHeight - b.Section.PitchLine
	}
	return far - b.Section.Back
}

// ownPulleys sets the belt's pulleys against each other and against its spans.
func (w *layoutWalk) ownPulleys() {
	b, r := &w.m.Belts[w.belt], &w.belts[w.belt]
	n := len(b.Run)
	if r.Status == LoopOverlap {
		return // said of the loop itself
	}
	for i := range n {
		for j := range i {
			size := r2.Norm(r2.Sub(r.Pulleys[i].At, r.Pulleys[j].At)) - bodyOf(b, r, i) - bodyOf(b, r, j)
			w.add(PulleyToPulley, size, true, func() (string, string) { return w.pulley(w.belt, j), w.pulley(w.belt, i) })
		}
	}
	if r.Status != LoopOK {
		return
	}
	for i := range n {
		for j := range n {
			if j != i && j != (i+1)%n {
				size := toSpan(b, r, i, r.Pulleys[j].At) - bodyOf(b, r, j)
				w.add(BeltToPulley, size, true, func() (string, string) { return w.span(w.belt, i), w.pulley(w.belt, j) })
			}
		}
	}
}

// shaft sets the belt against a shaft of its view that it does not go round.
func (w *layoutWalk) shaft(shaft int) {
	b, r := &w.m.Belts[w.belt], &w.belts[w.belt]
	s := w.m.Shafts[shaft]
	for _, p := range b.Run {
		if p.Shaft == shaft {
			return
		}
	}
	if s.View != b.View || !beltLayer(w.m, b).meets(layer{s.From.Value, s.To.Value, s.From.OK && s.To.OK}) {
		return
	}
	half := s.Diameter.Value / 2
	for i := range b.Run {
		size := r2.Norm(r2.Sub(s.At, r.Pulleys[i].At)) - bodyOf(b, r, i) - half
		w.add(BeltToShaft, size, s.Diameter.OK || surely(size), func() (string, string) { return w.pulley(w.belt, i), "shaft " + s.Name })
		if r.Status == LoopOK {
			size := toSpan(b, r, i, s.At) - half
			w.add(BeltToShaft, size, s.Diameter.OK || surely(size), func() (string, string) { return w.span(w.belt, i), "shaft " + s.Name })
		}
	}
}

// thickestShaft, in mm, is a radius that no shaft under a small figure has.
const thickestShaft = 10

// surely reports whether the distance to a shaft's axis tells enough without its
// diameter: the axis is in the belt, or no shaft is so thick as to reach it.
func surely(toAxis float64) bool { return toAxis < 0 || toAxis > thickestShaft }

// hubs sets the belt's spans against the hubs of other belts' pulleys and of
// gears that lie at its level.
func (w *layoutWalk) hubs() {
	for j := range w.m.Belts {
		other := &w.m.Belts[j]
		if j == w.belt || other.View != w.m.Belts[w.belt].View || j >= len(w.belts) {
			continue
		}
		for i, p := range other.Run {
			if p.Hub != nil {
				w.hub(p.Shaft, w.belts[j].Pulleys[i].At, *p.Hub, beltLayer(w.m, other), "hub of "+w.pulley(j, i))
			}
		}
	}
	for _, g := range w.m.Gears {
		for _, wheel := range [...]mech.GearWheel{g.Driver, g.Driven} {
			s := w.m.Shafts[wheel.Shaft]
			if wheel.Hub == nil || s.View != w.m.Belts[w.belt].View {
				continue
			}
			level := wheel.Level
			if !level.OK {
				level = s.Level
			}
			half := g.Face.Value / 2
			w.hub(wheel.Shaft, s.At, *wheel.Hub, layer{level.Value - half, level.Value + half, level.OK && g.Face.OK}, "hub of gears "+g.Name+" on "+s.Name)
		}
	}
}

// hub sets the spans against one hub, which stands on one side of the layer its
// wheel fills.
func (w *layoutWalk) hub(shaft int, at r2.Vec, h mech.Hub, wheel layer, name string) {
	b, r := &w.m.Belts[w.belt], &w.belts[w.belt]
	at0 := layer{wheel.high, wheel.high + h.Length, wheel.known}
	if h.Below {
		at0 = layer{wheel.low - h.Length, wheel.low, wheel.known}
	}
	mine := beltLayer(w.m, b)
	if r.Status != LoopOK || !mine.meets(at0) {
		return
	}
	for _, p := range b.Run {
		if p.Shaft == shaft && shaft != mech.None {
			return // on a shaft the belt goes round it is a matter of layers
		}
	}
	for i := range b.Run {
		w.add(BeltToHub, toSpan(b, r, i, at)-h.Diameter/2, mine.known && at0.known, func() (string, string) { return w.span(w.belt, i), name })
	}
}

// other sets the belt against another belt: along the shafts they share, and
// where their layers meet, spans and pulleys.
func (w *layoutWalk) other(j int) {
	b, o := &w.m.Belts[w.belt], &w.m.Belts[j]
	mine, theirs := beltLayer(w.m, b), beltLayer(w.m, o)
	shared := false
	for _, p := range b.Run {
		for _, q := range o.Run {
			if p.Shaft == q.Shaft && p.Shaft != mech.None && !shared {
				shared = true
				gap, known := max(theirs.low-mine.high, mine.low-theirs.high), mine.known && theirs.known
				if !known {
					gap = 0
				}
				w.add(LayerToLayer, gap, known, func() (string, string) {
					return "belt " + b.Name, "belt " + o.Name + " on shaft " + w.m.Shafts[p.Shaft].Name
				})
			}
		}
	}
	if shared || b.View != o.View || !mine.meets(theirs) {
		return // belts that share a shaft are kept apart by their layers
	}
	w.sideBySide(j, mine.known && theirs.known)
}

// sideBySide sets two belts of one layer against each other.
func (w *layoutWalk) sideBySide(j int, known bool) {
	b, o := &w.m.Belts[w.belt], &w.m.Belts[j]
	r, s := &w.belts[w.belt], &w.belts[j]
	for i := range b.Run {
		for k := range o.Run {
			theirs := func(part string) string { return part + " of belt " + o.Name }
			size := r2.Norm(r2.Sub(r.Pulleys[i].At, s.Pulleys[k].At)) - reachOf(b, r, i) - reachOf(o, s, k)
			w.add(PulleyToPulley, size, known, func() (string, string) { return w.pulley(w.belt, i), theirs(w.pulley(j, k)) })
			if r.Status != LoopOK {
				continue
			}
			size = toSpan(b, r, i, s.Pulleys[k].At) - reachOf(o, s, k)
			w.add(BeltToPulley, size, known, func() (string, string) { return w.span(w.belt, i), theirs(w.pulley(j, k)) })
			if s.Status == LoopOK {
				size = spanToSpan(b, o, r.Spans[i], s.Spans[k])
				w.add(BeltToBelt, size, known, func() (string, string) { return w.span(w.belt, i), theirs(w.span(j, k)) })
			}
		}
	}
}

// spanToSpan returns the distance between two spans less half of both belts'
// thickness on either side, negative where they cross: by how far the nearer end
// would have to go back.
func spanToSpan(b, o *mech.Belt, s, t SpanResult) float64 {
	p, q := [2]r2.Vec{s.Leave, s.Meet}, [2]r2.Vec{t.Leave, t.Meet}
	thick := max(b.Section.Back, b.Section.ToothHeight+b.Section.PitchLine) + max(o.Section.Back, o.Section.ToothHeight+o.Section.PitchLine)
	nearest := math.Inf(1)
	for i := range 2 {
		nearest = min(nearest, toSegment(p[i], q), toSegment(q[i], p))
	}
	if segmentsCross(p, q) {
		return -nearest - thick
	}
	return nearest - thick
}

package solve

import (
	"math"

	"understage/internal/geom"
	"understage/internal/mech"
)

// Chart says what every moving part does when, over some motor turns from the
// start.
type Chart struct {
	Turns float64 // motor turns
	Rows  []ChartRow
}

// ChartRow is one moving part. Values are mm, or rad where Angle says so; low
// and high are the least and greatest met.
type ChartRow struct {
	Part      string // path of the part: cams.NAME, linkages.NAME.POINT, torso, beats
	Quantity  string // lift, x, y, z, lean, nod; beat
	Angle     bool
	Low, High float64
	Spans     []ChartSpan // in order, without gaps; of beats the instants alone
	Unposed   bool        // somewhere the part cannot be posed, and Spans is empty
}

// ChartSpan is a stretch of motor turns in which a part only rises, only falls,
// or stands; a sudden drop or leap has no length.
type ChartSpan struct {
	Kind       ChartKind
	From, To   float64 // motor turns
	Start, End float64 // values
}

// ChartKind is what a part does.
type ChartKind int

const (
	ChartDwell ChartKind = iota
	ChartRise
	ChartFall
	ChartBeat
)

var chartKinds = [...]string{"dwell", "rise", "fall", "beat"}

// String returns the word for the kind.
func (k ChartKind) String() string { return chartKinds[k] }

// ChartMost is the most turns of the fastest shaft a chart may run over.
const ChartMost = BeatsMost

// ChartFits reports whether a chart of so many motor turns is short enough.
func ChartFits(s *Solution, turns float64) bool {
	fastest := 0.0
	for i, r := range s.Drive.Ratios {
		if i < len(s.Repeat.Matters) && s.Repeat.Matters[i] {
			fastest = max(fastest, math.Abs(r.Float()))
		}
	}
	return turns > 0 && turns*fastest <= ChartMost
}

// NewChart charts the figure over the given motor turns from the start.
func NewChart(m *mech.Model, s *Solution, turns float64) *Chart {
	c := &Chart{Turns: turns}
	k := s.Machine
	for i := range m.Cams {
		cam := &m.Cams[i]
		if ratio := s.Drive.Ratios[cam.Shaft]; ratio.Driven() && k.Cams[i].source != camFromNothing {
			compiled := k.Cams[i]
			c.add(ChartRow{Part: "cams." + cam.Name, Quantity: "lift", Angle: compiled.Swings()},
				[]OrbitAxis{{Ratio: ratio, Breaks: shifted(compiled.Breaks(), cam.Phase), Samples: 16 * compiled.harmonics()}},
				func(x []float64) (float64, float64, bool) {
					l := compiled.Lift(x[0] + cam.Phase)
					return l.S, l.V * math.Abs(ratio.Float()), true
				})
		}
	}
	c.addTorso(m, s)
	for i := range m.Linkages {
		c.addLinkage(m, s, i)
	}
	c.addBeats(s)
	return c
}

// shifted returns angles of a cam as angles of its shaft.
func shifted(breaks []float64, phase float64) []float64 {
	out := make([]float64, len(breaks))
	for i, b := range breaks {
		out[i] = orbitWrap(b - phase)
	}
	return out
}

// addTorso charts lean and nod.
func (c *Chart) addTorso(m *mech.Model, s *Solution) {
	if m.Torso == nil || !torsoMoves(s) {
		return
	}
	t := s.Torso.Torso
	var pose TorsoPose
	for _, nod := range [...]bool{false, true} {
		row := ChartRow{Part: "torso", Quantity: "lean", Angle: true}
		if nod {
			row.Quantity = "nod"
		}
		c.add(row, t.orbit.Axes, func(x []float64) (float64, float64, bool) {
			t.PoseAt(x, &pose, 1)
			slope, rate := pose.p, pose.p1
			if nod {
				slope, rate = pose.q, pose.q1
			}
			return math.Atan(slope), rate / (1 + slope*slope), pose.Status == TorsoPosed
		})
	}
}

// addLinkage charts the points of a linkage: their height, or in plan how far
// upstage they are.
func (c *Chart) addLinkage(m *mech.Model, s *Solution, i int) {
	l, r := &m.Linkages[i], &s.Linkages[i]
	axis, quantity := 2, "z"
	if l.View == geom.Plan {
		axis, quantity = 1, "y"
	}
	for k, p := range l.Points {
		row := ChartRow{Part: "linkages." + l.Name + "." + p.Name, Quantity: quantity}
		if r.Chain == nil || r.Locks != nil {
			row.Unposed = true
			c.Rows = append(c.Rows, row)
			continue
		}
		motion := linkageBeat(m, s, r.Chain, k, axis)
		c.add(row, motion.axes, motion.at)
	}
}

func (c *Chart) addBeats(s *Solution) {
	if s.Beats == nil || s.Beats.Status != BeatsFound {
		return
	}
	row := ChartRow{Part: "beats", Quantity: "beat"}
	for start := 0.0; start < c.Turns && !(s.Beats.Part && start > 0); start += s.Beats.Turns {
		for _, e := range s.Beats.Events {
			if at := start + e.Turns; at < c.Turns {
				row.Spans = append(row.Spans, ChartSpan{Kind: ChartBeat, From: at, To: at, Start: e.Value, End: e.Value})
			}
		}
	}
	c.Rows = append(c.Rows, row)
}

// add charts one part.
func (c *Chart) add(row ChartRow, axes []OrbitAxis, at func(x []float64) (value, rate float64, ok bool)) {
	p := cyclePath{}
	samples := orbitSamples
	for _, a := range axes {
		p.rate = max(p.rate, math.Abs(a.Ratio.Float()))
		samples = max(samples, a.Samples)
	}
	if p.rate == 0 {
		return
	}
	var driven []OrbitAxis
	x := make([]float64, len(axes))
	for _, a := range axes {
		p.slopes = append(p.slopes, math.Abs(a.Ratio.Float())/p.rate)
		driven = append(driven, a)
	}
	p.span = 2 * math.Pi * p.rate * c.Turns
	p.step = 2 * math.Pi / float64(max(samples, pathSamples(c.Turns*p.rate)))
	p.unroll(driven)
	f := func(theta float64) (float64, float64) {
		p.angles(theta, x)
		v, rate, ok := at(x)
		row.Unposed = row.Unposed || !ok
		return v, rate / p.rate
	}
	spans := monotone(f, 0, p.span, p.step, p.breaks)
	if row.Unposed {
		c.Rows = append(c.Rows, row)
		return
	}
	row.Low, row.High = math.Inf(1), math.Inf(-1)
	for i := range spans {
		s := &spans[i]
		row.Low, row.High = min(row.Low, s.Start, s.End), max(row.High, s.Start, s.End)
		s.From, s.To = p.turns(s.From), p.turns(s.To)
	}
	row.Spans = spans
	c.Rows = append(c.Rows, row)
}

// monotone splits [from, to] into stretches in which f rises, falls or stands;
// jumps are stretches without length. From and To are places along the path.
func monotone(f motionAt, from, to, step float64, breaks []float64) []ChartSpan {
	list := sampleCycle(f, from, to, step, breaks)
	steep := 0.0
	low, high := math.Inf(1), math.Inf(-1)
	for _, s := range list {
		steep = max(steep, math.Abs(s.slope))
		low, high = min(low, s.value), max(high, s.value)
	}
	flat, level := cycleFlat*steep, cycleLevel(high-low, steep)
	if high-low < 1e-9 { // rounding, not motion
		return []ChartSpan{{Kind: ChartDwell, From: from, To: to, Start: list[0].value, End: list[0].value}}
	}
	w := &chartWalk{f: f, flat: flat}
	w.open, w.fresh, w.span = true, true, ChartSpan{Kind: w.kind(list[1].slope), From: from, Start: list[0].value}
	for i, s := range list {
		w.visit(s)
		if s.last && i+2 < len(list) {
			w.pass(s, list[i+1], list[i+2], level)
		}
	}
	w.close(list[len(list)-1].x, list[len(list)-1].value)
	spans := w.spans
	if n := len(spans); n > 0 {
		spans[0].From, spans[n-1].To = from, to
	}
	return joinSpans(spans)
}

// chartPause, rad, is the shortest dwell that is told from a turning point.
const chartPause = 1e-6

// joinSpans drops dwells that are only turning points, and joins stretches that
// go on the same way after them.
func joinSpans(spans []ChartSpan) []ChartSpan {
	var out []ChartSpan
	for _, s := range spans {
		n := len(out)
		leap := s.From == s.To && s.Start != s.End
		switch {
		case s.Kind == ChartDwell && s.To-s.From < chartPause && n > 0:
			out[n-1].To = s.To
		case n > 0 && !leap && out[n-1].Kind == s.Kind && out[n-1].From < out[n-1].To:
			out[n-1].To, out[n-1].End = s.To, s.End
		default:
			out = append(out, s)
		}
	}
	return out
}

// chartWalk follows the samples and cuts where the way a part goes changes.
type chartWalk struct {
	f      motionAt
	flat   float64
	open   bool
	fresh  bool // at the first sample after a break
	span   ChartSpan
	before cycleSample
	spans  []ChartSpan
}

func (w *chartWalk) kind(slope float64) ChartKind {
	switch {
	case slope > w.flat:
		return ChartRise
	case slope < -w.flat:
		return ChartFall
	}
	return ChartDwell
}

func (w *chartWalk) visit(s cycleSample) {
	defer func() { w.before = s }()
	kind := w.kind(s.slope)
	if w.fresh { // the stretch's kind is known from inside it
		w.fresh = false
		return
	}
	if kind == w.span.Kind {
		return
	}
	// A dwell found at a single place is a turning point or the end of a rise.
	if kind == ChartDwell && s.last {
		return
	}
	if w.span.Kind == ChartDwell && w.span.From == w.before.x {
		w.span.Kind = kind
		return
	}
	x, value := w.cut(s)
	w.close(x, value)
	w.open, w.span = true, ChartSpan{Kind: kind, From: x, Start: value}
}

// cut finds where between the last sample and s the way changes.
func (w *chartWalk) cut(s cycleSample) (x, value float64) {
	a, b := w.before.x, s.x
	was := w.kind(w.before.slope)
	for range 60 {
		mid := (a + b) / 2
		if mid == a || mid == b {
			break
		}
		if _, d := w.f(mid); w.kind(d) == was {
			a = mid
		} else {
			b = mid
		}
	}
	value, _ = w.f(b)
	return b, value
}

// pass goes from the end of a smooth stretch to the start of the next, whose
// kind shows at its second sample: a rise may start level.
func (w *chartWalk) pass(s, next, inside cycleSample, level float64) {
	jump := next.value - s.value
	kind := w.kind(inside.slope)
	w.fresh = true
	if math.Abs(jump) <= level && w.open && kind == w.span.Kind {
		return
	}
	x := next.x - cycleBeside
	w.close(x, s.value)
	if math.Abs(jump) > level {
		leap := ChartSpan{Kind: ChartRise, From: x, To: x, Start: s.value, End: next.value}
		if jump < 0 {
			leap.Kind = ChartFall
		}
		w.spans = append(w.spans, leap)
	}
	w.open, w.span = true, ChartSpan{Kind: kind, From: x, Start: next.value}
}

func (w *chartWalk) close(x, value float64) {
	if !w.open {
		return
	}
	w.span.To, w.span.End = x, value
	w.spans = append(w.spans, w.span)
	w.open = false
}

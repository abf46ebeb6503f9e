package solve

import (
	"math"
	"slices"

	"understage/internal/geom"
	"understage/internal/mech"
)

// BeatsStatus says whether there are beats to count.
type BeatsStatus int

const (
	BeatsFound    BeatsStatus = iota
	BeatsStill                // the coordinate that should beat does not vary
	BeatsNever                // the height is never touched, the cam never drops
	BeatsUnsolved             // what should beat cannot be posed all the way round
)

// BeatShare is how near to the farthest extreme, as a part of the coordinate's
// range, another one must come to count as a beat as well.
const BeatShare = 0.05

// BeatsMost is the most turns of the fastest shaft over which beats are
// counted; of a longer repeat only so much of the beginning is.
const BeatsMost = 2000

// BeatsResult is the beats over the repeat of the shafts that make them.
type BeatsResult struct {
	Status BeatsStatus
	Shafts []int   // that move what beats
	Turns  float64 // motor turns counted over
	Part   bool    // only the beginning of a repeat too long to follow
	Events []Beat
	Range  Extent // of the coordinate, mm; Valid for points

	PerMotorTurn float64
	PerMinute    float64    // at the running speed
	Target       mech.Given // per minute
	// Shortest and Longest are the gaps between one beat and the next, motor
	// turns; equal for even beats.
	Shortest, Longest float64
	SupplyForTarget   mech.Given // V
	Sprockets         []SprocketChange
}

// Beat is one beat.
type Beat struct {
	Turns float64 // of the motor since the start
	Value float64 // the coordinate there, mm; the lift before a drop, mm or rad
}

// Evenness is the shortest gap over the longest: 1 for even beats, 0 when there
// is none.
func (b *BeatsResult) Evenness() float64 {
	if b.Longest <= 0 {
		return 0
	}
	return b.Shortest / b.Longest
}

// cyclePath is the path of several shafts, or the turn of one, by the turn θ of
// the fastest.
type cyclePath struct {
	slopes []float64 // turn of each shaft per turn of the fastest, at most 1
	span   float64   // θ over the repeat or the part of it that is followed
	part   bool      // not the whole repeat
	rate   float64   // turn of the fastest per turn of the motor
	breaks []float64 // by θ
	step   float64
}

// newCyclePath lays out the path over the repeat of the axes, followed for at
// most the given turns of the fastest.
func newCyclePath(axes []OrbitAxis, most float64) cyclePath {
	var p cyclePath
	ratios := make([]Ratio, len(axes))
	samples := 0
	for i, a := range axes {
		ratios[i] = a.Ratio
		p.rate = max(p.rate, math.Abs(a.Ratio.Float()))
		samples = max(samples, a.Samples)
	}
	for _, r := range ratios {
		p.slopes = append(p.slopes, math.Abs(r.Float())/p.rate)
	}
	repeat := repeatOf(ratios).float()
	turns := repeat * p.rate
	if len(axes) > 1 {
		turns = math.Round(turns)
	} else {
		turns = 1
	}
	if turns > most {
		turns, p.part = most, true
	}
	p.span = 2 * math.Pi * turns
	p.step = 2 * math.Pi / float64(max(samples, orbitSamples, pathSamples(turns)))
	p.unroll(axes)
	return p
}

// pathSamples looks closely at a short path and less closely at a long one.
func pathSamples(turns float64) int {
	return int(math.Min(cycleSamples, 2e5/turns))
}

// unroll lists every break of every axis along the span.
func (p *cyclePath) unroll(axes []OrbitAxis) {
	for i, a := range axes {
		for _, b := range a.Breaks {
			for at := b / p.slopes[i]; at < p.span; at += 2 * math.Pi / p.slopes[i] {
				p.breaks = append(p.breaks, at)
			}
		}
	}
	slices.Sort(p.breaks)
}

// angles writes the shafts' angles at θ into x, each in [0, 2π).
func (p *cyclePath) angles(theta float64, x []float64) {
	for i, s := range p.slopes {
		x[i] = orbitWrap(theta * s)
	}
}

// turns returns the motor turns at θ.
func (p *cyclePath) turns(theta float64) float64 { return theta / (2 * math.Pi * p.rate) }

// beatMotion is a coordinate that beats, by the angles of its shafts.
type beatMotion struct {
	axes   []OrbitAxis
	shafts []int
	// at gives the coordinate and its rate per rad of motor turn; ok is false
	// where it cannot be posed.
	at func(x []float64) (value, rate float64, ok bool)
}

// solveBeats finds the beats of the figure; nil without any.
func solveBeats(m *mech.Model, s *Solution, cams []*Cam) *BeatsResult {
	if m.Beats == nil || m.Motor == nil {
		return nil
	}
	b := m.Beats
	r := &BeatsResult{Target: mech.Given{Value: b.Target.Value * 60, OK: b.Target.OK}}
	if b.Of.Linkage == mech.None && b.Of.Point == mech.None {
		r.dropBeats(m, s, cams)
	} else if motion, ok := beatSource(m, s); ok {
		r.pointBeats(b, motion)
	} else {
		r.Status = BeatsUnsolved
	}
	if r.Status == BeatsFound {
		r.tempo(m, s)
	}
	return r
}

// beatSource returns the coordinate of the point that beats.
func beatSource(m *mech.Model, s *Solution) (beatMotion, bool) {
	b := m.Beats
	if b.Of.Linkage == mech.None {
		return torsoBeat(m, s, b.Of.Point, beatAxis(b.When))
	}
	res := &s.Linkages[b.Of.Linkage]
	if res.Chain == nil || res.Locks != nil {
		return beatMotion{}, false
	}
	return linkageBeat(m, s, res.Chain, b.Of.Point, beatAxis(b.When)), true
}

// linkageBeat is a stage coordinate (0 x, 1 y, 2 z) of a linkage's point.
func linkageBeat(m *mech.Model, s *Solution, c *Chain, point, axis int) beatMotion {
	l := &m.Linkages[c.linkage]
	p := c.NewPose()
	return beatMotion{
		axes: chainOrbit(m, c, s).Axes, shafts: c.Shafts,
		at: func(x []float64) (float64, float64, bool) {
			if !c.Solve(x, p) {
				return 0, 0, false
			}
			pos, vel, _ := c.PointAt(l, 0, p, point)
			return component(pos, axis), component(vel, axis), true
		},
	}
}

// beatAxis returns the stage axis an event is judged along: 0 x, 1 y, 2 z.
func beatAxis(e mech.BeatEvent) int {
	switch e {
	case mech.Leftmost, mech.Rightmost:
		return 0
	case mech.Foremost, mech.Hindmost:
		return 1
	default:
		return 2
	}
}

// beatsHigh reports whether the event is a greatest value. Foremost is nearest
// the audience, where y is least.
func beatsHigh(e mech.BeatEvent) bool {
	return e == mech.Highest || e == mech.Rightmost || e == mech.Hindmost
}

// Still reports whether a point of a linkage in the view cannot make the event,
// because the coordinate is its level.
func (r *BeatsResult) Still(v geom.View, e mech.BeatEvent) bool {
	return component(v.Axis(), beatAxis(e)) != 0
}

// pointBeats finds the events of a point.
func (r *BeatsResult) pointBeats(b *mech.Beats, motion beatMotion) {
	path := newCyclePath(motion.axes, BeatsMost)
	x := make([]float64, len(motion.axes))
	failed := false
	f := func(theta float64) (float64, float64) {
		path.angles(theta, x)
		v, rate, ok := motion.at(x)
		failed = failed || !ok
		return v, rate / path.rate
	}
	list := turnings(f, 0, path.span, path.step, path.breaks)
	r.Shafts, r.Turns, r.Part = motion.shafts, path.turns(path.span), path.part
	switch {
	case failed:
		r.Status = BeatsUnsolved
		return
	case len(list) < 2:
		r.Status = BeatsStill
		return
	}
	low, high := list[0], list[0]
	for _, t := range list {
		if t.Value < low.Value {
			low = t
		}
		if t.Value > high.Value {
			high = t
		}
	}
	size := high.Value - low.Value
	if size < 1e-6 { // a nanometre: rounding, not motion
		r.Status = BeatsStill
		return
	}
	r.Range = Extent{Valid: true, Min: Extreme{Value: low.Value, Turns: path.turns(low.At)}, Max: Extreme{Value: high.Value, Turns: path.turns(high.At)}}
	if b.When == mech.Touching {
		r.touches(f, list, b.Height, &path)
	} else {
		top := beatsHigh(b.When)
		for _, t := range list {
			if t.High == top && (top && t.Value >= high.Value-BeatShare*size || !top && t.Value <= low.Value+BeatShare*size) {
				r.Events = append(r.Events, Beat{Turns: path.turns(t.At), Value: t.Value})
			}
		}
	}
	r.spacing()
}

// touches finds where the coordinate comes down to the height: once between
// each high turning above it and the next low one below.
func (r *BeatsResult) touches(f motionAt, list []turning, height float64, path *cyclePath) {
	for i, t := range list {
		next := list[(i+1)%len(list)]
		if !t.High || next.High || t.Value <= height || next.Value > height {
			continue
		}
		from, to := t.At, next.At
		if to < from {
			to += path.span
		}
		for range 100 {
			mid := (from + to) / 2
			if mid == from || mid == to {
				break
			}
			if v, _ := f(mid); v > height {
				from = mid
			} else {
				to = mid
			}
		}
		r.Events = append(r.Events, Beat{Turns: path.turns(math.Mod(to, path.span)), Value: height})
	}
	slices.SortFunc(r.Events, func(a, b Beat) int {
		if a.Turns < b.Turns {
			return -1
		}
		return 1
	})
}

// dropBeats finds the sudden drops of a cam.
func (r *BeatsResult) dropBeats(m *mech.Model, s *Solution, cams []*Cam) {
	cam := &m.Cams[m.Beats.Of.Cam]
	rate := math.Abs(s.Drive.Ratios[cam.Shaft].Float())
	if rate == 0 {
		r.Status = BeatsUnsolved
		return
	}
	r.Shafts, r.Turns = []int{cam.Shaft}, 1/rate
	for _, j := range cams[m.Beats.Of.Cam].jumps() {
		if j.Step == LiftStep && j.After.S < j.Before.S {
			r.Events = append(r.Events, Beat{Turns: orbitWrap(j.Angle-cam.Phase) / (2 * math.Pi * rate), Value: j.Before.S})
		}
	}
	slices.SortFunc(r.Events, func(a, b Beat) int {
		if a.Turns < b.Turns {
			return -1
		}
		return 1
	})
	r.spacing()
}

// spacing measures the gaps between the events, round the cycle.
func (r *BeatsResult) spacing() {
	n := len(r.Events)
	if n == 0 {
		r.Status = BeatsNever
		return
	}
	r.PerMotorTurn = float64(n) / r.Turns
	r.Shortest = math.Inf(1)
	for i, e := range r.Events {
		gap := r.Events[(i+1)%n].Turns - e.Turns
		if i == n-1 {
			if r.Part && n > 1 { // the path does not close there
				continue
			}
			gap += r.Turns
		}
		r.Shortest, r.Longest = min(r.Shortest, gap), max(r.Longest, gap)
	}
}

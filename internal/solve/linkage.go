package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// LinkageResult is everything computed about one linkage. Speeds and
// accelerations are per rad of motor turn.
type LinkageResult struct {
	Status   LinkageStatus
	Fault    LinkageFault
	Mobility Mobility
	Chain    *Chain // nil when it could not be compiled
	Driver   Driver // of the first input

	Locks  *LinkageLock // nil when it does not lock
	Merges []BranchMerge
	// Otherwise says that after a whole turn the chain stands otherwise than it
	// started, though it never locked.
	Otherwise bool

	// Transmission is the angle at each dyad, rad in [0, π], and of all of them.
	Joints       []Transmission
	Transmission Extent
	Loops        []LoopClass
	Outputs      []OutputMotion
	Slots        []SlotTravel
	Points       []PointMotion
	Clearances   []LinkageClearance
}

// Driver is what drives a chain: the crank or cam of one input pin.
type Driver struct {
	Pin   int
	Shaft int
	Cam   int     // None for a crank
	Phase float64 // angle at motor turn 0
	Sense float64 // of the angle as the shaft turns: +1 grows
}

// Angle returns the crank angle, or the cam's φ, in [0, 2π), when the shaft has
// turned by x in its own sense.
func (d Driver) Angle(x float64) float64 { return orbitWrap(d.Phase + d.Sense*x) }

// Reached reports whether the chain was assembled, so that there is a motion.
func (r *LinkageResult) Reached() bool { return r.Chain != nil }

// SlotTravel is where a pin runs in its slot, from the first pin of the slot's
// line toward the second, mm.
type SlotTravel struct {
	Slot   int
	Length float64 // between the line's pins
	Travel Extent
}

// solveLinkages computes every linkage of the figure.
func solveLinkages(k *Machine, s *Solution) []LinkageResult {
	results := make([]LinkageResult, len(k.Model.Linkages))
	for i := range results {
		results[i] = solveLinkage(k, i, s)
	}
	return results
}

func solveLinkage(k *Machine, i int, s *Solution) LinkageResult {
	m, chain, fault := k.Model, k.Chains[i], k.Faults[i]
	r := LinkageResult{Status: fault.Status, Fault: fault, Mobility: countMobility(m, &m.Linkages[i])}
	if chain == nil {
		return r
	}
	r.Chain = chain
	r.Driver = chain.driver(m, &s.Drive, 0)
	a := newLinkageAnalysis(m, i, chain, s)
	a.findLocks(&r)
	a.extents(&r)
	r.Loops = a.loops()
	r.Outputs = a.outputs(&r)
	r.Clearances = a.clearances(s)
	return r
}

// driver describes the chain's input of that index.
func (c *Chain) driver(m *mech.Model, d *Drive, input int) Driver {
	l := &m.Linkages[c.linkage]
	pin := c.Inputs[input]
	p := &l.Pins[pin]
	if p.Kind == mech.CrankPin {
		return Driver{Pin: pin, Shaft: p.Crank.Shaft, Cam: mech.None, Phase: p.Crank.Phase, Sense: d.Sign(m, p.Crank.Shaft)}
	}
	cam := &m.Cams[p.Cam]
	return Driver{Pin: pin, Shaft: cam.Shaft, Cam: p.Cam, Phase: cam.Phase, Sense: 1}
}

// linkageAnalysis is what the analyses of one chain share.
type linkageAnalysis struct {
	m     *mech.Model
	index int
	l     *mech.Linkage
	c     *Chain
	p     *ChainPose
	orbit Orbit
	// from and to bound the turn of the only shaft when the chain locks: the
	// angles it can be turned to from home. Otherwise they are infinite.
	from, to float64
	// gone says that some pose of a chain of several shafts cannot be reached.
	gone bool
}

func newLinkageAnalysis(m *mech.Model, i int, c *Chain, s *Solution) *linkageAnalysis {
	a := &linkageAnalysis{m: m, index: i, l: &m.Linkages[i], c: c, p: c.NewPose(), from: math.Inf(-1), to: math.Inf(1)}
	a.orbit = chainOrbit(m, c, s)
	return a
}

// chainOrbit returns the combinations of angles a chain passes through.
func chainOrbit(m *mech.Model, c *Chain, s *Solution) Orbit {
	var o Orbit
	for axis, shaft := range c.Shafts {
		o.Axes = append(o.Axes, OrbitAxis{Ratio: s.Drive.Ratios[shaft], Breaks: c.breaks(axis), Samples: c.samples(axis)})
	}
	// A single shaft passes every angle, however long the figure's repeat.
	o.Bound = len(o.Axes) > 1 && s.Repeat.Bound
	return o
}

// breaks returns the angles of a driving shaft, in [0, 2π), at which a rate of
// the chain may jump.
func (c *Chain) breaks(axis int) []float64 {
	var list []float64
	for i := range c.steps {
		if s := &c.steps[i]; s.kind == stepFollower && s.axis == axis {
			for _, b := range s.cam.Breaks() {
				list = append(list, orbitWrap(b-s.phase))
			}
		}
	}
	return list
}

// chainSamples resolves the motion of a few links in series.
const chainSamples = 120

// samples returns how many angles of a driving shaft resolve the chain.
func (c *Chain) samples(axis int) int {
	n := chainSamples
	for i := range c.steps {
		if s := &c.steps[i]; s.kind == stepFollower && s.axis == axis {
			n = max(n, 16*s.cam.harmonics())
		}
	}
	return n
}

// at poses the chain within its reach.
func (a *linkageAnalysis) at(x []float64) bool {
	if len(x) == 1 && !math.IsInf(a.to, 0) {
		// Angles come in [0, 2π); the reach may run across 0.
		turn := x[0]
		if turn > a.to {
			turn -= 2 * math.Pi
		}
		if turn < a.from {
			return false
		}
	}
	return a.c.Solve(x, a.p)
}

// extents works out everything that is a range over the cycle.
func (a *linkageAnalysis) extents(r *LinkageResult) {
	joints := a.c.joints()
	slots := len(a.c.slots)
	points := len(a.c.points)
	field := Field{N: len(joints) + slots + 4*points}
	field.All = func(x, out []float64) {
		if !a.at(x) {
			fillNaN(out)
			return
		}
		for i, step := range joints {
			out[i] = a.c.transmission(a.p, step)
		}
		out = out[len(joints):]
		for i := range a.c.slots {
			out[i] = a.c.slotPlace(a.p, i)
		}
		out = out[slots:]
		for i := range points {
			pt := a.c.Point(a.p, i)
			out[4*i], out[4*i+1] = pt.Pos.X, pt.Pos.Y
			out[4*i+2], out[4*i+3] = r2.Norm(pt.Vel), r2.Norm(pt.Acc)
		}
	}
	ranges := a.orbit.Extents(field)
	a.atLimits(r, field, ranges)
	for i, step := range joints {
		r.Joints = append(r.Joints, Transmission{Pin: a.c.steps[step].pin, Angle: ranges[i]})
		r.Transmission = coverBoth(r.Transmission, ranges[i])
	}
	ranges = ranges[len(joints):]
	for i, s := range a.c.slots {
		r.Slots = append(r.Slots, SlotTravel{Slot: i, Length: s.length, Travel: ranges[i]})
	}
	ranges = ranges[slots:]
	for i := range points {
		r.Points = append(r.Points, a.pointMotion(i, ranges[4*i:4*i+4]))
	}
}

// atLimits lets the poses at the ends of a locking chain's reach count, and
// takes back rates, which have no bound there.
func (a *linkageAnalysis) atLimits(r *LinkageResult, field Field, ranges []Extent) {
	if math.IsInf(a.to, 0) && !a.gone {
		return
	}
	if !a.gone {
		a.countEnds(field, ranges)
	}
	first := field.N - 4*len(a.c.points)
	for i := range a.c.points {
		ranges[first+4*i+2], ranges[first+4*i+3] = Extent{}, Extent{}
	}
}

// countEnds lets the poses at both ends of the reach count.
func (a *linkageAnalysis) countEnds(field Field, ranges []Extent) {
	out := make([]float64, field.N)
	rate := math.Abs(a.orbit.Axes[0].Ratio.Float())
	for _, x := range [...]float64{a.to, a.from} {
		field.All([]float64{x}, out)
		turns := orbitWrap(x) / (2 * math.Pi * rate)
		for i, v := range out {
			if v == v {
				ranges[i] = coverBoth(ranges[i], Extent{Min: Extreme{Value: v, Turns: turns}, Max: Extreme{Value: v, Turns: turns}, Valid: true})
			}
		}
	}
}

// coverBoth returns the range that covers both.
func coverBoth(a, b Extent) Extent {
	switch {
	case !a.Valid:
		return b
	case !b.Valid:
		return a
	}
	if b.Min.Value < a.Min.Value {
		a.Min = b.Min
	}
	if b.Max.Value > a.Max.Value {
		a.Max = b.Max
	}
	return a
}

// slotPlace returns how far along its slot's line a pin stands.
func (c *Chain) slotPlace(p *ChainPose, i int) float64 {
	s := &c.slots[i]
	line := r2.Sub(p.Pins[s.c].Pos, p.Pins[s.b].Pos)
	return r2.Dot(r2.Sub(p.Pins[s.pin].Pos, p.Pins[s.b].Pos), line) / s.length
}

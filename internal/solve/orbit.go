package solve

import (
	"math"
	"slices"
)

// Orbit is the set of angle combinations that the shafts of one mechanism pass
// through. It finds the true extremes of quantities that depend on nothing but
// those angles.
//
// With the windings n of the axes over one repeat (whole numbers without a
// common factor), the path is the closed curve x = 2π·n·s, s in [0, 1), on the
// torus of the angles. One axis, few windings and three axes or more are
// followed along that curve. Two axes with many windings are searched over the
// torus first, and then only on the strands of the curve beside each hill, so
// that the cost does not grow with the repeat.
type Orbit struct {
	Axes []OrbitAxis
	// Bound says that the repeat is too long to follow: every combination of
	// angles counts, and an extreme is a bound that the figure may only approach.
	Bound bool
	// Follow is up to how many turns of the fastest of two axes the path is
	// followed, not sought on the torus. 0 means the samples of the slower one.
	Follow int64
}

// OrbitAxis is one shaft, measured as its turn in its own sense since motor
// turn 0, in rad: every axis is 0 at the start. An axis that nothing drives
// stays there.
type OrbitAxis struct {
	Ratio Ratio
	// Breaks are the angles in [0, 2π) at which a quantity or a derivative of it
	// may jump. Both one-sided values count.
	Breaks []float64
	// Warped says that the breaks are met not at the axis's own angle but at one
	// near it, which Field.Met gives.
	Warped bool
	// Samples is how many angles of a turn are looked at before refining; it must
	// resolve the ripples, eight or more to each. 0 means orbitSamples.
	Samples int
}

// angle returns where the axis stands after the motor turns, in [0, 2π).
func (a *OrbitAxis) angle(motorTurns float64) float64 {
	return 2 * math.Pi * a.Ratio.Turn(motorTurns)
}

// Field gives N quantities at angles x of the orbit's axes, each in [0, 2π).
// NaN says that a quantity has no value there; it is passed over.
type Field struct {
	N   int
	All func(x, out []float64)
	// One gives the q-th quantity alone. Nil: All is called for it.
	One func(x []float64, q int) float64
	// Met gives the angle at which a warped axis meets its breaks: it goes round
	// with the axis and stays within orbitWarp of it. NaN: not known there.
	Met func(x []float64, axis int) float64
	// Sides says per quantity which extremes are wanted. Nil: both of all.
	Sides []Sides
	// Smooth says per quantity that between breaks it has no kink at which it
	// could be extreme, so that every extreme there is a parabola's. Nil: none is
	// known to be.
	Smooth []bool
	// Slack says how far beyond the best value met a place must promise to go for
	// a closer look, in a quantity of which one side is wanted. Nil: any.
	Slack func(q int, best float64) float64
	// Range bounds each quantity over a box of angles, from ≤ to on every axis,
	// not wrapped; infinite where a quantity's bounds are not known. Samples that
	// cannot be extreme are then passed over. Nil: no bounds are known.
	Range func(from, to, low, high []float64)
	// Off finds how far below and above what All gives each quantity, as One gives
	// it, may lie; then Range must be there too and bound what One gives. A path is
	// searched by those bounds first, by All next, and by One last. Nil: All is
	// exact.
	Off func(x []float64, off [][2]float64)
	// Crests lists every crest of a quantity over two axes, of its negative where
	// sign is -1; false where they are not known. Nil: they never are.
	Crests func(q int, sign float64) ([]Crest, bool)
}

// Sides selects extremes.
type Sides int

const (
	BothSides Sides = iota
	OnlyMax
	OnlyMin
)

// Extreme is the least or greatest value of a quantity, and the motor turns
// from the start at which it is met, in [0, repeat). Of a bound, Turns is when
// the figure first passes closest by; it is negative where that is not known.
type Extreme struct {
	Value float64
	Turns float64
	Bound bool
}

// Extent is the range a quantity covers. Both extremes are set, unless Sides
// left one out or the quantity has no value anywhere.
type Extent struct {
	Min, Max Extreme
	// Valid is false when the quantity had no value at any angle; the extremes
	// are then 0.
	Valid bool
}

const (
	// orbitSamples resolves four ripples a turn with room to spare.
	orbitSamples = 48
	// orbitMaxWindings is the most turns of the fastest axis that are told
	// apart; beyond it every combination counts (the design's 10 000 turns).
	orbitMaxWindings = 10000
	// orbitNudge, rad, is how far beside a break its one-sided values are taken:
	// beyond the width within which an angle counts as standing at a cam's joint
	// (camJoint), and too small to show in a value.
	orbitNudge = 5e-10
	// orbitFine and orbitSmoothFine, relative to a bracket, are where a
	// one-dimensional search stops: at a kink, where the value is only as good as
	// the place, and at a smooth extreme, which is flat, so that its value is good
	// to the square of it.
	orbitFine       = 1e-8
	orbitSmoothFine = 1e-5
	// orbitBlock is how many samples of a path are passed over together, and
	// orbitRangeShare of a quantity's range what its bounds must stay below the
	// best by: tables, from which bounds may come, round kinks off.
	orbitBlock      = 8
	orbitRangeShare = 0.005
	// orbitSlackFine is where it stops for a quantity with slack.
	orbitSlackFine = 1e-3
	// orbitWarp, rad, is the most by which a warped axis meets a break early or
	// late.
	orbitWarp = 0.7
	// orbitEndShare of a quantity's range is allowed for what two close samples
	// at the end of a smooth piece cannot show.
	orbitEndShare = 1e-4
)

// Extents returns the least and greatest of each quantity over the orbit. A
// path's extremes are met at the turns given, to within the flatness of the
// extreme. Extremes are marked Bound as the orbit is, and when an axis would
// turn more than orbitMaxWindings times before all are home.
func (o Orbit) Extents(f Field) []Extent {
	s := newOrbitSearch(o, f)
	follow := o.Follow
	if follow == 0 && len(s.axes) == 2 {
		follow = int64(s.axes[1].samples)
	}
	switch {
	case len(s.axes) == 0:
		s.atRest()
	case f.Off != nil && !s.bound:
		s.followRanges()
	case len(s.axes) == 1, !s.bound && (len(s.axes) > 2 || s.axes[0].winding <= follow):
		s.followPath()
	case len(s.axes) == 2:
		s.searchTorus()
	default:
		s.searchSpace()
	}
	return s.extents()
}

// orbitAxis is a driven axis as the search uses it.
type orbitAxis struct {
	index   int   // in the field's x
	winding int64 // turns over one repeat; 0 when too many to count
	breaks  []float64
	warped  bool
	samples int
}

// orbitSearch is the state of one search. Values are kept with a sign so that
// every search is for a greatest: row 0 of best is the greatest of the quantity,
// row 1 of its negative.
type orbitSearch struct {
	field   Field
	axes    []orbitAxis // driven ones, the fastest first
	fastest Ratio
	bound   bool
	x       []float64 // scratch for the field
	values  []float64
	best    [2][]orbitBest
	box     orbitBox
}

// orbitBox is room for bounds over a box of angles.
type orbitBox struct{ from, to, low, high []float64 }

// orbitBest is the greatest value found so far, and the motor turns it is met at.
type orbitBest struct {
	value float64
	turns float64
}

var orbitSigns = [2]float64{1, -1}

func newOrbitSearch(o Orbit, f Field) *orbitSearch {
	s := &orbitSearch{field: f, bound: o.Bound, x: make([]float64, len(o.Axes)), values: make([]float64, f.N)}
	if f.Range != nil {
		s.box = orbitBox{make([]float64, len(o.Axes)), make([]float64, len(o.Axes)), make([]float64, f.N), make([]float64, f.N)}
	}
	var ratios []Ratio
	for i, a := range o.Axes {
		if !a.Ratio.Driven() {
			continue
		}
		ax := orbitAxis{index: i, samples: a.Samples, warped: a.Warped && f.Met != nil}
		if ax.samples <= 0 {
			ax.samples = orbitSamples
		}
		for _, b := range a.Breaks {
			ax.breaks = append(ax.breaks, orbitWrap(b))
		}
		slices.Sort(ax.breaks)
		ax.breaks = slices.CompactFunc(ax.breaks, func(p, q float64) bool { return math.Abs(p-q) < 4*orbitNudge })
		s.axes = append(s.axes, ax)
		ratios = append(ratios, a.Ratio)
	}
	windings, ok := orbitWindings(ratios)
	for i := range s.axes {
		if ok {
			s.axes[i].winding = windings[i]
		}
		if math.Abs(ratios[i].Float()) > math.Abs(s.fastest.Float()) {
			s.fastest = ratios[i]
		}
	}
	slices.SortStableFunc(s.axes, func(p, q orbitAxis) int {
		return compareSpeed(o.Axes[q.index].Ratio, o.Axes[p.index].Ratio)
	})
	if len(s.axes) > 1 && (!ok || s.axes[0].winding > orbitMaxWindings) {
		s.bound = true
	}
	for side := range s.best {
		s.best[side] = make([]orbitBest, f.N)
		for q := range s.best[side] {
			s.best[side][q] = orbitBest{value: math.Inf(-1), turns: -1}
		}
	}
	return s
}

// wants reports whether an extreme of a quantity is looked for.
func (s *orbitSearch) wants(side, q int) bool {
	if s.field.Sides == nil {
		return true
	}
	return s.field.Sides[q] == BothSides || (s.field.Sides[q] == OnlyMax) == (side == 0)
}

func (s *orbitSearch) smooth(q int) bool { return s.field.Smooth != nil && s.field.Smooth[q] }

// fine is where a search of the quantity stops, relative to its bracket.
func (s *orbitSearch) fine(side, q int) float64 {
	switch {
	case s.slack(side, q) > 0:
		return orbitSlackFine
	case s.smooth(q):
		return orbitSmoothFine
	}
	return orbitFine
}

// slack is how far beyond the best value a place must promise to go.
func (s *orbitSearch) slack(side, q int) float64 {
	best := s.best[side][q].value
	if s.field.Slack == nil || math.IsInf(best, -1) {
		return 0
	}
	return s.field.Slack(q, orbitSigns[side]*best)
}

// worth is the value above which a place is worth a closer look.
func (s *orbitSearch) worth(side, q int) float64 {
	return s.best[side][q].value + s.slack(side, q)
}

// offer records a value that the orbit does reach, if it is the greatest yet.
func (s *orbitSearch) offer(side, q int, value, turns float64) {
	b := &s.best[side][q]
	if value > b.value {
		b.value, b.turns = value, turns
	}
}

func (s *orbitSearch) atRest() {
	s.field.All(s.x, s.values)
	for q, v := range s.values {
		if v == v {
			s.offer(0, q, v, 0)
			s.offer(1, q, -v, 0)
		}
	}
}

func (s *orbitSearch) extents() []Extent {
	out := make([]Extent, s.field.N)
	for q := range out {
		for side, sign := range orbitSigns {
			b := s.best[side][q]
			if math.IsInf(b.value, 0) || !s.wants(side, q) {
				continue
			}
			e := Extreme{Value: sign * b.value, Turns: b.turns, Bound: s.bound}
			if out[q].Valid = true; side == 0 {
				out[q].Max = e
			} else {
				out[q].Min = e
			}
		}
	}
	return out
}

// orbitWrap returns the angle in [0, 2π).
func orbitWrap(x float64) float64 {
	if x >= 0 && x < 2*math.Pi {
		return x
	}
	x -= 2 * math.Pi * math.Floor(x/(2*math.Pi))
	if x >= 2*math.Pi || x < 0 {
		return 0
	}
	return x
}

package solve

import (
	"math"

	"understage/internal/standard"
)

// torsoOpening is the round opening that the torso shaft needs in a plate.
type torsoOpening struct {
	radius float64
	ok     bool
}

// torsoOpening returns the round opening that the torso shaft needs in a plate:
// its greatest reach from the torso's axis between the plate's faces, with the
// clearance limit all round.
func (b *frameBuild) torsoOpening(plate *FramePart) (radius float64, ok bool) {
	faces := [2]float64{plate.From, plate.To}
	if known, ok := b.openings[faces]; ok {
		return known.radius, known.ok
	}
	radius, ok = b.findOpening(plate)
	if b.openings == nil {
		b.openings = map[[2]float64]torsoOpening{}
	}
	b.openings[faces] = torsoOpening{radius, ok}
	return radius, ok
}

// openingFine, mm, is how well the reach in an opening is known.
const openingFine = 1e-9

// findOpening follows the shaft over the repeat.
func (b *frameBuild) findOpening(plate *FramePart) (radius float64, ok bool) {
	if b.torsoMover == nil {
		return 0, false
	}
	t := b.m.Torso
	o := &openingReach{
		mover: b.torsoMover, state: b.torsoState,
		pivot: t.Pivot, length: t.ShaftDepth, radius: t.ShaftDiameter / 2, faces: [2]float64{plate.From, plate.To},
	}
	reach, ok := o.greatest(newFrameGroup(&b.s, o.mover).orbit(0))
	return reach + standard.Limit(b.m.Limits, "frame_clearance"), ok
}

// openingReach is how far the torso shaft reaches from the torso's axis between
// the faces of a plate.
type openingReach struct {
	mover  *frameMover
	state  *torsoState
	pivot  float64
	length float64 // of the shaft below the pivot
	radius float64
	faces  [2]float64
	room   cellRoom
}

// of returns the reach where the shaft's lean is (p, q). With ρ = |(p, q)| and
// w = √(1 + ρ²), its axis lies depth·ρ from the torso's at a depth below the pivot,
// its end length·ρ/w, and its section's half axis is radius·w. All rise with ρ.
func (o *openingReach) of(p, q float64) float64 {
	rho := math.Sqrt(p*p + q*q)
	w := math.Sqrt(1 + rho*rho)
	most := 0.0
	for _, z := range o.faces {
		at := math.Abs(o.pivot-z) * rho
		if z < o.pivot {
			at = min(at, o.length*rho/w)
		}
		most = max(most, at)
	}
	return most + o.radius*w
}

// at returns the reach at the angles of the torso's shafts, NaN where there is no
// pose.
func (o *openingReach) at(x []float64) float64 {
	if !o.mover.pose(x) {
		return math.NaN()
	}
	return o.of(o.state.pose.p, o.state.pose.q)
}

// greatest returns the greatest reach over the repeat: by bounds, where they are
// known.
func (o *openingReach) greatest(orbit Orbit) (reach float64, ok bool) {
	most := 0.0
	x, by := make([]float64, len(orbit.Axes)), make([]float64, len(orbit.Axes))
	bound := func() float64 {
		o.mover.sway(by)
		t := o.state
		p := max(t.pose.p+t.p.up, t.p.down-t.pose.p)
		return o.of(p, max(t.pose.q+t.q.up, t.q.down-t.pose.q))
	}
	search := newCellSearch(orbit, &o.room, cellField{
		n:     1,
		stand: func(at, reach []float64) { copy(x, at); copy(by, reach) },
		look:  func(int) (value, low float64) { return -o.at(x), -bound() },
		share: func(_, axis int) float64 {
			whole := by[1-axis]
			by[1-axis] = 0
			slack := bound() - o.of(o.state.pose.p, o.state.pose.q)
			by[1-axis] = whole
			return slack
		},
		most:   func(int) *float64 { return &most },
		enough: func(int) float64 { return math.Inf(-1) },
	})
	if search == nil || o.mover.sway == nil || !search.least(openingFine) {
		e := orbit.Extents(Field{N: 1, All: func(x, out []float64) { out[0] = o.at(x) }, Sides: []Sides{OnlyMax}})[0]
		return e.Max.Value, e.Valid
	}
	return -most, true
}

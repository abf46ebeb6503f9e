package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// With the travels e1, e2 of two yokes a velocity of the body is J1·e1' + J2·e2'
// and an acceleration J1·e1'' + J2·e2'' + H11·e1'² + 2·H12·e1'·e2' + H22·e2'²,
// where J and H change little over the range of the travels. Their greatest
// lengths there bound the peak over a stretch of either shaft's turn, from the
// range of the travels' derivatives on it.

// torsoBound is what bounds a speed or an acceleration.
type torsoBound struct {
	known  bool
	square [2]float64 // most of J1², J2²
	mixed  [2]float64 // least and most of J1·J2
	bend   [3]float64 // most of |H11|, |2·H12|, |H22|
}

// travelRange is the range of a travel's first and second derivative by the
// motor's angle.
type travelRange struct {
	low, high [2]float64
}

func emptyRange() travelRange {
	return travelRange{[2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}}
}

func (r *travelRange) add(s *travelRange) {
	for k := range r.low {
		r.low[k], r.high[k] = min(r.low[k], s.low[k]), max(r.high[k], s.high[k])
	}
}

// torsoBounds bounds the rates of a torso on two yokes.
type torsoBounds struct {
	quantities []torsoBound
	cells      [2][]travelRange // by axis, equal parts of a turn
	last       [2]travelRange   // of the box last asked for
	from, to   [2]float64       // that box
}

const (
	// boundCells is the least number of parts of a turn, and boundRipple that for
	// each ripple of a cam of waves.
	boundCells  = 36
	boundRipple = 12
	// boundMargin, of the spread of three samples, is how far the values between
	// may go beyond them: a quarter of a wave sampled eight times.
	boundMargin = 0.25
	// boundSpread is the same for J and H, which are sampled at the ends and in
	// the middle of the travels.
	boundSpread = 0.2
)

// newTorsoBounds bounds the rates in the list of a field on two yokes.
func newTorsoBounds(p *travelPlane) *torsoBounds {
	b := &torsoBounds{quantities: make([]torsoBound, len(p.f.list))}
	for axis := range b.cells {
		b.cells[axis] = p.axes[axis].derivativeRanges()
		b.from[axis] = math.NaN()
	}
	for i := range p.f.list {
		q := &p.f.list[i]
		if order := q.kind.order(); order > 0 && q.kind != torsoPress {
			b.quantities[i].known = true
		}
	}
	b.boundShapes(p)
	return b
}

// derivativeRanges returns the ranges of the travel's derivatives over equal
// parts of a turn.
func (a *travelAxis) derivativeRanges() []travelRange {
	p := a.push
	n := max(boundCells, boundRipple*p.cam.harmonics())
	cells := make([]travelRange, n)
	step := math.Pi / float64(n)
	sample := func(x float64) [2]float64 {
		l := p.cam.Lift(x + p.phase)
		return [2]float64{p.ratio * l.V * p.rate, p.ratio * l.A * p.rate * p.rate}
	}
	next := sample(0)
	for i := range cells {
		cells[i] = emptyRange()
		x := float64(2*i) * step
		three := [3][2]float64{next, sample(x + step), sample(x + 2*step)}
		next = three[2]
		for _, v := range three {
			cells[i].add(&travelRange{v, v})
		}
		cells[i].widen(boundMargin)
	}
	at := func(phi float64) {
		x := orbitWrap(phi - p.phase)
		v := sample(x)
		cells[min(n-1, int(x/(2*step)))].add(&travelRange{v, v})
	}
	for _, phi := range p.cam.Breaks() { // both sides of a joint
		at(phi - orbitNudge)
		at(phi + orbitNudge)
	}
	for _, phi := range p.cam.summits() {
		at(phi)
	}
	return cells
}

func (r *travelRange) widen(share float64) {
	for k := range r.low {
		by := share * (r.high[k] - r.low[k])
		r.low[k], r.high[k] = r.low[k]-by, r.high[k]+by
	}
}

// boundShapes fills the bounds of J and H.
func (b *torsoBounds) boundShapes(p *travelPlane) {
	var ends [2][3]float64
	for axis := range ends {
		levels := p.axes[axis].levels
		low, high := levels[0], levels[len(levels)-1]
		ends[axis] = [3]float64{low, (low + high) / 2, high}
	}
	ranges := make([][6][2]float64, len(b.quantities)) // J1², J2², J1·J2, |H|
	for i := range ranges {
		for k := range ranges[i] {
			ranges[i][k] = [2]float64{math.Inf(1), math.Inf(-1)}
		}
	}
	var poses [3]TorsoPose
	for _, u := range ends[0] {
		for _, v := range ends[1] {
			p.unitPoses([2]float64{u, v}, &poses)
			for i := range b.quantities {
				if !b.quantities[i].known {
					continue
				}
				for k, value := range shapesOf(p.f, &p.f.list[i], &poses) {
					r := &ranges[i][k]
					r[0], r[1] = min(r[0], value), max(r[1], value)
				}
			}
		}
	}
	for i := range b.quantities {
		r := ranges[i]
		for k := range r {
			by := boundSpread * (r[k][1] - r[k][0])
			r[k][0], r[k][1] = r[k][0]-by, r[k][1]+by
		}
		q := &b.quantities[i]
		q.square, q.mixed = [2]float64{r[0][1], r[1][1]}, r[2]
		q.bend = [3]float64{r[3][1], r[4][1], r[5][1]}
	}
}

// unitPoses poses the torso at travels with the first travel growing at unit
// speed, the second, and both.
func (p *travelPlane) unitPoses(at [2]float64, poses *[3]TorsoPose) {
	for k, rates := range [3][2]float64{{1, 0}, {0, 1}, {1, 1}} {
		var driven [2]pushState
		for i := range p.f.t.pushes {
			axis := p.f.t.pushes[i].axis
			driven[i] = pushState{e: at[axis], e1: rates[axis]}
		}
		p.f.t.poseDriven(&driven, &poses[k], torsoAccelerations)
	}
}

// shapesOf returns J1², J2², J1·J2, |H11|, |2·H12| and |H22| of a quantity, from
// the unit poses.
func shapesOf(f *torsoField, q *torsoQuantity, poses *[3]TorsoPose) [6]float64 {
	var first, second [3]r3.Vec // velocity and acceleration in each
	for k := range poses {
		po := &poses[k]
		first[k], second[k] = po.omega, po.alpha
		if q.kind >= torsoX {
			at := f.t.points[q.index]
			first[k], second[k] = po.Velocity(at), po.Acceleration(at)
		}
	}
	mixed := r3.Sub(second[2], r3.Add(second[0], second[1]))
	return [6]float64{
		r3.Norm2(first[0]), r3.Norm2(first[1]), r3.Dot(first[0], first[1]),
		r3.Norm(second[0]), r3.Norm(mixed), r3.Norm(second[1]),
	}
}

// ranges is Field.Range.
func (b *torsoBounds) ranges(f *torsoField, from, to, low, high []float64) {
	for axis := range b.cells {
		if b.from[axis] != from[axis] || b.to[axis] != to[axis] {
			b.from[axis], b.to[axis] = from[axis], to[axis]
			b.last[axis] = rangeOver(b.cells[axis], from[axis], to[axis])
		}
	}
	speeds, rises := formOver(&b.last, 0), formOver(&b.last, 1)
	for i := range b.quantities {
		q := &b.quantities[i]
		switch {
		case !q.known:
			low[i], high[i] = math.Inf(-1), math.Inf(1)
		case f.list[i].kind.order() == torsoSpeeds:
			low[i], high[i] = 0, q.most(&speeds)
		default:
			length := math.Sqrt(q.most(&rises)) + q.bend[0]*speeds.square[0] +
				q.bend[1]*math.Sqrt(speeds.square[0]*speeds.square[1]) + q.bend[2]*speeds.square[1]
			low[i], high[i] = 0, length*length
		}
	}
}

// torsoForm is what a form in the two travels' derivatives is made of, over a box
// of angles: the most of their squares, and the least and most of their product.
type torsoForm struct {
	square, mixed [2]float64
}

func formOver(r *[2]travelRange, order int) torsoForm {
	a, b := [2]float64{r[0].low[order], r[0].high[order]}, [2]float64{r[1].low[order], r[1].high[order]}
	w, x, y, z := a[0]*b[0], a[0]*b[1], a[1]*b[0], a[1]*b[1]
	return torsoForm{
		square: [2]float64{max(a[0]*a[0], a[1]*a[1]), max(b[0]*b[0], b[1]*b[1])},
		mixed:  [2]float64{min(w, x, y, z), max(w, x, y, z)},
	}
}

// most returns the most that J1²·a² + 2·J1·J2·a·b + J2²·b² reaches.
func (q *torsoBound) most(f *torsoForm) float64 {
	mixed := max(q.mixed[0]*f.mixed[0], q.mixed[0]*f.mixed[1], q.mixed[1]*f.mixed[0], q.mixed[1]*f.mixed[1])
	return max(0, q.square[0]*f.square[0]+2*mixed+q.square[1]*f.square[1])
}

// rangeOver joins the cells that an interval of angles touches.
func rangeOver(cells []travelRange, from, to float64) travelRange {
	n := len(cells)
	width := 2 * math.Pi / float64(n)
	first, last := int(math.Floor(from/width)), int(math.Floor(to/width))
	r := emptyRange()
	for k := range min(n, last-first+1) {
		r.add(&cells[((first+k)%n+n)%n])
	}
	return r
}

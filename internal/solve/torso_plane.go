package solve

import "math"

// travelPlane is what the quantities of place are over the travels of two yokes.
type travelPlane struct {
	f      *torsoField
	axes   [2]travelAxis // by the orbit's axes
	list   []torsoQuantity
	values [][]float64 // of each quantity, [level of the first][level of the second]
	// Of the quantity and sign in hand.
	q        int
	sign     float64
	grid     []float64
	vary     [2]float64 // how much it changes along each axis
	steady   [2]float64 // +1 where it grows along an axis at all levels, −1 where it falls, else 0
	crests   []Crest
	stations [2][]travelStation
	places   []travelPlace
}

// newTravelPlane divides the travels of two yokes; nil where the pushes are no
// such yokes, or turn back too often.
func newTravelPlane(f *torsoField) *travelPlane {
	if !f.t.yokes || len(f.t.orbit.Axes) != 2 || f.t.Status != TorsoPosed {
		return nil
	}
	p := &travelPlane{f: f}
	for i := range f.t.pushes {
		a, ok := newTravelAxis(&f.t.pushes[i])
		if !ok {
			return nil
		}
		p.axes[a.push.axis] = a
	}
	if p.turnsAbout() {
		return nil
	}
	return p
}

// travelPin is the least distance of the guide's pin from the shaft, as a share of
// that at rest, with which a torso is searched by its travels.
const travelPin = 0.4

// useTravels makes the field of a torso on two yokes be searched over their
// travels.
func (f *torsoField) useTravels() {
	if f.plane = newTravelPlane(f); f.plane != nil {
		f.follow = f.plane.turnsToFollow()
	}
}

// turnsToFollow returns Orbit.Follow. A strand passes within half a spacing of a
// hill's top along the slow shaft's angle, and within the same number of turns of
// the slow shaft along the fast one's: narrow hills along both can be missed.
func (p *travelPlane) turnsToFollow() int64 {
	fast, slow := &p.axes[0], &p.axes[1]
	if fast.push.rate < slow.push.rate {
		fast, slow = slow, fast
	}
	humps := min(2*math.Pi/slow.push.cam.narrowest(), 2*math.Pi/fast.push.cam.narrowest()*fast.push.rate/slow.push.rate)
	return int64(min(max(torsoFollow, torsoFollowHump*humps), torsoFollowMost))
}

// turnsAbout reports whether the guide's pin comes so near to the shaft that the
// torso turns about it: quantities are then no near parabolas over the travels.
func (p *travelPlane) turnsAbout() bool {
	far := math.Hypot(p.f.t.pinX, p.f.t.pinY)
	for _, u := range p.axes[0].levels {
		for _, v := range p.axes[1].levels {
			if p.pose([2]float64{u, v}); p.f.pose.slot < travelPin*far {
				return true
			}
		}
	}
	return false
}

// survey takes the values of the field's quantities at all pairs of levels.
func (p *travelPlane) survey() {
	first, second := p.axes[0].levels, p.axes[1].levels
	size := len(first) * len(second)
	p.list, p.q = p.f.list, -1
	all := make([]float64, (size+1)*len(p.list))
	out := all[size*len(p.list):]
	p.values = make([][]float64, len(p.list))
	for q := range p.values {
		p.values[q] = all[q*size:][:size]
	}
	for i, u := range first {
		for j, v := range second {
			p.pose([2]float64{u, v})
			p.f.measure(nil, out)
			for q, value := range out {
				p.values[q][i*len(second)+j] = value
			}
		}
	}
}

// pose poses the torso at travels of the first and the second axis.
func (p *travelPlane) pose(at [2]float64) {
	for i := range p.f.t.pushes {
		p.f.driven[i].e = at[p.f.t.pushes[i].axis]
	}
	p.f.t.poseDriven(&p.f.driven, &p.f.pose, torsoPlaces)
}

// value returns the quantity in hand at travels.
func (p *travelPlane) value(at [2]float64) float64 {
	p.pose(at)
	return p.sign * p.f.single(nil, p.q)
}

// take puts a quantity and a sign in hand.
func (p *travelPlane) take(q int, sign float64) {
	p.sign, p.crests = sign, p.crests[:0]
	if p.q == q {
		return
	}
	p.q, p.grid = q, p.values[q]
	m := len(p.axes[1].levels)
	p.vary = [2]float64{}
	size := 0.0
	for at, v := range p.grid {
		size = max(size, math.Abs(v))
		p.vary[0] = max(p.vary[0], math.Abs(v-p.grid[at%m]))
		p.vary[1] = max(p.vary[1], math.Abs(v-p.grid[at-at%m]))
	}
	// Rounding at a few hundred ulps of its size counts as no change.
	for k := range p.vary {
		if p.vary[k] <= 1e-13*(size+p.vary[0]+p.vary[1]) {
			p.vary[k] = 0
		}
		p.steady[k] = p.steadily(k)
	}
}

// steadily returns +1 where the quantity in hand clearly grows along an axis at
// all levels, −1 where it falls, and 0 where neither is certain.
func (p *travelPlane) steadily(axis int) float64 {
	m := len(p.axes[1].levels)
	levels, stride, lines, step := p.axes[0].levels, m, m, 1
	if axis == 1 {
		levels, stride, lines, step = p.axes[1].levels, 1, len(p.axes[0].levels), m
	}
	least, most := math.Inf(1), math.Inf(-1) // of the slopes
	for line := range lines {
		at := line * step
		for k := 1; k < len(levels); k++ {
			slope := (p.grid[at+stride] - p.grid[at]) / (levels[k] - levels[k-1])
			least, most = min(least, slope), max(most, slope)
			at += stride
		}
	}
	switch {
	case least > travelSteady*most:
		return 1
	case most < travelSteady*least:
		return -1
	}
	return 0
}

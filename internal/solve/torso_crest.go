package solve

import "math"

// A crest on the torus is a place at which either travel turns on the side to
// which the quantity grows, or stands where the quantity is level in it.

// travelView is what the quantity in hand does along one axis at a pair of
// levels.
type travelView struct {
	free      bool    // it does not depend on this axis
	value     float64 // at the pair
	slope     float64 // by the travel
	slack     float64 // the slope that may be rounding
	inner     bool    // it may be greatest between the levels beside
	low, high float64 // the levels beside
}

// crestsOf returns every crest of a quantity of place, for Field.Crests; false
// where it is too crooked over the travels to tell.
func (p *travelPlane) crestsOf(q int, sign float64) ([]Crest, bool) {
	if p.list[q].kind.order() > torsoPlaces {
		return nil, false
	}
	p.take(q, sign)
	smooth := p.f.smooth(p.list[q])
	if smooth && p.steady[0]*p.steady[1] != 0 {
		p.addCorners()
		return p.crests, true
	}
	for i := range p.axes[0].levels {
		for j := range p.axes[1].levels {
			if p.vary[0] == 0 && i > 0 || p.vary[1] == 0 && j > 0 {
				continue // the same as before
			}
			if !p.mayStand(i, j, 0) || !p.mayStand(i, j, 1) {
				continue
			}
			u, v := p.look(i, j, 0), p.look(i, j, 1)
			if (u.inner || v.inner) && !smooth {
				return nil, false
			}
			if !p.addCrests(i, j, &u, &v, smooth) {
				return nil, false
			}
		}
	}
	return p.crests, true
}

// mayStand reports whether along an axis a crest may stand at a pair of levels or
// next to it: where the travel turns, or no level beside has more.
func (p *travelPlane) mayStand(i, j, axis int) bool {
	m := len(p.axes[1].levels)
	at, k, stride, levels := i*m+j, i, m, p.axes[0].levels
	if axis == 1 {
		k, stride, levels = j, 1, p.axes[1].levels
	}
	if p.axes[axis].turning[k] || p.vary[axis] == 0 {
		return true
	}
	here := p.sign * p.grid[at]
	return (k == 0 || p.sign*p.grid[at-stride] <= here) && (k == len(levels)-1 || p.sign*p.grid[at+stride] <= here)
}

// addCorners adds the crests of a quantity that grows or falls all along either
// axis: both travels turn there.
func (p *travelPlane) addCorners() {
	for a := range p.axes[0].turns {
		s := &p.axes[0].turns[a]
		if s.sign != p.sign*p.steady[0] {
			continue
		}
		for b := range p.axes[1].turns {
			t := &p.axes[1].turns[b]
			if t.sign != p.sign*p.steady[1] {
				continue
			}
			u, v := p.look(s.level, t.level, 0), p.look(s.level, t.level, 1)
			p.crests = append(p.crests, Crest{
				From: [2]float64{s.from, t.from}, To: [2]float64{s.to, t.to}, Value: u.value,
				Bend: [3]float64{u.slope * s.bend, 0, v.slope * t.bend}, Rough: s.rough || t.rough,
			})
		}
	}
}

// look returns the view along an axis at the i-th level of the first axis and
// the j-th of the second.
func (p *travelPlane) look(i, j, axis int) travelView {
	levels, m := p.axes[axis].levels, len(p.axes[1].levels)
	at, k, stride := i*m+j, i, m
	if axis == 1 {
		k, stride = j, 1
	}
	n := len(levels)
	w := travelView{value: p.sign * p.grid[at], low: levels[max(k-1, 0)], high: levels[min(k+1, n-1)]}
	if p.vary[axis] == 0 {
		w.free = true
		return w
	}
	value := func(k1 int) float64 { return p.sign * p.grid[at+(k1-k)*stride] }
	middle := min(max(k, 1), n-2)
	w.slope = slopeOfThree(levels[middle-1:], value(middle-1), value(middle), value(middle+1), levels[k])
	w.slack = travelSlack * p.vary[axis] * float64(n-1) / (levels[n-1] - levels[0])
	above := k == n-1 || value(k+1) <= w.value
	below := k == 0 || value(k-1) <= w.value
	w.inner = above && below && (k > 0 || w.slope > -w.slack) && (k < n-1 || w.slope < w.slack)
	return w
}

// slopeOfThree returns the slope at x of the parabola through three values.
func slopeOfThree(at []float64, a, b, c, x float64) float64 {
	left, right := (b-a)/(at[1]-at[0]), (c-b)/(at[2]-at[1])
	bend := (right - left) / (at[2] - at[0])
	return left + bend*(2*x-at[0]-at[1])
}

// addCrests adds the crests at and beside a pair of levels. It reports false
// where there may be others.
func (p *travelPlane) addCrests(i, j int, u, v *travelView, smooth bool) bool {
	value := u.value
	first := p.turnStations(p.stations[0][:0], 0, i, u)
	second := p.turnStations(p.stations[1][:0], 1, j, v)
	p.stations = [2][]travelStation{first, second}
	if len(first) > 0 && len(second) > 0 {
		if !smooth && (p.risesInward(i, j, 0, first) || p.risesInward(i, j, 1, second)) {
			return false
		}
		p.cross(first, second, value, 0)
	}
	if u.inner {
		p.addLevel(0, i, j, u)
	}
	if v.inner {
		p.addLevel(1, i, j, v)
	}
	if u.inner && v.inner {
		return p.addTop([2]float64{p.axes[0].levels[i], p.axes[1].levels[j]}, u, v)
	}
	return true
}

// travelStation is where an axis stands at a crest.
type travelStation struct {
	from, to float64 // shaft's angle
	slope    float64 // of the travel by the angle
	bend     float64 // second derivative of the quantity by the angle
	sign     float64 // of the travel's turn
	rough    bool
}

// turnStations appends the turns of an axis at a level to whose side the
// quantity grows, or the whole turn of an axis that it does not depend on.
func (p *travelPlane) turnStations(list []travelStation, axis, level int, w *travelView) []travelStation {
	if w.free {
		return append(list, travelStation{to: 2 * math.Pi})
	}
	for k := range p.axes[axis].turns {
		t := &p.axes[axis].turns[k]
		if t.level == level && t.sign*w.slope >= -w.slack {
			list = append(list, travelStation{from: t.from, to: t.to, bend: w.slope * t.bend, sign: t.sign, rough: t.rough})
		}
	}
	return list
}

// risesInward reports whether a quantity with kinks grows a little way from the
// turns at a pair of levels, so that it is greatest in between.
func (p *travelPlane) risesInward(i, j, axis int, stations []travelStation) bool {
	const share = 1e-3
	at := [2]float64{p.axes[0].levels[i], p.axes[1].levels[j]}
	here := p.value(at)
	levels := p.axes[axis].levels
	step := share * (levels[len(levels)-1] - levels[0])
	for _, s := range stations {
		inward := at
		inward[axis] -= s.sign * step
		if s.sign != 0 && p.value(inward) > here {
			return true
		}
	}
	return false
}

// cross adds a crest for each pair of stations; mixed is the quantity's mixed
// second derivative by the travels.
func (p *travelPlane) cross(first, second []travelStation, value, mixed float64) {
	for _, a := range first {
		for _, b := range second {
			p.crests = append(p.crests, Crest{
				From: [2]float64{a.from, b.from}, To: [2]float64{a.to, b.to}, Value: value,
				Bend: [3]float64{a.bend, mixed * a.slope * b.slope, b.bend}, Rough: a.rough || b.rough,
			})
		}
	}
}

// placeStations lists where an axis stands at a travel; bend is the quantity's
// second derivative by it.
func (p *travelPlane) placeStations(axis int, travel, bend float64) []travelStation {
	p.places = p.axes[axis].places(p.places[:0], travel)
	var list []travelStation
	for _, s := range p.places {
		list = append(list, travelStation{from: s.from, to: s.to, slope: s.slope, bend: bend * s.slope * s.slope})
	}
	return list
}

// addLevel adds the crests where the quantity is greatest along an axis between
// the levels beside, while the other axis turns.
func (p *travelPlane) addLevel(axis, i, j int, w *travelView) {
	other, level := 1-axis, j
	if axis == 1 {
		level = i
	}
	if !p.mayTurn(axis, i, j, level) {
		return
	}
	at := [2]float64{p.axes[0].levels[i], p.axes[1].levels[j]}
	value := func(k int, travel float64) float64 {
		there := at
		there[k] = travel
		return p.value(there)
	}
	fine := travelFine * (w.high - w.low)
	top, greatest := brentMax(func(travel float64) float64 { return value(axis, travel) }, w.low, at[axis], w.high, w.value, fine)
	levels := p.axes[axis].levels
	if n := len(levels) - 1; top-levels[0] < 4*fine || levels[n]-top < 4*fine {
		return // a turn
	}
	at[axis] = top
	step := travelStep * (w.high - w.low)
	bend := (value(axis, top-step) - 2*greatest + value(axis, top+step)) / (step * step)
	view := travelView{free: p.vary[other] == 0}
	levels = p.axes[other].levels
	step = travelStep * (levels[len(levels)-1] - levels[0])
	view.slope = (value(other, at[other]+step) - value(other, at[other]-step)) / (2 * step)
	view.slack = travelSlack * math.Abs(view.slope)
	turns := p.turnStations(p.stations[other][:0], other, level, &view)
	p.stations[other] = turns
	if len(turns) == 0 {
		return
	}
	places := p.placeStations(axis, top, bend)
	if axis == 0 {
		p.cross(places, turns, greatest, 0)
	} else {
		p.cross(turns, places, greatest, 0)
	}
}

// mayTurn reports whether at one of the levels along an axis, up to those beside,
// the other axis stands at a turn to whose side the quantity grows.
func (p *travelPlane) mayTurn(axis, i, j, level int) bool {
	other := 1 - axis
	for d := -1; d <= 1; d++ {
		u, v := i, j
		if axis == 0 {
			u += d
		} else {
			v += d
		}
		if u < 0 || v < 0 || u >= len(p.axes[0].levels) || v >= len(p.axes[1].levels) {
			continue
		}
		w := p.look(u, v, other)
		if p.stations[other] = p.turnStations(p.stations[other][:0], other, level, &w); len(p.stations[other]) > 0 {
			return true
		}
	}
	return false
}

const (
	// travelFine, of the levels beside, is how closely a greatest value is found:
	// it is flat there. travelStep is the step of its second derivative.
	travelFine = 1e-6
	travelStep = 0.05
)

// addTop adds the crests where the quantity is greatest in both travels, near a
// pair of levels: paraboloids through nine values, each narrower than the last.
func (p *travelPlane) addTop(at [2]float64, u, v *travelView) bool {
	du, dv := (u.high-u.low)/2, (v.high-v.low)/2
	var m orbitParaboloid
	for _, share := range [...]float64{0.5, 0.05, 0.02} {
		m = p.paraboloid(at, share*du, share*dv)
		if !m.top {
			return false
		}
		at[0], at[1] = at[0]+m.x, at[1]+m.y
		if at[0] < u.low-du || at[0] > u.high+du || at[1] < v.low-dv || at[1] > v.high+dv {
			return false
		}
	}
	for k, travel := range at {
		if levels := p.axes[k].levels; travel <= levels[0] || travel >= levels[len(levels)-1] {
			return true // beyond the range: turns have it
		}
	}
	p.cross(p.placeStations(0, at[0], m.bend[0]), p.placeStations(1, at[1], m.bend[2]), p.value(at), m.bend[1])
	return true
}

// paraboloid lays one through the quantity in hand around travels.
func (p *travelPlane) paraboloid(at [2]float64, du, dv float64) orbitParaboloid {
	var g [3][3]float64
	for i := range g {
		for j := range g[i] {
			g[i][j] = p.value([2]float64{at[0] + float64(i-1)*du, at[1] + float64(j-1)*dv})
		}
	}
	return paraboloid(&g, du, dv)
}

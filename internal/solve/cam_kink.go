package solve

import (
	"math"
	"slices"
)

// kinks returns the breaks at which the acceleration has a step or a corner,
// begins or ends to be constant, or begins or ends to swing both ways, increasing.
func (c *Cam) kinks() []float64 {
	if c.source != camFromPieces {
		return c.Breaks()
	}
	n := len(c.spans)
	most := 0.0
	for i := range c.spans {
		most = max(most, math.Abs(c.spanLift(i, c.spans[i].from).J), math.Abs(c.spanLift(i, c.spanEnd(i)).J))
	}
	nothing := camStepTolerance * most
	level := func(i int) bool {
		return math.Abs(c.spanLift(i, (c.spans[i].from+c.spanEnd(i))/2).J) <= nothing
	}
	kinks := make([]float64, 0, n)
	for i, s := range c.spans {
		before := (i + n - 1) % n
		corner := math.Abs(c.spanLift(i, s.from).J-c.spanLift(before, c.spanEnd(before)).J) > nothing
		swings := c.swings(i) || c.swings(before)
		if s.step != NoStep || corner || swings || level(i) || level(before) {
			kinks = append(kinks, camReduce(s.from))
		}
	}
	slices.Sort(kinks)
	return kinks
}

// swings reports whether the acceleration of span i's formula goes both ways, greatest
// inside the span either time: a whole rise or fall in one formula.
func (c *Cam) swings(i int) bool {
	switch p := &c.pieces[i]; p.form {
	case camPoly345, camPoly4567:
		return true
	case camSine:
		return p.amp != 0 && p.freq*p.scale*(c.spanEnd(i)-p.from) > 1.5*math.Pi
	default:
		return false
	}
}

// turnovers returns the middles of the pieces whose acceleration swings both ways.
// It is zero there, and greatest on either side.
func (c *Cam) turnovers() []float64 {
	var middles []float64
	for i := range c.pieces {
		if c.swings(i) {
			middles = append(middles, camReduce((c.spans[i].from+c.spanEnd(i))/2))
		}
	}
	return middles
}

// summits returns the angles inside the pieces of a motion at which the velocity or
// the acceleration is greatest or least.
func (c *Cam) summits() []float64 {
	var list []float64
	add := func(i int, x float64) {
		if phi := c.pieces[i].from + x/c.pieces[i].scale; x > 0 && phi < c.spanEnd(i) {
			list = append(list, phi)
		}
	}
	for i := range c.pieces {
		switch p := &c.pieces[i]; p.form {
		case camPoly345:
			add(i, 0.5-math.Sqrt(3)/6)
			add(i, 0.5)
			add(i, 0.5+math.Sqrt(3)/6)
		case camPoly4567:
			add(i, 0.5-math.Sqrt(5)/10)
			add(i, 0.5)
			add(i, 0.5+math.Sqrt(5)/10)
		case camSine: // every quarter of a wave
			for k := math.Floor(p.at / (math.Pi / 2)); ; k++ {
				x := (k*math.Pi/2 - p.at) / p.freq
				if p.from+x/p.scale >= c.spanEnd(i) {
					break
				}
				add(i, x)
			}
		default:
			if p.c[3] != 0 {
				add(i, -p.c[2]/(3*p.c[3]))
			}
		}
	}
	return list
}

const (
	// camHumpCells is into how many parts a span is cut to see where the acceleration
	// changes its sign, and camHumpRest the share of the greatest that counts as none.
	camHumpCells = 4
	camHumpRest  = 1e-6
)

// narrowest returns the least angle over which the acceleration keeps its sign, a
// whole turn where it has none.
func (c *Cam) narrowest() float64 {
	var signs, from []float64
	most := 0.0
	for i := range c.spans {
		n := camHumpCells
		if c.source == camFromWaves || c.source == camFromDisc {
			n *= 4 * c.harmonics()
		}
		start, width := c.spans[i].from, c.spanEnd(i)-c.spans[i].from
		for k := range n {
			phi := start + width*(float64(k)+0.5)/float64(n)
			a := c.spanLift(i, phi).A
			signs, from = append(signs, a), append(from, start+width*float64(k)/float64(n))
			most = max(most, math.Abs(a))
		}
	}
	sign := func(k int) float64 {
		if math.Abs(signs[k]) <= camHumpRest*most {
			return 0
		}
		return math.Copysign(1, signs[k])
	}
	least, last := 2*math.Pi, -1 // last: where the sign changed last
	for k := 1; k < 2*len(signs); k++ {
		at := k % len(signs)
		if sign(at) == sign((k-1)%len(signs)) {
			continue
		}
		if before := (k - 1) % len(signs); last >= 0 && sign(before) != 0 {
			least = min(least, orbitWrap(from[at]-from[last]))
		}
		last = at
	}
	return least
}

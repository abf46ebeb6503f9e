package solve

import "math"

// Extremes of a cam are found without sampling error: each smooth span is cut
// into intervals short against the motion's fastest part, and where a
// quantity's slope changes sign within one, the root of the slope is closed in
// on. A joint counts with the values on both sides.

// Intervals per smooth span: a law's formula turns over at most once in its
// span; a cubic hardly at all; a wave of n per turn is cut relative to its own
// period. A stretch of contact with a measured rim is short already.
const (
	camLawIntervals   = 10
	camCubicIntervals = 4
	camWaveIntervals  = 20
	camDiscIntervals  = 32
)

// camRootRounds bounds the search for a root of a slope; it needs about seven.
const camRootRounds = 60

// camRootWidth is the width in rad at which an extreme is found: its value is
// then exact to rounding, since it is flat there.
const camRootWidth = 1e-11

func (c *Cam) intervals(i int) int {
	switch c.source {
	case camFromWaves:
		return camWaveIntervals * c.harmonics()
	case camFromDisc:
		return camDiscIntervals
	case camFromRim:
		return 1
	}
	p := &c.pieces[i]
	if p.form != camCubic {
		return camLawIntervals
	}
	if p.c[1] == 0 && p.c[2] == 0 && p.c[3] == 0 {
		return 1
	}
	return camCubicIntervals
}

// camSearch is a search for the extremes of the quantities first to last.
type camSearch struct {
	c           *Cam
	first, last camQuantity
	extent      [camQuantities]CamExtent
}

func (c *Cam) search(first, last camQuantity) camSearch {
	s := camSearch{c: c, first: first, last: last}
	for q := range s.extent {
		s.extent[q] = CamExtent{CamAt{math.Inf(1), 0}, CamAt{math.Inf(-1), 0}}
	}
	var a, b camProbe
	for i := range c.spans {
		from, to := c.spans[i].from, c.spanEnd(i)
		n := c.intervals(i)
		step := (to - from) / float64(n)
		c.probe(i, from, last, &a)
		s.note(&a)
		for k := 1; k <= n; k++ {
			phi := from + float64(k)*step
			if k == n {
				phi = to
			}
			c.probe(i, phi, last, &b)
			s.note(&b)
			s.between(i, &a, &b)
			a = b
		}
	}
	for q := range s.extent {
		e := &s.extent[q]
		e.Min.Angle, e.Max.Angle = camReduce(e.Min.Angle), camReduce(e.Max.Angle)
	}
	return s
}

func (s *camSearch) note(p *camProbe) {
	for q := s.first; q <= s.last; q++ {
		s.keep(q, p.value[q], p.phi)
	}
}

func (s *camSearch) keep(q camQuantity, value, phi float64) {
	e := &s.extent[q]
	if value > e.Max.Value {
		e.Max = CamAt{value, phi}
	}
	if value < e.Min.Value {
		e.Min = CamAt{value, phi}
	}
}

// between looks for an extreme inside (a, b) of each quantity whose slope
// changes sign there, unless the tangents at both ends show that it cannot beat
// what is already known.
func (s *camSearch) between(i int, a, b *camProbe) {
	for q := s.first; q <= s.last; q++ {
		sa, sb := a.slope[q], b.slope[q]
		if !(sa > 0 && sb < 0 || sa < 0 && sb > 0) {
			continue
		}
		h := b.phi - a.phi
		t := (b.value[q] - a.value[q] - sb*h) / (sa - sb)
		reach := a.value[q] + sa*min(max(t, 0), h)
		if sa > 0 && reach <= s.extent[q].Max.Value || sa < 0 && reach >= s.extent[q].Min.Value {
			continue
		}
		s.close(i, q, a.phi, sa, b.phi, sb)
	}
}

// close finds the root of the slope of q between x and y by false position
// with halved weights (the Illinois rule: M. Dowell and P. Jarratt, BIT 11
// (1971), 168).
func (s *camSearch) close(i int, q camQuantity, x, fx, y, fy float64) {
	var p camProbe
	for range camRootRounds {
		if math.Abs(y-x) < camRootWidth {
			break
		}
		z := (x*fy - y*fx) / (fy - fx)
		s.c.probe(i, z, s.last, &p)
		s.keep(q, p.value[q], z)
		fz := p.slope[q]
		if fz == 0 {
			break
		}
		if (fz > 0) != (fy > 0) {
			x, fx = y, fy
		} else {
			fx /= 2
		}
		if math.Abs(z-y) < camRootWidth {
			break
		}
		y, fy = z, fz
	}
}

// liftExtent finds the true range of the lift, and with it the level of the
// waves that makes their least lift zero.
func (c *Cam) liftExtent() CamExtent {
	if c.source == camFromNothing {
		return CamExtent{}
	}
	s := c.search(camLift, camLift)
	e := s.extent[camLift]
	if c.source == camFromWaves {
		c.level = -e.Min.Value
		e.Max.Value -= e.Min.Value
		e.Min.Value = 0
	}
	return e
}

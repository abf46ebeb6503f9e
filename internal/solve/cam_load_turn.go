package solve

import (
	"math"

	"understage/internal/mech"
)

// loadQuantity is one of the loads whose greatest value over a turn is sought.
// Where the least one counts, the quantity is negated.
type loadQuantity int

const (
	loadNormal    loadQuantity = iota
	loadTorque                 // most
	loadTorqueLow              // least, negated
	loadAlong                  // least, negated
	loadGuide                  // on the rise
	loadFloat                  // least ω² that floats, negated
	loadPress                  // N/R'
	loadWear                   // N times the slip
	loadQuantities
)

// camLoadTurn goes through a turn of a loaded cam.
type camLoadTurn struct {
	c         *Cam
	p         *CamLoad
	speed     float64
	stretches []camStretch
}

// loadSample is every quantity at one angle.
type loadSample struct {
	phi   float64
	value [loadQuantities]float64
}

// sample evaluates the quantities on a stretch at φ.
func (t *camLoadTurn) sample(s *camStretch, phi float64, out *loadSample) {
	c, p := t.c, t.p
	l := c.spanLift(s.span, phi)
	f := p.Force(l, t.speed, s.direction, false)
	out.phi = phi
	v := &out.value
	v[loadNormal], v[loadTorque], v[loadTorqueLow], v[loadAlong] = f.Normal, f.Torque, -f.Torque, -f.Along
	v[loadGuide], v[loadFloat] = math.Inf(-1), math.Inf(-1)
	if s.direction > 0 && p.length > 0 {
		v[loadGuide] = f.Guide
	}
	if p.mass > 0 {
		v[loadFloat] = -p.floats(l)
	}
	v[loadPress], v[loadWear] = 0, 0
	if f.Normal > 0 {
		v[loadPress] = f.Normal * max(c.closeness(l), 0)
		if c.kind != mech.Roller {
			v[loadWear] = f.Normal * c.slip(l)
		}
	}
}

// peaks finds the true peaks: every stretch is sampled once, and only about
// those local maxima that may pass the best sample is more looked for.
func (t *camLoadTurn) peaks() [loadQuantities]CamAt {
	t.stretches = t.c.stretches()
	var best [loadQuantities]CamAt
	for q := range best {
		best[q] = CamAt{math.Inf(-1), 0}
	}
	keep := func(q loadQuantity, v, phi float64) {
		if v > best[q].Value {
			best[q] = CamAt{v, phi}
		}
	}
	samples := make([]loadSample, 0, 256)
	for i := range t.stretches {
		s := &t.stretches[i]
		for k := range s.cells + 1 {
			samples = append(samples, loadSample{})
			last := &samples[len(samples)-1]
			t.sample(s, s.at(k), last)
			for q := range loadQuantities {
				keep(q, last.value[q], last.phi)
			}
		}
	}
	first := 0
	for i := range t.stretches {
		s := &t.stretches[i]
		own := samples[first : first+s.cells+1]
		first += s.cells + 1
		for q := range loadQuantities {
			t.refine(s, own, q, &best[q])
		}
	}
	for q := range best {
		best[q].Angle = camReduce(best[q].Angle)
	}
	return best
}

// refine closes in on the local maxima of one quantity on a stretch.
func (t *camLoadTurn) refine(s *camStretch, own []loadSample, q loadQuantity, best *CamAt) {
	for k := range own {
		left, right := max(k-1, 0), min(k+1, len(own)-1)
		a, v, b := own[left].value[q], own[k].value[q], own[right].value[q]
		if !(v >= a && v >= b) || v == a && v == b || v+(v-min(a, b)) < best.Value || math.IsInf(v, 0) {
			continue
		}
		var p loadSample
		camGoldenMost(own[left].phi, own[right].phi, func(phi float64) float64 {
			t.sample(s, phi, &p)
			if p.value[q] > best.Value {
				*best = CamAt{p.value[q], phi}
			}
			return p.value[q]
		})
	}
}

// integral returns the integral over a turn of a function of the lift.
func (t *camLoadTurn) integral(f func(s *camStretch, l Lift) float64) float64 {
	sum := 0.0
	for i := range t.stretches {
		s := &t.stretches[i]
		sum += s.integral(func(phi float64) float64 { return f(s, t.c.spanLift(s.span, phi)) })
	}
	return sum
}

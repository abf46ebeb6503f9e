package solve

import (
	"math"
	"slices"

	"understage/internal/mech"
)

// Lift returns the follower's lift at the cam's angle φ, any real, in rad.
func (c *Cam) Lift(phi float64) Lift {
	switch c.source {
	case camFromWaves:
		return c.waveLift(phi)
	case camFromDisc:
		return c.discLift(phi)
	case camFromNothing:
		return Lift{}
	}
	phi = c.wrap(phi)
	i := c.spanAt(phi)
	if c.source == camFromRim {
		return c.rim.lift(i, phi)
	}
	return c.pieces[i].lift(phi)
}

// Step returns what jumps at φ: NoStep unless a joint stands there.
func (c *Cam) Step(phi float64) Step {
	phi = c.wrap(phi)
	if s := &c.spans[c.spanAt(phi)]; phi-s.from < camJoint {
		return s.step
	}
	return NoStep
}

// spanLift evaluates the formula of span i at φ, which counts on from the
// span's start and may stand at its end.
func (c *Cam) spanLift(i int, phi float64) Lift {
	switch c.source {
	case camFromPieces:
		return c.pieces[i].lift(phi)
	case camFromRim:
		return c.rim.lift(i, phi)
	case camFromWaves:
		return c.waveLift(phi)
	case camFromDisc:
		return c.discLift(phi)
	}
	return Lift{}
}

// wrap brings φ into the turn that starts at the first span.
func (c *Cam) wrap(phi float64) float64 {
	if t := phi - c.edges[0]; t < 0 || t >= 2*math.Pi {
		phi -= 2 * math.Pi * math.Floor(t/(2*math.Pi))
	}
	return phi
}

// spanAt returns the span that holds a wrapped φ.
func (c *Cam) spanAt(phi float64) int {
	edges := c.edges
	if len(edges) <= 8 {
		i := len(edges) - 1
		for i > 0 && phi < edges[i] {
			i--
		}
		return i
	}
	low, high := 0, len(edges)
	for high-low > 1 {
		mid := int(uint(low+high) / 2)
		if phi < edges[mid] {
			high = mid
		} else {
			low = mid
		}
	}
	return low
}

// spanEnd returns where span i ends, counting on from its start.
func (c *Cam) spanEnd(i int) float64 {
	if i+1 < len(c.spans) {
		return c.spans[i+1].from
	}
	return c.spans[0].from + 2*math.Pi
}

// camReduce brings an angle into [0, 2π), taking one within camJoint below a
// turn for zero.
func camReduce(phi float64) float64 {
	phi -= 2 * math.Pi * math.Floor(phi/(2*math.Pi))
	if phi >= 2*math.Pi-camJoint {
		return 0
	}
	return phi
}

// camStepTolerance is the least jump, relative to the greatest value of the
// same order, that counts as one. Laws join to 1e-14; the contact with a
// measured rim is found to 1e-10.
const camStepTolerance = 1e-7

// span lists the smooth stretches of the motion and marks the steps between
// them.
func (c *Cam) span() {
	switch c.source {
	case camFromPieces:
		for _, p := range c.pieces {
			c.spans = append(c.spans, camSpan{from: p.from})
		}
	case camFromRim:
		for _, n := range c.rim.nodes {
			c.spans = append(c.spans, camSpan{from: n.phi})
		}
	}
	if len(c.spans) == 0 {
		c.spans = []camSpan{{}}
	}
	c.edges = make([]float64, len(c.spans))
	for i, s := range c.spans {
		c.edges[i] = s.from - camJoint
	}
	if c.source == camFromPieces || c.source == camFromRim {
		c.markSteps()
	}
}

func (c *Cam) markSteps() {
	var scale [3]float64
	low, high := math.Inf(1), math.Inf(-1)
	for i := range c.spans {
		for _, l := range []Lift{c.spanLift(i, c.spans[i].from), c.spanLift(i, c.spanEnd(i))} {
			low, high = min(low, l.S), max(high, l.S)
			scale[1] = max(scale[1], math.Abs(l.V))
			scale[2] = max(scale[2], math.Abs(l.A))
		}
	}
	for k := range scale {
		scale[k] = camStepTolerance * max(scale[k], high-low)
	}
	for i := range c.spans {
		before := (i + len(c.spans) - 1) % len(c.spans)
		old, now := c.spanLift(before, c.spanEnd(before)), c.spanLift(i, c.spans[i].from)
		switch {
		case math.Abs(now.S-old.S) > scale[0]:
			c.spans[i].step = LiftStep
		case math.Abs(now.V-old.V) > scale[1]:
			c.spans[i].step = VelocityStep
		case math.Abs(now.A-old.A) > scale[2]:
			c.spans[i].step = AccelerationStep
		}
	}
}

// camWave is one harmonic: cos·cos(nφ) + sin·sin(nφ).
type camWave struct {
	n        int
	cos, sin float64
}

// camWaveGap is the greatest distance between harmonics that is bridged by
// multiplying unit vectors; beyond it one sine and cosine is cheaper.
const camWaveGap = 6

// camCompileWaves gathers the waves by harmonic, in increasing order. A
// constant and a zero wave vanish, since only the form counts.
func camCompileWaves(waves []mech.Wave) []camWave {
	var out []camWave
	for _, w := range waves {
		n := w.PerTurn
		sin, cos := math.Sincos(float64(n) * w.At)
		if n < 0 {
			n, sin = -n, -sin
		}
		if n == 0 || w.Amplitude == 0 {
			continue
		}
		i, found := slices.BinarySearchFunc(out, n, func(a camWave, n int) int { return a.n - n })
		if !found {
			out = slices.Insert(out, i, camWave{n: n})
		}
		out[i].cos += w.Amplitude * cos
		out[i].sin += w.Amplitude * sin
	}
	return out
}

// waveLift sums the harmonics, each unit vector e^(inφ) from the one before.
func (c *Cam) waveLift(phi float64) Lift {
	sin1, cos1 := math.Sincos(phi)
	sin, cos := 0.0, 1.0
	at := 0
	l := Lift{S: c.level}
	for i := range c.waves {
		w := &c.waves[i]
		if w.n-at > camWaveGap {
			sin, cos = math.Sincos(float64(w.n) * phi)
			at = w.n
		}
		for ; at < w.n; at++ {
			sin, cos = sin*cos1+cos*sin1, cos*cos1-sin*sin1
		}
		n := float64(w.n)
		even := w.cos*cos + w.sin*sin
		odd := n * (w.sin*cos - w.cos*sin)
		l.S += even
		l.V += odd
		l.A -= n * n * even
		l.J -= n * n * odd
	}
	return l
}

// harmonics returns the highest harmonic of the waves, at least 1.
func (c *Cam) harmonics() int {
	if len(c.waves) == 0 {
		return 1
	}
	return c.waves[len(c.waves)-1].n
}

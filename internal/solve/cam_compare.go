package solve

import (
	"math"

	"understage/internal/mech"
)

// Comparing a cam that was cut with the one that was meant. Both move the same
// follower. What a maker can put right on the bench is taken out first: the cut
// cam turned on its shaft by δ, and the follower set higher or lower by b,
//
//	e(φ) = h_cut(φ + δ) − h_meant(φ) − b,    h the follower's place above the axis
//
// with δ and b such that the mean of e² over a turn is least. For a given δ, b is
// the mean of the rest, so that only δ is searched.

// CamComparison is a cut cam against the one meant. Lifts and errors are mm, or
// rad for a swinging follower.
type CamComparison struct {
	// Status is that of the pair: CamSolved when both were compared.
	Status   CamStatus
	Rotation float64   // δ, rad: how far ahead the cut cam's angle runs
	Height   float64   // b: how much higher it carries the follower
	Base     float64   // mm, base radius of the cut cam less that of the one meant
	Error    CamExtent // true extremes of e, at the angles φ of the cam meant
	Worst    CamAt     // the greater of the two in magnitude, with its sign
	Mean     float64   // root mean square of e
	// Raw is the range of h_cut(φ) − h_meant(φ), nothing taken out.
	Raw CamExtent
}

// camCompareSamples is how finely a turn is compared; a rim measured every half
// degree is followed.
const camCompareSamples = 1440

// CompareCams compares two cams of the model. The cut one is given the follower
// and the sense of the one meant.
func CompareCams(k *Machine, cut, meant int) CamComparison {
	m := k.Model
	have := m.Cams[cut]
	have.Follower = m.Cams[meant].Follower
	want := k.Cams[meant]
	got := CompileCam(&have, want.edge(), want.sense)
	r := CamComparison{Base: got.base - want.base}
	for _, c := range []*Cam{got, want} {
		if c.Status != CamSolved {
			r.Status = c.Status
			return r
		}
	}
	r.Rotation = camBestTurn(got, want)
	n := float64(camCompareSamples)
	sum := 0.0
	for i := range camCompareSamples {
		phi := 2 * math.Pi * float64(i) / n
		sum += got.height(phi+r.Rotation) - want.height(phi)
	}
	r.Height = sum / n
	fitted := func(phi float64) float64 { return got.height(phi+r.Rotation) - want.height(phi) - r.Height }
	for i := range camCompareSamples {
		e := fitted(2 * math.Pi * float64(i) / n)
		r.Mean += e * e / n
	}
	r.Mean = math.Sqrt(r.Mean)
	r.Error = camTurnExtent(fitted)
	r.Raw = camTurnExtent(func(phi float64) float64 { return got.height(phi) - want.height(phi) })
	r.Worst = r.Error.Max
	if -r.Error.Min.Value > r.Worst.Value {
		r.Worst = r.Error.Min
	}
	return r
}

// edge is the roller that rides on a cam without follower.
func (c *Cam) edge() float64 {
	if c.cam.Follower == nil {
		return c.roller
	}
	return 0
}

// height is the follower's place: above the axis along its motion, or the angle
// at its pivot.
func (c *Cam) height(phi float64) float64 {
	s := c.Lift(phi).S
	switch {
	case c.path == mech.Swing:
		return c.rest + s
	case c.path == mech.Axial:
		return s
	case c.kind == mech.Flat:
		return c.base + s
	}
	return c.d + s
}

// camBestTurn finds δ: over all shifts of the samples first, so that no other
// fit is better, then between them.
func camBestTurn(got, want *Cam) float64 {
	const n = camCompareSamples
	var g, w [n]float64
	mean := 0.0
	for i := range n {
		phi := 2 * math.Pi * float64(i) / n
		g[i], w[i] = got.height(phi), want.height(phi)
		mean += w[i] / n
	}
	best, at := math.Inf(-1), 0
	for shift := range n {
		sum := 0.0
		for i := range n {
			sum += g[(i+shift)%n] * (w[i] - mean)
		}
		if sum > best*(1+1e-12) || math.IsInf(best, -1) {
			best, at = sum, shift
		}
	}
	// The mean of e² less b² falls as the correlation rises.
	likeness := func(delta float64) float64 {
		sum := 0.0
		for i := range n {
			sum += got.height(2*math.Pi*float64(i)/n+delta) * (w[i] - mean)
		}
		return sum
	}
	step := 2 * math.Pi / n
	delta := camGoldenMost(float64(at-1)*step, float64(at+1)*step, likeness)
	if delta > math.Pi {
		delta -= 2 * math.Pi
	}
	return delta
}

// camTurnExtent returns the range of a continuous function of the cam's angle.
func camTurnExtent(f func(phi float64) float64) CamExtent {
	var values [camCompareSamples]float64
	for i := range values {
		values[i] = f(2 * math.Pi * float64(i) / camCompareSamples)
	}
	most := CamAt{math.Inf(-1), 0}
	least := most
	for i, v := range values {
		before, after := values[(i+camCompareSamples-1)%camCompareSamples], values[(i+1)%camCompareSamples]
		low, high := 2*math.Pi*float64(i-1)/camCompareSamples, 2*math.Pi*float64(i+1)/camCompareSamples
		if v >= before && v >= after && 2*v-min(before, after) > most.Value {
			most = camMost(most, camGoldenPeak(low, high, f))
		}
		if v <= before && v <= after && max(before, after)-2*v > least.Value {
			least = camMost(least, camGoldenPeak(low, high, func(phi float64) float64 { return -f(phi) }))
		}
	}
	most.Angle, least.Angle = camReduce(most.Angle), camReduce(least.Angle)
	return CamExtent{least.negative(), most}
}

// WithCut returns the model with the cut cam in the place of the one meant, set
// up as well as it can be: turned on its shaft and its follower adjusted as the
// comparison found.
func (r *CamComparison) WithCut(k *Machine, cut, meant int) *mech.Model {
	m := *k.Model
	m.Cams = append([]mech.Cam(nil), k.Model.Cams...)
	c := &m.Cams[meant]
	c.Shape, c.Base = m.Cams[cut].Shape, m.Cams[cut].Base
	c.Phase += r.Rotation
	if k.Model.Torso != nil {
		torso := *k.Model.Torso
		// Heights are d + lift; plumb is a lift of the cut cam's own.
		got := CompileCam(c, k.Cams[meant].edge(), k.Cams[meant].sense)
		shift := r.Height - (got.height(0) - got.Lift(0).S) + (k.Cams[meant].height(0) - k.Cams[meant].Lift(0).S)
		for i := range torso.Pushes {
			if torso.Pushes[i].Cam == meant && torso.Pushes[i].Kind == mech.Yoke {
				torso.Pushes[i].Plumb += shift
			}
		}
		m.Torso = &torso
	}
	return &m
}

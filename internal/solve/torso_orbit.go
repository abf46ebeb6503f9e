package solve

import (
	"math"
	"slices"

	"understage/internal/mech"
)

// The joints of a cam's motion matter to a quantity by how often it is
// differentiated: where only the acceleration jumps, a place is still smooth
// enough to be searched straight across. So the torso's quantities are searched
// in up to three parts, each with as few breaks as it needs.

// The orders of derivatives that a part's quantities need.
const (
	torsoPlaces        = 0
	torsoSpeeds        = 1
	torsoAccelerations = 2
)

const (
	// torsoSamples is the least number of angles of a shaft's turn that are looked
	// at, torsoRippleSamples the number for each ripple of a cam of waves, and
	// torsoPieceSamples the number between two joints that are no breaks.
	torsoSamples       = 24
	torsoRippleSamples = 12
	torsoPieceSamples  = 2
	// torsoPieceLimit is the most samples that short pieces ask for.
	torsoPieceLimit = 720
	// torsoCarriedSamples is for a shaft that rides on a rim drawn for another
	// follower, which it meets at other angles.
	torsoCarriedSamples = 96
	// torsoFollow is up to how many turns the path of a torso on two yokes is
	// followed: on fewer turns strands lie too far apart to tell them by their hills.
	// Narrow hills ask for torsoFollowHump turns of the fast shaft for each of their
	// widths in a turn of the slow one, but not for more than torsoFollowMost.
	torsoFollow     = 17
	torsoFollowHump = 4
	torsoFollowMost = 400
	// torsoEdgeSamples is for a shaft on an edge: swinging round the rim it sees
	// finer ripples, and has long ridges of several humps.
	torsoEdgeSamples = 48
)

// orbitFor returns the orbit for quantities of an order, with the breaks that
// matter to them and samples that resolve what lies between.
func (t *Torso) orbitFor(order int) Orbit {
	o := Orbit{Axes: make([]OrbitAxis, len(t.orbit.Axes))}
	for i := range o.Axes {
		o.Axes[i].Ratio = t.orbit.Axes[i].Ratio
	}
	for i := range t.pushes {
		p := &t.pushes[i]
		axis := &o.Axes[p.axis]
		samples := torsoSamples
		if p.cam != nil && p.cam.Status == CamSolved {
			samples = p.addBreaks(axis, order)
		}
		axis.Samples = max(axis.Samples, samples)
		axis.Warped = t.warps(i)
	}
	return o
}

// warps reports whether a push alone makes the joints on its shaft, and meets
// them somewhat beside the shaft's angle, because the torso's shaft swings round
// the edge it rides on.
func (t *Torso) warps(push int) bool {
	p, other := &t.pushes[push], &t.pushes[1-push]
	return p.kind == mech.Edge && p.carried == nil && p.axis != other.axis
}

// met returns the angle φ of the cam at which the shaft touches the edge of the
// push on an axis, less the cam's phase.
func (f *torsoField) met(x []float64, axis int) float64 {
	push := 0
	if f.t.pushes[1].axis == axis {
		push = 1
	}
	f.t.PoseAt(x, &f.pose, 0)
	if !f.posed() {
		return math.NaN()
	}
	p := &f.t.pushes[push]
	delta := math.Remainder(math.Atan2(-p.depth*f.pose.q-p.atY, -p.depth*f.pose.p-p.atX)-p.heading, 2*math.Pi)
	return x[axis] - p.sense*delta
}

// addBreaks carries the joints of a push's cam over to its shaft's angle and
// returns the samples that it needs.
func (p *torsoPush) addBreaks(axis *OrbitAxis, order int) int {
	cam, samples := p.cam, torsoSamples
	if p.carried != nil { // the joints and ripples are those of the rim's own cam
		cam, samples = p.carried, torsoCarriedSamples
	}
	samples = max(samples, torsoRippleSamples*cam.harmonics())
	joints := cam.Breaks()
	shortest := 2 * math.Pi
	for k, phi := range joints {
		next := joints[(k+1)%len(joints)]
		if gap := orbitWrap(next - phi); gap > 0 {
			shortest = min(shortest, gap)
		}
		step := cam.Step(phi)
		if order < torsoAccelerations && step != NoStep && (step <= VelocityStep || step == AccelerationStep && order == torsoSpeeds) {
			axis.Breaks = append(axis.Breaks, orbitWrap(phi-p.phase))
		}
	}
	crossed := true // joints that are no breaks
	if order == torsoAccelerations {
		kinks := cam.kinks()
		for _, phi := range kinks {
			axis.Breaks = append(axis.Breaks, orbitWrap(phi-p.phase))
		}
		// Samples too far apart to show both ways of a short rise do show one of them.
		for _, phi := range cam.turnovers() {
			axis.Breaks = append(axis.Breaks, orbitWrap(phi-p.phase))
		}
		crossed = len(kinks) < len(joints)
		samples = max(samples, min(torsoPieceLimit, len(axis.Breaks)))
	}
	if p.kind == mech.Edge {
		samples = max(samples, torsoEdgeSamples)
	}
	if crossed {
		samples = max(samples, min(torsoPieceLimit, int(math.Ceil(2*math.Pi/shortest))*torsoPieceSamples))
	}
	return samples
}

// sameOrbit reports whether two orbits are searched alike.
func sameOrbit(a, b Orbit) bool {
	return slices.EqualFunc(a.Axes, b.Axes, func(p, q OrbitAxis) bool {
		return p.Samples == q.Samples && slices.Equal(p.Breaks, q.Breaks)
	})
}

// searchExtents finds the extents of all the field's quantities.
func (f *torsoField) searchExtents(bound bool) []Extent {
	orbits := [...]Orbit{f.t.orbitFor(torsoPlaces), f.t.orbitFor(torsoSpeeds), f.t.orbit}
	out := make([]Extent, len(f.all))
	for order := 0; order <= torsoAccelerations; order++ {
		last := f.searchedWith(order, &orbits)
		if f.choose(order, last); len(f.list) == 0 {
			break
		}
		o := orbits[last]
		o.Bound = bound
		o.Follow = f.follow
		for k, e := range o.Extents(f.field()) {
			out[f.places[k]] = e
		}
		order = last
	}
	return out
}

// searchedWith returns the last order that is searched together with one: those
// on the same orbit, and where bounds leave few nodes to look at, both orders of
// rates, so that each node serves both.
func (f *torsoField) searchedWith(order int, orbits *[3]Orbit) int {
	if f.plane != nil {
		if order == torsoPlaces {
			return torsoPlaces
		}
		return torsoAccelerations
	}
	last := order
	for last < torsoAccelerations && sameOrbit(orbits[order], orbits[last+1]) {
		last++
	}
	return last
}

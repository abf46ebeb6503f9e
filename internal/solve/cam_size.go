package solve

import (
	"math"

	"understage/internal/mech"
)

// Sizing a cam. For a straight roller or knife the pressure angle keeps within
// ±τ when d + s ≥ |s' − e|/tan τ all round, with d = √(Rp² − e²). Over a turn
// that asks only for two numbers,
//
//	P = max(s'/tan τ − s)    on the rise
//	Q = max(−s'/tan τ − s)   on the return
//	d(e) = max(P − e/tan τ, Q + e/tan τ)
//
// so that the least prime radius for an offset, and the offset with the least of
// all, are closed forms. A swinging follower and the roller's undercut have
// none; their least base is a root.

// CamSizing is how large a cam must be. A size not given does not apply, or none
// was found.
type CamSizing struct {
	// Base is the least base radius that holds the limit of the pressure angle
	// with the follower where it is.
	Base mech.Given
	// BestOffset is the offset that allows the least base of all, BestBase.
	BestOffset, BestBase mech.Given
	// Track is the least track radius of a face cam that holds the limit.
	Track mech.Given
	// Fair is the least base radius without undercut; 0 when any will do.
	Fair mech.Given
}

// SizeCam returns all sizes of a cam whose results are r, for a limit of the
// pressure angle in rad. AnalyseCam leaves out those that take a search and are
// not needed, because nothing is wrong.
func SizeCam(c *Cam, r *CamResult, limit float64) CamSizing {
	out := r.Sizing
	if c.Status != CamSolved || c.cam.Shape.Kind.StatesRim() || c.path == mech.Axial {
		return out
	}
	if !out.Base.OK && c.path == mech.Swing && c.kind != mech.Flat {
		out.Base = c.baseForArm(false, limit)
	}
	if !out.Fair.OK && c.kind == mech.Roller && !c.corners(r) {
		out.Fair = c.baseForRoller(false)
	}
	return out
}

// size solves the sizes of the cam, whose results so far are r.
func (c *Cam) size(r *CamResult, rise, fall, limit float64) CamSizing {
	var out CamSizing
	if c.path == mech.Axial {
		out.Track = known(max(r.Velocity.Max.Value, -r.Velocity.Min.Value) * c.flatness)
		return out
	}
	if c.cam.Shape.Kind.StatesRim() {
		return out
	}
	if c.kind == mech.Flat && c.path == mech.Straight {
		out.Fair = known(max(0, c.base-r.LeastConvex.Value))
		if math.IsInf(r.LeastConvex.Value, 0) || c.corners(r) {
			out.Fair = mech.Given{}
		}
		return out
	}
	if c.path == mech.Straight {
		out.Base = known(c.baseFor(max(rise-c.offset*c.flatness, fall+c.offset*c.flatness), c.offset))
		if c.cam.Follower != nil { // the torso shaft has no offset to choose
			e, d := bestOffset(rise, fall, c.flatness)
			out.BestOffset, out.BestBase = known(c.sense*e), known(c.baseFor(d, e))
		}
	} else if c.kind != mech.Flat && r.PeakPressure.Value > limit {
		out.Base = c.baseForArm(true, limit)
	}
	if c.kind == mech.Roller && r.Undercut && !c.corners(r) {
		out.Fair = c.baseForRoller(true)
	}
	return out
}

// baseForArm is the least base that holds the pressure angle of a swinging
// roller or knife, its pivot and arm as they are.
func (c *Cam) baseForArm(failing bool, limit float64) mech.Given {
	return c.grow(failing, func(t *Cam) bool {
		slant := t.search(camSlant, camSlant).extent[camSlant]
		return max(slant.Max.Value, -slant.Min.Value) <= math.Tan(limit)
	})
}

// baseForRoller is the least base on which the roller follows without undercut.
func (c *Cam) baseForRoller(failing bool) mech.Given {
	return c.grow(failing, func(t *Cam) bool {
		return t.search(camBend, camBend).extent[camBend].Max.Value < 1/c.roller
	})
}

func known(v float64) mech.Given { return mech.Given{Value: v, OK: true} }

// corners reports whether the motion has a corner that no size takes away.
func (c *Cam) corners(r *CamResult) bool {
	for _, j := range r.Jumps {
		if j.Step == LiftStep && j.After.S > j.Before.S || j.Step == VelocityStep && j.After.V < j.Before.V {
			return true
		}
	}
	return false
}

// baseFor is the base radius that puts the follower's place at zero lift the
// distance d up its line, at least the roller's own radius off the axis.
func (c *Cam) baseFor(d, e float64) float64 {
	return max(0, math.Hypot(max(d, 0), e)-c.roller)
}

// bestOffset minimises √(d² + e²) over e with d = max(P − ef, Q + ef). Both
// branches are convex, so the least lies at the foot of one of them or where
// they cross.
func bestOffset(p, q, f float64) (e, d float64) {
	cross := (p - q) / (2 * f)
	footP, footQ := p*f/(1+f*f), -q*f/(1+f*f)
	switch {
	case footP <= cross:
		e = footP
	case footQ >= cross:
		e = footQ
	default:
		e = cross
	}
	return e, max(p-e*f, q+e*f, 0)
}

const (
	// camGrowth is how far a base is grown, as a multiple of the present one,
	// before the search for a size gives up.
	camGrowth = 64
	// camSizeWidth, relative, is how closely a least base is found.
	camSizeWidth = 1e-10
)

// grow returns the least base radius, as large as the present one or larger
// where that one fails, that satisfies a condition which a larger base helps;
// 0 < base always. Where the present base satisfies it, the least is sought
// below.
func (c *Cam) grow(failing bool, holds func(*Cam) bool) mech.Given {
	at := func(base float64) bool {
		t := *c
		t.Status, t.base = CamSolved, base
		t.place()
		t.checkReach()
		return t.Status == CamSolved && holds(&t)
	}
	low, high := c.base, c.base
	if failing {
		for high *= 1.25; !at(high); high *= 1.25 {
			if high > camGrowth*c.base || c.path == mech.Swing && high+c.roller >= c.pivot+c.arm {
				return mech.Given{}
			}
			low = high
		}
	} else {
		for low *= 0.8; at(low); low *= 0.8 {
			if low < c.base/camGrowth {
				return known(0)
			}
			high = low
		}
	}
	for high-low > camSizeWidth*high {
		mid := (low + high) / 2
		if at(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return known(high)
}

package solve

import (
	"math"

	"understage/internal/mech"
)

// discLift is the true motion over a round disc whose centre lies the distance
// ε from the axis, opposite the timing mark.
//
// Flat face: s = ε(1 − cos φ). Roller or knife: a slider-crank with connecting
// rod R + r, s = −ε cos φ + √((R+r)² − (e − ε sin φ)²) − d. Swinging: a four-bar
// of crank ε, coupler R + r, rocker l and ground a.
func (c *Cam) discLift(phi float64) Lift {
	if c.path == mech.Swing {
		return c.discSwing(phi)
	}
	e := c.disc.Offset
	sin, cos := math.Sincos(phi)
	if c.kind == mech.Flat {
		return Lift{S: e * (1 - cos), V: e * sin, A: e * cos, J: -e * sin}
	}
	x := c.offset - e*sin // from the disc's centre across to the follower's line
	x1, x2, x3 := -e*cos, e*sin, e*cos
	rod := c.disc.DiscRadius + c.roller
	w := rod*rod - x*x
	w1, w2, w3 := -2*x*x1, -2*(x1*x1+x*x2), -2*(3*x1*x2+x*x3)
	g := math.Sqrt(w)
	g1 := w1 / (2 * g)
	g2 := (w2/2 - g1*g1) / g
	g3 := (w3/2 - 3*g1*g2) / g
	return Lift{S: g - e*cos - c.d, V: g1 + e*sin, A: g2 + e*cos, J: g3 - e*sin}
}

// discSwing follows the four-bar, or the face tangent to the disc, by series.
func (c *Cam) discSwing(phi float64) Lift {
	e := c.disc.Offset
	// The disc's centre lies opposite the mark. Mirrored so that the arm lies to
	// the left, the mark turns by σφ.
	sin, cos := math.Sincos(c.side*(c.mark+phi) + math.Pi)
	k := c.side
	x := camSeries{e * cos, -k * e * sin, -e * cos / 2, k * e * sin / 6}
	y := camSeries{e * sin, k * e * cos, -e * sin / 2, -k * e * cos / 6}
	gx := x.scale(-1).add(c.pivot) // from the disc's centre to the pivot
	gg := gx.times(gx).plus(y.times(y))
	g := gg.sqrt()
	tilt := camAtan2(y, gx)
	var psi camSeries
	if c.kind == mech.Flat {
		// gx·sin ψ − y·cos ψ = R − f
		psi = camAsin(camSeries{a: c.disc.DiscRadius - c.face}.over(g)).plus(tilt)
	} else {
		rod := c.disc.DiscRadius + c.roller
		psi = camAcos(gg.add(c.arm*c.arm - rod*rod).over(g.scale(2 * c.arm))).plus(tilt)
	}
	return Lift{S: psi.a - c.rest, V: psi.b, A: 2 * psi.c, J: 6 * psi.d}
}

package solve

import (
	"cmp"
	"math"
	"slices"

	"understage/internal/mech"
)

// A measured rim gives radius r over γ. Where the follower touches the rim at γ,
// the cam's angle φ(γ) and the lift s(γ) follow in closed form; inverting φ(γ)
// gives the motion. Where the follower cannot enter a hollow, φ(γ) folds back
// and several places of the rim meet the follower at one φ: the highest is the
// true contact, and the follower bridges what lies between.

// camRim is the contact of a follower with a measured rim.
type camRim struct {
	c       *Cam
	profile []camPiece // radius over γ, periodic
	nodes   []camRimNode
	// Bridges are the stretches of γ that the follower never touches.
	bridges []camBridge
}

// camRimNode starts a stretch of contact, within one cubic of the profile.
type camRimNode struct {
	phi      float64 // cam angle where the stretch starts, in [0, 2π)
	phiTo    float64 // cam angle of to, which the stretch may end before
	turn     float64 // whole turns, in rad, from φ(γ) to the cam angle
	from, to float64 // γ over the stretch
	knot     int     // cubic of the profile
}

// camBridge is a hollow the follower spans: γ from one place of contact to the
// other, and the φ at which the contact passes from one to the other.
type camBridge struct {
	from, to float64
	phi      float64
}

// camRadii returns the least and the greatest radius of a rim, over all its
// cubics.
func camRadii(profile []camPiece) (least, greatest float64) {
	least, greatest = math.Inf(1), math.Inf(-1)
	for i, p := range profile {
		width := camPieceEnd(profile, i) - p.from
		turns := camQuadratic(3*p.c[3], 2*p.c[2], p.c[1]) // where the slope is 0
		for _, x := range [...]float64{0, turns[0], turns[1]} {
			if x >= 0 && x < width {
				radius := p.lift(p.from + x).S
				least, greatest = min(least, radius), max(greatest, radius)
			}
		}
	}
	return least, greatest
}

func camPieceEnd(pieces []camPiece, i int) float64 {
	if i+1 < len(pieces) {
		return pieces[i+1].from
	}
	return pieces[0].from + 2*math.Pi
}

// camQuadratic returns the real roots of ax² + bx + c, a stand-in of 0 for each
// that does not exist.
func camQuadratic(a, b, c float64) [2]float64 {
	disc := b*b - 4*a*c
	if disc < 0 {
		return [2]float64{}
	}
	q := -(b + math.Copysign(math.Sqrt(disc), b)) / 2
	var roots [2]float64
	if a != 0 {
		roots[0] = q / a
	}
	if q != 0 {
		roots[1] = c / q
	}
	return roots
}

// contact returns lift and cam angle, as series in γ, at which the follower
// touches the rim at γ on cubic i of the profile.
func (r *camRim) contact(i int, gamma float64) (lift, phi camSeries) {
	c := r.c
	v := r.profile[i].lift(gamma)
	radius := camSeries{v.S, v.V, v.A / 2, v.J / 6}
	slope := camSeries{v.V, v.A, v.J / 2, 0} // exact: the fourth derivative of a cubic is 0
	at := camSeries{gamma, 1, 0, 0}
	if c.kind == mech.Knife {
		return c.reach(radius, at)
	}
	// The normal leans back from the radius by the angle of (r, r').
	steep := radius.times(radius).plus(slope.times(slope)).sqrt()
	if c.kind == mech.Flat {
		support := radius.times(radius).over(steep)
		normal := at.minus(camAtan2(slope, radius))
		if c.path == mech.Straight {
			return support.add(-c.base), normal
		}
		lift = camAsin(support.add(-c.face).scale(1 / c.pivot)).add(-c.rest)
		return lift, normal.minus(lift.scale(c.side))
	}
	out := radius.plus(radius.over(steep).scale(c.roller))
	back := slope.over(steep).scale(c.roller)
	return c.reach(out.times(out).plus(back.times(back)).sqrt(), at.minus(camAtan2(back, out)))
}

// reach returns lift and cam angle at which the follower's tip or roller centre
// lies at the given distance from the cam's axis and the given angle past the
// mark.
func (c *Cam) reach(distance, angle camSeries) (lift, phi camSeries) {
	if c.path == mech.Straight {
		lift = distance.times(distance).add(-c.offset * c.offset).sqrt().add(-c.d)
		if c.offset == 0 {
			return lift, angle
		}
		return lift, angle.minus(camAsin(camSeries{a: c.offset}.over(distance)))
	}
	cos := distance.times(distance).scale(-1).add(c.pivot*c.pivot + c.arm*c.arm).scale(1 / (2 * c.pivot * c.arm))
	psi := camAcos(cos)
	x := cos.scale(-c.arm).add(c.pivot)
	y := cos.times(cos).scale(-1).add(1).sqrt().scale(c.arm)
	beta := camAtan2(y, x).scale(c.side).add(-c.mark)
	return psi.add(-c.rest), angle.plus(beta)
}

// lift evaluates the contact stretch i at φ.
func (r *camRim) lift(i int, phi float64) Lift {
	n := &r.nodes[i]
	var gamma float64
	switch {
	case phi <= n.phi:
		gamma = n.from
	case phi >= n.phiTo:
		gamma = n.to
	default:
		guess := n.from + (n.to-n.from)*(phi-n.phi)/(n.phiTo-n.phi)
		gamma = r.find(n.knot, n.from, n.to, guess, phi-n.turn)
	}
	return camByAngle(r.contact(n.knot, gamma))
}

// camRimRounds bounds the search for a contact; Newton's method needs three or
// four, bisection brings any bracket to rounding in the rest.
const camRimRounds = 60

// find returns γ between low and high, on one cubic, at which the cam's angle
// is φ; the nearer end where it is met nowhere between them. The search starts
// at a guess between the two.
func (r *camRim) find(knot int, low, high, gamma, phi float64) float64 {
	for range camRimRounds {
		_, at := r.contact(knot, gamma)
		miss := at.a - phi
		if miss > 0 {
			high = gamma
		} else {
			low = gamma
		}
		next := gamma - miss/at.b
		if !(next >= low && next <= high) {
			next = (low + high) / 2
		}
		if math.Abs(next-gamma) < 4e-16*(1+math.Abs(gamma)) || miss == 0 {
			break
		}
		gamma = next
	}
	return gamma
}

// newCamRim finds the contact of the compiled follower with the rim. It sets
// the cam's status when some of the rim is out of the follower's reach.
func newCamRim(c *Cam, profile []camPiece) *camRim {
	r := &camRim{c: c, profile: profile}
	cells, folded := r.cells()
	if !r.reachable() || len(cells) == 0 {
		c.Status, c.source = CamArm, camFromNothing
		return nil
	}
	if folded {
		r.follow(cells)
	} else {
		for _, cell := range cells {
			r.add(cell.phi0, cell, cell.from)
		}
	}
	slices.SortFunc(r.nodes, func(a, b camRimNode) int { return cmp.Compare(a.phi, b.phi) })
	return r
}

// add appends the stretch of contact that starts at φ with the given γ.
func (r *camRim) add(phi float64, cell camCell, from float64) {
	turns := 2 * math.Pi * math.Floor(phi/(2*math.Pi))
	r.nodes = append(r.nodes, camRimNode{phi: phi - turns, phiTo: cell.phi1 - turns, turn: cell.turn - turns, from: from, to: cell.to, knot: cell.knot})
}

// reachable reports whether a swinging follower spans the rim's greatest radius.
func (r *camRim) reachable() bool {
	if r.c.path != mech.Swing {
		return true
	}
	_, greatest := camRadii(r.profile)
	if r.c.kind == mech.Flat {
		return greatest-r.c.face < r.c.pivot
	}
	return greatest+r.c.roller < r.c.pivot+r.c.arm
}

// bend returns the rim's curvature and its slope by γ on cubic i:
// (r² + 2r'² − r·r”)/(r² + r'²)^(3/2).
func (r *camRim) bend(i int, gamma float64) (k, slope float64) {
	v := r.profile[i].lift(gamma)
	ll := v.S*v.S + v.V*v.V
	l3 := ll * math.Sqrt(ll)
	n := v.S*v.S + 2*v.V*v.V - v.S*v.A
	n1 := 2*v.S*v.V + 3*v.V*v.A - v.S*v.J
	return n / l3, (n1 - 3*n*v.V*(v.S+v.A)/ll) / l3
}

// judge fills the rim's own radii, in contact or not. Angles are those of the
// rim from the mark.
func (r *camRim) judge(out *CamResult) {
	most, least := CamAt{math.Inf(-1), 0}, CamAt{math.Inf(1), 0}
	keep := func(k, gamma float64) {
		if k > most.Value {
			most = CamAt{k, gamma}
		}
		if k < least.Value {
			least = CamAt{k, gamma}
		}
	}
	for i, p := range r.profile {
		end := camPieceEnd(r.profile, i)
		before, slope := p.from, 0.0
		for j := range 2*camKnotCells + 1 {
			gamma := p.from + (end-p.from)*float64(j)/(2*camKnotCells)
			k, now := r.bend(i, gamma)
			keep(k, gamma)
			if j > 0 && slope*now < 0 {
				at := camSwitch(before, gamma, func(g float64) bool {
					_, s := r.bend(i, g)
					return s*slope > 0
				})
				k, _ := r.bend(i, at)
				keep(k, at)
			}
			before, slope = gamma, now
		}
	}
	if most.Value > 0 {
		out.LeastConvex = CamAt{1 / most.Value, camReduce(most.Angle)}
	}
	if least.Value < 0 {
		out.LeastHollow = CamAt{-1 / least.Value, camReduce(least.Angle)}
	}
	for _, b := range r.bridges {
		width := b.to - b.from
		width -= 2 * math.Pi * math.Floor(width/(2*math.Pi))
		out.Bridges = append(out.Bridges, CamAt{width, b.phi})
	}
}

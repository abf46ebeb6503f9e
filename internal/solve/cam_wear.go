package solve

import (
	"math"

	"understage/internal/mech"
	"understage/internal/standard"
)

// Wear by Archard's law, worn volume V = k·N·s. The contact passes a place of
// the cam once a turn and there rubs off the depth
//
//	δ = k·(N/b)·(sliding speed)/(speed at which the contact runs over the cam)
//
// b is the width of contact. Under a knife the quotient of speeds is 1; under a
// flat face the contact slides Rb + s per radian while it runs ρ over the rim.
// A flat face is worn over all of its reach together, so its depth is the mean.
// A roller rolls; the wear is in its bore, which loses k·N·π/b of depth per turn
// of the roller whatever its pin's diameter. Published wear rates spread over a
// decade and more: an order of magnitude, never a figure to rely on.

// CamWear is how fast cam and follower wear.
type CamWear struct {
	Depth         float64 // mm at which a part is worn out
	Cam, Follower CamWearRate
	Rolls         bool // the follower rolls: the cam hardly wears, the follower in its bore
}

// CamWearRate is the wear of one part.
type CamWearRate struct {
	Known     bool
	Missing   string  // what is not known
	Low, High float64 // mm of depth per hour of running
	Own       bool    // by the maker's own wear rate
	Source    string  // of the wear rate
	At        float64 // φ where the cam wears most
}

// Hours returns the running time in hours until the depth, from the high and
// from the low end of the wear rate; +Inf for none.
func (w CamWearRate) Hours(depth float64) (least, most float64) {
	return depth / w.High, depth / w.Low
}

// wear finds the wear from the greatest of N times the slip.
func (t *camLoadTurn) wear(worst CamAt) CamWear {
	c := t.c
	load := &c.cam.Load
	out := CamWear{Depth: load.WearDepth.Or(standard.WearDepth), Rolls: c.kind == mech.Roller}
	out.Cam = wearRate(load.WearRate, load.Material, load.FollowerMaterial, "cam")
	out.Follower = wearRate(load.FollowerWearRate, load.FollowerMaterial, load.Material, "follower")
	width := c.cam.Thickness
	if t.speed <= 0 || width <= 0 {
		out.Cam.lose("thickness of the cam, or its speed")
		out.Follower.lose("thickness of the cam, or its speed")
		return out
	}
	if out.Rolls {
		out.Cam.lose("sliding, for the roller rolls")
	}
	if c.kind == mech.Knife {
		out.Follower.lose("shape of the knife's edge, which blunts")
	}
	// mm³/(N·m) per 1000 is mm³/(N·mm); turns per hour from rad/s.
	hourly := t.speed / (2 * math.Pi) * 3600 / 1000 / width
	out.Cam.scale(worst.Value * hourly)
	out.Cam.At = worst.Angle
	if !out.Follower.Known {
		return out
	}
	way := c.slide
	if out.Rolls {
		way = c.travel
	}
	// N·mm per turn.
	rubbed := t.integral(func(s *camStretch, l Lift) float64 {
		return t.p.Force(l, t.speed, s.direction, false).Normal * way(l)
	})
	if out.Rolls {
		// The bore slides π·pin per turn of the roller, over a width of one pin.
		out.Follower.scale(rubbed / (2 * math.Pi * c.roller) * math.Pi * hourly)
	} else {
		reach := c.search(camReach, camReach).extent[camReach]
		out.Follower.scale(rubbed / max(reach.Max.Value-reach.Min.Value, math.SmallestNonzeroFloat64) * hourly)
	}
	return out
}

func wearRate(own mech.Given, material, partner, what string) CamWearRate {
	if own.OK {
		return CamWearRate{Known: true, Low: own.Value, High: own.Value, Own: true, Source: "the maker's own figure"}
	}
	if material == "" || partner == "" {
		return CamWearRate{Missing: "materials of cam and follower, or wear_rate"}
	}
	w, ok := standard.FindWear(material, partner)
	if !ok {
		return CamWearRate{Missing: "wear rate of the " + what + ": none is published here for " + material + " on " + partner + "; measure one and give it as wear_rate"}
	}
	return CamWearRate{Known: true, Low: w.Low, High: w.High, Source: w.Source + " (" + w.Condition + ")"}
}

// scale turns a wear rate into a depth rate, which must come out finite.
func (w *CamWearRate) scale(k float64) {
	if !w.Known {
		return
	}
	if !(k > 0) || math.IsInf(k, 0) {
		w.lose("fair rim, a force and a follower that does not jam")
		return
	}
	w.Low *= k
	w.High *= k
}

func (w *CamWearRate) lose(missing string) { *w = CamWearRate{Missing: missing} }

// slide is how far the two surfaces slide on each other per radian, mm.
func (c *Cam) slide(l Lift) float64 {
	switch {
	case c.kind == mech.Flat && c.path == mech.Straight:
		return math.Abs(c.base + l.S)
	case c.kind == mech.Flat:
		return math.Abs(c.pivot*math.Sin(c.rest+l.S) + c.face + c.side*l.V*c.face)
	}
	return c.travel(l) // a knife's edge stays where it is
}

// travel is how far the contact runs over the cam per radian, mm.
func (c *Cam) travel(l Lift) float64 {
	switch {
	case c.path == mech.Axial:
		return math.Hypot(c.track, l.V)
	case c.kind == mech.Flat && c.path == mech.Straight:
		return math.Abs(c.base + l.S + l.A)
	case c.kind == mech.Flat:
		return math.Abs(c.ContactAt(0, l).Radius * (1 + c.side*l.V))
	}
	// Over the pitch curve L per radian, over the rim ρ/(ρ + Rf) of that.
	var pitch float64
	if c.path == mech.Swing {
		u := 1 + c.side*l.V
		sin, cos := math.Sincos(c.rest + l.S)
		pitch = math.Hypot(c.pivot-c.arm*u*cos, c.arm*u*sin)
	} else {
		pitch = math.Hypot(c.d+l.S, l.V-c.offset)
	}
	radius := c.ContactAt(0, l).Radius
	if c.roller == 0 || math.IsInf(radius, 0) {
		return pitch
	}
	return math.Abs(pitch * radius / (radius + c.roller))
}

// slip is the quotient of the two: how far the surfaces slide while the contact
// runs over a millimetre of the cam.
func (c *Cam) slip(l Lift) float64 {
	if c.kind == mech.Roller {
		return 0
	}
	return c.slide(l) / c.travel(l)
}

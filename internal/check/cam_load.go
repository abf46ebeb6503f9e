package check

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"understage/internal/mech"
)

// dropFinding asks whether a dropped follower lands before the cam rises again.
func (c *camCase) dropFinding() (Finding, bool) {
	d := c.r.Load.Drop
	if d == nil {
		return Finding{}, false
	}
	f := c.finding("drop")
	f.Unit, f.Limit = "deg", known(camDegrees(d.Clear))
	edge := ""
	if c.kind() != mech.Knife {
		edge = "; the edge it leaves must be cut back for a " + c.kind().String() + " follower, which comes off it later than a knife"
	}
	if !d.Known {
		f.Severity = Unknown
		f.Message = fmt.Sprintf("give the follower's mass, and a spring or vertical: yes, to know how long the drop of %.3g mm takes", d.Height) + edge
		return f, true
	}
	f.Value = known(camDegrees(d.Turned))
	f.Message = fmt.Sprintf("the follower drops %.3g mm in %.0f ms, while the cam turns %.3g deg, and lands at %.0f mm/s", d.Height, 1000*d.Time, camDegrees(d.Turned), d.Speed)
	if d.Turned > d.Clear {
		f.Severity = Caution
		f.Message += fmt.Sprintf("; the cam has risen again after %.3g deg: slow it, add a spring or a dwell", camDegrees(d.Clear))
	}
	f.Message += edge
	return f, true
}

// guideFinding asks whether the guide locks.
func (c *camCase) guideFinding() (Finding, bool) {
	const rule = "guide_jamming"
	f := c.finding(rule)
	load, most := &c.r.Load, limit(c.m, rule)
	switch {
	case c.r.Swings:
		return Finding{}, false
	case !c.cam.Load.GuideLength.OK && c.cam.Follower == nil:
		return Finding{}, false // the torso shaft has no guide
	case !load.Guided:
		f.Severity = Unknown
		f.Message = "give guide: {length, overhang} and what presses the follower down, to know whether it locks"
		return f, true
	}
	at := camDegrees(load.Guide.Angle)
	f.Value, f.Limit = known(load.Guide.Value), known(most)
	switch {
	case load.Jams:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the follower locks in its guide at %.1f deg: lengthen the guide, shorten the overhang, grease it or lower the pressure angle", at)
	case load.Guide.Value > most:
		f.Severity = Caution
		f.Message = fmt.Sprintf("friction in the guide takes %.0f %% of the push at %.1f deg: lengthen the guide, shorten the overhang or grease it", 100*load.Guide.Value, at)
	default:
		f.Message = fmt.Sprintf("friction in the guide takes at most %.0f %% of the push", 100*load.Guide.Value)
	}
	if load.Assumed {
		f.Message += "; with a friction that is assumed, since none is given"
	}
	return f, true
}

// floatFinding asks whether the follower stays down.
func (c *camCase) floatFinding() (Finding, bool) {
	const rule = "float"
	if c.cam.Follower == nil {
		return Finding{}, false // what holds the torso against a cam's rim is the torso's business
	}
	f := c.finding(rule)
	load := &c.r.Load
	if !load.Known || !load.Mass {
		f.Severity = Unknown
		f.Message = "give the follower's mass and what presses it down (spring, force or its weight), to know whether it stays on the cam"
		if load.Known {
			f.Message = "give the follower's mass, to know the speed at which it leaves the cam"
		}
		return f, true
	}
	most := limit(c.m, rule)
	f.Limit = known(most)
	share := load.Speed / load.Float
	if load.Float == 0 {
		f.Severity = Fail
		f.Message = fmt.Sprintf("nothing holds the follower down at %.1f deg: add a spring, or let it stand so that its weight does", camDegrees(load.FloatAt))
		return f, true
	}
	f.Value = known(share)
	rpm := load.Float * 30 / math.Pi
	f.Message = fmt.Sprintf("the follower stays on the cam up to %.3g rpm", rpm)
	if math.IsInf(load.Float, 1) {
		f.Value, f.Message = known(0), "no speed lifts the follower off the cam"
	}
	if share > most {
		f.Severity = Fail
		f.Message = fmt.Sprintf("the follower leaves the cam at %.1f deg above %.3g rpm: strengthen the spring, take off mass or slow the shaft", camDegrees(load.FloatAt), rpm)
	}
	return f, true
}

// contactFinding compares the contact pressure with the weaker material.
func (c *camCase) contactFinding() (Finding, bool) {
	const rule = "contact_pressure"
	if c.cam.Follower == nil {
		return Finding{}, false
	}
	f := c.finding(rule)
	k := &c.r.Load.Contact
	most := limit(c.m, rule)
	switch {
	case !k.Known:
		f.Severity = Unknown
		missing := k.Missing
		if missing == "" {
			missing = "force that presses the follower down"
		}
		f.Message = "the contact pressure is unknown for want of the " + missing
	case !k.Strength.OK:
		f.Severity = Unknown
		f.Value, f.Unit = known(k.Pressure.Value), "MPa"
		f.Message = fmt.Sprintf("the contact presses with %.3g MPa at %.1f deg, but no strength is published here for either material", k.Pressure.Value, camDegrees(k.Pressure.Angle))
	default:
		f.Value, f.Limit, f.Unit = known(k.Pressure.Value), known(most*k.Strength.Value), "MPa"
		f.Message = fmt.Sprintf("the contact presses with %.3g MPa", k.Pressure.Value)
		if k.Pressure.Value > most*k.Strength.Value {
			f.Severity = Fail
			f.Message = fmt.Sprintf("the contact presses with %.3g MPa at %.1f deg: thicken the cam, enlarge the roller, ease the spring or take a stronger material", k.Pressure.Value, camDegrees(k.Pressure.Angle))
		}
	}
	return f, true
}

// wearFinding asks how long cam and follower last.
func (c *camCase) wearFinding() (Finding, bool) {
	const rule = "wear"
	if c.cam.Follower == nil {
		return Finding{}, false
	}
	f := c.finding(rule)
	f.Unit = "h"
	w := &c.r.Load.Wear
	least, part := math.Inf(1), ""
	var lacks []string
	for _, p := range []struct {
		name  string
		known bool
		lacks string
		hours float64
	}{
		{"cam", w.Cam.Known, w.Cam.Missing, w.Depth / w.Cam.High},
		{"follower", w.Follower.Known, w.Follower.Missing, w.Depth / w.Follower.High},
	} {
		if p.known && p.hours < least {
			least, part = p.hours, p.name
		}
		if !p.known && p.lacks != "" && !(p.name == "cam" && w.Rolls) {
			lacks = append(lacks, p.name+": "+p.lacks)
		}
	}
	switch {
	case !c.r.Load.Known:
		f.Severity = Unknown
		f.Message = "give what presses the follower down and both materials, to know about when cam and follower are worn"
		return f, true
	case part == "":
		f.Severity = Unknown
		f.Message = "wear is unknown for want of: " + strings.Join(lacks, "; ")
		return f, true
	}
	hours := limit(c.m, rule) / 3600
	f.Value, f.Limit = known(least), known(hours)
	f.Message = fmt.Sprintf("the %s loses %.3g mm in about %s h at the soonest, by order of magnitude", part, w.Depth, camOrder(least))
	if least < hours {
		f.Severity = Caution
		f.Message += ": take another pair of materials, a thicker cam, less force or a roller"
	}
	if len(lacks) > 0 {
		f.Severity = max(f.Severity, Unknown)
		f.Message += " (unknown for the " + strings.Join(lacks, "; ") + ")"
	}
	return f, true
}

// camOrder writes a number of which only the size matters: two digits, plainly.
func camOrder(v float64) string {
	if v <= 0 || math.IsInf(v, 0) {
		return fmt.Sprint(v)
	}
	unit := math.Pow(10, math.Floor(math.Log10(v))-1)
	return strconv.FormatFloat(math.Round(v/unit)*unit, 'f', max(0, -int(math.Floor(math.Log10(unit)))), 64)
}

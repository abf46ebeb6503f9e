package spec

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/units"
)

// turn is one turn, rad.
const turn = 2 * math.Pi

// Tolerances of closing: the fault a maker cannot have meant, and far below
// what a follower can show.
const (
	turnSlack = 1e-6 // rad, of the segments' sum from one turn
	liftSlack = 1e-6 // mm or rad, of the rises from the falls
)

// motion reads the segments of a motion, which fill one turn and come back.
func (d *decoder) motion(p *place, lift units.Dimension) []mech.Segment {
	items := d.items(p)
	var segments []mech.Segment
	faults := len(d.msgs)
	var over, up, down float64
	for i := range items {
		s := d.segment(&items[i], lift)
		segments = append(segments, s)
		over += s.Over
		up += max(s.Rise, 0)
		down -= min(s.Rise, 0)
	}
	d.atLeast(p, len(items), 1, "segment")
	if len(items) == 0 || len(d.msgs) > faults {
		return segments // what did not read well cannot be summed
	}
	if short := turn - over; math.Abs(short) > turnSlack {
		d.sayAt(p.at, p, fmt.Sprintf("segments that fill %s of the turn, %s", degrees(over), tooMuch(-short, "too short", "too long", degrees)),
			"segments that fill 360 deg", "")
	}
	if left := up - down; math.Abs(left) > liftSlack {
		show := d.lengthText
		if lift == units.Angle {
			show = degrees
		}
		d.sayAt(p.at, p, fmt.Sprintf("a motion that does not close: it rises %s and falls %s, %s", show(up), show(down),
			tooMuch(left, "too low at the end", "too high at the end", show)), "rises and falls of the same sum", "")
	}
	return segments
}

// tooMuch says by how much a sum misses, and which way.
func tooMuch(excess float64, below, above string, show func(float64) string) string {
	if excess < 0 {
		return show(-excess) + " " + below
	}
	return show(excess) + " " + above
}

func degrees(rad float64) string { return fmt.Sprintf("%.6g deg", rad*180/math.Pi) }

// lengthText writes a length in the spec's own unit.
func (d *decoder) lengthText(mm float64) string {
	if d.units.Inches {
		return fmt.Sprintf("%.6g in", mm/25.4)
	}
	return fmt.Sprintf("%.6g mm", mm)
}

func (d *decoder) segment(p *place, lift units.Dimension) mech.Segment {
	f, ok := d.open(p)
	if !ok {
		return mech.Segment{}
	}
	s := mech.Segment{Law: mech.Law(f.word("law"))}
	kinds := 0
	for _, key := range []string{"rise", "fall", "dwell"} {
		if f.has(key) {
			kinds++
		} else {
			f.child(key)
		}
	}
	if kinds != 1 {
		d.sayAt(f.at, p, fmt.Sprintf("a segment with %d of rise, fall and dwell", kinds), "one of them", "")
		return s
	}
	if f.has("dwell") {
		s.Over = f.number("dwell")
		f.refuse("over", "over beside dwell", "dwell alone, which says the angle itself")
		f.refuse("law", "a law for a dwell", "dwell alone")
		return s
	}
	s.Over = f.needed("over")
	if f.has("rise") {
		s.Rise = f.numberOf("rise", lift)
	} else {
		s.Rise = -f.numberOf("fall", lift)
	}
	return s
}

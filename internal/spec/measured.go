package spec

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/units"
)

// measured reads a rim as measured: radii at even steps, or a file of them.
func (d *decoder) measured(p *place) []mech.Point {
	f, ok := d.open(p)
	if !ok {
		return nil
	}
	inline := f.has("every") || f.has("radii")
	switch {
	case inline && f.has("file"):
		f.refuse("file", "both radii and a file", "one of them")
		return nil
	case f.has("file"):
		return d.rimFile(f.child("file"))
	}
	for _, key := range []string{"every", "radii"} {
		if !f.has(key) {
			f.missing(key)
		}
	}
	if !f.has("radii") {
		return nil
	}
	every := f.number("every")
	items := d.items(f.child("radii"))
	rim := make([]mech.Point, 0, len(items))
	for i := range items {
		r, _ := d.quantity(&items[i], units.Length, Positive)
		rim = append(rim, mech.Point{Angle: float64(i) * every, Value: r})
	}
	d.atLeast(f.child("radii"), len(items), 3, "radius")
	if filled := float64(len(items)) * every; every > 0 && len(items) > 2 && math.Abs(filled-turn) > turnSlack*float64(len(items)) {
		d.say(f.child("radii"), fmt.Sprintf("%d radii every %s, which fill %s of the turn", len(items), degrees(every), degrees(filled)),
			"radii that fill 360 deg", "")
	}
	return rim
}

// rimFile reads a CSV file with the columns angle and radius.
func (d *decoder) rimFile(p *place) []mech.Point {
	rows, ok := d.table(p, []string{"angle", "radius"}, 2)
	if !ok {
		return nil
	}
	faults := len(d.msgs)
	rim := make([]mech.Point, 0, len(rows))
	for _, row := range rows {
		a, okA := row.quantity(d, 0, units.Angle, Any)
		r, _ := row.quantity(d, 1, units.Length, Positive)
		if okA && (a < 0 || a >= turn) {
			row.say(d, 0, "found "+quoted(row.cells[0]), "an angle from 0 deg to below 360 deg")
		} else if n := len(rim); okA && n > 0 && a <= rim[n-1].Angle {
			row.say(d, 0, risingFault(a, rim[n-1].Angle), "angles that rise from row to row")
		}
		rim = append(rim, mech.Point{Angle: a, Value: r})
	}
	if len(d.msgs) > faults {
		return nil
	}
	if len(rim) < 3 {
		d.say(p, "found "+counted(len(rim), "row", "rows")+" in "+quoted(p.node.text), "at least 3", "")
		return nil
	}
	d.rimGaps(rim, rows)
	return rim
}

// rimGaps refuses a hole in the measuring: a step much wider than both its
// neighbours. Readings may be close where the rim is lively and far apart where
// it is round, so the steps beside it decide, not the average.
func (d *decoder) rimGaps(rim []mech.Point, rows []tableRow) {
	const wide = 1.75 // of a neighbour's step; a forgotten reading gives 2
	n := len(rim)
	step := func(i int) float64 {
		i = (i + n) % n
		if i == n-1 {
			return rim[0].Angle + turn - rim[i].Angle
		}
		return rim[i+1].Angle - rim[i].Angle
	}
	for i := range n {
		if s := step(i); s > wide*max(step(i-1), step(i+1)) || s >= turn/2 {
			next := rim[(i+1)%n].Angle
			rows[i].say(d, 0, fmt.Sprintf("a gap of %s after this row: nothing between %s and %s", degrees(s), degrees(rim[i].Angle), degrees(next)),
				"a reading there")
		}
	}
}

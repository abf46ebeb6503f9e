package spec

import "understage/internal/mech"

// driven refuses shafts that the motor does not reach through toothed belts and
// gears. Without a motor nothing turns and nothing is refused.
func (d *decoder) driven() {
	if d.m.Motor == nil || d.m.Motor.Shaft == mech.None {
		return
	}
	reached := make([]bool, len(d.m.Shafts))
	reached[d.m.Motor.Shaft] = true
	for more := true; more; {
		more = false
		for i := range d.m.Belts {
			more = spread(reached, toothed(&d.m.Belts[i])) || more
		}
		for _, g := range d.m.Gears {
			more = spread(reached, []int{g.Driver.Shaft, g.Driven.Shaft}) || more
		}
	}
	for i, ok := range reached {
		if ok {
			continue
		}
		p := d.find("drive", "shafts", d.shaftNames[i])
		if p == nil {
			p = d.root
		}
		hint := ""
		if d.plainOnly(i) {
			hint = "a plain pulley turns no shaft; give it teeth"
		}
		d.sayAt(p.at, p, "shaft "+quoted(d.shaftNames[i])+" is driven by nothing", "a toothed belt or a pair of gears that leads to the motor", hint)
	}
}

// spread marks all shafts of a group when one of them is marked, and reports
// whether that was news.
func spread(reached []bool, group []int) bool {
	any, all := false, true
	for _, s := range group {
		if s != mech.None {
			any, all = any || reached[s], all && reached[s]
		}
	}
	if !any || all {
		return false
	}
	for _, s := range group {
		if s != mech.None {
			reached[s] = true
		}
	}
	return true
}

// toothed lists the shafts that a belt turns.
func toothed(b *mech.Belt) []int {
	var shafts []int
	for _, u := range b.Run {
		if u.Shaft != mech.None && u.Teeth > 0 {
			shafts = append(shafts, u.Shaft)
		}
	}
	return shafts
}

func (d *decoder) plainOnly(shaft int) bool {
	for i := range d.m.Belts {
		for _, u := range d.m.Belts[i].Run {
			if u.Shaft == shaft && u.Teeth == 0 {
				return true
			}
		}
	}
	return false
}

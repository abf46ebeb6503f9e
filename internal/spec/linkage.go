package spec

import (
	"fmt"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// chain is a linkage while it is read.
type chain struct {
	*mech.Linkage
	pinNames   []string
	plateNames []string
}

func (d *decoder) linkages(p *place) {
	for _, q := range d.parts(p) {
		d.linkage(&q)
	}
}

func (d *decoder) linkage(p *place) {
	c := chain{Linkage: &mech.Linkage{Name: p.key}}
	if f, ok := d.open(p); ok {
		c.View = geom.View(f.word("view"))
		c.Level = f.given("level")
		c.BarWidth, c.BarThickness = f.given("bar_width"), f.given("bar_thickness")
		c.PinDiameter, c.PinRub = f.given("pin_diameter"), f.friction("pin_friction")
		pins := f.child("pins")
		if pins == nil {
			f.missing("pins")
		}
		for _, q := range d.parts(pins) {
			c.Pins = append(c.Pins, d.pin(&q, &c))
			c.pinNames = append(c.pinNames, q.key)
			d.oneSpot(&q, &c)
		}
		for _, q := range d.items(f.child("bars")) {
			d.bar(&q, &c)
		}
		for _, q := range d.parts(f.child("plates")) {
			d.plate(&q, &c)
		}
		d.plateMasses(f.child("plate_mass"), &c)
		for _, q := range d.items(f.child("slots")) {
			d.slot(&q, &c)
		}
		d.starts(f.child("start"), &c)
		for _, q := range d.parts(f.child("points")) {
			c.Points = append(c.Points, d.linkagePoint(&q, &c))
		}
	}
	d.m.Linkages = append(d.m.Linkages, *c.Linkage)
}

// oneSpot refuses a fixed pin on the spot of another.
func (d *decoder) oneSpot(p *place, c *chain) {
	last := len(c.Pins) - 1
	pin := &c.Pins[last]
	at := p.node.find("at")
	if p.node.kind != mapKind || at < 0 || pin.Kind != mech.FixedPin {
		return
	}
	for i := range c.Pins[:last] {
		if other := &c.Pins[i]; other.Kind == mech.FixedPin && other.At == pin.At {
			d.say(p, fmt.Sprintf("a fixed pin on the spot of %s", quoted(other.Name)), "one fixed pin to a spot", "")
			return
		}
	}
}

// bar reads [pin, pin, length] or [pin, pin, length, mass], or a mapping with
// the same and more.
func (d *decoder) bar(p *place, c *chain) {
	b := mech.Bar{Pins: [2]int{mech.None, mech.None}}
	switch p.node.kind {
	case listKind:
		if n := len(p.node.items); n != 3 && n != 4 {
			d.say(p, "found a list of "+counted(n, "entry", "entries"), "[pin, pin, length] or [pin, pin, length, mass]", "")
			return
		}
		for i := range b.Pins {
			q := place{node: p.node.items[i], schema: p.schema, up: p, index: i}
			b.Pins[i] = d.referenceAt(&q, "pin", c.pinNames)
		}
		length := p.schema.kids["length"]
		q := place{node: p.node.items[2], schema: length, up: p, index: 2}
		b.Length, _ = d.quantity(&q, length.key.Dimension, length.key.Bound)
		if len(p.node.items) == 4 {
			mass := p.schema.kids["mass"]
			q := place{node: p.node.items[3], schema: mass, up: p, index: 3}
			b.Mass.Value, b.Mass.OK = d.quantity(&q, mass.key.Dimension, mass.key.Bound)
		}
	case mapKind:
		f, _ := d.open(p)
		b.Pins = d.twoPins(f, "pins", c)
		b.Length = f.number("length")
		b.Mass, b.Level = f.given("mass"), f.given("level")
	default:
		d.say(p, "found "+p.found(), "[pin, pin, length]", "")
		return
	}
	d.checkBar(p, &b, c)
	c.Bars = append(c.Bars, b)
}

func (d *decoder) checkBar(p *place, b *mech.Bar, c *chain) {
	if b.Pins[0] == mech.None || b.Pins[1] == mech.None {
		return
	}
	if b.Pins[0] == b.Pins[1] {
		d.say(p, "a bar from pin "+quoted(c.pinNames[b.Pins[0]])+" to itself", "two pins", "")
	}
	for _, other := range c.Bars {
		if other.Pins == b.Pins || other.Pins == [2]int{b.Pins[1], b.Pins[0]} {
			d.say(p, fmt.Sprintf("a second bar between %s and %s", quoted(c.pinNames[b.Pins[0]]), quoted(c.pinNames[b.Pins[1]])), "one bar between two pins", "")
			return
		}
	}
}

// twoPins reads a list of two pins.
func (d *decoder) twoPins(f fields, key string, c *chain) [2]int {
	pins := [2]int{mech.None, mech.None}
	p := f.child(key)
	if p == nil {
		f.missing(key)
		return pins
	}
	items := d.items(p)
	if len(items) != 2 {
		if p.node.kind == listKind {
			d.say(p, "found a list of "+counted(len(items), "entry", "entries"), "two pins", "")
		}
		return pins
	}
	for i := range items {
		pins[i] = d.referenceAt(&items[i], "pin", c.pinNames)
	}
	if pins[0] == pins[1] && pins[0] != mech.None {
		d.say(p, "the same pin twice", "two pins", "")
		pins[1] = mech.None
	}
	return pins
}

func (d *decoder) plate(p *place, c *chain) {
	plate := mech.Plate{Name: p.key}
	parts := d.parts(p)
	for i := range parts {
		q := &parts[i]
		at, ok := d.pairAt(q, q.schema.key.Dimension)
		pin := indexOf(c.pinNames, q.key)
		if pin == mech.None {
			d.sayAt(q.at, q, "no pin "+quoted(q.key), "one of the linkage's pins", suggest(q.key, c.pinNames))
			continue
		}
		for _, other := range plate.Pins {
			if ok && other.At == at {
				d.say(q, fmt.Sprintf("pin %s on the spot of %s", quoted(q.key), quoted(c.pinNames[other.Pin])), "pins apart from each other", "")
			}
		}
		plate.Pins = append(plate.Pins, mech.PlatePin{Pin: pin, At: at})
	}
	if p.node.kind == mapKind && len(parts) < 3 {
		d.sayAt(p.at, p, "found "+counted(len(parts), "pin", "pins"), "three or more; two pins make a bar", "")
	}
	c.Plates = append(c.Plates, plate)
	c.plateNames = append(c.plateNames, p.key)
}

func (d *decoder) plateMasses(p *place, c *chain) {
	parts := d.parts(p)
	for i := range parts {
		q := &parts[i]
		at := indexOf(c.plateNames, q.key)
		if at == mech.None {
			d.sayAt(q.at, q, "no plate "+quoted(q.key), "one of the linkage's plates", suggest(q.key, c.plateNames))
			continue
		}
		v, ok := d.quantity(q, q.schema.key.Dimension, q.schema.key.Bound)
		c.Plates[at].Mass = mech.Given{Value: v, OK: ok}
	}
}

func (d *decoder) slot(p *place, c *chain) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	s := mech.Slot{Pin: f.reference("pin", "pin", c.pinNames), Line: d.twoPins(f, "bar", c)}
	d.rigid(f.child("bar"), s.Line, c)
	if s.Pin != mech.None && (s.Pin == s.Line[0] || s.Pin == s.Line[1]) {
		d.say(f.child("pin"), "a pin in a slot through itself", "a third pin", "")
	}
	c.Slots = append(c.Slots, s)
}

// rigid refuses two pins that no bar or plate joins.
func (d *decoder) rigid(p *place, pins [2]int, c *chain) {
	if p == nil || pins[0] == mech.None || pins[1] == mech.None {
		return
	}
	for _, b := range c.Bars {
		if b.Pins == pins || b.Pins == [2]int{pins[1], pins[0]} {
			return
		}
	}
	for _, plate := range c.Plates {
		if _, ok := plateAt(&plate, pins[0]); ok {
			if _, ok := plateAt(&plate, pins[1]); ok {
				return
			}
		}
	}
	d.say(p, fmt.Sprintf("no bar or plate from %s to %s", quoted(c.pinNames[pins[0]]), quoted(c.pinNames[pins[1]])), "two pins of one bar or plate", "")
}

func plateAt(plate *mech.Plate, pin int) (r2.Vec, bool) {
	for _, q := range plate.Pins {
		if q.Pin == pin {
			return q.At, true
		}
	}
	return r2.Vec{}, false
}

func (d *decoder) starts(p *place, c *chain) {
	parts := d.parts(p)
	for i := range parts {
		q := &parts[i]
		at, ok := d.pairAt(q, q.schema.key.Dimension)
		pin := indexOf(c.pinNames, q.key)
		switch {
		case pin == mech.None:
			d.sayAt(q.at, q, "no pin "+quoted(q.key), "one of the linkage's pins", suggest(q.key, c.pinNames))
		case c.Pins[pin].Kind != mech.FreePin && c.Pins[pin].Kind != mech.SlidePin:
			d.sayAt(q.at, q, "a start for pin "+quoted(q.key)+", which stands where its own keys say", "a free or sliding pin", "")
		default:
			c.Pins[pin].Start, c.Pins[pin].StartGiven = at, ok
		}
	}
}

package spec

import "understage/internal/diag"

// unread looks over a spec that has faults for more of them in values that the
// decoder had no reason to read, such as the base of a cam without a shape: a
// maker who mends a file sees everything wrong with it at once. Places that
// have a message already are left alone.
func (d *decoder) unread(p *place) {
	faulty := make(map[diag.Pos]bool, len(d.msgs))
	for _, m := range d.msgs {
		faulty[m.Pos] = true
	}
	before := len(d.msgs)
	d.look(p, faulty)
	kept := d.msgs[:before]
	for _, m := range d.msgs[before:] {
		if !faulty[m.Pos] {
			faulty[m.Pos] = true
			kept = append(kept, m)
		}
	}
	d.msgs = kept
}

// look checks the form of a value, and of all below it, by the key table alone.
func (d *decoder) look(p *place, faulty map[diag.Pos]bool) {
	key := &p.schema.key
	switch {
	case p.schema == unknownKeys:
		return
	case key.MayBe != "" && p.node.kind != mapKind, key.Path == "limits.NAME":
		return // a form of its own
	}
	switch key.Kind {
	case Mapping, Named:
		d.lookBelow(p, faulty)
	case List:
		if faulty[p.node.pos] {
			return // too long or short, so its entries are not what they seem
		}
		for _, item := range d.items(p) {
			d.look(&item, faulty)
		}
	case Quantity:
		if !dependent[key.Path] {
			d.quantity(p, key.Dimension, key.Bound)
		}
	case Whole:
		d.wholeAt(p)
	case Pair:
		if !dependent[key.Path] {
			d.pairAt(p, key.Dimension)
		}
	case Triple:
		d.tripleAt(p)
	case Word, Flag, Text:
		d.scalar(p)
	}
}

func (d *decoder) lookBelow(p *place, faulty map[diag.Pos]bool) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	for i := range f.node.entries {
		e := &f.node.entries[i]
		s, _ := p.schema.child(e.key)
		d.look(&place{node: e.value, schema: s, at: e.pos, up: p, key: e.key, index: -1}, faulty)
	}
}

// dependent are the keys whose dimension other keys decide.
var dependent = map[string]bool{
	"cams.NAME.waves.N.amplitude": true,
	"cams.NAME.motion.N.rise":     true,
	"cams.NAME.motion.N.fall":     true,
	"cams.NAME.through.N":         true,
}

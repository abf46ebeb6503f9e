package spec

import (
	"understage/internal/mech"
	"understage/internal/standard"
	"understage/internal/units"
)

// frictionKeys describes a contact's friction at a path: a number, or a mapping.
func frictionKeys(path, what string) []Key {
	return []Key{
		{Path: path, Kind: Mapping, MayBe: "text", Example: "{materials: [pom, steel]}", Meaning: "Friction " + what + ": the coefficient while sliding, as a number, or a mapping."},
		{Path: path + ".sliding", Kind: Quantity, Dimension: units.Number, Bound: NotNegative, Default: "the upper value published for the two materials", Example: "0.2", Meaning: "Coefficient while sliding."},
		{Path: path + ".static", Kind: Quantity, Dimension: units.Number, Bound: NotNegative, Default: "published for the two materials, or sliding times motor.breakaway", Example: "0.3", Meaning: "Coefficient when breaking away from rest."},
		{Path: path + ".materials", Kind: List, Example: "[pom, steel]", Meaning: "The two materials that rub, as the friction table names them."},
		{Path: path + ".materials.N", Kind: Text, Example: "pom", Meaning: "One of them."},
	}
}

// friction reads how a contact rubs.
func (f fields) friction(key string) mech.Rub {
	var r mech.Rub
	p := f.child(key)
	if p == nil {
		return r
	}
	if p.node.kind == scalarKind {
		v, ok := f.d.quantity(p, units.Number, NotNegative)
		r.Sliding = mech.Given{Value: v, OK: ok}
		return r
	}
	g, ok := f.d.open(p)
	if !ok {
		return r
	}
	r.Sliding, r.Static = g.given("sliding"), g.given("static")
	if r.Sliding.OK && r.Static.OK && r.Static.Value < r.Sliding.Value {
		f.d.say(g.child("static"), "static friction below sliding friction", "at least the sliding coefficient", "")
	}
	f.d.materials(g.child("materials"), &r)
	return r
}

// materials reads the two materials of a contact. Where the maker gives no
// coefficient, the pair must be one that somebody measured.
func (d *decoder) materials(p *place, r *mech.Rub) {
	items := d.items(p)
	if p == nil || p.node.kind != listKind {
		return
	}
	if len(items) != 2 {
		d.say(p, "found a list of "+counted(len(items), "entry", "entries"), "two materials", "")
		return
	}
	for i := range items {
		text, ok := d.scalar(&items[i])
		if !ok {
			return
		}
		r.Materials[i] = text
	}
	if _, ok := standard.FindFriction(r.Materials[0], r.Materials[1]); !ok && !r.Sliding.OK && !r.Static.OK {
		hint := suggest(r.Materials[0], standard.FrictionMaterials())
		if hint == "" {
			hint = suggest(r.Materials[1], standard.FrictionMaterials())
		}
		d.say(p, "no published friction of "+quoted(r.Materials[0])+" on "+quoted(r.Materials[1]),
			"a pair of the friction table, or the coefficient: sliding", hint)
	}
}

// share reads a part of a whole, such as an efficiency.
func (f fields) share(key string) mech.Given {
	g := f.given(key)
	if g.OK && g.Value > 1 {
		f.d.say(f.child(key), "found "+quoted(f.child(key).node.text), "a share of 1 at most", "")
	}
	return g
}

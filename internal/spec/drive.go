package spec

import (
	"fmt"

	"understage/internal/geom"
	"understage/internal/mech"
)

// drive reads shafts, belts and gears.
func (d *decoder) drive(p *place) {
	if p == nil {
		return
	}
	d.hasDrive = true
	f, ok := d.open(p)
	if !ok {
		return
	}
	view := f.word("view")
	d.view = geom.View(view)
	shafts := f.child("shafts")
	if shafts == nil {
		f.missing("shafts")
	}
	for _, q := range d.parts(shafts) {
		d.oneShaft(&q, view)
	}
	for _, q := range d.parts(f.child("belts")) {
		d.belt(&q)
	}
	for _, q := range d.parts(f.child("gears")) {
		d.gear(&q)
	}
}

func (d *decoder) oneShaft(p *place, view int) {
	s := mech.Shaft{Name: p.key, View: geom.View(view)}
	if f, ok := d.open(p); ok {
		s.At, _ = f.pair("at")
		if f.has("view") {
			s.View = geom.View(f.word("view"))
		} else {
			f.child("view")
		}
		s.Level = f.given("level")
		s.Diameter = f.given("diameter")
		s.From, s.To = f.given("from"), f.given("to")
		if s.From.OK && s.To.OK && s.From.Value >= s.To.Value {
			d.say(f.child("to"), "a shaft whose ends are the wrong way round", "from below to", "")
		}
		s.Flat = f.given("flat")
		if s.Flat.OK && s.Diameter.OK && s.Flat.Value >= s.Diameter.Value {
			d.say(f.child("flat"), "a flat that takes nothing off the shaft", "less than the diameter", "")
		}
	}
	d.m.Shafts = append(d.m.Shafts, s)
	d.shaftNames = append(d.shaftNames, s.Name)
}

// shaft reads a reference to a shaft. Without a drive section a name is enough
// to make the shaft, at the origin of the plan.
func (d *decoder) shaft(f fields, key string) int {
	if d.hasDrive {
		return f.reference(key, "shaft", d.shaftNames)
	}
	p := f.child(key)
	if p == nil {
		f.fallback(key)
		return mech.None
	}
	name, ok := d.scalar(p)
	if !ok {
		return mech.None
	}
	for i, known := range d.shaftNames {
		if known == name {
			return i
		}
	}
	d.m.Shafts = append(d.m.Shafts, mech.Shaft{Name: name, View: geom.Plan})
	d.shaftNames = append(d.shaftNames, name)
	return len(d.m.Shafts) - 1
}

func (d *decoder) gear(p *place) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	g := mech.Gear{Name: p.key, Kind: mech.GearKind(f.word("kind")), Module: f.number("module"),
		Face: f.given("face"), Efficiency: f.share("efficiency")}
	driver, driven := f.section("driver"), f.section("driven")
	g.Driver = d.gearWheel(driver, g.Kind == mech.Worm)
	g.Driven = d.gearWheel(driven, false)
	g.Opposite = d.gearSense(f, g.Kind)
	d.checkGear(f, &g)
	d.m.Gears = append(d.m.Gears, g)
}

// gearWheel reads one gear of a pair; a worm has starts, the others teeth.
func (d *decoder) gearWheel(f fields, worm bool) mech.GearWheel {
	if f.place == nil {
		return mech.GearWheel{Shaft: mech.None}
	}
	w := mech.GearWheel{Shaft: d.shaft(f, "shaft"), Level: f.given("level"), Hub: d.hub(f.child("hub"))}
	if worm {
		f.refuse("teeth", "teeth on a worm", "starts")
		if !f.has("starts") {
			f.missing("starts")
		}
		w.Teeth = f.whole("starts")
		return w
	}
	if f.schema.kids["starts"] != nil {
		f.refuse("starts", "starts on a gear that is no worm", "teeth, or kind: worm")
	}
	if !f.has("teeth") && !f.has("starts") && !f.schema.kids["teeth"].key.Required {
		f.missing("teeth")
	}
	w.Teeth = f.whole("teeth")
	return w
}

// gearSense returns whether the driven shaft turns against the driver. An
// outside spur mesh reverses and an inside one does not, whatever is written.
func (d *decoder) gearSense(f fields, kind mech.GearKind) bool {
	const opposite = 1
	natural := kind == mech.Spur
	free := kind != mech.Spur && kind != mech.Internal
	switch {
	case !f.has("sense") && free:
		f.missing("sense")
		return false
	case !f.has("sense"):
		f.child("sense")
		return natural
	}
	written := f.word("sense") == opposite
	if !free && written != natural {
		d.say(f.child("sense"), fmt.Sprintf("a sense that %s pair cannot have", articled(kind.String())),
			map[bool]string{true: "opposite", false: "same"}[natural], "")
	}
	return written
}

func articled(word string) string {
	switch word[0] {
	case 'a', 'e', 'i', 'o', 'u':
		return "an " + word
	}
	return "a " + word
}

func (d *decoder) checkGear(f fields, g *mech.Gear) {
	a, b := g.Driver.Shaft, g.Driven.Shaft
	if a == mech.None || b == mech.None {
		return
	}
	driven := f.below("driven").child("shaft")
	parallel := g.Kind == mech.Spur || g.Kind == mech.Internal
	switch {
	case a == b:
		d.say(driven, "both gears on shaft "+quoted(d.shaftNames[a]), "two shafts", "")
	case parallel && d.m.Shafts[a].View != d.m.Shafts[b].View:
		d.say(driven, fmt.Sprintf("%s pair between shafts of the %s and the %s view", articled(g.Kind.String()), d.m.Shafts[a].View, d.m.Shafts[b].View),
			"shafts of one view", "bevel, crown and worm pairs join shafts of different views")
	case g.Kind == mech.Internal && g.Driver.Teeth == g.Driven.Teeth && g.Driver.Teeth > 0:
		d.say(f.below("driven").child("teeth"), "a ring with as many teeth as the gear inside it", "more teeth on the ring", "")
	}
}

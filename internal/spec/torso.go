package spec

import (
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r3"
)

func (d *decoder) torso(p *place) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	t := &mech.Torso{Pivot: f.number("pivot")}
	if shaft := f.section("shaft"); shaft.place != nil {
		t.ShaftDiameter, t.ShaftDepth = shaft.number("diameter"), shaft.number("depth")
	}
	d.pushes(f, t)
	d.guide(f.section("guide"), t)
	for _, q := range d.parts(f.child("points")) {
		t.Points = append(t.Points, d.torsoPoint(&q))
	}
	if stage := f.section("stage"); stage.place != nil {
		t.Stage.Thickness = stage.number("thickness")
		t.Stage.Opening = d.opening(stage.child("opening"))
	}
	for _, q := range d.parts(f.child("keep_clear")) {
		t.KeepClear = append(t.KeepClear, d.obstacle(&q))
	}
	t.Mass = f.given("mass")
	t.CentreOfMass, t.CentreGiven = f.triple("centre_of_mass")
	if p := f.child("inertia"); p != nil {
		if v, ok := d.tripleAt(p); ok {
			t.Inertia = &v
			if v.X < 0 || v.Y < 0 || v.Z < 0 || v.X+v.Y < v.Z || v.Y+v.Z < v.X || v.Z+v.X < v.Y {
				d.say(p, "moments of inertia that no body has", "three of 0 or more, none above the sum of the other two", "")
			}
		}
	}
	t.PivotRadius, t.PivotRub = f.given("pivot_radius"), f.friction("pivot_friction")
	d.m.Torso = t
}

func (d *decoder) guide(f fields, t *mech.Torso) {
	if f.place == nil {
		return
	}
	g := &t.Guide
	g.Depth = f.number("depth")
	at, ok := f.pair("pin")
	if g.Pin = at; ok && at.X == 0 && at.Y == 0 {
		d.say(f.child("pin"), "a guide pin on the shaft's own axis", "a place beside it", "")
	}
	g.PinDiameter = f.number("pin_diameter")
	g.Clearance = f.number("clearance")
	g.Width, g.Thickness = f.given("width"), f.given("thickness")
	g.Rub = f.friction("friction")
	if !f.has("slot") {
		f.child("slot")
		return
	}
	g.SlotMin, g.SlotMax, g.SlotGiven = f.span("slot")
	if g.SlotGiven && g.SlotMin < 0 {
		d.say(f.child("slot"), "a slot that starts behind the shaft's axis", "distances of 0 or more", "")
	}
}

func (d *decoder) torsoPoint(p *place) mech.TorsoPoint {
	point := mech.TorsoPoint{Name: p.key}
	if f, ok := d.open(p); ok {
		point.At, _ = f.triple("at")
		point.Radius = f.number("radius")
	}
	return point
}

func (d *decoder) opening(p *place) mech.Opening {
	f, ok := d.open(p)
	if !ok {
		return mech.Opening{}
	}
	o := mech.Opening{}
	circle, width, depth := f.has("circle"), f.has("width"), f.has("depth")
	switch {
	case circle && (width || depth):
		d.sayAt(f.at, p, "an opening that is round and rectangular", "circle, or width and depth", "")
	case circle:
		o.Shape, o.Diameter = mech.CircleOpening, f.number("circle")
	case width || depth:
		o.Shape, o.Width, o.Depth = mech.RectangleOpening, f.needed("width"), f.needed("depth")
	default:
		d.sayAt(f.at, p, "an opening of no size", "circle, or width and depth", "")
	}
	if f.has("at") {
		o.At, _ = f.pair("at")
	} else {
		f.child("at")
	}
	return o
}

func (d *decoder) obstacle(p *place) mech.Obstacle {
	o := mech.Obstacle{Name: p.key}
	f, ok := d.open(p)
	if !ok {
		return o
	}
	switch box, cylinder := f.child("box"), f.child("cylinder"); {
	case (box == nil) == (cylinder == nil):
		d.sayAt(f.at, p, "an obstacle that needs one form", "box or cylinder", "")
	case box != nil:
		o.Box = d.box(box)
	default:
		o.Kind = mech.CylinderObstacle
		o.Cylinder = d.cylinder(cylinder)
	}
	return o
}

// box reads two opposite corners, in either order.
func (d *decoder) box(p *place) mech.Box {
	items := d.items(p)
	if len(items) != 2 {
		if p.node.kind == listKind {
			d.say(p, "found "+counted(len(items), "corner", "corners"), "two opposite corners", "")
		}
		return mech.Box{}
	}
	a, okA := d.tripleAt(&items[0])
	b, okB := d.tripleAt(&items[1])
	if okA && okB && (a.X == b.X || a.Y == b.Y || a.Z == b.Z) {
		d.say(p, "a box without a thickness", "two corners that differ in x, y and z", "")
	}
	return mech.Box{
		Min: r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)},
		Max: r3.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)},
	}
}

func (d *decoder) cylinder(p *place) mech.Cylinder {
	f, ok := d.open(p)
	if !ok {
		return mech.Cylinder{}
	}
	c := mech.Cylinder{Radius: f.number("radius"), From: f.number("from"), To: f.number("to")}
	c.At, _ = f.pair("at")
	if f.has("to") && c.From >= c.To {
		d.say(f.child("to"), "a cylinder whose top is not above its foot", "from below to", "")
	}
	return c
}

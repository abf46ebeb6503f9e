package spec

import (
	"fmt"
	"math"
	"strings"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// pinForms are the keys that say how a pin moves, with those that go with each.
var pinForms = []struct {
	name string
	kind mech.PinKind
	with []string
}{
	{"crank", mech.CrankPin, []string{"radius", "phase"}},
	{"at", mech.FixedPin, nil},
	{"slide", mech.SlidePin, nil},
	{"follows", mech.FollowerPin, []string{"from", "along"}},
}

func (d *decoder) pin(p *place, c *chain) mech.Pin {
	pin := mech.Pin{Name: p.key, Cam: mech.None, Crank: mech.Crank{Shaft: mech.None}}
	f, ok := d.open(p)
	if !ok {
		return pin
	}
	var written []string
	for _, form := range pinForms {
		if f.has(form.name) {
			written = append(written, form.name)
			pin.Kind = form.kind
		}
	}
	if len(written) > 1 {
		d.sayAt(p.at, p, "a pin with "+strings.Join(written, " and "), "one of crank, at, slide, follows, or {} for a free pin", "")
		return pin
	}
	for _, form := range pinForms {
		for _, key := range form.with {
			if pin.Kind != form.kind {
				f.refuse(key, key+" without "+form.name, key+" only with "+form.name)
			}
		}
	}
	switch pin.Kind {
	case mech.CrankPin:
		pin.Crank = mech.Crank{Shaft: d.shaft(f, "crank"), Radius: f.needed("radius"), Phase: f.number("phase")}
		d.sameView(f.child("crank"), pin.Crank.Shaft, c, "a crank")
	case mech.FixedPin:
		pin.At, _ = f.pair("at")
	case mech.SlidePin:
		d.slide(f.child("slide"), &pin)
	case mech.FollowerPin:
		d.followerPin(f, &pin, c)
	}
	return pin
}

// sameView refuses a shaft that does not stand square to the linkage.
func (d *decoder) sameView(p *place, shaft int, c *chain, what string) {
	if shaft == mech.None || d.m.Shafts[shaft].View == c.View {
		return
	}
	d.say(p, fmt.Sprintf("%s on a shaft of the %s view", what, d.m.Shafts[shaft].View),
		fmt.Sprintf("a shaft of the linkage's own view, %s", c.View), "")
}

func (d *decoder) slide(p *place, pin *mech.Pin) {
	items := d.items(p)
	if len(items) != 2 {
		if p.node.kind == listKind {
			d.say(p, "found a list of "+counted(len(items), "entry", "entries"), "[[u, v], [du, dv]], a point and a direction", "")
		}
		return
	}
	dim := p.schema.item().key.Dimension
	pin.At, _ = d.pairAt(&items[0], dim)
	if v, ok := d.pairAt(&items[1], dim); ok {
		pin.Along, _ = d.unit(&items[1], v)
	}
}

// followerPin reads a pin that a cam moves: along the follower's heading, or
// round the pivot of a swinging arm.
func (d *decoder) followerPin(f fields, pin *mech.Pin, c *chain) {
	pin.Cam = f.reference("follows", "cam", d.camNames)
	if !f.has("from") {
		f.missing("from")
	}
	pin.At, _ = f.pair("from")
	given := f.has("along")
	if given {
		pin.Along, _ = f.direction("along")
	}
	f.child("along")
	if pin.Cam == mech.None {
		return
	}
	cam := &d.m.Cams[pin.Cam]
	d.sameView(f.child("follows"), cam.Shaft, c, "a cam")
	switch {
	case cam.Follower == nil:
		if p := d.find("cams", cam.Name); p == nil || p.node.kind != mapKind || p.node.find("follower") < 0 {
			d.say(f.child("follows"), "cam "+quoted(cam.Name)+" has no follower", "a cam with a follower", "")
		}
	case cam.Follower.Path == mech.Swing:
		f.refuse("along", "a direction for a pin on a swinging arm", "from alone; the pin turns round the arm's pivot")
	case cam.Follower.Path == mech.Axial:
		d.say(f.child("follows"), "a pin on the follower of a face cam, which moves square to the view", "a straight or swinging follower", "")
	case !given:
		sin, cos := math.Sincos(cam.Follower.Heading)
		pin.Along = r2.Vec{X: cos, Y: sin}
	}
}

func (d *decoder) linkagePoint(p *place, c *chain) mech.LinkagePoint {
	point := mech.LinkagePoint{Name: p.key, On: [2]int{mech.None, mech.None}}
	f, ok := d.open(p)
	if !ok {
		return point
	}
	point.At, _ = f.pair("at")
	point.Radius, point.Mass = f.number("radius"), f.given("mass")
	switch {
	case f.has("bar") == f.has("plate"):
		d.sayAt(f.at, p, "a point that needs one bar or plate", "bar: [pin, pin], or plate: NAME", "")
	case f.has("bar"):
		point.On = d.twoPins(f, "bar", c)
		d.rigid(f.child("bar"), point.On, c)
	default:
		d.platePoint(f, &point, c)
	}
	return point
}

// platePoint turns a place in a plate's own coordinates into one from its first
// pin, with +u toward its second.
func (d *decoder) platePoint(f fields, point *mech.LinkagePoint, c *chain) {
	i := f.reference("plate", "plate", c.plateNames)
	if i == mech.None || len(c.Plates[i].Pins) < 2 {
		return
	}
	a, b := c.Plates[i].Pins[0], c.Plates[i].Pins[1]
	if a.At == b.At {
		return // refused with the plate
	}
	point.On = [2]int{a.Pin, b.Pin}
	u := r2.Unit(r2.Sub(b.At, a.At))
	v := r2.Sub(point.At, a.At)
	point.At = r2.Vec{X: r2.Dot(v, u), Y: r2.Cross(u, v)}
}

package spec

import (
	"math"

	"understage/internal/geom"
	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// frame reads how the frame is made, and its plates.
func (d *decoder) frame(p *place) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	bed, given := f.pair("bed")
	if given && (bed.X <= 0 || bed.Y <= 0) {
		d.say(f.child("bed"), "a print bed of no size", "two lengths above 0", "")
	}
	d.m.Frame = mech.Frame{Bed: bed, HoleAllowance: f.number("hole_allowance"), Cutter: f.number("cutter")}
	for _, q := range d.parts(f.child("plates")) {
		d.m.Frame.Plates = append(d.m.Frame.Plates, d.framePlate(&q))
	}
}

func (d *decoder) framePlate(p *place) mech.FramePlate {
	plate := mech.FramePlate{Name: p.key, View: d.view}
	f, ok := d.open(p)
	if !ok {
		return plate
	}
	if f.has("view") {
		plate.View = geom.View(f.word("view"))
	} else {
		f.child("view")
	}
	plate.Level = f.number("level")
	plate.Thickness = f.given("thickness")
	plate.Margin = f.given("margin")
	if outline := f.child("outline"); outline != nil {
		items := d.items(outline)
		for i := range items {
			corner, _ := d.pairAt(&items[i], items[i].schema.key.Dimension)
			plate.Outline = append(plate.Outline, corner)
		}
		d.atLeast(outline, len(items), 3, "corner")
	}
	for _, q := range d.parts(f.child("holes")) {
		h := mech.PlateHole{Name: q.key}
		if hole, ok := d.open(&q); ok {
			h.At, _ = hole.pair("at")
			h.Diameter = hole.number("diameter")
		}
		plate.Holes = append(plate.Holes, h)
	}
	return plate
}

func (d *decoder) hub(p *place) *mech.Hub {
	f, ok := d.open(p)
	if !ok {
		return nil
	}
	return &mech.Hub{Diameter: f.number("diameter"), Length: f.number("length"), Below: f.word("side") == 1}
}

// motorBody reads the motor's outside; nil when it is not written.
func (d *decoder) motorBody(p *place) *mech.MotorBody {
	f, ok := d.open(p)
	if !ok {
		return nil
	}
	b := &mech.MotorBody{Diameter: f.number("diameter"), Length: f.number("length"), Face: f.given("face"), Above: f.word("side") == 1}
	size, sized := f.pair("size")
	b.Size = size
	b.Centre, _ = f.pair("centre")
	if f.has("diameter") == f.has("size") {
		d.sayAt(f.at, p, "a motor body that needs one form", "diameter, or size: [u, v]", "")
	}
	if sized && (b.Size.X <= 0 || b.Size.Y <= 0) {
		d.say(f.child("size"), "a motor body of no size", "two lengths above 0", "")
	}
	if boss := f.section("boss"); boss.place != nil {
		b.BossDiameter, b.BossHeight = boss.number("diameter"), boss.number("height")
	}
	b.ScrewDiameter = f.number("screw_diameter")
	b.Screws = d.screws(f, b.Centre)
	return b
}

// screws reads screw holes one by one or evenly round a circle.
func (d *decoder) screws(f fields, centre r2.Vec) []r2.Vec {
	list, circle := f.child("screws"), f.section("screw_circle")
	if list != nil && circle.place != nil {
		f.refuse("screw_circle", "both screws and a screw circle", "one of them")
		return nil
	}
	var screws []r2.Vec
	if circle.place != nil {
		radius, n, from := circle.number("diameter")/2, circle.whole("count"), circle.number("from")
		if n > maxScrews {
			d.say(circle.child("count"), "found "+circle.child("count").found(), "at most "+counted(maxScrews, "screw", "screws"), "")
			return nil
		}
		for i := range n {
			sin, cos := math.Sincos(from + turn*float64(i)/float64(n))
			screws = append(screws, r2.Vec{X: centre.X + radius*cos, Y: centre.Y + radius*sin})
		}
		return screws
	}
	for _, q := range d.items(list) {
		at, _ := d.pairAt(&q, q.schema.key.Dimension)
		screws = append(screws, at)
	}
	return screws
}

// maxScrews is more than any motor's face has.
const maxScrews = 24

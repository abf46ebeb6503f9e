// Package draw lays a solved figure out as drawings at true size and writes
// them as SVG, PDF, DXF and STL. It works in memory: bytes out, no files.
//
// Drawing coordinates are mm with v up, as the view is seen. Outlines are arc
// paths (Path): straight lines and circular arcs, which every cutter's reader
// knows, so one outline serves all formats. Output depends on the drawing
// alone: no dates, no random names.
package draw

import (
	"math"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r2"
)

// Layer says what a line means; it decides pen, colour and the layer's name in
// a cutting file.
type Layer int

const (
	Cut    Layer = iota // finished edge, cut through
	Hole                // edge of a hole
	Mark                // timing marks and centre marks
	Ruling              // fine scale lines
	Axis                // centre lines, pitch circles
	Hidden              // a part behind or inside another
	Body                // a part seen from outside
	Belt                // pitch line of a belt
	Sweep               // the space a moving part passes through
	Alert               // something that meets something else
	Label               // text and its leader lines
	layerCount
)

// RGB is a colour.
type RGB struct{ R, G, B uint8 }

// pen is how a layer is drawn.
type pen struct {
	name   string // in cutting files
	width  float64
	colour RGB
	dash   []float64
	fill   bool
	tint   RGB // with fill
	index  int // DXF colour
}

var pens = [layerCount]pen{
	Cut:    {name: "CUT", width: 0.35, colour: RGB{0, 0, 0}, index: 7},
	Hole:   {name: "HOLE", width: 0.35, colour: RGB{0, 0, 0}, index: 1},
	Mark:   {name: "MARK", width: 0.3, colour: RGB{178, 24, 24}, index: 5},
	Ruling: {name: "RULING", width: 0.12, colour: RGB{120, 120, 120}, index: 8},
	Axis:   {name: "AXIS", width: 0.15, colour: RGB{90, 90, 90}, dash: []float64{4, 1, 0.6, 1}, index: 8},
	Hidden: {name: "HIDDEN", width: 0.2, colour: RGB{90, 90, 90}, dash: []float64{2, 1}, index: 8},
	Body:   {name: "BODY", width: 0.3, colour: RGB{30, 50, 80}, fill: true, tint: RGB{224, 232, 242}, index: 5},
	Belt:   {name: "BELT", width: 0.7, colour: RGB{20, 90, 60}, index: 3},
	Sweep:  {name: "SWEEP", width: 0.2, colour: RGB{150, 100, 20}, fill: true, tint: RGB{250, 240, 220}, index: 2},
	Alert:  {name: "ALERT", width: 0.5, colour: RGB{200, 0, 0}, index: 1},
	Label:  {name: "TEXT", width: 0.15, colour: RGB{0, 0, 0}, index: 7},
}

// Anchor is which end of a text stands at its place.
type Anchor int

const (
	Left Anchor = iota
	Middle
	Right
)

// Text is one line of writing. Height is that of the type (the em), mm; Turn
// is counter-clockwise from +u, rad.
type Text struct {
	Layer  Layer
	At     r2.Vec // baseline
	Height float64
	Anchor Anchor
	Turn   float64
	Text   string
}

// Shape is an outline on a layer: a circle where Radius is above 0, the path
// otherwise.
type Shape struct {
	Layer  Layer
	Path   Path
	Centre r2.Vec
	Radius float64
}

// Drawing is one view at true size. Shapes later in it lie over earlier ones;
// text lies over all.
type Drawing struct {
	Name   string // stem of its file names
	Title  string
	Notes  []string // printed under the title
	Shapes []Shape
	Texts  []Text
}

// Path adds a path.
func (d *Drawing) Path(layer Layer, p Path) {
	d.Shapes = append(d.Shapes, Shape{Layer: layer, Path: p})
}

// Line adds a straight line.
func (d *Drawing) Line(layer Layer, a, b r2.Vec) {
	d.Path(layer, Path{Vertices: []Vertex{{P: a}, {P: b}}})
}

// Circle adds a circle.
func (d *Drawing) Circle(layer Layer, centre r2.Vec, radius float64) {
	d.Shapes = append(d.Shapes, Shape{Layer: layer, Centre: centre, Radius: radius})
}

// Text adds a line of level writing.
func (d *Drawing) Text(at r2.Vec, height float64, anchor Anchor, text string) {
	d.Texts = append(d.Texts, Text{Layer: Label, At: at, Height: height, Anchor: anchor, Text: text})
}

// Cross adds a centre mark: two lines reaching reach beyond the radius.
func (d *Drawing) Cross(layer Layer, at r2.Vec, reach float64) {
	d.Line(layer, r2.Vec{X: at.X - reach, Y: at.Y}, r2.Vec{X: at.X + reach, Y: at.Y})
	d.Line(layer, r2.Vec{X: at.X, Y: at.Y - reach}, r2.Vec{X: at.X, Y: at.Y + reach})
}

// runeWidth is the mean advance of sans-serif type in ems, on the wide side so
// that text laid out by it does not collide in any common face.
const runeWidth = 0.6

// TextWidth estimates the width of a text of the given height.
func TextWidth(text string, height float64) float64 {
	return runeWidth * height * float64(utf8.RuneCountInString(text))
}

// bounds returns the rectangle the text takes up.
func (t Text) bounds() Bounds {
	w := TextWidth(t.Text, t.Height)
	left := -w * float64(t.Anchor) / 2
	along := r2.Vec{X: math.Cos(t.Turn), Y: math.Sin(t.Turn)}
	up := r2.Vec{X: -along.Y, Y: along.X}
	b := emptyBounds()
	for _, x := range [2]float64{left, left + w} {
		for _, y := range [2]float64{-0.25 * t.Height, 0.75 * t.Height} {
			b.add(r2.Add(t.At, r2.Add(r2.Scale(x, along), r2.Scale(y, up))))
		}
	}
	return b
}

// Bounds returns the rectangle round everything drawn. An empty drawing has
// the rectangle of the origin alone.
func (d *Drawing) Bounds() Bounds {
	b := emptyBounds()
	for _, s := range d.Shapes {
		b.merge(s.bounds())
	}
	for _, t := range d.Texts {
		b.merge(t.bounds())
	}
	if b.empty() {
		return Bounds{}
	}
	return b
}

func (s Shape) bounds() Bounds {
	if s.Radius <= 0 {
		return s.Path.Bounds()
	}
	reach := r2.Vec{X: s.Radius, Y: s.Radius}
	return Bounds{Min: r2.Sub(s.Centre, reach), Max: r2.Add(s.Centre, reach)}
}

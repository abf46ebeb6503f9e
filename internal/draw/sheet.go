package draw

import (
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// CheckBar is the length of the bar on every sheet by which its scale is
// checked, mm.
const CheckBar = 100.0

// TextHeight returns a type height for a drawing of the given width that is
// still read when the whole sheet is shown 400 pixels wide, and not below the
// 3 mm that reads at arm's length on paper.
func TextHeight(width float64) float64 {
	const perWidth = 1.0 / 42 // about 9.5 pixels of 400
	return min(max(3, width*perWidth), 7)
}

// titleBlock draws title, notes and check bar in a strip of the given width,
// its top left corner at the origin, and returns it with its height.
func titleBlock(title string, notes []string, width, height float64) (Drawing, float64) {
	var d Drawing
	y := -1.4 * height
	for _, line := range wrap(title, width, 1.4*height) {
		d.Text(r2.Vec{Y: y}, 1.4*height, Left, line)
		y -= 1.8 * height
	}
	y += 0.2 * height
	for _, note := range notes {
		for _, line := range wrap(note, width, height) {
			d.Text(r2.Vec{Y: y}, height, Left, line)
			y -= 1.35 * height
		}
	}
	top, foot := y+0.1*height, y-0.7*height
	d.Path(Label, Rectangle(Bounds{r2.Vec{X: 0, Y: foot}, r2.Vec{X: CheckBar, Y: top}}))
	for i := 1; i < 10; i++ {
		x := CheckBar * float64(i) / 10
		d.Line(Label, r2.Vec{X: x, Y: foot}, r2.Vec{X: x, Y: (top + foot) / 2})
	}
	y = foot - 1.1*height
	d.Text(r2.Vec{Y: y}, height, Left, "bar 100 mm: measure it before you cut")
	return d, 0.4*height - y
}

// wrap breaks text at blanks to fit the width.
func wrap(text string, width, height float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && TextWidth(line+" "+word, height) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// shifted returns a copy of the drawing moved by way.
func (d Drawing) shifted(way r2.Vec) Drawing {
	shapes := make([]Shape, len(d.Shapes))
	for i, s := range d.Shapes {
		s.Path = s.Path.Move(0, way)
		s.Centre = r2.Add(s.Centre, way)
		shapes[i] = s
	}
	texts := make([]Text, len(d.Texts))
	for i, t := range d.Texts {
		t.At = r2.Add(t.At, way)
		texts[i] = t
	}
	d.Shapes, d.Texts = shapes, texts
	return d
}

// whole returns the drawing with its title block below, and the rectangle of
// both.
func (d Drawing) whole() (Drawing, Bounds) {
	b := d.Bounds()
	width := max(b.Size().X, CheckBar+20)
	block, tall := titleBlock(d.Title, d.Notes, width, TextHeight(width))
	left := b.Centre().X - width/2
	const gap = 6
	block = block.shifted(r2.Vec{X: left, Y: b.Min.Y - gap})
	b.merge(Bounds{r2.Vec{X: left, Y: b.Min.Y - gap - tall}, r2.Vec{X: left + width, Y: b.Min.Y}})
	out := d
	out.Shapes = append(append([]Shape{}, d.Shapes...), block.Shapes...)
	out.Texts = append(append([]Text{}, d.Texts...), block.Texts...)
	return out, b
}

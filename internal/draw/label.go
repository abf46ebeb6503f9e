package draw

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// label is some lines of writing tied to a place.
type label struct {
	at    r2.Vec
	lines []string
}

// labelColumn writes labels in a column to the right of the drawing, in the
// order of their places from the top, as near to level with them as room allows,
// each joined to its place by a leader line.
func (d *Drawing) labelColumn(labels []label, height float64) {
	if len(labels) == 0 {
		return
	}
	labels = slices.Clone(labels)
	slices.SortStableFunc(labels, func(a, b label) int { return cmp.Compare(b.at.Y, a.at.Y) })
	const lead = 1.35
	b := d.Bounds()
	x := b.Max.X + 2*height
	tall := func(l label) float64 { return (float64(len(l.lines))*lead + 0.5) * height }
	// Tops as wished, pushed down to clear the one above, then the whole column
	// up again if it hangs lower than it must.
	tops := make([]float64, len(labels))
	for i, l := range labels {
		tops[i] = l.at.Y + 0.5*height
		if i > 0 {
			tops[i] = min(tops[i], tops[i-1]-tall(labels[i-1]))
		}
	}
	last := len(labels) - 1
	if low := tops[last] - tall(labels[last]); low < b.Min.Y {
		floor := b.Min.Y
		for i := last; i >= 0; i-- {
			tops[i] = max(tops[i], floor+tall(labels[i]))
			floor = tops[i]
		}
	}
	for i, l := range labels {
		y := tops[i] - 0.8*height
		d.Line(Ruling, l.at, r2.Vec{X: x - 0.5*height, Y: y + 0.3*height})
		for k, line := range l.lines {
			d.Text(r2.Vec{X: x, Y: y - float64(k)*lead*height}, height, Left, line)
		}
	}
}

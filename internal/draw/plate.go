package draw

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
)

// plateOutline returns a plate's edge grown by the given amount.
func plateOutline(p *solve.PlateResult, grow float64) Path {
	if len(p.Outline) > 0 {
		return offsetPolygon(p.Outline, grow)
	}
	var discs []Disc
	for i := range p.Holes {
		h := &p.Holes[i]
		r := h.Diameter/2 + p.Margin + grow
		discs = append(discs, Disc{h.At, r})
		if h.Slotted() {
			discs = append(discs, Disc{h.End, r})
		}
	}
	return Hull(discs)
}

// holePath returns a hole's edge, shrunk by the given amount all round.
func holePath(h *solve.PlateHole, shrink float64) Path {
	r := h.Diameter/2 - shrink
	if !h.Slotted() {
		return Round(h.At, r)
	}
	return Stadium(h.At, h.End, r)
}

// addHole draws a hole: a circle where it is round, so that a cutter sees one.
func (d *Drawing) addHole(h *solve.PlateHole, shrink float64) {
	if h.Slotted() {
		d.Path(Hole, holePath(h, shrink))
		return
	}
	d.Circle(Hole, h.At, h.Diameter/2-shrink)
}

// PlateDrawing draws a frame plate as its view is seen, with its numbered holes
// and their table.
func PlateDrawing(m *mech.Model, s *solve.Solution, p *solve.PlateResult) Drawing {
	spec := &m.Frame.Plates[p.Plate]
	part := &s.Frame.Parts[p.Part]
	d := Drawing{Name: "plate-" + spec.Name, Title: m.Name + ": frame plate " + spec.Name}
	d.Notes = []string{
		fmt.Sprintf("%s view, %s thick, level %s to %s; %s by %s", spec.View, inUnit(m, part.Thickness()), inUnit(m, part.From), inUnit(m, part.To),
			inUnit(m, p.Size.X), inUnit(m, p.Size.Y)),
		fmt.Sprintf("holes as made: diameter of what goes in plus %s", inUnit(m, m.Frame.HoleAllowance)),
	}
	d.Path(Cut, plateOutline(p, 0))
	for i := range p.Holes {
		d.addHole(&p.Holes[i], 0)
	}
	b := d.Bounds()
	height := TextHeight(max(b.Size().X, CheckBar+20))
	for i := range p.Holes {
		h := &p.Holes[i]
		for _, at := range holeCentres(h) {
			d.Cross(Axis, at, h.Diameter/2+1.5)
		}
		if h.HasFit && h.Slotted() {
			d.Cross(Mark, h.Fitted, h.Diameter/2)
			d.Circle(Mark, h.Fitted, h.Fits/2)
		}
	}
	d.numberHoles(p, height)
	d.splitLines(p, b, height)
	d.crossLines(p, b, height)
	d.originMark(b, height)
	d.holeTable(m, p, d.Bounds(), height)
	return d
}

func holeCentres(h *solve.PlateHole) []r2.Vec {
	if h.Slotted() {
		return []r2.Vec{h.At, h.End}
	}
	return []r2.Vec{h.At}
}

// numberHoles writes each hole's number beside it, as near as there is room for
// it clear of all edges.
func (d *Drawing) numberHoles(p *solve.PlateResult, height float64) {
	var placed []r2.Vec
	outline := plateOutline(p, 0).Flatten(0.1)
	for i := range p.Holes {
		h := &p.Holes[i]
		middle := r2.Scale(0.5, r2.Add(h.At, h.End))
		size := TextWidth(fmt.Sprint(i+1), height)/2 + 0.35*height // half the number's extent, with air
		best, most := middle, math.Inf(-1)
		for ring := range 8 {
			reach := h.Diameter/2 + size + 0.3*height + float64(ring)*0.5*height
			for k := range 24 {
				sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / 24)
				at := r2.Vec{X: middle.X + reach*cos, Y: middle.Y + reach*sin}
				room := nearestEdge(outline, at)
				for j := range p.Holes {
					room = min(room, holeDistance(&p.Holes[j], at))
				}
				for _, q := range placed {
					room = min(room, r2.Norm(r2.Sub(q, at))-size)
				}
				if score := min(room, size+0.5*height) - 0.4*reach; score > most+1e-9 {
					best, most = at, score
				}
			}
		}
		placed = append(placed, best)
		d.Text(r2.Vec{X: best.X, Y: best.Y - 0.35*height}, height, Middle, fmt.Sprint(i+1))
	}
}

func nearestEdge(outline []r2.Vec, at r2.Vec) float64 {
	least := math.Inf(1)
	for i, a := range outline {
		least = min(least, segment{a: a, b: outline[(i+1)%len(outline)]}.distance(at))
	}
	return least
}

func holeDistance(h *solve.PlateHole, at r2.Vec) float64 {
	if h.Slotted() {
		return segment{a: h.At, b: h.End}.distance(at) - h.Diameter/2
	}
	return r2.Norm(r2.Sub(at, h.At)) - h.Diameter/2
}

// splitLines draws where a plate too large for the bed is parted.
func (d *Drawing) splitLines(p *solve.PlateResult, b Bounds, height float64) {
	for _, at := range p.Fit.Splits {
		from, to := r2.Vec{X: b.Min.X - 4, Y: at}, r2.Vec{X: b.Max.X + 4, Y: at}
		if p.Fit.AlongU {
			from, to = r2.Vec{X: at, Y: b.Min.Y - 4}, r2.Vec{X: at, Y: b.Max.Y + 4}
		}
		d.Line(Hidden, from, to)
		d.Text(r2.Vec{X: to.X, Y: to.Y + 1}, height, Middle, "split here")
	}
}

// crossLines draws the lines the other way.
func (d *Drawing) crossLines(p *solve.PlateResult, b Bounds, height float64) {
	for _, at := range p.Fit.Across {
		d.Line(Hidden, r2.Vec{X: b.Min.X - 4, Y: at}, r2.Vec{X: b.Max.X + 4, Y: at})
		d.Text(r2.Vec{X: b.Max.X + 5, Y: at}, height, Left, "split here")
	}
}

// originMark marks where u and v are 0, if that lies near the plate.
func (d *Drawing) originMark(b Bounds, height float64) {
	if b.Min.X > 0 || b.Max.X < 0 || b.Min.Y > 0 || b.Max.Y < 0 {
		return
	}
	d.Cross(Mark, r2.Vec{}, height)
	d.Circle(Mark, r2.Vec{}, height/2)
}

// holeTable writes the holes and the distances to check below the drawing.
func (d *Drawing) holeTable(m *mech.Model, p *solve.PlateResult, b Bounds, height float64) {
	rows := [][]string{{"", "hole", "u", "v", "dia.", "for"}}
	for i := range p.Holes {
		h := &p.Holes[i]
		row := []string{fmt.Sprint(i + 1), h.Name, number(m, h.At.X), number(m, h.At.Y), number(m, h.Diameter), number(m, h.Fits)}
		rows = append(rows, row)
		if h.Slotted() {
			rows = append(rows, []string{"", "slot to", number(m, h.End.X), number(m, h.End.Y), "", ""})
			if h.HasFit {
				rows = append(rows, []string{"", "belt fits at", number(m, h.Fitted.X), number(m, h.Fitted.Y), "", ""})
			}
		}
	}
	at := r2.Vec{X: b.Min.X, Y: b.Min.Y - 2*height}
	at = d.table(rows, at, height)
	var spans [][]string
	for _, s := range p.Spans {
		if p.Holes[s.A].Kind == solve.HoleScrew || p.Holes[s.B].Kind == solve.HoleScrew {
			continue
		}
		spans = append(spans, []string{fmt.Sprintf("%d to %d", s.A+1, s.B+1), number(m, s.Centres), number(m, s.OverPins)})
	}
	if len(spans) > 0 {
		at.Y -= 0.6 * height
		d.table(append([][]string{{"check", "centres", "over pins"}}, spans...), at, height)
	}
}

// table writes rows in columns as wide as need be, the first two to the left,
// the rest to the right, and returns where the next row would start.
func (d *Drawing) table(rows [][]string, at r2.Vec, height float64) r2.Vec {
	widths := make([]float64, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], TextWidth(cell, height))
		}
	}
	for _, row := range rows {
		x := at.X
		for i, cell := range row {
			switch {
			case cell == "":
			case i < 2 && len(row) > 3 || i == 0:
				d.Text(r2.Vec{X: x, Y: at.Y}, height, Left, cell)
			default:
				d.Text(r2.Vec{X: x + widths[i], Y: at.Y}, height, Right, cell)
			}
			x += widths[i] + height
		}
		at.Y -= 1.35 * height
	}
	return at
}

// PlateCut is a plate for the cutter: edges alone, with half the cutter's width
// added outside them and taken off inside holes.
func PlateCut(m *mech.Model, p *solve.PlateResult) Drawing {
	half := m.Frame.Cutter / 2
	d := Drawing{Name: "plate-" + m.Frame.Plates[p.Plate].Name}
	d.Path(Cut, plateOutline(p, half))
	for i := range p.Holes {
		h := &p.Holes[i]
		if h.Diameter/2 > half {
			d.addHole(h, half)
		}
	}
	return d
}

// PlateSolid is a plate for the printer.
func PlateSolid(s *solve.Solution, p *solve.PlateResult) Solid {
	solid := Solid{Outer: plateOutline(p, 0), Thickness: s.Frame.Parts[p.Part].Thickness()}
	for i := range p.Holes {
		if p.Holes[i].Diameter > 0 {
			solid.Holes = append(solid.Holes, holePath(&p.Holes[i], 0))
		}
	}
	return solid
}

// inUnit writes a length in the maker's unit with its name.
func inUnit(m *mech.Model, mm float64) string {
	if m.Lengths == mech.Inch {
		return number(m, mm) + " in"
	}
	return number(m, mm) + " mm"
}

// number writes a length in the maker's unit without its name.
func number(m *mech.Model, mm float64) string {
	if m.Lengths == mech.Inch {
		return plainZero(fmt.Sprintf("%.3f", mm/25.4))
	}
	return plainZero(fmt.Sprintf("%.2f", mm))
}

// plainZero drops the sign of a rounded zero.
func plainZero(s string) string {
	for _, r := range s {
		if r != '-' && r != '0' && r != '.' {
			return s
		}
	}
	if s[0] == '-' {
		return s[1:]
	}
	return s
}

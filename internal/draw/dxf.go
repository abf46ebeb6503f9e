package draw

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// DXF writes the shapes and texts as ASCII drawing exchange, release 12
// (AC1009), in mm: LINE, ARC, CIRCLE, POLYLINE with bulges, TEXT, each on the
// layer of its meaning. The title block is left out: a cutting file holds the
// part alone. Group codes after Autodesk's published DXF reference.
func (d Drawing) DXF() []byte {
	var w dxfWriter
	b := d.Bounds()
	w.group(999, "lengths in mm")
	w.section("HEADER", func() {
		w.group(9, "$ACADVER").group(1, "AC1009")
		w.group(9, "$INSUNITS").group(70, "4") // mm; readers of release 12 skip it
		w.group(9, "$EXTMIN").point(10, b.Min.X, b.Min.Y)
		w.group(9, "$EXTMAX").point(10, b.Max.X, b.Max.Y)
	})
	w.section("TABLES", func() { w.tables() })
	w.section("ENTITIES", func() {
		for _, s := range d.Shapes {
			w.shape(s)
		}
		for _, t := range d.Texts {
			w.text(t)
		}
	})
	w.group(0, "EOF")
	return []byte(w.String())
}

type dxfWriter struct{ strings.Builder }

// group writes one code and value.
func (w *dxfWriter) group(code int, value string) *dxfWriter {
	fmt.Fprintf(w, "%d\n%s\n", code, value)
	return w
}

func (w *dxfWriter) number(code int, v float64) *dxfWriter {
	s := strconv.FormatFloat(v, 'f', 6, 64)
	s = strings.TrimRight(s, "0")
	if strings.HasSuffix(s, ".") {
		s += "0"
	}
	if s == "-0.0" {
		s = "0.0"
	}
	return w.group(code, s)
}

func (w *dxfWriter) point(code int, x, y float64) *dxfWriter {
	return w.number(code, x).number(code+10, y).number(code+20, 0)
}

func (w *dxfWriter) section(name string, body func()) {
	w.group(0, "SECTION").group(2, name)
	body()
	w.group(0, "ENDSEC")
}

func (w *dxfWriter) tables() {
	w.group(0, "TABLE").group(2, "LTYPE").group(70, "1")
	w.group(0, "LTYPE").group(2, "CONTINUOUS").group(70, "64").group(3, "Solid line").group(72, "65").group(73, "0").number(40, 0)
	w.group(0, "ENDTAB")
	w.group(0, "TABLE").group(2, "LAYER").group(70, strconv.Itoa(len(pens)+1))
	w.layer("0", 7)
	for _, p := range pens {
		w.layer(p.name, p.index)
	}
	w.group(0, "ENDTAB")
	w.group(0, "TABLE").group(2, "STYLE").group(70, "1")
	w.group(0, "STYLE").group(2, "STANDARD").group(70, "0").number(40, 0).number(41, 1).number(50, 0).group(71, "0").number(42, 2.5).group(3, "txt").group(4, "")
	w.group(0, "ENDTAB")
}

func (w *dxfWriter) layer(name string, colour int) {
	w.group(0, "LAYER").group(2, name).group(70, "0").group(62, strconv.Itoa(colour)).group(6, "CONTINUOUS")
}

func (w *dxfWriter) shape(s Shape) {
	layer := pens[s.Layer].name
	switch n := len(s.Path.Vertices); {
	case s.Radius > 0:
		w.group(0, "CIRCLE").group(8, layer).point(10, s.Centre.X, s.Centre.Y).number(40, s.Radius)
	case n == 2 && !s.Path.Closed:
		s.Path.segments(func(g segment) { w.single(layer, g) })
	case n > 1:
		w.polyline(layer, s.Path)
	}
}

// single writes a path of one segment as LINE or ARC, which run
// counter-clockwise in this format.
func (w *dxfWriter) single(layer string, g segment) {
	if g.bulge == 0 {
		w.group(0, "LINE").group(8, layer).point(10, g.a.X, g.a.Y).point(11, g.b.X, g.b.Y)
		return
	}
	centre, radius, start, sweep := g.arc()
	end := start + sweep
	if sweep < 0 {
		start, end = end, start
	}
	w.group(0, "ARC").group(8, layer).point(10, centre.X, centre.Y).number(40, radius)
	w.number(50, degrees(start)).number(51, degrees(end))
}

// degrees returns the angle in [0, 360).
func degrees(rad float64) float64 {
	deg := math.Mod(rad*180/math.Pi, 360)
	if deg < 0 {
		deg += 360
	}
	return deg
}

func (w *dxfWriter) polyline(layer string, p Path) {
	closed := "0"
	if p.Closed {
		closed = "1"
	}
	w.group(0, "POLYLINE").group(8, layer).group(66, "1").point(10, 0, 0).group(70, closed)
	for _, v := range p.Vertices {
		w.group(0, "VERTEX").group(8, layer).point(10, v.P.X, v.P.Y)
		if v.Bulge != 0 {
			w.number(42, v.Bulge)
		}
	}
	w.group(0, "SEQEND").group(8, layer)
}

func (w *dxfWriter) text(t Text) {
	// The format measures capitals, about 0.7 of the em.
	w.group(0, "TEXT").group(8, pens[t.Layer].name).point(10, t.At.X, t.At.Y).number(40, 0.7*t.Height).group(1, dxfText(t.Text))
	if t.Turn != 0 {
		w.number(50, degrees(t.Turn))
	}
	if t.Anchor != Left {
		w.group(72, strconv.Itoa(int(t.Anchor))).point(11, t.At.X, t.At.Y)
	}
}

// dxfText writes what lies outside ASCII as the format's escapes.
func dxfText(s string) string {
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(s, "?") {
		switch {
		case r == '°':
			b.WriteString("%%d")
		case r < ' ':
			b.WriteByte(' ')
		case r < 0x7F:
			b.WriteRune(r)
		case r <= 0xFFFF:
			fmt.Fprintf(&b, `\U+%04X`, r)
		default:
			b.WriteByte('?')
		}
	}
	return b.String()
}

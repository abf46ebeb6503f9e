package draw

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

const svgMargin = 6 // mm round everything

// SVG writes the drawing with its title block at true size, one user unit to
// the millimetre, y down as the format has it.
func (d Drawing) SVG() []byte {
	all, b := d.whole()
	size := r2.Add(b.Size(), r2.Vec{X: 2 * svgMargin, Y: 2 * svgMargin})
	w := svgWriter{left: b.Min.X - svgMargin, top: b.Max.Y + svgMargin}
	width, height := mm(size.X), mm(size.Y)
	w.printf(`<?xml version="1.0" encoding="UTF-8"?>`+"\n"+
		`<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s">`+"\n", width, height, width, height)
	w.printf("<title>%s</title>\n", xmlText(d.Title))
	w.printf(`<rect width="%s" height="%s" fill="#ffffff"/>`+"\n", width, height)
	w.shapes(all.Shapes)
	w.texts(all.Texts)
	w.printf("</svg>\n")
	return []byte(w.String())
}

type svgWriter struct {
	strings.Builder
	left, top float64
}

func (w *svgWriter) printf(format string, args ...any) { fmt.Fprintf(w, format, args...) }

func (w *svgWriter) point(p r2.Vec) string { return mm(p.X-w.left) + " " + mm(w.top-p.Y) }

// shapes writes runs of one layer as groups.
func (w *svgWriter) shapes(shapes []Shape) {
	open := Layer(-1)
	for _, s := range shapes {
		if s.Layer != open {
			w.close(open)
			w.open(s.Layer)
			open = s.Layer
		}
		if s.Radius > 0 {
			w.printf(`<circle cx="%s" cy="%s" r="%s"/>`+"\n", mm(s.Centre.X-w.left), mm(w.top-s.Centre.Y), mm(s.Radius))
			continue
		}
		w.path(s.Path)
	}
	w.close(open)
}

func (w *svgWriter) open(l Layer) {
	p := pens[l]
	w.printf(`<g class="%s" stroke="%s" stroke-width="%s" stroke-linejoin="round" fill="%s"`,
		strings.ToLower(p.name), p.colour, mm(p.width), p.filling())
	if len(p.dash) > 0 {
		dashes := make([]string, len(p.dash))
		for i, d := range p.dash {
			dashes[i] = mm(d)
		}
		w.printf(` stroke-dasharray="%s"`, strings.Join(dashes, " "))
	}
	w.printf(">\n")
}

func (w *svgWriter) close(l Layer) {
	if l >= 0 {
		w.printf("</g>\n")
	}
}

func (p pen) filling() string {
	if !p.fill {
		return "none"
	}
	return p.tint.String()
}

// String returns the colour as "#rrggbb".
func (c RGB) String() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func (w *svgWriter) path(p Path) {
	if len(p.Vertices) == 0 {
		return
	}
	w.printf(`<path d="M%s`, w.point(p.Vertices[0].P))
	p.segments(func(s segment) {
		if s.bulge == 0 {
			w.printf("L%s", w.point(s.b))
			return
		}
		_, radius, _, sweep := s.arc()
		large, clockwise := 0, 0
		if math.Abs(sweep) > math.Pi {
			large = 1
		}
		if sweep < 0 { // clockwise as seen is the format's positive sense
			clockwise = 1
		}
		w.printf("A%s %s 0 %d %d %s", mm(radius), mm(radius), large, clockwise, w.point(s.b))
	})
	if p.Closed {
		w.printf("Z")
	}
	w.printf(`"/>` + "\n")
}

func (w *svgWriter) texts(texts []Text) {
	anchors := [...]string{"start", "middle", "end"}
	w.printf(`<g font-family="sans-serif" fill="#000000">` + "\n")
	for _, t := range texts {
		turn := ""
		if t.Turn != 0 {
			turn = fmt.Sprintf(` transform="rotate(%s %s)"`, mm(-t.Turn*180/math.Pi), w.point(t.At))
		}
		w.printf(`<text x="%s" y="%s" font-size="%s" text-anchor="%s" fill="%s"%s>%s</text>`+"\n",
			mm(t.At.X-w.left), mm(w.top-t.At.Y), mm(t.Height), anchors[t.Anchor], pens[t.Layer].colour, turn, xmlText(t.Text))
	}
	w.printf("</g>\n")
}

var xmlEscapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// xmlText escapes text for XML and replaces what XML cannot hold.
func xmlText(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0xFFFE || r == 0xFFFF {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	return xmlEscapes.Replace(s)
}

// mm writes a coordinate to a tenth of a micrometre without trailing zeros,
// coarser than the noise between machines, and never as -0.
func mm(v float64) string {
	s := strconv.FormatFloat(v, 'f', 4, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

package draw

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/goregular"
	"gonum.org/v1/gonum/spatial/r2"
)

const (
	paperMargin = 8.0  // mm that home printers leave blank, with some room
	tileOverlap = 10.0 // mm that neighbouring sheets of one drawing share
	tilePad     = 2.0  // mm between a spread drawing and the frame of its outer sheets
	blockGap    = 6.0  // mm between drawing and title block
)

// papers are tried in order; a drawing too large for all is spread over sheets
// of the first two.
var papers = [...]r2.Vec{{X: 210, Y: 297}, {X: 297, Y: 210}, {X: 297, Y: 420}, {X: 420, Y: 297}}

// sheetPlan is how a drawing lies on paper.
type sheetPlan struct {
	paper      r2.Vec
	block      Drawing
	blockTall  float64
	field      r2.Vec // room for the drawing on one sheet
	columns    int
	rows       int
	textHeight float64
}

// plan chooses the paper.
func (d Drawing) plan() sheetPlan {
	need := d.Bounds().Size()
	var best sheetPlan
	for i, paper := range papers {
		p := d.planOn(paper, need)
		if p.columns*p.rows == 1 {
			return p
		}
		if i < 2 && (i == 0 || p.columns*p.rows < best.columns*best.rows) {
			best = p
		}
	}
	return best
}

func (d Drawing) planOn(paper, need r2.Vec) sheetPlan {
	p := sheetPlan{paper: paper, textHeight: TextHeight(paper.X) * 0.85}
	width := paper.X - 2*paperMargin
	title, notes := d.Title, d.Notes
	p.block, p.blockTall = titleBlock(title, notes, width, p.textHeight)
	p.field = r2.Vec{X: width, Y: paper.Y - 2*paperMargin - p.blockTall - blockGap}
	count := func(need, room float64) int {
		if need <= room {
			return 1
		}
		return 1 + int(math.Ceil((need+2*tilePad-room)/(room-tileOverlap)))
	}
	p.columns, p.rows = count(need.X, p.field.X), count(need.Y, p.field.Y)
	if p.columns*p.rows > 1 { // the sheet's place in the whole is one line more
		p.block, p.blockTall = titleBlock(title, append(notes[:len(notes):len(notes)], p.place(0, 0)), width, p.textHeight)
		p.field.Y = paper.Y - 2*paperMargin - p.blockTall - blockGap
		p.rows = count(need.Y, p.field.Y)
	}
	return p
}

// place words where a sheet lies in the whole.
func (p sheetPlan) place(column, row int) string {
	return fmt.Sprintf("sheet %d of %d: column %d, row %d from the top; trim to the frame, which overlaps its neighbours by %g mm",
		row*p.columns+column+1, p.columns*p.rows, column+1, row+1, tileOverlap)
}

// PDF writes the drawings at 1:1, each on its own sheet or sheets, with title
// block and check bar on every sheet.
func PDF(drawings ...Drawing) ([]byte, error) {
	f := fpdf.New("P", "mm", "A4", "")
	epoch := time.Unix(0, 0).UTC() // the same file every time
	f.SetCreationDate(epoch)
	f.SetModificationDate(epoch)
	f.SetCatalogSort(true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.AddUTF8FontFromBytes("Go", "", goregular.TTF)
	for _, d := range drawings {
		d.pages(f)
	}
	var out bytes.Buffer
	if err := f.Output(&out); err != nil {
		return nil, fmt.Errorf("pdf: %w", err)
	}
	return out.Bytes(), nil
}

func (d Drawing) pages(f *fpdf.Fpdf) {
	p := d.plan()
	b := d.Bounds()
	for row := range p.rows {
		for column := range p.columns {
			f.AddPageFormat("P", fpdf.SizeType{Wd: p.paper.X, Ht: p.paper.Y})
			block := p.block
			if p.columns*p.rows > 1 {
				block, _ = titleBlock(d.Title, append(d.Notes[:len(d.Notes):len(d.Notes)], p.place(column, row)),
					p.paper.X-2*paperMargin, p.textHeight)
			}
			foot := pdfPage{f, r2.Vec{X: paperMargin, Y: p.paper.Y - paperMargin - p.blockTall}}
			foot.drawing(block)
			page := pdfPage{f, p.origin(b, column, row)}
			if p.columns*p.rows == 1 {
				page.drawing(d)
				continue
			}
			f.ClipRect(paperMargin, paperMargin, p.field.X, p.field.Y, false)
			page.drawing(d)
			f.ClipEnd()
			f.SetLineWidth(0.1)
			f.SetDrawColor(120, 120, 120)
			f.Rect(paperMargin, paperMargin, p.field.X, p.field.Y, "D")
		}
	}
}

// origin returns where on the sheet the drawing's origin falls.
func (p sheetPlan) origin(b Bounds, column, row int) r2.Vec {
	if p.columns*p.rows == 1 {
		spare := r2.Scale(0.5, r2.Sub(p.field, b.Size()))
		return r2.Vec{X: paperMargin + spare.X - b.Min.X, Y: paperMargin + spare.Y + b.Max.Y}
	}
	return r2.Vec{
		X: paperMargin + tilePad - b.Min.X - float64(column)*(p.field.X-tileOverlap),
		Y: paperMargin + tilePad + b.Max.Y - float64(row)*(p.field.Y-tileOverlap),
	}
}

// pdfPage draws on the current page with the origin at a place on the sheet.
type pdfPage struct {
	*fpdf.Fpdf
	origin r2.Vec
}

func (g pdfPage) xy(p r2.Vec) (x, y float64) { return g.origin.X + p.X, g.origin.Y - p.Y }

func (g pdfPage) drawing(d Drawing) {
	for _, s := range d.Shapes {
		style := g.pen(s.Layer)
		if s.Radius > 0 {
			g.path(Round(s.Centre, s.Radius), style)
			continue
		}
		g.path(s.Path, style)
	}
	for _, t := range d.Texts {
		g.text(t)
	}
}

func (g pdfPage) pen(l Layer) (style string) {
	p := pens[l]
	g.SetLineWidth(p.width)
	g.SetDrawColor(int(p.colour.R), int(p.colour.G), int(p.colour.B))
	g.SetDashPattern(p.dash, 0)
	if !p.fill {
		return "D"
	}
	g.SetFillColor(int(p.tint.R), int(p.tint.G), int(p.tint.B))
	return "DF"
}

// path draws arcs as cubic curves of at most an eighth of a turn, which leave
// the circle by less than 5e-6 of its radius.
func (g pdfPage) path(p Path, style string) {
	if len(p.Vertices) == 0 {
		return
	}
	g.MoveTo(g.xy(p.Vertices[0].P))
	p.segments(func(s segment) {
		if s.bulge == 0 {
			g.LineTo(g.xy(s.b))
			return
		}
		centre, radius, start, sweep := s.arc()
		pieces := math.Ceil(math.Abs(sweep) / (math.Pi / 4))
		step := sweep / pieces
		handle := 4.0 / 3 * math.Tan(step/4) * radius
		for i := range int(pieces) {
			a := start + float64(i)*step
			from, to := r2.Vec{X: math.Cos(a), Y: math.Sin(a)}, r2.Vec{X: math.Cos(a + step), Y: math.Sin(a + step)}
			x0, y0 := g.xy(r2.Add(centre, r2.Add(r2.Scale(radius, from), r2.Vec{X: -handle * from.Y, Y: handle * from.X})))
			x1, y1 := g.xy(r2.Add(centre, r2.Add(r2.Scale(radius, to), r2.Vec{X: handle * to.Y, Y: -handle * to.X})))
			x, y := g.xy(r2.Add(centre, r2.Scale(radius, to)))
			g.CurveBezierCubicTo(x0, y0, x1, y1, x, y)
		}
	})
	if p.Closed {
		g.ClosePath()
	}
	g.DrawPath(style)
}

func (g pdfPage) text(t Text) {
	const pointsPerMM = 72 / 25.4
	words := pdfText(t.Text)
	c := pens[t.Layer].colour
	g.SetTextColor(int(c.R), int(c.G), int(c.B))
	g.SetFont("Go", "", t.Height*pointsPerMM)
	x, y := g.xy(t.At)
	if t.Turn != 0 {
		g.TransformBegin()
		g.TransformRotate(t.Turn*180/math.Pi, x, y)
	}
	g.Text(x-g.GetStringWidth(words)*float64(t.Anchor)/2, y, words)
	if t.Turn != 0 {
		g.TransformEnd()
	}
}

// pdfText replaces what the font file cannot address.
func pdfText(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		if r > 0xFFFF {
			return '?'
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}

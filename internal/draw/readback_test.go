package draw

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"understage/internal/needtool"

	"gonum.org/v1/gonum/spatial/r2"
)

// sample is a drawing with every kind of shape.
func sample() Drawing {
	s := wavy(3)
	d := Drawing{Name: "sample", Title: "Sample <plate> & cam °φ", Notes: []string{"thickness 4 mm"}}
	d.Path(Cut, s.Outer)
	d.Circle(Hole, r2.Vec{X: 10, Y: 5}, 4.1)
	d.Line(Mark, r2.Vec{}, r2.Vec{X: 50})
	d.Path(Ruling, Path{Vertices: []Vertex{{P: r2.Vec{X: 5}, Bulge: -0.3}, {P: r2.Vec{Y: 5}}}})
	d.Path(Axis, Polyline(r2.Vec{}, r2.Vec{X: 3, Y: 4}, r2.Vec{X: 9, Y: 4}))
	d.Text(r2.Vec{X: 0, Y: -20}, 4, Middle, `name "é" 10°`)
	d.Texts = append(d.Texts, Text{Layer: Mark, At: r2.Vec{X: 20, Y: 20}, Height: 3, Turn: math.Pi / 2, Text: "upright"})
	return d
}

// readSVG parses a file strictly and returns its outlines with y up again and
// the size of its canvas; only what the writer may use is known.
func readSVG(t *testing.T, data []byte) (shapes []Shape, texts []string, size r2.Vec) {
	t.Helper()
	decoder := xml.NewDecoder(bytes.NewReader(data))
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return shapes, texts, size
		}
		if err != nil {
			t.Fatal(err)
		}
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		attribute := map[string]string{}
		for _, a := range e.Attr {
			attribute[a.Name.Local] = a.Value
		}
		switch e.Name.Local {
		case "svg":
			size = r2.Vec{X: number(strings.TrimSuffix(attribute["width"], "mm")), Y: number(strings.TrimSuffix(attribute["height"], "mm"))}
			if want := fmt.Sprintf("0 0 %s %s", mm(size.X), mm(size.Y)); attribute["viewBox"] != want {
				t.Errorf("viewBox %q is not true size (%q)", attribute["viewBox"], want)
			}
		case "circle":
			shapes = append(shapes, Shape{Centre: r2.Vec{X: number(attribute["cx"]), Y: -number(attribute["cy"])}, Radius: number(attribute["r"])})
		case "path":
			shapes = append(shapes, Shape{Path: svgPath(t, attribute["d"])})
		case "text":
			text, err := decoder.Token()
			if err != nil {
				t.Fatal(err)
			}
			texts = append(texts, string(text.(xml.CharData)))
		}
	}
}

// svgPath reads a path of M, L, A and Z, turning arcs back into bulges by
// their radius and flags.
func svgPath(t *testing.T, text string) Path {
	t.Helper()
	var p Path
	for text != "" {
		command := text[0]
		end := strings.IndexAny(text[1:], "MLAZ") + 1
		if end == 0 {
			end = len(text)
		}
		var v []float64
		for _, f := range strings.Fields(text[1:end]) {
			x, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatal(err)
			}
			v = append(v, x)
		}
		text = text[end:]
		switch {
		case command == 'Z':
			p.Closed = true
			n := len(p.Vertices)
			if p.Vertices[0].P == p.Vertices[n-1].P {
				p.Vertices = p.Vertices[:n-1]
			}
		case command == 'A' && len(v) == 7:
			q := r2.Vec{X: v[5], Y: -v[6]}
			last := &p.Vertices[len(p.Vertices)-1]
			half := min(r2.Norm(r2.Sub(q, last.P))/2/v[0], 1)
			angle := 2 * math.Asin(half)
			if v[3] == 1 {
				angle = 2*math.Pi - angle
			}
			if v[4] == 1 {
				angle = -angle
			}
			last.Bulge = math.Tan(angle / 4)
			p.Vertices = append(p.Vertices, Vertex{P: q})
		case (command == 'M' || command == 'L') && len(v) == 2:
			p.Vertices = append(p.Vertices, Vertex{P: r2.Vec{X: v[0], Y: -v[1]}})
		default:
			t.Fatalf("path command %q with %d numbers", command, len(v))
		}
	}
	return p
}

func TestSVGReadsBack(t *testing.T) {
	d := sample()
	shapes, texts, size := readSVG(t, d.SVG())
	compareShapes(t, d.Shapes, shapes[:len(d.Shapes)])
	if b := d.Bounds().Size(); size.X < b.X || size.Y < b.Y {
		t.Errorf("canvas %v is smaller than the drawing %v", size, b)
	}
	if texts[0] != `name "é" 10°` {
		t.Errorf("text %q", texts[0])
	}
	bar := 0
	for _, s := range shapes[len(d.Shapes):] {
		if b := s.Path.Bounds(); math.Abs(b.Size().X-CheckBar) < 1e-9 {
			bar++
		}
	}
	if bar != 1 {
		t.Errorf("%d check bars", bar)
	}
}

// compareShapes compares size, place apart, by area, length and extent.
func compareShapes(t *testing.T, want, got []Shape) {
	t.Helper()
	if len(want) != len(got) {
		t.Fatalf("%d shapes, want %d", len(got), len(want))
	}
	for i := range want {
		name := fmt.Sprintf("shape %d", i)
		near(t, name+" radius", got[i].Radius, want[i].Radius, 1e-4)
		near(t, name+" area", got[i].Path.Area(), want[i].Path.Area(), 0.05)
		near(t, name+" length", got[i].Path.Length(), want[i].Path.Length(), 0.02)
		a, b := got[i].bounds().Size(), want[i].bounds().Size()
		near(t, name+" width", a.X, b.X, 5e-3)
		near(t, name+" height", a.Y, b.Y, 5e-3)
	}
}

// readDXF parses pairs of group code and value strictly, checks the frame of
// sections and tables, and returns the entities.
func readDXF(t *testing.T, data []byte) (shapes []Shape, layers, texts []string) {
	t.Helper()
	type pair struct {
		code  int
		value string
	}
	var pairs []pair
	for scan := bufio.NewScanner(bytes.NewReader(data)); scan.Scan(); {
		code, err := strconv.Atoi(strings.TrimSpace(scan.Text()))
		if err != nil || !scan.Scan() {
			t.Fatalf("bad group code after %d pairs: %v", len(pairs), err)
		}
		pairs = append(pairs, pair{code, scan.Text()})
	}
	known := map[string]bool{}
	section, table := "", ""
	var open *Path
	for i := 0; i < len(pairs); {
		if pairs[i].code == 999 {
			i++
			continue
		}
		if pairs[i].code != 0 && section != "HEADER" {
			t.Fatalf("pair %d: code %d where an entity should start", i, pairs[i].code)
		}
		kind := pairs[i].value
		text, number := map[int]string{}, map[int]float64{}
		i++
		for ; i < len(pairs) && pairs[i].code != 0; i++ {
			text[pairs[i].code] = pairs[i].value
			if c := pairs[i].code; c >= 10 && c < 60 {
				v, err := strconv.ParseFloat(pairs[i].value, 64)
				if err != nil {
					t.Fatal(err)
				}
				number[c] = v
			}
		}
		at := r2.Vec{X: number[10], Y: number[20]}
		if section == "ENTITIES" && kind != "ENDSEC" {
			if !known[text[8]] {
				t.Errorf("%s on a layer %q that the table lacks", kind, text[8])
			}
			layers = append(layers, text[8])
		}
		switch kind {
		case "SECTION":
			section = text[2]
		case "ENDSEC":
			section = ""
		case "TABLE":
			table = text[2]
		case "ENDTAB":
			table = ""
		case "LAYER":
			known[text[2]] = table == "LAYER"
		case "LTYPE", "STYLE":
		case "EOF":
			if i != len(pairs) {
				t.Error("text after the end")
			}
		case "LINE":
			shapes = append(shapes, Shape{Path: Polyline(at, r2.Vec{X: number[11], Y: number[21]})})
		case "CIRCLE":
			shapes = append(shapes, Shape{Centre: at, Radius: number[40]})
		case "ARC":
			from, to := number[50]*math.Pi/180, number[51]*math.Pi/180
			if to < from {
				to += 2 * math.Pi
			}
			var p Path
			p.arcTo(Disc{at, number[40]}, from, to)
			shapes = append(shapes, Shape{Path: p})
		case "POLYLINE":
			open = &Path{Closed: text[70] == "1"}
		case "VERTEX":
			open.Vertices = append(open.Vertices, Vertex{at, number[42]})
		case "SEQEND":
			shapes = append(shapes, Shape{Path: *open})
		case "TEXT":
			texts = append(texts, text[1])
		default:
			t.Fatalf("entity %q is not of release 12", kind)
		}
	}
	return shapes, layers, texts
}

func TestDXFReadsBack(t *testing.T) {
	d := sample()
	shapes, layers, texts := readDXF(t, d.DXF())
	for i := range d.Shapes { // an arc runs counter-clockwise there, whichever way it was drawn
		if d.Shapes[i].Layer == Ruling {
			d.Shapes[i].Path = d.Shapes[i].Path.Reverse()
		}
	}
	compareShapes(t, d.Shapes, shapes)
	if layers[0] != "CUT" || texts[0] != `name "\U+00E9" 10%%d` {
		t.Errorf("layer %q, text %q", layers[0], texts[0])
	}
}

// An independent reader audits the file and finds the same outlines.
func TestDXFByEzdxf(t *testing.T) {
	python := "/usr/bin/python3" // where the distribution installs its modules
	if exec.Command(python, "-c", "import ezdxf").Run() != nil {
		needtool.Path(t, "python3 with ezdxf", "python3-ezdxf")
	}
	d := sample()
	file := filepath.Join(t.TempDir(), "part.dxf")
	if err := os.WriteFile(file, d.DXF(), 0o644); err != nil {
		t.Fatal(err)
	}
	script := `
import sys, ezdxf
from ezdxf import bbox
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
print(doc.dxfversion, len(audit.errors), len(audit.fixes), len(doc.modelspace()))
b = bbox.extents([e for e in doc.modelspace() if e.dxf.layer == "CUT"])
print(b.size.x, b.size.y)
`
	out, err := exec.Command(python, "-c", script, file).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var version string
	var errors, fixes, count int
	var x, y float64
	if _, err := fmt.Sscan(string(out), &version, &errors, &fixes, &count, &x, &y); err != nil {
		t.Fatalf("%v in %s", err, out)
	}
	if version != "AC1009" || errors != 0 || fixes != 0 || count != len(d.Shapes)+len(d.Texts) {
		t.Errorf("version %s, %d errors, %d fixes, %d entities", version, errors, fixes, count)
	}
	size := d.Shapes[0].bounds().Size()
	near(t, "width", x, size.X, 0.02)
	near(t, "height", y, size.Y, 0.02)
}

// large is a drawing that no single sheet holds.
func large() Drawing {
	d := sample()
	d.Path(Cut, Rectangle(Bounds{r2.Vec{X: -300, Y: -200}, r2.Vec{X: 300, Y: 250}}))
	return d
}

func TestPDFSheets(t *testing.T) {
	tool := needtool.Path(t, "pdftoppm", "poppler-utils")
	data, err := PDF(sample(), large())
	if err != nil {
		t.Fatal(err)
	}
	again, err := PDF(sample(), large())
	if err != nil || !bytes.Equal(data, again) {
		t.Error("the same drawing gives another file")
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "all.pdf")
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	const dpi = 150
	if out, err := exec.Command(tool, "-r", strconv.Itoa(dpi), "-gray", file, filepath.Join(dir, "page")).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	pages, err := filepath.Glob(filepath.Join(dir, "page*.pgm"))
	if err != nil || len(pages) != 1+large().plan().columns*large().plan().rows {
		t.Fatalf("%d pages: %v", len(pages), err)
	}
	for _, page := range pages {
		image, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		got := barLength(t, image) / dpi * 25.4
		near(t, filepath.Base(page)+": bar", got, CheckBar, 2*25.4/dpi)
	}
}

// barLength measures the check bar on a rendered sheet: two level dark runs of
// one length, one above the other, that start at the left margin. It returns
// the length in pixels.
func barLength(t *testing.T, pgm []byte) float64 {
	t.Helper()
	var width, height, top int
	if _, err := fmt.Sscanf(string(pgm[:40]), "P5\n%d %d\n%d", &width, &height, &top); err != nil {
		t.Fatal(err)
	}
	pixels := pgm[len(pgm)-width*height:]
	for y := height - 1; y > height/2; y-- {
		row := pixels[y*width : (y+1)*width]
		start := 0
		for start < width && row[start] > 160 {
			start++
		}
		end := start
		for end < width && row[end] <= 160 {
			end++
		}
		if end-start > width/4 {
			return float64(end-start) - 1
		}
	}
	t.Error("no bar found")
	return 0
}

// The whole picture rendered by an independent reader is as large as said, and
// its bar measures 100 mm.
func TestSVGByRsvg(t *testing.T) {
	tool := needtool.Path(t, "rsvg-convert", "librsvg2-bin")
	dir := t.TempDir()
	file := filepath.Join(dir, "sample.svg")
	if err := os.WriteFile(file, sample().SVG(), 0o644); err != nil {
		t.Fatal(err)
	}
	pdf := filepath.Join(dir, "sample.pdf")
	if out, err := exec.Command(tool, "-f", "pdf", "-o", pdf, file).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	raster := needtool.Path(t, "pdftoppm", "poppler-utils")
	const dpi = 150
	if out, err := exec.Command(raster, "-r", strconv.Itoa(dpi), "-gray", "-singlefile", pdf, filepath.Join(dir, "page")).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	image, err := os.ReadFile(filepath.Join(dir, "page.pgm"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bar", barLength(t, image)/dpi*25.4, CheckBar, 2*25.4/dpi)
}

package draw

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/spec"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r2"
)

// solved loads a built-in figure, with values replaced, and solves it.
func solved(t testing.TB, name string, sets ...string) (*mech.Model, *solve.Solution) {
	t.Helper()
	f, ok := spec.FindFigure(name)
	if !ok {
		t.Fatalf("no figure %s", name)
	}
	s, msgs := spec.Load(spec.Source{Name: name, Text: f.Text}, sets, nil)
	if len(msgs) > 0 {
		t.Fatal(msgs)
	}
	return s.Model, solve.Solve(s.Model)
}

// The edges that a cutter gets, read back from the file, enclose what the
// outline's support function h says: area ½∫(h² − h'²) and perimeter ∫h over
// the angles (Santaló, Integral Geometry and Geometric Probability, I.1.2), and
// the holes are those of the table.
func TestPlatesReadBack(t *testing.T) {
	for _, sets := range [][]string{nil, {"frame.cutter=0.4"}} {
		m, s := solved(t, "watchman", sets...)
		half := m.Frame.Cutter / 2
		for i := range s.Frame.Plates {
			p := &s.Frame.Plates[i]
			shapes, layers, _ := readDXF(t, PlateCut(m, p).DXF())
			if layers[0] != "CUT" {
				t.Fatalf("the first shape lies on layer %s", layers[0])
			}
			support := func(theta float64) (h, rate float64) {
				sin, cos := math.Sincos(theta)
				h = math.Inf(-1)
				for _, hole := range p.Holes {
					for _, at := range [2]r2.Vec{hole.At, hole.End} {
						if v := at.X*cos + at.Y*sin + hole.Diameter/2 + p.Margin + half; v > h {
							h, rate = v, at.Y*cos-at.X*sin
						}
					}
				}
				return h, rate
			}
			const n = 200000 // the rate jumps, so the rule is plain and the steps many
			area, perimeter := 0.0, 0.0
			for k := range n {
				h, rate := support(2 * math.Pi * (float64(k) + 0.5) / n)
				area += (h*h - rate*rate) / 2 * 2 * math.Pi / n
				perimeter += h * 2 * math.Pi / n
			}
			name := m.Frame.Plates[p.Plate].Name
			near(t, name+" area", math.Abs(shapes[0].Path.Area()), area, 1e-4*area)
			near(t, name+" perimeter", shapes[0].Path.Length(), perimeter, 1e-4*perimeter)
			if len(shapes) != 1+len(p.Holes) {
				t.Fatalf("%s: %d shapes for %d holes", name, len(shapes), len(p.Holes))
			}
			for k, h := range p.Holes {
				b := shapes[k+1].bounds()
				near(t, name+" hole u", b.Centre().X, (h.At.X+h.End.X)/2, 1e-5)
				near(t, name+" hole v", b.Centre().Y, (h.At.Y+h.End.Y)/2, 1e-5)
				near(t, name+" hole width", b.Size().X, h.Diameter-2*half+math.Abs(h.End.X-h.At.X), 1e-5)
				near(t, name+" hole height", b.Size().Y, h.Diameter-2*half+math.Abs(h.End.Y-h.At.Y), 1e-5)
			}
		}
	}
}

// A rim read back from the cutting file lies within 0.01 mm of the true rim both
// ways, encloses ½∮(x dy − y dx) of it, and with a cutter stands off by half its
// width.
func TestCamsReadBack(t *testing.T) {
	for _, name := range []string{"watchman", "baker", "tinker"} {
		for _, cutter := range []float64{0, 0.4} {
			m, s := solved(t, name, fmt.Sprintf("frame.cutter=%g mm", cutter))
			for i := range m.Cams {
				shapes, layers, texts := readDXF(t, CamCut(m, s, i).DXF())
				if !slices.Equal(slices.Compact(layers), []string{"CUT", "HOLE", "MARK", "TEXT"}) || texts[0] != m.Cams[i].Name {
					t.Errorf("layers %v, texts %v", layers, texts)
				}
				compareRim(t, m.Cams[i].Name, s.Machine.Cams[i], shapes[0].Path, cutter/2)
				bore := 2*shaftRadius(s, m.Cams[i].Shaft) + m.Frame.HoleAllowance - cutter
				near(t, "bore", 2*shapes[1].Radius, bore, 1e-5)
			}
		}
	}
}

func compareRim(t *testing.T, name string, c *solve.Cam, rim Path, off float64) {
	t.Helper()
	const n = 7200
	var segments []segment
	rim.segments(func(s segment) { segments = append(segments, s) })
	// The angles, with both sides of every joint among them.
	var angles []float64
	for k := range n {
		angles = append(angles, 2*math.Pi*float64(k)/n)
	}
	for _, b := range c.Breaks() {
		angles = append(angles, b-1e-9, b)
	}
	slices.Sort(angles)
	true1, area := make([]r2.Vec, len(angles)), 0.0
	for k, phi := range angles {
		true1[k] = c.Contact(phi).Rim
	}
	for k, p := range true1 {
		next := true1[(k+1)%len(true1)]
		area += r2.Cross(p, next) / 2
		least := math.Inf(1)
		for _, s := range segments {
			least = min(least, s.distance(p))
		}
		// A round cutter leaves inner corners, so a line moved off goes there only
		// as far as it may.
		if off == 0 && least > 0.01 || least > 1.5*off+0.01 {
			t.Fatalf("%s: the true rim at %.2f° lies %g from the drawn one", name, angles[k]*180/math.Pi, least)
		}
	}
	if off == 0 {
		near(t, name+" area", math.Abs(rim.Area()), math.Abs(area), 0.01*rim.Length())
	}
	for _, s := range segments {
		for k := range 4 {
			p := s.at(float64(k) / 4)
			least := math.Inf(1)
			for j, q := range true1 {
				least = min(least, segment{a: q, b: true1[(j+1)%len(true1)]}.distance(p))
			}
			if least > off+0.011 || least < off-0.011 {
				t.Fatalf("%s: a drawn point lies %g from the rim, want %g", name, least, off)
			}
		}
	}
}

// The rim's area by Gauss quadrature of the exact contact, independent of the
// sampling above.
func TestCamAreaByQuadrature(t *testing.T) {
	m, s := solved(t, "watchman")
	c := s.Machine.Cams[0] // waves: smooth all round
	const h = 1e-5
	area := quad.Fixed(func(phi float64) float64 {
		p := c.Contact(phi).Rim
		d := r2.Scale(1/(2*h), r2.Sub(c.Contact(phi+h).Rim, c.Contact(phi-h).Rim))
		return r2.Cross(p, d) / 2
	}, 0, 2*math.Pi, 400, nil, 0)
	rim := rimPath(c, 0)
	near(t, m.Cams[0].Name, math.Abs(rim.Area()), math.Abs(area), RimTolerance*rim.Length())
}

// The flat of a bore faces +u of the view when the template stands at motor turn
// 0, whatever the cam's heading, phase and sense.
func TestBoreFlat(t *testing.T) {
	for _, sets := range [][]string{{"cams.sway.phase=0 deg"}, {"cams.sway.phase=77 deg"}, {"cams.sway.phase=77 deg", "motor.sense=cw"}} {
		m, s := solved(t, "watchman", append(sets, "drive.shafts.side.flat=3.5")...)
		bore := borePath(m, s, 0, 0)
		turned := bore.Move(solve.CamMark(m, 0)+s.Machine.Cams[0].Sense()*m.Cams[0].Phase, r2.Vec{})
		b := turned.Bounds()
		// 3.5 across the flat of a 4 mm shaft, 0.2 of allowance on the diameter.
		near(t, "across the flat", b.Size().X, 3.7, 1e-9)
		near(t, "flat's place", b.Max.X, 1.6, 1e-9)
		near(t, "across", b.Size().Y, 4.2, 1e-9)
	}
}

func TestSolidsReadBack(t *testing.T) {
	m, s := solved(t, "watchman")
	check := func(name string, solid Solid) {
		data, err := solid.STL(name)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		volume, _ := readSTL(t, data)
		area, edge := math.Abs(solid.Outer.Area()), solid.Outer.Length()
		for _, h := range solid.Holes {
			area -= math.Abs(h.Area())
			edge += h.Length()
		}
		near(t, name+" volume", volume, area*solid.Thickness, edge*solidTolerance*solid.Thickness)
	}
	for i := range s.Frame.Plates {
		check("plate", PlateSolid(s, &s.Frame.Plates[i]))
	}
	for i := range m.Cams {
		check(m.Cams[i].Name, CamSolid(m, s, i))
	}
}

var fileName = regexp.MustCompile(`^[a-z]+(-[\pL\pN_-]+)?\.(svg|pdf|dxf|stl)$`)

// Every file of every figure reads back, and comes out the same again.
func TestFilesReadBack(t *testing.T) {
	for _, name := range []string{"watchman", "baker", "tinker"} {
		m, s := solved(t, name)
		files, err := Files(m, s)
		if err != nil {
			t.Fatal(err)
		}
		again, _ := Files(m, s)
		var kinds []string
		for i, f := range files {
			if !fileName.MatchString(f.Name) {
				t.Errorf("file name %q", f.Name)
			}
			if !bytes.Equal(f.Data, again[i].Data) {
				t.Errorf("%s differs the second time", f.Name)
			}
			kind := filepath.Ext(f.Name)
			kinds = append(kinds, kind)
			switch kind {
			case ".svg":
				shapes, texts, _ := readSVG(t, f.Data)
				if len(shapes) < 4 || !slices.ContainsFunc(texts, func(s string) bool { return strings.Contains(s, "100 mm") }) {
					t.Errorf("%s: %d shapes, texts %q", f.Name, len(shapes), texts)
				}
				textsApart(t, f.Name, f.Data)
			case ".dxf":
				readDXF(t, f.Data)
			case ".stl":
				readSTL(t, f.Data)
			}
		}
		if !slices.Contains(kinds, ".pdf") || !slices.Contains(kinds, ".stl") {
			t.Errorf("%s: kinds %v", name, kinds)
		}
	}
}

var textElement = regexp.MustCompile(`<text x="([^"]+)" y="([^"]+)" font-size="([^"]+)" text-anchor="([^"]+)"[^>]*>([^<]*)</text>`)

// textsApart checks that no two pieces of writing of a sheet lie on each other.
func textsApart(t *testing.T, name string, svg []byte) {
	t.Helper()
	type box struct {
		Bounds
		text string
	}
	var boxes []box
	anchors := map[string]Anchor{"start": Left, "middle": Middle, "end": Right}
	for _, found := range textElement.FindAllSubmatch(svg, -1) {
		var x, y, height float64
		fmt.Sscan(string(found[1]), &x)
		fmt.Sscan(string(found[2]), &y)
		fmt.Sscan(string(found[3]), &height)
		b := Text{At: r2.Vec{X: x, Y: -y}, Height: 0.8 * height, Anchor: anchors[string(found[4])], Text: string(found[5])}.bounds()
		for _, o := range boxes {
			if b.Min.X < o.Max.X && o.Min.X < b.Max.X && b.Min.Y < o.Max.Y && o.Min.Y < b.Max.Y {
				t.Errorf("%s: %q lies on %q", name, found[5], o.text)
			}
		}
		boxes = append(boxes, box{b, string(found[5])})
	}
	if len(boxes) == 0 {
		t.Errorf("%s: no text", name)
	}
}

// Names that no file system or format takes as they are.
func TestStrangeNames(t *testing.T) {
	m, s := solved(t, "watchman")
	m.Cams[0].Name, m.Cams[1].Name = "../a/b: <c> & \"d\"\x00", "../A/B: <C> & \"D\"\x00"
	m.Name = strings.Repeat("Имя & Ω ", 30)
	files, err := Files(m, s)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, f := range files {
		lower := strings.ToLower(f.Name)
		if seen[lower] || strings.ContainsAny(f.Name, `/\:<>"|?*`+"\x00") || len(f.Name) > 255 {
			t.Errorf("file name %q", f.Name)
		}
		seen[lower] = true
		if filepath.Ext(f.Name) == ".svg" {
			readSVG(t, f.Data)
		}
		if os.PathSeparator == '/' && filepath.Base(f.Name) != f.Name {
			t.Errorf("file name %q leaves its folder", f.Name)
		}
	}
}

func BenchmarkFiles(b *testing.B) {
	m, s := solved(b, "watchman")
	for b.Loop() {
		if _, err := Files(m, s); err != nil {
			b.Fatal(err)
		}
	}
}

package draw

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
)

// borePath returns the bore of a cam on its shaft, shrunk by half the cutter:
// round, or with the shaft's flat where the shaft has one. In the template the
// flat lies where +u of the view is at motor turn 0.
func borePath(m *mech.Model, s *solve.Solution, cam int, shrink float64) Path {
	c := &m.Cams[cam]
	shaft := &m.Shafts[c.Shaft]
	fits := 2 * shaftRadius(s, c.Shaft)
	r := (fits+m.Frame.HoleAllowance)/2 - shrink
	flat := shaft.Flat.Value - fits/2 + m.Frame.HoleAllowance/2 - shrink
	if !shaft.Flat.OK || flat >= r || flat <= -r {
		return Round(r2.Vec{}, r)
	}
	turn := -(solve.CamMark(m, cam) + s.Machine.Cams[cam].Sense()*c.Phase)
	half := math.Acos(flat / r)
	sin, cos := math.Sincos(half)
	p := Path{Closed: true, Vertices: []Vertex{
		{r2.Vec{X: r * cos, Y: r * sin}, math.Tan((math.Pi - half) / 4)},
		{r2.Vec{X: -r}, math.Tan((math.Pi - half) / 4)},
		{r2.Vec{X: r * cos, Y: -r * sin}, 0},
	}}
	return p.Move(turn, r2.Vec{})
}

// shaftRadius returns the radius of a shaft as laid out.
func shaftRadius(s *solve.Solution, shaft int) float64 {
	for i := range s.Frame.Parts {
		if p := &s.Frame.Parts[i]; p.Kind == solve.FrameShaft && p.Index == shaft {
			return p.Radius
		}
	}
	return 0
}

// camPart returns a cam's part of the stack-up.
func camPart(s *solve.Solution, cam int) *solve.FramePart {
	for i := range s.Frame.Parts {
		if p := &s.Frame.Parts[i]; p.Kind == solve.FrameCam && p.Index == cam {
			return p
		}
	}
	return nil
}

// CamDrawing draws a cam's template: rim, bore, timing mark, and the ruling by
// which its lift is checked.
func CamDrawing(m *mech.Model, s *solve.Solution, cam int) Drawing {
	c, solved, r := &m.Cams[cam], s.Machine.Cams[cam], &s.Cams[cam]
	d := Drawing{Name: "cam-" + c.Name, Title: m.Name + ": cam " + c.Name}
	sense := "counter-clockwise"
	if solved.Sense() < 0 {
		sense = "clockwise"
	}
	shaft := &m.Shafts[c.Shaft]
	d.Notes = append(d.Notes,
		fmt.Sprintf("on shaft %s, turns %s as the %s view is seen; %s thick, base circle radius %s", shaft.Name, sense, shaft.View,
			inUnit(m, camPart(s, cam).Thickness()), inUnit(m, r.Base)),
		fmt.Sprintf("bore %s for %s; at motor turn 0 the timing mark points to %.1f° from +u of the view", number(m, 2*shaftRadius(s, c.Shaft)+m.Frame.HoleAllowance),
			inUnit(m, 2*shaftRadius(s, c.Shaft)), 180/math.Pi*wrapTurn(solve.CamMark(m, cam)+solved.Sense()*c.Phase)))
	if solved.Status != solve.CamSolved {
		d.Notes = append(d.Notes, "the follower cannot move as stated: no rim")
		d.Circle(Axis, r2.Vec{}, c.Base)
		return d
	}
	if c.Follower != nil && c.Follower.Path == mech.Axial {
		d.unrolled(m, c, solved)
		return d
	}
	if r.Undercut {
		d.Notes = append(d.Notes, "the rim undercuts: this cam cannot move its follower as stated")
	}
	rim := rimPath(solved, 0)
	d.Path(Cut, rim)
	d.Path(Hole, borePath(m, s, cam, 0))
	d.camRuling(solved, r)
	d.camLifts(m, solved)
	return d
}

// wrapTurn returns the angle in [0, 2π).
func wrapTurn(a float64) float64 {
	a = math.Mod(a, 2*math.Pi)
	if a < 0 {
		a += 2 * math.Pi
	}
	return a
}

// camRuling draws base circle, centre, mark, sense and a line every 10° of φ.
func (d *Drawing) camRuling(c *solve.Cam, r *solve.CamResult) {
	polar := func(rho, angle float64) r2.Vec {
		sin, cos := math.Sincos(angle)
		return r2.Vec{X: rho * cos, Y: rho * sin}
	}
	b := d.Bounds()
	reach := max(-b.Min.X, b.Max.X, -b.Min.Y, b.Max.Y)
	height := TextHeight(max(2*reach+14, CheckBar+20))
	d.Circle(Axis, r2.Vec{}, r.Base)
	d.Cross(Axis, r2.Vec{}, max(4, r.Base/4))
	out := reach + 1.5
	for k := range 36 {
		angle := -c.Sense() * float64(k) * math.Pi / 18
		far := out
		if k%3 == 0 {
			far += 1.5
			d.Text(r2.Add(polar(out+2+0.9*height, angle), r2.Vec{Y: -0.35 * height}), 0.8*height, Middle, fmt.Sprintf("%d°", 10*k))
		}
		if k == 0 {
			continue
		}
		d.Line(Ruling, polar(r.Base, angle), polar(far, angle))
	}
	// The mark: from the bore's edge out beyond the rim, with a head.
	d.Line(Mark, polar(0.45*r.Base, 0), polar(out+1.5, 0))
	d.Path(Mark, Polygon(polar(out+1.5, 0), r2.Vec{X: out - 1.2, Y: 1}, r2.Vec{X: out - 1.2, Y: -1}))
	d.senseArrow(0.72*r.Base, c.Sense())
}

// senseArrow draws an arc arrow about the origin in the sense of rotation.
func (d *Drawing) senseArrow(radius, sense float64) {
	const from, to = 40 * math.Pi / 180, 110 * math.Pi / 180
	a, b := from, to
	if sense < 0 {
		a, b = to, from
	}
	sinA, cosA := math.Sincos(a)
	sinB, cosB := math.Sincos(b)
	tip := r2.Vec{X: radius * cosB, Y: radius * sinB}
	d.Path(Mark, Path{Vertices: []Vertex{{r2.Vec{X: radius * cosA, Y: radius * sinA}, math.Tan((b - a) / 4)}, {P: tip}}})
	along := r2.Scale(sense, r2.Vec{X: -sinB, Y: cosB})
	across := r2.Vec{X: -along.Y, Y: along.X}
	size := max(1.6, radius/8)
	d.Path(Mark, Polyline(r2.Add(tip, r2.Add(r2.Scale(-size, along), r2.Scale(size/2, across))), tip,
		r2.Add(tip, r2.Sub(r2.Scale(-size, along), r2.Scale(size/2, across)))))
}

// camLifts writes the lift every 10° below the template.
func (d *Drawing) camLifts(m *mech.Model, c *solve.Cam) {
	b := d.Bounds()
	height := TextHeight(max(b.Size().X, CheckBar+20))
	const columns, rows = 4, 9
	at := r2.Vec{X: b.Centre().X - max(b.Size().X, CheckBar+20)/2, Y: b.Min.Y - 2*height}
	unit := m.Lengths
	head := "φ and lift, mm:"
	switch {
	case c.Swings():
		head = "φ and lift, deg:"
	case unit == mech.Inch:
		head = "φ and lift, in:"
	}
	d.Text(at, height, Left, head)
	wide := TextWidth("360° 00.00   ", height)
	for k := range columns * rows {
		p := r2.Vec{X: at.X + float64(k/rows)*wide, Y: at.Y - float64(k%rows+1)*1.35*height}
		lift := c.Lift(float64(k) * math.Pi / 18).S
		value := number(m, lift)
		if c.Swings() {
			value = plainZero(fmt.Sprintf("%.2f", lift*180/math.Pi))
		}
		d.Text(r2.Vec{X: p.X + 2.4*height, Y: p.Y}, height, Right, fmt.Sprintf("%d°", 10*k))
		d.Text(r2.Vec{X: p.X + 6.2*height, Y: p.Y}, height, Right, value)
	}
}

// unrolled draws a face cam's track as a strip to wrap round its drum: along
// the track in the order met, the rim's height up.
func (d *Drawing) unrolled(m *mech.Model, c *mech.Cam, solved *solve.Cam) {
	length := 2 * math.Pi * c.Follower.TrackRadius
	d.Notes = append(d.Notes, fmt.Sprintf("track unrolled at radius %s, in the order the follower meets it", inUnit(m, c.Follower.TrackRadius)))
	foot := -max(c.Thickness, 5)
	outline := rimPath(solved, 0)
	outline.Closed = false
	ends := outline.Vertices
	if n := len(ends); n > 0 && length-ends[n-1].P.X > 1e-6 {
		outline.Vertices = append(ends, Vertex{P: r2.Vec{X: length, Y: ends[0].P.Y}})
	}
	outline.Vertices = append(outline.Vertices, Vertex{P: r2.Vec{X: length, Y: foot}}, Vertex{P: r2.Vec{Y: foot}})
	outline.Closed = true
	d.Path(Cut, outline)
	height := TextHeight(length)
	for k := range 37 {
		x := length * float64(k) / 36
		d.Line(Ruling, r2.Vec{X: x, Y: foot}, r2.Vec{X: x, Y: solved.Lift(float64(k) * math.Pi / 18).S})
		if k%3 == 0 && k < 36 {
			d.Text(r2.Vec{X: x, Y: foot - height}, 0.8*height, Left, fmt.Sprintf("%d°", 10*k))
		}
	}
	d.Line(Mark, r2.Vec{Y: foot}, r2.Vec{Y: solved.Lift(0).S + 4})
}

// CamCut is a cam for the cutter: rim and bore, with half the cutter's width
// added outside and taken off inside, and the timing mark.
func CamCut(m *mech.Model, s *solve.Solution, cam int) Drawing {
	c, solved := &m.Cams[cam], s.Machine.Cams[cam]
	half := m.Frame.Cutter / 2
	d := Drawing{Name: "cam-" + c.Name}
	if c.Follower != nil && c.Follower.Path == mech.Axial {
		d.unrolled(m, c, solved)
		d.Texts = nil
		return d
	}
	d.Path(Cut, rimPath(solved, half))
	if bore := borePath(m, s, cam, half); len(bore.Vertices) == 2 {
		d.Circle(Hole, r2.Vec{}, bore.Bounds().Size().X/2)
	} else {
		d.Path(Hole, bore)
	}
	base := s.Cams[cam].Base
	d.Line(Mark, r2.Vec{X: 0.5 * base}, r2.Vec{X: 0.9 * base})
	d.Text(r2.Vec{X: -0.6 * base, Y: 0.4 * base}, max(2, 0.15*base), Left, c.Name)
	return d
}

// CamSolid is a cam for the printer.
func CamSolid(m *mech.Model, s *solve.Solution, cam int) Solid {
	return Solid{
		Outer:     rimPath(s.Machine.Cams[cam], 0),
		Holes:     []Path{borePath(m, s, cam, 0)},
		Thickness: camPart(s, cam).Thickness(),
	}
}

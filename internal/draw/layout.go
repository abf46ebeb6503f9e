package draw

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
)

// LayoutDrawing draws the sprockets, belts, gears, cams and the motor of one
// view, as it is seen, at motor turn 0; false when the view has none.
func LayoutDrawing(m *mech.Model, s *solve.Solution, view geom.View) (Drawing, bool) {
	d := Drawing{Name: "layout-" + view.String(), Title: m.Name + ": drive layout, " + view.String() + " view"}
	parts := viewParts(s, view)
	if len(parts) == 0 {
		return d, false
	}
	d.Notes = append(d.Notes, layoutNotes(m, s, view)...)
	for _, p := range parts { // behind what turns round
		if p.Kind == solve.FrameCam {
			d.Circle(Sweep, p.At, p.Radius)
		}
	}
	slices.SortStableFunc(parts, func(a, b *solve.FramePart) int { return cmp.Compare(b.Radius, a.Radius) })
	for _, p := range parts {
		switch p.Kind {
		case solve.FrameMotor:
			d.motorOutline(m)
		case solve.FrameSprocket, solve.FrameIdler, solve.FrameGear, solve.FrameCrank:
			d.Circle(Body, p.At, p.Radius)
		}
	}
	for i := range m.Cams {
		d.camInPlace(m, s, view, i)
	}
	d.pitchCircles(m, parts)
	for i := range m.Belts {
		if m.Belts[i].View == view && s.Belts[i].Status == solve.LoopOK {
			d.Path(Belt, beltPath(&m.Belts[i], &s.Belts[i]))
			d.takeUp(m, &m.Belts[i], &s.Belts[i])
		}
	}
	d.linkages(m, s, view)
	for i := range m.Shafts {
		if m.Shafts[i].View == view {
			d.Circle(Cut, m.Shafts[i].At, shaftRadius(s, i))
			d.Cross(Axis, m.Shafts[i].At, shaftRadius(s, i)+3)
		}
	}
	b := d.Bounds()
	if view == geom.Plan && m.Torso != nil {
		d.Cross(Mark, r2.Vec{}, 4)
		b = d.Bounds()
	}
	d.layoutLabels(m, s, view, TextHeight(max(b.Size().X, CheckBar+20)))
	return d, true
}

// viewParts returns the round parts that turn in a view, and the motor.
func viewParts(s *solve.Solution, view geom.View) []*solve.FramePart {
	var out []*solve.FramePart
	for i := range s.Frame.Parts {
		p := &s.Frame.Parts[i]
		switch p.Kind {
		case solve.FrameSprocket, solve.FrameIdler, solve.FrameGear, solve.FrameCam, solve.FrameCrank, solve.FrameMotor:
			if p.View == view {
				out = append(out, p)
			}
		}
	}
	return out
}

func layoutNotes(m *mech.Model, s *solve.Solution, view geom.View) []string {
	var notes []string
	for i := range m.Belts {
		b, r := &m.Belts[i], &s.Belts[i]
		if b.View != view || r.Status != solve.LoopOK {
			continue
		}
		note := fmt.Sprintf("belt %s: %.2f teeth as drawn", b.Name, r.TeethExact)
		if f := &r.Fitted; f.Teeth > 0 {
			note += fmt.Sprintf("; fit %d teeth", f.Teeth)
			if f.TakeUp.OK {
				note += fmt.Sprintf(", take-up %s", inUnit(m, f.TakeUp.Value))
			}
		}
		notes = append(notes, note)
	}
	return append(notes, "green: belts on their pitch line; filled: bodies with flanges; shaded: what cams sweep; cams and linkages as at motor turn 0")
}

// beltPath returns a belt's pitch line.
func beltPath(b *mech.Belt, r *solve.BeltResult) Path {
	way := 1.0
	if r.Clockwise {
		way = -1
	}
	p := Path{Closed: true}
	n := len(r.Spans)
	for i, span := range r.Spans {
		p.Vertices = append(p.Vertices, Vertex{P: span.Leave})
		next := (i + 1) % n
		sign := way
		if b.Run[next].Back {
			sign = -way
		}
		p.Vertices = append(p.Vertices, Vertex{span.Meet, sign * math.Tan(r.Pulleys[next].Wrap/4)})
	}
	return p
}

func (d *Drawing) pitchCircles(m *mech.Model, parts []*solve.FramePart) {
	for _, p := range parts {
		switch p.Kind {
		case solve.FrameSprocket:
			d.Circle(Axis, p.At, solve.PitchRadius(m.Belts[p.Index].Section, m.Belts[p.Index].Run[p.Pulley]))
		case solve.FrameGear:
			g := &m.Gears[p.Index]
			teeth := g.Driven.Teeth
			if p.Shaft == g.Driver.Shaft {
				teeth = g.Driver.Teeth
			}
			if g.Module > 0 && g.Kind != mech.Worm {
				d.Circle(Axis, p.At, g.Module*float64(teeth)/2)
			}
		}
	}
}

// takeUp draws the travel of a belt's take-up with both ends, and where the
// fitted belt puts it.
func (d *Drawing) takeUp(m *mech.Model, b *mech.Belt, r *solve.BeltResult) {
	t := b.TakeUp
	if t == nil {
		return
	}
	at := r.Pulleys[t.Pulley].At
	low, high := r2.Add(at, r2.Scale(t.Min, t.Along)), r2.Add(at, r2.Scale(t.Max, t.Along))
	d.Line(Mark, low, high)
	across := r2.Scale(2, r2.Vec{X: -t.Along.Y, Y: t.Along.X})
	for _, end := range [2]r2.Vec{low, high} {
		d.Line(Mark, r2.Sub(end, across), r2.Add(end, across))
	}
	if r.Fitted.TakeUp.OK {
		d.Circle(Mark, r.Fitted.At, 1)
	}
}

// motorOutline draws the motor's body and screws behind the drive.
func (d *Drawing) motorOutline(m *mech.Model) {
	body := m.Motor.Body
	at := m.Shafts[m.Motor.Shaft].At
	c := r2.Add(at, body.Centre)
	if body.Diameter > 0 {
		d.Circle(Hidden, c, body.Diameter/2)
	} else {
		half := r2.Scale(0.5, body.Size)
		d.Path(Hidden, Rectangle(Bounds{r2.Sub(c, half), r2.Add(c, half)}))
	}
	for _, s := range body.Screws {
		d.Circle(Hidden, r2.Add(at, s), max(body.ScrewDiameter, 1)/2)
	}
}

// camInPlace draws a cam's rim with its mark and its roller, as they stand at
// motor turn 0.
func (d *Drawing) camInPlace(m *mech.Model, s *solve.Solution, view geom.View, i int) {
	c, solved := &m.Cams[i], s.Machine.Cams[i]
	if m.Shafts[c.Shaft].View != view || solved.Status != solve.CamSolved || c.Follower != nil && c.Follower.Path == mech.Axial {
		return
	}
	at, turn := m.Shafts[c.Shaft].At, solve.CamMark(m, i)+solved.Sense()*c.Phase
	d.Path(Hidden, rimPath(solved, 0).Move(turn, at))
	sin, cos := math.Sincos(turn)
	tip := camPart(s, i).Radius
	d.Line(Mark, r2.Add(at, r2.Vec{X: 0.6 * tip * cos, Y: 0.6 * tip * sin}), r2.Add(at, r2.Vec{X: tip * cos, Y: tip * sin}))
	if c.Follower != nil && c.Follower.Kind == mech.Roller {
		p := solved.Contact(c.Phase).Pitch
		d.Circle(Hidden, r2.Vec{X: at.X + cos*p.X - sin*p.Y, Y: at.Y + sin*p.X + cos*p.Y}, c.Follower.Radius)
	}
}

// linkages draws the links of a view as they stand at motor turn 0, with the
// paths of their points over one turn of the driving shaft.
func (d *Drawing) linkages(m *mech.Model, s *solve.Solution, view geom.View) {
	for i := range m.Linkages {
		l, chain := &m.Linkages[i], s.Machine.Chains[i]
		if l.View != view || chain == nil {
			continue
		}
		pose := chain.NewPose()
		for _, bar := range l.Bars {
			a, b := pose.Pins[bar.Pins[0]].Pos, pose.Pins[bar.Pins[1]].Pos
			d.Path(Body, Stadium(a, b, l.BarWidth.Or(6)/2))
		}
		for _, plate := range l.Plates {
			var discs []Disc
			for _, p := range plate.Pins {
				discs = append(discs, Disc{pose.Pins[p.Pin].Pos, l.BarWidth.Or(6) / 2})
			}
			d.Path(Body, Hull(discs))
		}
		for _, pin := range pose.Pins {
			d.Circle(Cut, pin.Pos, l.PinDiameter.Or(3)/2)
		}
		d.pointPaths(l, chain, pose)
	}
}

// pointPaths draws a linkage's points: where they stand, and their path while
// one shaft drives the chain.
func (d *Drawing) pointPaths(l *mech.Linkage, chain *solve.Chain, pose *solve.ChainPose) {
	const looks = 180
	moving := chain.NewPose()
	for i := range l.Points {
		at := chain.Point(pose, i).Pos
		d.Line(Hidden, pose.Pins[l.Points[i].On[0]].Pos, at)
		d.Circle(Body, at, max(l.Points[i].Radius, 1.5))
		if len(chain.Shafts) != 1 {
			continue
		}
		var path []r2.Vec
		for k := range looks {
			if chain.Solve([]float64{2 * math.Pi * float64(k) / looks}, moving) {
				path = append(path, chain.Point(moving, i).Pos)
			}
		}
		if len(path) == looks {
			d.Path(Mark, Polygon(path...))
		}
	}
}

// layoutLabels names the shafts, with what sits on them, in a column beside the
// drawing, each tied to its shaft by a line.
func (d *Drawing) layoutLabels(m *mech.Model, s *solve.Solution, view geom.View, height float64) {
	var labels []label
	for i := range m.Shafts {
		if m.Shafts[i].View != view {
			continue
		}
		l := label{at: m.Shafts[i].At, lines: []string{m.Shafts[i].Name}}
		for k := range s.Frame.Parts {
			p := &s.Frame.Parts[k]
			if p.Shaft != i {
				continue
			}
			if text := partLabel(m, p); text != "" {
				l.lines = append(l.lines, text)
			}
		}
		labels = append(labels, l)
	}
	for k := range s.Frame.Parts {
		if p := &s.Frame.Parts[k]; p.Kind == solve.FrameIdler && p.View == view {
			labels = append(labels, label{at: p.At, lines: []string{p.Name}})
		}
	}
	d.labelColumn(labels, height)
}

// partLabel words a part that sits on a shaft.
func partLabel(m *mech.Model, p *solve.FramePart) string {
	level := number(m, p.Level())
	switch p.Kind {
	case solve.FrameSprocket:
		if t := m.Belts[p.Index].Run[p.Pulley].Teeth; t > 0 {
			return fmt.Sprintf("%dT sprocket at %s", t, level)
		}
		return "pulley at " + level
	case solve.FrameGear:
		g := &m.Gears[p.Index]
		teeth := g.Driven.Teeth
		if p.Shaft == g.Driver.Shaft {
			teeth = g.Driver.Teeth
		}
		return fmt.Sprintf("%dT gear %s at %s", teeth, g.Name, level)
	case solve.FrameCam:
		return fmt.Sprintf("cam %s at %s", m.Cams[p.Index].Name, level)
	case solve.FrameCrank:
		return "crank at " + level
	case solve.FrameMotor:
		return "motor"
	}
	return ""
}

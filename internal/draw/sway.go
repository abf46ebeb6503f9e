package draw

import (
	"fmt"
	"math"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/solve"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// SwayDrawing draws the space the figure's points sway through, seen in plan or
// from the front, with the stage's opening and what must be kept clear. False
// when there is no torso or it has no pose.
func SwayDrawing(m *mech.Model, s *solve.Solution, view geom.View) (Drawing, bool) {
	d := Drawing{Name: "sway-" + view.String(), Title: m.Name + ": sway, " + view.String() + " view"}
	if m.Torso == nil || s.Torso == nil || !s.Torso.Posed {
		return d, false
	}
	t := m.Torso
	d.Notes = []string{"outlines round every place a point's ball reaches, whatever the shafts' angles"}
	poses := swayPoses(s.Torso.Torso)
	var labels []label
	if view != geom.Plan {
		d.shaftReach(m, poses, view)
	}
	for i, point := range t.Points {
		d.Path(Sweep, swayOutline(poses, s.Torso.Torso, point, view))
		rest, _ := view.Project(r3.Add(point.At, r3.Vec{Z: t.Pivot}))
		d.Cross(Axis, rest, max(point.Radius, 2)+2)
		if point.Radius > 0 {
			d.Circle(Hidden, rest, point.Radius)
		}
		labels = append(labels, label{at: rest, lines: []string{point.Name, extentText(m, &s.Torso.Points[i], view)}})
	}
	labels = append(labels, d.stageAndOpening(m, s, view)...)
	for _, o := range t.KeepClear {
		labels = append(labels, label{at: d.obstacle(&o, view), lines: []string{o.Name}})
	}
	bounds := d.Bounds()
	d.labelColumn(labels, TextHeight(max(bounds.Size().X*1.3, CheckBar+20)))
	return d, true
}

// extentText words how far a point goes in the two directions of a view.
func extentText(m *mech.Model, r *solve.TorsoPointResult, view geom.View) string {
	span := func(e solve.Extent) string { return number(m, e.Min.Value) + " to " + number(m, e.Max.Value) }
	u, v := r.X, r.Y
	names := [2]string{"x", "y"}
	switch view {
	case geom.Front:
		v, names = r.Z, [2]string{"x", "z"}
	case geom.Side:
		u, v, names = r.Y, r.Z, [2]string{"y", "z"}
	}
	return fmt.Sprintf("%s %s, %s %s", names[0], span(u), names[1], span(v))
}

// swayPoses poses the torso at evenly spread angles of the shafts that push it.
func swayPoses(t *solve.Torso) []solve.TorsoPose {
	const looks = 72
	axes := len(t.Orbit().Axes)
	total := 1
	for range axes {
		total *= looks
	}
	x := make([]float64, axes)
	var out []solve.TorsoPose
	for n := range total {
		rest := n
		for k := range x {
			x[k] = 2 * math.Pi * float64(rest%looks) / looks
			rest /= looks
		}
		var pose solve.TorsoPose
		t.PoseAt(x, &pose, 0)
		if pose.Status == solve.TorsoPosed || pose.Status == solve.TorsoPushNotDriven {
			out = append(out, pose)
		}
	}
	return out
}

// swayOutline returns the convex outline of everywhere a point's ball goes.
func swayOutline(poses []solve.TorsoPose, t *solve.Torso, point mech.TorsoPoint, view geom.View) Path {
	places := make([]r2.Vec, len(poses))
	for i := range poses {
		places[i], _ = view.Project(t.Point(&poses[i], point.At))
	}
	return Hull(farthest(places, max(point.Radius, 0.5)))
}

// farthest keeps, of discs of one radius, those that reach farthest in some
// direction, which are all that matters to their hull.
func farthest(places []r2.Vec, radius float64) []Disc {
	const directions = 180
	var out []Disc
	for k := range directions {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / directions)
		best, most := r2.Vec{}, math.Inf(-1)
		for _, p := range places {
			if reach := p.X*cos + p.Y*sin; reach > most {
				best, most = p, reach
			}
		}
		if n := len(out); len(places) > 0 && (n == 0 || out[n-1].Centre != best) {
			out = append(out, Disc{best, radius})
		}
	}
	if n := len(out); n > 1 && out[0].Centre == out[n-1].Centre {
		out = out[:n-1]
	}
	return out
}

// shaftReach draws the torso shaft upright and the space it leans through.
func (d *Drawing) shaftReach(m *mech.Model, poses []solve.TorsoPose, view geom.View) {
	t := m.Torso
	var ends []r2.Vec
	pivot := r3.Vec{Z: t.Pivot}
	for i := range poses {
		end, _ := view.Project(r3.Add(pivot, poses[i].Turn(r3.Vec{Z: -t.ShaftDepth})))
		ends = append(ends, end)
	}
	top, _ := view.Project(pivot)
	discs := append(farthest(ends, t.ShaftDiameter/2), Disc{top, t.ShaftDiameter / 2})
	d.Path(Sweep, Hull(discs))
	foot := r2.Vec{X: top.X, Y: top.Y - t.ShaftDepth}
	d.Line(Axis, foot, r2.Vec{X: top.X, Y: top.Y + 10})
	d.Circle(Cut, top, max(t.ShaftDiameter/2, 2))
}

// stageAndOpening draws the stage's opening and what the shaft needs of it, and
// returns their labels.
func (d *Drawing) stageAndOpening(m *mech.Model, s *solve.Solution, view geom.View) []label {
	stage := m.Torso.Stage
	o := stage.Opening
	half := r2.Vec{X: o.Width / 2, Y: o.Depth / 2}
	if o.Shape == mech.CircleOpening {
		half = r2.Vec{X: o.Diameter / 2, Y: o.Diameter / 2}
	}
	if view == geom.Plan {
		switch o.Shape {
		case mech.CircleOpening:
			d.Circle(Cut, o.At, o.Diameter/2)
		case mech.RectangleOpening:
			d.Path(Cut, Rectangle(Bounds{r2.Sub(o.At, half), r2.Add(o.At, half)}))
		}
		d.Circle(Mark, o.At, s.Torso.Opening.Circle.Value/2)
		labels := []label{{at: r2.Vec{X: o.At.X, Y: o.At.Y - half.Y}, lines: []string{"opening; in red what the", "shaft needs, " + inUnit(m, s.Torso.Opening.Circle.Value)}}}
		for _, slot := range s.Frame.Slots {
			d.Path(Hidden, Rectangle(Bounds{slot.Min, slot.Max}))
			size := r2.Sub(slot.Max, slot.Min)
			labels = append(labels, label{at: r2.Vec{X: slot.Max.X, Y: (slot.Min.Y + slot.Max.Y) / 2},
				lines: []string{"slot for " + m.Linkages[slot.Linkage].Name, number(m, size.X) + " by " + inUnit(m, size.Y)}})
		}
		return labels
	}
	// A strip of stage on each side of the opening.
	centre, depth := o.At.X, half.X
	if view == geom.Side {
		centre, depth = o.At.Y, half.Y
	}
	const strip = 40
	for _, side := range [2]float64{-1, 1} {
		near, far := centre+side*depth, centre+side*(depth+strip)
		d.Path(Body, Rectangle(Bounds{r2.Vec{X: min(near, far), Y: -stage.Thickness}, r2.Vec{X: max(near, far)}}))
	}
	return []label{{at: r2.Vec{X: centre + depth + strip, Y: -stage.Thickness / 2}, lines: []string{"stage"}}}
}

// obstacle draws one thing to keep clear of and returns its middle.
func (d *Drawing) obstacle(o *mech.Obstacle, view geom.View) r2.Vec {
	if o.Kind == mech.BoxObstacle {
		a, _ := view.Project(o.Box.Min)
		b, _ := view.Project(o.Box.Max)
		d.Path(Alert, Rectangle(Bounds{a, b}))
		return r2.Scale(0.5, r2.Add(a, b))
	}
	c := &o.Cylinder
	if view == geom.Plan {
		d.Circle(Alert, c.At, c.Radius)
		return c.At
	}
	low, _ := view.Project(r3.Vec{X: c.At.X - c.Radius, Y: c.At.Y - c.Radius, Z: c.From})
	high, _ := view.Project(r3.Vec{X: c.At.X + c.Radius, Y: c.At.Y + c.Radius, Z: c.To})
	d.Path(Alert, Rectangle(Bounds{low, high}))
	return r2.Scale(0.5, r2.Add(low, high))
}

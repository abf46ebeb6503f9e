package solve

import (
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r3"
)

// LinkageClearance is the least gap between a linkage's point, as a ball of its
// radius, and an obstacle or a ball of the torso; negative when they meet.
type LinkageClearance struct {
	Point    int
	Obstacle int // of the torso's keep_clear; None when it is a point of the torso
	Torso    int // point of the torso, None otherwise
	Gap      Extreme
}

// clearances measures every point of the chain against what the torso keeps
// clear of, and balls against the torso's balls.
func (a *linkageAnalysis) clearances(s *Solution) []LinkageClearance {
	level := LinkageLevel(a.m, a.l)
	if a.m.Torso == nil || !level.OK {
		return nil
	}
	return append(a.obstacleGaps(level.Value), a.torsoGaps(level.Value, s)...)
}

// obstacleGaps measures the points against keep_clear.
func (a *linkageAnalysis) obstacleGaps(level float64) []LinkageClearance {
	obstacles := a.m.Torso.KeepClear
	n := len(a.l.Points) * len(obstacles)
	if n == 0 {
		return nil
	}
	field := Field{N: n, Sides: onlyMin(n), All: func(x, out []float64) {
		if !a.at(x) {
			fillNaN(out)
			return
		}
		for i, pt := range a.l.Points {
			at := a.l.View.Stage(a.c.Point(a.p, i).Pos, level)
			for k := range obstacles {
				out[i*len(obstacles)+k] = ObstacleDistance(at, &obstacles[k]) - pt.Radius
			}
		}
	}}
	ranges := a.orbit.Extents(field)
	var list []LinkageClearance
	for i := range a.l.Points {
		for k := range obstacles {
			if e := ranges[i*len(obstacles)+k]; e.Valid {
				list = append(list, LinkageClearance{Point: i, Obstacle: k, Torso: mech.None, Gap: e.Min})
			}
		}
	}
	return list
}

// torsoGaps measures balls of the linkage against balls of the torso, over the
// angles of all the shafts that move either.
func (a *linkageAnalysis) torsoGaps(level float64, s *Solution) []LinkageClearance {
	var pairs [][2]int
	for i, pt := range a.l.Points {
		for k, other := range a.m.Torso.Points {
			if pt.Radius > 0 && other.Radius > 0 {
				pairs = append(pairs, [2]int{i, k})
			}
		}
	}
	if len(pairs) == 0 || !torsoMoves(s) {
		return nil
	}
	t := s.Torso.Torso
	axes, places := joinAxes(a.orbit.Axes, a.c.Shafts, t.orbit.Axes, torsoShafts(a.m))
	own, theirs := make([]float64, len(a.c.Shafts)), make([]float64, len(t.orbit.Axes))
	var pose TorsoPose
	field := Field{N: len(pairs), Sides: onlyMin(len(pairs)), All: func(x, out []float64) {
		copy(own, x)
		for i, place := range places {
			theirs[i] = x[place]
		}
		t.PoseAt(theirs, &pose, 0)
		if !a.at(own) || pose.Status != TorsoPosed {
			fillNaN(out)
			return
		}
		for i, pair := range pairs {
			p, q := &a.l.Points[pair[0]], &a.m.Torso.Points[pair[1]]
			at := a.l.View.Stage(a.c.Point(a.p, pair[0]).Pos, level)
			out[i] = r3.Norm(r3.Sub(at, t.Point(&pose, q.At))) - p.Radius - q.Radius
		}
	}}
	orbit := Orbit{Axes: axes, Bound: len(axes) > 1 && s.Repeat.Bound}
	var list []LinkageClearance
	for i, e := range orbit.Extents(field) {
		if e.Valid {
			list = append(list, LinkageClearance{Point: pairs[i][0], Obstacle: mech.None, Torso: pairs[i][1], Gap: e.Min})
		}
	}
	return list
}

// joinAxes returns the axes of both orbits, shafts in common once, and where
// each of the second orbit's axes came to stand.
func joinAxes(first []OrbitAxis, firstShafts []int, second []OrbitAxis, secondShafts []int) (axes []OrbitAxis, places []int) {
	axes = slices.Clone(first)
	for i, shaft := range secondShafts {
		place := slices.Index(firstShafts, shaft)
		if place < 0 {
			place = len(axes)
			axes = append(axes, second[i])
		} else {
			axes[place].Breaks = append(slices.Clone(axes[place].Breaks), second[i].Breaks...)
			axes[place].Samples = max(axes[place].Samples, second[i].Samples)
		}
		places = append(places, place)
	}
	return axes, places
}

// torsoShafts lists the shafts that push the torso, in the order of its orbit's
// axes.
func torsoShafts(m *mech.Model) []int {
	var list []int
	for _, p := range m.Torso.Pushes {
		shaft := p.Crank.Shaft
		if p.Kind != mech.Rod {
			shaft = m.Cams[p.Cam].Shaft
		}
		if !slices.Contains(list, shaft) {
			list = append(list, shaft)
		}
	}
	return list
}

// torsoMoves reports whether the torso can be posed somewhere.
func torsoMoves(s *Solution) bool {
	if s.Torso == nil || s.Torso.Torso == nil {
		return false
	}
	t := s.Torso.Torso
	return t.Status == TorsoPosed || t.Status == TorsoPushNotDriven
}

// torsoBeat is a stage coordinate (0 x, 1 y, 2 z) of a point of the torso.
func torsoBeat(m *mech.Model, s *Solution, point, axis int) (beatMotion, bool) {
	if !torsoMoves(s) {
		return beatMotion{}, false
	}
	t := s.Torso.Torso
	motion := beatMotion{}
	var index []int
	for i, a := range t.orbit.Axes {
		if a.Ratio.Driven() {
			motion.axes = append(motion.axes, a)
			motion.shafts = append(motion.shafts, torsoShafts(m)[i])
			index = append(index, i)
		}
	}
	if len(index) == 0 {
		return beatMotion{}, false
	}
	var pose TorsoPose
	all := make([]float64, len(t.orbit.Axes))
	at := m.Torso.Points[point].At
	motion.at = func(x []float64) (float64, float64, bool) {
		for i, place := range index {
			all[place] = x[i]
		}
		t.PoseAt(all, &pose, 1)
		if pose.Status != TorsoPosed {
			return 0, 0, false
		}
		pos, vel := t.PointRate(&pose, at)
		return component(pos, axis), component(vel, axis), true
	}
	return motion, true
}

func onlyMin(n int) []Sides { return slices.Repeat([]Sides{OnlyMin}, n) }

// component returns a coordinate of v: 0 x, 1 y, 2 z.
func component(v r3.Vec, axis int) float64 {
	switch axis {
	case 0:
		return v.X
	case 1:
		return v.Y
	default:
		return v.Z
	}
}

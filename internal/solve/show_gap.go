package solve

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// The figures of a show run free of each other, so any instant of one may meet
// any instant of another: the least distance between two of their points is
// that between the two curves which the points trace.

// showPoint is a moving point of a figure, in stage coordinates of the show.
type showPoint struct {
	name   string
	radius float64
	at     func(p *Pose) (r3.Vec, bool)
	cloud  []r3.Vec // along the figure's path, evenly in motor turn
}

// showTraced is a figure whose points have been traced.
type showTraced struct {
	machine *Machine
	pose    *Pose
	turns   float64 // of the motor over the path
	placed  *mech.Placed
	points  []showPoint
}

const (
	// gapSamples is how many places of each path are kept.
	gapSamples = 1999
	// gapRounds bounds the search that fixes one point and seeks the nearest
	// place of the other in turn.
	gapRounds = 12
)

// showGaps returns the least gap of every pair of figures.
func showGaps(show *mech.Show, r *ShowResult) []ShowGap {
	traced := make([]*showTraced, len(show.Figures))
	for i := range show.Figures {
		traced[i] = traceFigure(&show.Figures[i], r.Figures[i].Solution)
	}
	var gaps []ShowGap
	for a := range traced {
		for b := a + 1; b < len(traced); b++ {
			if g, ok := leastGap(traced[a], traced[b]); ok {
				g.A, g.B = a, b
				gaps = append(gaps, g)
			}
		}
	}
	return gaps
}

func traceFigure(placed *mech.Placed, s *Solution) *showTraced {
	k := s.Machine
	t := &showTraced{machine: k, pose: k.NewPose(), placed: placed, turns: 1}
	if s.Repeat.Status == RepeatOK {
		t.turns = s.Repeat.Turns
	}
	if s.Repeat.Bound {
		t.turns = gapSamples * goldenTurn
	}
	t.listPoints()
	for i := range gapSamples {
		k.Pose(t.turns*float64(i)/gapSamples, t.pose)
		for j := range t.points {
			p := &t.points[j]
			if at, ok := p.at(t.pose); ok {
				p.cloud = append(p.cloud, t.place(at))
			} else {
				p.cloud = append(p.cloud, r3.Vec{X: math.NaN()})
			}
		}
	}
	return t
}

func (t *showTraced) listPoints() {
	k := t.machine
	if k.Torso != nil {
		for _, point := range k.Model.Torso.Points {
			t.points = append(t.points, showPoint{name: "torso." + point.Name, radius: point.Radius, at: func(p *Pose) (r3.Vec, bool) {
				return k.Torso.Point(&p.Torso, point.At), p.Torso.Posed()
			}})
		}
	}
	for i, l := range k.Model.Linkages {
		if k.Chains[i] == nil || !l.Level.OK {
			continue
		}
		for j, point := range l.Points {
			t.points = append(t.points, showPoint{name: l.Name + "." + point.Name, radius: point.Radius, at: func(p *Pose) (r3.Vec, bool) {
				if !p.Reached[i] {
					return r3.Vec{}, false
				}
				return l.View.Stage(k.Chains[i].Point(p.Chains[i], j).Pos, l.Level.Value), true
			}})
		}
	}
}

// place carries a figure's own stage coordinates to the show's.
func (t *showTraced) place(p r3.Vec) r3.Vec {
	sin, cos := math.Sincos(t.placed.Turn)
	turned := r2.Vec{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y}
	return r3.Vec{X: turned.X + t.placed.At.X, Y: turned.Y + t.placed.At.Y, Z: p.Z}
}

// leastGap finds the nearest two points of two figures.
func leastGap(a, b *showTraced) (ShowGap, bool) {
	best := ShowGap{Gap: math.Inf(1)}
	for i := range a.points {
		for j := range b.points {
			g := nearestPlaces(a, b, i, j)
			if g.Gap < best.Gap {
				best = g
			}
		}
	}
	return best, !math.IsInf(best.Gap, 1)
}

// nearestPlaces seeks the least gap of two points: from the coarse best pair of
// places, the nearest place on the one path to a place of the other, in turn,
// then between the samples.
func nearestPlaces(a, b *showTraced, i, j int) ShowGap {
	p, q := &a.points[i], &b.points[j]
	const coarse = 13 // every 13th place of each: 1/169 of all pairs
	best, m, n := math.Inf(1), 0, 0
	for x := 0; x < len(p.cloud); x += coarse {
		for y := 0; y < len(q.cloud); y += coarse {
			if d := square3(p.cloud[x], q.cloud[y]); d < best {
				best, m, n = d, x, y
			}
		}
	}
	if math.IsInf(best, 1) {
		return ShowGap{Gap: best}
	}
	for range gapRounds {
		before := best
		m, best = nearestPlace(p.cloud, q.cloud[n], m, best)
		n, best = nearestPlace(q.cloud, p.cloud[m], n, best)
		if best == before {
			break
		}
	}
	g := ShowGap{PointA: p.name, PointB: q.name, TurnsA: a.turns * float64(m) / gapSamples, TurnsB: b.turns * float64(n) / gapSamples}
	distance := math.Sqrt(best)
	for range gapRounds {
		before := distance
		distance = a.refine(p, b.spot(q, g.TurnsB), &g.TurnsA, distance)
		distance = b.refine(q, a.spot(p, g.TurnsA), &g.TurnsB, distance)
		if before-distance < 1e-9 {
			break
		}
	}
	g.Gap = distance - p.radius - q.radius
	return g
}

func square3(a, b r3.Vec) float64 {
	x, y, z := a.X-b.X, a.Y-b.Y, a.Z-b.Z
	return x*x + y*y + z*z
}

func nearestPlace(cloud []r3.Vec, to r3.Vec, at int, best float64) (int, float64) {
	for k, c := range cloud {
		if d := square3(c, to); d < best {
			at, best = k, d
		}
	}
	return at, best
}

// spot returns where a point stands after some motor turns.
func (t *showTraced) spot(p *showPoint, turns float64) r3.Vec {
	t.machine.Pose(turns, t.pose)
	at, ok := p.at(t.pose)
	if !ok {
		return r3.Vec{X: math.NaN()}
	}
	return t.place(at)
}

// refine moves along the path to the nearest place beside turns, where the
// distance is known, and returns the new distance.
func (t *showTraced) refine(p *showPoint, to r3.Vec, turns *float64, distance float64) float64 {
	reach := min(0.05, t.turns/gapSamples) / math.Max(1, t.fastest())
	at, value := brentMax(func(x float64) float64 {
		d := -math.Sqrt(square3(t.spot(p, x), to))
		if d != d {
			return math.Inf(-1)
		}
		return d
	}, *turns-reach, *turns, *turns+reach, -distance, 1e-9*reach)
	if -value < distance {
		*turns = at
		return -value
	}
	return distance
}

// fastest is the greatest speed ratio of any shaft.
func (t *showTraced) fastest() float64 {
	most := 0.0
	for _, r := range t.machine.Drive.Ratios {
		most = max(most, math.Abs(r.Float()))
	}
	return most
}

package solve

import (
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r3"
)

// ToothStep is what the teeth of one sprocket do to the timing: the step of
// phase that putting the belt on one tooth farther round gives, and how much the
// figure then differs.
type ToothStep struct {
	Belt, Pulley, Shaft int
	Step                float64 // rad of the shaft
	// Shafts turn with it, apart from the motor's, and by how much, rad.
	Shafts []int
	Turns  []float64
	// Lifts is by cam how far its follower stands off at most, mm or rad, and
	// Points by point of the torso how far it stands off at most, mm, over the
	// repeat. 0 where nothing changes.
	Lifts  []Extreme
	Points []Extreme
}

// SolveTiming works out every sprocket that sits on a shaft which moves the
// figure, or drives one.
func SolveTiming(m *mech.Model, s *Solution) []ToothStep {
	var out []ToothStep
	for i := range m.Belts {
		for k, p := range m.Belts[i].Run {
			if p.Shaft == mech.None || p.Teeth == 0 || !s.Drive.Ratios[p.Shaft].Driven() {
				continue
			}
			t := ToothStep{Belt: i, Pulley: k, Shaft: p.Shaft, Step: 2 * math.Pi / float64(p.Teeth)}
			t.follow(m, s)
			t.liftChanges(m, s)
			t.pointChanges(m, s)
			out = append(out, t)
		}
	}
	return out
}

// follow finds the shafts that turn with the sprocket's: all that belts and
// gears join to it without this belt. Where the motor is among them, it is the
// others that turn, the other way.
func (t *ToothStep) follow(m *mech.Model, s *Solution) {
	side := []int{t.Shaft}
	for k := 0; k < len(side); k++ {
		for _, next := range joined(m, side[k], t.Belt) {
			if !slices.Contains(side, next) {
				side = append(side, next)
			}
		}
	}
	turns := side
	if m.Motor != nil && slices.Contains(side, m.Motor.Shaft) {
		turns = nil
		for i := range m.Shafts {
			if s.Drive.Ratios[i].Driven() && !slices.Contains(side, i) {
				turns = append(turns, i)
			}
		}
	}
	own := math.Abs(s.Drive.Ratios[t.Shaft].Float())
	for _, shaft := range turns {
		t.Shafts = append(t.Shafts, shaft)
		t.Turns = append(t.Turns, t.Step*math.Abs(s.Drive.Ratios[shaft].Float())/own)
	}
}

// joined returns the shafts that one part other than the belt named ties to a
// shaft.
func joined(m *mech.Model, shaft, but int) []int {
	var out []int
	for i, belt := range m.Belts {
		if i == but || !slices.ContainsFunc(belt.Run, func(p mech.Pulley) bool { return p.Shaft == shaft && p.Teeth > 0 }) {
			continue
		}
		for _, p := range belt.Run {
			if p.Shaft != mech.None && p.Shaft != shaft && p.Teeth > 0 {
				out = append(out, p.Shaft)
			}
		}
	}
	for _, g := range m.Gears {
		switch shaft {
		case g.Driver.Shaft:
			out = append(out, g.Driven.Shaft)
		case g.Driven.Shaft:
			out = append(out, g.Driver.Shaft)
		}
	}
	return out
}

// turned returns how far a shaft turns.
func (t *ToothStep) turned(shaft int) float64 {
	if k := slices.Index(t.Shafts, shaft); k >= 0 {
		return t.Turns[k]
	}
	return 0
}

func (t *ToothStep) liftChanges(m *mech.Model, s *Solution) {
	t.Lifts = make([]Extreme, len(m.Cams))
	for i := range m.Cams {
		c, by := s.Machine.Cams[i], t.turned(m.Cams[i].Shaft)
		if by == 0 || c.Status != CamSolved {
			continue
		}
		axis := OrbitAxis{Ratio: s.Drive.Ratios[m.Cams[i].Shaft]}
		for _, phi := range c.Breaks() {
			axis.Breaks = append(axis.Breaks, phi-m.Cams[i].Phase, phi-m.Cams[i].Phase-by)
		}
		f := Field{N: 1, Sides: []Sides{OnlyMax}, All: func(x, out []float64) {
			phi := x[0] + m.Cams[i].Phase
			out[0] = math.Abs(c.Lift(phi+by).S - c.Lift(phi).S)
		}}
		t.Lifts[i] = Orbit{Axes: []OrbitAxis{axis}}.Extents(f)[0].Max
	}
}

func (t *ToothStep) pointChanges(m *mech.Model, s *Solution) {
	if m.Torso == nil || !torsoMoves(s) {
		return
	}
	torso, shafts := s.Torso.Torso, torsoShafts(m)
	t.Points = make([]Extreme, len(m.Torso.Points))
	by := make([]float64, len(shafts))
	moves := false
	for k, shaft := range shafts {
		by[k] = t.turned(shaft)
		moves = moves || by[k] != 0
	}
	if !moves {
		return
	}
	var before, after TorsoPose
	shifted := make([]float64, len(shafts))
	f := Field{N: len(t.Points), Sides: make([]Sides, len(t.Points))}
	for q := range f.Sides {
		f.Sides[q] = OnlyMax
	}
	f.All = func(x, out []float64) {
		for k := range x {
			shifted[k] = orbitWrap(x[k] + by[k])
		}
		torso.PoseAt(x, &before, 0)
		torso.PoseAt(shifted, &after, 0)
		for q := range out {
			at := m.Torso.Points[q].At
			out[q] = r3.Norm(r3.Sub(torso.Point(&after, at), torso.Point(&before, at)))
			if before.Status == TorsoOutOfReach || after.Status == TorsoOutOfReach {
				out[q] = math.NaN()
			}
		}
	}
	orbit := torso.Orbit()
	orbit.Bound = orbit.Bound || s.Repeat.Bound
	for k := range orbit.Axes {
		a := &orbit.Axes[k]
		breaks := slices.Clone(a.Breaks)
		for _, x := range a.Breaks {
			breaks = append(breaks, x-by[k])
		}
		a.Breaks = breaks
	}
	for q, e := range orbit.Extents(f) {
		t.Points[q] = e.Max
	}
}

package solve

// Placing pulleys of a figure's belts by name: what the solvers of position.go
// need, gathered from the model, with bodies kept out of each other.

import (
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// Unknown is a pulley that may move along a direction.
type Unknown struct {
	Name  string
	Along r2.Vec // unit vector
}

// NewUnknown returns the unknown with the direction (u, v), which must not be
// of no length.
func NewUnknown(name string, u, v float64) Unknown {
	return Unknown{Name: name, Along: r2.Unit(r2.Vec{X: u, Y: v})}
}

// Place is one set of places that closes the belts asked for.
type Place struct {
	Moved  []string
	Travel []float64 // mm from where each is drawn
	At     []r2.Vec
}

// PulleyName returns the name of what stands at a stop of a run: the shaft's or
// the idler's.
func PulleyName(m *mech.Model, p mech.Pulley) string {
	if p.Shaft == mech.None {
		return p.Idler
	}
	return m.Shafts[p.Shaft].Name
}

// StopNamed returns which stop of a belt's run has the name, or mech.None.
func StopNamed(m *mech.Model, belt int, name string) int {
	return slices.IndexFunc(m.Belts[belt].Run, func(p mech.Pulley) bool { return PulleyName(m, p) == name })
}

// LengthToFit returns the belt to be fitted, as asked for or the best stocked
// one: its teeth, 0 where none is known, and its length.
func LengthToFit(m *mech.Model, belt int) (teeth int, length float64) {
	b := &m.Belts[belt]
	if teeth = b.Teeth; teeth == 0 {
		teeth = SolveBelt(m, b).Fitted.Teeth
	}
	return teeth, float64(teeth) * b.Section.Pitch
}

// PlacePulley returns every place along the unknown's line that closes the belt,
// nearest first, and where there is none the least and greatest length the loop
// has along it.
func PlacePulley(m *mech.Model, belt int, u Unknown) (places []Place, least, most mech.Given) {
	b := &m.Belts[belt]
	k := StopNamed(m, belt, u.Name)
	circles := BeltCircles(m, b)
	_, length := LengthToFit(m, belt)
	blocked := BeltBlocked(m, b, k)
	for _, t := range TakeUpRoots(circles, k, u.Along, []float64{length}, blocked)[0] {
		at := r2.Add(circles[k].At, r2.Scale(t, u.Along))
		places = append(places, Place{[]string{u.Name}, []float64{t}, []r2.Vec{at}})
	}
	if len(places) == 0 {
		least, most = LengthRange(circles, k, u.Along, length, blocked)
	}
	return places, least, most
}

// PlacePulleys returns every pair of places that closes both belts, nearest
// first. Two unknowns of one pulley let it go anywhere, and are told as one.
func PlacePulleys(m *mech.Model, belts [2]int, unknowns [2]Unknown) []Place {
	var loops [2][]Circle
	var lengths [2]float64
	moves := [2]Move{{Along: unknowns[0].Along}, {Along: unknowns[1].Along}}
	for b, belt := range belts {
		loops[b] = BeltCircles(m, &m.Belts[belt])
		_, lengths[b] = LengthToFit(m, belt)
		for i, u := range unknowns {
			moves[i].On = append(moves[i].On, StopNamed(m, belt, u.Name))
		}
	}
	blocked := func(t [2]float64) bool {
		for b, belt := range belts {
			travel := make(map[int]r2.Vec)
			for i := range moves {
				if k := moves[i].On[b]; k != mech.None {
					travel[k] = r2.Add(travel[k], r2.Scale(t[i], moves[i].Along))
				}
			}
			if BeltOverlaps(m, &m.Belts[belt], travel) {
				return true
			}
		}
		return false
	}
	var places []Place
	for _, t := range SolveMoves(loops, moves, lengths, blocked) {
		places = append(places, movedBy(unknowns, loops, moves, t))
	}
	return places
}

func movedBy(unknowns [2]Unknown, loops [2][]Circle, moves [2]Move, t [2]float64) Place {
	home := func(i int) r2.Vec {
		for b, k := range moves[i].On {
			if k != mech.None {
				return loops[b][k].At
			}
		}
		return r2.Vec{}
	}
	first, second := r2.Scale(t[0], unknowns[0].Along), r2.Scale(t[1], unknowns[1].Along)
	if unknowns[0].Name == unknowns[1].Name {
		way := r2.Add(first, second)
		return Place{[]string{unknowns[0].Name}, []float64{r2.Norm(way)}, []r2.Vec{r2.Add(home(0), way)}}
	}
	return Place{[]string{unknowns[0].Name, unknowns[1].Name}, t[:], []r2.Vec{r2.Add(home(0), first), r2.Add(home(1), second)}}
}

// Stand puts what a place moves where it says, on every belt it is on.
func (p Place) Stand(m *mech.Model) {
	for i, name := range p.Moved {
		for j := range m.Shafts {
			if m.Shafts[j].Name == name {
				m.Shafts[j].At = p.At[i]
			}
		}
		for j := range m.Belts {
			for k, stop := range m.Belts[j].Run {
				if stop.Shaft == mech.None && stop.Idler == name {
					m.Belts[j].Run[k].At = p.At[i]
				}
			}
		}
	}
}

// LongestSpan returns the stop after which the loop as drawn runs longest
// straight; 0 where it does not close.
func LongestSpan(m *mech.Model, belt int) int {
	longest := 0
	r := SolveBelt(m, &m.Belts[belt])
	for i, s := range r.Spans {
		if s.Length > r.Spans[longest].Length {
			longest = i
		}
	}
	return longest
}

// AddIdler adds a plain idler after the given stop, where it closes the belt to
// be fitted, and returns every place that does, nearest the span first. Where
// there is none the belt is left as it was.
func AddIdler(m *mech.Model, belt, span int, idler mech.Pulley) []Place {
	b := &m.Belts[belt]
	teeth, length := LengthToFit(m, belt)
	with := *b
	with.Teeth = teeth
	with.Run = slices.Insert(slices.Clone(b.Run), span+1, idler)
	if with.TakeUp != nil {
		t := *with.TakeUp
		if t.Pulley > span {
			t.Pulley++
		}
		with.TakeUp = &t
	}
	radius := PitchRadius(b.Section, idler)
	travels, at := PlaceIdler(BeltCircles(m, b), span, radius, idler.Back, length, BeltBlocked(m, &with, span+1))
	var places []Place
	for i := range travels {
		places = append(places, Place{[]string{idler.Idler}, travels[i : i+1], at[i : i+1]})
	}
	if len(places) > 0 {
		with.Run[span+1].At = at[0]
		*b = with
	}
	return places
}

package solve

// A belt of a figure: its loop as drawn, and which stocked belt closes it where
// the take-up puts its pulley.

import (
	"math"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// BeltResult is one belt solved. Lengths, wraps and spans are of the loop as
// drawn; where Status is not LoopOK there are none and the numbers are 0.
type BeltResult struct {
	Status        LoopStatus
	First, Second int     // indices into the run that the status is about
	Clearance     float64 // mm between them; negative where they stand in each other

	Length     float64 // mm along the pitch line
	TeethExact float64 // Length in teeth
	Clockwise  bool    // running in the order listed, the belt goes round clockwise
	Pulleys    []PulleyResult
	Spans      []SpanResult
	Centre     mech.Given // mm between the shafts of a belt over two pulleys

	Fitted     FittedBelt
	Candidates []FittedBelt // three stocked lengths each side of TeethExact
}

// PulleyResult is one stop of the run.
type PulleyResult struct {
	At          r2.Vec
	Radius      float64 // to the belt's pitch line
	Outside     float64 // radius of the body: tooth tips, or half a plain pulley's diameter
	Wrap        float64 // rad
	TeethInMesh float64 // 0 for a plain pulley
}

// SpanResult is the straight stretch after one stop of the run.
type SpanResult struct {
	Length      float64
	Leave, Meet r2.Vec // where the pitch line leaves one pulley and meets the next
}

// FittedBelt is a whole-tooth belt and where it puts the take-up.
type FittedBelt struct {
	StockedBelt
	Length float64 // mm
	// TakeUp is the signed travel nearest zero that closes the belt; not OK where
	// none does or there is no take-up. Other is the next solution, if any.
	TakeUp, Other mech.Given
	// Tightens says that more travel along the take-up's direction tightens it.
	Tightens bool
	// At is where the moved pulley then stands. It means nothing without TakeUp.
	At r2.Vec
	// Reachable says that a solution lies within the take-up's range; without a
	// take-up, that the belt fits as drawn within limits.fixed_centres.
	Reachable bool
	// Centre is the exact distance between two pulleys that closes the belt.
	Centre mech.Given
}

// SolveBelts solves each belt with all others as drawn.
func SolveBelts(m *mech.Model) []BeltResult {
	results := make([]BeltResult, len(m.Belts))
	for i := range m.Belts {
		results[i] = SolveBelt(m, &m.Belts[i])
	}
	return results
}

// SolveBelt solves one belt of the model.
func SolveBelt(m *mech.Model, b *mech.Belt) BeltResult {
	circles := BeltCircles(m, b)
	r := BeltResult{Pulleys: make([]PulleyResult, len(circles)), Spans: make([]SpanResult, len(circles))}
	for i, c := range circles {
		r.Pulleys[i] = PulleyResult{At: c.At, Radius: c.Radius, Outside: outsideRadius(b, b.Run[i])}
	}
	if len(circles) == 2 {
		r.Centre = mech.Given{Value: r2.Norm(r2.Sub(circles[1].At, circles[0].At)), OK: true}
	}
	r.lay(b, circles)
	fitBelts(m, b, circles, &r)
	return r
}

// BeltCircles returns the run as the belt's pitch line meets it: a toothed
// pulley at its pitch radius zp/2π, a plain one inside the loop at its own
// radius with a whole tooth above it, and one at the back with the belt's back
// between.
func BeltCircles(m *mech.Model, b *mech.Belt) []Circle {
	circles := make([]Circle, len(b.Run))
	for i, p := range b.Run {
		circles[i] = Circle{At: pulleyAt(m, p), Radius: PitchRadius(b.Section, p), Back: p.Back}
	}
	return circles
}

// PitchRadius returns the radius at which the belt's pitch line runs round a
// pulley.
func PitchRadius(s mech.BeltSection, p mech.Pulley) float64 {
	switch {
	case p.Teeth > 0:
		return float64(p.Teeth) * s.Pitch / (2 * math.Pi)
	case p.Back:
		return p.Diameter/2 + s.Back
	default:
		return p.Diameter/2 + s.ToothHeight + s.PitchLine
	}
}

func pulleyAt(m *mech.Model, p mech.Pulley) r2.Vec {
	if p.Shaft == mech.None {
		return p.At
	}
	return m.Shafts[p.Shaft].At
}

// outsideRadius returns the radius of the pulley's body without flanges.
func outsideRadius(b *mech.Belt, p mech.Pulley) float64 {
	if p.Teeth > 0 {
		return PitchRadius(b.Section, p) - b.Section.PitchLine
	}
	return p.Diameter / 2
}

// lay solves the loop as drawn into the result.
func (r *BeltResult) lay(b *mech.Belt, circles []Circle) {
	if first, second, gap := r.deepest(); gap < 0 {
		r.Status, r.First, r.Second, r.Clearance = LoopOverlap, first, second, gap
		return
	}
	var loop Loop
	SolveLoop(&loop, circles)
	r.Status, r.First, r.Second, r.Clearance = loop.Status, loop.First, loop.Second, loop.Clearance
	if loop.Status != LoopOK {
		return
	}
	r.Length, r.Clockwise = loop.Length, loop.Clockwise
	r.TeethExact = loop.Length / b.Section.Pitch
	for i, p := range b.Run {
		r.Pulleys[i].Wrap = loop.Wraps[i]
		r.Pulleys[i].TeethInMesh = float64(p.Teeth) * loop.Wraps[i] / (2 * math.Pi)
		leave, meet := loop.Ends(circles, i)
		r.Spans[i] = SpanResult{Length: loop.Spans[i], Leave: leave, Meet: meet}
	}
}

// deepest returns the two pulleys whose bodies stand deepest in each other, and
// the distance between them, which is positive where all stand clear.
func (r *BeltResult) deepest() (first, second int, gap float64) {
	gap = math.Inf(1)
	for i, p := range r.Pulleys {
		for j, q := range r.Pulleys[:i] {
			if g := r2.Norm(r2.Sub(p.At, q.At)) - p.Outside - q.Outside; g < gap {
				first, second, gap = j, i, g
			}
		}
	}
	return first, second, gap
}

// BeltBlocked returns a function that says where stop k of the run cannot stand
// because its body would be in another's.
func BeltBlocked(m *mech.Model, b *mech.Belt, k int) func(r2.Vec) bool {
	type body struct {
		at    r2.Vec
		reach float64
	}
	var others []body
	for i, p := range b.Run {
		if i != k {
			others = append(others, body{pulleyAt(m, p), outsideRadius(b, p) + outsideRadius(b, b.Run[k])})
		}
	}
	return func(at r2.Vec) bool {
		for _, o := range others {
			if r2.Norm(r2.Sub(o.at, at)) < o.reach {
				return true
			}
		}
		return false
	}
}

// BeltOverlaps reports whether any two pulleys of the run stand in each other
// when some stops have travelled.
func BeltOverlaps(m *mech.Model, b *mech.Belt, travel map[int]r2.Vec) bool {
	for i, p := range b.Run {
		for j, q := range b.Run[:i] {
			apart := r2.Sub(r2.Add(pulleyAt(m, p), travel[i]), r2.Add(pulleyAt(m, q), travel[j]))
			if r2.Norm(apart) < outsideRadius(b, p)+outsideRadius(b, q) {
				return true
			}
		}
	}
	return false
}

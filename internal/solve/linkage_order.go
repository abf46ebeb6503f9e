package solve

import (
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// This file finds the order in which a chain falls apart into dyads.

// chainTie is what ties an unknown pin to known ones: a link with one known pin
// at a distance, or a slot whose line is known.
type chainTie struct {
	body   int // None for a slot
	pin    int
	length float64
	slot   int
	line   chainLine
}

// dyads places every pin and link that one dyad settles, and reports whether
// there was any.
func (b *chainBuilder) dyads() (progress, ok bool) {
	for pin := range b.known {
		if b.known[pin] {
			continue
		}
		ties := b.ties(pin)
		need := 2
		if b.l.Pins[pin].Kind == mech.SlidePin {
			need = 1
		}
		if len(ties) < need {
			continue
		}
		if !b.dyad(pin, ties) {
			return false, false
		}
		return true, true
	}
	for i, s := range b.c.slots {
		if b.used[i] || !b.known[s.pin] {
			continue
		}
		body, pivot := b.leverOf(s)
		if body < 0 {
			continue
		}
		if !b.lever(i, body, pivot) {
			return false, false
		}
		return true, true
	}
	return false, true
}

// ties lists what ties a pin that is not known to known ones.
func (b *chainBuilder) ties(pin int) []chainTie {
	var ties []chainTie
	for i := range b.c.bodies {
		body := &b.c.bodies[i]
		at := slices.Index(body.pins, pin)
		if body.placed || at < 0 {
			continue
		}
		for k, other := range body.pins {
			if b.known[other] {
				ties = append(ties, chainTie{body: i, pin: other, length: r2.Norm(r2.Sub(body.at[k], body.at[at])), slot: mech.None})
				break
			}
		}
	}
	for i, s := range b.c.slots {
		if !b.used[i] && s.pin == pin && b.known[s.b] && b.known[s.c] {
			ties = append(ties, chainTie{body: mech.None, pin: mech.None, slot: i, line: chainLine{b: s.b, c: s.c, length: s.length}})
		}
	}
	return ties
}

// noLine stands where a step has no line.
var noLine = chainLine{b: mech.None, c: mech.None}

// dyad places a pin from its first ties.
func (b *chainBuilder) dyad(pin int, ties []chainTie) bool {
	p := &b.l.Pins[pin]
	step := chainStep{pin: pin, a: mech.None, c: mech.None, line: noLine, over: noLine, body: [2]int{mech.None, mech.None}}
	if p.Kind == mech.SlidePin {
		slide := chainTie{body: mech.None, pin: mech.None, slot: mech.None, line: chainLine{b: mech.None, c: mech.None, at: p.At, dir: p.Along}}
		ties = []chainTie{ties[0], slide}
	}
	one, two := ties[0], ties[1]
	step.body = [2]int{one.body, two.body}
	switch {
	case one.body >= 0 && two.body >= 0:
		step.kind, step.a, step.c, step.la, step.lc = stepCircles, one.pin, two.pin, one.length, two.length
	case one.body >= 0:
		step.kind, step.a, step.la, step.line = stepCircleLine, one.pin, one.length, two.line
	default:
		step.kind, step.line, step.over = stepLines, one.line, two.line
	}
	if !b.choose(step, []int{pin}) {
		return b.misfit(&step)
	}
	b.known[pin] = true
	b.setRigid(&step)
	for _, tie := range [...]chainTie{one, two} {
		if tie.slot >= 0 {
			b.used[tie.slot] = true
		}
		if tie.body >= 0 && !b.fill(tie.body, tie.pin, pin) {
			return false
		}
	}
	return true
}

// choose adds the step with the branch whose pins come out nearest to where
// they start.
func (b *chainBuilder) choose(step chainStep, pins []int) bool {
	best, bestOff := 0.0, math.Inf(1)
	said := false
	var offs [2]float64
	for i, sign := range [...]float64{1, -1} {
		step.sign = sign
		ok := b.add(step)
		b.c.steps = b.c.steps[:len(b.c.steps)-1]
		b.pose.Margin = b.pose.Margin[:len(b.c.steps)]
		if !ok {
			continue
		}
		off := 0.0
		for _, pin := range pins {
			if b.l.Pins[pin].StartGiven {
				said = true
				d := r2.Sub(b.pose.Pins[pin].Pos, b.l.Pins[pin].Start)
				off += r2.Dot(d, d)
			}
		}
		offs[i] = off
		if off < bestOff {
			best, bestOff = sign, off
		}
	}
	if best == 0 {
		return false
	}
	step.sign = best
	if step.kind != stepLines && (!said || math.Abs(offs[0]-offs[1]) < 1e-9*(offs[0]+offs[1])) {
		b.c.Unsaid = append(b.c.Unsaid, pins...)
	}
	b.pose.Singular = false
	return b.add(step)
}

// setRigid turns the step just added into a similarity if its outer pins keep
// their distance, as in a truss: it does not move then and has no transmission
// angle.
func (b *chainBuilder) setRigid(step *chainStep) {
	if step.kind != stepCircles {
		return
	}
	for i := range b.c.bodies {
		body := &b.c.bodies[i]
		j, k := slices.Index(body.pins, step.a), slices.Index(body.pins, step.c)
		if !body.placed || j < 0 || k < 0 {
			continue
		}
		pins := b.pose.Pins
		factor := complexQuotient(r2.Sub(pins[step.pin].Pos, pins[step.a].Pos), r2.Sub(pins[step.c].Pos, pins[step.a].Pos))
		last := &b.c.steps[len(b.c.steps)-1]
		last.kind, last.k = stepPlate, factor
		body.pins = append(slices.Clone(body.pins), step.pin)
		body.at = append(slices.Clone(body.at), r2.Add(body.at[j], turnBy(r2.Sub(body.at[k], body.at[j]), factor)))
		return
	}
}

// fill marks a link as placed by two of its pins and places the others.
func (b *chainBuilder) fill(body, p, q int) bool {
	link := &b.c.bodies[body]
	link.placed = true
	j, k := slices.Index(link.pins, p), slices.Index(link.pins, q)
	for i, pin := range link.pins {
		if i == j || i == k {
			continue
		}
		if b.known[pin] || b.l.Pins[pin].Kind == mech.SlidePin {
			return b.fail(LinkageOver, link.pins...)
		}
		factor := complexQuotient(r2.Sub(link.at[i], link.at[j]), r2.Sub(link.at[k], link.at[j]))
		b.add(chainStep{kind: stepPlate, pin: pin, a: p, c: q, k: factor, line: noLine, over: noLine, body: [2]int{body, mech.None}})
		b.known[pin] = true
	}
	return true
}

// leverOf returns the link the slot is cut in and its one known pin, if a lever
// step can place it.
func (b *chainBuilder) leverOf(s chainSlot) (body, pivot int) {
	for i := range b.c.bodies {
		link := &b.c.bodies[i]
		if link.placed || !slices.Contains(link.pins, s.b) || !slices.Contains(link.pins, s.c) {
			continue
		}
		pivot = mech.None
		for _, pin := range link.pins {
			switch {
			case pin == s.pin:
				return mech.None, mech.None
			case !b.known[pin]:
				if b.l.Pins[pin].Kind == mech.SlidePin {
					return mech.None, mech.None
				}
			case pivot >= 0:
				return mech.None, mech.None
			default:
				pivot = pin
			}
		}
		if pivot >= 0 {
			return i, pivot
		}
	}
	return mech.None, mech.None
}

// lever places a link on its pivot with its slot over a known pin.
func (b *chainBuilder) lever(slot, body, pivot int) bool {
	s := b.c.slots[slot]
	link := &b.c.bodies[body]
	at := func(pin int) r2.Vec { return link.at[slices.Index(link.pins, pin)] }
	dir := r2.Unit(r2.Sub(at(s.c), at(s.b)))
	back := r2.Vec{X: dir.X, Y: -dir.Y} // turns the slot onto +x
	step := chainStep{
		kind: stepLever, pin: s.b, a: pivot, c: s.pin, lc: s.length, line: noLine, over: noLine,
		la: turnBy(r2.Sub(at(s.b), at(pivot)), back).Y, body: [2]int{body, mech.None},
	}
	for _, pin := range link.pins {
		if pin != pivot {
			step.pins = append(step.pins, pin)
			step.ats = append(step.ats, turnBy(r2.Sub(at(pin), at(pivot)), back))
		}
	}
	if step.pin == pivot {
		step.pin = s.c
	}
	if !b.choose(step, step.pins) {
		return b.misfit(&step)
	}
	b.used[slot] = true
	link.placed = true
	for _, pin := range step.pins {
		b.known[pin] = true
	}
	return true
}

// misfit fails with the link of the step that does not reach at home.
func (b *chainBuilder) misfit(step *chainStep) bool {
	b.fault = &LinkageFault{Status: LinkageUnassembled, Pins: []int{step.pin}, Misfit: step.misfit(b.pose.Pins)}
	return false
}

// misfit returns what a step that does not close lacks, with its outer pins as
// they stand.
func (s *chainStep) misfit(pins []PinMotion) Misfit {
	f := Misfit{Pin: s.pin, Link: [2]int{s.pin, s.a}, Has: s.la}
	switch s.kind {
	case stepCircles:
		d := r2.Norm(r2.Sub(pins[s.c].Pos, pins[s.a].Pos))
		switch {
		case d >= s.la+s.lc:
			f.Link[1], f.Has, f.Needs = s.c, s.lc, d-s.la
		case s.lc > s.la:
			f.Link[1], f.Has, f.Needs = s.c, s.lc, d+s.la
		default:
			f.Needs = d + s.lc
		}
	case stepCircleLine:
		line := s.line.motion(pins)
		f.Needs = math.Abs(r2.Cross(line.dir.Pos, r2.Sub(pins[s.a].Pos, line.at.Pos)))
	case stepLever:
		f.Slot, f.Link = true, [2]int{s.a, s.c}
		f.Has, f.Needs = r2.Norm(r2.Sub(pins[s.c].Pos, pins[s.a].Pos)), math.Abs(s.la)
	}
	return f
}

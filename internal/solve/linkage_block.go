package solve

import (
	"slices"

	"understage/internal/mech"
)

// This file finds which pins a Newton block must solve together. Their equations
// are set up in linkage_equations.go, their pose at motor turn 0 is found in
// linkage_settle.go.

// blockEquation is one scalar equation of what is left: which pins it involves
// (all their coordinates) and what it says.
type blockEquation struct {
	kind blockRowKind
	body int // distance, similarity
	slot int
	pins []int
	ref  [3]int // distance: two pins; similarity: two pins and the third
}

// placeBlock solves together the smallest set of pins that can be solved next.
func (b *chainBuilder) placeBlock() bool {
	equations := b.leftOver()
	var unknowns [][2]int // pin, coordinate
	for pin, known := range b.known {
		if known {
			continue
		}
		unknowns = append(unknowns, [2]int{pin, 0})
		if b.l.Pins[pin].Kind != mech.SlidePin {
			unknowns = append(unknowns, [2]int{pin, 1})
		}
	}
	touches := make([][]int, len(equations))
	for i, e := range equations {
		for j, u := range unknowns {
			if slices.Contains(e.pins, u[0]) && !(e.kind == rowReal || e.kind == rowImaginary) ||
				e.similarityTouches(u, b.l.Pins[u[0]].Kind == mech.SlidePin) {
				touches[i] = append(touches[i], j)
			}
		}
	}
	match, loose := matchEquations(touches, len(unknowns))
	if len(loose) > 0 {
		return b.fail(LinkageOver, equations[loose[0]].pins...)
	}
	if len(equations) < len(unknowns) {
		taken := make([]bool, len(unknowns))
		for _, j := range match {
			taken[j] = true
		}
		return b.fail(LinkageUnder, unknowns[slices.Index(taken, false)][0])
	}
	chosen := firstComponent(touches, match)
	pins, whole := b.pinsOf(chosen, match, unknowns)
	if !whole { // a pin only half settled: take everything together
		chosen = chosen[:0]
		for i := range equations {
			chosen = append(chosen, i)
		}
		pins, _ = b.pinsOf(chosen, match, unknowns)
	}
	picked := make([]blockEquation, len(chosen))
	for i, e := range chosen {
		picked[i] = equations[e]
	}
	return b.addBlock(pins, picked)
}

// similarityTouches reports whether one part of a similarity involves a
// coordinate: its third pin only the same coordinate.
func (e *blockEquation) similarityTouches(u [2]int, slides bool) bool {
	if e.kind != rowReal && e.kind != rowImaginary || !slices.Contains(e.pins, u[0]) {
		return false
	}
	return u[0] != e.ref[2] || slides || u[1] == int(e.kind-rowReal)
}

// leftOver lists the equations of all links and slots not used yet.
func (b *chainBuilder) leftOver() []blockEquation {
	var list []blockEquation
	for i := range b.c.bodies {
		body := &b.c.bodies[i]
		if body.placed {
			continue
		}
		order := slices.Clone(body.pins)
		slices.SortStableFunc(order, func(p, q int) int { return b.busy(q) - b.busy(p) })
		list = append(list, blockEquation{kind: rowDistance, body: i, slot: mech.None, pins: order[:2], ref: [3]int{order[0], order[1], mech.None}})
		for _, third := range order[2:] {
			for _, kind := range [...]blockRowKind{rowReal, rowImaginary} {
				list = append(list, blockEquation{
					kind: kind, body: i, slot: mech.None,
					pins: []int{order[0], order[1], third}, ref: [3]int{order[0], order[1], third},
				})
			}
		}
	}
	for i, s := range b.c.slots {
		if !b.used[i] {
			list = append(list, blockEquation{kind: rowSlot, body: mech.None, slot: i, pins: []int{s.pin, s.b, s.c}})
		}
	}
	return list
}

// busy ranks a pin: known ones first, then those where most meets.
func (b *chainBuilder) busy(pin int) int {
	n := 0
	if b.known[pin] {
		n = 1000
	}
	for i := range b.c.bodies {
		if slices.Contains(b.c.bodies[i].pins, pin) {
			n++
		}
	}
	for _, s := range b.c.slots {
		if s.pin == pin {
			n++
		}
	}
	return n
}

// matchEquations pairs each equation with an unknown of its own (augmenting
// paths: Kuhn 1955). loose lists equations that find none.
func matchEquations(touches [][]int, unknowns int) (match, loose []int) {
	owner := make([]int, unknowns)
	for j := range owner {
		owner[j] = mech.None
	}
	var try func(i int, seen []bool) bool
	try = func(i int, seen []bool) bool {
		for _, j := range touches[i] {
			if seen[j] {
				continue
			}
			seen[j] = true
			if owner[j] < 0 || try(owner[j], seen) {
				owner[j] = i
				return true
			}
		}
		return false
	}
	for i := range touches {
		if !try(i, make([]bool, unknowns)) {
			loose = append(loose, i)
		}
	}
	match = make([]int, len(touches))
	for j, i := range owner {
		if i >= 0 {
			match[i] = j
		}
	}
	return match, loose
}

// firstComponent returns the equations of the first strongly connected
// component found that depends on no other (Tarjan 1972): the smallest set that
// can be solved by itself.
func firstComponent(touches [][]int, match []int) []int {
	owner := map[int]int{}
	for i, j := range match {
		owner[j] = i
	}
	n := len(touches)
	index, low := make([]int, n), make([]int, n)
	on := make([]bool, n)
	var stack, found []int
	next := 1
	var visit func(i int)
	visit = func(i int) {
		index[i], low[i] = next, next
		next++
		stack = append(stack, i)
		on[i] = true
		for _, j := range touches[i] {
			k := owner[j]
			if found != nil {
				return
			}
			if index[k] == 0 {
				visit(k)
				low[i] = min(low[i], low[k])
			} else if on[k] {
				low[i] = min(low[i], index[k])
			}
		}
		if found == nil && low[i] == index[i] {
			found = slices.Clone(stack[slices.Index(stack, i):])
		}
	}
	visit(0)
	slices.Sort(found)
	return found
}

// pinsOf returns the pins whose coordinates the equations settle, and whether
// they settle each of them wholly.
func (b *chainBuilder) pinsOf(equations, match []int, unknowns [][2]int) (pins []int, whole bool) {
	count := map[int]int{}
	for _, e := range equations {
		pin := unknowns[match[e]][0]
		if count[pin] == 0 {
			pins = append(pins, pin)
		}
		count[pin]++
	}
	slices.Sort(pins)
	whole = true
	for _, pin := range pins {
		if b.l.Pins[pin].Kind != mech.SlidePin && count[pin] < 2 {
			whole = false
		}
	}
	return pins, whole
}

package solve

import (
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// This file sets up a Newton block: which pins must be solved together, their
// equations, and the pose they start from.

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

// blockShares writes each pin as a sum over others by complex factors; nil
// means the pin stands for itself.
type blockShares map[int]map[int]r2.Vec

// addBlock sets a block up, assembles it at home and adds its step.
func (b *chainBuilder) addBlock(pins []int, equations []blockEquation) bool {
	block := &chainBlock{pins: pins, axis: mech.None}
	shares, rest := b.eliminate(pins, equations)
	columns := b.columns(pins, shares)
	n := 0
	for _, c := range columns {
		n += len(c)
	}
	for _, pin := range pins {
		if c := columns[pin]; c != nil {
			p := &b.l.Pins[pin]
			block.own = append(block.own, blockPin{pin: pin, first: c[0].index, slides: p.Kind == mech.SlidePin, at: p.At, along: p.Along})
			continue
		}
		block.others = append(block.others, blockShare{pin, b.sumOf(shares[pin], nil, nil, 0)})
	}
	for _, e := range rest {
		b.addRow(block, e, shares, columns, n)
	}
	for _, e := range equations {
		if e.body >= 0 && e.kind == rowDistance {
			b.c.bodies[e.body].placed = true
		}
		if e.slot >= 0 {
			b.used[e.slot] = true
		}
	}
	for _, row := range block.rows {
		block.size = max(block.size, row.length)
	}
	step := chainStep{kind: stepBlock, pin: pins[0], a: mech.None, c: mech.None, line: noLine, over: noLine, block: len(b.c.blocks)}
	b.c.blocks = append(b.c.blocks, block)
	return b.assembleBlock(step, block, columns, n) && b.fillBlock(equations)
}

// fillBlock places the further pins of links the block has placed.
func (b *chainBuilder) fillBlock(equations []blockEquation) bool {
	for _, e := range equations {
		if e.kind != rowDistance || e.body < 0 {
			continue
		}
		link := &b.c.bodies[e.body]
		j, k := slices.Index(link.pins, e.ref[0]), slices.Index(link.pins, e.ref[1])
		for i, pin := range link.pins {
			if b.known[pin] {
				continue
			}
			if b.l.Pins[pin].Kind == mech.SlidePin {
				return b.fail(LinkageOver, link.pins...)
			}
			factor := complexQuotient(r2.Sub(link.at[i], link.at[j]), r2.Sub(link.at[k], link.at[j]))
			b.add(chainStep{kind: stepPlate, pin: pin, a: e.ref[0], c: e.ref[1], k: factor, line: noLine, over: noLine, body: [2]int{e.body, mech.None}})
			b.known[pin] = true
		}
	}
	return true
}

// similarity returns the factor that places the third pin of the equation.
func (b *chainBuilder) similarity(e *blockEquation) r2.Vec {
	link := &b.c.bodies[e.body]
	at := func(pin int) r2.Vec { return link.at[slices.Index(link.pins, pin)] }
	return complexQuotient(r2.Sub(at(e.ref[2]), at(e.ref[0])), r2.Sub(at(e.ref[1]), at(e.ref[0])))
}

// eliminate writes further pins of plates as similarities of two others where
// that can be done without going round in a circle, and returns the equations
// that remain.
func (b *chainBuilder) eliminate(pins []int, equations []blockEquation) (blockShares, []blockEquation) {
	shares := blockShares{}
	var rest []blockEquation
	for i := 0; i < len(equations); i++ {
		e := equations[i]
		if e.kind != rowReal {
			rest = append(rest, e)
			continue
		}
		third := e.ref[2]
		paired := i+1 < len(equations) && equations[i+1].kind == rowImaginary && equations[i+1].ref == e.ref
		free := slices.Contains(pins, third) && b.l.Pins[third].Kind == mech.FreePin && shares[third] == nil
		k := b.similarity(&e)
		own := shares.expand(map[int]r2.Vec{e.ref[0]: {X: 1 - k.X, Y: -k.Y}, e.ref[1]: k})
		if _, circle := own[third]; !paired || !free || circle {
			rest = append(rest, e)
			continue
		}
		shares[third] = own
		for pin, s := range shares {
			if pin != third {
				shares[pin] = shares.expand(s)
			}
		}
		i++ // the imaginary part goes with it
	}
	return shares, rest
}

// expand replaces eliminated pins in a sum by what they are written as.
func (s blockShares) expand(sum map[int]r2.Vec) map[int]r2.Vec {
	out := map[int]r2.Vec{}
	for pin, k := range sum {
		if s[pin] == nil {
			out[pin] = r2.Add(out[pin], k)
			continue
		}
		for other, f := range s[pin] {
			out[other] = r2.Add(out[other], turnBy(f, k))
		}
	}
	return out
}

// blockColumn is an unknown: its index and the direction it moves its pin in.
type blockColumn struct {
	index int
	dir   r2.Vec
}

// columns numbers the unknowns of the pins that stand for themselves.
func (b *chainBuilder) columns(pins []int, shares blockShares) map[int][]blockColumn {
	columns := map[int][]blockColumn{}
	n := 0
	for _, pin := range pins {
		switch {
		case shares[pin] != nil:
		case b.l.Pins[pin].Kind == mech.SlidePin:
			columns[pin] = []blockColumn{{n, b.l.Pins[pin].Along}}
			n++
		default:
			columns[pin] = []blockColumn{{n, r2.Vec{X: 1}}, {n + 1, r2.Vec{Y: 1}}}
			n += 2
		}
	}
	return columns
}

// sumOf compiles a sum of pins.
func (b *chainBuilder) sumOf(sum map[int]r2.Vec, shares blockShares, columns map[int][]blockColumn, n int) blockSum {
	out := blockSum{d: make([]r2.Vec, n)}
	full := shares.expand(sum)
	pins := make([]int, 0, len(full))
	for pin := range full {
		pins = append(pins, pin)
	}
	slices.Sort(pins)
	for _, pin := range pins {
		k := full[pin]
		if k == (r2.Vec{}) {
			continue
		}
		if b.l.Pins[pin].Kind == mech.FixedPin {
			out.constant = r2.Add(out.constant, turnBy(b.l.Pins[pin].At, k))
			continue
		}
		if columns[pin] == nil {
			out.known = append(out.known, blockTerm{pin, k})
			continue
		}
		for _, c := range columns[pin] {
			out.d[c.index] = r2.Add(out.d[c.index], turnBy(c.dir, k))
		}
		if b.l.Pins[pin].Kind == mech.SlidePin {
			out.constant = r2.Add(out.constant, turnBy(b.l.Pins[pin].At, k))
		}
	}
	return out
}

func (b *chainBuilder) addRow(block *chainBlock, e blockEquation, shares blockShares, columns map[int][]blockColumn, n int) {
	row := blockRow{kind: e.kind, sum: len(block.sums), pin: e.pins[0]}
	minus := r2.Vec{X: -1}
	add := func(sum map[int]r2.Vec) { block.sums = append(block.sums, b.sumOf(sum, shares, columns, n)) }
	switch e.kind {
	case rowDistance:
		p, q := e.ref[0], e.ref[1]
		row.length, _ = b.c.rigid(p, q)
		row.link = [2]int{p, q}
		if b.known[row.pin] {
			row.pin = q
		}
		add(map[int]r2.Vec{p: {X: 1}, q: minus})
	case rowSlot:
		s := b.c.slots[e.slot]
		row.length, row.link, row.and = s.length, [2]int{s.b, s.c}, row.sum+1
		add(map[int]r2.Vec{s.pin: {X: 1}, s.b: minus})
		add(map[int]r2.Vec{s.c: {X: 1}, s.b: minus})
	default:
		k := b.similarity(&e)
		row.link = [2]int{e.ref[0], e.ref[2]}
		row.pin = e.ref[2]
		add(map[int]r2.Vec{e.ref[2]: {X: -1}, e.ref[0]: {X: 1 - k.X, Y: -k.Y}, e.ref[1]: k})
	}
	block.rows = append(block.rows, row)
}

// assembleBlock finds the block's pose at home, nearest to where its pins
// start, and continues it round the turn.
func (b *chainBuilder) assembleBlock(step chainStep, block *chainBlock, columns map[int][]blockColumn, n int) bool {
	if len(block.rows) != n {
		return b.fail(LinkageOver, block.pins...)
	}
	b.pose.blocks = append(b.pose.blocks, block.newPose(len(b.c.Shafts)))
	bp := &b.pose.blocks[len(b.pose.blocks)-1]
	block.prepare(bp, b.pose.Pins)
	guess := b.guess(block, columns, n)
	if !block.settle(bp, guess) {
		b.fault = &LinkageFault{Status: LinkageUnassembled, Pins: block.pins, Misfit: block.misfit(bp)}
		return false
	}
	block.det = bp.det
	block.returns = true
	block.rates(bp)
	block.nodes = []blockNode{bp.node()}
	b.setAxes(&step, block)
	b.c.steps = append(b.c.steps, step)
	b.pose.Margin = append(b.pose.Margin, 1)
	for _, pin := range block.pins {
		b.known[pin] = true
	}
	i := len(b.c.steps) - 1
	if block.axis >= 0 {
		b.c.trace(i, b.pose)
	}
	return b.c.run(b.x, b.pose, i+1)
}

// setAxes notes which shafts move the block.
func (b *chainBuilder) setAxes(step *chainStep, block *chainBlock) {
	for _, s := range block.sums {
		for _, t := range s.known {
			step.axes |= b.axesOf(t.pin)
		}
	}
	for axis := range b.c.Shafts {
		if step.axes == 1<<axis {
			block.axis, block.rate = axis, b.c.rates[axis]
		}
	}
}

// guess returns the unknowns with the pins where they start; pins that do not
// say stand in the middle of the others.
func (b *chainBuilder) guess(block *chainBlock, columns map[int][]blockColumn, n int) []float64 {
	var middle r2.Vec
	count := 0.0
	for pin, p := range b.l.Pins {
		switch {
		case b.known[pin]:
			middle = r2.Add(middle, b.pose.Pins[pin].Pos)
			count++
		case p.StartGiven:
			middle = r2.Add(middle, p.Start)
			count++
		}
	}
	x := make([]float64, n)
	for pin, list := range columns {
		p := &b.l.Pins[pin]
		at := p.Start
		if !p.StartGiven {
			at = r2.Scale(1/max(count, 1), middle)
			b.c.Unsaid = append(b.c.Unsaid, pin)
		}
		if p.Kind == mech.SlidePin {
			x[list[0].index] = r2.Dot(r2.Sub(at, p.At), p.Along)
			continue
		}
		x[list[0].index], x[list[1].index] = at.X, at.Y
	}
	slices.Sort(b.c.Unsaid)
	return x
}

// settle assembles the block at home from a rough guess: damped least squares
// (Levenberg 1944, Marquardt 1963) towards the nearest pose, then Newton. Where
// that ends in a hollow, it is tried again from around the guess.
func (b *chainBlock) settle(p *chainBlockPose, guess []float64) bool {
	best := math.Inf(1)
	keep := make([]float64, len(guess))
	for try := range 13 {
		copy(p.x, guess)
		if try > 0 {
			for j := range p.x {
				p.x[j] += 0.3 * b.size * math.Sin(float64(try)+float64(j)*2.4)
			}
		}
		if misfit := b.approach(p); misfit < best {
			best = misfit
			copy(keep, p.x)
		}
		if best < 1e-6*b.size {
			break
		}
	}
	copy(p.x, keep)
	if best >= 1e-3*b.size {
		return false
	}
	_, ok := b.newton(p, 30)
	if !ok {
		copy(p.x, keep)
	}
	return ok && math.Abs(p.det) > 1e-6
}

// approach lowers |F| from p.x and returns where it ends.
func (b *chainBlock) approach(p *chainBlockPose) float64 {
	n := len(b.rows)
	jac, normal := make([]float64, n*n), make([]float64, n*n)
	rhs, from := make([]float64, n), make([]float64, n)
	size := func() float64 {
		b.assemble(p)
		sum := 0.0
		for _, f := range p.rhs {
			sum += f * f
		}
		return math.Sqrt(sum)
	}
	now, damp := size(), 1e-2
	for range 200 {
		if now < 1e-9*b.size || damp > 1e12 {
			break
		}
		copy(jac, p.lu)
		for i := range n {
			rhs[i] = 0
			for k := range n {
				rhs[i] += jac[k*n+i] * p.rhs[k]
			}
			for j := range n {
				sum := 0.0
				for k := range n {
					sum += jac[k*n+i] * jac[k*n+j]
				}
				normal[i*n+j] = sum
			}
			normal[i*n+i] += damp
		}
		copy(from, p.x)
		if luFactor(normal, p.order) == 0 {
			break
		}
		luSolve(normal, p.order, rhs, p.trial)
		for j, d := range p.trial {
			p.x[j] += d
		}
		if next := size(); next < now {
			now, damp = next, damp/5
			continue
		}
		copy(p.x, from)
		now, damp = size(), damp*4
	}
	return now
}

// misfit returns the link that is farthest from its length in the best pose
// found.
func (b *chainBlock) misfit(p *chainBlockPose) Misfit {
	b.assemble(p)
	worst := Misfit{Pin: b.pins[0]}
	off := -1.0
	for i := range b.rows {
		row := &b.rows[i]
		if miss := math.Abs(p.rhs[i]); miss > off {
			off = miss
			worst = Misfit{Pin: row.pin, Link: row.link, Has: row.length, Needs: row.length}
			if row.kind == rowDistance {
				worst.Needs = r2.Norm(p.value[row.sum].Pos)
			}
		}
	}
	return worst
}

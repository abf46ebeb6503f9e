package solve

import (
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// This file writes the equations of a Newton block over its unknowns.

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

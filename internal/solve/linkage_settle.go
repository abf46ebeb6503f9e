package solve

import (
	"math"
	"slices"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// This file puts a Newton block together at motor turn 0, from a rough start.

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

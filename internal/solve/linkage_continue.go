package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// takeBlock solves the Newton block of step i at the shafts' angles x, the
// steps before it having been taken, and returns its margin.
func (c *Chain) takeBlock(i int, x []float64, p *ChainPose) float64 {
	b := c.blocks[c.steps[i].block]
	bp := &p.blocks[c.steps[i].block]
	ok := false
	switch {
	case b.axis >= 0:
		ok = c.fromNode(i, x, p)
	case bp.valid:
		ok = c.follow(i, bp.at, x, p)
	default:
		copy(bp.x, b.nodes[0].x)
		clear(bp.at)
		ok = c.follow(i, bp.at, x, p)
	}
	if !ok {
		bp.valid = false
		return -1
	}
	b.rates(bp)
	b.lay(bp, p.Pins)
	r := bp.det / b.det
	return r * math.Abs(r)
}

// fromNode solves a block moved by one shaft from the kept poses beside it.
func (c *Chain) fromNode(i int, x []float64, p *ChainPose) bool {
	b := c.blocks[c.steps[i].block]
	bp := &p.blocks[c.steps[i].block]
	n := len(b.nodes)
	turn := x[b.axis] / (2 * math.Pi) * float64(n)
	left := math.Floor(turn)
	first, second := b.node(int(left)), b.node(int(left)+1)
	if first.ok && second.ok {
		b.predict(bp, first, second, turn-left)
		b.prepare(bp, p.Pins)
		if stray, ok := b.newton(bp, 8); ok && b.same(bp, stray) {
			return true
		}
	}
	// Near a lock a kept pose beside may be missing: come from either side.
	for _, side := range [...]float64{0, 1, 2, -1} {
		node := b.node(int(left + side))
		if !node.ok {
			continue
		}
		copy(bp.x, node.x)
		copy(bp.at, x)
		bp.at[b.axis] = (left + side) * 2 * math.Pi / float64(n)
		if c.follow(i, bp.at, x, p) {
			return true
		}
	}
	return false
}

// node returns a kept pose, counted round the turn.
func (b *chainBlock) node(k int) *blockNode {
	n := len(b.nodes)
	if uint(k) >= uint(n) {
		k = ((k % n) + n) % n
	}
	return &b.nodes[k]
}

// predict interpolates between two kept poses with their rates (the quintic
// Hermite polynomial): some 1e-13 of a link off at their spacing, so that one
// correction of Newton's settles it.
func (b *chainBlock) predict(p *chainBlockPose, first, second *blockNode, t float64) {
	h := 2 * math.Pi / float64(len(b.nodes)) / b.rate
	t3 := t * t * t
	at1 := t3 * (10 + t*(6*t-15))
	rate0, rate1 := h*(t-t3*(6+t*(3*t-8))), h*t3*(t*(7-3*t)-4)
	bend0, bend1 := h*h*(t*t-t3*(3+t*(t-3)))/2, h*h*t3*(1+t*(t-2))/2
	for j := range p.x {
		p.x[j] = first.x[j] + at1*(second.x[j]-first.x[j]) +
			rate0*first.rate[j] + rate1*second.rate[j] + bend0*first.bend[j] + bend1*second.bend[j]
	}
}

// follow continues the block of step i from its pose at the angles from, in
// steps as long as they hold the branch, to the angles to; from is overwritten
// with where it got. The shorter way round is taken on every shaft.
func (c *Chain) follow(i int, from, to []float64, p *ChainPose) bool {
	bp := &p.blocks[c.steps[i].block]
	far := 0.0
	for k := range from {
		d := math.Remainder(to[k]-from[k], 2*math.Pi)
		from[k] = to[k] - d
		far = max(far, math.Abs(d))
	}
	b := c.blocks[c.steps[i].block]
	start := bp.keep
	done, stride := 0.0, 1.0
	if far > blockStride {
		stride = blockStride / far
	}
	if !c.run(from, p, i) {
		return false
	}
	bp.mark(b, p.Pins)
	for done < 1 {
		next := min(1, done+stride)
		for k := range bp.target {
			bp.target[k] = from[k] + next*(to[k]-from[k])
		}
		if next == 1 {
			copy(bp.target, to)
		}
		copy(start, bp.x)
		if c.reach(i, bp.target, p) {
			done = next
			bp.mark(b, p.Pins)
			stride = min(2*stride, max(blockStride/max(far, blockStride), stride))
			continue
		}
		copy(bp.x, start)
		stride = (next - done) / 2
		if stride*far < blockLeast {
			if !c.drag(i, bp.target, p) {
				return false
			}
			done, stride = next, blockStride/max(far, blockStride)
			bp.mark(b, p.Pins)
		}
	}
	copy(bp.at, to)
	bp.valid = true
	return true
}

// mark notes the fixed part of the sums as it is.
func (p *chainBlockPose) mark(b *chainBlock, pins []PinMotion) {
	b.prepare(p, pins)
	for k := range p.fixed {
		p.was[k] = p.fixed[k].Pos
	}
}

// drag takes the block of step i over a sudden jump of what drives it, such as
// a cam's drop, by moving the pins placed before straight from where they were
// marked to where they are at the angles x.
func (c *Chain) drag(i int, x []float64, p *ChainPose) bool {
	b := c.blocks[c.steps[i].block]
	bp := &p.blocks[c.steps[i].block]
	if !c.run(x, p, i) {
		return false
	}
	b.prepare(bp, p.Pins)
	far := 0.0
	for k := range bp.fixed {
		bp.then[k] = bp.fixed[k].Pos
		far = max(far, r2.Norm(r2.Sub(bp.then[k], bp.was[k])))
	}
	if far < 1e-9*b.size { // no jump: a lock
		return false
	}
	for done, stride := 0.0, 1./16; done < 1; {
		next := min(1, done+stride)
		for k := range bp.fixed {
			bp.fixed[k].Pos = r2.Add(r2.Scale(1-next, bp.was[k]), r2.Scale(next, bp.then[k]))
		}
		copy(bp.keep, bp.x)
		if stray, ok := b.newton(bp, 12); ok && stray < 0.3 && bp.det*b.det > 0 {
			done, stride = next, 2*stride
			continue
		}
		copy(bp.x, bp.keep)
		if stride /= 2; stride < 1e-9 {
			return false
		}
	}
	return true
}

// reach takes the steps before the block at the angles x and solves the block
// from where it is.
func (c *Chain) reach(i int, x []float64, p *ChainPose) bool {
	b := c.blocks[c.steps[i].block]
	bp := &p.blocks[c.steps[i].block]
	if !c.run(x, p, i) {
		return false
	}
	b.prepare(bp, p.Pins)
	stray, ok := b.newton(bp, 12)
	return ok && b.same(bp, stray)
}

// trace fills the kept poses of the block of step i, which one shaft moves,
// from the home pose both ways round until the turn is complete or the block
// locks.
func (c *Chain) trace(i int, p *ChainPose) {
	b := c.blocks[c.steps[i].block]
	bp := &p.blocks[c.steps[i].block]
	n := blockNodes
	home := b.nodes[0]
	b.nodes = make([]blockNode, n)
	b.nodes[0] = home
	x := make([]float64, len(c.Shafts))
	b.returns = true
	for _, way := range [...]int{1, -1} {
		copy(bp.x, home.x)
		clear(bp.at)
		for k := 1; k <= n; k++ {
			at := ((k*way)%n + n) % n
			if b.nodes[at].ok && at != 0 {
				break
			}
			x[b.axis] = float64(k*way) * 2 * math.Pi / float64(n)
			if !c.follow(i, bp.at, x, p) {
				break
			}
			if at == 0 {
				b.returns = sameUnknowns(bp.x, home.x, 1e-6*b.size)
				break
			}
			b.rates(bp)
			b.nodes[at] = bp.node()
		}
	}
	clear(x)
	bp.valid = false
}

func sameUnknowns(x, y []float64, within float64) bool {
	for i := range x {
		if math.Abs(x[i]-y[i]) > within {
			return false
		}
	}
	return true
}

func (p *chainBlockPose) node() blockNode {
	return blockNode{
		ok:   true,
		x:    append([]float64(nil), p.x...),
		rate: append([]float64(nil), p.rate...),
		bend: append([]float64(nil), p.bend...),
	}
}

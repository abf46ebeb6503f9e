package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"understage/internal/mech"
)

// place takes in where the pins stand and how they move, per radian of motor
// turn, and factors the equilibrium of the movable ones.
func (c *chainLoad) place(pins []PinMotion) {
	c.pins = pins
	for i := range c.members {
		m := &c.members[i]
		a, b := &pins[m.pins[0]], &pins[m.pins[1]]
		span := r2.Sub(b.Pos, a.Pos)
		size := 1 / r2.Dot(span, span)
		m.cross = r2.Scale(size, perpendicular(span))
		m.rate = r2.Dot(m.cross, r2.Sub(b.Vel, a.Vel))
		along := r2.Scale(math.Sqrt(size), span)
		c.gradients[m.gradient].g = r2.Scale(-1, along)
		c.gradients[m.gradient+1].g = along
	}
	for i := range c.slots {
		c.placeSlot(i)
	}
	for i := range pins {
		if c.turns[i] {
			r := r2.Sub(pins[i].Pos, c.centre[i])
			c.heldRate[i] = 0
			if size := r2.Dot(r, r); size > 0 {
				c.heldRate[i] = r2.Cross(r, pins[i].Vel) / size
			}
		}
	}
	for i := range c.joints {
		j := &c.joints[i]
		rate := c.heldRate[j.pin]
		if j.on >= 0 {
			rate = c.members[j.on].rate
		}
		j.sense = sign(c.members[j.member].rate - rate)
	}
	c.factor()
}

// factor sets up the equilibrium of the movable pins and factors it.
func (c *chainLoad) factor() {
	n := c.columns
	clear(c.matrix)
	for i := range c.gradients {
		g := &c.gradients[i]
		if r := c.row[g.pin]; r != mech.None {
			c.matrix[r*n+g.column] += g.g.X
			c.matrix[(r+1)*n+g.column] += g.g.Y
		}
	}
	c.firm = c.ok && (n == 0 || luFactor(c.matrix, c.pivots) != 0)
}

// placeSlot sets a slot's pushes and how fast its pin runs along it.
func (c *chainLoad) placeSlot(i int) {
	s, at := &c.linkage.Slots[i], &c.slots[i]
	a, b, pin := &c.pins[s.Line[0]], &c.pins[s.Line[1]], &c.pins[s.Pin]
	line := r2.Sub(b.Pos, a.Pos)
	normal := unit2(perpendicular(line))
	at.share = r2.Dot(r2.Sub(pin.Pos, a.Pos), line) / r2.Dot(line, line)
	at.along = r2.Vec{X: normal.Y, Y: -normal.X}
	under := r2.Add(r2.Scale(1-at.share, a.Vel), r2.Scale(at.share, b.Vel)) // the slot where the pin stands
	at.slip = r2.Dot(at.along, r2.Sub(pin.Vel, under))
	g := c.gradients[at.gradient:]
	g[0].g, g[1].g, g[2].g = normal, r2.Scale(at.share-1, normal), r2.Scale(-at.share, normal)
}

// solve finds the forces with the pins as placed and the motor turning at speed
// rad/s; rest takes breakaway friction. c.held then says what pushes on each
// held pin, and c.free what work it asks for without friction.
func (c *chainLoad) solve(speed float64, rest bool) loadState {
	if !c.firm {
		return loadLoose
	}
	c.spread(speed)
	before, change := 0.0, 0.0
	for round := range loadRounds {
		c.balance(round > 0, rest)
		if round == 0 {
			c.push()
			for p := range c.free {
				c.free[p] = -r2.Dot(c.held[p], c.pins[p].Vel)
			}
			if c.smooth() {
				return loadSolved
			}
		}
		c.rubPins(rest)
		now := c.effort()
		if change = math.Abs(now - before); round > 0 && change <= loadSettled*(now+before) {
			break
		}
		before = now
	}
	c.push()
	if change > loadLocks*c.effort() {
		return loadLocked
	}
	return loadSolved
}

// smooth reports whether nothing rubs.
func (c *chainLoad) smooth() bool {
	return c.radius == 0 && len(c.slides)+len(c.slots) == 0
}

// effort is a measure of all forces and couples, to tell when they settle.
func (c *chainLoad) effort() float64 {
	sum := 0.0
	for i := range c.members {
		sum += math.Abs(c.members[i].couple)
	}
	for _, multiplier := range c.multiplier {
		sum += math.Abs(multiplier)
	}
	return sum
}

// spread finds the weight and inertia that each member brings to its pins.
// Accelerations come in mm/s², so 1e-3 makes N of kg.
func (c *chainLoad) spread(speed float64) {
	w2 := speed * speed / 1000
	for i := range c.members {
		m := &c.members[i]
		m.couple = 0
		ends := c.ends[m.end:][:len(m.pins)]
		part := m.mass / float64(len(m.pins))
		for k := range ends {
			ends[k].share = r2.Scale(part*gravity, c.down)
			if len(ends) > 2 {
				ends[k].share = r2.Sub(ends[k].share, r2.Scale(part*w2, c.pins[ends[k].pin].Acc))
			}
		}
		if len(ends) == 2 {
			a, b := c.pins[m.pins[0]].Acc, c.pins[m.pins[1]].Acc
			ends[0].share = r2.Sub(ends[0].share, r2.Scale(m.mass/6*w2, r2.Add(r2.Scale(2, a), b)))
			ends[1].share = r2.Sub(ends[1].share, r2.Scale(m.mass/6*w2, r2.Add(r2.Scale(2, b), a)))
		}
	}
	for i := range c.points {
		p := &c.points[i]
		m := &c.members[p.member]
		a, b := &c.ends[m.end+p.at[0]], &c.ends[m.end+p.at[1]]
		first, second := c.pins[a.pin].Acc, c.pins[b.pin].Acc
		acc := r2.Add(first, turnBy(r2.Sub(second, first), p.k))
		pull := r2.Sub(r2.Scale(p.mass*gravity, c.down), r2.Scale(p.mass*w2, acc))
		back := turnBy(pull, r2.Vec{X: p.k.X, Y: -p.k.Y}) // by the transposed similarity
		a.share = r2.Add(a.share, r2.Sub(pull, back))
		b.share = r2.Add(b.share, back)
	}
	clear(c.weight)
	for i := range c.ends {
		e := &c.ends[i]
		c.weight[e.pin] = r2.Add(c.weight[e.pin], e.share)
	}
	clear(c.heldCouple)
}

// balance solves the equilibrium under the loads, and works out the force that
// each member passes on at each of its pins. A couple counts as a pair of forces
// on the member's first two pins.
func (c *chainLoad) balance(lines, rest bool) {
	copy(c.load, c.weight)
	for i := range c.ends {
		c.ends[i].force = c.ends[i].share
	}
	for i := range c.members {
		m := &c.members[i]
		pair := r2.Scale(m.couple, m.cross)
		a, b := &c.ends[m.end], &c.ends[m.end+1]
		a.force, b.force = r2.Sub(a.force, pair), r2.Add(b.force, pair)
		c.load[a.pin], c.load[b.pin] = r2.Sub(c.load[a.pin], pair), r2.Add(c.load[b.pin], pair)
	}
	if lines {
		c.rubLines(rest)
	}
	for i, r := range c.row {
		if r != mech.None {
			c.rhs[r], c.rhs[r+1] = -c.load[i].X, -c.load[i].Y
		}
	}
	luSolve(c.matrix, c.pivots, c.rhs, c.multiplier)
	for i := range c.gradients[:c.linked] {
		g := &c.gradients[i]
		e := &c.ends[g.end]
		e.force = r2.Add(e.force, r2.Scale(c.multiplier[g.column], g.g))
	}
}

// push works out what pushes on every pin; the movable ones are in balance.
func (c *chainLoad) push() {
	copy(c.held, c.load)
	for i := range c.gradients {
		g := &c.gradients[i]
		c.held[g.pin] = r2.Add(c.held[g.pin], r2.Scale(c.multiplier[g.column], g.g))
	}
}

func norm2(v r2.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y) }

func unit2(v r2.Vec) r2.Vec { return r2.Scale(1/norm2(v), v) }

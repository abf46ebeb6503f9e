package solve

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/spatial/r2"

	"understage/internal/mech"
)

// solve finds the forces with the pins as posed (rates per radian of motor
// turn) and the motor turning at speed rad/s; rest takes breakaway friction.
// c.held then says what pushes on each held pin; frictionless, if not nil, is
// called when it says so without friction.
func (c *chainLoad) solve(pins []PinMotion, speed float64, rest bool, frictionless func()) loadState {
	if !c.ok || !c.factor(pins) {
		return loadLoose
	}
	c.spread(pins, speed)
	change := 0.0
	for round := range loadRounds {
		before := c.effort()
		for i := range c.load {
			c.load[i] = r2.Vec{}
		}
		c.gatherLoads(pins)
		if round > 0 {
			c.rubLines(pins, rest)
		}
		c.balance(pins)
		if round == 0 && frictionless != nil {
			frictionless()
		}
		if c.radius == 0 && len(c.slides)+len(c.linkage.Slots) == 0 {
			return loadSolved
		}
		c.rubPins(rest)
		now := c.effort()
		if change = math.Abs(now - before); round > 0 && change <= loadSettled*(now+before) {
			return loadSolved
		}
	}
	if change > loadLocks*c.effort() {
		return loadLocked
	}
	return loadSolved
}

// effort is a measure of all forces and couples, to tell when they settle.
func (c *chainLoad) effort() float64 {
	sum := 0.0
	for i := range c.members {
		sum += math.Abs(c.members[i].couple)
	}
	for _, multiplier := range c.rhs {
		sum += math.Abs(multiplier)
	}
	return sum
}

// spread sets each member's rate, and the weight and inertia it brings to its
// pins. Accelerations come in mm/s², so 1e-3 makes N of kg.
func (c *chainLoad) spread(pins []PinMotion, speed float64) {
	w2 := speed * speed / 1000
	for i := range c.members {
		m := &c.members[i]
		m.couple = 0
		a, b := &pins[m.pins[0]], &pins[m.pins[1]]
		r := r2.Sub(b.Pos, a.Pos)
		m.rate = r2.Cross(r, r2.Sub(b.Vel, a.Vel)) / r2.Dot(r, r)
		part := m.mass / float64(len(m.pins))
		for k, p := range m.pins {
			m.share[k] = r2.Scale(part*gravity, c.down)
			if len(m.pins) > 2 {
				m.share[k] = r2.Sub(m.share[k], r2.Scale(part*w2, pins[p].Acc))
			}
		}
		if len(m.pins) == 2 {
			m.share[0] = r2.Sub(m.share[0], r2.Scale(m.mass/6*w2, r2.Add(r2.Scale(2, a.Acc), b.Acc)))
			m.share[1] = r2.Sub(m.share[1], r2.Scale(m.mass/6*w2, r2.Add(r2.Scale(2, b.Acc), a.Acc)))
		}
	}
	for i := range c.points {
		p := &c.points[i]
		m := &c.members[p.member]
		a, b := &pins[m.pins[p.at[0]]], &pins[m.pins[p.at[1]]]
		pull := r2.Sub(r2.Scale(p.mass*gravity, c.down), r2.Scale(p.mass*w2, similar(a, b, p.k).Acc))
		back := turnBy(pull, r2.Vec{X: p.k.X, Y: -p.k.Y}) // by the transposed similarity
		m.share[p.at[0]] = r2.Add(m.share[p.at[0]], r2.Sub(pull, back))
		m.share[p.at[1]] = r2.Add(m.share[p.at[1]], back)
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
	clear(c.rhs)
	clear(c.heldCouple)
}

// gatherLoads puts every member's share on its pins, and its couple as a pair
// of forces on the first two.
func (c *chainLoad) gatherLoads(pins []PinMotion) {
	for i := range c.members {
		m := &c.members[i]
		for k, p := range m.pins {
			c.load[p] = r2.Add(c.load[p], m.share[k])
		}
		pair := c.couplePair(pins, m)
		c.load[m.pins[0]] = r2.Sub(c.load[m.pins[0]], pair)
		c.load[m.pins[1]] = r2.Add(c.load[m.pins[1]], pair)
	}
}

func (c *chainLoad) couplePair(pins []PinMotion, m *loadMember) r2.Vec {
	r := r2.Sub(pins[m.pins[1]].Pos, pins[m.pins[0]].Pos)
	return r2.Scale(m.couple/r2.Dot(r, r), perpendicular(r))
}

// factor sets up the equilibrium of the movable pins and factors it. It
// reports false where the pose is singular.
func (c *chainLoad) factor(pins []PinMotion) bool {
	n := c.columns
	clear(c.matrix)
	c.eachGradient(pins, func(column, pin int, g r2.Vec) {
		if r := c.row[pin]; r != mech.None {
			c.matrix[r*n+column] += g.X
			c.matrix[(r+1)*n+column] += g.Y
		}
	})
	return n == 0 || lapack64.Getrf(c.system(), c.pivots)
}

func (c *chainLoad) system() blas64.General {
	return blas64.General{Rows: c.columns, Cols: c.columns, Stride: c.columns, Data: c.matrix}
}

// balance solves the equilibrium under the loads, then works out the force of
// each member on its pins and what pushes on the held ones.
func (c *chainLoad) balance(pins []PinMotion) {
	copy(c.held, c.load)
	for i := range c.row {
		if r := c.row[i]; r != mech.None {
			c.rhs[r], c.rhs[r+1] = -c.load[i].X, -c.load[i].Y
		}
	}
	if c.columns > 0 {
		lapack64.Getrs(blas.NoTrans, c.system(), blas64.General{Rows: c.columns, Cols: 1, Stride: 1, Data: c.rhs}, c.pivots)
	}
	c.eachGradient(pins, func(column, pin int, g r2.Vec) {
		c.held[pin] = r2.Add(c.held[pin], r2.Scale(c.rhs[column], g))
	})
	c.memberForces(pins)
}

// eachGradient calls f for every constraint and pin it pushes on.
func (c *chainLoad) eachGradient(pins []PinMotion, f func(column, pin int, g r2.Vec)) {
	for i := range c.members {
		c.members[i].eachGradient(pins, func(column, k int, g r2.Vec) { f(column, c.members[i].pins[k], g) })
	}
	for i, p := range c.slides {
		f(c.slides0+i, p, perpendicular(c.linkage.Pins[p].Along))
	}
	for i, s := range c.linkage.Slots {
		normal, t := slotNormal(pins, &s)
		f(c.slots0+i, s.Pin, normal)
		f(c.slots0+i, s.Line[0], r2.Scale(t-1, normal))
		f(c.slots0+i, s.Line[1], r2.Scale(-t, normal))
	}
}

// eachGradient calls f with the place k of the pin among the member's own.
func (m *loadMember) eachGradient(pins []PinMotion, f func(column, k int, g r2.Vec)) {
	u := unit2(r2.Sub(pins[m.pins[1]].Pos, pins[m.pins[0]].Pos))
	f(m.column, 0, r2.Scale(-1, u))
	f(m.column, 1, u)
	for j, k := range m.k {
		// p_j = p_0 + k·(p_1 − p_0): its transpose sends a force on p_j back.
		column := m.column + 1 + 2*j
		x, y := r2.Vec{X: k.X, Y: -k.Y}, r2.Vec{X: k.Y, Y: k.X} // rows of k
		f(column, j+2, r2.Vec{X: 1})
		f(column, 0, r2.Sub(x, r2.Vec{X: 1}))
		f(column, 1, r2.Scale(-1, x))
		f(column+1, j+2, r2.Vec{Y: 1})
		f(column+1, 0, r2.Sub(y, r2.Vec{Y: 1}))
		f(column+1, 1, r2.Scale(-1, y))
	}
}

func norm2(v r2.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y) }

func unit2(v r2.Vec) r2.Vec { return r2.Scale(1/norm2(v), v) }

// slotNormal returns the unit normal of a slot and where its pin stands on it,
// as a share of the way between the two pins of the line.
func slotNormal(pins []PinMotion, s *mech.Slot) (r2.Vec, float64) {
	b := pins[s.Line[0]].Pos
	line := r2.Sub(pins[s.Line[1]].Pos, b)
	return unit2(perpendicular(line)), r2.Dot(r2.Sub(pins[s.Pin].Pos, b), line) / r2.Dot(line, line)
}

package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// memberForces keeps the force that each member passes on at each of its pins.
func (c *chainLoad) memberForces(pins []PinMotion) {
	for i := range c.members {
		m := &c.members[i]
		copy(m.force, m.share)
		pair := c.couplePair(pins, m)
		m.force[0] = r2.Sub(m.force[0], pair)
		m.force[1] = r2.Add(m.force[1], pair)
		m.eachGradient(pins, func(column, k int, g r2.Vec) {
			m.force[k] = r2.Add(m.force[k], r2.Scale(c.rhs[column], g))
		})
	}
}

// rubPins sets the couple of pin friction on every member.
func (c *chainLoad) rubPins(rest bool) {
	mu := c.rub.at(rest) * c.radius
	for i := range c.members {
		c.members[i].couple = 0
	}
	clear(c.heldCouple)
	for i := range c.members {
		m := &c.members[i]
		for k, p := range m.pins {
			on := c.carrier[p]
			if on == i {
				continue
			}
			rate := m.rate
			if on >= 0 {
				rate -= c.members[on].rate
			} else {
				rate -= c.heldRate[p]
			}
			couple := -mu * norm2(m.force[k]) * sign(rate)
			m.couple += couple
			if on >= 0 {
				c.members[on].couple -= couple
			} else {
				c.heldCouple[p] -= couple
			}
		}
	}
}

// rubLines adds the friction of pins on slides and in slots to the loads, from
// the forces of the last solve.
func (c *chainLoad) rubLines(pins []PinMotion, rest bool) {
	mu := c.rub.at(rest)
	for i, p := range c.slides {
		along := c.linkage.Pins[p].Along
		drag := -mu * math.Abs(c.rhs[c.slides0+i]) * sign(r2.Dot(along, pins[p].Vel))
		c.load[p] = r2.Add(c.load[p], r2.Scale(drag, along))
	}
	for i, s := range c.linkage.Slots {
		normal, t := slotNormal(pins, &s)
		b, end := &pins[s.Line[0]], &pins[s.Line[1]]
		along := r2.Vec{X: normal.Y, Y: -normal.X}
		under := r2.Add(r2.Scale(1-t, b.Vel), r2.Scale(t, end.Vel)) // the slot where the pin stands
		drag := r2.Scale(-mu*math.Abs(c.rhs[c.slots0+i])*sign(r2.Dot(along, r2.Sub(pins[s.Pin].Vel, under))), along)
		c.load[s.Pin] = r2.Add(c.load[s.Pin], drag)
		c.load[s.Line[0]] = r2.Sub(c.load[s.Line[0]], r2.Scale(1-t, drag))
		c.load[s.Line[1]] = r2.Sub(c.load[s.Line[1]], r2.Scale(t, drag))
	}
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	default:
		return 0
	}
}

// work returns the work per radian of motor turn that the pin of a crank or
// follower must be given: force times rate, and the couple of friction on it.
func (c *chainLoad) work(pins []PinMotion, pin int) float64 {
	return -r2.Dot(c.held[pin], pins[pin].Vel) - c.heldCouple[pin]*c.heldRate[pin]
}

// lost returns the work that friction turns into heat per radian of motor turn.
func (c *chainLoad) lost(pins []PinMotion, rest bool) float64 {
	sum := 0.0
	for i := range c.members {
		sum -= c.members[i].couple * c.members[i].rate
	}
	for p := range c.heldCouple {
		sum -= c.heldCouple[p] * c.heldRate[p]
	}
	mu := c.rub.at(rest)
	for i, p := range c.slides {
		sum += mu * math.Abs(c.rhs[c.slides0+i]*r2.Dot(c.linkage.Pins[p].Along, pins[p].Vel))
	}
	for i, s := range c.linkage.Slots {
		normal, t := slotNormal(pins, &s)
		under := r2.Add(r2.Scale(1-t, pins[s.Line[0]].Vel), r2.Scale(t, pins[s.Line[1]].Vel))
		sum += mu * math.Abs(c.rhs[c.slots0+i]*r2.Cross(normal, r2.Sub(pins[s.Pin].Vel, under)))
	}
	return sum
}

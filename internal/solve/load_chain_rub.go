package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// rubPins sets the couple of pin friction on every member.
func (c *chainLoad) rubPins(rest bool) {
	mu := c.rub.at(rest) * c.radius
	for i := range c.members {
		c.members[i].couple = 0
	}
	clear(c.heldCouple)
	for i := range c.joints {
		j := &c.joints[i]
		couple := mu * norm2(c.ends[j.end].force) * j.sense
		c.members[j.member].couple -= couple
		if j.on >= 0 {
			c.members[j.on].couple += couple
		} else {
			c.heldCouple[j.pin] += couple
		}
	}
}

// rubLines adds the friction of pins on slides and in slots to the loads, from
// the forces of the last solve.
func (c *chainLoad) rubLines(rest bool) {
	mu := c.rub.at(rest)
	for i, p := range c.slides {
		along := c.linkage.Pins[p].Along
		drag := -mu * math.Abs(c.multiplier[c.slides0+i]) * sign(r2.Dot(along, c.pins[p].Vel))
		c.load[p] = r2.Add(c.load[p], r2.Scale(drag, along))
	}
	for i := range c.slots {
		s, at := &c.linkage.Slots[i], &c.slots[i]
		drag := r2.Scale(-mu*math.Abs(c.multiplier[c.slots0+i])*sign(at.slip), at.along)
		c.load[s.Pin] = r2.Add(c.load[s.Pin], drag)
		c.load[s.Line[0]] = r2.Sub(c.load[s.Line[0]], r2.Scale(1-at.share, drag))
		c.load[s.Line[1]] = r2.Sub(c.load[s.Line[1]], r2.Scale(at.share, drag))
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
func (c *chainLoad) work(pin int) float64 {
	return -r2.Dot(c.held[pin], c.pins[pin].Vel) - c.heldCouple[pin]*c.heldRate[pin]
}

// lost returns the work that friction turns into heat per radian of motor turn.
func (c *chainLoad) lost(rest bool) float64 {
	sum := 0.0
	for i := range c.members {
		sum -= c.members[i].couple * c.members[i].rate
	}
	for p := range c.heldCouple {
		sum -= c.heldCouple[p] * c.heldRate[p]
	}
	mu := c.rub.at(rest)
	for i, p := range c.slides {
		sum += mu * math.Abs(c.multiplier[c.slides0+i]*r2.Dot(c.linkage.Pins[p].Along, c.pins[p].Vel))
	}
	for i := range c.slots {
		sum += mu * math.Abs(c.multiplier[c.slots0+i]*c.slots[i].slip)
	}
	return sum
}

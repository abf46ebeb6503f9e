package solve

import "gonum.org/v1/gonum/spatial/r2"

// inertia returns the figure's inertia as the motor shaft feels it in the pose
// last found, kg·mm²: twice its kinetic energy at 1 rad/s of the motor.
func (l *Load) inertia() float64 {
	sum := 0.0
	if l.body != nil {
		w := l.motion.body(l.motion.omega)
		sum += l.body.inertia.X*w.X*w.X + l.body.inertia.Y*w.Y*w.Y + l.body.inertia.Z*w.Z*w.Z
	}
	for i := range l.chains {
		sum += l.chains[i].force.inertia(l.chains[i].pose.Pins)
	}
	for _, i := range l.loaded {
		sum += l.cams[i].load.mass * l.way[i] * l.way[i]
	}
	return sum
}

// inertia is that of the links: a bar's by the consistent mass, a plate's in
// equal parts at its pins, as their weights and accelerations count.
func (c *chainLoad) inertia(pins []PinMotion) float64 {
	sum := 0.0
	for i := range c.members {
		m := &c.members[i]
		if len(m.pins) == 2 {
			a, b := pins[m.pins[0]].Vel, pins[m.pins[1]].Vel
			sum += m.mass / 3 * (r2.Dot(a, a) + r2.Dot(a, b) + r2.Dot(b, b))
			continue
		}
		for _, p := range m.pins {
			sum += m.mass / float64(len(m.pins)) * r2.Dot(pins[p].Vel, pins[p].Vel)
		}
	}
	for i := range c.points {
		p := &c.points[i]
		m := &c.members[p.member]
		v := similar(&pins[m.pins[p.at[0]]], &pins[m.pins[p.at[1]]], p.k).Vel
		sum += p.mass * r2.Dot(v, v)
	}
	return sum
}

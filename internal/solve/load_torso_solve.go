package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The forces on a torso in a pose. With the side known on which each contact
// presses, its friction is in proportion to its force, so that moments about the
// pivot are three linear equations. The pivot's couple is h·k, k = −μ·r·ω/|ω|,
// and h the size of what the pivot carries, P. As the contacts' forces are
// linear in the moment, P = P0 + h·P1, and
//
//	(1 − P1²)·h² − 2·(P0·P1)·h − P0² = 0
//
// Where a contact changes sides under friction, or P1 is not small, forces are
// found again and again until they settle instead.

// torsoRows are the rows of the inverse: the sizes of the contacts' forces that
// balance a moment M are −rows·M.
type torsoRows [3]r3.Vec

// find inverts the matrix of the contacts' moments as columns. It reports false
// where they do not hold the torso.
func (t *torsoRows) find(a, b, c r3.Vec) bool {
	bc, ca, ab := cross3(b, c), cross3(c, a), cross3(a, b)
	det := r3.Dot(a, bc)
	if !(det*det > 1e-24*r3.Dot(a, a)*r3.Dot(b, b)*r3.Dot(c, c)) {
		return false
	}
	inverse := 1 / det
	t[0], t[1], t[2] = r3.Scale(inverse, bc), r3.Scale(inverse, ca), r3.Scale(inverse, ab)
	return true
}

func (t *torsoRows) sizes(moment r3.Vec) [3]float64 {
	return [3]float64{-r3.Dot(t[0], moment), -r3.Dot(t[1], moment), -r3.Dot(t[2], moment)}
}

const (
	// torsoEasy is the greatest P1² at which the pivot's couple is taken in closed
	// form; what is beyond it soon locks, and is left to settle if it can.
	torsoEasy = 0.5
	// sideRounds bounds the turning round of contacts that pull. It settles at
	// once, but where several stand about free of force.
	sideRounds = 3
)

// solve balances the torso, its contacts placed and settled, with the motor
// turning at speed rad/s; rest takes breakaway friction.
func (l *torsoLoad) solve(b *torsoMotion, speed float64, rest bool) loadState {
	if !l.held {
		return loadLoose
	}
	outside, weight := l.solveFree(b, speed)
	l.pressFree(b, rest)
	for range sideRounds {
		sizes, ok := l.solveAtOnce(b, outside, weight, rest)
		if !ok {
			break
		}
		if min(sizes[0], sizes[1], sizes[2]) >= 0 {
			l.book(&sizes)
			return loadSolved
		}
		l.turnRound(&sizes, b, rest)
	}
	return l.solveByRounds(b, outside, weight, rest)
}

// solveFree finds the multipliers without friction, and returns the moment and
// force that they balance.
func (l *torsoLoad) solveFree(b *torsoMotion, speed float64) (outside, weight r3.Vec) {
	outside, weight = l.outside(b, speed)
	for i, size := range l.rows.sizes(outside) {
		l.contacts[i].free = size
	}
	return outside, weight
}

// pressFree presses every contact on the side that it has without friction.
func (l *torsoLoad) pressFree(b *torsoMotion, rest bool) {
	for i := range l.contacts {
		c := &l.contacts[i]
		c.press(math.Copysign(1, c.free), b, c.rub.at(rest))
	}
}

// turnRound presses the contacts that pull on their other side.
func (l *torsoLoad) turnRound(sizes *[3]float64, b *torsoMotion, rest bool) {
	for i, size := range sizes {
		if c := &l.contacts[i]; size < 0 {
			c.press(-c.side, b, c.rub.at(rest))
		}
	}
}

// solveAtOnce returns the sizes of the contacts' forces, pressed as they are; a
// negative one pulls. It reports false where the torso all but locks.
func (l *torsoLoad) solveAtOnce(b *torsoMotion, outside, weight r3.Vec, rest bool) (sizes [3]float64, ok bool) {
	var rows torsoRows
	if !rows.find(l.contacts[0].moment, l.contacts[1].moment, l.contacts[2].moment) {
		return sizes, false
	}
	sizes = rows.sizes(outside)
	l.pivot, l.couple, l.lost = r3.Add(weight, l.push(&sizes)), r3.Vec{}, 0
	turn, radius := norm3(b.omega), l.pivotRub.at(rest)*l.torso.PivotRadius.Or(0)
	if turn == 0 || radius == 0 {
		return sizes, true
	}
	couple := r3.Scale(-radius/turn, b.omega)
	more := rows.sizes(couple)
	push := l.push(&more)
	square, across := 1-r3.Dot(push, push), r3.Dot(l.pivot, push)
	if square < 1-torsoEasy {
		return sizes, false
	}
	hold := (across + math.Sqrt(across*across+square*r3.Dot(l.pivot, l.pivot))) / square
	for i := range sizes {
		sizes[i] += hold * more[i]
	}
	l.pivot = r3.Add(l.pivot, r3.Scale(hold, push))
	l.couple, l.lost = r3.Scale(hold, couple), hold*radius*turn
	return sizes, true
}

// push returns the force of the contacts on the torso.
func (l *torsoLoad) push(sizes *[3]float64) r3.Vec {
	a, b, c := &l.contacts[0].push, &l.contacts[1].push, &l.contacts[2].push
	return r3.Vec{
		X: sizes[0]*a.X + sizes[1]*b.X + sizes[2]*c.X,
		Y: sizes[0]*a.Y + sizes[1]*b.Y + sizes[2]*c.Y,
		Z: sizes[0]*a.Z + sizes[1]*b.Z + sizes[2]*c.Z,
	}
}

// book sets every contact's force and friction from its size.
func (l *torsoLoad) book(sizes *[3]float64) {
	for i, size := range sizes {
		c := &l.contacts[i]
		c.lambda = c.side * size
		c.drag = r3.Scale(size, c.dragPer)
		c.lost = size * c.lostPer
	}
}

// solveByRounds lets the sides on which the contacts press and the pivot's
// couple settle.
func (l *torsoLoad) solveByRounds(b *torsoMotion, outside, weight r3.Vec, rest bool) loadState {
	l.pressFree(b, rest)
	l.couple, l.lost = r3.Vec{}, 0
	before, change := 0.0, 0.0
	var sizes [3]float64
	for range loadRounds {
		var ok bool
		if sizes, ok = l.balanceSides(b, r3.Add(outside, l.couple), rest); !ok {
			return loadLoose
		}
		l.rubPivot(b, r3.Add(weight, l.push(&sizes)), rest)
		change, before = math.Abs(l.lost-before), l.lost
		if change <= loadSettled*l.lost {
			break
		}
	}
	l.book(&sizes)
	pressed := math.Abs(sizes[0]) + math.Abs(sizes[1]) + math.Abs(sizes[2])
	if change > loadLocks*l.lost || min(sizes[0], sizes[1], sizes[2]) < -loadLocks*pressed {
		return loadLocked
	}
	return loadSolved
}

// balanceSides balances a moment, each contact pressing on one side.
func (l *torsoLoad) balanceSides(b *torsoMotion, moment r3.Vec, rest bool) (sizes [3]float64, ok bool) {
	for range sideRounds {
		if sizes, ok = l.balance(moment); !ok || min(sizes[0], sizes[1], sizes[2]) >= 0 {
			return sizes, ok
		}
		l.turnRound(&sizes, b, rest)
	}
	return l.searchSides(b, moment, rest)
}

// searchSides tries all eight combinations and takes the one in which the
// contacts pull least.
func (l *torsoLoad) searchSides(b *torsoMotion, moment r3.Vec, rest bool) (sizes [3]float64, ok bool) {
	choose := func(sides int) ([3]float64, bool) {
		for i := range l.contacts {
			c := &l.contacts[i]
			c.press(float64(1-2*(sides>>i&1)), b, c.rub.at(rest))
		}
		return l.balance(moment)
	}
	best, least := -1, math.Inf(-1)
	for sides := range 8 {
		if sizes, ok := choose(sides); ok && min(sizes[0], sizes[1], sizes[2]) > least {
			best, least = sides, min(sizes[0], sizes[1], sizes[2])
		}
	}
	if best < 0 {
		return sizes, false
	}
	return choose(best)
}

// balance finds the sizes that meet a moment, the contacts pressed as they are.
func (l *torsoLoad) balance(moment r3.Vec) ([3]float64, bool) {
	var rows torsoRows
	if !rows.find(l.contacts[0].moment, l.contacts[1].moment, l.contacts[2].moment) {
		return [3]float64{}, false
	}
	return rows.sizes(moment), true
}

// rubPivot sets the couple of friction at the pivot, which carries a force.
func (l *torsoLoad) rubPivot(b *torsoMotion, force r3.Vec, rest bool) {
	l.pivot = force
	l.couple, l.lost = r3.Vec{}, 0
	if turn := norm3(b.omega); turn > 0 {
		hold := l.pivotRub.at(rest) * l.torso.PivotRadius.Or(0) * norm3(force)
		l.couple = r3.Scale(-hold/turn, b.omega)
		l.lost = hold * turn
	}
}

// press chooses the side that a contact presses on, and the coefficient of
// friction.
func (c *torsoContact) press(side float64, b *torsoMotion, mu float64) {
	s := &c.sides[0]
	if side < 0 {
		s = &c.sides[1]
	}
	if !s.known {
		c.rubOn(s, side, b)
	}
	c.side, c.touch = side, s.touch
	c.dragPer, c.lostPer = r3.Scale(mu, s.drag), mu*s.lost
	c.push = r3.Add(r3.Scale(side, c.force), c.dragPer)
	c.moment = r3.Add(r3.Scale(side, c.arm), r3.Scale(mu, s.moment))
}

// rubOn finds what friction does on one side.
func (c *torsoContact) rubOn(s *contactSide, side float64, b *torsoMotion) {
	out := r3.Scale(side/c.size, c.force)
	*s = contactSide{known: true, touch: r3.Sub(c.at, r3.Scale(c.skin, out))}
	slip := r3.Sub(cross3(b.omega, s.touch), c.speed)
	slip = r3.Sub(slip, r3.Scale(r3.Dot(slip, out), out))
	if speed := norm3(slip); speed > 0 {
		s.drag = r3.Scale(-c.size/speed, slip)
		s.lost = c.size * speed
		s.moment = cross3(s.touch, s.drag)
	}
}

package solve

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// A block solves together what does not fall apart into dyads. Each pin of the
// block is a sum over the block's unknowns x (two coordinates of a free pin,
// the place along its line of a sliding one), P = C + Σ d·x, with C a sum over
// pins placed before and d constant; further pins of plates are eliminated by
// their similarity. What remains, F(x) = 0:
//
//	distance:  (|Δ|² − L²)/2L          Δ a difference of two pins
//	slot:      Δ₁×Δ₂/L                  pin and line, both from the line's first pin
//	similarity: real and imaginary part of a sum that must vanish
//
// Newton on the exact Jacobian J, then J·x' = −F_C·C' and
// J·x" = −(F_C·C" + quadratic terms of the rates).
//
// The pose is continued from the home pose and never taken from a chance
// guess: the sign of det J is kept, and a step that needs too large a
// correction is halved.

const (
	// blockNodes is how many poses around its driving shaft's turn a block
	// driven by one shaft keeps to start Newton from.
	blockNodes = 256
	// blockSettled is the correction, as a part of the longest link, after
	// which Newton stops: the next would be about its square.
	blockSettled = 1e-9
	// blockStray is the largest correction, as a part of the longest link, that
	// still counts as the same branch.
	blockStray = 0.02
	// blockStride is the longest step along the shafts' turn in continuing a
	// block that several shafts drive, and blockLeast the shortest step at all,
	// rad: what cannot be continued over it is a lock.
	blockStride = 0.1
	blockLeast  = 1e-13
)

type blockRowKind int

const (
	rowDistance blockRowKind = iota
	rowSlot
	rowReal
	rowImaginary
)

// blockTerm is one known pin's share in a sum, as a complex factor.
type blockTerm struct {
	pin int
	k   r2.Vec
}

// blockSum is a vector linear in known pins and unknowns.
type blockSum struct {
	constant r2.Vec
	known    []blockTerm
	d        []r2.Vec // factor of each unknown
}

// blockRow is one equation over the block's sums.
type blockRow struct {
	kind     blockRowKind
	sum, and int // and: the second sum of a slot
	length   float64
	link     [2]int // pins, for reports
	pin      int
}

// blockPin is a pin whose coordinates, or place along its line, are unknowns.
type blockPin struct {
	pin, first int // the first of its unknowns
	slides     bool
	at, along  r2.Vec
}

// blockShare is a pin that is a sum of other pins.
type blockShare struct {
	pin int
	sum blockSum
}

// chainBlock is a set of pins solved together.
type chainBlock struct {
	pins   []int
	own    []blockPin   // pins that are unknowns
	others []blockShare // pins that follow from those
	sums   []blockSum
	rows   []blockRow
	size   float64 // longest link
	axis   int     // the only shaft that moves the block, or −1
	rate   float64 // of that shaft
	det    float64 // of the Jacobian at home
	nodes  []blockNode
	// Returns is false when the block comes back otherwise after a turn.
	returns bool
}

// blockNode is a solved pose to start from, with rates per rad of motor turn.
type blockNode struct {
	ok         bool
	x          []float64
	rate, bend []float64
}

// chainBlockPose is the room a block works in.
type chainBlockPose struct {
	x, rate, bend []float64
	rhs, trial    []float64
	lu            []float64
	order         []int
	fixed         []PinMotion // the sums' known part
	value         []PinMotion // the sums
	at            []float64   // shafts' angles of x, when continued
	target        []float64   // shafts' angles on the way
	keep          []float64   // x to fall back on
	valid         bool        // x was solved at the angles at
	was, then     []r2.Vec    // fixed part of the sums, before and after a jump
	det           float64
}

func (b *chainBlock) newPose(shafts int) chainBlockPose {
	n := len(b.rows)
	p := chainBlockPose{
		x: make([]float64, n), rate: make([]float64, n), bend: make([]float64, n),
		rhs: make([]float64, n), trial: make([]float64, n), lu: make([]float64, n*n), order: make([]int, n),
		fixed: make([]PinMotion, len(b.sums)), value: make([]PinMotion, len(b.sums)), keep: make([]float64, n),
		was: make([]r2.Vec, len(b.sums)), then: make([]r2.Vec, len(b.sums)),
		at: make([]float64, shafts), target: make([]float64, shafts),
	}
	if len(b.nodes) > 0 {
		copy(p.x, b.nodes[0].x)
	}
	return p
}

// knownPart works out the part of a sum that does not depend on the unknowns.
func (s *blockSum) knownPart(pins []PinMotion, m *PinMotion) {
	pos, vel, acc := s.constant, r2.Vec{}, r2.Vec{}
	for i := range s.known {
		t := &s.known[i]
		pin := &pins[t.pin]
		pos = r2.Add(pos, turnBy(pin.Pos, t.k))
		vel = r2.Add(vel, turnBy(pin.Vel, t.k))
		acc = r2.Add(acc, turnBy(pin.Acc, t.k))
	}
	m.Pos, m.Vel, m.Acc = pos, vel, acc
}

// along adds Σ d·x to v.
func (s *blockSum) along(v r2.Vec, x []float64) r2.Vec {
	for j, d := range s.d {
		v.X += d.X * x[j]
		v.Y += d.Y * x[j]
	}
	return v
}

// prepare takes over the pins placed before.
func (b *chainBlock) prepare(p *chainBlockPose, pins []PinMotion) {
	for i := range b.sums {
		b.sums[i].knownPart(pins, &p.fixed[i])
	}
}

// assemble puts −F into p.rhs and J into p.lu at p.x.
func (b *chainBlock) assemble(p *chainBlockPose) {
	n := len(b.rows)
	for i := range b.sums {
		p.value[i].Pos = b.sums[i].along(p.fixed[i].Pos, p.x)
	}
	for i := range b.rows {
		row := &b.rows[i]
		out := p.lu[i*n : i*n+n]
		v := p.value[row.sum].Pos
		d := b.sums[row.sum].d[:n]
		switch row.kind {
		case rowDistance:
			inv := 1 / row.length
			p.rhs[i] = (row.length*row.length - r2.Dot(v, v)) / 2 * inv
			v = r2.Scale(inv, v)
			for j := range out {
				out[j] = v.X*d[j].X + v.Y*d[j].Y
			}
		case rowSlot:
			inv := 1 / row.length
			w := r2.Scale(inv, p.value[row.and].Pos)
			e := b.sums[row.and].d[:n]
			p.rhs[i] = -r2.Cross(v, w)
			for j := range out {
				out[j] = r2.Cross(d[j], w) + r2.Cross(v, e[j])*inv
			}
		case rowReal:
			p.rhs[i] = -v.X
			for j := range out {
				out[j] = d[j].X
			}
		case rowImaginary:
			p.rhs[i] = -v.Y
			for j := range out {
				out[j] = d[j].Y
			}
		}
	}
}

// newton solves F = 0 from p.x in at most the given rounds and returns whether
// it settled, with the length of all corrections together, against the longest
// link.
func (b *chainBlock) newton(p *chainBlockPose, rounds int) (stray float64, ok bool) {
	settled := blockSettled * b.size
	for range rounds {
		b.assemble(p)
		p.det = luFactor(p.lu, p.order)
		if p.det == 0 {
			return stray, false
		}
		luSolve(p.lu, p.order, p.rhs, p.trial)
		step := 0.0
		for i, d := range p.trial {
			p.x[i] += d
			step = max(step, math.Abs(d))
		}
		stray += step / b.size
		if step < settled {
			return stray, true
		}
		if !(stray < 10) {
			return stray, false
		}
	}
	return stray, false
}

// rates works out p.rate and p.bend from the factors newton left.
func (b *chainBlock) rates(p *chainBlockPose) {
	for i := range b.rows {
		row := &b.rows[i]
		v, c := p.value[row.sum].Pos, p.fixed[row.sum].Vel
		switch row.kind {
		case rowDistance:
			p.rhs[i] = -r2.Dot(v, c) / row.length
		case rowSlot:
			p.rhs[i] = -(r2.Cross(c, p.value[row.and].Pos) + r2.Cross(v, p.fixed[row.and].Vel)) / row.length
		case rowReal:
			p.rhs[i] = -c.X
		case rowImaginary:
			p.rhs[i] = -c.Y
		}
	}
	luSolve(p.lu, p.order, p.rhs, p.rate)
	for i := range b.sums {
		p.value[i].Vel = b.sums[i].along(p.fixed[i].Vel, p.rate)
	}
	for i := range b.rows {
		row := &b.rows[i]
		v, c := &p.value[row.sum], p.fixed[row.sum].Acc
		switch row.kind {
		case rowDistance:
			p.rhs[i] = -(r2.Dot(v.Pos, c) + r2.Dot(v.Vel, v.Vel)) / row.length
		case rowSlot:
			w := &p.value[row.and]
			p.rhs[i] = -(r2.Cross(c, w.Pos) + r2.Cross(v.Pos, p.fixed[row.and].Acc) + 2*r2.Cross(v.Vel, w.Vel)) / row.length
		case rowReal:
			p.rhs[i] = -c.X
		case rowImaginary:
			p.rhs[i] = -c.Y
		}
	}
	luSolve(p.lu, p.order, p.rhs, p.bend)
}

// same reports whether the pose newton settled on is on the home branch.
func (b *chainBlock) same(p *chainBlockPose, stray float64) bool {
	return stray < blockStray && p.det*b.det > 0
}

// lay writes the block's pins out.
func (b *chainBlock) lay(p *chainBlockPose, pins []PinMotion) {
	for i := range b.own {
		o := &b.own[i]
		j := o.first
		if o.slides {
			pins[o.pin] = PinMotion{
				Pos: r2.Add(o.at, r2.Scale(p.x[j], o.along)),
				Vel: r2.Scale(p.rate[j], o.along),
				Acc: r2.Scale(p.bend[j], o.along),
			}
			continue
		}
		pins[o.pin] = PinMotion{
			Pos: r2.Vec{X: p.x[j], Y: p.x[j+1]},
			Vel: r2.Vec{X: p.rate[j], Y: p.rate[j+1]},
			Acc: r2.Vec{X: p.bend[j], Y: p.bend[j+1]},
		}
	}
	for i := range b.others {
		o := &b.others[i]
		o.sum.knownPart(pins, &pins[o.pin])
	}
}

package solve

// Speed ratios of a drive. Every toothed part passes turning on by whole
// teeth, so each ratio is an exact rational:
//
//	belt    r_j = r_i · (z_i·s_i)/(z_j·s_j)   s = +1 inside the loop, -1 on the belt's back
//	gears   r_driven = σ · r_driver · z_driver/z_driven
//
// σ is -1 for spur gears, +1 for internal gears, and what the spec states for
// bevel, crown and worm pairs (a worm counts its starts as teeth). Source: any
// handbook on gear trains, such as Khurmi & Gupta, Theory of Machines, ch. 13.

import (
	"slices"

	"understage/internal/mech"
)

// Drive says how fast every shaft turns for one turn of the motor.
type Drive struct {
	Ratios    []Ratio    // by shaft; the zero Ratio where nothing drives it
	Via       []Part     // by shaft: the part that brings it its turning; the zero-valued NoPart for the motor's own
	Undriven  []int      // shafts that no chain of toothed parts ties to the motor
	Overflows []int      // shafts whose exact ratio does not fit 64 bits; their Ratio is zero
	Conflicts []Conflict // parts that would turn a shaft at two speeds: the drive locks
	Backward  []int      // worm pairs reached from their wheel, which cannot drive the worm
}

// PartKind is the kind of a part that passes turning on.
type PartKind int

const (
	NoPart PartKind = iota
	BeltPart
	GearPart
)

// Part names a belt or a pair of gears by its index in the model.
type Part struct {
	Kind  PartKind
	Index int
}

// Conflict is a part that would turn a shaft at another speed than it has.
type Conflict struct {
	Shaft  int
	Via    Part // the part that disagrees
	First  Part // the part that gave the shaft its ratio first
	Ratio  Ratio
	Second string // what Via asks for, exactly, written as Ratio.String does
}

// Locks reports whether two paths through the drive disagree.
func (d *Drive) Locks() bool { return len(d.Conflicts) > 0 }

// turnsLike reports whether the drives give every shaft the same ratio, known to
// the same degree.
func (d *Drive) turnsLike(other *Drive) bool {
	return slices.Equal(d.Ratios, other.Ratios) && slices.Equal(d.Overflows, other.Overflows) && d.Locks() == other.Locks()
}

// Sign returns the shaft's own sense: +1 when it turns counter-clockwise in its
// view, -1 clockwise, 0 when it stands still.
func (d *Drive) Sign(m *mech.Model, shaft int) float64 {
	if m.Motor == nil || !d.Ratios[shaft].Driven() {
		return 0
	}
	if d.Ratios[shaft].Num < 0 {
		return -m.Motor.Sense.Sign()
	}
	return m.Motor.Sense.Sign()
}

// SolveDrive follows the toothed parts from the motor's shaft outward. Without
// a motor every shaft is undriven.
func SolveDrive(m *mech.Model) Drive {
	w := driveWalk{m: m, ratios: make([]rational, len(m.Shafts)), via: make([]Part, len(m.Shafts))}
	if m.Motor != nil && m.Motor.Shaft >= 0 && m.Motor.Shaft < len(m.Shafts) {
		w.follow(m.Motor.Shaft)
	}
	d := Drive{Ratios: make([]Ratio, len(m.Shafts)), Via: w.via, Backward: w.backward}
	for i, r := range w.ratios {
		if !r.known() {
			d.Undriven = append(d.Undriven, i)
			continue
		}
		ratio, ok := ratioOf(r)
		if !ok {
			d.Overflows = append(d.Overflows, i)
		}
		d.Ratios[i] = ratio
	}
	for _, c := range w.conflicts {
		d.Conflicts = append(d.Conflicts, Conflict{
			Shaft: c.shaft, Via: c.via, First: w.via[c.shaft],
			Ratio: d.Ratios[c.shaft], Second: c.ratio.String(),
		})
	}
	return d
}

// ratioOf returns r in 64 bits, and whether it fits.
func ratioOf(r rational) (Ratio, bool) {
	if r.big != nil {
		return Ratio{}, false
	}
	return Ratio{Num: r.num, Den: r.den}, true
}

// driveWalk is a breadth-first walk from the motor through belts and gears.
// Every part is passed once, from the first of its shafts that is reached, and
// then compared with every other shaft it touches.
type driveWalk struct {
	m         *mech.Model
	ratios    []rational // not known: not reached
	via       []Part
	queue     []int
	conflicts []driveConflict
	backward  []int
}

type driveConflict struct {
	shaft int
	via   Part
	ratio rational
}

func (w *driveWalk) follow(motor int) {
	touching := partsByShaft(w.m)
	passed := make(map[Part]bool)
	w.ratios[motor] = newRational(1, 1)
	w.queue = append(w.queue, motor)
	for len(w.queue) > 0 {
		shaft := w.queue[0]
		w.queue = w.queue[1:]
		for _, part := range touching[shaft] {
			if passed[part] {
				continue
			}
			passed[part] = true
			if part.Kind == BeltPart {
				w.passBelt(part, shaft)
			} else {
				w.passGear(part, shaft)
			}
		}
	}
}

// partsByShaft lists the toothed parts on each shaft.
func partsByShaft(m *mech.Model) [][]Part {
	parts := make([][]Part, len(m.Shafts))
	for i, b := range m.Belts {
		for _, p := range b.Run {
			if p.Shaft != mech.None && p.Teeth > 0 {
				parts[p.Shaft] = append(parts[p.Shaft], Part{BeltPart, i})
			}
		}
	}
	for i, g := range m.Gears {
		for _, wheel := range [...]mech.GearWheel{g.Driver, g.Driven} {
			if wheel.Teeth > 0 {
				parts[wheel.Shaft] = append(parts[wheel.Shaft], Part{GearPart, i})
			}
		}
	}
	return parts
}

// reach gives the shaft its ratio, or notes that it has another one.
func (w *driveWalk) reach(shaft int, ratio rational, via Part) {
	switch {
	case !w.ratios[shaft].known():
		w.ratios[shaft] = ratio
		w.via[shaft] = via
		w.queue = append(w.queue, shaft)
	case w.ratios[shaft].cmp(ratio) != 0:
		w.conflicts = append(w.conflicts, driveConflict{shaft, via, ratio})
	}
}

func (w *driveWalk) passBelt(part Part, from int) {
	run := w.m.Belts[part.Index].Run
	var speed rational // teeth of belt per motor turn
	for _, p := range run {
		if p.Shaft == from && p.Teeth > 0 {
			speed = w.ratios[from].times(newRational(signedTeeth(p), 1))
			break
		}
	}
	for _, p := range run {
		if p.Shaft == mech.None || p.Teeth <= 0 {
			continue
		}
		w.reach(p.Shaft, speed.over(newRational(signedTeeth(p), 1)), part)
	}
}

func signedTeeth(p mech.Pulley) int64 {
	if p.Back {
		return -int64(p.Teeth)
	}
	return int64(p.Teeth)
}

func (w *driveWalk) passGear(part Part, from int) {
	g := w.m.Gears[part.Index]
	if g.Driver.Teeth <= 0 || g.Driven.Teeth <= 0 {
		return
	}
	driver, driven := int64(g.Driver.Teeth), int64(g.Driven.Teeth)
	if GearReverses(g) {
		driver = -driver
	}
	step, to := newRational(driver, driven), g.Driven.Shaft
	if from == g.Driven.Shaft {
		step = newRational(driven, driver)
		to = g.Driver.Shaft
		if g.Kind == mech.Worm {
			w.backward = append(w.backward, part.Index)
		}
	}
	w.reach(to, step.times(w.ratios[from]), part)
}

// GearReverses reports whether the driven shaft turns against the driver, each
// seen in its own view.
func GearReverses(g mech.Gear) bool {
	switch g.Kind {
	case mech.Spur:
		return true
	case mech.Internal:
		return false
	default:
		return g.Opposite
	}
}

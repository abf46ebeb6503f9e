package solve

import (
	"math"
	"slices"

	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
)

// HoleKind is what a hole of a plate is for.
type HoleKind int

const (
	HoleShaft HoleKind = iota
	HoleBoss
	HoleScrew
	HolePin
	HoleOpening // for the torso shaft
	HoleOwn     // the maker's own
)

// PlateHole is one hole, or a slot from At to End.
type PlateHole struct {
	Kind     HoleKind
	Name     string  // what goes in it
	At, End  r2.Vec  // the same for a round hole
	Fits     float64 // diameter of what goes in
	Diameter float64 // as made, with the allowance; also the width of a slot
	// Fitted is where the take-up of the fitted belt stands in a slot.
	Fitted r2.Vec
	HasFit bool
}

// Slotted reports whether the hole is a slot.
func (h *PlateHole) Slotted() bool { return h.At != h.End }

// PlateWall is the material between two holes, or between a hole and the edge.
type PlateWall struct {
	A, B int // holes; B is mech.None for the edge
	Wall float64
}

// PlateSpan is the distance between two holes, to check with callipers.
type PlateSpan struct {
	A, B     int
	Centres  float64
	OverPins float64 // over two pins of the holes' own nominal diameters
}

// PlateResult is one frame plate as it is made.
type PlateResult struct {
	Part    int
	Plate   int
	Holes   []PlateHole
	Shafts  []int    // that go through it
	Outline []r2.Vec // corners given by the maker; nil: the hull round the holes
	Margin  float64
	// Least is the thinnest wall; Wall is false without holes.
	Least   PlateWall
	Wall    bool
	Outside []int // holes that leave the outline
	Spans   []PlateSpan
	Size    r2.Vec
	Min     r2.Vec // lower left corner of the plate's extent
	Fit     BedFit
}

// holes returns a plate's holes: shafts, torso, guide pin, motor, the maker's own.
func (b *frameBuild) holes(plate int) []PlateHole {
	own := b.out.Parts[b.plates[plate]]
	spec := &b.m.Frame.Plates[plate]
	var out []PlateHole
	for i := range b.out.Parts {
		p := &b.out.Parts[i]
		if !slices.Contains(p.joints, frameJoint{jointHole, plate, 0}) {
			continue
		}
		switch p.Kind {
		case FrameShaft:
			out = append(out, b.shaftHole(p.Shaft, HoleShaft, p.Name, r2.Vec{}, 2*p.Radius))
		case FrameGuidePin:
			out = append(out, b.roundHole(HolePin, p.Name, p.At, 2*p.Radius))
		case FrameTorsoShaft:
			if r, ok := b.torsoOpening(&own); ok {
				h := b.roundHole(HoleOpening, "torso shaft", r2.Vec{}, 2*r)
				h.Diameter = h.Fits // an opening, not a fit
				out = append(out, h)
			}
		}
	}
	if b.out.Mount.Plate == plate {
		out = append(out, b.motorHoles()...)
	}
	for _, h := range spec.Holes {
		out = append(out, b.roundHole(HoleOwn, h.Name, h.At, h.Diameter))
	}
	return out
}

func (b *frameBuild) roundHole(kind HoleKind, name string, at r2.Vec, fits float64) PlateHole {
	return PlateHole{Kind: kind, Name: name, At: at, End: at, Fits: fits, Diameter: fits + b.m.Frame.HoleAllowance}
}

// shaftHole returns the hole for something carried at an offset from a shaft:
// a slot over the whole take-up where the shaft is a take-up's.
func (b *frameBuild) shaftHole(shaft int, kind HoleKind, name string, offset r2.Vec, fits float64) PlateHole {
	at := b.m.Shafts[shaft].At
	h := b.roundHole(kind, name, r2.Add(at, offset), fits)
	for i, belt := range b.m.Belts {
		if belt.TakeUp == nil || belt.Run[belt.TakeUp.Pulley].Shaft != shaft {
			continue
		}
		h.At = r2.Add(h.At, r2.Scale(belt.TakeUp.Min, belt.TakeUp.Along))
		h.End = r2.Add(h.End, r2.Scale(belt.TakeUp.Max, belt.TakeUp.Along))
		if i < len(b.belts) && b.belts[i].Fitted.TakeUp.OK && b.belts[i].Fitted.Reachable {
			h.Fitted, h.HasFit = r2.Add(b.belts[i].Fitted.At, offset), true
		}
		break
	}
	return h
}

func (b *frameBuild) motorHoles() []PlateHole {
	body, shaft := b.m.Motor.Body, b.m.Motor.Shaft
	var out []PlateHole
	if body.BossDiameter > 0 {
		out = append(out, b.shaftHole(shaft, HoleBoss, "motor boss", r2.Vec{}, body.BossDiameter))
	}
	for _, s := range body.Screws {
		if body.ScrewDiameter > 0 {
			out = append(out, b.shaftHole(shaft, HoleScrew, "motor screw", s, body.ScrewDiameter))
		}
	}
	return out
}

// makePlates works out every plate as made.
func (b *frameBuild) makePlates() {
	for i, at := range b.plates {
		r := PlateResult{Part: at, Plate: i, Holes: b.mergeHoles(b.holes(i)), Outline: b.m.Frame.Plates[i].Outline}
		r.Margin = b.m.Frame.Plates[i].Margin.Or(standard.FramePlateMargin)
		for k := range b.shaft {
			if slices.Contains(b.out.Parts[b.shaft[k]].joints, frameJoint{jointHole, i, 0}) {
				r.Shafts = append(r.Shafts, k)
			}
		}
		r.measure()
		r.Fit = fitBed(&r, b.m.Frame.Bed, standard.Limit(b.m.Limits, "hole_wall"))
		if b.out.Mount.Plate == i && b.out.Mount.Status == MountOK && r.leavesMotor() {
			b.out.Mount.Status = MountOffPlate
		}
		b.out.Plates = append(b.out.Plates, r)
	}
}

// Holds reports whether the shaft goes through the plate.
func (r *PlateResult) Holds(shaft int) bool { return slices.Contains(r.Shafts, shaft) }

// mergeHoles drops the hole of the motor's shaft where its boss goes through.
func (b *frameBuild) mergeHoles(holes []PlateHole) []PlateHole {
	var boss *PlateHole
	for i := range holes {
		if holes[i].Kind == HoleBoss {
			boss = &holes[i]
		}
	}
	if boss == nil {
		return holes
	}
	merged := *boss
	return slices.DeleteFunc(holes, func(h PlateHole) bool {
		return h.Kind == HoleShaft && h.At == merged.At && h.Diameter <= merged.Diameter
	})
}

func (r *PlateResult) leavesMotor() bool {
	return slices.ContainsFunc(r.Outside, func(i int) bool {
		return r.Holes[i].Kind == HoleBoss || r.Holes[i].Kind == HoleScrew
	})
}

// gap returns the distance between two holes' edges.
func holeGap(a, b *PlateHole) float64 {
	p, q := []r2.Vec{a.At, a.End}, []r2.Vec{b.At, b.End}
	if !a.Slotted() {
		p = p[:1]
	}
	if !b.Slotted() {
		q = q[:1]
	}
	return coreGap(p, a.Diameter/2, q, b.Diameter/2)
}

// measure finds walls, spans and extent.
func (r *PlateResult) measure() {
	r.Least.Wall = math.Inf(1)
	note := func(a, b int, wall float64) {
		if wall < r.Least.Wall {
			r.Least, r.Wall = PlateWall{a, b, wall}, true
		}
	}
	low, high := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	reach := func(p r2.Vec, radius float64) {
		low = r2.Vec{X: min(low.X, p.X-radius), Y: min(low.Y, p.Y-radius)}
		high = r2.Vec{X: max(high.X, p.X+radius), Y: max(high.Y, p.Y+radius)}
	}
	for i := range r.Holes {
		h := &r.Holes[i]
		for j := i + 1; j < len(r.Holes); j++ {
			note(i, j, holeGap(h, &r.Holes[j]))
			if centres := r2.Norm(r2.Sub(h.At, r.Holes[j].At)); !h.Slotted() && !r.Holes[j].Slotted() && h.Kind != HoleOpening && r.Holes[j].Kind != HoleOpening {
				r.Spans = append(r.Spans, PlateSpan{i, j, centres, centres + (h.Fits+r.Holes[j].Fits)/2})
			}
		}
		if len(r.Outline) == 0 {
			note(i, mech.None, r.Margin)
			reach(h.At, h.Diameter/2+r.Margin)
			reach(h.End, h.Diameter/2+r.Margin)
			continue
		}
		wall := edgeWall(r.Outline, h)
		note(i, mech.None, wall)
		if wall < 0 {
			r.Outside = append(r.Outside, i)
		}
	}
	for _, c := range r.Outline {
		reach(c, 0)
	}
	if !r.Wall {
		r.Least.Wall = 0
	}
	if low.X <= high.X {
		r.Min, r.Size = low, r2.Sub(high, low)
	}
}

// edgeWall returns the material between a hole and the outline, negative where
// the hole reaches beyond it.
func edgeWall(outline []r2.Vec, h *PlateHole) float64 {
	core := []r2.Vec{h.At, h.End}
	if !h.Slotted() {
		core = core[:1]
	}
	if !insideOutline(outline, h.At) || !insideOutline(outline, h.End) || outlineCrosses(outline, core) {
		return -h.Diameter / 2
	}
	return math.Sqrt(min(cornerDistance2(outline, core), cornerDistance2(core, outline))) - h.Diameter/2
}

// BedFit is how a plate goes onto the print bed.
type BedFit struct {
	Given  bool // whether a bed is given
	Whole  bool
	Turned bool // by a quarter turn
	// Parts says in how many strips the plate is printed, and Splits where, when
	// it does not fit whole; along U the lines stand upright at u, otherwise they
	// lie level at v. No Parts: no set of lines crosses no hole.
	Parts  int
	AlongU bool
	Splits []float64
	// Across are lines the other way, where strips alone would be too long.
	Across []float64
}

// fitBed fits a plate onto the bed: as drawn, turned, or in strips between lines
// that keep the wall from every hole.
func fitBed(r *PlateResult, bed r2.Vec, wall float64) BedFit {
	f := BedFit{Given: bed.X > 0 && bed.Y > 0}
	if !f.Given {
		return f
	}
	size := r.Size
	if size.X <= bed.X && size.Y <= bed.Y {
		f.Whole = true
		return f
	}
	if size.X <= bed.Y && size.Y <= bed.X {
		f.Whole, f.Turned = true, true
		return f
	}
	for _, alongU := range [2]bool{true, false} {
		long, across := size.X, size.Y
		if !alongU {
			long, across = size.Y, size.X
		}
		for _, room := range [2][2]float64{{bed.X, bed.Y}, {bed.Y, bed.X}} {
			if across > room[1] {
				continue
			}
			splits, ok := r.splits(alongU, long, room[0], wall)
			if ok && (f.Parts == 0 || len(splits)+1 < f.Parts) {
				f.Parts, f.AlongU, f.Splits = len(splits)+1, alongU, splits
			}
		}
	}
	if f.Parts > 0 {
		return f
	}
	for _, room := range [2]r2.Vec{bed, {X: bed.Y, Y: bed.X}} {
		u, okU := r.splits(true, size.X, room.X, wall)
		v, okV := r.splits(false, size.Y, room.Y, wall)
		if parts := (len(u) + 1) * (len(v) + 1); okU && okV && (f.Parts == 0 || parts < f.Parts) {
			f.Parts, f.AlongU, f.Splits, f.Across = parts, true, u, v
		}
	}
	return f
}

// splits returns lines across the plate that cross no hole and leave strips no
// longer than room: the fewest, each as near as may be to an even share.
func (r *PlateResult) splits(alongU bool, long, room, wall float64) ([]float64, bool) {
	start := r.Min.Y
	if alongU {
		start = r.Min.X
	}
	free := r.freeStretches(alongU, start, start+long, wall)
	for n := int(math.Ceil(long / room)); n <= int(math.Ceil(long/room))+len(r.Holes)+1; n++ {
		var lines []float64
		at := start
		for k := 1; k < n; k++ {
			line, ok := nearestFree(free, start+long*float64(k)/float64(n), at, at+room)
			if !ok {
				break
			}
			lines = append(lines, line)
			at = line
		}
		if len(lines) == n-1 && start+long-at <= room {
			return lines, true
		}
	}
	return nil, false
}

// freeStretches returns the stretches of the axis that no hole lies on.
func (r *PlateResult) freeStretches(alongU bool, from, to, wall float64) [][2]float64 {
	coordinate := func(p r2.Vec) float64 {
		if alongU {
			return p.X
		}
		return p.Y
	}
	var taken [][2]float64
	for _, h := range r.Holes {
		a, b := coordinate(h.At), coordinate(h.End)
		taken = append(taken, [2]float64{min(a, b) - h.Diameter/2 - wall, max(a, b) + h.Diameter/2 + wall})
	}
	slices.SortFunc(taken, func(p, q [2]float64) int {
		switch {
		case p[0] < q[0]:
			return -1
		case p[0] > q[0]:
			return 1
		}
		return 0
	})
	var free [][2]float64
	at := from
	for _, t := range taken {
		if t[0] > at {
			free = append(free, [2]float64{at, t[0]})
		}
		at = max(at, t[1])
	}
	if at < to {
		free = append(free, [2]float64{at, to})
	}
	return free
}

// nearestFree returns the free place nearest to the wish, above low and no
// farther than high.
func nearestFree(free [][2]float64, wish, low, high float64) (float64, bool) {
	best, found := 0.0, false
	for _, f := range free {
		a, b := max(f[0], low+1e-6), min(f[1], high)
		if a > b {
			continue
		}
		p := min(max(wish, a), b)
		if !found || math.Abs(p-wish) < math.Abs(best-wish) {
			best, found = p, true
		}
	}
	return best, found
}

package solve

import (
	"math"
	"slices"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
)

// MountStatus says whether the motor can be screwed to a plate.
type MountStatus int

const (
	MountUnknown  MountStatus = iota // no motor, or its body is not given
	MountNoPlate                     // no plate of the shaft's view lies at the motor's face
	MountOffPlate                    // the plate does not reach round boss and screws
	MountNoScrews                    // the plate is there, screws are not given
	MountOK
)

// MotorMount is how the motor is held.
type MotorMount struct {
	Status MountStatus
	Plate  int     // of the frame, mech.None
	Face   float64 // level of the motor's face
	// Away is how far the nearest plate of the view lies from the face; with
	// MountNoPlate and a plate in the view.
	Away float64
}

// addPlates adds the frame's plates; their bodies come once their holes are known.
func (b *frameBuild) addPlates() {
	b.plates = make([]int, len(b.m.Frame.Plates))
	for i := range b.m.Frame.Plates {
		plate := &b.m.Frame.Plates[i]
		p := FramePart{Kind: FramePlate, Name: "plate " + plate.Name, Where: specPath("frame", "plates", plate.Name), View: plate.View, Shaft: mech.None, Index: i}
		thick := sized(plate.Thickness, standard.FramePlateThickness, "thickness", &p.Assumed)
		p.From, p.To = plate.Level-thick/2, plate.Level+thick/2
		p.join(jointHole, i, 0)
		b.plates[i] = b.add(p)
	}
}

// addMotor adds the motor's body, its boss, and the heads of its screws on the
// far side of the plate that holds it.
func (b *frameBuild) addMotor() {
	b.out.Mount.Plate = mech.None
	if b.m.Motor == nil || b.m.Motor.Body == nil {
		return
	}
	body, shaft := b.m.Motor.Body, b.m.Motor.Shaft
	view := b.m.Shafts[shaft].View
	p := FramePart{Kind: FrameMotor, Name: "motor", Where: "motor.body", View: view, Shaft: shaft, Index: mech.None, At: b.m.Shafts[shaft].At, Radius: body.Diameter / 2}
	face, plate := b.motorFace(view, body, &p.Assumed)
	b.out.Mount.Face, b.out.Mount.Plate = face, plate
	up := -1.0
	if body.Above {
		up = 1
	}
	p.From, p.To = min(face, face+up*body.Length), max(face, face+up*body.Length)
	p.join(jointShaft, shaft, 0)
	if plate != mech.None {
		p.join(jointHole, plate, 0)
	}
	part := b.add(p)
	for _, core := range b.bodyCores(shaft, body) {
		b.prism(part, view, core, body.Diameter/2, p.From, p.To)
	}
	if body.BossDiameter > 0 && body.BossHeight > 0 {
		b.onShaft(part, shaft, body.BossDiameter/2, min(face, face-up*body.BossHeight), max(face, face-up*body.BossHeight))
	}
	b.judgeMount(body)
	if plate != mech.None {
		b.addScrewHeads(shaft, body, plate, up)
	}
}

// bodyCores returns the outline of the body where the motor may stand.
func (b *frameBuild) bodyCores(shaft int, body *mech.MotorBody) [][]r2.Vec {
	var out [][]r2.Vec
	for _, at := range b.standing(shaft) {
		c := r2.Add(at, body.Centre)
		if body.Diameter > 0 {
			out = append(out, []r2.Vec{c})
			continue
		}
		h := r2.Scale(0.5, body.Size)
		out = append(out, []r2.Vec{{X: c.X - h.X, Y: c.Y - h.Y}, {X: c.X + h.X, Y: c.Y - h.Y}, {X: c.X + h.X, Y: c.Y + h.Y}, {X: c.X - h.X, Y: c.Y + h.Y}})
	}
	return out
}

// faceTolerance is how far a motor's face may lie from a plate's and still be
// screwed to it, mm: a washer's thickness.
const faceTolerance = 0.5

// motorFace returns the level of the motor's face and the plate it lies on. A
// face that is not given lies on the outermost plate on the motor's side.
func (b *frameBuild) motorFace(view geom.View, body *mech.MotorBody, assumed *[]string) (face float64, plate int) {
	plate = mech.None
	nearest := math.Inf(1)
	for i, at := range b.plates {
		p := &b.out.Parts[at]
		if p.View != view {
			continue
		}
		level := p.From // the face the body hangs from
		if body.Above {
			level = p.To
		}
		away := level
		if body.Above {
			away = -level
		}
		if body.Face.OK {
			away = math.Abs(level - body.Face.Value)
		}
		if away < nearest {
			nearest, plate, face = away, i, level
		}
	}
	switch {
	case !body.Face.OK:
		*assumed = append(*assumed, "face")
	case plate != mech.None && nearest > faceTolerance:
		b.out.Mount.Away = face - body.Face.Value
		plate = mech.None
		fallthrough
	default:
		face = body.Face.Value
	}
	return face, plate
}

func (b *frameBuild) addScrewHeads(shaft int, body *mech.MotorBody, plate int, up float64) {
	if len(body.Screws) == 0 || body.ScrewDiameter <= 0 {
		return
	}
	at := &b.out.Parts[b.plates[plate]]
	far := at.To
	if up > 0 {
		far = at.From
	}
	// Pan heads are at most twice as wide as the thread and as high as it.
	p := FramePart{Kind: FrameScrew, Name: "motor screws", Where: "motor.body", View: at.View, Shaft: mech.None, Index: mech.None,
		From: min(far, far-up*body.ScrewDiameter), To: max(far, far-up*body.ScrewDiameter)}
	p.join(jointHole, plate, 0)
	part := b.add(p)
	for _, stand := range b.standing(shaft) {
		for _, s := range body.Screws {
			b.disc(part, p.View, r2.Add(stand, s), body.ScrewDiameter, p.From, p.To)
		}
	}
}

// judgeMount says whether the plate holds the motor; whether it reaches round
// the screws shows once its outline is known.
func (b *frameBuild) judgeMount(body *mech.MotorBody) {
	switch {
	case b.out.Mount.Plate == mech.None:
		b.out.Mount.Status = MountNoPlate
	case len(body.Screws) == 0 || body.ScrewDiameter <= 0:
		b.out.Mount.Status = MountNoScrews
	default:
		b.out.Mount.Status = MountOK
	}
}

// addShafts adds every shaft, from end to end: as given, or a little beyond the
// parts on it and the plates of its view.
func (b *frameBuild) addShafts() {
	b.shaft = make([]int, len(b.m.Shafts))
	for i := range b.m.Shafts {
		s := &b.m.Shafts[i]
		p := FramePart{Kind: FrameShaft, Name: "shaft " + s.Name, Where: specPath("drive", "shafts", s.Name), View: s.View, Shaft: i, Index: i, At: s.At}
		p.Radius = sized(s.Diameter, standard.FrameShaftDiameter, "diameter", &p.Assumed) / 2
		p.From, p.To = b.shaftEnds(i)
		if s.From.OK {
			p.From = s.From.Value
		}
		if s.To.OK {
			p.To = s.To.Value
		}
		if !s.From.OK || !s.To.OK {
			p.Assumed = append(p.Assumed, "ends")
		}
		p.join(jointShaft, i, 0)
		b.joinShaft(&p, i)
		b.shaft[i] = b.add(p)
		b.onShaft(b.shaft[i], i, p.Radius, p.From, p.To)
	}
}

// joinShaft lets a shaft touch what runs on its own sprockets and gears.
func (b *frameBuild) joinShaft(p *FramePart, shaft int) {
	for k, belt := range b.m.Belts {
		for _, pulley := range belt.Run {
			if pulley.Shaft == shaft {
				p.join(jointBelt, k, 0)
			}
		}
	}
	for k, g := range b.m.Gears {
		if g.Driver.Shaft == shaft || g.Driven.Shaft == shaft {
			p.join(jointGear, k, 0)
		}
	}
}

func (b *frameBuild) shaftEnds(shaft int) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	s := &b.m.Shafts[shaft]
	for i := range b.out.Parts {
		p := &b.out.Parts[i]
		if p.Shaft == shaft && p.Kind != FrameMotor {
			end := standard.FrameShaftEnd
			if p.Kind == FrameCrank { // flush, so that the bars pass the shaft's end
				end = 0
			}
			from, to = min(from, p.From-end), max(to, p.To+end)
		}
		if p.Shaft == shaft && p.Kind == FrameMotor {
			from, to = min(from, b.out.Mount.Face), max(to, b.out.Mount.Face) // its own shaft
		}
		if p.Kind == FramePlate && p.View == s.View {
			outline := b.m.Frame.Plates[p.Index].Outline
			if len(outline) == 0 || insideOutline(outline, s.At) {
				from, to = min(from, p.From-standard.FrameShaftEnd), max(to, p.To+standard.FrameShaftEnd)
			}
		}
	}
	if from > to {
		level := s.Level.Or(0)
		from, to = level, level
	}
	return from, to
}

// joinPlates lets shafts, and what goes through the stage, pass the plates they
// have holes in.
func (b *frameBuild) joinPlates() {
	for i, at := range b.plates {
		plate := &b.m.Frame.Plates[i]
		own := &b.out.Parts[at]
		for k := range b.out.Parts {
			p := &b.out.Parts[k]
			passes := p.View == own.View && p.From < own.To && p.To > own.From
			inside := len(plate.Outline) == 0 || insideOutline(plate.Outline, p.At)
			switch {
			case p.Kind == FrameShaft && passes && inside:
				p.join(jointHole, i, 0)
			case p.Kind == FrameGuidePin && passes && inside:
				p.join(jointHole, i, 0)
			case p.Kind == FrameTorsoShaft && own.View == geom.Plan && p.From < own.To:
				p.join(jointHole, i, 0)
			}
		}
	}
}

// addPlateBodies adds the plates as they are cut: by their outline, or by the
// hull round their holes.
func (b *frameBuild) addPlateBodies() {
	for i, at := range b.plates {
		plate, p := &b.m.Frame.Plates[i], b.out.Parts[at]
		body := frameBody{part: at, kind: bodyOutline, view: p.View, low: p.From, high: p.To, core: plate.Outline}
		if len(plate.Outline) == 0 {
			body.core = b.hullOutline(i)
		}
		if len(body.core) >= 3 {
			b.s.bodies = append(b.s.bodies, body)
		}
	}
}

// hullOutline returns the corners of the hull round a plate's holes, with its
// margin; arcs are cut into chords from outside.
func (b *frameBuild) hullOutline(plate int) []r2.Vec {
	const sides = 24
	margin := b.m.Frame.Plates[plate].Margin.Or(standard.FramePlateMargin)
	var points []r2.Vec
	for _, h := range b.holes(plate) {
		// The polygon stands outside the circle, touching it.
		r := (h.Diameter/2 + margin) / math.Cos(math.Pi/sides)
		for k := range sides {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / sides)
			out := r2.Vec{X: r * cos, Y: r * sin}
			if points = append(points, r2.Add(h.At, out)); h.Slotted() {
				points = append(points, r2.Add(h.End, out))
			}
		}
	}
	return convexHull(points)
}

// convexHull returns the hull of points, counter-clockwise (A. M. Andrew,
// Another efficient algorithm for convex hulls in two dimensions, Information
// Processing Letters 9, 1979).
func convexHull(points []r2.Vec) []r2.Vec {
	if len(points) < 3 {
		return slices.Clone(points)
	}
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b r2.Vec) int {
		switch {
		case a.X < b.X || a.X == b.X && a.Y < b.Y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	var hull []r2.Vec
	half := func(next func(i int) r2.Vec, n int) {
		base := len(hull)
		for i := range n {
			p := next(i)
			for len(hull) >= base+2 && r2.Cross(r2.Sub(hull[len(hull)-1], hull[len(hull)-2]), r2.Sub(p, hull[len(hull)-1])) <= 0 {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, p)
		}
		hull = hull[:len(hull)-1]
	}
	n := len(points)
	half(func(i int) r2.Vec { return points[i] }, n)
	half(func(i int) r2.Vec { return points[n-1-i] }, n)
	return hull
}

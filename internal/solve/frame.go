package solve

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// FrameKind is what a part of the stack-up is.
type FrameKind int

const (
	FrameStage FrameKind = iota
	FramePlate
	FrameShaft
	FrameSprocket
	FrameIdler
	FrameBelt
	FrameGear
	FrameCam
	FrameFollower
	FrameYoke
	FrameTorsoShaft
	FrameGuideArm
	FrameGuidePin
	FrameCrank
	FrameRod
	FrameBar
	FramePin
	FrameMotor
	FrameScrew
	FramePoint
	FrameObstacle
)

// FramePart is one part as the stack-up lists it.
type FramePart struct {
	Kind     FrameKind
	Name     string // in words, as "cam sway" or "sprocket on side"
	Where    string // path in the spec
	View     geom.View
	From, To float64 // along the view's third axis, From the lesser
	Shaft    int     // that carries it, mech.None otherwise
	At       r2.Vec  // its axis in the view, of a round part
	Radius   float64 // outside, of a round part; 0 otherwise
	Assumed  []string
	// Min and Max are the corners of the block it takes up at motor turn 0, in the
	// stage frame; both zero where it cannot be posed. The stage has no edges.
	Min, Max r3.Vec
	Index    int // of the belt, gear, cam, push, bar ... in the model; mech.None
	Pulley   int // of a sprocket or idler in its belt's run
	joints   []frameJoint
}

// Thickness returns the part's extent along the third axis.
func (p *FramePart) Thickness() float64 { return p.To - p.From }

// Level returns the middle of the thickness.
func (p *FramePart) Level() float64 { return (p.From + p.To) / 2 }

// frameJoint is one reason for two parts to touch: what joins them, and which.
type frameJoint struct {
	kind frameJointKind
	i, j int
}

type frameJointKind int

const (
	jointShaft   frameJointKind = iota // sits on shaft i, or is held by it
	jointBelt                          // runs on belt i
	jointGear                          // meshes in gear i
	jointCam                           // rides on cam i
	jointPush                          // acts in push i of the torso
	jointGuide                         // acts in the torso's guide
	jointPin                           // turns on pin j of linkage i
	jointHole                          // goes through a hole of plate i, or is screwed to it
	jointOpening                       // goes through the stage
	jointRest                          // stands on the stage or above it, and is judged there
	jointTorso                         // moves as one with the torso
)

// touches reports whether two parts are meant to touch: they share a joint.
func (p *FramePart) touches(q *FramePart) bool {
	for _, a := range p.joints {
		if slices.Contains(q.joints, a) {
			return true
		}
	}
	return false
}

func (p *FramePart) join(kind frameJointKind, i, j int) {
	p.joints = append(p.joints, frameJoint{kind, i, j})
}

// FrameStack is the room along a shaft, or a linkage's pin, between two parts on
// it, the upper first: negative where they share a height.
type FrameStack struct {
	Upper, Lower int
	Room         float64
}

// StageSlot is the slot that a linkage needs in the stage: what its parts sweep
// between the stage's two faces.
type StageSlot struct {
	Linkage  int
	Min, Max r2.Vec // x, y
}

// FrameResult is where everything lies, what comes near what, and the plates.
type FrameResult struct {
	// Parts in the order of the spec; stack-ups sort them by view and height.
	Parts      []FramePart
	Stacks     []FrameStack // every pair of neighbours on a shaft or pin
	Clearances []FrameClearance
	// Far: pairs that are not among the clearances stay at least this far apart, mm.
	Far    float64
	Plates []PlateResult
	Mount  MotorMount
	Slots  []StageSlot
	// Crossed gears whose written levels and sense contradict each other.
	Crossed []int
}

// frameFar is how near two parts must come to be listed, mm; a maker wants to
// see what is close, not every pair.
const frameFar = 5.0

// frameBuild gathers parts and bodies.
type frameBuild struct {
	m         *mech.Model
	d         *Drive
	belts     []BeltResult
	results   []CamResult
	cams      []*Cam
	torso     *TorsoResult // nil where it is not solved
	s         frameScene
	out       FrameResult
	camMovers []*frameMover // nil: the cam is not solved
	camStates []*camState
	shaft     []int // by shaft, its part
	plates    []int // by plate, its part
	torsoPart int
	// What moves the torso; nil where it cannot be posed.
	torsoMover *frameMover
	torsoState *torsoState
	pinPlate   int // plate that the guide pin stands on, or mech.None
	foot       [len(geom.Views)]float64
	openings   map[[2]float64]torsoOpening // by a plate's two faces
}

// SolveFrame lays the figure out in space and follows what may collide over the
// repeat, with the drive, belts and poses already solved. Parts that cannot be
// posed are left out.
func SolveFrame(m *mech.Model, s *Solution) FrameResult {
	b := buildFrame(m, s)
	b.out.Clearances = b.s.clearances()
	b.out.Far = b.s.far
	b.blocks()
	b.stacks()
	b.makePlates()
	return b.out
}

// buildFrame lays the figure out in space.
func buildFrame(m *mech.Model, s *Solution) *frameBuild {
	k := s.Machine
	b := &frameBuild{m: m, d: &s.Drive, belts: s.Belts, cams: k.Cams, results: s.Cams, torso: s.Torso}
	b.s.ratios, b.s.far = s.Drive.Ratios, max(frameFar, 2*standard.Limit(m.Limits, "frame_clearance"))
	b.s.bound = s.Repeat.Bound
	b.findFoot()
	b.addStage()
	b.addPlates()
	b.addGears()
	b.addBelts()
	b.addCams()
	b.addTorso(k.Torso)
	b.addLinkages(k.Chains)
	b.addMotor()
	b.addShafts()
	b.joinPlates()
	for part := range b.stageSlots() {
		b.part(part).join(jointOpening, 0, 0)
	}
	b.addPlateBodies()
	b.s.parts = b.out.Parts
	return b
}

// add appends a part and returns its index.
func (b *frameBuild) add(p FramePart) int {
	b.out.Parts = append(b.out.Parts, p)
	return len(b.out.Parts) - 1
}

// part returns a part to change; the pointer holds until the next add.
func (b *frameBuild) part(i int) *FramePart { return &b.out.Parts[i] }

// sized returns the value given or the stand-in, noting what was assumed.
func sized(g mech.Given, fallback float64, what string, assumed *[]string) float64 {
	if g.OK && g.Value > 0 {
		return g.Value
	}
	*assumed = append(*assumed, what)
	return fallback
}

// disc adds a round body at rest on its axis between two levels.
func (b *frameBuild) disc(part int, view geom.View, at r2.Vec, radius, low, high float64) {
	b.s.bodies = append(b.s.bodies, frameBody{part: part, view: view, low: low, high: high, core: []r2.Vec{at}, radius: radius})
}

// prism adds a flat body at rest.
func (b *frameBuild) prism(part int, view geom.View, core []r2.Vec, radius, low, high float64) {
	b.s.bodies = append(b.s.bodies, frameBody{part: part, view: view, low: low, high: high, core: core, radius: radius})
}

// moving adds a body that a mover places.
func (b *frameBuild) moving(f frameBody, m *frameMover, place func(f *frameBody)) {
	f.mover = m
	b.s.bodies = append(b.s.bodies, f)
	i := len(b.s.bodies) - 1
	b.s.bodies[i].place = func() { place(&b.s.bodies[i]) }
}

// newMover returns a mover that sets what bodies are placed by.
func newMover(shafts []int, set func(x []float64) bool) *frameMover {
	return &frameMover{shafts: shafts, set: set, at: make([]float64, len(shafts)), reach: make([]float64, len(shafts))}
}

// findFoot finds, per view, where parts without a level go: below everything
// whose level is written or follows from the torso.
func (b *frameBuild) findFoot() {
	for v := range b.foot {
		b.foot[v] = math.Inf(1)
	}
	low := func(v geom.View, level float64) { b.foot[v] = min(b.foot[v], level) }
	for i := range b.m.Cams {
		if level, ok := b.camLevel(i); ok {
			low(b.m.Shafts[b.m.Cams[i].Shaft].View, level)
		}
	}
	for _, belt := range b.m.Belts {
		if belt.Level.OK {
			low(belt.View, belt.Level.Value)
		}
	}
	for _, s := range b.m.Shafts {
		if s.Level.OK {
			low(s.View, s.Level.Value)
		}
	}
	for v := range b.foot {
		if math.IsInf(b.foot[v], 1) {
			b.foot[v] = 0
		}
	}
}

// below returns a level for a part that has none: the next one down its view.
func (b *frameBuild) below(v geom.View, assumed *[]string) float64 {
	*assumed = append(*assumed, "level")
	b.foot[v] -= standard.FrameFootBelow
	return b.foot[v]
}

// addStage adds the stage as everything between its two faces.
func (b *frameBuild) addStage() {
	if b.m.Torso == nil || b.m.Torso.Stage.Thickness <= 0 {
		return
	}
	p := FramePart{Kind: FrameStage, Name: "stage", Where: "torso.stage", From: -b.m.Torso.Stage.Thickness, Shaft: mech.None, Index: mech.None}
	p.join(jointOpening, 0, 0)
	p.join(jointRest, 0, 0)
	i := b.add(p)
	b.s.bodies = append(b.s.bodies, frameBody{part: i, kind: bodySlab, low: p.From, high: p.To})
}

// blocks measures the block that each part takes up at motor turn 0.
func (b *frameBuild) blocks() {
	known, rest := make([]bool, len(b.out.Parts)), make([]float64, len(b.m.Shafts))
	for i := range b.s.bodies {
		f := &b.s.bodies[i]
		if f.kind == bodySlab {
			continue
		}
		if m := f.mover; m != nil {
			m.pose(rest[:len(m.shafts)])
			if !m.stand(f) {
				continue
			}
		}
		box, p := f.box(), &b.out.Parts[f.part]
		if known[f.part] {
			box = box.with(frameBox{p.Min, p.Max})
		}
		p.Min, p.Max, known[f.part] = box.min, box.max, true
	}
}

// stacks lists the neighbours on each shaft and each linkage pin.
func (b *frameBuild) stacks() {
	axles := map[frameJoint][]int{}
	var order []frameJoint
	for i := range b.out.Parts {
		p := &b.out.Parts[i]
		if p.Kind == FrameShaft || p.Kind == FramePin || p.Kind == FrameMotor || p.Kind == FrameScrew {
			continue
		}
		for _, j := range p.joints {
			if j.kind != jointShaft && j.kind != jointPin {
				continue
			}
			if axles[j] == nil {
				order = append(order, j)
			}
			axles[j] = append(axles[j], i)
		}
	}
	for _, j := range order {
		on := axles[j]
		slices.SortStableFunc(on, func(p, q int) int {
			a, c := b.out.Parts[p].Level(), b.out.Parts[q].Level()
			switch {
			case a > c:
				return -1
			case a < c:
				return 1
			}
			return 0
		})
		for k := 1; k < len(on); k++ {
			upper, lower := on[k-1], on[k]
			b.out.Stacks = append(b.out.Stacks, FrameStack{upper, lower, b.out.Parts[upper].From - b.out.Parts[lower].To})
		}
	}
}

// specPath writes a path in the spec; a name with a dot or blank is quoted.
func specPath(segments ...string) string {
	var b strings.Builder
	for i, s := range segments {
		if i > 0 {
			b.WriteByte('.')
		}
		if s == "" || strings.ContainsAny(s, ". \t\"\\=") {
			s = strconv.Quote(s)
		}
		b.WriteString(s)
	}
	return b.String()
}

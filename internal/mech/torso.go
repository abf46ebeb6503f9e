package mech

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Torso is the figure's upper body on its shaft, held at a ball-like pivot,
// pushed below it in two directions and kept from turning by a slotted arm
// over a pin. Depths are measured down the shaft from the pivot.
type Torso struct {
	Pivot         float64 // height above the stage
	ShaftDiameter float64
	ShaftDepth    float64 // lower end
	Pushes        [2]Push
	Guide         Guide
	Points        []TorsoPoint
	Stage         Stage
	KeepClear     []Obstacle
	Mass          Given  // kg
	CentreOfMass  r3.Vec // from the pivot, upright
	CentreGiven   bool
	Inertia       *r3.Vec // about the pivot's axes, figure upright, kg·mm²; nil: not given
	PivotRadius   Given   // at which the ball-like pivot rubs
	PivotRub      Rub
}

// PushKind is how a cam or crank moves the shaft.
type PushKind int

const (
	Yoke PushKind = iota
	Edge
	Rod
)

var pushKinds = [...]string{"yoke", "edge", "rod"}

// String returns the spec's word for the kind.
func (k PushKind) String() string { return pushKinds[k] }

// Push is one of the two pushers.
type Push struct {
	Name  string
	Kind  PushKind
	Cam   int // Yoke, Edge; None for a Rod
	Depth float64
	Rub   Rub // of yoke plate or rod end on the shaft
	// Yoke only.
	Thickness Given   // of the plate
	Along     r2.Vec  // unit vector in plan along which the plate slides
	Ratio     float64 // plate travel per unit of lift: 1, or of the lever between
	Plumb     float64 // lift at which the shaft stands upright
	// Rod only.
	Crank    Crank
	PinDepth float64
	Length   float64
}

// Crank is a pin carried round by a shaft.
type Crank struct {
	Shaft  int
	Radius float64
	Phase  float64 // from +u of the shaft's view
}

// Guide is the arm that keeps the torso from turning.
type Guide struct {
	Depth       float64
	Pin         r2.Vec // x, y
	PinDiameter float64
	SlotMin     float64 // nearest and farthest place of the pin's centre from the shaft axis
	SlotMax     float64
	SlotGiven   bool
	Clearance   float64 // pin in slot, across
	Rub         Rub     // of the pin in the slot
	Width       Given   // of the arm
	Thickness   Given   // of the arm
}

// TorsoPoint is a place on the figure, from the pivot with the figure upright.
type TorsoPoint struct {
	Name   string
	At     r3.Vec
	Radius float64 // 0: a point; otherwise a ball
}

// Stage is the floor the shaft comes through: top face at z = 0.
type Stage struct {
	Thickness float64
	Opening   Opening
}

// OpeningShape is the shape of the hole in the stage.
type OpeningShape int

const (
	NoOpening OpeningShape = iota // not given
	CircleOpening
	RectangleOpening
)

// Opening is the hole the shaft passes through.
type Opening struct {
	Shape    OpeningShape
	Diameter float64 // CircleOpening
	Width    float64 // RectangleOpening, along x
	Depth    float64 // RectangleOpening, along y
	At       r2.Vec  // centre
}

// ObstacleKind is the form of an obstacle.
type ObstacleKind int

const (
	BoxObstacle ObstacleKind = iota
	CylinderObstacle
)

// Obstacle is a thing the figure must keep clear of.
type Obstacle struct {
	Name     string
	Kind     ObstacleKind
	Box      Box
	Cylinder Cylinder
}

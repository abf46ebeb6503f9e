package mech

import (
	"understage/internal/geom"

	"gonum.org/v1/gonum/spatial/r2"
)

// Frame is how the drive frame is made.
type Frame struct {
	Bed           r2.Vec  // usable print bed; zero: not given
	HoleAllowance float64 // added to the diameter of every hole
	// Cutter is the width of the cutter or blade that cuts plates and cams out:
	// cutting files are drawn half of it outside the finished edge. 0: the lines
	// are the finished edges.
	Cutter float64
	Plates []FramePlate
}

// FramePlate is one flat part of the frame, square to its view.
type FramePlate struct {
	Name      string
	View      geom.View
	Level     float64 // middle of the thickness
	Thickness Given
	Outline   []r2.Vec // corners in order; nil: the hull round its holes, Margin away from their edges
	Margin    Given
	Holes     []PlateHole // the maker's own, beside those for shafts, motor, pin and torso
}

// PlateHole is a hole the maker asks for.
type PlateHole struct {
	Name     string
	At       r2.Vec
	Diameter float64 // of what goes in; the allowance comes on top
}

// MotorBody is the motor's outside. Places are view coordinates of the motor
// shaft's view, from the shaft's axis.
type MotorBody struct {
	Diameter      float64 // round body; 0: a box
	Size          r2.Vec  // box: across u and v; zero: round
	Length        float64 // along the shaft, without shaft and boss
	Centre        r2.Vec  // middle of the body, from the shaft's axis
	Face          Given   // level of the face the shaft comes out of
	Above         bool    // the body lies at greater levels than its face
	BossDiameter  float64 // 0: none
	BossHeight    float64
	Screws        []r2.Vec
	ScrewDiameter float64
}

// Hub is the collar of a sprocket or gear, on one side of it.
type Hub struct {
	Diameter float64 // 0: none
	Length   float64
	Below    bool // at lesser levels than the teeth
}

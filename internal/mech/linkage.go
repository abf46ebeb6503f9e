package mech

import (
	"understage/internal/geom"

	"gonum.org/v1/gonum/spatial/r2"
)

// Linkage is a planar chain of pinned bars and plates.
type Linkage struct {
	Name   string
	View   geom.View
	Level  Given
	Pins   []Pin
	Bars   []Bar
	Plates []Plate
	Slots  []Slot
	Points []LinkagePoint
	// Bars and plates are cut from strip: Width across, Thickness along the
	// view's third axis.
	BarWidth     Given
	BarThickness Given
	// PinDiameter is the diameter that all its pins rub at.
	PinDiameter Given
	PinRub      Rub
}

// PinKind is how a pin moves.
type PinKind int

const (
	FreePin     PinKind = iota // where bars, plates and slots put it; Start says roughly
	CrankPin                   // carried round by a shaft
	FixedPin                   // pinned to the frame
	SlidePin                   // free along a line
	FollowerPin                // moved along a line by a cam's lift, or round the follower's pivot
)

// Pin joins bars and plates.
type Pin struct {
	Name       string
	Kind       PinKind
	Start      r2.Vec // FreePin, SlidePin: about where it stands at motor turn 0
	StartGiven bool
	At         r2.Vec // FixedPin: where. SlidePin: a point of the line. FollowerPin: where it stands at zero lift
	Along      r2.Vec // unit vector: SlidePin along the line, FollowerPin along the motion
	Crank      Crank  // CrankPin
	Cam        int    // FollowerPin
}

// Bar is a rigid link between two pins.
type Bar struct {
	Pins   [2]int
	Length float64
	Mass   Given // kg, centre halfway
	Level  Given // its own, where it differs from the linkage's
}

// Plate is a rigid link of three or more pins.
type Plate struct {
	Name string
	Pins []PlatePin
	Mass Given // kg
}

// PlatePin is a pin's place in the plate's own coordinates.
type PlatePin struct {
	Pin int
	At  r2.Vec
}

// Slot lets a pin run along the straight line through two other pins of one
// rigid link.
type Slot struct {
	Pin  int
	Line [2]int
}

// LinkagePoint is a place on a bar or plate. On a bar, and on a plate, At is
// from the first pin of On with +u toward the second.
type LinkagePoint struct {
	Name   string
	On     [2]int // two pins of one rigid link
	At     r2.Vec
	Radius float64
	Mass   Given // kg, of what is fixed there
}

// BeatEvent is what makes a beat.
type BeatEvent int

const (
	Lowest BeatEvent = iota
	Highest
	Leftmost
	Rightmost
	Foremost
	Hindmost
	Touching // reaching Height on the way down
)

// BeatEvents lists the events in the order of their values.
var BeatEvents = [...]BeatEvent{Lowest, Highest, Leftmost, Rightmost, Foremost, Hindmost, Touching}

var beatEvents = [...]string{"lowest", "highest", "leftmost", "rightmost", "foremost", "hindmost", "touching"}

// String returns the spec's word for the event.
func (e BeatEvent) String() string { return beatEvents[e] }

// Beats times one point, or a cam's drop, against a tempo.
type Beats struct {
	Of     BeatSource
	When   BeatEvent
	Height float64 // Touching: z in the stage frame
	Target Given   // beats per second
}

// BeatSource is what beats: a point of a linkage or of the torso, or a cam
// whose sudden drop is the beat. Indices are None where they do not apply.
type BeatSource struct {
	Name    string // as the spec writes it
	Linkage int    // with Point: a point of this linkage
	Point   int    // of the linkage, or of the torso when Linkage is None
	Cam     int    // with Linkage and Point None: this cam
}

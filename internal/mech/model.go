// Package mech holds a figure's machine as plain values: motor, shafts, belts,
// gears, cams, torso, linkages. It computes nothing; package solve does.
//
// Units are mm, rad, s, kg, N, N·mm, V and A throughout, whatever the spec was
// written in, and field names carry no unit unless it differs. Parts refer to
// each other by index into the Model's slices. Positions of shafts, pins and
// idlers are view coordinates (package geom); level is their place along the
// view's third axis.
//
// Every length, angle and speed the solver needs is present and already
// checked for dimension and range by package spec. What a maker may leave out
// and no default can stand for is a Given.
package mech

import (
	"understage/internal/geom"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Given is a quantity that the spec may leave out.
type Given struct {
	Value float64
	OK    bool // whether the spec gave it
}

// Or returns the value given, or otherwise the fallback.
func (g Given) Or(fallback float64) float64 {
	if g.OK {
		return g.Value
	}
	return fallback
}

// None is the index of a part that is not there.
const None = -1

// LengthUnit is the unit the maker writes and reads lengths in.
type LengthUnit int

const (
	Millimetre LengthUnit = iota
	Inch
)

// Model is one figure, ready to solve.
type Model struct {
	Name     string
	Lengths  LengthUnit // of the spec, for tables; the model itself is in mm
	Motor    *Motor     // nil: nothing turns, only belts and cam shapes are judged
	Shafts   []Shaft
	Belts    []Belt
	Gears    []Gear
	Cams     []Cam
	Torso    *Torso // nil: a figure without a torso
	Linkages []Linkage
	Beats    *Beats
	// Limits are the maker's own limits by rule name, in the rule's canonical
	// unit (package standard).
	Limits map[string]float64
	Stock  Stock
	Frame  Frame
	// Breakaway is static over sliding friction where only the latter is known.
	Breakaway Given
}

// Motor is a permanent-magnet DC gearmotor as its data sheet gives it, at the
// output shaft.
type Motor struct {
	Shaft      int
	Rated      float64 // V, the voltage the sheet's figures hold at
	Supply     float64 // V, what it is run on
	NoLoad     NoLoad
	Stall      Stall
	Sense      Sense
	Continuous Given      // A, the sheet's continuous current
	Body       *MotorBody // nil: not given
	Feed       MotorFeed
	Wanted     Given // rad/s, the running speed the maker wants
	Fuse       Given // A, rating of the fuse in its lead
}

// MotorFeed is what stands between supply and figure, as far as the spec says.
type MotorFeed struct {
	Resistance Given // of battery, wiring and switch together, ohm
	Inertia    Given // of rotor and gearbox as felt at the output shaft, kg·mm²
	// Returned is the share, 0 to 1, of work handed back by the figure that the
	// gearbox passes on to the rotor.
	Returned Given
}

// NoLoad is the unloaded output shaft at the rated voltage.
type NoLoad struct {
	Speed   float64 // rad/s
	Current float64 // A
}

// Stall is the output shaft held still at the rated voltage.
type Stall struct {
	Torque  float64 // N·mm
	Current float64 // A
}

// Sense is the way a motor turns, seen in its shaft's view.
type Sense int

const (
	CounterClockwise Sense = iota
	Clockwise
	// Reversible runs both ways; it is solved counter-clockwise.
	Reversible
)

// Sign returns +1 for counter-clockwise and reversible motors, -1 for clockwise.
func (s Sense) Sign() float64 {
	if s == Clockwise {
		return -1
	}
	return 1
}

// Shaft turns about an axis square to its view.
type Shaft struct {
	Name     string
	View     geom.View
	At       r2.Vec
	Level    Given // where its parts lie along the view's third axis, unless they say otherwise
	Diameter Given
	From, To Given // its two ends along the view's third axis, From the lesser
	Flat     Given // across a flat ground on it, toward +u at motor turn 0; absent: round
}

// Belt is one loop of toothed belt.
type Belt struct {
	Name    string
	Section BeltSection
	Width   Given
	Level   Given
	View    geom.View
	Run     []Pulley
	Teeth   int // of the belt to be fitted; 0: choose the best stocked one
	TakeUp  *TakeUp
	// Efficiency is the share of work that arrives, 0 to 1.
	Efficiency Given
}

// BeltSection is what the geometry needs of a belt's cross-section.
type BeltSection struct {
	Name        string  // the standard's name, or "" for a maker's own
	Pitch       float64 // mm per tooth along the pitch line
	ToothHeight float64
	PitchLine   float64 // a: from the tooth tips of a sprocket out to the pitch line, radially
	Back        float64 // b: from the pitch line out to the belt's back
}

// Pulley is one stop of a belt's run.
type Pulley struct {
	Shaft    int     // None for an idler
	Idler    string  // name of an idler, "" otherwise
	At       r2.Vec  // of an idler; a pulley on a shaft stands where the shaft stands
	Teeth    int     // 0: plain
	Diameter float64 // outside diameter of a plain pulley
	Back     bool    // the belt's back touches it
	Flange   Given   // diameter of its flanges; 0: none
	Hub      *Hub    // nil: not given
}

// TakeUp moves one pulley to tension a belt.
type TakeUp struct {
	Pulley   int     // index into Run
	Along    r2.Vec  // unit vector
	Min, Max float64 // travel along Along
	Free     bool    // the range is not known: any travel may be had
}

// GearKind is how two gears mesh.
type GearKind int

const (
	Spur GearKind = iota
	Internal
	Bevel
	Crown
	Worm
)

var gearKinds = [...]string{"spur", "internal", "bevel", "crown", "worm"}

// String returns the spec's word for the kind.
func (k GearKind) String() string { return gearKinds[k] }

// Gear is a pair of gears in mesh.
type Gear struct {
	Name           string
	Kind           GearKind
	Driver, Driven GearWheel
	Module         float64 // mm; 0 where the spec gives none
	Opposite       bool    // the driven shaft turns against the driver, each seen in its own view
	Face           Given   // width of the teeth, of both wheels
	Efficiency     Given   // share of work that arrives, 0 to 1
}

// GearWheel is one gear of a pair. A worm counts its starts as teeth.
type GearWheel struct {
	Shaft int
	Teeth int
	Level Given // middle of the face width, along its own shaft
	Hub   *Hub  // nil: not given
}

// Stock is the maker's drawer: what is at hand, before any standard list.
type Stock struct {
	Belts     []StockBelt
	Sprockets []StockSprocket
}

// StockBelt is a belt in the drawer.
type StockBelt struct {
	Section string // pitch name
	Teeth   int
	Code    string
	Count   int
	Note    string
}

// StockSprocket is a sprocket in the drawer.
type StockSprocket struct {
	Section string
	Teeth   int
	Count   int
	Note    string
}

// Box is a rectangular block of space, Min below Max in every coordinate.
type Box struct {
	Min, Max r3.Vec
}

// Cylinder is an upright round post.
type Cylinder struct {
	At       r2.Vec // x, y
	Radius   float64
	From, To float64 // z
}

package mech

import "gonum.org/v1/gonum/spatial/r2"

// Show is several figures on one stage, fed by one supply.
type Show struct {
	Name     string
	Lengths  LengthUnit // of its spec
	Supply   ShowSupply
	Tempo    Given // beats per second that all should keep
	Duration float64
	Figures  []Placed
	Limits   map[string]float64
}

// ShowSupply is the rail that all motors hang on.
type ShowSupply struct {
	Voltage    float64 // V without load
	Resistance float64 // of supply or battery, ohm
	Limit      Given   // A, that the supply gives at most
	Capacity   Given   // A·h of the battery
	Usable     float64 // share of the capacity that is drawn, 0 to 1
	Lead       Given   // length of the lead to the figures, one way
}

// Placed is a figure as it stands on the common stage.
type Placed struct {
	Name  string
	File  string
	Model *Model // its motor on the rail's voltage
	At    r2.Vec // of its own origin
	Turn  float64
	Start float64 // s after switching on
}

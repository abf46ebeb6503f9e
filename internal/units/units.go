// Package units reads and prints quantities: text such as "1 1/2 in" or
// "1.2 kg·cm" to a number in the model's units, and back. The model's units
// are mm, rad, rad/s, s, kg, N, N·mm, V, A, events per second, N/mm,
// mm³/(N·m), MPa, kg·mm², A·h, ohm, W, N·mm of energy, mm/s and mm/s².
//
// Text is never guessed at: a unit of another dimension, a number in a form
// that other readers take for something else (012, 1_000, 12:30) and a value
// beyond Largest or, but for places and directions, within Smallest are errors
// of type *Error.
package units

// Dimension is what a quantity measures.
type Dimension int

const (
	Number         Dimension = iota // a bare number
	Length                          // mm
	Angle                           // rad
	Speed                           // rad/s, written rpm
	Rate                            // per second, written "52 per min"
	Time                            // s
	Mass                            // kg, written g
	Force                           // N
	Torque                          // N·mm; must carry its unit
	Voltage                         // V
	Current                         // A
	SpringRate                      // N/mm
	WearRate                        // mm³/(N·m)
	AngularSpeed                    // rad/s, written deg/s
	LinearSpeed                     // mm/s
	Acceleration                    // mm/s²
	Pressure                        // MPa, which is N/mm²
	Inertia                         // kg·mm²
	Capacity                        // A·h
	Resistance                      // ohm
	Power                           // W
	Energy                          // N·mm, which is mJ
	dimensionCount = iota
)

// Defaults says what a bare number means where the spec has a choice.
type Defaults struct {
	Inches bool // a bare length is in inches, not mm
}

// Largest and Smallest bound every value but zero, in the model's units. A
// billion millimetres is a thousand kilometres and a billion rad/s outruns any
// motor, so nothing beyond is meant; and inside the bounds products of a dozen
// values and their reciprocals stay far from the ends of float64, so that the
// solver cannot overflow on a slip of the pen. Smallest leaves room for wear
// rates, which run down to 1e-10 mm³/(N·m); a length, an angle or a bare number
// within it reads as 0, since scripts write such rests of their rounding.
const (
	Largest  = 1e9
	Smallest = 1e-15
)

// dimension is what this package knows of one Dimension.
type dimension struct {
	name  string   // with its article, as messages say it
	units []string // the usual units, in the order messages list them
	bare  string   // unit of a bare number; "" where the unit must be written
	print string   // unit that Format writes
}

var dimensions = [dimensionCount]dimension{
	Number:       {name: "a bare number"},
	Length:       {name: "a length", units: []string{"mm", "cm", "m", "in"}, bare: "mm", print: "mm"},
	Angle:        {name: "an angle", units: []string{"deg", "rad", "turn"}, bare: "deg", print: "deg"},
	Speed:        {name: "a speed", units: []string{"rpm", "rad/s", "deg/s"}, bare: "rpm", print: "rpm"},
	Rate:         {name: "a rate", units: []string{"per min", "per s", "Hz"}, print: "per min"},
	Time:         {name: "a time", units: []string{"s", "ms", "min", "h"}, bare: "s", print: "s"},
	Mass:         {name: "a mass", units: []string{"g", "kg", "oz", "lb"}, bare: "g", print: "g"},
	Force:        {name: "a force", units: []string{"N", "gf", "kgf", "ozf", "lbf"}, bare: "N", print: "N"},
	Torque:       {name: "a torque", units: []string{"N·m", "N·mm", "kg·cm", "oz·in"}, print: "N·mm"},
	Voltage:      {name: "a voltage", units: []string{"V", "mV"}, bare: "V", print: "V"},
	Current:      {name: "a current", units: []string{"A", "mA"}, bare: "A", print: "A"},
	SpringRate:   {name: "a spring rate", units: []string{"N/mm", "N/m", "gf/mm", "lbf/in"}, print: "N/mm"},
	WearRate:     {name: "a wear rate", units: []string{"mm3/(N·m)"}, print: "mm3/(N·m)"},
	AngularSpeed: {name: "a speed of turning", units: []string{"deg/s", "rad/s", "rpm"}, print: "deg/s"},
	LinearSpeed:  {name: "a linear speed", units: []string{"mm/s", "m/s", "in/s"}, print: "mm/s"},
	Acceleration: {name: "an acceleration", units: []string{"mm/s2", "m/s2", "in/s2"}, print: "mm/s2"},
	Pressure:     {name: "a pressure", units: []string{"MPa", "GPa", "N/mm2", "psi"}, print: "MPa"},
	Inertia:      {name: "an inertia", units: []string{"kg·mm2", "g·cm2", "kg·m2"}, print: "kg·mm2"},
	Capacity:     {name: "a battery capacity", units: []string{"A·h", "mA·h"}, print: "A·h"},
	Resistance:   {name: "a resistance", units: []string{"ohm", "mohm", "kohm"}, print: "ohm"},
	Power:        {name: "a power", units: []string{"W", "mW"}, print: "W"},
	Energy:       {name: "an energy", units: []string{"J", "mJ"}, print: "mJ"},
}

// Name returns the dimension with its article: "a length".
func (d Dimension) Name() string { return dimensions[d].name }

// Units returns the usual units of the dimension, the most usual first; none
// for Number.
func (d Dimension) Units() []string { return dimensions[d].units }

// Bare returns the unit of a number written without one, "" where the unit
// must be written. A Number needs none.
func (d Dimension) Bare(defaults Defaults) string {
	if d == Length && defaults.Inches {
		return "in"
	}
	return dimensions[d].bare
}

// Want returns what messages ask for: "a length: mm, cm, m, in".
func (d Dimension) Want() string {
	text := dimensions[d].name
	if len(dimensions[d].units) > 0 && dimensions[d].bare == "" {
		text += " with its unit"
	}
	for i, u := range dimensions[d].units {
		text += [...]string{", ", ": "}[btoi(i == 0)] + u
	}
	return text
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Package units reads and prints quantities: text such as "1 1/2 in" or
// "1.2 kg·cm" to a number in the model's units, and back. The model's units
// are mm, rad, rad/s, s, kg, N, N·mm, V, A, events per second, N/mm and
// mm³/(N·m).
package units

// Dimension is what a quantity measures.
type Dimension int

const (
	Number       Dimension = iota // a bare number
	Length                        // mm
	Angle                         // rad
	Speed                         // rad/s, written rpm
	Rate                          // per second, written "52 per min"
	Time                          // s
	Mass                          // kg, written g
	Force                         // N
	Torque                        // N·mm; must carry its unit
	Voltage                       // V
	Current                       // A
	SpringRate                    // N/mm
	WearRate                      // mm³/(N·m)
	AngularSpeed                  // rad/s, written deg/s
)

// Defaults says what a bare number means where the spec has a choice.
type Defaults struct {
	Inches bool // a bare length is in inches, not mm
}

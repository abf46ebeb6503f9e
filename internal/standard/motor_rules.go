package standard

import "understage/internal/units"

const (
	motorLineSource = "MIT, Understanding D.C. Motor Characteristics, section 3, with Ohm's law"
	motorScale      = "VEX curriculum, Speed, Power, Torque and DC Motors, formulas; the friction term is derived"
)

var motorRules = []Rule{
	{
		Name: "supply", Asks: "is the supply within the motor's rating", Judge: AtMost,
		Dimension: units.Number, Limit: 1,
		Meaning: "Supply voltage over rated voltage. Running below the rating is gentle on brushes; above it the winding and the gearbox see more than the sheet allows. Lower the supply, or take a motor rated for it.",
		Source:  "MicroMo, motor FAQ",
	},
	{
		Name: "motor_sheet", Asks: "do the data sheet's figures agree with each other", Judge: AtMost,
		Dimension: units.Number, Limit: 1,
		Meaning: "Torque constant over voltage constant, kt/ke, both at the output shaft in SI units. In a bare motor the two are equal; a gearbox loses torque but not speed, so the quotient is about the gearbox's efficiency and cannot exceed 1. Measure the motor, or ask for a better sheet.",
		Source:  "EURARI, Guide to DC Motor Technical Parameters",
	},
	{
		Name: "start", Asks: "does the motor start from rest in the worst pose", Judge: AtLeast,
		Dimension: units.Number, Limit: 1,
		Meaning: "Stall torque at the supply over the torque that breaks the figure away from rest in the pose where that is hardest. Below 1 the motor hums, stands still and heats. Raise the supply, lighten the figure or reduce friction.",
		Source:  "common practice",
	},
	{
		Name: "running_speed", Asks: "is the running speed under load known", Judge: Must,
		Meaning: "Speeds, times and beats follow the speed under load once masses, springs or friction are given. Without them they are at the no-load speed, which the figure will not quite reach.",
		Source:  "common practice",
	},
}

var motorQuantities = []Quantity{
	{"supply", "V", "The voltage the motor is really run on.", "as the spec says", "-"},
	{"no_load", "rpm", "Speed of the unloaded output shaft at the supply.", "(V - I0*(R+Rs)) / ke, with R = Vr/Is and ke = (Vr - I0*R)/w0", motorScale},
	{"stall_torque", "N*mm", "Torque of the held output shaft at the supply.", "kt*(V/(R+Rs) - I0), with kt = Ts/(Is - I0)", motorLineSource},
	{"stall_current", "A", "Current with the output shaft held, at the supply.", "V/(R+Rs)", motorLineSource},
	{"stall_heat", "W", "Heat in the winding with the output shaft held, at the supply.", "V^2*R/(R+Rs)^2", "Ohm's law"},
	{"start_voltage", "V", "Least supply that turns the unloaded motor.", "I0*(R+Rs)", "derived from the motor line"},
	{"running", "rpm", "Turns of the repeat over the time they take under load; no-load speed where loads are unknown.", "turns / time of the repeat", "derived from the motor line"},
	{"resistance", "ohm", "Resistance of the winding.", "Vr/Is", motorLineSource},
	{"gearbox_efficiency", "", "What the gearbox passes on of the motor's torque.", "kt/ke in SI units", "derived; EURARI, Guide to DC Motor Technical Parameters"},
}

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
		Dimension: units.Number, Limit: 1.25,
		Meaning: "Stall torque at the supply over the torque that breaks the figure away from rest in the pose where that is hardest. Below 1 the motor hums, stands still and heats. Raise the supply, lighten the figure or reduce friction.",
		Source:  "gearmotor maker's guide, ksyh-motor: add 20 to 30 %",
	},
	{
		Name: "running_speed", Asks: "is the running speed under load known", Judge: Must,
		Meaning: "Speeds, times and beats follow the speed under load once masses, springs or friction are given. Without them they are at the no-load speed, which the figure will not quite reach.",
		Source:  "common practice",
	},
	{
		Name: "load_data", Asks: "is everything known that weighs, presses and rubs", Judge: Must,
		Meaning: "Masses and springs that the spec leaves out count as nothing; coefficients of friction as the upper value of plastic on dry steel. Torque, current and running speed are then too hopeful, or a guess. Weigh the parts, and give the materials that rub.",
		Source:  "common practice; friction from a drive engineering guide, Table 7.21",
	},
	{
		Name: "yoke_hold", Asks: "does the follower stay on its cam while it moves the torso", Judge: AtLeast,
		Dimension: units.Force, Limit: 0,
		Meaning: "Least force that presses the follower on its cam, with its spring and all that the torso asks through the yoke but its friction. A yoke moves the torso both ways, but the cam only pushes: below 0 the torso lifts the follower off. Strengthen the spring, or balance the torso at its pivot.",
		Source:  "virtual work, docs/formulas-motor.md",
	},
	{
		Name: "torque_margin", Asks: "is the motor strong enough with some to spare", Judge: AtLeast,
		Dimension: units.Number, Limit: 2,
		Meaning: "Stall torque at the supply over the greatest torque that the figure asks for. At 2 the motor still runs at half its no-load speed there; near 1 the figure breathes with its cams, and a cold or dirty day stops it.",
		Source:  "common practice; gearmotor maker's guide, ksyh-motor: start-up 2 to 3 times running torque",
	},
	{
		Name: "continuous_current", Asks: "does the motor bear the current for hours", Judge: AtMost,
		Dimension: units.Number, Limit: 0.25,
		Meaning: "Root mean square current over the sheet's continuous current, which bears it all day; where the sheet says none, the limit is this share of the stall current at the rated voltage. The heat limit is on current, so a lower supply does not lower it.",
		Source:  "Pololu, product note on brushed gearmotors: 25 % of stall current or less",
	},
	{
		Name: "stall_heat", Asks: "does the winding bear a jam", Judge: AtMost,
		Dimension: units.Number, Limit: 1,
		Meaning: "Winding heat with the shaft held at the supply, over the heat at the continuous current. Above 1 a jam destroys the motor in time, often within seconds at several times. Cut it off: a fuse that opens at that current, a current limit or a timer.",
		Source:  "Pololu, product note on brushed gearmotors: thermal damage in seconds",
	},
	{
		Name: "fuse", Asks: "does the fuse last in use", Judge: AtMost,
		Dimension: units.Number, Limit: FuseLoading,
		Meaning: "Peak current over the fuse's rating. A fuse that carries more than this share of its rating ages and blows without cause.",
		Source:  "Littelfuse, Fuseology (from memory)",
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
	{"running_torque", "N*mm", "Torque that the motor gives, mean over the turns of the repeat.", "virtual work: what raises weights and springs, plus friction at every contact, through belts and gears", "docs/formulas-motor.md"},
	{"peak_torque", "N*mm", "Greatest torque over the repeat.", "the true greatest of the same", "docs/formulas-motor.md"},
	{"breakaway_torque", "N*mm", "Greatest torque over the repeat to start from rest, with static friction.", "as peak_torque, without inertia", "docs/formulas-motor.md"},
	{"torque_margin", "", "Stall torque at the supply over peak torque.", "stall_torque / peak_torque", "common practice"},
	{"running_current", "A", "Current drawn, mean over time.", "I0 + T/kt", motorLineSource},
	{"heating_current", "A", "Root mean square current over time; it heats the winding like a steady one.", "sqrt(mean I^2)", "Joule's law"},
	{"start_supply", "V", "Least supply that starts the figure from rest in the worst pose.", "(I0 + T_breakaway/kt)*(R+Rs)", "derived from the motor line"},
}

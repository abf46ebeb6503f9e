package standard

import "understage/internal/units"

const (
	loopSource    = "derived from the tangents; two pulleys: Budynas & Nisbett, Shigley's Mechanical Engineering Design, Eqs. 17-1 and 17-2"
	centreSource  = "ISO 5295 (involute form, equation from memory; the identity is derived)"
	inMeshSource  = "ANSI/RMA IP-24, teeth in mesh factor (as reprinted, horsepower and torque rating formulas)"
	handbookIdler = "Handbook of Timing Belts and Pulleys (D265), p. T-56, section 13"
)

var beltRules = []Rule{
	{
		Name: "belt_loop", Asks: "does the belt close round its pulleys without crossing itself", Judge: Must,
		Meaning: "A belt must touch every pulley on the side stated, go round once and cross itself nowhere. Otherwise move a pulley, change the order of the run, or change the side it meets.",
		Source:  loopSource,
	},
	{
		Name: "belt_mesh", Asks: "are enough teeth in mesh on every sprocket", Judge: AtLeast,
		Dimension: units.Number, Limit: 6,
		Meaning: "Teeth the belt lies on, z*wrap/2pi. From six up a belt carries its full rating; each tooth fewer costs a fifth of it, and at one nothing is left. Move an idler or a shaft so that the belt wraps farther, or take a larger sprocket.",
		Source:  inMeshSource,
	},
	{
		Name: "least_teeth", Asks: "is every sprocket large enough for the belt to bend round", Judge: AtLeast,
		Dimension: units.Number, Limit: 10,
		Meaning: "The smallest sprocket recommended for the belt system at the speed it turns; a smaller one works the cords hard and they break early. Ten where no table covers the system. A limit of the maker's own stands for every speed.",
		Source:  "GB/T 11361 and JB/T 7512 handbook tables, makers' catalogues for T5 and T10 (from memory)",
	},
	{
		Name: "belt_stocked", Asks: "can the belt be bought", Judge: Must,
		Meaning: "The belt to be fitted is in the maker's drawer or in the standard list. Otherwise change the teeth, or note the belt under stock once it is at hand.",
		Source:  "ANSI/RMA IP-24, ISO 5296, JB/T 7512.1 and makers' length lists (data file belt_lengths.csv)",
	},
	{
		Name: "belt_reach", Asks: "does the take-up range reach where the belt closes", Judge: Must,
		Meaning: "The signed travel that closes the belt must lie within the take-up's range. Otherwise widen the range, move a shaft by what is missing, or fit another belt.",
		Source:  loopSource,
	},
	{
		Name: "fixed_centres", Asks: "does a belt without take-up fit as drawn", Judge: AtMost,
		Dimension: units.Length, Limit: 0.4,
		Meaning: "How far the loop as drawn differs from the belt, along the belt. Standard belts vary by about this much, so more is slack or tight for certain. Add a take-up, or move a shaft.",
		Source:  "ANSI/RMA IP-24, tolerance of pitch length up to code 100: 0.016 in; fixed centres are discouraged (Handbook of Timing Belts and Pulleys, D260, p. T-52)",
	},
	{
		Name: "take_up_allowance", Asks: "is there travel left to tension the belt", Judge: AtLeast,
		Dimension: units.Number, Limit: 0.005,
		Meaning: "Travel left beyond the place where the belt closes, the way that tightens it, as a share of the belt's length. Widen the range that way.",
		Source:  "Roloff/Matek, Maschinenelemente, section 16.3.2 (second hand): tensioning travel 0.005 L",
	},
	{
		Name: "fitting_allowance", Asks: "is there travel to slip the belt on", Judge: AtLeast,
		Dimension: units.Number, Limit: 1,
		Meaning: "Travel left the way that slackens the belt, in pitches. Widen the range that way; without flanges a belt can also be slid on together with its sprockets.",
		Source:  "Roloff/Matek, Maschinenelemente, section 16.3.2 (second hand): fitting travel 1 to 2.5 pitches",
	},
	{
		Name: "inside_idler", Asks: "are smooth idlers inside the loop large enough", Judge: AtLeast,
		Dimension: units.Number, Limit: 40,
		Meaning: "A smooth idler on the toothed side needs at least the pitch diameter of a sprocket of this many teeth, or the belt's teeth bend over its rim and wear. Take a larger one, a toothed one, or put it at the back.",
		Source:  handbookIdler,
	},
	{
		Name: "belt_reversal", Asks: "does an idler stay on the slack side when the motor turns the other way", Judge: Must,
		Meaning: "Idlers belong on the slack side; a motor that may turn both ways makes it the tight side half of the time. Tension by moving a shaft instead, or keep the belt tight enough both ways.",
		Source:  handbookIdler,
	},
	{
		Name: "belt_tension", Asks: "does the belt carry the torque", Judge: AtMost,
		Dimension: units.Number, Limit: 1,
		Meaning: "Tension of the tight side, with a service factor of 1.5, over what the belt may carry at its width and teeth in mesh. Take a wider belt, larger sprockets or more wrap; or lighten what is driven.",
		Source:  "Handbook of Timing Belts and Pulleys (D265), p. T-15, Table 3; factor for teeth in mesh ANSI/RMA IP-24; factor for width ISO 5295 (from memory)",
	},
	{
		Name: "belt_clearance", Asks: "does the belt run clear of shafts, hubs, pulleys and other belts", Judge: AtLeast,
		Dimension: units.Length, Limit: 1,
		Meaning: "Least distance from the belt, as thick as it is, and from its pulleys to a shaft it does not go round, to a hub or a pulley at its level, or to another belt in its layer. Move the shaft, lead the belt round it with an idler, or put the belt in another layer.",
		Source:  "common practice",
	},
	{
		Name: "pulley_clearance", Asks: "do the pulleys stand clear of each other", Judge: AtLeast,
		Dimension: units.Length, Limit: 1,
		Meaning: "Least distance between two pulleys at one level, their flanges and another belt's thickness included. Move them apart, make one smaller or put them in different layers.",
		Source:  "common practice",
	},
	{
		Name: "belt_layers", Asks: "do two belts on one shaft have room beside each other", Judge: AtLeast,
		Dimension: units.Length, Limit: 0.5,
		Meaning: "Distance along the shaft between the edges of two belts. Set their levels farther apart; flanges need more.",
		Source:  "common practice",
	},
}

var beltQuantities = []Quantity{
	{"belt_length", "mm", "Length of the pitch line of the loop as drawn.", "sum of spans + sum of radius*wrap; span = sqrt(d^2 - rho^2), rho the sum or difference of the radii", loopSource},
	{"pitch_diameter", "mm", "Diameter at which the belt's pitch line runs. A plain pulley inside the loop carries the belt on its tooth tips, one at the back on the belt's back.", "teeth*pitch/pi; inside plain: diameter + 2*(tooth height + a); back: diameter + 2*b", "Handbook of Timing Belts and Pulleys (D265), p. T-16, Eq. 8-1"},
	{"wrap", "deg", "Angle over which the belt lies on a pulley.", "turn of the belt's heading from span to span", loopSource},
	{"teeth_in_mesh", "teeth", "Teeth the belt lies on, as a real number.", "teeth*wrap/(2 pi)", inMeshSource},
	{"take_up", "mm", "Signed travel along the take-up's direction, nearest zero, at which the loop has the belt's length.", "root of L(t) = teeth*pitch; dL/dt = (heading in - heading out).along", loopSource},
	{"centre", "mm", "Distance between two sprockets that closes a belt, exactly.", "inv t = tan t - t = pi*(zb - z2)/(z2 - z1); C = p*(z2 - z1)/(2 pi cos t); equal sprockets p*(zb - z1)/2", centreSource},
	{"effective", "N", "Pull that the torque needs at the pitch line, service factor included.", "service * 2 * torque / pitch diameter", "York Industries, Standard Calculations, Table 18 (as reprinted)"},
	{"tight", "N", "Tension of the tight side; the slack side has a fifth of it.", "1.25 * effective; slack 0.25 * effective", "calculation sheet on the JB/T 7512 tables of a Mechanical Design Handbook, 14.1-55 to 14.1-74"},
	{"static", "N", "Tension to set with the belt standing still: the mean of both sides.", "(tight + slack)/2 = 0.75 * effective", "derived"},
	{"allowable", "N", "Most tension the tight side may have.", "kz * Ta * (width/reference)^1.14 - m*v^2, kz = 1 - 0.2*(6 - teeth in mesh) below six", "Handbook of Timing Belts and Pulleys (D265), Table 3; ANSI/RMA IP-24; exponent ISO 5295 (from memory)"},
	{"deflection", "mm", "How far the middle of a span is pushed aside in the deflection test.", "span/64, with the force 4*T/64 of a string", "Handbook of Timing Belts and Pulleys (D790), p. T-3, Eqs. 1-3 to 1-5; the belt's own stiffness adds to it"},
	{"frequency", "Hz", "Pitch of the plucked span at the tension to set, as a note of the scale with A4 at 440 Hz.", "sqrt(T/m)/(2*span), m in kg/m; cents = 1200*log2(f/note)", "belt frequency meter notes, T = 4*m*l^2*f^2; ISO 16 for A4"},
	{"hub", "N", "Pull of the belt on a shaft, square to it.", "vector sum of the two span tensions", "derived; equal to F1 + F2 at equal sprockets"},
	{"approximate_centre", "mm", "The handbooks' approximate distance; always a little high.", "M + sqrt(M^2 - (p*(z2 - z1)/pi)^2/8), M = p*(2 zb - z1 - z2)/8", "ISO 5295"},
}

package standard

import (
	"math"

	"understage/internal/units"
)

const (
	poseSource     = "derived from the pivot, the pushes and the guide (see formulas-torso)"
	headTurnSource = "walking head pitch peaks at 15 to 22 deg/s: review of attitude control through vestibular interoception (abstract); a yardstick, not a rule for figures"
	headLiftSource = "walking heads see peaks of 0.3 to 0.5 g: review of attitude control through vestibular interoception (abstract); a yardstick, not a rule for figures"
	fingerSource   = "ISO 13854:2017 (formerly EN 349), finger 25 mm, as the AUVA lexicon quotes it"
)

var torsoRules = []Rule{
	{
		Name: "pose", Asks: "can the torso be posed at every angle of the shafts that push it", Judge: Must,
		Meaning: "Pivot, both pushes and the guide must meet in one pose at every instant; where they do not, the figure jams or comes apart. Lengthen a rod, shorten a throw, or move a shaft.",
		Source:  poseSource,
	},
	{
		Name: "tilt", Asks: "does the shaft stay near enough to upright for its pivot", Judge: AtMost,
		Dimension: units.Angle, Limit: 10 * math.Pi / 180,
		Meaning: "Greatest angle of the shaft from upright. A plain ball pivot or rod end binds when its rim meets the shaft. Use less lift, or push farther below the pivot.",
		Source:  "common practice",
	},
	{
		Name: "twist_against_tilt", Asks: "does the figure rock rather than turn about", Judge: AtMost,
		Dimension: units.Number, Limit: 1.5,
		Meaning: "Greatest twist over greatest tilt. The arm below the pivot makes a figure twist when it rocks across the arm, by the arm's depth over the pin's distance. Raise the arm toward the pivot, or set the pin farther out.",
		Source:  "gain derived (see formulas-torso); the limit is common practice",
	},
	{
		Name: "slot", Asks: "is the slot long enough for the pin's travel", Judge: AtLeast,
		Dimension: units.Length, Limit: 0.5,
		Meaning: "What is left of the slot beyond the pin's travel, at the end where less is left. A pin that meets the slot's end jams the figure. Lengthen the slot or raise the arm.",
		Source:  "travel derived (see formulas-torso); the limit is common practice",
	},
	{
		Name: "opening", Asks: "is the opening in the stage large enough for the shaft", Judge: AtLeast,
		Dimension: units.Length, Limit: 1,
		Meaning: "Gap between the tilted shaft and the edge of the opening, through the whole thickness of the stage, where it is least. Enlarge the opening, centre it, or bring the pivot nearer the stage.",
		Source:  "derived (see formulas-torso); the limit is common practice",
	},
	{
		Name: "clearance", Asks: "does the figure miss what it must keep clear of", Judge: AtLeast,
		Dimension: units.Length, Limit: 3,
		Meaning: "Least gap between a point's ball and an obstacle or the stage's top over the repeat; negative when it goes in. Move the obstacle or the point, or use less lift.",
		Source:  "derived; the limit is common practice",
	},
	{
		Name: "pinch_gap", Asks: "can a finger be pinched between the figure and what it comes near", Judge: AtLeast,
		Dimension: units.Length, Limit: 25,
		Meaning: "Least gap between a point's ball and an obstacle or the stage's top over the repeat, against the least gap that does not crush a finger. Open the gap, close it for good, or guard it.",
		Source:  fingerSource,
	},
	{
		Name: "head_turning", Asks: "does the figure move gently", Judge: AtMost,
		Dimension: units.AngularSpeed, Limit: 15 * math.Pi / 180,
		Meaning: "Peak angular speed of the figure at the running speed. Above a walking person's it looks hasty. Gear it slower, use less lift, or a smoother motion.",
		Source:  headTurnSource,
	},
	{
		Name: "head_jolt", Asks: "is the figure moved without jolts", Judge: AtMost,
		Dimension: units.Number, Limit: 0.3,
		Meaning: "Peak acceleration of the figure's points at the running speed, in gravities (9.80665 m/s2). Gear it slower, or use a law with less peak acceleration.",
		Source:  headLiftSource,
	},
	{
		Name: "yoke_plate", Asks: "is there room between follower and shaft for the yoke's plate", Judge: AtLeast,
		Dimension: units.Length, Limit: 2,
		Meaning: "Material left in the plate between the follower's roller or face and the shaft's slot. Move the cam's shaft away from the torso, or use a smaller base circle or plumb.",
		Source:  "derived; the limit is common practice",
	},
	{
		Name: "shaft_depth", Asks: "is the torso's shaft long enough for its pushes and guide", Judge: AtLeast,
		Dimension: units.Length, Limit: 1,
		Meaning: "What the shaft has left below its lowest push or the guide's arm at the greatest tilt, where a level plate meets it farther down. Lengthen the shaft.",
		Source:  "derived; the limit is common practice",
	},
	{
		Name: "below_stage", Asks: "do the pushes and the guide lie below the stage", Judge: AtLeast,
		Dimension: units.Length, Limit: 0,
		Meaning: "How far the highest of pushes and guide's arm lies beneath the stage's underside, middle of its thickness, figure upright. Push farther down, or lower the pivot.",
		Source:  "common practice",
	},
	{
		Name: "edge_contact", Asks: "does the shaft stay on the cam it rides on", Judge: AtLeast,
		Dimension: units.Force, Limit: 0,
		Meaning: "Least force that presses the shaft onto the rim, from the closing spring, the figure's weight and its inertia, without friction. Below zero the shaft leaves the rim. Stiffen the spring, or shift the weight toward the cam.",
		Source:  "statics of the three contacts, derived (see formulas-torso)",
	},
	{
		Name: "push_angle", Asks: "do the two pushes move the shaft in different enough ways", Judge: AtLeast,
		Dimension: units.Angle, Limit: 40 * math.Pi / 180,
		Meaning: "Least angle between the two ways in which the pushes hold the shaft. When small, play grows and the shaft may jam; it is the transmission angle of the two contacts. Set the cams or cranks more squarely to each other.",
		Source:  "transmission angle: Norton, Design of Machinery (from memory)",
	},
}

var torsoQuantities = []Quantity{
	{"lean", "deg", "How far the figure leans, hat toward the audience's right positive.", "atan(R13/R33), R from body to stage", poseSource},
	{"nod", "deg", "How far the figure nods, hat upstage positive.", "atan(R23/R33)", poseSource},
	{"tilt", "deg", "Angle of the shaft from upright.", "acos(R33)", poseSource},
	{"twist", "deg", "Turn about the shaft's own axis, after the smallest turn that tilts the axis; counter-clockwise seen from above positive.", "2*atan2(q_z, q_w) of the rotation's quaternion; angle from (X, Y) to g = (X, Y) + (p, q)*(D + m/(w+1)), m = pX + qY", "swing-twist split; guide derived (see formulas-torso)"},
	{"slot", "mm", "Distance of the guide pin's centre from the shaft's axis, along the slot.", "|g|", poseSource},
	{"twist_gain", "rad/rad", "Twist that the guide makes of a small lean and nod.", "per lean -Y*D/(X^2 + Y^2), per nod X*D/(X^2 + Y^2), most D/|(X, Y)|", poseSource},
	{"opening", "mm", "Hole that the tilted shaft needs through the whole thickness of the stage, about the opening's centre, without clearance: as a circle's diameter and as width by depth.", "twice the farthest of the ellipse in which each face cuts the shaft: half axes r/cos(tilt) and r", "derived"},
	{"peak_speed", "mm/s", "Greatest speed of a point at the running speed.", "|omega x r|", "rigid body kinematics"},
	{"peak_acceleration", "mm/s2", "Greatest acceleration of a point at a steady running speed.", "|alpha x r + omega x (omega x r)|", "rigid body kinematics"},
	{"turning", "deg/s", "Greatest angular speed of the figure at the running speed.", "|omega|", "rigid body kinematics"},
	{"clearances", "mm", "Least gap between a point's ball and an obstacle or the stage's top; negative when it goes in, by the depth to the nearest face.", "signed distance less radius", "derived"},
	{"plate", "mm", "Length of a yoke's plate from the follower's roller centre, knife edge or flat face to the middle of the slot; the same at every lift.", "-A.heading - d - plumb, A the cam's axis, d from it to the follower at zero lift", "derived"},
	{"slot_length", "mm", "Length of a yoke's slot, end to end, across the plate's slide.", "range of the shaft across + diameter/cos(tilt)", "derived"},
	{"along", "mm", "Travel of the shaft at a push's level, along the push.", "-depth*(p, q).along", poseSource},
	{"across", "mm", "Travel of the shaft at a push's level, to the left of the push.", "-depth*(p, q).across", poseSource},
}

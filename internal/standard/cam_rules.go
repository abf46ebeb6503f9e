package standard

import (
	"math"

	"understage/internal/units"
)

const (
	rothbart  = "H. A. Rothbart, Cam Design Handbook (2004)"
	camDegree = math.Pi / 180
)

var camRules = []Rule{
	{
		Name: "cam_follower", Asks: "can the follower stand on the cam at all", Judge: Must,
		Meaning: "The base circle has a radius, the follower's line passes inside the prime circle, an arm is long enough for the whole lift. Otherwise there is no cam to judge; change the number the message names.",
		Source:  "geometry",
	},
	{
		Name: "pressure_angle", Asks: "does the cam push a straight follower along rather than aside", Judge: AtMost,
		Dimension: units.Angle, Limit: 30 * camDegree,
		Meaning: "Greatest angle between the follower's motion and the common normal over the turn. More pushes the follower against its guide; beyond half as much again it is judged fail. Enlarge the base, spread the motion over more of the turn, or offset the follower.",
		Source:  rothbart + ", p. 19 (30 degrees for a translating follower)",
	},
	{
		Name: "pressure_angle_swing", Asks: "does the cam push a swinging follower round rather than into its pivot", Judge: AtMost,
		Dimension: units.Angle, Limit: 35 * camDegree,
		Meaning: "The same for a follower on an arm, whose pivot takes more. Sources disagree: 35 degrees (Norton) to 45 degrees (VDI practice), both from memory; the cautious one is the limit. Move the pivot or change the arm.",
		Source:  "R. L. Norton, Cam Design and Manufacturing Handbook (from memory)",
	},
	{
		Name: "undercut", Asks: "does the rim that the motion asks for exist", Judge: Must,
		Meaning: "Under a roller, the pitch curve may nowhere bulge more tightly than the roller; under a flat face the rim may nowhere be hollow. Otherwise cutting one part of the rim takes away another and the follower never makes the motion. Enlarge the base, take a smaller roller, or spread the motion.",
		Source:  rothbart + ", ch. 7; METU, Mechanisms, ch. 8.4",
	},
	{
		Name: "roller_size", Asks: "is the roller small against the pitch curve", Judge: AtLeast,
		Dimension: units.Number, Limit: 2,
		Meaning: "Least convex radius of the pitch curve over the roller's radius. At 1 the rim has a cusp; a small multiple keeps contact pressure and wear down. Enlarge the base or take a smaller roller.",
		Source:  "course notes on cams, lecture 17 (2 to 3 times the roller's radius)",
	},
	{
		Name: "hollow", Asks: "does the follower reach into the hollows of the rim", Judge: AtLeast,
		Dimension: units.Length,
		Meaning:   "Least radius of the rim where it is hollow, against the roller's. A larger roller, and any flat face, bridges the hollow and jumps from one side to the other. Where the motion is stated, the tool that cuts the rim must be smaller than the hollow.",
		Source:    "geometry",
	},
	{
		Name: "jumps", Asks: "is the motion smooth", Judge: Must,
		Meaning: "A jump of velocity is a knock, a jump of acceleration a jerk; at a sudden drop only the way down is meant. Velocity and acceleration should be continuous over the whole turn (the fundamental law of cam design). Take modified-sine, modified-trapezoid, cycloidal, 3-4-5 or 4-5-6-7 between dwells.",
		Source:  "R. L. Norton, Design of Machinery, ch. 8 (fundamental law of cam design)",
	},
	{
		Name: "face_width", Asks: "is a flat face wide enough for the contact to stay on it", Judge: AtLeast,
		Dimension: units.Length,
		Meaning:   "The contact runs along the face by the lift's derivative, s' to either side of the line through the cam's axis; the width needed is twice the farther reach from the follower's own line.",
		Source:    rothbart + ", p. 168",
	},
	{
		Name: "drop", Asks: "has a dropped follower landed before the cam rises again", Judge: AtMost,
		Dimension: units.Angle,
		Meaning:   "Cam angle that passes while the follower falls, against the angle until the cam has risen again by a tenth of the drop. Slow the cam, add a spring, shorten the drop, or add a dwell after it.",
		Source:    "free fall, t = sqrt(2h/g), with a spring where there is one; the tenth is common practice",
	},
	{
		Name: "guide_jamming", Asks: "does the follower slide in its guide instead of locking", Judge: AtMost,
		Dimension: units.Number, Limit: 0.7,
		Meaning: "Greatest share of the cam's push, on the rise, that friction in the guide takes: for a roller μ(2A + B)/B·tan α, with overhang A and guide length B. At 1 the guide locks whatever the push. Lengthen the guide, shorten the overhang, grease it, or lower the pressure angle.",
		Source:  rothbart + ", ch. 6 (from memory; the balance is derived); the limit is common practice",
	},
	{
		Name: "float", Asks: "does the follower stay on the cam at running speed", Judge: AtMost,
		Dimension: units.Number, Limit: 1,
		Meaning: "Running speed over the speed at which inertia first takes away all that holds the follower down. A stronger spring, less mass, a slower shaft or a gentler law keeps it down.",
		Source:  "dynamics: F0 + k·s + m·g = -m·s''·ω²; derived",
	},
	{
		Name: "contact_pressure", Asks: "does the contact stay below the weaker material's strength", Judge: AtMost,
		Dimension: units.Number, Limit: 1,
		Meaning: "Hertz's greatest line-contact pressure over the lesser tensile yield strength of the two. Yield begins inside at about 1.7 times the strength, so 1 leaves some room. A thicker cam, a larger roller, a gentler spring or a stronger material lowers it.",
		Source:  "Mechanical Engineer's Data Handbook, p. 52 (Hertz); the limit is common practice",
	},
	{
		Name: "wear", Asks: "do cam and follower last", Judge: AtLeast,
		Dimension: units.Time, Limit: 100 * 3600,
		Meaning: "Running time until the worn depth is reached, by Archard's law with the upper end of the published wear rate: an order of magnitude, not a promise. Take another pair of materials, a thicker cam, less force, or a roller.",
		Source:  "J. F. Archard's law; the limit, about a season, is common practice",
	},
	{
		Name: "cam_backward", Asks: "does the cam bear turning backwards", Judge: Must,
		Meaning: "A reversible motor turns every cam both ways. Backwards rise and return exchange, and a drop is a wall that the follower cannot climb.",
		Source:  "geometry",
	},
}

var camQuantities = []Quantity{
	{"lift", "mm or deg", "Follower's way from the base circle; an angle for a swinging follower.", "by the shape: waves, motion, through; true contact for eccentric and measured", "docs/formulas-cam.md"},
	{"velocity", "mm or deg per rad", "Lift's first derivative by the cam's angle; times the shaft's speed in rad/s, mm/s.", "ds/dφ", "docs/formulas-cam.md"},
	{"acceleration", "mm or deg per rad²", "Its second derivative; times the speed squared, mm/s².", "d²s/dφ²", "docs/formulas-cam.md"},
	{"jerk", "mm or deg per rad³", "Its third derivative.", "d³s/dφ³", "docs/formulas-cam.md"},
	{"pressure_angle", "deg", "Angle between the follower's motion and the common normal at the contact, positive on an offset-free rise.", "straight roller: tan α = (s' − e)/(d + s), d = √((Rb + Rf)² − e²)", rothbart + ", p. 19"},
	{"rim_radius", "mm", "Radius of curvature of the rim: positive where it bulges, negative where it is hollow.", "straight roller: ρ = L³/(D² + q(2s' − e) − D·s'') − Rf, D = d + s, q = s' − e, L² = D² + q²; flat: ρ = Rb + s + s''", rothbart + ", p. 180"},
	{"base_needed", "mm", "Least base radius that holds the limit of the pressure angle.", "d = max(max(s'/tan τ − s) − e/tan τ, max(−s'/tan τ − s) + e/tan τ), Rb = √(d² + e²) − Rf", "derived from the pressure angle"},
	{"contact_force", "N", "Force between cam and follower over the turn, with inertia, spring, weight and the guide's friction; without what the torso or a linkage adds, which is in the torque at the motor.", "N = F/(cos α - μ sin α - μg·(2A + B)/B·|side|), F = m·s''·ω² + F0 + k·s + m·g", "docs/formulas-cam.md"},
	{"cam_torque", "N*mm", "Torque the camshaft must be given.", "N·cos α·s' + μ·N·(distance of the contact from the axis along the normal)", "virtual work"},
	{"float_speed", "rpm", "Shaft speed at which the follower first leaves the cam.", "ω² = min over s'' < 0 of (F0 + k·s + m·g)/(-m·s'')", "derived"},
	{"pressure", "MPa", "Greatest pressure of the line contact.", "p0 = √((N/b)·E*/(π·R')), 1/R' = 1/Rf + 1/ρ, 1/E* = Σ(1 - ν²)/E", "Mechanical Engineer's Data Handbook, p. 52 (Hertz)"},
	{"wear_rate", "mm per hour", "Depth worn off in an hour of running, as a range: an order of magnitude.", "k·(N/b)·(sliding/contact travel) per turn; k from the published range of the pair or the maker's own", "Archard's law"},
	{"face_reach", "mm", "How far the contact runs along a flat face.", "s' from the cam's axis; a·cos ψ/(1 ± s') from the foot of a swinging face's pivot", rothbart + ", p. 168"},
}

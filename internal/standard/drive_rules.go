package standard

import (
	"math"

	"understage/internal/units"
)

const (
	gearTrainSource = "Khurmi & Gupta, Theory of Machines, ch. 13 (gear trains)"
	huntingSource   = "Gleason, Gear Technology Solutions, p. 96 (hunting tooth); derived for any number of shafts"
)

var driveRules = []Rule{
	{
		Name: "drive_locks", Asks: "do all paths through the drive turn each shaft at one speed", Judge: Must,
		Meaning: "Where belts and gears join two shafts by two paths, both must ask for the same exact ratio; otherwise nothing can turn. Change the teeth on one path, or take one of its parts out.",
		Source:  gearTrainSource,
	},
	{
		Name: "driven", Asks: "is every shaft tied to the motor by toothed parts", Judge: Must,
		Meaning: "A shaft that no belt or gear ties to the motor stands still, and so does everything on it. A smooth pulley slips and ties nothing. Add a sprocket or gear, or take the shaft out.",
		Source:  "common practice",
	},
	{
		Name: "worm_backward", Asks: "does every worm drive its wheel and not the other way about", Judge: Must,
		Meaning: "A worm's wheel drives the worm only where the tangent of the lead angle is greater than the friction coefficient; with one or two starts it locks. Let the worm's shaft be the one that is driven.",
		Source:  "Wentzell, Machine Design, ch. 13; tan(lead) > friction",
	},
	{
		Name: "gear_spacing", Asks: "do the gears' shafts stand where their teeth mesh, over the whole take-up", Judge: AtMost,
		Dimension: units.Number, Limit: 0.25,
		Meaning: "How far the shafts stand from the centre distance the teeth need, in modules: m(z1+z2)/2 for spur gears, m|z2-z1|/2 for internal ones; the axes of bevel and crown gears must meet. Closer than needed jams once the backlash is used up, taken here as a fifth of the limit. Move a shaft, or change module or teeth; take up the belt at another shaft, or at right angles to the line of centres.",
		Source:  "centre distance: any gear handbook; the limit is common practice (the 0.25 module of tip clearance)",
	},
	{
		Name: "repeat", Asks: "how long before the motion repeats", Judge: AtLeast,
		Dimension: units.Time, Limit: 60,
		Meaning: "Time until every shaft that moves the figure is home again. Coprime tooth counts (hunting tooth) make it longest: change a sprocket by one tooth.",
		Source:  huntingSource + "; the limit is common practice",
	},
	{
		Name: "near_repeat", Asks: "how near home do all shafts come before the repeat", Judge: AtMost,
		Dimension: units.Angle, Limit: 10 * math.Pi / 180,
		Meaning: "The first instant, after the slowest shaft has turned once, when every shaft that moves the figure is within this angle of home. To the eye the motion then repeats; it is a caution where that comes sooner than the limit of rule repeat. Change a sprocket by a tooth.",
		Source:  "Hardy & Wright, An Introduction to the Theory of Numbers, ch. XI (from memory); the limit is common practice",
	},
}

var driveQuantities = []Quantity{
	{"ratio", "", "Turns of a shaft per turn of the motor, an exact fraction: positive when counter-clockwise goes with counter-clockwise, each seen in its own view.", "product of driver teeth / product of driven teeth, negative for each spur pair and each pulley on a belt's back", gearTrainSource},
	{"repeat", "turns", "Motor turns until every shaft that a cam or crank used by the torso, a linkage or the beats sits on is home.", "lcm(b1, ..., bk) / gcd(a1, ..., ak) for ratios ai/bi in lowest terms", huntingSource},
	{"near", "turns", "First instant, after the slowest such shaft has turned once, when all are within near_repeat of home, taken to where the worst is nearest home.", "about turn counts ni, where |ni*rj - nj*ri| <= e*(ri + rj) for every pair; worst = max |ni*rj - nj*ri|/(ri + rj)", "derived; the intervals of time meet when every two do"},
	{"gear_centre", "mm", "Distance apart at which two gears mesh on their pitch circles.", "m*(z1 + z2)/2, internal m*|z2 - z1|/2, 0 between the axes of bevel and crown gears", gearTrainSource},
}

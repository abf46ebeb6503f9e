package standard

import (
	"math"

	"understage/internal/units"
)

const (
	mobilitySource     = "Kutzbach-Gruebler count (Norton, Design of Machinery, chapter 2)"
	grashofSource      = "Grashof's criterion (Norton, Design of Machinery, section 2.12)"
	transmissionSource = "Norton, Design of Machinery, section on transmission angle: least about 40 deg; others ask for 45 deg (from memory; a teaching value, advice for a lightly loaded figure)"
	dyadSource         = "derived from the closure of each dyad; METU open course Mechanisms, chapter 3"
	commonPractice     = "common practice"
)

var linkageRules = []Rule{
	{
		Name: "mobility", Asks: "is the chain neither loose nor held twice", Judge: Must,
		Meaning: "The motions a chain has, M = 3(n-1) - 2 j1 - j2, must be as many as its cranks and followers drive. One too many: something hangs loose, add a bar or fix a pin. One too few: it is held twice and jams or needs slack, take a bar away or free a pin.",
		Source:  mobilitySource,
	},
	{
		Name: "assembly", Asks: "can the chain be put together at motor turn 0", Judge: Must,
		Meaning: "Every bar and plate must reach its pins with the cranks at their phase. The finding names the link, the length it has and the length it would need.",
		Source:  dyadSource,
	},
	{
		Name: "linkage_locks", Asks: "does the chain go all the way round", Judge: Must,
		Meaning: "Where two links come in line and the crank asks for more, the chain locks and the motor stalls. The finding gives the crank angle (or the cam's angle) and the length that would let it through.",
		Source:  "law of cosines: cos(theta) = (a^2 + d^2 - (b +/- c)^2)/(2 a d) for a four-bar; dyads in general: " + dyadSource,
	},
	{
		Name: "assembly_branch", Asks: "does the chain keep to one way of assembly", Judge: Must,
		Meaning: "Where the links of a dyad come exactly in line without locking, two ways of assembly meet and the chain may go on in either. Also cautioned: a pin whose start does not say to which side it goes. Change a length, or guide the chain through.",
		Source:  grashofSource + "; " + dyadSource,
	},
	{
		Name: "transmission_angle", Asks: "does the push always turn what it should", Judge: AtLeast,
		Dimension: units.Angle, Limit: 40 * math.Pi / 180,
		Meaning: "The angle between the two links at a joint, unfolded 0 to 180 deg; judged by how far it stays from 0 and 180. Its sine is the share of the push that does work; near 0 or 180 the joint jams on a little friction. Lengthen the output link, move the fixed pin, or shorten the crank.",
		Source:  transmissionSource,
	},
	{
		Name: "grashof", Asks: "which links of a four-bar turn fully", Judge: Must,
		Meaning: "Shortest plus longest link less than the other two: the shortest turns fully. A crank that drives must be the shortest link, or the ground must be.",
		Source:  grashofSource,
	},
	{
		Name: "slot_reach", Asks: "does every pin stay within its slot", Judge: Must,
		Meaning: "A slot lies between the two pins it is named by. Where the pin would run past either, lengthen the link or move its pins.",
		Source:  "derived",
	},
	{
		Name: "beats", Asks: "is there a beat at all", Judge: Must,
		Meaning: "The point or cam named must make the event named: a coordinate that varies, a height that is touched on the way down, a cam that drops.",
		Source:  commonPractice,
	},
	{
		Name: "beat_tempo", Asks: "do the beats keep the tempo asked for", Judge: AtMost,
		Dimension: units.Number, Limit: 0.02,
		Meaning: "Beats per minute at the running speed against the target, as a share of it. Change the supply or a sprocket as the finding says.",
		Source:  commonPractice,
	},
	{
		Name: "beat_evenness", Asks: "do the beats come evenly", Judge: AtLeast,
		Dimension: units.Number, Limit: 0.9,
		Meaning: "Shortest gap between beats over the longest. Several beats in a turn come evenly only when cam or crank is laid out so.",
		Source:  commonPractice,
	},
}

var linkageQuantities = []Quantity{
	{"transmission", "deg", "Angle between the links at a joint, 0 to 180 deg; for a sliding pin between rod and the slide's normal; for a slot over a pin between slot and the normal of the line from pivot to pin.", "cos mu = (b^2 + c^2 - D^2)/(2 b c)", transmissionSource},
	{"locks_at", "deg", "Crank angle at which the chain locks, turning forward from motor turn 0; the cam's angle where a cam drives.", "cos(theta) = (a^2 + d^2 - (b +/- c)^2)/(2 a d) for a four-bar", "law of cosines"},
	{"turns_over", "deg", "How far the driving shaft of a chain that locks can turn between its two ends.", "from lock to lock", dyadSource},
	{"time_ratio", "", "Turn of the driving shaft while an output goes one way, over its turn while it comes back; at least 1.", "Q = max(phi, 360 - phi)/min(phi, 360 - phi)", "Norton, Design of Machinery, section 3.5 (from memory)"},
	{"advantage", "", "Least mechanical advantage without friction over the cycle: output torque per crank torque, or force per torque (1/mm) for a sliding pin.", "w_in/w_out", "power in equals power out; Norton, Design of Machinery, section 6.5 (from memory)"},
	{"swing", "deg", "Range of a pivoted output link; of a sliding pin its stroke in mm.", "greatest - least", "derived"},
	{"path", "mm", "Length a point travels: over a turn of the driving shaft, or over the repeat of several.", "integral of |v|", "derived; Gauss-Legendre quadrature"},
	{"beats_per_min", "per min", "Events over the repeat of the shafts that make them, at the running speed.", "60 * events / time", commonPractice},
	{"evenness", "", "Shortest gap between beats over the longest; 1 is even.", "shortest/longest", commonPractice},
	{"supply_for_target", "V", "Supply at which the beats meet the target.", "V = ke*w + I*(R + Rs), w the motor speed that gives the target", "Ohm's law; MIT, Understanding D.C. Motor Characteristics, section 3"},
}

package standard

import "understage/internal/units"

var showRules = []Rule{
	{
		Name: "show_runs", Asks: "does every figure run on the common supply", Judge: Must,
		Meaning: "Whether the motor of a figure turns it at the voltage that the rail gives under the mean current of all. Raise the voltage, or lower the resistance of supply and leads.",
		Source:  "common practice",
	},
	{
		Name: "show_current", Asks: "does the supply give what all figures draw at once", Judge: AtMost,
		Dimension: units.Number, Limit: 1,
		Meaning: "Sum of all figures' peak currents over the supply's limit. The figures run free of each other, so their peaks do meet some day.",
		Source:  "common practice",
	},
	{
		Name: "show_start", Asks: "does the supply start the figures", Judge: AtMost,
		Dimension: units.Number, Limit: 1,
		Meaning: "Greatest current while motors start from rest over the supply's limit. Motors at rest draw their stall currents for an instant; a supply that cuts off instead of sagging will not start them. Start the figures one after the other.",
		Source:  "common practice; gearmotor maker's guide, ksyh-motor: plan for twice the running current",
	},
	{
		Name: "show_fuse", Asks: "does the common fuse open when one figure jams", Judge: Must,
		Meaning: "A fuse that carries all figures for good opens within 120 s at twice its rating. One jammed motor among many seldom draws that much: give every figure a fuse of its own.",
		Source:  "UL 248-14, by Littelfuse, Fuseology, p. 12; loading of 75 % from memory",
	},
	{
		Name: "show_drop", Asks: "does the lead lose little voltage", Judge: AtMost,
		Dimension: units.Number, Limit: 0.05,
		Meaning: "Voltage lost along the lead, there and back, at the greatest current, over the supply's voltage. Take a thicker or shorter lead.",
		Source:  "common practice; copper by IEC 60028",
	},
	{
		Name: "neighbour_gap", Asks: "do neighbouring figures keep clear of each other", Judge: AtLeast,
		Dimension: units.Length, Limit: 25,
		Meaning: "Least gap between watched points of two figures, at any instant of either. Below 0 they collide; below the gap for a finger they pinch.",
		Source:  "ISO 13854:2017, fingers, as quoted by AUVA",
	},
	{
		Name: "show_tempo", Asks: "does every figure keep the common tempo", Judge: AtMost,
		Dimension: units.Number, Limit: 0.02,
		Meaning: "Difference between a figure's beats per minute and the show's tempo, over the tempo. Two beats that differ by 2 % part by half a beat after 25.",
		Source:  "common practice",
	},
}

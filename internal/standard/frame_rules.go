package standard

import "understage/internal/units"

var frameRules = []Rule{
	{
		Name: "frame_sizes", Asks: "are the sizes of all parts given", Judge: Must,
		Meaning: "Levels, thicknesses, widths and diameters that the spec leaves out are assumed; what is assumed is only as good as the assumption. Write the sizes of the parts named.",
		Source:  framePractice,
	},
	{
		Name: "shaft_stack", Asks: "do the parts on one shaft each have a height of their own", Judge: AtLeast,
		Dimension: units.Length, Limit: 0,
		Meaning: "Room along the shaft between two parts that sit on it, negative where they would share a height. Change the level of one, or make it thinner.",
		Source:  framePractice,
	},
	{
		Name: "gear_side", Asks: "do the wheels on crossing shafts lie on the sides that their sense needs", Judge: Must,
		Meaning: "A bevel or crown wheel meets the other on one of two sides of each shaft; which sides they are decides whether the shafts turn the same way, each seen in its own view. Where both levels are written they must agree with the sense that is written. Move one wheel to the other side, or change sense.",
		Source:  "equal speed of the teeth where the pitch circles meet",
	},
	{
		Name: "frame_clearance", Asks: "do parts keep clear of each other over the whole repeat", Judge: AtLeast,
		Dimension: units.Length, Limit: 1,
		Meaning: "Least distance between two parts that are not meant to touch, over the whole repeat: the root of the squares of the gap seen in the view and the gap between their heights. Turning round parts count with their outside diameter, cams with their true rim, bars, belts and the torso shaft where they really pass. Move the part named along its shaft or away, by the amount named.",
		Source:  "common practice; printed parts come out within 0.2 mm (novalab3d.com, guide to FDM tolerances)",
	},
	{
		Name: "shaft_bearings", Asks: "is every shaft held by two frame plates", Judge: AtLeast,
		Dimension: units.Number, Limit: 2,
		Meaning: "How many frame plates a shaft passes through. A shaft held by one plate leans under the belt's pull. Lengthen the shaft with from and to, widen a plate's outline, or add a plate.",
		Source:  framePractice,
	},
	{
		Name: "hole_wall", Asks: "is there enough material between holes and to the edge of a plate", Judge: AtLeast,
		Dimension: units.Length, Limit: 2,
		Meaning: "Least wall between two holes of a plate, or between a hole and the plate's edge, with holes as made. Move a shaft, widen the outline, or use a smaller screw.",
		Source:  "common practice: five lines of a 0.4 mm nozzle",
	},
	{
		Name: "bed_fit", Asks: "does each frame plate fit the print bed, whole or in parts", Judge: Must,
		Meaning: "A plate larger than the bed is printed in parts, split along lines that cross no hole. Where no such line is found, move a hole or make the plate smaller.",
		Source:  framePractice,
	},
	{
		Name: "motor_mount", Asks: "can the motor be screwed to a frame plate", Judge: Must,
		Meaning: "The motor's face must lie on a plate of its shaft's view, and the plate must reach round its boss and screws. Set the level of the motor's face, or the plate's level and outline.",
		Source:  framePractice,
	},
	{
		Name: "stage_slot", Asks: "does a linkage pass through the stage", Judge: Must,
		Meaning: "A bar that reaches through the stage needs a slot there; its extent is what the bar sweeps between the stage's two faces. Cut the slot named, or move the linkage.",
		Source:  framePractice,
	},
}

var frameQuantities = []Quantity{
	{"level", "mm", "Place of the middle of a part's thickness along the third axis of its view: z in plan, y in front, x in side.", "(from + to)/2", "design of the spec"},
	{"hole", "mm", "Diameter of a hole as made.", "diameter of what goes in + hole_allowance", "design of the spec"},
	{"over_pins", "mm", "Distance over two pins stood in a pair of holes, to check them with callipers.", "distance of the centres + half of both pin diameters", "geometry"},
	{"wall", "mm", "Material between two holes, or between a hole and the edge.", "distance of the centres - half of both hole diameters", "geometry"},
	{"tooth_step", "deg", "Turn of a shaft when the belt is put on one tooth farther round its sprocket: the finest step of phase that the teeth give.", "360/teeth", "geometry"},
}

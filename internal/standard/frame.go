package standard

// Sizes that stand in for what a spec leaves out, mm. Common practice in
// printed and hand-made drive frames; every use is reported as assumed.
const (
	FrameShaftDiameter  = 4.0
	FrameShaftEnd       = 2.0 // beyond the outermost part or plate
	FramePlateThickness = 4.0
	FramePlateMargin    = 6.0 // of material round the edge of each hole
	FrameBeltWidth      = 6.0
	FrameBeltRoom       = 1.0 // between the flanges of a sprocket, beyond the belt's width
	FrameFlange         = 1.0 // thickness, each side; also how far it stands proud of the belt
	FrameCamThickness   = 5.0
	FrameYokeThickness  = 3.0
	FrameYokeMargin     = 5.0 // of plate round its slot
	FrameArmWidth       = 10.0
	FrameArmThickness   = 3.0
	FrameArmEnd         = 4.0 // of arm beyond its slot
	FrameBarWidth       = 8.0
	FrameBarThickness   = 3.0
	FramePinDiameter    = 3.0 // of a linkage's pins
	FrameWasher         = 1.0 // between parts that share a pin or a shaft
	FrameFollowerWidth  = 10.0
	FrameFootBelow      = 12.0 // a belt or gear without a level lies this far below all that have one
	// FrameGearFace is the face width of gears in modules: handbooks give 8 to 12.
	FrameGearFace = 8.0
)

const framePractice = "common practice"

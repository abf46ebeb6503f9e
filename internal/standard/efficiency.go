package standard

// Efficiency is what a stage of the drive passes on. Back is the share that
// arrives when the load drives the motor instead; 0 for a stage that locks.
type Efficiency struct {
	Forward, Back float64
	Source        string
}

// Stages of a drive where the maker gives no figure. Only the worm and the
// planetary gearbox were found in print; the others are from memory and lie at
// the low end of what handbooks state.
var (
	ToothedBelt = Efficiency{0.95, 0.95, "from memory: toothed belts 0.95 to 0.98 at rated load"}
	SpurPair    = Efficiency{0.95, 0.95, "from memory: spur gears 0.95 to 0.98 a mesh"}
	BevelPair   = Efficiency{0.93, 0.93, "from memory: bevel gears 0.93 to 0.97 a mesh"}
	CrownPair   = Efficiency{0.90, 0.90, "common practice: a crown pair slides more than a bevel pair"}
	WormPair    = Efficiency{0.50, 0, "gearmotor maker's guide, ksyh-motor: worm boxes 50 to 70 %; taken as self-locking"}
)

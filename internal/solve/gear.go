package solve

// GearResult is how a pair of gears meshes.
type GearResult struct{}

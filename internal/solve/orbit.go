package solve

// Orbit is the set of angle combinations that the shafts of one mechanism pass
// through. Its axes are the shafts, each measured as the turn in its own sense
// since motor turn 0, in rad: all are 0 at the start.
type Orbit struct {
	Ratios []Ratio
	// Bound says that the repeat is too long to follow: every combination of
	// angles counts, and an extreme is a bound that the figure may only approach.
	Bound bool
}

// Extreme is the least or greatest value of a quantity, and the motor turns
// from the start at which it is met. Turns is meaningless when Bound.
type Extreme struct {
	Value float64
	Turns float64
	Bound bool
}

// Extent is the range a quantity covers.
type Extent struct {
	Min, Max Extreme
}

package mech

// Rub is how one surface slides on another: the maker's own coefficients, or a
// pair of materials to look up in package standard.
type Rub struct {
	Sliding   Given
	Static    Given     // for breaking away from rest
	Materials [2]string // "" not given
}

// Known reports whether anything is said about the rubbing.
func (r Rub) Known() bool {
	return r.Sliding.OK || r.Static.OK || (r.Materials[0] != "" && r.Materials[1] != "")
}

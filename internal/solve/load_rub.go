package solve

import (
	"understage/internal/mech"
	"understage/internal/standard"
)

// loadRub is the friction of one contact, resolved to numbers: while sliding
// and when breaking away from rest.
type loadRub struct {
	sliding, static float64
	assumed         bool // neither a coefficient nor a pair with published ones was given
}

// resolveRub settles a contact's coefficients: the maker's own; else the upper
// end of the published range of the pair; else the one that stands in
// (standard.AssumedFriction). Where only sliding is known, static is that times
// the breakaway factor.
func resolveRub(r mech.Rub, breakaway mech.Given) loadRub {
	var sliding, static mech.Given
	if f, ok := standard.FindFriction(r.Materials[0], r.Materials[1]); ok && r.Materials[0] != "" && r.Materials[1] != "" {
		sliding = mech.Given{Value: f.Sliding.High, OK: f.Sliding.Known}
		static = mech.Given{Value: f.Static.High, OK: f.Static.Known}
	}
	if r.Sliding.OK {
		sliding, static = r.Sliding, mech.Given{}
	}
	if r.Static.OK {
		static = r.Static
	}
	factor := breakaway.Or(standard.AssumedBreakaway)
	out := loadRub{assumed: !sliding.OK && !static.OK}
	switch {
	case sliding.OK && static.OK:
		// A table's static and sliding ranges come from different set-ups; rest
		// never holds less than motion.
		out.sliding, out.static = sliding.Value, max(sliding.Value, static.Value)
	case sliding.OK:
		out.sliding, out.static = sliding.Value, sliding.Value*factor
	case static.OK:
		out.sliding, out.static = static.Value, static.Value
	default:
		out.sliding, out.static = standard.AssumedFriction, standard.AssumedFriction*factor
	}
	return out
}

// at returns the coefficient at rest or in motion.
func (r loadRub) at(rest bool) float64 {
	if rest {
		return r.static
	}
	return r.sliding
}

package standard

// FuseRatings are the rated currents, A, in which small fuses are sold: the R10
// series of preferred numbers as IEC 60127 lists it (from memory).
var FuseRatings = []float64{
	0.032, 0.04, 0.05, 0.063, 0.08, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8,
	1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5, 16, 20,
}

const (
	// FuseLoading is the share of its rating that a fuse should carry at 25 °C
	// (Littelfuse, Fuseology; from memory).
	FuseLoading = 0.75
	// FuseOpens is the multiple of its rating at which a fuse opens within
	// FuseOpensWithin seconds (UL 248-14, by Littelfuse, Fuseology, p. 12).
	FuseOpens       = 2.0
	FuseOpensWithin = 120.0
)

// FindFuse returns the least fuse that carries a running current for good, and
// whether a fault current opens it within FuseOpensWithin. It is 0 where no
// listed fuse is large enough.
func FindFuse(running, fault float64) (rating float64, opens bool) {
	for _, r := range FuseRatings {
		if r*FuseLoading >= running {
			return r, fault >= FuseOpens*r
		}
	}
	return 0, false
}

// Wire is a flexible copper conductor and the current it carries, A.
type Wire struct {
	Area    float64 // mm²
	Current float64
}

// Wires are flexible cords by cross-section (BS 7671, Table 4F3A; from memory).
var Wires = []Wire{{0.5, 3}, {0.75, 6}, {1, 10}, {1.25, 13}, {1.5, 16}}

// CopperResistance is the resistance of copper at 20 °C, ohm·mm²/m (IEC 60028:
// 0.017241).
const CopperResistance = 0.017241

// FindWire returns the thinnest cord that carries a current; ok is false where
// none does.
func FindWire(current float64) (w Wire, ok bool) {
	for _, w := range Wires {
		if w.Current >= current {
			return w, true
		}
	}
	return Wire{}, false
}

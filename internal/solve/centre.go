package solve

// The centre distance of two pulleys for a belt of a given length.
//
// Open belt over radii r ≤ R at distance C, with sin α = (R − r)/C:
//
//	L = 2·C·cos α + π·(R + r) + 2·α·(R − r)
//
// With θ = π/2 − α, half the wrap on the smaller, this is the involute form of
// ISO 5295 (equation from memory; the identity is derived):
//
//	inv θ = tan θ − θ = (L − 2πR)/(2·(R − r)),   C = (R − r)/cos θ
//
// which for teeth reads inv θ = π·(zb − z2)/(z2 − z1), C = p·(z2 − z1)/(2π·cos θ).

import (
	"math"

	"understage/internal/mech"
)

// CentreForTeeth returns the exact distance between two sprockets that a belt of
// the given teeth closes over, by the involute form of ISO 5295. It is not OK
// where the belt is too short to go round the larger with any distance left.
func CentreForTeeth(pitch float64, small, large, belt int) mech.Given {
	r, R := float64(small)*pitch/(2*math.Pi), float64(large)*pitch/(2*math.Pi)
	return CentreForLength(r, R, float64(belt)*pitch)
}

// centreRounding, as a share of the length, is what rounding can leave of a
// belt that only just goes round the larger pulley.
const centreRounding = 1e-14

// CentreForLength is CentreForTeeth for any two pitch radii and length, mm.
func CentreForLength(r, R, length float64) mech.Given {
	if r > R {
		r, R = R, r
	}
	free := length - 2*math.Pi*R
	if !(free > centreRounding*length) {
		return mech.Given{}
	}
	difference := R - r
	if difference == 0 {
		return mech.Given{Value: free / 2, OK: true}
	}
	alpha := inverseInvoluteComplement(free / (2 * difference))
	return mech.Given{Value: difference / math.Sin(alpha), OK: true}
}

// inverseInvoluteComplement returns π/2 − θ where tan θ − θ = k > 0. Working
// with the complement keeps its digits when the pulleys are nearly equal and θ
// is near a right angle.
func inverseInvoluteComplement(k float64) float64 {
	// cot α + α − π/2 − k falls and is convex in α, so Newton's iteration rises to
	// the root from any start below it: cot α < 1/α, and tan θ − θ > θ³/3.
	alpha := max(1/(k+math.Pi/2), math.Pi/2-math.Cbrt(3*k))
	for range 100 {
		cot := 1 / math.Tan(alpha)
		step := (cot + alpha - math.Pi/2 - k) / (cot * cot)
		if !(step > 1e-16*alpha) {
			break
		}
		alpha = min(alpha+step, math.Pi/2)
	}
	return alpha
}

// ApproximateCentre returns the handbooks' approximate centre distance,
//
//	C ≈ M + √(M² − (p(z2−z1)/π)²/8),  M = p·(2zb − z1 − z2)/8
//
// which is always a little high. It is not OK where the root has no real value.
func ApproximateCentre(pitch float64, small, large, belt int) mech.Given {
	m := pitch / 8 * float64(2*belt-small-large)
	d := pitch * float64(large-small) / math.Pi
	square := m*m - d*d/8
	if !(square >= 0) || m <= 0 {
		return mech.Given{}
	}
	return mech.Given{Value: m + math.Sqrt(square), OK: true}
}

// ApproximateLength returns the handbooks' approximate length of an open belt
// over two pitch radii, L ≈ 2C + π(R + r) + (R − r)²/C.
func ApproximateLength(r, R, centre float64) float64 {
	return 2*centre + math.Pi*(R+r) + (R-r)*(R-r)/centre
}

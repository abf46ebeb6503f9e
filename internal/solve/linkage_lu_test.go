package solve

import (
	"math"
	"math/rand"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
)

// The factors in place against gonum's, solution and determinant.
func TestSmallLU(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for n := 1; n <= 9; n++ {
		for range 30 {
			a := make([]float64, n*n)
			b := make([]float64, n)
			for i := range a {
				a[i] = r.NormFloat64()
			}
			for i := range b {
				b[i] = r.NormFloat64()
			}
			var want mat.VecDense
			dense := mat.NewDense(n, n, append([]float64(nil), a...))
			if err := want.SolveVec(dense, mat.NewVecDense(n, append([]float64(nil), b...))); err != nil {
				continue
			}
			order, got := make([]int, n), make([]float64, n)
			det := luFactor(a, order)
			luSolve(a, order, b, got)
			cond := mat.Cond(dense, 2)
			if off := math.Abs(det - mat.Det(dense)); off > 1e-12*cond*(1+math.Abs(det)) {
				t.Errorf("n %d: determinant off by %g", n, off)
			}
			for i := range got {
				if off := math.Abs(got[i] - want.AtVec(i)); off > 1e-13*cond*(1+math.Abs(got[i])) {
					t.Errorf("n %d: unknown %d off by %g", n, i, off)
				}
			}
		}
	}
	if luFactor([]float64{1, 2, 2, 4}, make([]int, 2)) != 0 {
		t.Error("a singular matrix has a determinant")
	}
}

// A pin at the roller's centre of a swinging follower goes away from the cam as
// the lift grows: its distance D from the cam's axis has
// D² = c² + l² − 2cl·cos(ψ₀ + lift), c to the pivot, l the arm, ψ₀ the angle at
// the pivot at zero lift (law of cosines).
func TestSwingingFollowerPin(t *testing.T) {
	const c, l, prime = 40.0, 36.0, 18.0
	rest := math.Acos((c*c + l*l - prime*prime) / (2 * c * l))
	for _, left := range [...]bool{true, false} {
		side := 1.0
		if !left {
			side = -1
		}
		// From the pivot back toward the cam's axis, the arm lies ψ₀ off: on the
		// left seen from cam to pivot that is clockwise.
		axis := r2.Vec{X: 7, Y: -3}
		sin, cos := math.Sincos(math.Pi - side*rest)
		centre := r2.Vec{X: axis.X + c + l*cos, Y: axis.Y + l*sin}
		m := chainModel(mech.Linkage{Pins: []mech.Pin{{Kind: mech.FollowerPin, At: centre}}})
		m.Shafts[0].At = axis
		m.Cams = []mech.Cam{{
			Base: prime - 3, Shape: mech.Shape{Kind: mech.ShapeWaves, Waves: []mech.Wave{{PerTurn: 2, Amplitude: 0.1}}},
			Follower: &mech.Follower{Kind: mech.Roller, Path: mech.Swing, Radius: 3, Pivot: r2.Vec{X: c}, Arm: l, Left: left},
		}}
		chain, p := compile(t, m)
		lifts := CompileCams(m, SolveDrive(m))[0]
		for k := range 36 {
			x := float64(k) * 10 * degree
			if !chain.Solve([]float64{x}, p) {
				t.Fatal("does not pose")
			}
			lift := lifts.Lift(x).S
			want := math.Sqrt(c*c + l*l - 2*c*l*math.Cos(rest+lift))
			near(t, "distance from the cam's axis", r2.Norm(r2.Sub(p.Pins[0].Pos, axis)), want, 1e-9)
		}
		checkRates(t, chain, p, []float64{0.7})
	}
}

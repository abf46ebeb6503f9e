package solve

import "math"

// Small dense linear systems in place, without allocating: a pose of a chain is
// solved some hundred thousand times a report.

// luFactor factors the square matrix a, by rows, in place with partial
// pivoting (Golub and Van Loan, Matrix Computations, algorithm 3.4.1) and
// returns its determinant. The diagonal keeps the reciprocals of the pivots.
func luFactor(a []float64, order []int) float64 {
	n := len(order)
	det := 1.0
	for k := range n {
		pivot, most := k, math.Abs(a[k*n+k])
		for i := k + 1; i < n; i++ {
			if v := math.Abs(a[i*n+k]); v > most {
				pivot, most = i, v
			}
		}
		order[k] = pivot
		if most == 0 || most != most {
			return 0
		}
		rk := a[k*n : k*n+n]
		if pivot != k {
			det = -det
			rp := a[pivot*n : pivot*n+n]
			for j := range rk {
				rk[j], rp[j] = rp[j], rk[j]
			}
		}
		det *= rk[k]
		inv := 1 / rk[k]
		rk[k] = inv
		for i := k + 1; i < n; i++ {
			ri := a[i*n : i*n+n]
			f := ri[k] * inv
			ri[k] = f
			if f == 0 {
				continue
			}
			for j := k + 1; j < n; j++ {
				ri[j] -= f * rk[j]
			}
		}
	}
	return det
}

// luSolve solves with the factors of luFactor; rhs is spent.
func luSolve(a []float64, order []int, rhs, out []float64) {
	n := len(order)
	for k, p := range order {
		rhs[k], rhs[p] = rhs[p], rhs[k]
	}
	switch n { // worth writing out: solved many times a pose
	case 2: // forces in a dyad
		y := (rhs[1] - a[2]*rhs[0]) * a[3]
		out[0], out[1] = (rhs[0]-a[1]*y)*a[0], y
		return
	case 4: // a six-bar
		luSolve4((*[16]float64)(a), (*[4]float64)(rhs), (*[4]float64)(out))
		return
	}
	for i := range n {
		ri := a[i*n : i*n+n]
		sum := rhs[i]
		for j, v := range out[:i] {
			sum -= ri[j] * v
		}
		out[i] = sum
	}
	for i := n - 1; i >= 0; i-- {
		ri := a[i*n : i*n+n]
		sum := out[i]
		for j := i + 1; j < n; j++ {
			sum -= ri[j] * out[j]
		}
		out[i] = sum * ri[i]
	}
}

func luSolve4(a *[16]float64, b, out *[4]float64) {
	x0 := b[0]
	x1 := b[1] - a[4]*x0
	x2 := b[2] - a[8]*x0 - a[9]*x1
	x3 := b[3] - a[12]*x0 - a[13]*x1 - a[14]*x2
	x3 *= a[15]
	x2 = (x2 - a[11]*x3) * a[10]
	x1 = (x1 - a[6]*x2 - a[7]*x3) * a[5]
	x0 = (x0 - a[1]*x1 - a[2]*x2 - a[3]*x3) * a[0]
	out[0], out[1], out[2], out[3] = x0, x1, x2, x3
}

package solve

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"understage/internal/mech"
)

// camSpline returns the cubics of the periodic C2 spline through the points,
// whose angles increase within one turn; the last cubic runs on to the first
// point a turn later. A single point is a circle.
//
// The second derivatives M at the points solve the cyclic system
//
//	h₋M₋/6 + (h₋+h)M/3 + hM₊/6 = (y₊−y)/h − (y−y₋)/h₋
//
// (J. Stoer and R. Bulirsch, Introduction to Numerical Analysis, section 2.4).
// The two corner elements are split off by the Sherman–Morrison formula, so
// that a tridiagonal solver does the work in a time linear in the points.
func camSpline(points []mech.Point) []camPiece {
	n := len(points)
	if n == 1 {
		return []camPiece{{from: points[0].Angle, scale: 1, c: [4]float64{points[0].Value}}}
	}
	h := make([]float64, n)
	slope := make([]float64, n)
	for i, p := range points {
		next := points[(i+1)%n]
		h[i] = next.Angle - p.Angle
		if i == n-1 {
			h[i] += 2 * math.Pi
		}
		slope[i] = (next.Value - p.Value) / h[i]
	}
	m := camSplineSeconds(h, slope)
	pieces := make([]camPiece, n)
	for i, p := range points {
		m0, m1 := m[i], m[(i+1)%n]
		pieces[i] = camPiece{from: p.Angle, scale: 1, c: [4]float64{
			p.Value,
			slope[i] - h[i]*(2*m0+m1)/6,
			m0 / 2,
			(m1 - m0) / (6 * h[i]),
		}}
	}
	return pieces
}

// camSplineSeconds returns the second derivatives at the points, from the
// widths and chord slopes of the intervals.
func camSplineSeconds(h, slope []float64) []float64 {
	n := len(h)
	diagonal := make([]float64, n)
	beside := make([]float64, n) // couples i and i+1; the last one closes the ring
	right := make([]float64, n)
	for i := range n {
		before := (i + n - 1) % n
		diagonal[i] = (h[before] + h[i]) / 3
		beside[i] = h[i] / 6
		right[i] = slope[i] - slope[before]
	}
	if n == 2 {
		// Both neighbours are the same point, so the couplings add.
		b := beside[0] + beside[1]
		det := diagonal[0]*diagonal[1] - b*b
		return []float64{(right[0]*diagonal[1] - b*right[1]) / det, (right[1]*diagonal[0] - b*right[0]) / det}
	}
	corner := beside[n-1]
	gamma := -diagonal[0]
	diagonal[0] -= gamma
	diagonal[n-1] -= corner * corner / gamma
	system := mat.NewTridiag(n, beside[:n-1], diagonal, beside[:n-1])
	sides := mat.NewDense(n, 2, nil)
	for i := range n {
		sides.Set(i, 0, right[i])
	}
	sides.Set(0, 1, gamma)
	sides.Set(n-1, 1, corner)
	var x mat.Dense
	if err := system.SolveTo(&x, false, sides); err != nil {
		// The system is diagonally dominant, so this cannot happen with
		// increasing angles; a circle through the mean is the safe answer.
		return make([]float64, n)
	}
	v := corner / gamma
	factor := (x.At(0, 0) + v*x.At(n-1, 0)) / (1 + x.At(0, 1) + v*x.At(n-1, 1))
	m := make([]float64, n)
	for i := range m {
		m[i] = x.At(i, 0) - factor*x.At(i, 1)
	}
	return m
}

package solve

import "math"

// camSeries is a Taylor polynomial of degree three: value, slope, half the
// second derivative, a sixth of the third. Following a contact through it gives
// derivatives that are exact to rounding.
type camSeries struct {
	a, b, c, d float64
}

func (x camSeries) plus(y camSeries) camSeries {
	return camSeries{x.a + y.a, x.b + y.b, x.c + y.c, x.d + y.d}
}

func (x camSeries) minus(y camSeries) camSeries {
	return camSeries{x.a - y.a, x.b - y.b, x.c - y.c, x.d - y.d}
}

func (x camSeries) add(k float64) camSeries {
	x.a += k
	return x
}

func (x camSeries) scale(k float64) camSeries {
	return camSeries{k * x.a, k * x.b, k * x.c, k * x.d}
}

func (x camSeries) times(y camSeries) camSeries {
	return camSeries{
		x.a * y.a,
		x.a*y.b + x.b*y.a,
		x.a*y.c + x.b*y.b + x.c*y.a,
		x.a*y.d + x.b*y.c + x.c*y.b + x.d*y.a,
	}
}

func (x camSeries) over(y camSeries) camSeries {
	var q camSeries
	q.a = x.a / y.a
	q.b = (x.b - q.a*y.b) / y.a
	q.c = (x.c - q.a*y.c - q.b*y.b) / y.a
	q.d = (x.d - q.a*y.d - q.b*y.c - q.c*y.b) / y.a
	return q
}

func (x camSeries) sqrt() camSeries {
	var r camSeries
	r.a = math.Sqrt(x.a)
	r.b = x.b / (2 * r.a)
	r.c = (x.c - r.b*r.b) / (2 * r.a)
	r.d = (x.d - 2*r.b*r.c) / (2 * r.a)
	return r
}

// integral returns the series with the given value whose slope is x.
func (x camSeries) integral(value float64) camSeries {
	return camSeries{value, x.a, x.b / 2, x.c / 3}
}

// slope returns the series of the derivative; its last term is lost and 0.
func (x camSeries) slope() camSeries {
	return camSeries{x.b, 2 * x.c, 3 * x.d, 0}
}

// camAtan2 returns the angle of (x, y), which must not be the origin.
func camAtan2(y, x camSeries) camSeries {
	turn := x.times(y.slope()).minus(y.times(x.slope()))
	return turn.over(x.times(x).plus(y.times(y))).integral(math.Atan2(y.a, x.a))
}

// camAsin returns the arc sine of x, which must lie inside (-1, 1).
func camAsin(x camSeries) camSeries {
	root := x.times(x).scale(-1).add(1).sqrt()
	return x.slope().over(root).integral(math.Asin(x.a))
}

// camAcos returns the arc cosine of x, which must lie inside (-1, 1).
func camAcos(x camSeries) camSeries {
	return camAsin(x).scale(-1).add(math.Pi / 2)
}

// camByAngle turns lift and angle as series in one parameter into the lift and
// its derivatives by the angle.
func camByAngle(lift, phi camSeries) Lift {
	v := lift.slope().over(phi.slope())
	a := v.slope().over(phi.slope())
	j := a.slope().over(phi.slope())
	return Lift{S: lift.a, V: v.a, A: a.a, J: j.a}
}

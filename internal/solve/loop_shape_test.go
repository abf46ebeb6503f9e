package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// ring makes a layout that most often has a loop: inside pulleys round about,
// here and there a back-side idler pushing in between two of them.
func ring(rng *rand.Rand, idlers bool) []Circle {
	n := 3 + rng.IntN(4)
	var circles []Circle
	for i := range n {
		angle := (float64(i) + 0.3*rng.Float64()) * 2 * math.Pi / float64(n)
		far := 70 + 30*rng.Float64()
		circles = append(circles, circle(far*math.Cos(angle), far*math.Sin(angle), 4+14*rng.Float64()))
		if idlers && n < 6 && rng.IntN(2) == 0 {
			angle += 0.65 * 2 * math.Pi / float64(n)
			far := 25 + 20*rng.Float64()
			circles = append(circles, back(far*math.Cos(angle), far*math.Sin(angle), 7+3*rng.Float64()))
		}
	}
	return circles
}

// bandLength pulls a rubber band of many short pieces tight round the circles
// and returns its length: a method that knows nothing of tangents. Each knot
// moves toward the middle of its neighbours, then out of any circle it is in.
// The band starts outside every inside pulley and inside every back-side one.
func bandLength(circles []Circle, knots int) float64 {
	p := make([]r2.Vec, 20*knots)
	for i := range p {
		angle := 2 * math.Pi * float64(i) / float64(len(p))
		u := r2.Vec{X: math.Cos(angle), Y: math.Sin(angle)}
		far := 120.0
		for _, c := range circles {
			// Where the ray from the origin enters a back-side pulley it must stop,
			// with a little to spare on either side of it.
			along, off := r2.Dot(c.At, u), math.Abs(r2.Cross(c.At, u))
			if r := 1.05 * c.Radius; c.Back && along > 0 && off < r {
				far = min(far, along-math.Sqrt(r*r-off*off))
			}
		}
		p[i] = r2.Scale(far, u)
	}
	p = evenly(p, knots)
	settle := func(rounds int) {
		for range rounds {
			for i := range p {
				middle := r2.Scale(0.5, r2.Add(p[(i+knots-1)%knots], p[(i+1)%knots]))
				move := r2.Scale(1.9, r2.Sub(middle, p[i])) // over-relaxed
				if far := r2.Norm(move); far > 1 {          // not through a circle at one go
					move = r2.Scale(1/far, move)
				}
				p[i] = r2.Add(p[i], move)
				for _, c := range circles {
					if d := r2.Sub(p[i], c.At); r2.Norm(d) < c.Radius {
						p[i] = r2.Add(c.At, r2.Scale(c.Radius/r2.Norm(d), d))
					}
				}
			}
		}
	}
	settle(3000)
	length := 0.0
	for i := range p {
		length += r2.Norm(r2.Sub(p[(i+1)%knots], p[i]))
	}
	return length
}

// evenly spaces knots along a closed line.
func evenly(line []r2.Vec, knots int) []r2.Vec {
	total := 0.0
	for i := range line {
		total += r2.Norm(r2.Sub(line[(i+1)%len(line)], line[i]))
	}
	out := make([]r2.Vec, 0, knots)
	walked := 0.0
	for i := range line {
		step := r2.Sub(line[(i+1)%len(line)], line[i])
		for long := r2.Norm(step); len(out) < knots && float64(len(out))*total/float64(knots) < walked+long; {
			out = append(out, r2.Add(line[i], r2.Scale((float64(len(out))*total/float64(knots)-walked)/long, step)))
		}
		walked += r2.Norm(step)
	}
	return out
}

// starShaped reports whether no inside pulley stands behind a back-side one as
// seen from the origin, so that the band can start where bandLength puts it.
func starShaped(circles []Circle) bool {
	half := func(c Circle) float64 { return math.Asin(1.1 * c.Radius / r2.Norm(c.At)) }
	for _, b := range circles {
		for _, c := range circles {
			between := math.Acos(r2.Dot(b.At, c.At) / r2.Norm(b.At) / r2.Norm(c.At))
			if b.Back && !c.Back && between < half(b)+half(c) {
				return false
			}
		}
	}
	return true
}

// TestLoopAgainstBand: the band's pieces cut the corners of the arcs and its
// settling is not quite done, so it agrees to a part in a few thousand.
func TestLoopAgainstBand(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	checked, bent := 0, 0
	for checked < draws(10) {
		circles := ring(rng, true)
		var l Loop
		SolveLoop(&l, circles)
		if l.Status != LoopOK || !starShaped(circles) {
			continue
		}
		checked++
		for _, c := range circles {
			if c.Back {
				bent++
			}
		}
		if band := bandLength(circles, 700); math.Abs(band-l.Length) > 4e-4*l.Length {
			t.Errorf("%+v: loop %.6g, band %.6g", circles, l.Length, band)
		}
	}
	if bent < draws(6) {
		t.Errorf("only %d back-side pulleys were tried", bent)
	}
}

// TestLoopSum: signed wraps add to one turn, arcs and spans to the length, and
// each span touches both its circles squarely.
func TestLoopSum(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 2))
	solved := 0
	for range 300 {
		circles := ring(rng, true)
		var l Loop
		SolveLoop(&l, circles)
		if l.Status != LoopOK {
			continue
		}
		solved++
		turn, length := 0.0, 0.0
		for i, c := range circles {
			sign := 1.0
			if c.Back {
				sign = -1
			}
			turn += sign * l.Wraps[i]
			length += l.Spans[i] + c.Radius*l.Wraps[i]
			leave, meet := l.Ends(circles, i)
			next := circles[(i+1)%len(circles)]
			run := r2.Sub(meet, leave)
			for _, e := range []float64{
				r2.Norm(run) - l.Spans[i], r2.Norm(r2.Sub(leave, c.At)) - c.Radius, r2.Norm(r2.Sub(meet, next.At)) - next.Radius,
				r2.Dot(run, r2.Sub(leave, c.At)) / l.Spans[i], r2.Dot(run, r2.Sub(meet, next.At)) / l.Spans[i],
			} {
				if math.Abs(e) > 1e-9 {
					t.Fatalf("%+v: span %d is off by %g", circles, i, e)
				}
			}
		}
		if math.Abs(turn-2*math.Pi) > 1e-9 || math.Abs(length-l.Length) > 1e-9 {
			t.Errorf("%+v: wraps add to %g, length %g of %g", circles, turn, length, l.Length)
		}
	}
	if solved < 100 {
		t.Errorf("only %d layouts had a loop", solved)
	}
}

// TestLoopPull: the rate of growth against a difference of lengths.
func TestLoopPull(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 100 {
		circles := ring(rng, true)
		var l Loop
		SolveLoop(&l, circles)
		if l.Status != LoopOK {
			continue
		}
		const h = 1e-4
		for i := range circles {
			SolveLoop(&l, circles)
			want := l.Pull(i)
			grow := func(d r2.Vec) float64 {
				home := circles[i].At
				circles[i].At = r2.Add(home, d)
				SolveLoop(&l, circles)
				length := l.Length
				circles[i].At = r2.Sub(home, d)
				SolveLoop(&l, circles)
				circles[i].At = home
				return (length - l.Length) / (2 * h)
			}
			got := r2.Vec{X: grow(r2.Vec{X: h}), Y: grow(r2.Vec{Y: h})}
			if r2.Norm(r2.Sub(got, want)) > 1e-5 {
				t.Errorf("%+v circle %d: grows %v, want %v", circles, i, got, want)
			}
		}
	}
}

// TestLoopProperties: turning, mirroring, listing the other way round or from
// another pulley changes no length; scaling scales it.
func TestLoopProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		circles := ring(rng, true)
		var l Loop
		SolveLoop(&l, circles)
		if l.Status != LoopOK {
			continue
		}
		want := l.Length
		turn := rng.Float64() * 2 * math.Pi
		start := rng.IntN(len(circles))
		changes := map[string]func(i int, c Circle) (int, Circle){
			"rotated": func(i int, c Circle) (int, Circle) {
				c.At = r2.Add(r2.Rotate(c.At, turn, r2.Vec{}), r2.Vec{X: 40, Y: -7})
				return i, c
			},
			"mirrored": func(i int, c Circle) (int, Circle) { c.At.X = -c.At.X; return i, c },
			"reversed": func(i int, c Circle) (int, Circle) { return len(circles) - 1 - i, c },
			"shifted":  func(i int, c Circle) (int, Circle) { return (i + start) % len(circles), c },
			"scaled": func(i int, c Circle) (int, Circle) {
				c.At, c.Radius = r2.Scale(10, c.At), 10*c.Radius
				return i, c
			},
		}
		for name, change := range changes {
			other := make([]Circle, len(circles))
			for i, c := range circles {
				j, changed := change(i, c)
				other[j] = changed
			}
			scale := 1.0
			if name == "scaled" {
				scale = 10
			}
			var o Loop
			SolveLoop(&o, other)
			if o.Status != LoopOK || math.Abs(o.Length/scale-want) > 1e-9 {
				t.Errorf("%+v %s: %v, length %.12g, want %.12g", circles, name, o.Status, o.Length/scale, want)
			}
			if (name == "mirrored" || name == "reversed") && o.Clockwise == l.Clockwise {
				t.Errorf("%+v %s still goes round the same way", circles, name)
			}
		}
	}
}

// TestNoLoop: each way in which a loop cannot be is named, with the pulleys.
func TestNoLoop(t *testing.T) {
	tests := []struct {
		name      string
		circles   []Circle
		want      LoopStatus
		first     int
		clearance float64
	}{
		{"one pulley", []Circle{circle(0, 0, 5)}, LoopTooFew, 0, 0},
		{"one in the other", []Circle{circle(0, 0, 20), circle(5, 0, 5)}, LoopOverlap, 0, -10},
		{"two in one place", []Circle{circle(0, 0, 5), circle(0, 0, 5), circle(50, 0, 5)}, LoopOverlap, 0, 0},
		{"crossed belt", []Circle{circle(0, 0, 10), back(50, 0, 10)}, LoopCrosses, 0, 0},
		{"no room for the belt between", []Circle{circle(0, 0, 10), circle(60, 0, 10), back(15, 0, 6)}, LoopOverlap, 0, -1},
		// The middle pulley stands 7 clear of the straight run from 10 to 10.
		{"not touched inside", []Circle{circle(0, 0, 10), circle(50, 0, 3), circle(100, 0, 10), circle(50, 60, 10)}, LoopUntouched, 1, 7},
		{"corners of a square out of order", []Circle{circle(0, 0, 6), circle(60, 60, 6), circle(60, 0, 6), circle(0, 60, 6)}, LoopCrosses, -1, 0},
		{"not touched at the back", []Circle{circle(0, 0, 10), back(50, -20, 5), circle(100, 0, 10)}, LoopUntouched, 1, 5},
	}
	for _, tt := range tests {
		for _, reversed := range []bool{false, true} {
			circles := append([]Circle(nil), tt.circles...)
			if reversed {
				for i, j := 1, len(circles)-1; i < j; i, j = i+1, j-1 {
					circles[i], circles[j] = circles[j], circles[i]
				}
			}
			var l Loop
			SolveLoop(&l, circles)
			if l.Status != tt.want || l.Length != 0 || math.Abs(l.Clearance-tt.clearance) > 1e-9 {
				t.Errorf("%s: %v %d %d clearance %g length %g", tt.name, l.Status, l.First, l.Second, l.Clearance, l.Length)
			}
			if tt.first >= 0 && circles[l.First] != tt.circles[tt.first] {
				t.Errorf("%s: names pulley %d", tt.name, l.First)
			}
		}
	}
}

// TestLoopStraightTouch: a pulley the straight belt just touches has no wrap,
// and does not count as a whole turn.
func TestLoopStraightTouch(t *testing.T) {
	var l Loop
	SolveLoop(&l, []Circle{circle(0, 0, 10), circle(50, 0, 10), circle(110, 0, 10)})
	if l.Status != LoopOK || math.Abs(l.Length-(220+20*math.Pi)) > 1e-9 {
		t.Errorf("%+v", l)
	}
}

// TestLoopThatOnlyTurnsOnce: wraps that add to one turn do not make a loop that
// stays off itself. The back-side idler pulls the lower run up through the
// upper one.
func TestLoopThatOnlyTurnsOnce(t *testing.T) {
	circles := []Circle{circle(0, 0, 5), back(50, 60, 5), circle(100, 0, 5), circle(100, 30, 5), circle(0, 30, 5)}
	var l Loop
	l.size(len(circles))
	if !l.run(circles, 1) && !l.run(circles, -1) {
		t.Fatal("the layout does not even turn once, and tests nothing")
	}
	SolveLoop(&l, circles)
	if l.Status != LoopCrosses {
		t.Errorf("%+v", l)
	}
}

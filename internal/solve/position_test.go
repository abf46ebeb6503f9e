package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// TestTwoBeltsOneShaft: a shaft with a belt to each of two fixed shafts stands
// where two circles meet, whose radii are the exact centre distances.
func TestTwoBeltsOneShaft(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	const pitch = 2.032
	radius := func(teeth int) float64 { return float64(teeth) * pitch / (2 * math.Pi) }
	solved := 0
	for range 30 {
		z := [4]int{14 + rng.IntN(20), 14 + rng.IntN(30), 14 + rng.IntN(20), 14 + rng.IntN(30)}
		belts := [2]int{90 + rng.IntN(60), 90 + rng.IntN(60)}
		a, b := r2.Vec{}, r2.Vec{X: 40 + 50*rng.Float64(), Y: 20 * rng.Float64()}
		start := r2.Vec{X: 30, Y: 45}
		c1 := CentreForTeeth(pitch, min(z[0], z[1]), max(z[0], z[1]), belts[0])
		c2 := CentreForTeeth(pitch, min(z[2], z[3]), max(z[2], z[3]), belts[1])
		d := r2.Norm(b)
		if !c1.OK || !c2.OK || d >= c1.Value+c2.Value || d <= math.Abs(c1.Value-c2.Value) {
			continue
		}
		solved++
		loops := [2][]Circle{
			{circle(a.X, a.Y, radius(z[0])), circle(start.X, start.Y, radius(z[1]))},
			{circle(b.X, b.Y, radius(z[2])), circle(start.X, start.Y, radius(z[3]))},
		}
		moves := [2]Move{{On: []int{1, 1}, Along: r2.Vec{X: 1}}, {On: []int{1, 1}, Along: r2.Vec{Y: 1}}}
		got := SolveMoves(loops, moves, [2]float64{pitch * float64(belts[0]), pitch * float64(belts[1])}, nil)
		x := (d*d + c1.Value*c1.Value - c2.Value*c2.Value) / (2 * d)
		y := math.Sqrt(c1.Value*c1.Value - x*x)
		u := r2.Scale(1/d, b)
		if len(got) != 2 {
			t.Errorf("%v belts %v: %d solutions, want 2", z, belts, len(got))
			continue
		}
		for _, side := range []float64{-y, y} {
			want := r2.Sub(r2.Add(r2.Scale(x, u), r2.Scale(side, r2.Vec{X: -u.Y, Y: u.X})), start)
			if math.Hypot(got[0][0]-want.X, got[0][1]-want.Y) > 1e-6 && math.Hypot(got[1][0]-want.X, got[1][1]-want.Y) > 1e-6 {
				t.Errorf("%v belts %v: solutions %v lack %v", z, belts, got, want)
			}
		}
		if math.Hypot(got[0][0], got[0][1]) > math.Hypot(got[1][0], got[1][1]) {
			t.Errorf("solutions %v are not nearest first", got)
		}
	}
	if solved < 10 {
		t.Errorf("only %d layouts could close", solved)
	}
}

// TestTwoShaftsTwoBelts: two shafts of one belt, one of which has another belt
// too, each along its own line; every solution closes both belts.
func TestTwoShaftsTwoBelts(t *testing.T) {
	loops := [2][]Circle{
		{circle(0, 0, 8), circle(60, 0, 10), circle(30, 50, 9)},
		{circle(60, 0, 6), circle(110, 10, 12)},
	}
	moves := [2]Move{{On: []int{1, 0}, Along: r2.Vec{X: 1}}, {On: []int{2, mech.None}, Along: r2.Vec{Y: 1}}}
	lengths := [2]float64{235, 160}
	got := SolveMoves(loops, moves, lengths, nil)
	if len(got) == 0 {
		t.Fatal("no solution")
	}
	for _, travel := range got {
		var l Loop
		first := []Circle{loops[0][0], circle(60+travel[0], 0, 10), circle(30, 50+travel[1], 9)}
		second := []Circle{circle(60+travel[0], 0, 6), loops[1][1]}
		for b, circles := range [][]Circle{first, second} {
			if SolveLoop(&l, circles); math.Abs(l.Length-lengths[b]) > 1e-8 {
				t.Errorf("travel %v: belt %d is %g long, want %g", travel, b, l.Length, lengths[b])
			}
		}
	}
}

// TestPlaceIdler: a back-side idler that takes up the slack of a known belt,
// against the loop with it put there, and a belt too short for any.
func TestPlaceIdler(t *testing.T) {
	circles := []Circle{circle(0, 0, 12), circle(90, 0, 18)}
	var l Loop
	SolveLoop(&l, circles)
	length := l.Length + 4
	for _, side := range []bool{true, false} {
		travels, at := PlaceIdler(circles, 0, 6, side, length, nil)
		if len(travels) == 0 {
			t.Fatalf("back %v: no place", side)
		}
		with := []Circle{circles[0], {At: at[0], Radius: 6, Back: side}, circles[1]}
		if SolveLoop(&l, with); l.Status != LoopOK || math.Abs(l.Length-length) > 1e-8 {
			t.Errorf("back %v: %+v", side, l)
		}
	}
	if travels, _ := PlaceIdler(circles, 0, 6, true, length-8, nil); len(travels) != 0 {
		t.Errorf("a belt too short is closed at %v", travels)
	}
}

func TestLengthRange(t *testing.T) {
	circles := []Circle{circle(0, 0, 10), circle(50, 0, 10)}
	least, _ := LengthRange(circles, 1, r2.Vec{X: 1}, 200, func(at r2.Vec) bool { return r2.Norm(at) < 20 })
	if want := 40 + 20*math.Pi; !least.OK || least.Value < want || least.Value > want+0.5 {
		t.Errorf("least %+v, want %g", least, want)
	}
}

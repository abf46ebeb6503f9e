package solve

import (
	"encoding/binary"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// FuzzLoop lays pulleys anywhere: the outcome is a loop whose parts are finite
// and add up, the same listed the other way round, or a status with a finite
// clearance.
func FuzzLoop(f *testing.F) {
	f.Add([]byte{0, 0, 10, 0, 60, 0, 10, 0})
	f.Add([]byte{0, 0, 10, 0, 60, 0, 10, 0, 30, 246, 5, 1})
	f.Add([]byte{0, 0, 10, 0, 0, 0, 10, 0, 30, 246, 5, 1, 100, 100, 3, 0})
	f.Add([]byte{236, 236, 6, 0, 60, 60, 6, 0, 60, 236, 6, 0, 236, 60, 6, 1})
	f.Fuzz(func(t *testing.T, data []byte) {
		var circles []Circle
		for ; len(data) >= 4 && len(circles) < 12; data = data[4:] {
			circles = append(circles, Circle{
				At:     r2.Vec{X: float64(int8(data[0])), Y: float64(int8(data[1]))},
				Radius: float64(data[2]%64)/2 + 0.5,
				Back:   data[3]&1 == 1,
			})
		}
		if len(data) >= 3 && len(circles) > 0 { // off the grid, to stay clear of exact touches
			nudge := float64(binary.LittleEndian.Uint16(data)) / 65536
			for i := range circles {
				circles[i].At.X += nudge * math.Sin(float64(i))
				circles[i].At.Y += nudge * math.Cos(float64(3*i))
			}
		}
		var l Loop
		SolveLoop(&l, circles)
		if !isFinite(l.Length) || !isFinite(l.Clearance) {
			t.Fatalf("%+v: %+v", circles, l)
		}
		if l.Status != LoopOK {
			if l.Length != 0 {
				t.Fatalf("%+v: no loop of length %g", circles, l.Length)
			}
			return
		}
		checkLoopSum(t, circles, &l)
		other := slices.Clone(circles)
		slices.Reverse(other)
		var o Loop
		if SolveLoop(&o, other); o.Status != LoopOK || math.Abs(o.Length-l.Length) > 1e-6 {
			t.Fatalf("%+v: %g long, reversed %v %g", circles, l.Length, o.Status, o.Length)
		}
	})
}

func checkLoopSum(t *testing.T, circles []Circle, l *Loop) {
	t.Helper()
	turn, length := 0.0, 0.0
	for i, c := range circles {
		if !(l.Wraps[i] >= 0 && l.Wraps[i] < 2*math.Pi) || !(l.Spans[i] >= 0) {
			t.Fatalf("%+v: wraps %v spans %v", circles, l.Wraps, l.Spans)
		}
		sign := 1.0
		if c.Back {
			sign = -1
		}
		turn += sign * l.Wraps[i]
		length += l.Spans[i] + c.Radius*l.Wraps[i]
	}
	if math.Abs(turn-2*math.Pi) > 1e-5 || math.Abs(length-l.Length) > 1e-6 {
		t.Fatalf("%+v: turns %g, adds to %g of %g", circles, turn, length, l.Length)
	}
}

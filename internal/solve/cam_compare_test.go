package solve

import (
	"math"
	"testing"

	"understage/internal/mech"
)

// A cam cut with its mark 7° out and half a millimetre too large, measured every
// two degrees: both are taken out and nothing is left but the spline's error. A
// dent of 0.3 mm stays, at its place.
func TestCompareCams(t *testing.T) {
	for _, sense := range []float64{1, -1} {
		f := &mech.Follower{Kind: mech.Roller, Radius: 3}
		meant := mech.Cam{Name: "meant", Base: 20, Shape: camGentle(false), Follower: f}
		c := CompileCam(&meant, 0, sense)
		cutRim := func(dent float64) []mech.Point {
			rim := make([]mech.Point, 180)
			for i := range rim {
				gamma := float64(i) * 2 * camDeg
				at := camTraceAt(c, gamma-7*camDeg, sense) + 0.5
				at -= dent * math.Exp(-math.Pow((gamma-2)/0.1, 2))
				rim[i] = mech.Point{Angle: gamma, Value: at}
			}
			return rim
		}
		for _, dent := range []float64{0, 0.3} {
			cut := mech.Cam{Name: "cut", Shape: mech.Shape{Kind: mech.ShapeMeasured, Rim: cutRim(dent)}}
			m := &mech.Model{Cams: []mech.Cam{meant, cut}}
			k := &Machine{Model: m, Cams: []*Cam{c, CompileCam(&cut, 0, sense)}}
			r := CompareCams(k, 1, 0)
			if r.Status != CamSolved {
				t.Fatalf("status %v", r.Status)
			}
			if dent == 0 {
				// A radius half a millimetre larger is not quite the parallel curve.
				camNear(t, "rotation", r.Rotation, 7*camDeg, 5e-4)
				camNear(t, "height", r.Height, 0.5, 1e-3)
				if math.Abs(r.Worst.Value) > 2e-3 || r.Mean > 1e-3 {
					t.Errorf("left over: %v, rms %v", r.Worst.Value, r.Mean)
				}
				continue
			}
			if r.Worst.Value > -0.2 || r.Worst.Value < -0.35 {
				t.Errorf("the dent shows as %v", r.Worst.Value)
			}
			if off := math.Abs(r.Worst.Angle - (2 - 7*camDeg)); off > 0.15 {
				t.Errorf("the dent shows at %v", r.Worst.Angle)
			}
			// The cut cam in the other's place moves the follower as compared.
			swapped := CompileCam(&r.WithCut(k, 1, 0).Cams[0], 0, sense)
			at := r.Worst.Angle
			camNear(t, "height in place", swapped.height(at+r.Rotation)-c.height(at)-r.Height, r.Worst.Value, 1e-9)
		}
	}
}

// camTraceAt is the rim's radius at an angle from the mark.
func camTraceAt(c *Cam, gamma, sense float64) float64 {
	angle := func(phi float64) float64 {
		k := c.Contact(phi)
		a := -sense * math.Atan2(k.Rim.Y, k.Rim.X)
		return a + 2*math.Pi*math.Round((phi-a)/(2*math.Pi))
	}
	phi := camSwitch(gamma-1, gamma+1, func(p float64) bool { return angle(p) < gamma })
	k := c.Contact(phi)
	return math.Hypot(k.Rim.X, k.Rim.Y)
}

package solve

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// notFinite lists the exported numbers of a result that are NaN or infinite.
func notFinite(v reflect.Value, path string) (list []string) {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); f-f != 0 {
			list = append(list, path)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				list = append(list, notFinite(v.Field(i), path+"."+v.Type().Field(i).Name)...)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			list = append(list, notFinite(v.Index(i), fmt.Sprintf("%s[%d]", path, i))...)
		}
	}
	return list
}

// TestTorsoWild: whatever the lengths, ratios and places, a result has no NaN
// and no infinity.
func TestTorsoWild(t *testing.T) {
	for seed := range uint64(50) {
		r := rand.New(rand.NewPCG(seed, 500))
		c := torsoModel(pushPairs[r.IntN(len(pushPairs))])
		c.vary(r)
		if r.IntN(2) == 0 {
			c.jointed(r, 0)
		}
		tp := c.m.Torso
		lengths := []*float64{&tp.Pivot, &tp.ShaftDiameter, &tp.Guide.Depth, &tp.Guide.Pin.X, &tp.Guide.Pin.Y, &tp.Points[0].At.Z, &tp.Points[1].At.X, &tp.Stage.Thickness}
		for i := range tp.Pushes {
			p := &tp.Pushes[i]
			lengths = append(lengths, &p.Depth, &p.Ratio, &p.Plumb, &p.Crank.Radius, &p.PinDepth, &p.Length, &c.m.Shafts[1+i].At.X, &c.m.Shafts[1+i].At.Y, &c.m.Cams[i].Base)
		}
		for range 1 + r.IntN(3) {
			*lengths[r.IntN(len(lengths))] *= []float64{0, -1, 1e6, 1e-6, 10, 3}[r.IntN(6)]
		}
		switch r.IntN(8) {
		case 0:
			c.m.Shafts[1].At = r2.Vec{}
		case 1:
			tp.Points[0].At = r3.Vec{}
		case 2:
			tp.Pushes[0].Along, tp.Pushes[1].Along = r2.Vec{X: 1}, r2.Vec{X: -1}
		case 3:
			c.d.Ratios[1+r.IntN(2)] = Ratio{}
		case 4:
			c.d.Ratios[1], c.d.Ratios[2] = Ratio{math.MaxInt64 - 24, 9007199254740993}, Ratio{-9223372036854775783, 9007199254740881}
		case 5:
			c.m.Cams[0].Shaft, tp.Pushes[0].Crank.Shaft = 2, 2
		}
		tp.Mass, tp.CentreGiven = mech.Given{Value: 0.2, OK: true}, true
		c.cams = CompileCams(c.m, c.d)
		result := SolveTorso(c.m, c.torso(), r.IntN(4) == 0, 1)
		result.Torso = nil
		if list := notFinite(reflect.ValueOf(*result), ""); len(list) > 0 {
			t.Errorf("seed %d status %d: not finite: %v", seed, result.Status, list)
		}
	}
}

// TestTorsoScale: a figure ten times as large moves through the same angles.
func TestTorsoScale(t *testing.T) {
	for k, kinds := range pushPairs {
		c := torsoModel(kinds)
		c.vary(rand.New(rand.NewPCG(uint64(k), 600)))
		before := SolveTorso(c.m, c.torso(), false, 1)
		tp := c.m.Torso
		for i := range c.m.Shafts {
			c.m.Shafts[i].At = r2.Scale(10, c.m.Shafts[i].At)
		}
		for i := range c.m.Cams {
			cam := &c.m.Cams[i]
			cam.Base *= 10
			for j := range cam.Shape.Waves {
				cam.Shape.Waves[j].Amplitude *= 10
			}
			if cam.Follower != nil {
				cam.Follower.Radius *= 10
			}
		}
		for i := range tp.Pushes {
			p := &tp.Pushes[i]
			for _, v := range []*float64{&p.Depth, &p.Plumb, &p.PinDepth, &p.Length, &p.Crank.Radius} {
				*v *= 10
			}
		}
		for _, v := range []*float64{&tp.Pivot, &tp.ShaftDiameter, &tp.Guide.Depth, &tp.Stage.Thickness} {
			*v *= 10
		}
		tp.Guide.Pin = r2.Scale(10, tp.Guide.Pin)
		for i := range tp.Points {
			tp.Points[i].At = r3.Scale(10, tp.Points[i].At)
			tp.Points[i].Radius *= 10
		}
		c.cams = CompileCams(c.m, c.d)
		after := SolveTorso(c.m, c.torso(), false, 1)
		for _, v := range [][3]float64{
			{after.Lean.Max.Value, before.Lean.Max.Value, 1}, {after.Twist.Min.Value, before.Twist.Min.Value, 1},
			{after.Slot.Max.Value, before.Slot.Max.Value, 10}, {after.Points[1].X.Min.Value, before.Points[1].X.Min.Value, 10},
			{after.Points[1].Acceleration.Value, before.Points[1].Acceleration.Value, 10}, {after.Opening.Circle.Value, before.Opening.Circle.Value, 10},
			{after.Clearances[0].Gap.Value, before.Clearances[0].Gap.Value, 10}, {after.PushAngle.Value, before.PushAngle.Value, 1},
		} {
			if math.Abs(v[0]-v[2]*v[1]) > 1e-8*(1+math.Abs(v[0])) {
				t.Errorf("%v: %.12g, want %g times %.12g", kinds, v[0], v[2], v[1])
			}
		}
	}
}

package solve

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"understage/internal/mech"
)

// Whatever a spec may hold, a cam is solved or says why not, and no number of
// the result is NaN.
func TestCamsNeverNaN(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	number := func() float64 {
		switch r.IntN(6) {
		case 0:
			return 0
		case 1:
			return math.Exp(20 * (r.Float64() - 0.5))
		case 2:
			return -30 * r.Float64()
		}
		return 40 * r.Float64()
	}
	solved := 0
	for trial := range 250 {
		cam, sense := camRandom(r)
		f := *cam.Follower
		cam.Follower = &f
		for range 1 + r.IntN(3) {
			switch r.IntN(12) {
			case 0:
				cam.Base = number()
			case 1:
				f.Radius = math.Abs(number())
			case 2:
				f.Offset = number()
			case 3:
				f.Arm = math.Abs(number())
			case 4:
				f.Pivot = r2.Vec{X: number(), Y: number()}
			case 5:
				f.Face = number()
			case 6:
				f.Path = mech.FollowerPath(r.IntN(3))
				f.TrackRadius = math.Abs(number())
			case 7:
				f.Kind = mech.FollowerKind(r.IntN(3))
			case 8:
				cam.Shape.Eccentric = mech.Eccentric{DiscRadius: math.Abs(number()), Offset: number()}
			case 9:
				for i := range cam.Shape.Rim {
					cam.Shape.Rim[i].Value = math.Abs(number()) + 1e-9
				}
			case 10:
				for i := range cam.Shape.Points {
					cam.Shape.Points[i].Value = number()
				}
			case 11:
				for i := range cam.Shape.Waves {
					cam.Shape.Waves[i].Amplitude = number()
				}
			}
		}
		cam.Thickness = 5
		cam.Load = mech.CamLoad{Mass: camGiven(math.Abs(number()) / 1000), SpringRate: camGiven(math.Abs(number())), SpringPreload: camGiven(math.Abs(number())),
			GuideLength: camGiven(1 + math.Abs(number())), GuideOverhang: camGiven(math.Abs(number())), Material: "pla", FollowerMaterial: "steel", Vertical: r.IntN(2) == 0,
			WearRate: camGiven(1e-6), FollowerWearRate: camGiven(1e-6)}
		c := CompileCam(cam, 0, sense)
		result := AnalyseCam(c, 30*camDeg)
		result.Sizing = SizeCam(c, &result, 30*camDeg)
		result.Load = AnalyseCamLoad(c, math.Abs(number()))
		if c.Status == CamSolved {
			solved++
		}
		if where := camNaN(reflect.ValueOf(result), "result"); where != "" {
			t.Fatalf("trial %d: %s is NaN; %+v on %+v, status %v", trial, where, cam.Shape, f, c.Status)
		}
		for range 20 {
			phi := 40 * (r.Float64() - 0.5)
			if where := camNaN(reflect.ValueOf(c.Lift(phi)), "lift") + camNaN(reflect.ValueOf(c.Contact(phi)), "contact"); where != "" {
				t.Fatalf("trial %d: %s at %v is NaN; %+v on %+v, status %v", trial, where, phi, cam.Shape, f, c.Status)
			}
		}
	}
	if solved < 80 {
		t.Errorf("only %d cams could be solved: nothing was put to the test", solved)
	}
}

// camNaN returns where v holds a NaN, "" for nowhere.
func camNaN(v reflect.Value, where string) string {
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) {
			return where
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if bad := camNaN(v.Field(i), where+"."+v.Type().Field(i).Name); bad != "" {
				return bad
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if bad := camNaN(v.Index(i), where+"[]"); bad != "" {
				return bad
			}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return camNaN(v.Elem(), where)
		}
	}
	return ""
}

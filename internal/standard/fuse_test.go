package standard

import (
	"math"
	"testing"
)

// The rule of the reference: I_run/0.75 <= I_fuse <= I_stall/2.
func TestFindFuse(t *testing.T) {
	cases := []struct {
		running, fault, rating float64
		opens                  bool
	}{
		{0.15, 0.64, 0.2, true},
		{0.15, 0.40, 0.2, true},
		{0.15, 0.39, 0.2, false},
		{0.1501, 0.64, 0.25, true},
		{16, 100, 0, false},
	}
	for _, c := range cases {
		if rating, opens := FindFuse(c.running, c.fault); rating != c.rating || opens != c.opens {
			t.Errorf("fuse for %g A running, %g A stalled = %g A, opens %v; want %g A, %v", c.running, c.fault, rating, opens, c.rating, c.opens)
		}
	}
}

// R10: ten steps to a decade, each the tenth root of ten, rounded (ISO 3).
func TestFuseRatingsAreR10(t *testing.T) {
	for i, r := range FuseRatings {
		exact := 0.1 * math.Pow(10, float64(i-5)/10)
		if math.Abs(r/exact-1) > 0.02 {
			t.Errorf("rating %g is not the preferred number near %g", r, exact)
		}
	}
}

func TestFindWire(t *testing.T) {
	if w, ok := FindWire(3.01); !ok || w.Area != 0.75 {
		t.Errorf("cord for 3.01 A = %v, %v", w, ok)
	}
	if _, ok := FindWire(16.1); ok {
		t.Error("a cord for 16.1 A")
	}
}

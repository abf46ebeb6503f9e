package standard

import "testing"

// Figures as the sources print them, in data/friction.csv.
func TestFindFriction(t *testing.T) {
	cases := []struct {
		a, b            string
		sliding, static Span
	}{
		{"plastic", "steel", Span{0.18, 0.35, true}, Span{0.20, 0.45, true}},
		{"Steel", " plastic ", Span{0.18, 0.35, true}, Span{0.20, 0.45, true}},
		// three sources for one pair
		{"pom", "steel", Span{0.05, 0.22, true}, Span{0.1, 0.3, true}},
		{"pla", "birch", Span{0.62, 0.76, true}, Span{}},
		{"birch", "pla", Span{0.62, 0.76, true}, Span{}},
	}
	for _, c := range cases {
		f, ok := FindFriction(c.a, c.b)
		if !ok || f.Sliding != c.sliding || f.Static != c.static || len(f.Sources) == 0 {
			t.Errorf("%q on %q = %+v, %v; want sliding %v static %v", c.a, c.b, f, ok, c.sliding, c.static)
		}
	}
	if f, ok := FindFriction("birch", "petg"); ok {
		t.Errorf("a pair nobody measured gives %+v", f)
	}
}

// The pair that stands in for one not given must be in the table as stated.
func TestAssumedFriction(t *testing.T) {
	f, _ := FindFriction("plastic", "steel")
	if f.Sliding.High != AssumedFriction {
		t.Errorf("upper sliding coefficient of plastic on steel = %g, assumed %g", f.Sliding.High, AssumedFriction)
	}
}

func TestFrictionTableIsSound(t *testing.T) {
	for pair, f := range frictionTable() {
		for _, s := range []Span{f.Sliding, f.Static} {
			if s.Known && !(0 < s.Low && s.Low <= s.High && s.High < 1.2) {
				t.Errorf("%v: range %g to %g", pair, s.Low, s.High)
			}
		}
	}
}

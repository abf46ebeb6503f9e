package standard

import (
	"math"
	"testing"
)

// Values as their sources print them.
func TestMaterials(t *testing.T) {
	for _, c := range []struct {
		name              string
		modulus, strength float64
	}{
		{"PLA", 3500, 60}, {"printed PLA", 3500, 60}, {" pa6 ", 3400, 78}, // Materials Science-Poland 2025
		{"steel", 200000, 0}, // Boresi and Schmidt, ch. 17
	} {
		m, ok := FindMaterial(c.name)
		if !ok || m.Modulus != c.modulus || m.Strength != c.strength {
			t.Errorf("%s: %+v", c.name, m)
		}
	}
	for name, m := range materialTable() {
		if m.Source == "" || m.Modulus <= 0 || m.Poisson <= 0 || m.Poisson >= 0.5 || m.Strength < 0 {
			t.Errorf("%s: %+v", name, m)
		}
	}
}

func TestWearRates(t *testing.T) {
	for _, c := range []struct {
		material, partner string
		low, high         float64
	}{
		{"PLA", "brass", 1.0e-4, 4.4e-4},                                // Materials Science-Poland 2025, partner not named
		{"pom", "PA66", 2.6e-7 / math.Sqrt(10), 2.6e-7 * math.Sqrt(10)}, // one figure, as a decade about it
		{"waxed beech", "steel", 3.9e-7 / math.Sqrt(10), 3.9e-7 * math.Sqrt(10)},
		{"steel", "steel", 2.0e-3, 6.0e-3},
	} {
		w, ok := FindWear(c.material, c.partner)
		if !ok || math.Abs(w.Low/c.low-1) > 1e-12 || math.Abs(w.High/c.high-1) > 1e-12 {
			t.Errorf("%s on %s: %+v, want %g to %g", c.material, c.partner, w, c.low, c.high)
		}
	}
	// None was found for these, and none may be made up.
	for _, name := range []string{"PETG", "ABS", "plywood", "MDF", "birch", "beech", "aluminium"} {
		if w, ok := FindWear(name, "steel"); ok {
			t.Errorf("%s has a wear rate: %+v", name, w)
		}
	}
	for pair, w := range wearTable() {
		if w.Source == "" || !(w.Low > 0 && w.High > w.Low) {
			t.Errorf("%v: %+v", pair, w)
		}
	}
}

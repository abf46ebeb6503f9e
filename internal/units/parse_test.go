package units

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// closeTo allows for the two roundings of a conversion.
func closeTo(got, want float64) bool {
	return got == want || math.Abs(got-want) <= 4e-16*math.Abs(want)
}

func TestNoSpellingTwice(t *testing.T) {
	if len(clashes) > 0 {
		t.Errorf("spellings with two units: %q", clashes)
	}
}

// A unit written as the table has it is looked up as it is, which is right only
// if its normal form is the same.
func TestTableIsInNormalForm(t *testing.T) {
	for spelling := range table {
		if normal := normalUnit(spelling); normal != spelling {
			t.Errorf("%q stands in the table, and is looked up as %q", spelling, normal)
		}
	}
}

func TestEveryListedUnitParses(t *testing.T) {
	for d := Number; d < dimensionCount; d++ {
		for _, u := range d.Units() {
			if _, err := Parse("1 "+u, d, Defaults{}); err != nil {
				t.Errorf("%s lists %q: %v", d.Name(), u, err)
			}
		}
	}
}

// Conversion factors of NIST Special Publication 811 (2008), appendix B.8, with
// the seven digits printed there [digits from memory]; those that are exact
// there are marked so. Units of the model: mm, kg, N, N·mm, MPa.
func TestPublishedFactors(t *testing.T) {
	for _, c := range []struct {
		text   string
		dim    Dimension
		want   float64
		digits float64 // relative half unit of the last digit printed; 0: exact
	}{
		{"1 in", Length, 25.4, 0},                               // 2.54 E-02 m, exact
		{"1 kgf", Force, 9.80665, 0},                            // 9.80665 E+00, exact
		{"1 ozf", Force, 0.2780139, 2e-7},                       // 2.780139 E-01
		{"1 lbf", Force, 4.448222, 1.2e-7},                      // 4.448222 E+00
		{"1 oz", Mass, 0.02834952, 2e-7},                        // avoirdupois, 2.834952 E-02
		{"1 lb", Mass, 0.45359237, 0},                           // avoirdupois, 4.535924 E-01; exactly 0.45359237 kg
		{"1 kgf·m", Torque, 9806.65, 0},                         // 9.80665 E+00 N·m, exact
		{"1 ozf·in", Torque, 7.061552, 1e-7},                    // 7.061552 E-03 N·m
		{"1 lbf·in", Torque, 112.9848, 5e-7},                    // 1.129848 E-01 N·m
		{"1 psi", Pressure, 0.006894757, 1e-7},                  // 6.894757 E+03 Pa
		{"1 lbf/in", SpringRate, 0.1751268, 3e-7},               // 1.751268 E+02 N/m
		{"1 rpm", Speed, 0.1047198, 5e-7},                       // 1.047198 E-01 rad/s
		{"1 deg", Angle, 0.01745329, 3e-7},                      // 1.745329 E-02 rad
		{"1 turn", Angle, 6.283185, 1e-7},                       // revolution, 6.283185 E+00 rad
		{"1 in/s2", Acceleration, 25.4, 0},                      // 2.54 E-02 m/s², exact
		{"1 A·h", Capacity, 1, 0},                               // 3.6 E+03 C; the model keeps ampere hours
		{"16 ozf", Force, 16 * 0.27801385095378125, 0},          // lbf/16 by definition of the ounce
		{"1 lbf", Force, 0.45359237 * 9.80665, 0},               // pound times standard gravity
		{"1 ozf·in", Torque, 0.27801385095378125 * 25.4, 0},     // the same
		{"1 kg·cm", Torque, 98.0665, 0},                         // kilogram-force, as motor sheets mean it
		{"1 oz·in", Torque, 0.028349523125 * 9.80665 * 25.4, 0}, // ounce-force
	} {
		got, err := Parse(c.text, c.dim, Defaults{})
		if err != nil || math.Abs(got-c.want) > max(c.digits, 4e-16)*c.want {
			t.Errorf("%s = %.17g, %v, want %.17g", c.text, got, err, c.want)
		}
	}
}

func TestParse(t *testing.T) {
	inches := Defaults{Inches: true}
	for _, c := range []struct {
		text string
		dim  Dimension
		d    Defaults
		want float64
	}{
		{"6", Length, Defaults{}, 6},
		{"6", Length, inches, 152.4},
		{"6 mm", Length, inches, 6},
		{"0.25 in", Length, Defaults{}, 6.35},
		{"1/4 in", Length, Defaults{}, 6.35},
		{"1/4", Length, inches, 6.35},
		{"1 1/2 in", Length, Defaults{}, 38.1},
		{"1-1/2 in", Length, Defaults{}, 38.1},
		{"1   1/2in", Length, Defaults{}, 38.1},
		{"-1 1/2 in.", Length, Defaults{}, -38.1},
		{"−3/16 inch", Length, Defaults{}, -4.7625},
		{`1/4"`, Length, Defaults{}, 6.35},
		{"3⁄8 in", Length, Defaults{}, 9.525},
		{"6\u00a0mm", Length, Defaults{}, 6},
		{"  +6.5 cm ", Length, Defaults{}, 65},
		{".5", Length, Defaults{}, 0.5},
		{"5.", Length, Defaults{}, 5},
		{"1e3", Length, Defaults{}, 1000},
		{"1e3mm", Length, Defaults{}, 1000},
		{"2.5E-1 m", Length, Defaults{}, 250},
		{"0", Length, Defaults{}, 0},
		{"-0.0", Length, Defaults{}, 0},
		{"90", Angle, Defaults{}, math.Pi / 2},
		{"90 deg", Angle, Defaults{}, math.Pi / 2},
		{"90°", Angle, Defaults{}, math.Pi / 2},
		{"90 °", Angle, Defaults{}, math.Pi / 2},
		{"0.25 turn", Angle, Defaults{}, math.Pi / 2},
		{"1/3 turn", Angle, Defaults{}, 2 * math.Pi / 3},
		{"1 rad", Angle, Defaults{}, 1},
		{"23", Speed, Defaults{}, 23 * math.Pi / 30},
		{"23 rpm", Speed, Defaults{}, 23 * math.Pi / 30},
		{"1 turn/s", Speed, Defaults{}, 2 * math.Pi},
		{"2 rad/s", Speed, Defaults{}, 2},
		{"2 rad per s", AngularSpeed, Defaults{}, 2},
		{"30 rpm", AngularSpeed, Defaults{}, math.Pi},
		{"52 per min", Rate, Defaults{}, 52.0 / 60},
		{"52/min", Rate, Defaults{}, 52.0 / 60},
		{"52 per minute", Rate, Defaults{}, 52.0 / 60},
		{"2 Hz", Rate, Defaults{}, 2},
		{"2 per s", Rate, Defaults{}, 2},
		{"1.5", Time, Defaults{}, 1.5},
		{"2 min", Time, Defaults{}, 120},
		{"180", Mass, Defaults{}, 0.18},
		{"180 g", Mass, Defaults{}, 0.18},
		{"1.5 kg", Mass, Defaults{}, 1.5},
		{"2", Force, Defaults{}, 2},
		{"500 gf", Force, Defaults{}, 4.903325},
		{"0.5 N·m", Torque, Defaults{}, 500},
		{"0.5 Nm", Torque, Defaults{}, 500},
		{"0.5 N*m", Torque, Defaults{}, 500},
		{"0.5 N m", Torque, Defaults{}, 500},
		{"0.5 N.m", Torque, Defaults{}, 500},
		{"0.5 N⋅m", Torque, Defaults{}, 500},
		{"500 N·mm", Torque, Defaults{}, 500},
		{"500 mN·m", Torque, Defaults{}, 500},
		{"1.2 kg·cm", Torque, Defaults{}, 117.6798},
		{"1.2 kgf.cm", Torque, Defaults{}, 117.6798},
		{"1.2 kg-cm", Torque, Defaults{}, 117.6798},
		{"1.2 kg cm", Torque, Defaults{}, 117.6798},
		{"18 oz·in", Torque, Defaults{}, 18 * 0.27801385095378125 * 25.4},
		{"18 ozf-in", Torque, Defaults{}, 18 * 0.27801385095378125 * 25.4},
		{"6", Voltage, Defaults{}, 6},
		{"4.8V", Voltage, Defaults{}, 4.8},
		{"350 mV", Voltage, Defaults{}, 0.35},
		{"0.8", Current, Defaults{}, 0.8},
		{"350 mA", Current, Defaults{}, 0.35},
		{"0.3 N/mm", SpringRate, Defaults{}, 0.3},
		{"300 N/m", SpringRate, Defaults{}, 0.3},
		{"2e-7 mm3/(N·m)", WearRate, Defaults{}, 2e-7},
		{"2e-7 mm³/Nm", WearRate, Defaults{}, 2e-7},
		{"2e-16 m2/N", WearRate, Defaults{}, 2e-7},
		{"1 m/s²", Acceleration, Defaults{}, 1000},
		{"210 GPa", Pressure, Defaults{}, 210000},
		{"210000 N/mm²", Pressure, Defaults{}, 210000},
		{"3 g·cm²", Inertia, Defaults{}, 0.3},
		{"2200 mAh", Capacity, Defaults{}, 2.2},
		{"4.7 Ω", Resistance, Defaults{}, 4.7},
		{"2 W", Power, Defaults{}, 2},
		{"1 J", Energy, Defaults{}, 1000},
		{"0.15", Number, Defaults{}, 0.15},
		{"1/3", Number, Defaults{}, 1.0 / 3},
		{"15 %", Number, Defaults{}, 0.15},
	} {
		got, err := Parse(c.text, c.dim, c.d)
		if err != nil || !closeTo(got, c.want) || math.Signbit(got) && got == 0 {
			t.Errorf("Parse(%q, %s) = %.17g, %v, want %.17g", c.text, c.dim.Name(), got, err, c.want)
		}
	}
}

func TestParseErrors(t *testing.T) {
	const length = " (want a length: mm, cm, m, in)"
	for _, c := range []struct {
		text string
		dim  Dimension
		want string
	}{
		{"", Length, "found nothing" + length},
		{" \u00a0", Length, "found nothing" + length},
		{"8 mn", Length, `unknown unit "mn"` + length},
		{"8 MM", Length, `unknown unit "MM"` + length + "; did you mean mm?"},
		{"8 inchs", Length, `unknown unit "inchs"` + length + "; did you mean inch?"},
		{"350 MA", Current, `unknown unit "MA" (want a current: A, mA); did you mean mA?`},
		{"52 per mim", Rate, `unknown unit "per mim" (want a rate with its unit: per min, per s, Hz); did you mean per min?`},
		{"5 N·m", Length, "found a torque" + length},
		{"5 mm", Torque, "found a length (want a torque with its unit: N·m, N·mm, kg·cm, oz·in)"},
		{"0.5", Torque, "found a number without its unit (want a torque with its unit: N·m, N·mm, kg·cm, oz·in)"},
		{"52", Rate, "found a number without its unit (want a rate with its unit: per min, per s, Hz)"},
		{"52 rpm", Rate, "found a speed (want a rate with its unit: per min, per s, Hz); turns are not beats: write per min"},
		{"5 kg", Force, "found a mass (want a force: N, gf, kgf, ozf, lbf); the weight of that mass is written kgf"},
		{"5 mm", Number, "found a length (want a bare number)"},
		{"1/4", Length, "found a fraction without its unit" + length + "; write 1/4 in for inches"},
		{"1/4", Angle, "found a fraction without its unit (want an angle: deg, rad, turn); a fraction needs its unit"},
		{"1/0 in", Length, `"1/0 in" is not a number` + length + "; nothing can be divided by 0"},
		{"1,5", Length, `"1,5" is not a number` + length + "; write 1.5, with a point"},
		{"1,500", Length, `"1,500" is not a number` + length + "; write 1.500 or 1500, as you mean it"},
		{"1_000", Length, `"1_000" is not a number` + length + "; write 1000"},
		{"012", Length, `"012" is not a number` + length + "; write 12"},
		{"00", Length, `"00" is not a number` + length + "; write 0"},
		{"0o17", Length, `"0o17" is not a number` + length + "; write the number in decimal"},
		{"0x1F", Length, `"0x1F" is not a number` + length + "; write the number in decimal"},
		{"0b1", Length, `"0b1" is not a number` + length + "; write the number in decimal"},
		{"12:30", Length, `"12:30" is not a number` + length + "; write one number, not a clock time"},
		{"2024-05-01", Length, `"2024-05-01" is not a number` + length + "; this looks like a date"},
		{"1/2/2024", Length, `"1/2/2024" is not a number` + length + "; this looks like a date"},
		{".inf", Length, `".inf" is not a number` + length},
		{"NaN", Length, `"NaN" is not a number` + length},
		{".nan", Length, `".nan" is not a number` + length},
		{"-inf", Length, `"-inf" is not a number` + length},
		{"true", Length, `"true" is not a number` + length},
		{"~", Length, `"~" is not a number` + length},
		{"mm", Length, `"mm" is not a number` + length},
		{"--5", Length, `"--5" is not a number` + length},
		{"1.2.3", Length, `"1.2.3" is not a number` + length},
		{"1 2", Length, `"1 2" is not a number` + length},
		{"1e400", Length, `"1e400" is absurdly large` + length + "; the most is 1e+09 mm"},
		{"2e6 m", Length, `"2e6 m" is absurdly large` + length + "; the most is 1e+06 m"},
		{"1e-400 g", Mass, `"1e-400 g" is absurdly small (want ` + Mass.Want() + "); the least but for 0 is 1e-12 g"},
		{"5 \x1b[31m", Length, `unknown unit "\x1b[31m"` + length},
		{strings.Repeat("9", 500), Length, "a text of 500 characters is not a quantity" + length},
	} {
		_, err := Parse(c.text, c.dim, Defaults{})
		var e *Error
		if !errors.As(err, &e) || e.Error() != c.want {
			t.Errorf("Parse(%q, %s):\n got %v\nwant %s", c.text, c.dim.Name(), err, c.want)
		}
	}
}

func TestParseCount(t *testing.T) {
	for text, want := range map[string]int{"18": 18, "0": 0, " 125 ": 125, "1000000": 1000000} {
		if got, err := ParseCount(text); err != nil || got != want {
			t.Errorf("ParseCount(%q) = %d, %v, want %d", text, got, err, want)
		}
	}
	for text, want := range map[string]string{
		"31.5":     `found "31.5" (want a whole number)`,
		"3.0":      `found "3.0" (want a whole number)`,
		"1e2":      `found "1e2" (want a whole number)`,
		"1/2":      `found "1/2" (want a whole number)`,
		"-3":       `found "-3" (want a whole number)`,
		"012":      `"012" is not a number (want a whole number); write 12`,
		"18 teeth": `found "18 teeth" (want a whole number without a unit)`,
		"1000001":  `"1000001" is absurdly large (want a whole number); the most is 1000000`,
		"9e99":     `found "9e99" (want a whole number)`,
		"":         `found nothing (want a whole number)`,
		"~":        `"~" is not a number (want a whole number)`,
	} {
		if _, err := ParseCount(text); err == nil || err.Error() != want {
			t.Errorf("ParseCount(%q):\n got %v\nwant %s", text, err, want)
		}
	}
	if _, err := ParseCount(strings.Repeat("9", 5000)); err == nil {
		t.Error("5000 digits are a count")
	}
}

// What a script's rounding leaves of zero in a place or direction reads as 0.
func TestRestsOfRoundingAreZero(t *testing.T) {
	for _, test := range []struct {
		text string
		dim  Dimension
	}{
		{"6.123233995736766e-17", Length}, {"-1e-16 mm", Length}, {"1e-400", Length}, {"1e-20 deg", Angle}, {"-6.1e-17", Number},
	} {
		if v, err := Parse(test.text, test.dim, Defaults{}); err != nil || v != 0 || math.Signbit(v) {
			t.Errorf("%q: got %g, %v, want 0", test.text, v, err)
		}
	}
}

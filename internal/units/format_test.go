package units

import (
	"math"
	"testing"
)

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		value float64
		dim   Dimension
		d     Defaults
		want  string
	}{
		{6.35, Length, Defaults{}, "6.35 mm"},
		{6.35, Length, Defaults{Inches: true}, "0.25 in"},
		{math.Pi / 2, Angle, Defaults{}, "90 deg"},
		{23 * math.Pi / 30, Speed, Defaults{}, "23 rpm"},
		{52.0 / 60, Rate, Defaults{}, "52 per min"},
		{0.18, Mass, Defaults{}, "180 g"},
		{500, Torque, Defaults{}, "500 N·mm"},
		{0.1, Number, Defaults{}, "0.1"},
		{math.Copysign(0, -1), Length, Defaults{}, "0 mm"},
		{2e-7, WearRate, Defaults{}, "2e-07 mm3/(N·m)"},
		{1e8, Length, Defaults{}, "100000000 mm"},
		{math.NaN(), Length, Defaults{}, "-"},
		{math.Inf(1), Length, Defaults{}, "-"},
	} {
		if got := Format(c.value, c.dim, c.d); got != c.want {
			t.Errorf("Format(%v, %s) = %q, want %q", c.value, c.dim.Name(), got, c.want)
		}
	}
}

func TestFormatInch(t *testing.T) {
	for _, c := range []struct {
		mm     float64
		want   string
		excess float64
	}{
		{6.35, "1/4 in", 0},
		{38.1, "1 1/2 in", 0},
		{25.4, "1 in", 0},
		{0, "0 in", 0},
		{-4.7625, "-3/16 in", 0},
		{6.5, "1/4 in", -0.15},
		{0.4, "1/64 in", -0.003125}, // a 64th is 0.396875 mm
	} {
		got, excess := FormatInch(c.mm)
		if got != c.want || math.Abs(excess-c.excess) > 1e-12 {
			t.Errorf("FormatInch(%g) = %q, %g, want %q, %g", c.mm, got, excess, c.want, c.excess)
		}
	}
}

// FuzzQuantity: no text makes Parse panic, and what it accepts prints as text
// that reads back as the same value.
func FuzzQuantity(f *testing.F) {
	for i, text := range []string{
		"6", "1/4 in", "1 1/2 in", "−3/16\"", "0.25 turn", "52 per min", "1.2 kg·cm", "18 ozf-in",
		"2e-7 mm3/(N·m)", "350 mA", "1e3", "012", "12:30", "1,5", "", ".inf", "90°", "1/0", "9e8 mm",
	} {
		f.Add(text, uint(i), i%2 == 0)
	}
	f.Fuzz(func(t *testing.T, text string, which uint, inches bool) {
		dim, d := Dimension(which%dimensionCount), Defaults{Inches: inches}
		ParseCount(text)
		v, err := Parse(text, dim, d)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		if math.IsNaN(v) || math.Abs(v) > Largest || v != 0 && math.Abs(v) < Smallest {
			t.Fatalf("Parse(%q) = %g, out of bounds", text, v)
		}
		printed := Format(v, dim, d)
		back, err := Parse(printed, dim, d)
		if math.Abs(v) > Largest*(1-1e-15) || math.Abs(v) < Smallest*(1+1e-15) && v != 0 {
			return // on the bound itself a rounding may fall outside
		}
		if err != nil || !closeTo(back, v) {
			t.Fatalf("%q is %.17g, prints as %q and reads back as %.17g, %v", text, v, printed, back, err)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	texts := []string{"6", "1 1/2 in", "1.2 kg·cm", "0.25 turn"}
	dims := []Dimension{Length, Length, Torque, Angle}
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		if _, err := Parse(texts[i%4], dims[i%4], Defaults{}); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

package standard

import (
	"math"
	"slices"
	"strconv"
	"testing"
)

// TestBeltTablesParse: every row of the embedded tables says something.
func TestBeltTablesParse(t *testing.T) {
	keys := []string{"alias", "form", "pitch", "height", "tooth_height", "pitch_line", "back", "width", "least_teeth", "least_teeth_back", "tension", "mass"}
	standings := []string{string(Read), string(Derived), string(Disputed), string(Memory)}
	for i, row := range readRows(beltSectionsCSV) {
		if len(row) != 6 || !slices.Contains(keys, row[1]) || !slices.Contains(standings, row[4]) || row[5] == "" {
			t.Errorf("belt_sections.csv row %d: %q", i+2, row)
			continue
		}
		if row[1] == "alias" || row[1] == "form" {
			continue
		}
		if v, err := strconv.ParseFloat(row[3], 64); err != nil || v <= 0 {
			t.Errorf("belt_sections.csv row %d: value %q", i+2, row[3])
		}
		if (row[1] == "least_teeth" || row[1] == "tension" || row[1] == "mass") && row[2] == "" {
			t.Errorf("belt_sections.csv row %d: no place it holds at", i+2)
		}
	}
	for i, row := range readRows(beltLengthsCSV) {
		s, ok := FindSection(row[0])
		if !ok || !slices.Contains(standings, row[4]) || row[5] == "" {
			t.Errorf("belt_lengths.csv row %d: %q", i+2, row)
			continue
		}
		l, ok := s.FindLength(row[1])
		if !ok || strconv.Itoa(l.Teeth) != row[2] {
			t.Errorf("belt_lengths.csv row %d: code %s is found as %+v", i+2, row[1], l)
		}
	}
}

// TestBeltLengths: a belt's length is its teeth times the pitch, and the inch
// codes are tenths of an inch rounded to a whole one, a half down (IP-24: 123.75 is
// 124, 187.5 is 187).
func TestBeltLengths(t *testing.T) {
	for _, name := range SectionNames() {
		s, _ := FindSection(name)
		for i, l := range s.Lengths {
			if math.Abs(l.Length-float64(l.Teeth)*s.Pitch.Value) > 1e-6 {
				t.Errorf("%s: %d teeth are %g mm long, want %g", l.Code, l.Teeth, l.Length, float64(l.Teeth)*s.Pitch.Value)
			}
			if i > 0 && s.Lengths[i-1].Teeth >= l.Teeth {
				t.Errorf("%s: %s does not follow %s", name, l.Code, s.Lengths[i-1].Code)
			}
			if got, ok := s.FindTeeth(l.Teeth); !ok || got.Code != l.Code {
				t.Errorf("%s: %d teeth found as %+v", name, l.Teeth, got)
			}
			if name == "MXL" || name == "XL" || name == "L" || name == "H" {
				if want := strconv.Itoa(int(math.Ceil(l.Length/2.54-0.5-1e-6))) + name; l.Code != want {
					t.Errorf("%s is %g mm long, whose code is %s", l.Code, l.Length, want)
				}
			}
		}
	}
}

// TestSectionSums: the three layers of a section make its height; the pitch
// line lies a above a sprocket's tips, tooth height + a above the tooth tips.
func TestSectionSums(t *testing.T) {
	for _, name := range SectionNames() {
		s, _ := FindSection(name)
		if got := s.ToothHeight.Value + s.PitchLine.Value + s.Back.Value; math.Abs(got-s.Height.Value) > 0.0101 {
			t.Errorf("%s: tooth height + a + b = %g, height %g", name, got, s.Height.Value)
		}
		if len(s.LeastTeeth) > 0 {
			if _, ok := s.Least(1e6); !ok {
				t.Errorf("%s has no least sprocket at high speed", name)
			}
		}
	}
}

// TestBeltSystems checks against numbers printed elsewhere: pitch in inches
// (IP-24 via Machinery's Handbook), 124L = 33 teeth and 124MXL = 155 (the same
// code twice, IP-24), 300L = 30.000 in.
func TestBeltSystems(t *testing.T) {
	inches := map[string]float64{"MXL": 0.08, "XXL": 0.125, "XL": 0.2, "L": 0.375, "H": 0.5}
	for name, pitch := range inches {
		if s, ok := FindSection(name); !ok || math.Abs(s.Pitch.Value-25.4*pitch) > 1e-9 {
			t.Errorf("%s has pitch %g", name, s.Pitch.Value)
		}
	}
	for _, tt := range []struct {
		section, code string
		teeth         int
		length        float64
	}{
		{"L", "124", 33, 12.375 * 25.4}, {"MXL", "124", 155, 12.4 * 25.4}, {"L", "300L", 80, 30 * 25.4},
		{"MXL", "100", 125, 254}, {"XXL", "B40", 40, 127}, {"3M", "120", 40, 120}, {"5M", "300-5M", 60, 300},
		{"T5", "165", 33, 165}, {"t5", "T5/165", 33, 165}, {"H", "240", 48, 24 * 25.4},
	} {
		s, _ := FindSection(tt.section)
		l, ok := s.FindLength(tt.code)
		if !ok || l.Teeth != tt.teeth || math.Abs(l.Length-tt.length) > 1e-9 {
			t.Errorf("%s %s is %+v, want %d teeth", tt.section, tt.code, l, tt.teeth)
		}
	}
	for _, spelt := range []string{"mxl", "3M", "3 mm", "H3M", "2 mm", "t2.5", "T 10", "5 mm curvilinear"} {
		if _, ok := FindSection(spelt); !ok {
			t.Errorf("%q is not found", spelt)
		}
	}
	for _, unknown := range []string{"", "M", "MX", "X3", "7"} {
		if s, ok := FindSection(unknown); ok {
			t.Errorf("%q is found as %s", unknown, s.Name)
		}
	}
}

func TestNearestSection(t *testing.T) {
	for word, want := range map[string]string{"MXI": "MXL", "mxx": "MXL", "XLL": "XXL", "T6": "T5", "3MM": "3M", "XL1": "XL", "": "", "ribbon": "", "T2,5": "T2.5"} {
		if got := NearestSection(word); got != want {
			t.Errorf("%q: %q, want %q", word, got, want)
		}
	}
}

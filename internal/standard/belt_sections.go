package standard

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Standing is how far a published value can be leant on.
type Standing string

const (
	Read     Standing = "read"     // seen in the source named
	Derived  Standing = "derived"  // computed from values read
	Disputed Standing = "disputed" // sources disagree; Source says how
	Memory   Standing = "memory"   // remembered from the source named, not seen in it
)

// Firm reports whether the value was seen in a source that none contradicts.
func (s Standing) Firm() bool { return s == Read || s == Derived }

// Datum is one published number. OK is false where none is known.
type Datum struct {
	Value    float64
	Standing Standing
	Source   string
	OK       bool
}

// Section is one toothed belt system. Lengths are mm.
type Section struct {
	Name        string
	Aliases     []string // trade spellings that FindSection also takes
	Form        string   // "trapezoidal" or "curvilinear"
	Pitch       Datum
	Height      Datum // of the whole belt
	ToothHeight Datum
	PitchLine   Datum // a: from a sprocket's tooth tips out to the pitch line, radially
	Back        Datum // b: from the pitch line out to the belt's back
	Widths      []BeltWidth
	// LeastTeeth is the smallest recommended sprocket by speed, slowest first.
	LeastTeeth     []LeastTeeth
	LeastTeethBack Datum        // with a back-side idler, where it differs
	Tension        PerWidth     // N allowed in the belt working
	Mass           PerWidth     // kg/m
	Lengths        []BeltLength // standard lengths, shortest first; empty where no list is known
}

// BeltWidth is a standard width, mm, and its code; "" where the width is the code.
type BeltWidth struct {
	Code string
	Datum
}

// LeastTeeth is the smallest recommended sprocket up to a speed in rpm.
type LeastTeeth struct {
	UpTo float64
	Datum
}

// PerWidth is a figure that holds at a reference width, mm.
type PerWidth struct {
	Width float64
	Datum
}

// BeltLength is one standard belt.
type BeltLength struct {
	Code     string
	Teeth    int
	Length   float64 // mm along the pitch line
	Standing Standing
	Source   string
}

//go:embed data/belt_sections.csv
var beltSectionsCSV string

//go:embed data/belt_lengths.csv
var beltLengthsCSV string

// sections is the parsed table, built when first asked for.
var sections = sync.OnceValue(readSections)

// SectionNames returns the names of the belt systems, inch series first, by
// rising pitch within each.
func SectionNames() []string {
	var names []string
	for _, s := range sections() {
		names = append(names, s.Name)
	}
	return names
}

// FindSection returns the belt system of that name or trade spelling. Case,
// blanks and hyphens do not count: "mxl", "3 mm" and "t5" are found.
func FindSection(name string) (Section, bool) {
	all := sections()
	for i := range all {
		if all[i].Name == name { // as it is mostly written
			return all[i], true
		}
	}
	key := spelling(name)
	for _, s := range all {
		if spelling(s.Name) == key {
			return s, true
		}
		for _, alias := range s.Aliases {
			if spelling(alias) == key {
				return s, true
			}
		}
	}
	return Section{}, false
}

// spellingMarks takes out what does not count in a name.
var spellingMarks = strings.NewReplacer(" ", "", "-", "", "_", "")

// NearestSection returns the name of the belt system that was most likely meant,
// "" where none is near. The names are short, so one wrong letter is allowed in
// any of them.
func NearestSection(name string) string {
	key := spelling(name)
	best, least := "", 2
	for _, s := range sections() {
		if key == "" {
			break
		}
		if d := lettersApart(key, spelling(s.Name)); d < least {
			best, least = s.Name, d
		}
	}
	return best
}

// lettersApart returns how many letters differ between two words, counting one
// for each that one of them has more at its end or beginning.
func lettersApart(a, b string) int {
	if len(a) == len(b) {
		n := 0
		for i := range a {
			if a[i] != b[i] {
				n++
			}
		}
		return n
	}
	if len(a) > len(b) {
		a, b = b, a
	}
	if a != "" && (strings.HasPrefix(b, a) || strings.HasSuffix(b, a)) {
		return len(b) - len(a)
	}
	return len(a) + len(b)
}

func spelling(name string) string {
	return spellingMarks.Replace(strings.ToUpper(name))
}

// Least returns the smallest recommended sprocket at the given speed, rpm; the
// last row also stands for higher speeds.
func (s Section) Least(rpm float64) (Datum, bool) {
	for _, row := range s.LeastTeeth {
		if rpm <= row.UpTo {
			return row.Datum, true
		}
	}
	if len(s.LeastTeeth) == 0 {
		return Datum{}, false
	}
	return s.LeastTeeth[len(s.LeastTeeth)-1].Datum, true
}

// FindLength returns the standard belt of that code. The section's name in the
// code may be left out: "100" and "100MXL" name the same belt.
func (s Section) FindLength(code string) (BeltLength, bool) {
	for _, l := range s.Lengths {
		if l.Code == code { // as the table writes it
			return l, true
		}
	}
	key := bareCode(s, code)
	for _, l := range s.Lengths {
		if bareCode(s, l.Code) == key {
			return l, true
		}
	}
	return BeltLength{}, false
}

// FindTeeth returns the standard belt with that many teeth.
func (s Section) FindTeeth(teeth int) (BeltLength, bool) {
	i, ok := slices.BinarySearchFunc(s.Lengths, teeth, func(l BeltLength, t int) int { return l.Teeth - t })
	if !ok {
		return BeltLength{}, false
	}
	return s.Lengths[i], true
}

// bareCode drops the section's name from before or after a code.
func bareCode(s Section, code string) string {
	key, name := spelling(code), spelling(s.Name)
	if s.Name == "XXL" {
		name = "B" // the section letter of XXL codes
		key = strings.TrimSuffix(key, "XXL")
	}
	key = strings.Trim(strings.TrimSuffix(strings.TrimPrefix(key, name), name), "/")
	return key
}

// readSections parses the embedded tables. Their form is proved by the tests,
// so a row that does not parse is left out.
func readSections() []Section {
	var all []Section
	for _, row := range readRows(beltSectionsCSV) {
		if len(all) == 0 || all[len(all)-1].Name != row[0] {
			all = append(all, Section{Name: row[0]})
		}
		all[len(all)-1].read(row)
	}
	for _, row := range readRows(beltLengthsCSV) {
		i := slices.IndexFunc(all, func(s Section) bool { return s.Name == row[0] })
		teeth, err := strconv.Atoi(row[2])
		length, lengthErr := strconv.ParseFloat(row[3], 64)
		if i < 0 || err != nil || lengthErr != nil {
			continue
		}
		all[i].Lengths = append(all[i].Lengths, BeltLength{
			Code: row[1], Teeth: teeth, Length: length, Standing: Standing(row[4]), Source: row[5],
		})
	}
	return all
}

// readRows returns the rows under the heading.
func readRows(text string) [][]string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) == 0 {
		return nil
	}
	return rows[1:]
}

// read adds one row: section, key, at, value, standing, source.
func (s *Section) read(row []string) {
	key, at, text := row[1], row[2], row[3]
	d := Datum{Standing: Standing(row[4]), Source: row[5], OK: true}
	d.Value, _ = strconv.ParseFloat(text, 64)
	where, _ := strconv.ParseFloat(at, 64)
	switch key {
	case "alias":
		s.Aliases = append(s.Aliases, text)
	case "form":
		s.Form = text
	case "pitch":
		s.Pitch = d
	case "height":
		s.Height = d
	case "tooth_height":
		s.ToothHeight = d
	case "pitch_line":
		s.PitchLine = d
	case "back":
		s.Back = d
	case "width":
		s.Widths = append(s.Widths, BeltWidth{Code: at, Datum: d})
	case "least_teeth":
		s.LeastTeeth = append(s.LeastTeeth, LeastTeeth{UpTo: where, Datum: d})
	case "least_teeth_back":
		s.LeastTeethBack = d
	case "tension":
		s.Tension = PerWidth{Width: where, Datum: d}
	case "mass":
		s.Mass = PerWidth{Width: where, Datum: d}
	}
}

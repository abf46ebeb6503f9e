package standard

import (
	_ "embed"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"sync"
)

// Material is what is published of a material's stiffness. A field that is 0 was
// not found.
type Material struct {
	Name     string
	Modulus  float64 // MPa, Young's
	Poisson  float64
	Strength float64 // MPa, tensile yield
	Source   string
}

// Wear is the published range of a material's specific wear rate against a
// partner, mm³/(N·m), as V = k·F·s without Archard's 3.
type Wear struct {
	Low, High float64
	Condition string
	Source    string
}

// WearBand widens a single published figure to a decade, half of it each way:
// the same polymer moves by five to ten times with partner, roughness and load,
// so that one figure is never a range.
var WearBand = math.Sqrt(10)

// AssumedPoisson stands in where only a modulus is known; it moves a contact
// pressure by a few per cent at most.
const AssumedPoisson = 0.35

// WearDepth is the depth in mm at which a part counts as worn out unless the
// maker says otherwise. Common practice: a layer of a print.
const WearDepth = 0.2

//go:embed data/materials.csv
var materialsCSV string

//go:embed data/wear.csv
var wearCSV string

var materialTable = sync.OnceValue(func() map[string]Material {
	table := map[string]Material{}
	for _, row := range embeddedRows("data/materials.csv", materialsCSV) {
		table[row[0]] = Material{
			Name: row[0], Modulus: embeddedNumber(row[1]), Poisson: embeddedNumber(row[2]),
			Strength: embeddedNumber(row[3]), Source: row[4],
		}
	}
	return table
})

var wearTable = sync.OnceValue(func() map[[2]string]Wear {
	table := map[[2]string]Wear{}
	for _, row := range embeddedRows("data/wear.csv", wearCSV) {
		w := Wear{Low: embeddedNumber(row[2]), High: embeddedNumber(row[3]), Condition: row[4], Source: row[5]}
		if w.Low == w.High {
			w.Low, w.High = w.Low/WearBand, w.High*WearBand
			w.Condition += "; widened to a decade"
		}
		table[[2]string{row[0], row[1]}] = w
	}
	return table
})

// embeddedRows reads one of the package's own tables, without its header.
func embeddedRows(name, text string) [][]string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic("standard: " + name + ": " + err.Error())
	}
	return rows[1:]
}

// embeddedNumber reads a cell of the package's own tables; an empty one is 0.
func embeddedNumber(cell string) float64 {
	if cell == "" {
		return 0
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		panic("standard: not a number: " + cell)
	}
	return v
}

// materialKey is the name a table lists a material by. A printed part is of the
// material it is printed in.
func materialKey(name string) string {
	name = strings.ToLower(strings.Join(strings.Fields(name), " "))
	return strings.TrimPrefix(name, "printed ")
}

// FindMaterial returns what is published of a material.
func FindMaterial(name string) (Material, bool) {
	m, ok := materialTable()[materialKey(name)]
	return m, ok
}

// FindWear returns the published wear rates of a material on a partner, or on a
// partner that the source does not name. There is none for PETG, ABS, plywood,
// MDF, birch, plain beech or aluminium, and none is guessed.
func FindWear(material, partner string) (Wear, bool) {
	table := wearTable()
	for _, other := range []string{materialKey(partner), AnyMaterial} {
		if w, ok := table[[2]string{materialKey(material), other}]; ok {
			return w, true
		}
	}
	return Wear{}, false
}

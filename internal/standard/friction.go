package standard

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Friction is the published range of a pair's friction coefficients. The
// spread is real: it covers finish, load and grease of the set-ups measured.
type Friction struct {
	Sliding, Static Span
	Sources         []string
}

// Span is a published range; Known is false where nothing was found.
type Span struct {
	Low, High float64
	Known     bool
}

// AnyMaterial stands for the partner where a source does not name it.
const AnyMaterial = "any"

// AssumedFriction stands in for a coefficient that the maker gives neither as
// a number nor as a pair of materials: the upper sliding coefficient of plastic
// on dry steel in the drive engineering guide, Table 7.21. Whoever uses it says
// so in a finding.
const AssumedFriction = 0.35

// AssumedBreakaway is static over sliding friction where the former is not
// known: the largest quotient in the drive engineering guide, Table 7.21 (wood
// on wood 0.75/0.50, steel on steel 0.12/0.08).
const AssumedBreakaway = 1.5

//go:embed data/friction.csv
var frictionCSV string

type frictionPair struct{ a, b string }

var frictionTable = sync.OnceValue(func() map[frictionPair]Friction {
	rows, err := csv.NewReader(strings.NewReader(frictionCSV)).ReadAll()
	if err != nil {
		panic("standard: data/friction.csv: " + err.Error())
	}
	table := map[frictionPair]Friction{}
	for _, row := range rows[1:] {
		pair := frictionKey(row[1], row[2])
		f := table[pair]
		span := &f.Sliding
		if row[0] == "static" {
			span = &f.Static
		}
		low, errLow := strconv.ParseFloat(row[3], 64)
		high, errHigh := strconv.ParseFloat(row[4], 64)
		if errLow != nil || errHigh != nil {
			panic("standard: data/friction.csv: not a number in " + strings.Join(row, ","))
		}
		if !span.Known {
			*span = Span{low, high, true}
		}
		span.Low, span.High = min(span.Low, low), max(span.High, high)
		if !slices.Contains(f.Sources, row[6]) {
			f.Sources = append(f.Sources, row[6])
		}
		table[pair] = f
	}
	return table
})

func frictionKey(a, b string) frictionPair {
	a, b = strings.ToLower(strings.TrimSpace(a)), strings.ToLower(strings.TrimSpace(b))
	if b < a {
		a, b = b, a
	}
	return frictionPair{a, b}
}

// FindFriction returns the published coefficients of a pair of materials, in
// either order, or those of one of them against a partner that the source does
// not name.
func FindFriction(a, b string) (Friction, bool) {
	table := frictionTable()
	for _, pair := range []frictionPair{frictionKey(a, b), frictionKey(a, AnyMaterial), frictionKey(b, AnyMaterial)} {
		if f, ok := table[pair]; ok {
			return f, true
		}
	}
	return Friction{}, false
}

// FrictionMaterials returns every material that the friction table names, in
// alphabetical order.
func FrictionMaterials() []string {
	var names []string
	for pair := range frictionTable() {
		names = append(names, pair.a, pair.b)
	}
	slices.Sort(names)
	names = slices.Compact(names)
	return slices.DeleteFunc(names, func(s string) bool { return s == AnyMaterial })
}

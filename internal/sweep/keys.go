package sweep

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"understage/internal/diag"
)

// Cell is one answer of a row.
type Cell struct {
	Kind   CellKind
	Number float64
	Text   string
}

// CellKind says what a cell holds.
type CellKind int

const (
	Nothing CellKind = iota // null: unknown or not there
	Number
	Text
)

// Key finds one answer in a report by its JSON path, such as
// torso.tilt_deg.max or belts.loop.take_up_mm. An element of a list goes by its
// name, or by its place counted from 0.
type Key struct {
	Path  string
	steps []step
}

// step is one step of a path, with the way it went in the example: a long run
// takes the same way in every report and need not look for it again.
type step struct {
	word string
	// in is the type of the struct that the field is of, which bears the word or,
	// in a list's element, has it as a name. It is the list's own type where its
	// elements have no names, and nil where the way must be looked for again.
	in    reflect.Type
	field []int // place of the field, through embedded structs
	at    int   // place of the element
}

// ParseKey splits a path and tries it on a report of the same figure, so that a
// wrong word is found before the run. The error names the nearest known word.
func ParseKey(path string, example any) (Key, error) {
	k := Key{Path: path}
	at := reflect.ValueOf(example)
	for i, word := range strings.Split(path, ".") {
		next, taken, ok := descend(at, word)
		if !ok {
			where := strings.Join(strings.Split(path, ".")[:i], ".")
			if where == "" {
				where = "the report"
			}
			known := words(at)
			hint := ""
			if near := diag.Near(word, known); near != "" {
				hint = fmt.Sprintf(" (did you mean %q?)", near)
			} else if len(known) > 0 {
				hint = "; it has " + strings.Join(known, ", ")
			}
			return Key{}, fmt.Errorf("key %s: %s has no %q%s", path, where, word, hint)
		}
		k.steps = append(k.steps, taken)
		at = next
	}
	if at = open(at); at.IsValid() && (at.Kind() == reflect.Struct || at.Kind() == reflect.Slice || at.Kind() == reflect.Array || at.Kind() == reflect.Map) {
		return Key{}, fmt.Errorf("key %s: holds several values: want one of %s", path, strings.Join(words(at), ", "))
	}
	return k, nil
}

// Find returns the answer at the key; Nothing where the report has none.
func (k *Key) Find(report any) Cell {
	at := reflect.ValueOf(report)
	for i := range k.steps {
		next, ok := k.steps[i].again(open(at))
		if !ok {
			return Cell{}
		}
		at = next
	}
	return cellOf(open(at))
}

// again takes the step in another report.
func (s *step) again(v reflect.Value) (reflect.Value, bool) {
	if next, ok := s.sameWay(v); ok {
		return next, true
	}
	next, _, ok := descend(v, s.word)
	return next, ok
}

// sameWay goes the way of the example, if that leads to the same word.
func (s *step) sameWay(v reflect.Value) (reflect.Value, bool) {
	switch {
	case s.in == nil || !v.IsValid():
		return v, false
	case v.Kind() == reflect.Struct && v.Type() == s.in:
		return fieldAt(v, s.field)
	case v.Kind() != reflect.Slice || s.at >= v.Len():
		return v, false
	case v.Type() == s.in:
		return v.Index(s.at), true
	}
	element := open(v.Index(s.at))
	if !element.IsValid() || element.Type() != s.in {
		return v, false
	}
	name, ok := fieldAt(element, s.field)
	return element, ok && name.String() == s.word
}

// fieldAt follows the places of a field through embedded structs; not ok at a
// nil.
func fieldAt(v reflect.Value, places []int) (reflect.Value, bool) {
	for i, place := range places {
		if i > 0 {
			if v = open(v); !v.IsValid() {
				return v, false
			}
		}
		v = v.Field(place)
	}
	return v, true
}

func cellOf(v reflect.Value) Cell {
	if !v.IsValid() {
		return Cell{}
	}
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); !math.IsNaN(f) && !math.IsInf(f, 0) {
			return Cell{Kind: Number, Number: f}
		}
		return Cell{}
	case reflect.Int, reflect.Int64:
		return Cell{Kind: Number, Number: float64(v.Int())}
	case reflect.String:
		return Cell{Kind: Text, Text: v.String()}
	case reflect.Bool:
		return Cell{Kind: Text, Text: strconv.FormatBool(v.Bool())}
	}
	return Cell{}
}

// open follows pointers and interfaces; the result is invalid at a nil.
func open(v reflect.Value) reflect.Value {
	for v.IsValid() && (v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface) {
		v = v.Elem()
	}
	return v
}

// descend takes one step of a path and says which way it went.
func descend(v reflect.Value, word string) (reflect.Value, step, bool) {
	v = open(v)
	taken := step{word: word}
	if !v.IsValid() {
		return v, taken, false
	}
	switch v.Kind() {
	case reflect.Struct:
		at, places, ok := field(v, word)
		taken.in, taken.field = v.Type(), places
		return at, taken, ok
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			element := open(v.Index(i))
			if name, places, ok := field(element, "name"); ok && name.Kind() == reflect.String && name.String() == word {
				taken.in, taken.field, taken.at = element.Type(), places, i
				return v.Index(i), taken, true
			}
		}
		if i, err := strconv.Atoi(word); err == nil && i >= 0 && i < v.Len() {
			if _, _, named := field(open(v.Index(i)), "name"); !named {
				taken.in, taken.at = v.Type(), i
			}
			return v.Index(i), taken, true
		}
	case reflect.Map:
		if next := v.MapIndex(reflect.ValueOf(word)); next.IsValid() {
			return next, taken, true
		}
	}
	return v, taken, false
}

// field finds a struct's field by its JSON name, in embedded structs too, and
// says at which place of each struct.
func field(v reflect.Value, name string) (reflect.Value, []int, bool) {
	if v.Kind() != reflect.Struct {
		return v, nil, false
	}
	t := v.Type()
	for i := range t.NumField() {
		if t.Field(i).Anonymous {
			if inner, places, ok := field(open(v.Field(i)), name); ok {
				return inner, append([]int{i}, places...), true
			}
			continue
		}
		if jsonName(t.Field(i)) == name {
			return v.Field(i), []int{i}, true
		}
	}
	return v, nil, false
}

func jsonName(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	return name
}

// words lists the steps that lead on from v.
func words(v reflect.Value) []string {
	v = open(v)
	var out []string
	if !v.IsValid() {
		return nil
	}
	switch v.Kind() {
	case reflect.Struct:
		t := v.Type()
		for i := range t.NumField() {
			if t.Field(i).Anonymous {
				out = append(out, words(v.Field(i))...)
			} else if name := jsonName(t.Field(i)); name != "" {
				out = append(out, name)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if name, _, ok := field(open(v.Index(i)), "name"); ok && name.Kind() == reflect.String {
				out = append(out, name.String())
			} else {
				out = append(out, strconv.Itoa(i))
			}
		}
	case reflect.Map:
		for _, key := range v.MapKeys() {
			out = append(out, key.String())
		}
		slices.Sort(out)
	}
	return out
}

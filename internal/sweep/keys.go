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
	steps []string
}

// ParseKey splits a path and tries it on a report of the same figure, so that a
// wrong word is found before the run. The error names the nearest known word.
func ParseKey(path string, example any) (Key, error) {
	k := Key{Path: path, steps: strings.Split(path, ".")}
	at := reflect.ValueOf(example)
	for i, step := range k.steps {
		next, ok := descend(at, step)
		if !ok {
			where := strings.Join(k.steps[:i], ".")
			if where == "" {
				where = "the report"
			}
			known := words(at)
			hint := ""
			if near := diag.Near(step, known); near != "" {
				hint = fmt.Sprintf(" (did you mean %q?)", near)
			} else if len(known) > 0 {
				hint = "; it has " + strings.Join(known, ", ")
			}
			return Key{}, fmt.Errorf("key %s: %s has no %q%s", path, where, step, hint)
		}
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
	for _, step := range k.steps {
		next, ok := descend(at, step)
		if !ok {
			return Cell{}
		}
		at = next
	}
	return cellOf(open(at))
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

// descend takes one step of a path.
func descend(v reflect.Value, step string) (reflect.Value, bool) {
	v = open(v)
	if !v.IsValid() {
		return v, false
	}
	switch v.Kind() {
	case reflect.Struct:
		return field(v, step)
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if name, ok := field(open(v.Index(i)), "name"); ok && name.Kind() == reflect.String && name.String() == step {
				return v.Index(i), true
			}
		}
		if i, err := strconv.Atoi(step); err == nil && i >= 0 && i < v.Len() {
			return v.Index(i), true
		}
	case reflect.Map:
		if next := v.MapIndex(reflect.ValueOf(step)); next.IsValid() {
			return next, true
		}
	}
	return v, false
}

// field finds a struct's field by its JSON name, in embedded structs too.
func field(v reflect.Value, name string) (reflect.Value, bool) {
	if v.Kind() != reflect.Struct {
		return v, false
	}
	t := v.Type()
	for i := range t.NumField() {
		if t.Field(i).Anonymous {
			if inner, ok := field(open(v.Field(i)), name); ok {
				return inner, true
			}
			continue
		}
		if jsonName(t.Field(i)) == name {
			return v.Field(i), true
		}
	}
	return v, false
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
			if name, ok := field(open(v.Index(i)), "name"); ok && name.Kind() == reflect.String {
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

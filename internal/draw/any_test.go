package draw

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"understage/internal/check"
	"understage/internal/solve"
	"understage/internal/spec"
)

// paths lists every key of a figure's text, by its indentation and, within flow
// mappings, by name.
func paths(text string) []string {
	var out, stack []string
	var depths []int
	for _, line := range strings.Split(text, "\n") {
		line, _, _ = strings.Cut(line, "#")
		trimmed := strings.TrimSpace(line)
		key, rest, ok := strings.Cut(trimmed, ":")
		if !ok || strings.HasPrefix(trimmed, "-") || strings.HasPrefix(trimmed, "{") {
			continue
		}
		depth := len(line) - len(strings.TrimLeft(line, " "))
		for len(depths) > 0 && depths[len(depths)-1] >= depth {
			depths, stack = depths[:len(depths)-1], stack[:len(stack)-1]
		}
		depths, stack = append(depths, depth), append(stack, key)
		path := strings.Join(stack, ".")
		out = append(out, path)
		for _, part := range strings.FieldsFunc(rest, func(r rune) bool { return r == '{' || r == ',' || r == '}' }) {
			if inner, _, ok := strings.Cut(strings.TrimSpace(part), ":"); ok && inner != "" && !strings.ContainsAny(inner, "[] ") {
				out = append(out, path+"."+inner)
			}
		}
	}
	return out
}

// With one key left out, or made tiny or huge, a figure is refused
// when it is read, or is laid out, judged and drawn without a panic and without a
// number that is none.
func TestAnyFigure(t *testing.T) {
	const every = 12 // of the sound ones is drawn: drawing takes longest
	sound := 0
	for _, name := range []string{"watchman", "baker", "tinker"} {
		f, _ := spec.FindFigure(name)
		for i, path := range paths(string(f.Text)) {
			value := []string{"~", "0.01", "900"}[i%3]
			if i%2 == 1 { // every other key is enough for the time it takes
				continue
			}
			if name == "watchman" { // the costliest: a key in six, and left out
				value = "~"
				if i%6 != 0 {
					continue
				}
			}
			s, msgs := spec.Load(spec.Source{Name: name, Text: f.Text}, []string{path + "=" + value}, nil)
			if len(msgs) > 0 {
				continue
			}
			solution := solve.Solve(s.Model)
			check.Findings(s.Model, solution)
			wholeNumbers(t, name+" "+path+"="+value, reflect.ValueOf(solution.Frame))
			if sound++; sound%every != 0 && path != "drive.shafts.main.diameter" {
				continue
			}
			if _, err := Files(s.Model, solution); err != nil {
				t.Errorf("%s %s=%s: %v", name, path, value, err)
			}
		}
	}
	if sound < 25 {
		t.Errorf("only %d figures were sound", sound)
	}
}

// wholeNumbers looks for NaN and infinities in exported fields.
func wholeNumbers(t *testing.T, where string, v reflect.Value) {
	t.Helper()
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) && !strings.Contains(where, ".Apart") {
			t.Errorf("%s is %g", where, f)
		}
	case reflect.Slice:
		for i := range v.Len() {
			wholeNumbers(t, where+"[]", v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				wholeNumbers(t, where+"."+f.Name, v.Field(i))
			}
		}
	}
}

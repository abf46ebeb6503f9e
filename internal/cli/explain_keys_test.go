package cli

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"understage/internal/report"
	"understage/internal/standard"
)

// Every number that a report prints under a JSON key can be asked of explain.
func TestExplainKnowsEveryKeyOfTheReport(t *testing.T) {
	seen := map[reflect.Type]bool{}
	var walk func(path string, of reflect.Type)
	walk = func(path string, of reflect.Type) {
		switch of.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
			walk(path, of.Elem())
			return
		case reflect.Struct:
		default:
			return
		}
		if seen[of] {
			return
		}
		seen[of] = true
		for i := range of.NumField() {
			field := of.Field(i)
			key, _, _ := strings.Cut(field.Tag.Get("json"), ",")
			if key == "-" || !field.IsExported() {
				continue
			}
			if key == "" {
				walk(path, field.Type)
				continue
			}
			walk(path+"."+key, field.Type)
			if _, _, err := findExplained(key); err == nil {
				continue
			}
			if _, ok := standard.FindKey(key); !ok {
				t.Errorf("%s: nothing explains it", strings.TrimPrefix(path+"."+key, "."))
			}
		}
	}
	walk("", reflect.TypeFor[report.Report]())
}

func TestExplainListsAllAsJSON(t *testing.T) {
	var out, messages bytes.Buffer
	if status := Main([]string{"explain", "--json"}, strings.NewReader(""), &out, &messages); status != statusDone {
		t.Fatalf("status %d, %s", status, messages.String())
	}
	var got allExplainedJSON
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Rules) != len(standard.Rules()) || len(got.Quantities) != len(standard.Quantities()) || len(got.Keys) != len(standard.Keys()) {
		t.Errorf("%d rules, %d quantities, %d keys", len(got.Rules), len(got.Quantities), len(got.Keys))
	}
}

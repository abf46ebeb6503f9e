package sweep

import (
	"math/big"
	"slices"
	"strings"
	"testing"
)

func TestParseAxisValues(t *testing.T) {
	tests := []struct {
		text string
		want []string
	}{
		{"a=18, 20,22", []string{"18", "20", "22"}},
		{"a=cycloidal, 3-4-5", []string{"cycloidal", "3-4-5"}},
		{"a=0..1 by 0.1", []string{"0", "0.1", "0.2", "0.3", "0.4", "0.5", "0.6", "0.7", "0.8", "0.9", "1"}},
		{"a=14..15 by 0.5 mm", []string{"14 mm", "14.5 mm", "15 mm"}},
		{"a=4 V..5 V by 0.5 V", []string{"4 V", "4.5 V", "5 V"}},
		{"a=1/4..1/2 by 1/8 in", []string{"0.25 in", "0.375 in", "0.5 in"}},
		{"a=1 1/2..2 by 1/4 in", []string{"1.5 in", "1.75 in", "2 in"}},
		{"a=0..1 by 1/3", []string{"0", "1/3", "2/3", "1"}},
		{"a=2..0 by -1", []string{"2", "1", "0"}},
		{"a=0..1 by 0.4", []string{"0", "0.4", "0.8"}},
		{"a=-10..10 by 10 deg", []string{"-10 deg", "0 deg", "10 deg"}},
		{"a=3..3 by 1", []string{"3"}},
		{"a=1e-3..2e-3 by 1e-3", []string{"0.001", "0.002"}},
		{"a=[0, 1], [2, 3]", []string{"[0, 1]", "[2, 3]"}},
		{"a={circle: 20}, {circle: 22}", []string{"{circle: 20}", "{circle: 22}"}},
	}
	for _, test := range tests {
		axis, err := ParseAxis(test.text)
		if err != nil {
			t.Errorf("%s: %v", test.text, err)
			continue
		}
		var got []string
		for i := range axis.Len() {
			got = append(got, axis.Value(i))
		}
		if axis.Path != "a" || !slices.Equal(got, test.want) {
			t.Errorf("%s: got %s = %q, want %q", test.text, axis.Path, got, test.want)
		}
	}
}

// The values of a range are the same with and without big numbers.
func TestGridOfDecimals(t *testing.T) {
	for _, text := range []string{
		"-1..1 by 0.125", "1..-1 by -0.125", "0..100 by 10", "-100..100 by 50 mm", "0.05..0.07 by 0.001 mm",
		"16..18 by 0.00005", "0.999..1.001 by 0.0005", "-0.02..0 by 0.01", "1/4..1/2 by 1/16 in", "1e3..5e3 by 1e3",
		"123456789012345.5..123456789012346.5 by 0.25",
	} {
		a := axes(t, "a="+text)[0]
		if a.grid == nil {
			t.Errorf("%s: taken for no decimals", text)
		}
		for i := range a.Len() {
			value := new(big.Rat).SetInt64(int64(i))
			want := a.text(value.Mul(value, a.step).Add(value, a.Low))
			if got := a.Value(i); got != want {
				t.Errorf("%s: value %d is %q, want %q", text, i, got, want)
			}
		}
	}
	for _, text := range []string{"0..1 by 1/3", "0..1e18 by 9e17", "0..0.0000000000000003 by 0.0000000000000001"} {
		if a := axes(t, "a="+text)[0]; a.grid != nil {
			t.Errorf("%s: taken for decimals", text)
		}
	}
}

func BenchmarkAxisValue(b *testing.B) {
	a, _ := ParseAxis("cams.sway.base=16..18 by 0.0001 mm")
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.Value(i % a.Len())
	}
}

func TestParseAxisRefuses(t *testing.T) {
	tests := []struct{ text, want string }{
		{"a", "want PATH=VALUES"},
		{"=3", "want PATH=VALUES"},
		{"a=", "want PATH=VALUES"},
		{"a=1..2 by 0", "never ends"},
		{"a=1..2 by -1", "never ends"},
		{"a=2..1 by 1", "never ends"},
		{"a=2..1", "does not go up"},
		{"a=1 mm..2 in by 1 mm", "mixes mm and in"},
		{"a=0..1 by 1e-9", "1000000001 values"},
		{"a=x..2 by 1", "want a number"},
		{"a=1..2 by 1e-999999999", "want a number"},
		{"a=1,,2", "is empty"},
		{"a=[1, 2", "brackets"},
	}
	for _, test := range tests {
		_, err := ParseAxis(test.text)
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: got %v, want an error with %q", test.text, err, test.want)
		}
	}
}

func axes(t *testing.T, texts ...string) []Axis {
	t.Helper()
	var out []Axis
	for _, text := range texts {
		a, err := ParseAxis(text)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, a)
	}
	return out
}

func rowsOf(p *Plan, from, to int) [][]string {
	var out [][]string
	for i := from; i < to; i++ {
		values := make([]string, len(p.Axes))
		p.Values(i, values)
		out = append(out, values)
	}
	return out
}

func TestGridCrossesWithTheLastAxisFastest(t *testing.T) {
	p, err := NewGrid(axes(t, "a=1,2", "b=x,y,z"))
	if err != nil {
		t.Fatal(err)
	}
	want := "[[1 x] [1 y] [1 z] [2 x] [2 y] [2 z]]"
	if got := rowsOf(p, 0, p.Rows); p.Rows != 6 || sprint(got) != want {
		t.Errorf("got %d rows %v, want %s", p.Rows, got, want)
	}
}

func TestGridTooLargeSaysTheCount(t *testing.T) {
	wide := "=1..1000 by 1"
	_, err := NewGrid(axes(t, "a"+wide, "b"+wide, "c"+wide, "d"+wide))
	if err == nil || !strings.Contains(err.Error(), "1000000000000 rows") || !strings.Contains(err.Error(), "--sample") {
		t.Errorf("got %v, want the count and a word on --sample", err)
	}
}

func TestPairsStepTogether(t *testing.T) {
	p, err := NewPairs(axes(t, "a=1,2", "b=x,y"))
	if err != nil {
		t.Fatal(err)
	}
	if got := rowsOf(p, 0, p.Rows); sprint(got) != "[[1 x] [2 y]]" {
		t.Errorf("got %v", got)
	}
	if _, err := NewPairs(axes(t, "a=1,2", "b=x")); err == nil {
		t.Error("lists of different length pair without an error")
	}
}

// The defining property of a Latin hypercube (McKay, Beckman and Conover,
// Technometrics 21, 1979): of n draws exactly one falls in each of the n equal
// strata of every axis.
func TestSampleFillsEveryStratumOnce(t *testing.T) {
	const n = 97
	p, err := NewSample(axes(t, "a=2..5 mm", "b=-1..1"), n, 7)
	if err != nil {
		t.Fatal(err)
	}
	for k, a := range p.Axes {
		hit := make([]bool, n)
		for _, values := range rowsOf(p, 0, n) {
			number, unit, err := splitQuantity(values[k])
			if err != nil || unit != a.Unit {
				t.Fatalf("value %q: %v, unit %q", values[k], err, unit)
			}
			at := new(big.Rat).Sub(number, a.Low)
			at.Quo(at, new(big.Rat).Sub(a.High, a.Low))
			f, _ := at.Float64()
			stratum := int(f * n)
			if stratum < 0 || stratum >= n || hit[stratum] {
				t.Fatalf("axis %d: stratum %d out of range or hit twice", k, stratum)
			}
			hit[stratum] = true
		}
	}
	again, _ := NewSample(axes(t, "a=2..5 mm", "b=-1..1"), n, 7)
	if sprint(rowsOf(p, 0, n)) != sprint(rowsOf(again, 0, n)) {
		t.Error("equal seeds give different draws")
	}
	other, _ := NewSample(axes(t, "a=2..5 mm", "b=-1..1"), n, 8)
	if sprint(rowsOf(p, 0, n)) == sprint(rowsOf(other, 0, n)) {
		t.Error("different seeds give equal draws")
	}
}

func TestPartsMakeUpTheWhole(t *testing.T) {
	for _, rows := range []int{1, 7, 64, 1000003} {
		p := &Plan{Rows: rows}
		for n := 1; n <= 13; n++ {
			next := 0
			for k := 1; k <= n; k++ {
				from, to := p.Part(k, n)
				if from != next || to < from {
					t.Fatalf("%d rows, part %d/%d: %d to %d, want from %d", rows, k, n, from, to, next)
				}
				next = to
			}
			if next != rows {
				t.Fatalf("%d rows in %d parts end at %d", rows, n, next)
			}
		}
	}
}

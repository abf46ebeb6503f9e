package sweep

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"testing"
	"time"
)

func sprint(v any) string { return fmt.Sprint(v) }

// squares answers with the square of the first value, slower for some rows, so
// that workers finish out of order.
func squares(values []string, cells []Cell) string {
	n, err := strconv.Atoi(values[0])
	if err != nil {
		return "not a number"
	}
	if n%37 == 0 {
		time.Sleep(100 * time.Microsecond)
	}
	cells[0] = Cell{Kind: Number, Number: float64(n * n)}
	return ""
}

func TestRunKeepsOrderWhateverTheWorkers(t *testing.T) {
	plan, err := NewGrid(axes(t, "a=0..999 by 1"))
	if err != nil {
		t.Fatal(err)
	}
	for _, workers := range []int{1, 2, 5} {
		answers := make([]Answer, workers)
		for i := range answers {
			answers[i] = squares
		}
		next := 3
		err := Run(context.Background(), plan, 1, 3, 998, 1, answers, func(r *Row) error {
			if r.Index != next || r.Cells[0].Number != float64(next*next) {
				return fmt.Errorf("row %d with %v, want row %d", r.Index, r.Cells, next)
			}
			next++
			return nil
		})
		if err != nil || next != 998 {
			t.Errorf("%d workers: %v, ended before row %d", workers, err, next)
		}
	}
}

func TestRunEndsWithEmitsError(t *testing.T) {
	plan, _ := NewGrid(axes(t, "a=0..999 by 1"))
	full := errors.New("disk full")
	err := Run(context.Background(), plan, 1, 0, plan.Rows, 1, []Answer{squares, squares}, func(r *Row) error {
		if r.Index == 100 {
			return full
		}
		return nil
	})
	if !errors.Is(err, full) {
		t.Errorf("got %v, want emit's error", err)
	}
}

func TestRunEndsWithTheContext(t *testing.T) {
	plan, _ := NewGrid(axes(t, "a=0..999999 by 2"))
	ctx, cancel := context.WithCancel(context.Background())
	next := 0
	err := Run(ctx, plan, 1, 0, plan.Rows, 1, []Answer{squares, squares}, func(r *Row) error {
		if r.Index != next {
			t.Errorf("row %d, want %d", r.Index, next)
		}
		if next++; next == 500 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || next < 500 || next > 500+chunkRows {
		t.Errorf("got %v after %d rows", err, next)
	}
}

type fakeReport struct {
	Name string   `json:"name"`
	Tilt *fakeMax `json:"tilt_deg"`
	None *fakeMax `json:"none"`
	List []fakeIt `json:"list"`
	Embedded
}

type Embedded struct {
	Deep int `json:"deep"`
}

type fakeMax struct {
	Max float64 `json:"max"`
}

type fakeIt struct {
	Name string  `json:"name"`
	Size float64 `json:"size_mm"`
}

func TestKeysFindAnswers(t *testing.T) {
	r := &fakeReport{Name: "n", Tilt: &fakeMax{3}, List: []fakeIt{{"one", 1}, {"two", 2}}, Embedded: Embedded{9}}
	tests := []struct {
		path string
		want Cell
	}{
		{"name", Cell{Kind: Text, Text: "n"}},
		{"tilt_deg.max", Cell{Kind: Number, Number: 3}},
		{"list.two.size_mm", Cell{Kind: Number, Number: 2}},
		{"list.0.size_mm", Cell{Kind: Number, Number: 1}},
		{"deep", Cell{Kind: Number, Number: 9}},
	}
	for _, test := range tests {
		key, err := ParseKey(test.path, r)
		if err != nil {
			t.Errorf("%s: %v", test.path, err)
			continue
		}
		if got := key.Find(r); got != test.want {
			t.Errorf("%s: got %v, want %v", test.path, got, test.want)
		}
		if got := key.Find(&fakeReport{}); test.path == "tilt_deg.max" && got.Kind != Nothing {
			t.Errorf("%s of an empty report: got %v, want nothing", test.path, got)
		}
	}
	// Found in one report, a key is found in others, whose lists may be in another
	// order or shorter.
	key, err := ParseKey("list.two.size_mm", r)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		list []fakeIt
		want Cell
	}{
		{[]fakeIt{{"one", 1}, {"two", 5}}, Cell{Kind: Number, Number: 5}},
		{[]fakeIt{{"two", 6}, {"one", 1}}, Cell{Kind: Number, Number: 6}},
		{[]fakeIt{{"two", 7}}, Cell{Kind: Number, Number: 7}},
		{[]fakeIt{{"one", 1}}, Cell{}},
	} {
		if got := key.Find(&fakeReport{List: test.list}); got != test.want {
			t.Errorf("%v: got %v, want %v", test.list, got, test.want)
		}
	}
	for _, path := range []string{"tilt_deg", "tilt_degs.max", "list.three.size_mm", "list.2", "", "name.max"} {
		if _, err := ParseKey(path, r); err == nil {
			t.Errorf("%q is taken for a key", path)
		}
	}
}

func TestFiltersConvertUnits(t *testing.T) {
	r := &fakeReport{Name: "n", Tilt: &fakeMax{5}}
	for _, test := range []struct {
		text string
		keep bool
	}{
		{"tilt_deg.max < 6 deg", true},
		{"tilt_deg.max < 0.01 turn", false}, // 3.6 deg
		{"tilt_deg.max >= 5", true},
		{"tilt_deg.max != 5", false},
		{"name == n", true},
		{"name != n", false},
	} {
		path, op, value, err := SplitFilter(test.text)
		if err != nil {
			t.Fatal(err)
		}
		key, err := ParseKey(path, r)
		if err != nil {
			t.Fatal(err)
		}
		f, err := NewFilter(0, key, op, value)
		if err != nil {
			t.Fatal(err)
		}
		if got := f.Keep([]Cell{key.Find(r)}); got != test.keep {
			t.Errorf("%s: keep %v, want %v", test.text, got, test.keep)
		}
	}
	for _, text := range []string{"tilt_deg.max", "< 3", "tilt_deg.max <"} {
		if _, _, _, err := SplitFilter(text); err == nil {
			t.Errorf("%q is taken for a filter", text)
		}
	}
	key, _ := ParseKey("tilt_deg.max", r)
	if _, err := NewFilter(0, key, "<", "6 mm"); err == nil {
		t.Error("a length is compared with an angle")
	}
}

// Brute force over all pairs is the definition of the non-dominated set.
func TestFrontMatchesItsDefinition(t *testing.T) {
	goals := []Goal{{Column: 0}, {Column: 1, Most: true}}
	f := Front{Goals: goals}
	var all []Row
	seed := uint32(1)
	for i := range 400 {
		seed = seed*1664525 + 1013904223
		x := float64(seed >> 28)
		seed = seed*1664525 + 1013904223
		y := float64(seed >> 28)
		all = append(all, Row{Index: i, Cells: []Cell{{Kind: Number, Number: x}, {Kind: Number, Number: y}}})
		f.Add(&all[i])
	}
	var want []int
	for i := range all {
		beatenBy := false
		for j := range all {
			a, b := all[j].Cells, all[i].Cells
			if a[0].Number <= b[0].Number && a[1].Number >= b[1].Number && (a[0].Number < b[0].Number || a[1].Number > b[1].Number) {
				beatenBy = true
			}
		}
		if !beatenBy {
			want = append(want, i)
		}
	}
	var got []int
	for _, r := range f.Rows {
		got = append(got, r.Index)
	}
	if sprint(got) != sprint(want) {
		t.Errorf("got rows %v, want %v", got, want)
	}
}

func TestBestKeepsTheLeast(t *testing.T) {
	b := Best{Goal: Goal{Column: 0}, Most: 3}
	for i := range 1000 {
		b.Add(&Row{Index: i, Cells: []Cell{{Kind: Number, Number: float64((i * 7919) % 1000)}}})
	}
	b.Add(&Row{Index: 1000, Cells: []Cell{{}}})
	for i, r := range b.Rows() {
		if r.Cells[0].Number != float64(i) {
			t.Errorf("place %d: got %v", i, r.Cells[0].Number)
		}
	}
}

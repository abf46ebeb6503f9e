package report

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"understage/internal/check"
	"understage/internal/mech"
)

func TestTableWraps(t *testing.T) {
	table := Table{
		Title:   "SHAFTS",
		Columns: []Column{{Head: "shaft"}, {Head: "rpm", Right: true}, {Head: "note"}},
		Rows:    [][]string{{"main", "12.5", "short"}, {"größe", "3", "a note that goes on for longer than the table is wide"}},
		Notes:   []string{"a sentence under the table that is broken as well"},
	}
	want := `SHAFTS
  shaft   rpm  note
  main   12.5  short
  größe     3  a note that goes on
               for longer than the
               table is wide
  a sentence under the table that
  is broken as well
`
	var b strings.Builder
	if err := table.Write(&b, 34); err != nil {
		t.Fatal(err)
	}
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

// Where columns do not fit they come in blocks; what each row is stands whole in
// every block.
func TestTableKeepsRowLabels(t *testing.T) {
	table := Table{
		Columns: []Column{{Head: ""}, {Head: "harbour.yaml:sway", Right: true}, {Head: "quay.yaml:sway", Right: true}},
		Rows:    [][]string{{"peak velocity mm/s", "6.14", "5.27*"}},
	}
	want := `                      harbour.yaml:sway
  peak velocity mm/s               6.14

                      quay.yaml:sway
  peak velocity mm/s           5.27*
`
	var b strings.Builder
	if err := table.Write(&b, 44); err != nil {
		t.Fatal(err)
	}
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

func TestValueIsFiniteOrNull(t *testing.T) {
	tests := []struct {
		value Value
		want  string
	}{
		{Value(math.NaN()), "null"},
		{Value(math.Inf(1)), "null"},
		{Value(math.Inf(-1)), "null"},
		{Value(math.Copysign(0, -1)), "0"},
		{Value(math.Pi), "3.14159265359"},
		{Value(0.1 + 0.2), "0.3"},
		{1e300, "1e+300"},
		{-25.4, "-25.4"},
	}
	for _, test := range tests {
		got, err := json.Marshal(test.value)
		if err != nil || string(got) != test.want {
			t.Errorf("%v: got %s, %v, want %s", float64(test.value), got, err, test.want)
		}
	}
}

func TestFixed(t *testing.T) {
	for _, test := range []struct {
		value    float64
		decimals int
		want     string
	}{
		{-0.001, 2, "0.00"},
		{-0.005001, 2, "-0.01"},
		{math.NaN(), 1, "-"},
		{math.Inf(1), 1, "-"},
		{12.345, 1, "12.3"},
		{-3, 0, "-3"},
	} {
		if got := fixed(test.value, test.decimals); got != test.want {
			t.Errorf("%v to %d: got %q, want %q", test.value, test.decimals, got, test.want)
		}
	}
}

func TestUnitsFollowTheSpec(t *testing.T) {
	mm, in := Units{mech.Millimetre}, Units{mech.Inch}
	if got := mm.Length(25.4) + mm.LengthName(); got != "25.40mm" {
		t.Errorf("got %s", got)
	}
	if got := in.Length(25.4) + in.LengthName(); got != "1.000in" {
		t.Errorf("got %s", got)
	}
}

func findingsForTest() []check.Finding {
	return []check.Finding{
		{Rule: "near_repeat", Severity: check.OK, Where: "drive", Message: "fine"},
		{Rule: "slot", Severity: check.Caution, Where: "torso.guide", Message: "make the slot 3 mm longer"},
		{Rule: "opening", Severity: check.Fail, Where: "torso.stage", Value: mech.Given{Value: 21, OK: true},
			Limit: mech.Given{Value: 20, OK: true}, Unit: "mm", Message: "open the stage to 22 mm, or tilt the shaft less, so that it does not knock on the edge"},
		{Rule: "torque_margin", Severity: check.Unknown, Where: "motor", Message: "give masses"},
	}
}

func TestFindingsWorstFirst(t *testing.T) {
	want := `Findings
  FAIL     torso.stage: opening: open the stage to 22 mm, or tilt the
           shaft less, so that it does not knock on the edge
  caution  torso.guide: slot: make the slot 3 mm longer
  unknown  motor: torque_margin: give masses
  ok       drive: near_repeat
`
	var b strings.Builder
	writeFindings(&b, Findings(findingsForTest()), Style{Width: 72})
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
	b.Reset()
	writeFindings(&b, Findings(findingsForTest()), Style{Width: 72, Color: true})
	if !strings.Contains(b.String(), "\x1b[31mFAIL\x1b[0m     torso.stage") {
		t.Errorf("no color: %q", b.String())
	}
}

func TestVerdict(t *testing.T) {
	all := Findings(findingsForTest())
	for _, test := range []struct {
		findings []Finding
		want     string
	}{
		{all, "1 fail, 1 caution, 1 unknown: not yet ready to print"},
		{all[1:2], "1 caution: nothing fails; weigh the cautions before printing"},
		{all[3:], "1 unknown: nothing fails that the spec lets us judge"},
		{all[:1], "all ok: ready to print"},
	} {
		if got := Verdict(test.findings); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}

func TestReportTextKeepsItsWidth(t *testing.T) {
	r := &Report{Figure: "Harbour watchman", Findings: Findings(findingsForTest()), Cautions: cautions[:]}
	var b strings.Builder
	if err := r.WriteText(&b, Style{Width: 80}); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(b.String()) {
		if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 80 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	if !strings.HasPrefix(b.String(), "HARBOUR WATCHMAN\n1 fail, 1 caution, 1 unknown: not yet ready to print\n") {
		t.Errorf("does not lead with the verdict:\n%s", b.String())
	}
}

// A table that cannot fit goes on in a second block led by the first column.
func TestWideTableComesInBlocks(t *testing.T) {
	table := Table{
		Columns: []Column{{Head: "cam"}, {Head: "follower"}, {Head: "lift", Right: true}, {Head: "accel.", Right: true}},
		Rows:    [][]string{{"sway", "swinging roller", "10.01", "123.4"}, {"a wordy name", "straight flat", "9.50", "7.5"}},
		Notes:   []string{"told once"},
	}
	want := `  cam        follower     lift
  sway       swinging …  10.01
  a wordy …  straight …   9.50

  cam           accel.
  sway           123.4
  a wordy name     7.5
  told once
`
	var b strings.Builder
	if err := table.Write(&b, 30); err != nil {
		t.Fatal(err)
	}
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

// A rule that holds for several pairs of one part is named once.
func TestFineByPartNamesARuleOnce(t *testing.T) {
	got := fineByPart([]Finding{
		{Severity: "ok", Where: "linkages.arm", Rule: "clearance"},
		{Severity: "ok", Where: "beats", Rule: "beats"},
		{Severity: "ok", Where: "linkages.arm", Rule: "clearance"},
		{Severity: "ok", Where: "linkages.arm", Rule: "grashof"},
	})
	if want := "linkages.arm: clearance, grashof; beats: beats"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

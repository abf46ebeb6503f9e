package spec

import (
	"errors"
	"io/fs"
	"math"
	"strconv"
	"strings"
	"testing"

	"understage/internal/mech"
)

// withFile loads a spec that names one file, whose text is given.
func withFile(spec, text string) (*Spec, []string, *mech.Model) {
	s, msgs := Load(Source{Name: "f.yaml", Text: []byte(spec)}, nil, func(name string) ([]byte, error) {
		if name == "none.csv" {
			return nil, &fs.PathError{Op: "open", Path: "/somewhere/none.csv", Err: fs.ErrNotExist}
		}
		if name == "odd.csv" {
			return nil, errors.New("the disk is gone")
		}
		return []byte(text), nil
	})
	var lines []string
	for _, m := range msgs {
		lines = append(lines, strings.Join([]string{m.Pos.File, strconv.Itoa(m.Pos.Line), strconv.Itoa(m.Pos.Col), m.Text}, ":"))
	}
	if s == nil {
		return nil, lines, nil
	}
	return s, lines, s.Model
}

func rimSpec(name string) string {
	return "understage: 1\nunits: in\ncams:\n  c:\n    measured: {file: " + name + "}\n    follower: {kind: knife, heading: 0}\n"
}

func TestRimFile(t *testing.T) {
	_, msgs, m := withFile(rimSpec("rim.csv"), "\ufeff# by hand\r\nRadius , angle\r\n1,0\r\n1.5 in, 90\r\n\r\n30 mm,0.5 turn\r\n\"1 1/4\",270 deg\r\n")
	if len(msgs) > 0 || len(m.Cams[0].Shape.Rim) != 4 {
		t.Fatal(msgs, m)
	}
	for i, want := range []mech.Point{{Angle: 0, Value: 25.4}, {Angle: math.Pi / 2, Value: 38.1}, {Angle: math.Pi, Value: 30}, {Angle: 3 * math.Pi / 2, Value: 31.75}} {
		got := m.Cams[0].Shape.Rim[i]
		if math.Abs(got.Angle-want.Angle) > 1e-14 || math.Abs(got.Value-want.Value) > 1e-14 { // two roundings
			t.Errorf("row %d: %v, want %v", i, got, want)
		}
	}
}

func TestBadRimFile(t *testing.T) {
	const even = "angle,radius\n0,1\n60,1\n120,1\n180,1\n240,1\n300,1\n"
	for _, c := range []struct{ name, file, text, want string }{
		{"no file", "none.csv", "", `f.yaml:5:22:cannot read "none.csv": file does not exist`},
		{"no disk", "odd.csv", "", `f.yaml:5:22:cannot read "odd.csv": the disk is gone`},
		{"empty", "rim.csv", "", `f.yaml:5:22:"rim.csv" is empty`},
		{"no rows", "rim.csv", "angle,radius\n", `f.yaml:5:22:found 0 rows in "rim.csv"`},
		{"no header", "rim.csv", "0,1\n60,1\n", `rim.csv:1:1:a header without angle`},
		{"half a header", "rim.csv", "angle,r\n60,1\n", `rim.csv:1:1:a header without radius`},
		{"unknown column", "rim.csv", "angle,radius,größe,x\n60,1,1\n", `rim.csv:1:14:an unknown column "größe"`},
		{"empty cell", "rim.csv", "angle,radius\n0,1\n60,\n", "rim.csv:3:4:found nothing"},
		{"short row", "rim.csv", "angle,radius\n0,1\n60\n", "rim.csv:3:1:found nothing"},
		{"wrong dimension", "rim.csv", "angle,radius\n0,1\n60,1 deg\n", "rim.csv:3:4:found an angle"},
		{"not a number", "rim.csv", "angle,radius\n0,1\n  x,1\n", `rim.csv:3:3:"x" is not a number`},
		{"no radius", "rim.csv", "angle,radius\n0,1\n60,0\n", `rim.csv:3:4:found "0"`},
		{"twice", "rim.csv", "angle,radius\n0,1\n60,1\n60,1\n", "rim.csv:4:1:the same angle as the one before"},
		{"backwards", "rim.csv", "angle,radius\n0,1\n60,1\n50,1\n", "rim.csv:4:1:an angle below the one before"},
		{"a turn", "rim.csv", even + "360,1\n", `rim.csv:8:1:found "360"`},
		{"quote", "rim.csv", "angle,radius\n0,1\n\"60,1\n", "rim.csv:3:1:a row that is not CSV"},
		{"gap", "rim.csv", strings.Replace(even, "120,1\n", "", 1), "rim.csv:3:1:a gap of 120 deg after this row: nothing between 60 deg and 180 deg"},
		{"gap at the end", "rim.csv", strings.Replace(even, "300,1\n", "", 1), "rim.csv:6:1:a gap of 120 deg after this row: nothing between 240 deg and 0 deg"},
		{"half a turn", "rim.csv", "angle,radius\n0,1\n90,1\n180,1\n", "rim.csv:4:1:a gap of 180 deg"},
		{"binary", "rim.csv", "angle,radius\n0,\x00\n", "rim.csv:2:3:a control character U+0000"},
		{"not UTF-8", "rim.csv", "angle,radius\n0,\xff\n", "rim.csv:2:3:a byte 0xff"},
	} {
		s, msgs, _ := withFile(rimSpec(c.file), c.text)
		if s != nil || len(msgs) == 0 || !strings.HasPrefix(msgs[0], c.want) {
			t.Errorf("%s: %v, want %s", c.name, msgs, c.want)
		}
	}
	uneven := "angle,radius\n0,1\n1,1\n2,1\n4,1\n10,1\n40,1\n75,1\n110,1\n160,1\n215,1\n270,1\n320,1\n350,1\n"
	if _, msgs, _ := withFile(rimSpec("rim.csv"), uneven); len(msgs) > 0 {
		t.Errorf("uneven steps are no gaps: %v", msgs)
	}
	if _, msgs := Load(Source{Text: []byte(rimSpec("rim.csv"))}, nil, nil); len(msgs) != 1 {
		t.Errorf("no reader: %v", msgs)
	}
}

func TestStockFile(t *testing.T) {
	const spec = "understage: 1\nstock: {file: drawer.csv}\n"
	_, msgs, m := withFile(spec, "kind,pitch,code,count,note,teeth\nbelt,MXL,80,2,,\nbelt,xl,,,short,37\nsprocket,MXL,,0,,18\n")
	if len(msgs) > 0 {
		t.Fatal(msgs)
	}
	wantBelts := []mech.StockBelt{{Section: "MXL", Teeth: 100, Code: "80MXL", Count: 2}, {Section: "XL", Teeth: 37, Count: 1, Note: "short"}}
	for i, want := range wantBelts {
		if m.Stock.Belts[i] != want {
			t.Errorf("belt %d: %+v, want %+v", i, m.Stock.Belts[i], want)
		}
	}
	if want := (mech.StockSprocket{Section: "MXL", Teeth: 18}); len(m.Stock.Sprockets) != 1 || m.Stock.Sprockets[0] != want {
		t.Errorf("%+v", m.Stock.Sprockets)
	}
	for row, want := range map[string]string{
		"chain,MXL,,,,18":      `drawer.csv:2:1:found "chain"`,
		"belt,MLX,,,,18":       `drawer.csv:2:6:unknown pitch "MLX"`,
		"belt,MXL,81,,,":       `drawer.csv:2:10:no MXL belt of code "81"`,
		"belt,MXL,80,,,99":     "drawer.csv:2:15:99 teeth for belt",
		"belt,MXL,80,some,,99": `drawer.csv:2:13:"some" is not a number`,
		"belt,MXL,80,,,1.5":    `drawer.csv:2:15:found "1.5"`,
		"sprocket,MXL,,,,0":    `drawer.csv:2:17:found "0"`,
		"sprocket,MXL":         "drawer.csv:2:1:a sprocket without teeth",
	} {
		s, msgs, _ := withFile(spec, "kind,pitch,code,count,note,teeth\n"+row+"\n")
		if s != nil || len(msgs) == 0 || !strings.HasPrefix(msgs[0], want) {
			t.Errorf("%s: %v, want %s", row, msgs, want)
		}
	}
	for text, want := range map[string]string{
		"":                          "d.yaml::an empty file",
		"belts: {MXL: [81]}":        `d.yaml:1:15:no MXL belt`,
		"file: d.yaml":              "d.yaml:1:1:a file within a file",
		"belt: {MXL: [80]}":         `d.yaml:1:1:unknown key "belt"`,
		"belts: [":                  "d.yaml:1:1:a bracket that is not closed",
		"- 1":                       "d.yaml:1:1:a list",
		"sprockets: {MXL: [18, a]}": `d.yaml:1:23:"a" is not a number`,
	} {
		s, msgs, _ := withFile("understage: 1\nstock: {file: d.yaml}\n", text)
		if s != nil || len(msgs) == 0 || !strings.HasPrefix(strings.Replace(msgs[0], ":0:0:", "::", 1), want) {
			t.Errorf("%s: %v, want %s", text, msgs, want)
		}
	}
}

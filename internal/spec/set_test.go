package spec

import (
	"reflect"
	"strings"
	"sync"
	"testing"

	"understage/internal/diag"
	"understage/internal/mech"
)

func TestSet(t *testing.T) {
	src := loadFile(t, "testdata/watchman.yaml")
	for _, c := range []struct {
		sets  []string
		value func(m *mech.Model) any
		want  any
	}{
		{[]string{"motor.supply=6 V"}, func(m *mech.Model) any { return m.Motor.Supply }, 6.0},
		{[]string{"motor.supply=~"}, func(m *mech.Model) any { return m.Motor.Supply }, 6.0},
		{[]string{"drive.belts.loop.run.1.teeth=38"}, func(m *mech.Model) any { return m.Belts[0].Run[1].Teeth }, 38},
		{[]string{"drive.belts.loop.take_up.range.0=-3"}, func(m *mech.Model) any { return m.Belts[0].TakeUp.Min }, -3.0},
		{[]string{"cams.bow.motion.0.law=cycloidal"}, func(m *mech.Model) any { return m.Cams[1].Shape.Segments[0].Law }, mech.Cycloidal},
		{[]string{"cams.sway.waves.0={per_turn: 3, amplitude: 1/4 in}"}, func(m *mech.Model) any { return m.Cams[0].Shape.Waves[0] }, mech.Wave{PerTurn: 3, Amplitude: 6.35}},
		{[]string{"cams.sway.follower.offset=2", "cams.sway.follower.offset=3"}, func(m *mech.Model) any { return m.Cams[0].Follower.Offset }, 3.0},
		{[]string{"limits.near_repeat=0.5 rad"}, func(m *mech.Model) any { return m.Limits["near_repeat"] }, 0.5},
		{[]string{"stock.belts.MXL=[80]"}, func(m *mech.Model) any { return m.Stock.Belts[0].Teeth }, 100},
		{[]string{"frame.hole_allowance=~"}, func(m *mech.Model) any { return m.Frame.HoleAllowance }, 0.0},
		{[]string{"cams.sway.spring.rate=0.2 N/mm"}, func(m *mech.Model) any { return m.Cams[0].Load.SpringRate }, mech.Given{Value: 0.2, OK: true}},
		{[]string{"cams.sway.follower.material=on"}, func(m *mech.Model) any { return m.Cams[0].Load.FollowerMaterial }, "on"},
		{[]string{`torso.points."top hat"={at: [0, 0, 160]}`}, func(m *mech.Model) any { return m.Torso.Points[2].Name }, "top hat"},
		{[]string{"linkages.staff.pins.knee.at=[5, -22]", "linkages.staff.start=~"}, func(m *mech.Model) any { return m.Linkages[0].Pins[1].Kind }, mech.FixedPin},
		{[]string{"drive.belts.loop.belt=~", "drive.belts.loop.teeth=130"}, func(m *mech.Model) any { return m.Belts[0].Teeth }, 130},
		{[]string{`figure="a = b: c"`}, func(m *mech.Model) any { return m.Name }, "a = b: c"},
		{[]string{"torso.pushes.bow={crank: {shaft: fore, radius: 4}, depth: 150, length: 52}"}, func(m *mech.Model) any { return m.Torso.Pushes[1].Kind }, mech.Rod},
	} {
		s, msgs := Load(src, c.sets, nil)
		report(t, msgs)
		if s == nil {
			continue
		}
		if got := c.value(s.Model); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%v: %v, want %v", c.sets, got, c.want)
		}
	}
}

func TestBadSet(t *testing.T) {
	src := loadFile(t, "testdata/watchman.yaml")
	for _, c := range []struct {
		set  string
		col  int
		path string
		text string
		hint string
	}{
		{"motor.suply=6 V", 1, "motor.suply", `no such path: motor holds no "suply"`, "motor.supply"},
		{"moter.supply=6 V", 1, "moter.supply", `no such path: the spec holds no "moter"`, "motor"},
		{"cams.swya.base=12", 1, "cams.swya.base", `cams holds no "swya"`, "cams.sway"},
		{"drive.belts.loop.run.3.teeth=12", 1, "drive.belts.loop.run.3.teeth", `no entry "3"`, ""},
		{"drive.belts.loop.run.01.teeth=12", 1, "drive.belts.loop.run.01.teeth", `no entry "01"`, ""},
		{"drive.belts.loop.run.main.teeth=12", 1, "drive.belts.loop.run.main.teeth", `no entry "main"`, ""},
		{"motor.rated.volts=6", 1, "motor.rated.volts", `motor.rated is "6 V"`, ""},
		{"motor.supply=6 A", 14, "motor.supply", "found a current", ""},
		{"motor.supply=", 1, "motor.supply", "no value", ""},
		{"motor.supply=# 6 V", 1, "motor.supply", "no value", ""},
		{"motor.supply", 1, "", "has no =", ""},
		{"=6 V", 1, "", "an empty step", ""},
		{"motor..supply=6 V", 1, "", "an empty step", ""},
		{`torso.points."hat=1`, 1, "", "has no =", ""},
		{`torso.points."hat"x=1`, 1, "", "not followed by a dot", ""},
		{"drive.belts.loop.run.0.teeth=31.5", 30, "drive.belts.loop.run.0.teeth", "31.5", ""},
		{"torso.stage.opening={circle: 20, circle: 30}", 34, "torso.stage.opening.circle", "a second time", ""},
		{"torso.stage.opening={circle: 20", 21, "torso.stage.opening", "braces", ""},
		{"cams.bow.base=&a [*a]", 15, "cams.bow.base" + strings.Repeat(".0", 17), "nested", ""},
		{"motor.rated=~", 1, "motor.rated", "missing", ""},
		{"figure=a\nb", 1, "", "a line break", ""},
		{"figure=a\x00", 9, "figure", "a control character", ""},
		{"linkages.staff.points.tip.at.2=4", 1, "linkages.staff.points.tip.at.2", "no entry", ""},
	} {
		s, msgs := Load(src, []string{"motor.sense=cw", c.set}, nil)
		if s != nil || len(msgs) == 0 {
			t.Errorf("%s: read without complaint", c.set)
			continue
		}
		m := msgs[0]
		atSet := m.Pos.File == diag.SetFile && m.Pos.Line == 2 && m.Pos.Col == c.col || c.set == "motor.rated=~" && m.Pos.File == src.Name
		if !atSet || m.Path != c.path || !strings.Contains(m.Text, c.text) || !strings.Contains(m.Hint, c.hint) {
			t.Errorf("%s: %+v", c.set, msgs)
		}
	}
}

// TestSetPositions: what follows from a replacement is shown where the
// replacement is; the rest where the file says it.
func TestSetPositions(t *testing.T) {
	src := loadFile(t, "testdata/watchman.yaml")
	s, msgs := Load(src, []string{"motor.supply=6 V", "torso.points.nose={at: [0, 0, 1]}"}, nil)
	report(t, msgs)
	for path, want := range map[string]diag.Pos{
		"torso.points.nose":    {File: diag.SetFile, Line: 2, Col: 1},
		"torso.points.nose.at": {File: diag.SetFile, Line: 2, Col: 20},
		"torso.points":         {File: src.Name, Line: 65, Col: 3},
		"torso.points.chin":    {File: src.Name, Line: 65, Col: 3},
		"no such thing":        {File: src.Name, Line: 1, Col: 1},
		"":                     {File: src.Name, Line: 1, Col: 1},
		"drive.belts.loop":     {File: src.Name, Line: 19, Col: 5},
		"linkages.staff":       {File: src.Name, Line: 74, Col: 3},
	} {
		if got := s.Position(path); got != want {
			t.Errorf("%s: %v, want %v", path, got, want)
		}
	}
}

// TestDocumentIsShared: many goroutines decode one document with values of
// their own, and it stays what it was.
func TestDocumentIsShared(t *testing.T) {
	doc, msgs := Parse(loadFile(t, "testdata/watchman.yaml"))
	report(t, msgs)
	before, _ := doc.Decode(nil, nil)
	var group sync.WaitGroup
	for i := range 8 {
		group.Go(func() {
			sets, _ := ParseSets([]string{"drive.belts.loop.run.1.teeth=" + string(rune('1'+i)) + "0"})
			for range 20 {
				s, msgs := doc.Decode(sets, nil)
				if len(msgs) > 0 || s.Model.Belts[0].Run[1].Teeth != 10*(i+1) {
					t.Error(i, msgs)
				}
			}
		})
	}
	group.Wait()
	if after, _ := doc.Decode(nil, nil); !reflect.DeepEqual(after.Model, before.Model) {
		t.Error("the document has changed")
	}
}

func TestPath(t *testing.T) {
	for _, c := range []struct {
		segments []string
		path     string
	}{
		{[]string{"drive", "belts", "loop", "run", "0", "teeth"}, "drive.belts.loop.run.0.teeth"},
		{[]string{"cams", "a.b c"}, `cams."a.b c"`},
		{[]string{"a\"b", "c=d"}, `"a\"b"."c=d"`},
		{[]string{"größe"}, "größe"},
	} {
		if got := Path(c.segments...); got != c.path {
			t.Errorf("%q: %s, want %s", c.segments, got, c.path)
		}
		if got, err := splitPath(c.path); err != nil || !reflect.DeepEqual(got, c.segments) {
			t.Errorf("%s: %q, %v", c.path, got, err)
		}
	}
}

func FuzzPath(f *testing.F) {
	f.Add("a", "b c", `d."e`)
	f.Fuzz(func(t *testing.T, a, b, c string) {
		segments := []string{a, b, c}
		if a == "" || b == "" || c == "" || strings.ToValidUTF8(a+b+c, "") != a+b+c {
			return
		}
		if got, err := splitPath(Path(segments...)); err != nil || !reflect.DeepEqual(got, segments) {
			t.Errorf("%q: %q, %v", segments, got, err)
		}
	})
}

// TestPlainScalar: what is taken as it stands is what the YAML library makes of
// it, place and all.
func TestPlainScalar(t *testing.T) {
	taken := 0
	for _, text := range []string{"17 mm", "-3", "+3", "1/4 in", "1-1/2 in", "abc", "3-4-5", "  6 V ", "yes", "1e-3", "-.5", "a b  c", "2001-01-01", "0x1f",
		"null", "NULL", "~", "", "-", "- 1", "--", "---", "...", ".5", "a: b", "a #b", "[1]", "*a", "&a", "!a b", "'a'", "\"a\"", "?", "? a", "|", ">", "%a", "@a", "`a", "a:", "90°", "1 kg·cm", "..", "-- a", "/", "+ 1"} {
		if text := strings.Trim(text, " "); plainScalar(text) {
			taken++
		}
		fast, msgs := setValue(text, []string{"a"}, diag.Pos{Col: 4})
		top, syntax := parseYAML(diag.SetFile, []byte(text))
		if top == nil || syntax != nil {
			if fast != nil {
				t.Errorf("%q: %+v, which YAML does not read", text, fast)
			}
			continue
		}
		b := &builder{file: diag.SetFile, shift: diag.Pos{Col: 4}}
		slow := b.build(top, diag.Pos{File: diag.SetFile, Line: 1, Col: 1}, 0)
		if len(msgs) == 0 && !reflect.DeepEqual(fast, slow) {
			t.Errorf("%q: %+v, want %+v", text, fast, slow)
		}
	}
	if taken < 12 {
		t.Errorf("only %d were plain", taken)
	}
}

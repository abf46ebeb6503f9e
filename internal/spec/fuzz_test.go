package spec

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"reflect"
	"testing"

	"understage/internal/mech"
)

// FuzzSpec: whatever the text, nothing panics, every message points inside the
// text, and without a message there is a model whose references and numbers
// hold.
func FuzzSpec(f *testing.F) {
	for _, pattern := range []string{"testdata/*.yaml", "testdata/good/*.yaml", "testdata/bad/*.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, file := range files {
			f.Add(string(loadFile(f, file).Text), "motor.supply=5 V")
		}
	}
	for _, figure := range Figures() {
		f.Add(string(figure.Text), `cams."a b".base={`)
	}
	rim := []byte("angle,radius\n0,10\n120,11\n240,x\n")
	f.Fuzz(func(t *testing.T, text, set string) {
		src := Source{Name: "f.yaml", Text: []byte(text)}
		read := func(name string) ([]byte, error) {
			if name == "f.yaml" || name == "--set" {
				return nil, errors.New("no such file")
			}
			return rim, nil
		}
		for _, sets := range [][]string{nil, {set}} {
			s, msgs := Load(src, sets, read)
			for _, m := range msgs {
				switch m.Pos.File {
				case "f.yaml":
					inside(t, m, map[string][]byte{"f.yaml": src.Text})
				case "--set":
					inside(t, m, map[string][]byte{"--set": []byte(set)})
				default:
					inside(t, m, map[string][]byte{m.Pos.File: rim})
				}
				if m.Text == "" {
					t.Errorf("a message without text: %+v", m)
				}
			}
			if (s == nil) != (len(msgs) > 0) {
				t.Fatalf("spec %v with %d messages", s, len(msgs))
			}
			if s != nil {
				sound(t, s.Model)
			}
		}
	})
}

// sound fails when a number is not finite or a reference leads outside.
func sound(t *testing.T, m *mech.Model) {
	t.Helper()
	finite(t, "model", reflect.ValueOf(m))
	shaft := func(what string, i int) { index(t, what, i, len(m.Shafts)) }
	if m.Motor != nil {
		shaft("motor", m.Motor.Shaft)
	}
	for _, b := range m.Belts {
		for _, p := range b.Run {
			if p.Idler == "" {
				shaft("belt "+b.Name, p.Shaft)
			}
			if (p.Teeth > 0) == (p.Diameter > 0) {
				t.Errorf("belt %s: %d teeth, diameter %g", b.Name, p.Teeth, p.Diameter)
			}
		}
		if b.TakeUp != nil {
			index(t, "take-up of "+b.Name, b.TakeUp.Pulley, len(b.Run))
			unitVector(t, b.Name, b.TakeUp.Along.X, b.TakeUp.Along.Y)
		}
		if b.Section.Pitch <= 0 || len(b.Run) < 2 {
			t.Errorf("belt %s: pitch %g, %d pulleys", b.Name, b.Section.Pitch, len(b.Run))
		}
	}
	for _, g := range m.Gears {
		shaft(g.Name, g.Driver.Shaft)
		shaft(g.Name, g.Driven.Shaft)
		if g.Driver.Teeth < 1 || g.Driven.Teeth < 1 {
			t.Errorf("gear %s: %d and %d teeth", g.Name, g.Driver.Teeth, g.Driven.Teeth)
		}
	}
	for _, c := range m.Cams {
		shaft(c.Name, c.Shaft)
		soundShape(t, &c)
	}
	if m.Torso != nil {
		for _, p := range m.Torso.Pushes {
			if p.Kind == mech.Rod {
				shaft(p.Name, p.Crank.Shaft)
				continue
			}
			index(t, p.Name, p.Cam, len(m.Cams))
			if p.Kind == mech.Yoke {
				unitVector(t, p.Name, p.Along.X, p.Along.Y)
			}
		}
	}
	for _, l := range m.Linkages {
		soundLinkage(t, m, &l)
	}
}

func soundShape(t *testing.T, c *mech.Cam) {
	t.Helper()
	sum, rise := 0.0, 0.0
	for _, s := range c.Shape.Segments {
		sum, rise = sum+s.Over, rise+s.Rise
	}
	if c.Shape.Kind == mech.ShapeMotion && (math.Abs(sum-turn) > 2*turnSlack || math.Abs(rise) > 2*liftSlack) {
		t.Errorf("cam %s: segments of %g rad and %g lift", c.Name, sum, rise)
	}
	for _, points := range [][]mech.Point{c.Shape.Points, c.Shape.Rim} {
		for i, p := range points {
			if p.Angle < 0 || p.Angle >= turn+turnSlack || i > 0 && p.Angle <= points[i-1].Angle {
				t.Errorf("cam %s: point %d at %g rad", c.Name, i, p.Angle)
			}
		}
		if n := len(points); n > 0 && n < 3 {
			t.Errorf("cam %s: %d points", c.Name, n)
		}
	}
}

func soundLinkage(t *testing.T, m *mech.Model, l *mech.Linkage) {
	t.Helper()
	for _, p := range l.Pins {
		switch p.Kind {
		case mech.CrankPin:
			index(t, p.Name, p.Crank.Shaft, len(m.Shafts))
		case mech.FollowerPin:
			index(t, p.Name, p.Cam, len(m.Cams))
		}
	}
	pins := func(what string, all ...int) {
		for _, i := range all {
			index(t, l.Name+": "+what, i, len(l.Pins))
		}
	}
	for _, b := range l.Bars {
		pins("bar", b.Pins[:]...)
		if b.Length <= 0 {
			t.Errorf("%s: a bar of length %g", l.Name, b.Length)
		}
	}
	for _, p := range l.Plates {
		for _, q := range p.Pins {
			pins("plate", q.Pin)
		}
	}
	for _, s := range l.Slots {
		pins("slot", s.Pin, s.Line[0], s.Line[1])
	}
	for _, p := range l.Points {
		pins("point", p.On[:]...)
	}
}

func index(t *testing.T, what string, i, n int) {
	t.Helper()
	if i < 0 || i >= n {
		t.Errorf("%s: index %d of %d", what, i, n)
	}
}

func unitVector(t *testing.T, what string, x, y float64) {
	t.Helper()
	if math.Abs(math.Hypot(x, y)-1) > 1e-12 {
		t.Errorf("%s: direction (%g, %g)", what, x, y)
	}
}

func finite(t *testing.T, path string, v reflect.Value) {
	t.Helper()
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0) {
			t.Errorf("%s is %g", path, v.Float())
		}
	case reflect.Pointer:
		if !v.IsNil() {
			finite(t, path, v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			finite(t, path+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			finite(t, fmt.Sprintf("%s.%d", path, i), v.Index(i))
		}
	}
}

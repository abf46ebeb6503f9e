package spec

import (
	"fmt"
	"path"

	"understage/internal/diag"
	"understage/internal/mech"
	"understage/internal/standard"
)

// mostFigures is how many figures a show may have: one motor each, and every
// pair is looked at for clearance.
const mostFigures = 40

// LoadShow reads a show and the figures it names through read, with the
// replacements in sets made in the show itself. The show is nil exactly when
// there are messages; texts holds the text of every file they point into.
func LoadShow(src Source, sets []string, read ReadFile) (show *mech.Show, msgs diag.List, texts map[string][]byte) {
	texts = map[string][]byte{src.Name: src.Text}
	doc, msgs := Parse(src)
	replacements, more := ParseSets(sets)
	msgs = append(msgs, more...)
	if doc != nil {
		d := newDecoder(read)
		root := doc.root
		for _, set := range replacements {
			root = d.replace(root, set)
		}
		d.root = &place{node: root, schema: showTable(), at: diag.Pos{File: root.pos.File, Line: 1, Col: 1}, index: -1}
		show = d.show(texts)
		msgs = append(msgs, d.msgs...)
	}
	if len(msgs) > 0 {
		msgs.Sort()
		return nil, msgs, texts
	}
	return show, nil, texts
}

func (d *decoder) show(texts map[string][]byte) *mech.Show {
	f, ok := d.open(d.root)
	if !ok {
		return nil
	}
	d.version(f)
	s := &mech.Show{Name: f.text("show"), Lengths: mech.LengthUnit(f.word("units"))}
	d.units.Inches = s.Lengths == mech.Inch
	s.Tempo, s.Duration = f.given("tempo"), f.number("duration")
	d.limits(f.child("limits"))
	s.Limits = d.m.Limits
	d.showSupply(f, s)
	p := f.child("figures")
	if p == nil {
		f.missing("figures")
		return s
	}
	parts := d.parts(p)
	if p.node.kind == mapKind && (len(parts) == 0 || len(parts) > mostFigures) {
		d.sayAt(p.at, p, "found "+counted(len(parts), "figure", "figures"), fmt.Sprintf("1 to %d", mostFigures), "")
		return s
	}
	for i := range parts {
		s.Figures = append(s.Figures, d.placed(f, &parts[i], s, texts))
	}
	return s
}

func (d *decoder) showSupply(f fields, s *mech.Show) {
	if supply := f.section("supply"); supply.place != nil {
		s.Supply.Voltage, s.Supply.Resistance = supply.number("voltage"), supply.number("resistance")
		s.Supply.Limit, s.Supply.Lead = supply.given("limit"), supply.given("lead")
	}
	s.Supply.Usable = 1
	if p := f.child("battery"); p != nil {
		if battery, ok := d.open(p); ok {
			s.Supply.Capacity = mech.Given{Value: battery.number("capacity"), OK: battery.has("capacity")}
			s.Supply.Usable = battery.number("usable")
			if s.Supply.Usable > 1 {
				d.say(battery.child("usable"), "found "+quoted(battery.child("usable").node.text), "a share of 1 at most", "")
			}
		}
	}
}

// placed reads one figure of the show and its spec.
func (d *decoder) placed(root fields, p *place, s *mech.Show, texts map[string][]byte) mech.Placed {
	placed := mech.Placed{Name: p.key}
	f, ok := d.open(p)
	if !ok {
		return placed
	}
	placed.File = f.text("file")
	if f.has("at") {
		placed.At, _ = f.pair("at")
	}
	placed.Turn, placed.Start = f.number("turn"), f.number("start")
	if placed.File == "" || d.read == nil {
		return placed
	}
	text, err := d.read(placed.File)
	if err != nil {
		d.say(f.child("file"), fmt.Sprintf("%s cannot be read: %v", quoted(placed.File), err), "the file of a figure spec, relative to the show", "")
		return placed
	}
	texts[placed.File] = text
	figure, msgs := Load(Source{Name: placed.File, Text: text}, nil, d.readBeside(placed.File))
	if figure == nil {
		d.msgs = append(d.msgs, msgs...)
		return placed
	}
	d.placeMotor(root, f, s, &placed, figure.Model)
	return placed
}

// readBeside reads files that a figure names, relative to the figure.
func (d *decoder) readBeside(file string) ReadFile {
	return func(name string) ([]byte, error) {
		if !path.IsAbs(name) {
			name = path.Join(path.Dir(file), name)
		}
		return d.read(name)
	}
}

// placeMotor puts a figure's motor on the rail.
func (d *decoder) placeMotor(root, f fields, s *mech.Show, placed *mech.Placed, m *mech.Model) {
	if m.Motor == nil {
		d.say(f.child("file"), quoted(placed.File)+" has no motor", "a figure with a motor", "")
		return
	}
	if s.Supply.Voltage > m.Motor.Rated*standard.Limit(m.Limits, "supply") {
		d.say(root.section("supply").child("voltage"),
			fmt.Sprintf("%.4g V, above the rating of %.4g V of the motor of %s", s.Supply.Voltage, m.Motor.Rated, quoted(placed.Name)),
			"at most the rated voltage of every motor", "give that figure a supply of its own")
	}
	m.Motor.Supply = s.Supply.Voltage
	placed.Model = m
}

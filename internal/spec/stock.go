package spec

import (
	"fmt"
	"strconv"
	"strings"

	"understage/internal/diag"
	"understage/internal/mech"
	"understage/internal/standard"
	"understage/internal/units"
)

// stock reads the drawer, from the spec or from a file beside it.
func (d *decoder) stock(p *place) {
	f, ok := d.open(p)
	if !ok {
		return
	}
	file := f.child("file")
	if file == nil {
		d.drawer(f)
		return
	}
	for _, key := range []string{"belts", "sprockets"} {
		f.refuse(key, key+" beside a file", "one of them")
	}
	name, ok := d.scalar(file)
	switch {
	case !ok:
	case strings.HasSuffix(strings.ToLower(name), ".yaml"), strings.HasSuffix(strings.ToLower(name), ".yml"):
		d.stockYAML(file)
	default:
		d.stockCSV(file)
	}
}

// LoadDrawer reads a drawer from a file as stock.file does: YAML with belts and
// sprockets, or CSV.
func LoadDrawer(name string, read ReadFile) (mech.Stock, diag.List) {
	doc, msgs := Parse(Source{Name: name, Text: []byte("file: " + strconv.Quote(name) + "\n")})
	if doc == nil {
		return mech.Stock{}, msgs
	}
	d := &decoder{read: read, m: &mech.Model{}}
	d.root = &place{node: doc.root, schema: keyTable().kids["stock"], at: diag.Pos{File: name, Line: 1, Col: 1}, index: -1}
	d.stock(d.root)
	d.msgs.Sort()
	return d.m.Stock, d.msgs
}

// stockYAML reads a file that holds what stock holds in a spec.
func (d *decoder) stockYAML(p *place) {
	name, text, ok := d.file(p)
	if !ok {
		return
	}
	doc, msgs := Parse(Source{Name: name, Text: text})
	if doc == nil && len(msgs) > 0 && msgs[0].Want != "" {
		msgs[0].Want = strings.Replace(msgs[0].Want, "a figure spec, a mapping that starts with understage: 1", "belts and sprockets", 1)
	}
	d.msgs = append(d.msgs, msgs...)
	if doc == nil {
		return
	}
	root := &place{node: doc.root, schema: p.up.schema, at: diag.Pos{File: name, Line: 1, Col: 1}, index: -1}
	if f, ok := d.open(root); ok {
		f.refuse("file", "a file within a file", "belts and sprockets")
		d.drawer(f)
	}
}

func (d *decoder) drawer(f fields) {
	for _, q := range d.parts(f.child("belts")) {
		section, ok := d.stockPitch(&q)
		for _, item := range d.items(&q) {
			if b, good := d.stockBelt(&item, section); good && ok {
				d.m.Stock.Belts = append(d.m.Stock.Belts, b)
			}
		}
	}
	for _, q := range d.parts(f.child("sprockets")) {
		section, ok := d.stockPitch(&q)
		for _, item := range d.items(&q) {
			if s, good := d.stockSprocket(&item, section); good && ok {
				d.m.Stock.Sprockets = append(d.m.Stock.Sprockets, s)
			}
		}
	}
}

func (d *decoder) stockPitch(p *place) (standard.Section, bool) {
	s, ok := standard.FindSection(p.key)
	if !ok {
		d.sayAt(p.at, p, "unknown pitch "+quoted(p.key), "one of "+strings.Join(standard.SectionNames(), ", "), suggestPitch(p.key))
	}
	return s, ok
}

func (d *decoder) stockBelt(p *place, section standard.Section) (mech.StockBelt, bool) {
	b := mech.StockBelt{Section: section.Name, Count: 1}
	faults := len(d.msgs)
	at := p
	if p.node.kind == mapKind {
		f, _ := d.open(p)
		b.Count, b.Note = f.countOr("count", 1), f.text("note")
		if f.has("code") == f.has("teeth") {
			d.sayAt(f.at, p, "a belt that needs a code or teeth", "one of them", "")
			return b, false
		}
		b.Teeth = f.whole("teeth")
		b.Code = f.text("code")
		if f.has("code") {
			at = f.child("code")
		}
	} else if text, ok := d.scalar(p); ok {
		b.Code = text
	}
	if b.Teeth == 0 && len(d.msgs) == faults && section.Name != "" {
		l, ok := section.FindLength(b.Code)
		if !ok {
			d.say(at, fmt.Sprintf("no %s belt of code %s", section.Name, quoted(b.Code)), "a standard's code", "{teeth: 123} takes any number of teeth")
			return b, false
		}
		b.Teeth, b.Code = l.Teeth, l.Code
	}
	return b, len(d.msgs) == faults
}

// countOr reads a whole number, or the fallback when it is not written.
func (f fields) countOr(key string, fallback int) int {
	if !f.has(key) {
		f.child(key)
		return fallback
	}
	return f.whole(key)
}

func (d *decoder) stockSprocket(p *place, section standard.Section) (mech.StockSprocket, bool) {
	s := mech.StockSprocket{Section: section.Name, Count: 1}
	faults := len(d.msgs)
	if p.node.kind == mapKind {
		f, _ := d.open(p)
		s.Teeth, s.Count, s.Note = f.whole("teeth"), f.countOr("count", 1), f.text("note")
	} else {
		teeth := place{node: p.node, schema: p.schema.kids["teeth"], at: p.at, up: p.up, index: p.index}
		s.Teeth, _ = d.wholeAt(&teeth)
	}
	return s, len(d.msgs) == faults
}

// stockColumns are the columns of a drawer kept as CSV; the first three must be
// there.
var stockColumns = []string{"kind", "pitch", "teeth", "code", "count", "note"}

func (d *decoder) stockCSV(p *place) {
	rows, ok := d.table(p, stockColumns, 2)
	if !ok {
		return
	}
	for i := range rows {
		d.stockRow(&rows[i])
	}
}

func (d *decoder) stockRow(r *tableRow) {
	const kind, pitch, teeth, code, count, note = 0, 1, 2, 3, 4, 5
	section, ok := standard.FindSection(r.cells[pitch])
	if !ok {
		r.say(d, pitch, "unknown pitch "+quoted(r.cells[pitch]), "one of "+strings.Join(standard.SectionNames(), ", "))
		return
	}
	n := 1
	if r.cells[count] != "" {
		if n, ok = r.count(d, count); !ok {
			return
		}
	}
	z := 0
	if r.cells[teeth] != "" {
		if z, ok = r.count(d, teeth); !ok {
			return
		}
		if z < 1 {
			r.say(d, teeth, "found "+quoted(r.cells[teeth]), "a whole number of 1 or more")
			return
		}
	}
	switch r.cells[kind] {
	case "belt":
		name := r.cells[code]
		l, known := section.FindLength(name)
		switch {
		case z == 0 && !known:
			r.say(d, code, fmt.Sprintf("no %s belt of code %s", section.Name, quoted(name)), "a standard's code, or the number of teeth")
			return
		case z > 0 && known && l.Teeth != z:
			r.say(d, teeth, fmt.Sprintf("%d teeth for belt %s", z, quoted(name)), fmt.Sprintf("%d, which that code has", l.Teeth))
			return
		case z == 0:
			z, name = l.Teeth, l.Code
		}
		d.m.Stock.Belts = append(d.m.Stock.Belts, mech.StockBelt{Section: section.Name, Teeth: z, Code: name, Count: n, Note: r.cells[note]})
	case "sprocket":
		if z == 0 {
			r.say(d, teeth, "a sprocket without teeth", "a whole number of 1 or more")
			return
		}
		d.m.Stock.Sprockets = append(d.m.Stock.Sprockets, mech.StockSprocket{Section: section.Name, Teeth: z, Count: n, Note: r.cells[note]})
	default:
		r.say(d, kind, "found "+quoted(r.cells[kind]), "belt or sprocket")
	}
}

func (r *tableRow) count(d *decoder, column int) (int, bool) {
	n, err := units.ParseCount(r.cells[column])
	if err != nil {
		text, want := err.Error(), "a whole number"
		if e, ok := err.(*units.Error); ok {
			text, want = e.Found, e.Want
		}
		r.say(d, column, text, want)
		return 0, false
	}
	return n, true
}

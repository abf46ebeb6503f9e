package spec

import (
	"fmt"

	"understage/internal/diag"
	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/units"
)

// maxMessages is how many faults of one spec are listed.
const maxMessages = 200

// decoder turns one document into a model. Parts are read in the order in which
// they refer to each other, so that a reference is resolved where it stands.
type decoder struct {
	units    units.Defaults
	read     ReadFile
	msgs     diag.List
	m        *mech.Model
	root     *place
	hasDrive bool
	view     geom.View // of the drive
	// names of what has been read, in the model's order
	shaftNames []string
	camNames   []string
	edgeCams   map[int]bool // cams whose rim pushes the torso shaft
	tolerances []Tolerance
	places     []place // block that the next ones are taken from
	// asked, in tests, is told the pattern of every key that is looked for.
	asked func(pattern string)
}

// Decode understands a document with some values replaced. The spec is nil
// exactly when there are messages. The document is not changed.
func (doc *Document) Decode(sets []Set, read ReadFile) (*Spec, diag.List) {
	return newDecoder(read).decode(doc.root, sets)
}

func newDecoder(read ReadFile) *decoder {
	return &decoder{read: read, m: &mech.Model{}}
}

func (d *decoder) decode(root *node, sets []Set) (*Spec, diag.List) {
	for _, set := range sets {
		root = d.replace(root, set)
	}
	d.root = topPlace(root)
	d.figure()
	if len(d.msgs) > 0 {
		if d.root.node.kind == mapKind {
			d.unread(d.root)
		}
		d.msgs.Sort()
		return nil, d.msgs
	}
	return &Spec{Model: d.m, Tolerances: d.tolerances, root: root, shaftNames: d.shaftNames, camNames: d.camNames, view: d.view}, nil
}

func topPlace(root *node) *place {
	return &place{node: root, schema: keyTable(), at: diag.Pos{File: root.pos.File, Line: 1, Col: 1}, index: -1}
}

func (d *decoder) figure() {
	if d.root.node.kind != mapKind {
		d.say(d.root, nodeKinds[d.root.node.kind], "a figure spec, a mapping that starts with understage: 1", "")
		return
	}
	f, _ := d.open(d.root)
	d.version(f)
	d.m.Name = f.textOr("figure")
	d.m.Lengths = mech.LengthUnit(f.word("units"))
	d.units.Inches = d.m.Lengths == mech.Inch
	d.limits(f.child("limits"))
	d.drive(f.child("drive"))
	d.motor(f.child("motor"))
	driveSound := len(d.msgs) == 0
	d.cams(f.child("cams"))
	d.torso(f.child("torso"))
	d.linkages(f.child("linkages"))
	d.followers()
	d.beats(f.child("beats"))
	d.stock(f.child("stock"))
	d.frame(f.child("frame"))
	if driveSound {
		d.driven()
	}
}

func (d *decoder) version(f fields) {
	p := f.child("understage")
	if p == nil {
		f.missing("understage")
		return
	}
	if p.node.kind == nullKind {
		d.empty(p)
		return
	}
	if p.node.kind != scalarKind || p.node.text != fmt.Sprint(Version) {
		d.say(p, fmt.Sprintf("version %s of the format", p.found()), fmt.Sprintf("%d, the version this program reads", Version), "")
	}
}

// say records a fault at a place.
func (d *decoder) say(p *place, text, want, hint string) {
	d.sayAt(p.node.pos, p, text, want, hint)
}

func (d *decoder) sayAt(pos diag.Pos, p *place, text, want, hint string) {
	switch {
	case len(d.msgs) == maxMessages:
		d.msgs = append(d.msgs, diag.Message{Pos: diag.Pos{File: d.root.node.pos.File}, Text: fmt.Sprintf("more than %d faults; the rest are not listed", maxMessages)})
	case len(d.msgs) < maxMessages:
		d.msgs = append(d.msgs, diag.Message{Pos: pos, Path: p.path(), Text: text, Want: want, Hint: hint})
	}
}

// empty records that a key has no value.
func (d *decoder) empty(p *place) {
	hint := ""
	if p.schema.isMapping() {
		hint = "{} for an empty one"
	}
	d.say(p, "missing value", p.schema.key.want(), hint)
}

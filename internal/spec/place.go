package spec

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"understage/internal/diag"
	"understage/internal/units"
)

// place is a value with the way to it.
type place struct {
	node   *node
	schema *schema
	at     diag.Pos // of the key that holds the value, or of the value
	up     *place
	key    string
	index  int // in a list, otherwise -1
}

// path returns the spec path of the place.
func (p *place) path() string {
	var segments []string
	for q := p; q.up != nil; q = q.up {
		if q.index >= 0 {
			segments = append(segments, strconv.Itoa(q.index))
		} else {
			segments = append(segments, q.key)
		}
	}
	slices.Reverse(segments)
	return Path(segments...)
}

// found describes what stands at the place, for messages.
func (p *place) found() string {
	if p.node.kind == scalarKind {
		return quoted(p.node.text)
	}
	return nodeKinds[p.node.kind]
}

// quoted makes any text fit for one line of a message.
func quoted(text string) string {
	if r := []rune(text); len(r) > 40 {
		text = string(r[:37]) + "..."
	}
	return strconv.Quote(text)
}

// fields is a mapping opened for reading.
type fields struct {
	*place
	d *decoder
}

// open checks that the place holds a mapping whose keys are all known. A nil
// place has no fields; reading from it yields defaults without complaint.
func (d *decoder) open(p *place) (fields, bool) {
	if p == nil {
		return fields{}, false
	}
	if p.node.kind == nullKind {
		d.empty(p)
		return fields{}, false
	}
	if p.node.kind != mapKind {
		d.say(p, "found "+p.found(), p.schema.key.want(), "")
		return fields{}, false
	}
	f := fields{place: p, d: d}
	if p.schema.wild == nil {
		for i := range p.node.entries {
			e := &p.node.entries[i]
			if _, ok := p.schema.kids[e.key]; !ok {
				d.unknownKey(p, e)
			}
		}
	}
	return f, true
}

func (d *decoder) unknownKey(p *place, e *entry) {
	at := &place{node: e.value, schema: unknownKeys, at: e.pos, up: p, key: e.key, index: -1}
	want := "one of " + strings.Join(p.schema.words(), ", ")
	hint := suggest(e.key, p.schema.words())
	if hint == "" {
		hint = belongs(p, e.key)
	}
	d.sayAt(e.pos, at, "unknown key "+quoted(e.key), want, hint)
}

// belongs says where a key that is known one level up or down would belong.
func belongs(p *place, key string) string {
	if p.up != nil && p.up.schema.kids[key] != nil && p.up.up != nil {
		return "it belongs in " + p.up.path()
	}
	for _, name := range p.schema.names {
		if p.schema.kids[name].kids[key] != nil {
			return "it belongs in " + name
		}
	}
	return ""
}

// child returns the value of a key, nil when it is not written.
func (f fields) child(key string) *place {
	p, ok := f.leaf(key)
	if !ok {
		return nil
	}
	return f.d.keep(p)
}

// leaf is child for a value that is read where it is asked for, so that its
// place need not be kept. It reports whether the key is written.
func (f fields) leaf(key string) (place, bool) {
	if f.place == nil {
		return place{}, false
	}
	s, ok := f.schema.kids[key]
	if !ok {
		s = unknownKeys // a slip of the decoder's; its test names the key
	}
	if f.d.asked != nil {
		f.d.asked(f.pattern(key))
	}
	i := f.node.find(key)
	if i < 0 {
		return place{}, false
	}
	e := &f.node.entries[i]
	return place{node: e.value, schema: s, at: e.pos, up: f.place, key: key, index: -1}, true
}

// keep stores a place for as long as the decoder lives. Decoding makes hundreds
// of them, so they are allocated by the block.
func (d *decoder) keep(p place) *place {
	if len(d.places) == cap(d.places) {
		d.places = make([]place, 0, min(max(16, 2*cap(d.places)), 128))
	}
	d.places = append(d.places, p)
	return &d.places[len(d.places)-1]
}

// pattern returns the key table's path of a key of the mapping.
func (f fields) pattern(key string) string {
	if f.schema.key.Path == "" {
		return key
	}
	return f.schema.key.Path + "." + key
}

// has reports whether a key is written.
func (f fields) has(key string) bool { return f.place != nil && f.node.find(key) >= 0 }

// missing records that a key that must be there is not.
func (f fields) missing(key string) {
	if f.place == nil {
		return
	}
	s, _ := f.schema.child(key)
	at := &place{node: f.node, schema: s, up: f.place, key: key, index: -1}
	hint := ""
	if s.key.Example != "" {
		hint = "such as " + key + ": " + s.key.Example
	}
	f.d.sayAt(f.at, at, quoted(key)+" is missing", s.key.want(), hint)
}

// refuse records that a key may not stand here.
func (f fields) refuse(key, text, want string) {
	if p := f.child(key); p != nil {
		f.d.sayAt(p.at, p, text, want, "")
	}
}

// parts returns the entries of a mapping of the maker's names.
func (d *decoder) parts(p *place) []place {
	f, ok := d.open(p)
	if !ok {
		return nil
	}
	all := make([]place, len(f.node.entries))
	for i := range f.node.entries {
		e := &f.node.entries[i]
		s, known := f.schema.child(e.key)
		if !known {
			s = unknownKeys
		}
		all[i] = place{node: e.value, schema: s, at: e.pos, up: p, key: e.key, index: -1}
		d.checkName(&all[i])
	}
	if d.asked != nil && p.schema.wild != nil {
		d.asked(p.schema.wild.key.Path)
	}
	return all
}

// longestName is the length a name may have, in characters: tables have to
// show it.
const longestName = 60

func (d *decoder) checkName(p *place) {
	runes := []rune(p.key)
	if len(runes) > longestName {
		d.sayAt(p.at, p, fmt.Sprintf("a name of %d characters", len(runes)), fmt.Sprintf("at most %d", longestName), "")
	}
	for _, r := range runes {
		if !isText(r) || r == '\n' || r == '\t' {
			d.sayAt(p.at, p, fmt.Sprintf("a name with the character %U", r), "a name on one line", "")
			return
		}
	}
}

// items returns the entries of a list.
func (d *decoder) items(p *place) []place {
	if p == nil {
		return nil
	}
	if p.node.kind == nullKind {
		d.empty(p)
		return nil
	}
	if p.node.kind != listKind {
		want := p.schema.key.want()
		d.say(p, "found "+p.found(), want, "")
		return nil
	}
	if d.asked != nil && p.schema.entry != nil {
		d.asked(p.schema.entry.key.Path)
	}
	all := make([]place, len(p.node.items))
	for i, n := range p.node.items {
		all[i] = place{node: n, schema: p.schema.item(), at: n.pos, up: p, index: i}
	}
	return all
}

// unitDefaults returns what a bare number at the place means.
func (d *decoder) unitDefaults(p *place) units.Defaults {
	if p.key == "module" { // gear modules are always in mm
		return units.Defaults{}
	}
	return d.units
}

// suggest hints at the known word that was most likely meant.
func suggest(word string, known []string) string {
	if near := diag.Near(word, known); near != "" {
		return "did you mean " + near + "?"
	}
	return ""
}

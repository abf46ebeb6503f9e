package spec

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"understage/internal/mech"
	"understage/internal/units"
)

// scalar returns the text of a single value; a list, a mapping or nothing is a
// fault.
func (d *decoder) scalar(p *place) (string, bool) {
	switch p.node.kind {
	case scalarKind:
		return p.node.text, true
	case nullKind:
		d.empty(p)
	default:
		d.say(p, "found "+p.found(), p.schema.key.want(), "")
	}
	return "", false
}

// quantity reads a number with its unit.
func (d *decoder) quantity(p *place, dim units.Dimension, bound Bound) (float64, bool) {
	if p.node.kind != scalarKind {
		if p.node.kind == nullKind {
			d.say(p, "missing value", bound.prefix(dim.Want()), "")
		} else {
			d.say(p, "found "+p.found(), bound.prefix(dim.Want()), "")
		}
		return 0, false
	}
	v, ok := d.parsed(p, dim)
	if !ok {
		return 0, false
	}
	if bound == Positive && v <= 0 || bound == NotNegative && v < 0 {
		d.say(p, "found "+quoted(p.node.text), bound.prefix(dim.Name()), "")
		return 0, false
	}
	return v, true
}

// parsed returns the number written at a place, and keeps what its margin says.
func (d *decoder) parsed(p *place, dim units.Dimension) (float64, bool) {
	defaults := d.unitDefaults(p)
	if q := p.node.quantity.Load(); q != nil && q.dim == dim && q.defaults == defaults {
		return q.value, true
	}
	text, margin, toleranced := cutTolerance(p.node.text)
	v, err := units.Parse(text, dim, defaults)
	if err != nil {
		d.sayError(p, err)
		return 0, false
	}
	if toleranced {
		return v, d.tolerance(p, dim, v, margin)
	}
	p.node.quantity.Store(&quantity{dim, defaults, v})
	return v, true
}

// sayError records a fault that package units found.
func (d *decoder) sayError(p *place, err error) {
	var e *units.Error
	if errors.As(err, &e) {
		d.say(p, e.Found, e.Want, e.Hint)
		return
	}
	d.say(p, err.Error(), p.schema.key.want(), "")
}

// number reads a quantity as the key table describes it. A required one that is
// not written is a fault; otherwise the default stands in.
func (f fields) number(key string) float64 {
	p, ok := f.leaf(key)
	if !ok {
		return f.fallback(key)
	}
	v, _ := f.d.quantity(&p, p.schema.key.Dimension, p.schema.key.Bound)
	return v
}

func (f fields) fallback(key string) float64 {
	if f.place == nil {
		return 0
	}
	s, _ := f.schema.child(key)
	if s.key.Required {
		f.missing(key)
	}
	return s.fallback
}

// numberOf is number in a dimension that depends on other keys.
func (f fields) numberOf(key string, dim units.Dimension) float64 {
	p, ok := f.leaf(key)
	if !ok {
		return f.fallback(key)
	}
	v, _ := f.d.quantity(&p, dim, p.schema.key.Bound)
	return v
}

// given reads a quantity that may be left out.
func (f fields) given(key string) mech.Given {
	p, ok := f.leaf(key)
	if !ok {
		return mech.Given{}
	}
	v, ok := f.d.quantity(&p, p.schema.key.Dimension, p.schema.key.Bound)
	return mech.Given{Value: v, OK: ok}
}

// needed reads a quantity that the other keys have made necessary.
func (f fields) needed(key string) float64 {
	if !f.has(key) {
		f.missing(key)
	}
	return f.number(key)
}

// whole reads a whole number; 0 when it is not written or at fault.
func (f fields) whole(key string) int {
	p, ok := f.leaf(key)
	if !ok {
		return int(f.fallback(key))
	}
	n, _ := f.d.wholeAt(&p)
	return n
}

func (d *decoder) wholeAt(p *place) (int, bool) {
	text, ok := d.scalar(p)
	if !ok {
		return 0, false
	}
	n, err := units.ParseCount(text)
	if err != nil {
		d.sayError(p, err)
		return 0, false
	}
	if p.schema.key.Bound == Positive && n < 1 {
		d.say(p, "found "+quoted(text), "a whole number of 1 or more", "")
		return 0, false
	}
	return n, true
}

// word reads one of the key's words and returns its index; the default's when
// it is not written or at fault.
func (f fields) word(key string) int {
	p, ok := f.leaf(key)
	if !ok {
		if f.place == nil {
			return 0
		}
		s, _ := f.schema.child(key)
		if s.key.Required {
			f.missing(key)
		}
		return s.word
	}
	text, ok := f.d.scalar(&p)
	if !ok {
		return p.schema.word
	}
	for i, w := range p.schema.key.Words {
		if w == text {
			return i
		}
	}
	f.d.say(&p, "found "+quoted(text), p.schema.key.want(), suggest(text, p.schema.key.Words))
	return p.schema.word
}

// text reads a text, "" when it is not written.
func (f fields) text(key string) string {
	p, ok := f.leaf(key)
	if !ok {
		if f.place != nil {
			if s, _ := f.schema.child(key); s.key.Required {
				f.missing(key)
			}
		}
		return ""
	}
	text, ok := f.d.scalar(&p)
	if !ok {
		return ""
	}
	if strings.TrimSpace(text) == "" {
		f.d.say(&p, "an empty text", p.schema.key.want(), "")
		return ""
	}
	if strings.ContainsAny(text, "\n\t") || len(text) > 4*longestName {
		f.d.say(&p, "a text of several lines, or too long", "a short text on one line", "")
		return ""
	}
	return text
}

// textOr reads a text, or the key table's default.
func (f fields) textOr(key string) string {
	if !f.has(key) {
		f.leaf(key)
		if f.place == nil {
			return ""
		}
		s, _ := f.schema.child(key)
		return s.key.Default
	}
	return f.text(key)
}

// flag reads yes or no.
func (f fields) flag(key string, fallback bool) bool {
	p, ok := f.leaf(key)
	if !ok {
		return fallback
	}
	text, ok := f.d.scalar(&p)
	switch {
	case !ok:
	case text == "yes", text == "true":
		return true
	case text == "no", text == "false":
		return false
	default:
		f.d.say(&p, "found "+quoted(text), p.schema.key.want(), "")
	}
	return fallback
}

// reference reads the name of a part and returns its index among names, None
// when it is not written or at fault. what says what is named, as in "shaft".
func (f fields) reference(key, what string, names []string) int {
	p, ok := f.leaf(key)
	if !ok {
		f.fallback(key)
		return mech.None
	}
	return f.d.referenceAt(&p, what, names)
}

func (d *decoder) referenceAt(p *place, what string, names []string) int {
	if p.node.kind == scalarKind || p.node.kind == nullKind { // a part may be called null
		if i := indexOf(names, p.node.text); i != mech.None {
			return i
		}
	}
	text, ok := d.scalar(p)
	if !ok {
		return mech.None
	}
	want := "one of " + strings.Join(names, ", ")
	if len(names) == 0 {
		want = "the name of one, but there is none"
	}
	d.say(p, "no "+what+" "+quoted(text), want, suggest(text, names))
	return mech.None
}

// indexOf returns the index of a name, None where it is not among them.
func indexOf(names []string, name string) int {
	if i := slices.Index(names, name); i >= 0 {
		return i
	}
	return mech.None
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

package spec

import (
	"strings"
	"sync"

	"understage/internal/units"
)

// Kind is the form of a key's value.
type Kind int

const (
	Mapping   Kind = iota // keys of its own
	Named                 // names of the maker's choosing, each with a value
	List                  // entries in order
	Text                  // any text
	Word                  // one of Words
	Reference             // the name of another part
	Quantity              // a number of the Dimension
	Whole                 // a whole number
	Pair                  // two numbers of the Dimension, in a list
	Triple                // three numbers of the Dimension, in a list
	Flag                  // yes or no
)

// Bound is the range a number must lie in.
type Bound int

const (
	Any Bound = iota
	Positive
	NotNegative
)

// Key says what one key of the spec means. The decoder takes dimension, bound,
// words and numeric default from here, so the reference printed from this table
// cannot differ from what is read.
type Key struct {
	// Path is the key's path, with NAME for a name of the maker's choosing and
	// N for a place in a list.
	Path      string
	Kind      Kind
	Dimension units.Dimension
	Bound     Bound
	Words     []string
	Required  bool
	// Default is what stands in when the key is left out: a value as it would
	// be written, or a description in words; "" for a required key and for one
	// whose absence means none.
	Default string
	Example string
	Meaning string
	// MayBe names another form the value may take: "text", "list" or
	// "mapping"; the example and the meaning say what it is.
	MayBe string
}

// Keys returns every key of the spec, in the order of the reference. A key
// follows the one that holds it.
func Keys() []Key {
	var all []Key
	for _, part := range [][]Key{topKeys, motorKeys, driveKeys, camKeys, torsoKeys, linkageKeys, endKeys} {
		for _, k := range part {
			all = append(all, k)
			if what, ok := rubbing[k.Path]; ok {
				all = append(all, frictionKeys(what.path, what.of)...)
			}
		}
	}
	return all
}

// rubbing lists the contacts whose friction may be given, by the key they
// follow in the reference.
var rubbing = map[string]struct{ path, of string }{
	"torso.pivot_radius":         {"torso.pivot_friction", "of the pivot"},
	"torso.pushes.NAME.depth":    {"torso.pushes.NAME.friction", "of the yoke on the shaft"},
	"torso.guide.clearance":      {"torso.guide.friction", "of the pin in its slot"},
	"linkages.NAME.pin_diameter": {"linkages.NAME.pin_friction", "of its pins, slides and slots"},
}

// nameStep and entryStep stand in a Path for a name and a list index.
const (
	nameStep  = "NAME"
	entryStep = "N"
)

// schema is the key table as a tree.
type schema struct {
	key   Key
	names []string // of kids, in table order
	kids  map[string]*schema
	wild  *schema // of NAME
	entry *schema // of N
	// fallback is the default where it is a number, in the model's unit; word
	// the index of the default among Words.
	fallback float64
	word     int
}

// unknownKeys stands for what the table says nothing of.
var unknownKeys = &schema{}

// keyTable returns the table as a tree.
var keyTable = sync.OnceValue(func() *schema { return compile(Keys()) })

func compile(keys []Key) *schema {
	root := &schema{}
	for _, k := range keys {
		steps := strings.Split(k.Path, ".")
		parent := root
		for _, step := range steps[:len(steps)-1] {
			parent, _ = parent.step(step)
		}
		s := &schema{key: k}
		s.setDefault()
		switch last := steps[len(steps)-1]; last {
		case nameStep:
			parent.wild = s
		case entryStep:
			parent.entry = s
		default:
			if parent.kids == nil {
				parent.kids = map[string]*schema{}
			}
			parent.kids[last] = s
			parent.names = append(parent.names, last)
		}
	}
	return root
}

func (s *schema) setDefault() {
	if s.key.Default == "" {
		return
	}
	if v, err := units.Parse(s.key.Default, s.key.Dimension, units.Defaults{}); err == nil && s.key.Kind == Quantity {
		s.fallback = v
	}
	for i, w := range s.key.Words {
		if w == s.key.Default {
			s.word = i
		}
	}
}

// step follows one step of a pattern.
func (s *schema) step(step string) (*schema, bool) {
	switch step {
	case nameStep:
		return s.wild, s.wild != nil
	case entryStep:
		return s.entry, s.entry != nil
	}
	k, ok := s.kids[step]
	return k, ok
}

// child returns what the table says of a key or name.
func (s *schema) child(name string) (*schema, bool) {
	if k, ok := s.kids[name]; ok {
		return k, true
	}
	if s.wild != nil {
		return s.wild, true
	}
	return unknownKeys, false
}

// item returns what the table says of a list's entries.
func (s *schema) item() *schema {
	if s.entry != nil {
		return s.entry
	}
	return unknownKeys
}

func (s *schema) isMapping() bool { return len(s.kids) > 0 || s.wild != nil }

// namesParts reports whether the names below belong to parts with keys of their
// own, rather than to single values.
func (s *schema) namesParts() bool { return s.wild != nil && s.wild.isMapping() }

func (s *schema) words() []string { return s.names }

// want says what a value must be, for messages.
func (k *Key) want() string {
	switch k.Kind {
	case Mapping, Named:
		return "a mapping"
	case List:
		return "a list"
	case Word:
		return "one of " + strings.Join(k.Words, ", ")
	case Reference:
		return "a name"
	case Quantity:
		return k.Bound.prefix(k.Dimension.Want())
	case Whole:
		if k.Bound == Positive {
			return "a whole number of 1 or more"
		}
		return "a whole number"
	case Pair:
		return "two numbers in brackets, such as [12, -3]"
	case Triple:
		return "three numbers in brackets, such as [12, -3, 40]"
	case Flag:
		return "yes or no"
	default:
		return "a text"
	}
}

// prefix puts the bound into a dimension's description: "a length above 0".
func (b Bound) prefix(want string) string {
	name, list, found := strings.Cut(want, ":")
	name, unit, withUnit := strings.Cut(name, " with")
	switch b {
	case Positive:
		name += " above 0"
	case NotNegative:
		name += " of 0 or more"
	}
	if withUnit {
		name += " with" + unit
	}
	if found {
		return name + ":" + list
	}
	return name
}

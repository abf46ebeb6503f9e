package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"understage/internal/mech"
	"understage/internal/solve"
	"understage/internal/spec"
	"understage/internal/units"

	"github.com/spf13/pflag"
)

// beltLayout is a belt's run written in flags.
type beltLayout struct {
	pitch  string
	teeth  string
	centre string
	at     []string
	width  string
	takeUp string
	stock  string
	inches bool
}

func (l *beltLayout) add(f *pflag.FlagSet) {
	f.StringVar(&l.pitch, "pitch", "", "belt system, such as MXL, T5 or 3M")
	f.StringVar(&l.teeth, "teeth", "", "pulleys in the order the belt meets them, such as 18,40 or 18,40,d10:back")
	f.StringVar(&l.centre, "centre", "", "distance between two pulleys")
	f.StringArrayVar(&l.at, "at", nil, "where a pulley stands, `U,V`; once for each pulley")
	f.StringVar(&l.width, "width", "", "width of the belt")
	f.StringVar(&l.takeUp, "take-up", "", "travel of the last sprocket along the line from the first, `FROM,TO`")
	f.StringVar(&l.stock, "stock", "", "`FILE` with the maker's drawer, YAML or CSV, in place of the spec's")
	f.BoolVar(&l.inches, "inches", false, "lengths without a unit are inches, and the tables too")
}

// given reports whether the flags say the run.
func (l *beltLayout) given() bool { return l.firstGiven() != "" }

func (l *beltLayout) firstGiven() string {
	for _, flag := range []struct{ name, value string }{
		{"pitch", l.pitch}, {"teeth", l.teeth}, {"centre", l.centre}, {"take-up", l.takeUp}, {"at", strings.Join(l.at, "")},
	} {
		if flag.value != "" {
			return flag.name
		}
	}
	return ""
}

func (l *beltLayout) defaults() units.Defaults { return units.Defaults{Inches: l.inches} }

// length reads one length of a flag.
func (l *beltLayout) length(flag, text string) (float64, error) {
	return quantity(flag, text, units.Length, l.defaults())
}

func quantity(flag, text string, dim units.Dimension, d units.Defaults) (float64, error) {
	v, err := units.Parse(text, dim, d)
	if err != nil {
		return 0, fmt.Errorf("--%s %q: %w", flag, text, err)
	}
	return v, nil
}

// pair reads two lengths with a comma between.
func (l *beltLayout) pair(flag, text string) (u, v float64, err error) {
	first, second, ok := strings.Cut(text, ",")
	if !ok {
		return 0, 0, fmt.Errorf("--%s %q: want two lengths with a comma between, such as 36,0", flag, text)
	}
	if u, err = l.length(flag, first); err != nil {
		return 0, 0, err
	}
	v, err = l.length(flag, second)
	return u, v, err
}

// mostPulleys bounds a run written in flags.
const mostPulleys = 200

// model builds a figure of one belt named "belt". Pulleys on shafts are named
// by their place in the run.
func (l *beltLayout) model(a *app) (*mech.Model, error) {
	if l.pitch == "" || l.teeth == "" {
		return nil, fmt.Errorf("belt: --pitch and --teeth say the pulleys, such as --pitch MXL --teeth 18,40; or give a SPEC")
	}
	section, err := sectionOf(l.pitch)
	if err != nil {
		return nil, err
	}
	m := &mech.Model{Name: "belt from flags"}
	if l.inches {
		m.Lengths = mech.Inch
	}
	b := mech.Belt{Name: "belt", Section: mech.BeltSection{
		Name: section.Name, Pitch: section.Pitch.Value, ToothHeight: section.ToothHeight.Value, PitchLine: section.PitchLine.Value, Back: section.Back.Value,
	}}
	words := strings.Split(l.teeth, ",")
	if len(words) < 2 || len(words) > mostPulleys {
		return nil, fmt.Errorf("--teeth %q: want 2 to %d pulleys with commas between", l.teeth, mostPulleys)
	}
	for i, word := range words {
		p, err := l.pulley(word)
		if err != nil {
			return nil, err
		}
		name := strconv.Itoa(i + 1)
		if p.Teeth > 0 {
			p.Shaft = len(m.Shafts)
			m.Shafts = append(m.Shafts, mech.Shaft{Name: name})
		} else {
			p.Idler = name
		}
		b.Run = append(b.Run, p)
	}
	if l.width != "" {
		w, err := l.length("width", l.width)
		if err != nil {
			return nil, err
		}
		if w <= 0 {
			return nil, fmt.Errorf("--width %q: want more than nothing", l.width)
		}
		b.Width = mech.Given{Value: w, OK: true}
	}
	m.Belts = []mech.Belt{b}
	if err := l.stand(m); err != nil {
		return nil, err
	}
	return m, l.drawer(a, m)
}

// pulley reads one word of --teeth.
func (l *beltLayout) pulley(word string) (mech.Pulley, error) {
	word = strings.TrimSpace(word)
	p := mech.Pulley{Shaft: mech.None}
	body, side, sided := strings.Cut(word, ":")
	switch {
	case sided && side == "back":
		p.Back = true
	case sided && side != "inside":
		return p, fmt.Errorf("--teeth %q: a side is inside or back", word)
	}
	if across, plain := strings.CutPrefix(body, "d"); plain {
		d, err := l.length("teeth", across)
		if err == nil && d <= 0 {
			err = fmt.Errorf("--teeth %q: a plain pulley needs a diameter", word)
		}
		p.Diameter = d
		return p, err
	}
	teeth, err := units.ParseCount(body)
	if err != nil || teeth < 1 {
		return p, fmt.Errorf("--teeth %q: want a whole number of teeth, or d and the diameter of a plain pulley", word)
	}
	p.Teeth = teeth
	return p, nil
}

// stand puts the pulleys where --at or --centre says, and lets the last sprocket
// be taken up along the line from the first.
func (l *beltLayout) stand(m *mech.Model) error {
	b := &m.Belts[0]
	switch {
	case len(l.at) > 0 && l.centre != "":
		return fmt.Errorf("belt: --at and --centre both say where pulleys stand: give one of them")
	case len(l.at) > 0:
		if len(l.at) != len(b.Run) {
			return fmt.Errorf("--at is given for %d pulleys, and --teeth lists %d", len(l.at), len(b.Run))
		}
		for i, text := range l.at {
			u, v, err := l.pair("at", text)
			if err != nil {
				return err
			}
			l.put(m, i, u, v)
		}
	case len(b.Run) != 2:
		return fmt.Errorf("belt: %d pulleys need their places: --at once for each", len(b.Run))
	case l.centre != "":
		c, err := l.length("centre", l.centre)
		if err != nil {
			return err
		}
		if c <= 0 {
			return fmt.Errorf("--centre %q: want more than nothing", l.centre)
		}
		l.put(m, 1, c, 0)
	}
	return l.letMove(m)
}

func (l *beltLayout) put(m *mech.Model, i int, u, v float64) {
	at := &m.Belts[0].Run[i].At
	if shaft := m.Belts[0].Run[i].Shaft; shaft != mech.None {
		at = &m.Shafts[shaft].At
	}
	at.X, at.Y = u, v
}

// letMove adds the take-up.
func (l *beltLayout) letMove(m *mech.Model) error {
	b := &m.Belts[0]
	last := -1
	for i, p := range b.Run {
		if p.Teeth > 0 {
			last = i
		}
	}
	if last < 1 {
		last = len(b.Run) - 1
	}
	t := mech.TakeUp{Pulley: last, Free: true}
	t.Along.X = 1
	circles := solve.BeltCircles(m, b)
	du, dv := circles[last].At.X-circles[0].At.X, circles[last].At.Y-circles[0].At.Y
	if far := math.Hypot(du, dv); far > 0 {
		t.Along.X, t.Along.Y = du/far, dv/far
	}
	if l.takeUp != "" {
		from, to, err := l.pair("take-up", l.takeUp)
		if err != nil {
			return err
		}
		if from > to {
			return fmt.Errorf("--take-up %q: want the lesser end first", l.takeUp)
		}
		t.Min, t.Max, t.Free = from, to, false
	}
	b.TakeUp = &t
	return nil
}

// placeForBelt stands two pulleys at the exact distance for the belt asked for,
// where no flag says a distance.
func (l *beltLayout) placeForBelt(m *mech.Model) error {
	b := &m.Belts[0]
	if l.centre != "" || len(l.at) > 0 {
		return nil
	}
	if b.Teeth == 0 {
		return fmt.Errorf("belt: say where the two pulleys stand with --centre or --at, or which belt closes over them with --belt")
	}
	circles := solve.BeltCircles(m, b)
	if circles[0].Back || circles[1].Back {
		return fmt.Errorf("belt: a loop of two pulleys has both inside it")
	}
	outside := func(p mech.Pulley, c solve.Circle) float64 {
		if p.Teeth > 0 {
			return c.Radius - b.Section.PitchLine
		}
		return p.Diameter / 2
	}
	touching := outside(b.Run[0], circles[0]) + outside(b.Run[1], circles[1])
	c := solve.CentreForLength(circles[0].Radius, circles[1].Radius, float64(b.Teeth)*b.Section.Pitch)
	if !c.OK || c.Value < touching {
		var loop solve.Loop
		circles[1].At.X = circles[0].At.X + touching
		solve.SolveLoop(&loop, circles)
		return fmt.Errorf("--belt %d: too short to go round both pulleys, which touch each other when the belt has %.2f teeth: take %d or more",
			b.Teeth, loop.Length/b.Section.Pitch, int(math.Ceil(loop.Length/b.Section.Pitch)))
	}
	l.put(m, 1, c.Value, 0)
	return nil
}

// drawer reads the drawer of --stock into the model.
func (l *beltLayout) drawer(a *app, m *mech.Model) error {
	if l.stock == "" {
		return nil
	}
	text, err := readFile(l.stock)
	if err != nil {
		return fmt.Errorf("--stock %s: cannot be read: %w", l.stock, cause(err))
	}
	stock, messages := spec.LoadDrawer(l.stock, func(string) ([]byte, error) { return text, nil })
	if len(messages) > 0 {
		return a.refuse(source{Source: spec.Source{Name: l.stock, Text: text}}, nil, messages)
	}
	m.Stock = stock
	return nil
}

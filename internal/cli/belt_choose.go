package cli

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/signal"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"understage/internal/mech"
	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/standard"
	"understage/internal/units"

	"github.com/spf13/pflag"
)

// beltChooseFlags ask for other sprockets and belts.
type beltChooseFlags struct {
	on        bool
	speeds    []string
	repeat    string
	mesh      float64
	sprockets string
	belts     string
	top       int
}

func (c *beltChooseFlags) add(f *pflag.FlagSet) {
	f.BoolVar(&c.on, "choose", false, "list the best sprockets and belts for the loop")
	f.StringArrayVar(&c.speeds, "speed", nil, "with --choose: band that a shaft's speed must keep to, `SHAFT=FROM..TO` in rpm; repeatable")
	f.StringVar(&c.repeat, "repeat", "", "with --choose: least time before the motion repeats, such as 10min")
	f.Float64Var(&c.mesh, "mesh", 0, "with --choose: least teeth in mesh; left out, the limit of rule belt_mesh")
	f.StringVar(&c.sprockets, "sprockets", "", "with --choose: tooth counts on offer, such as 12..60 or 18,20,40, or drawer; left out, the least recommended to 60, and the drawer's")
	f.StringVar(&c.belts, "belts", "listed", "with --choose: belts on offer, listed (the standard's and the drawer's) or drawer")
	f.IntVar(&c.top, "top", 10, "with --choose: how many to list")
}

// mostChoices is how many combinations of sprockets are worth waiting for: some
// hours.
const mostChoices = 2e10

// choiceOrder says how choices are ordered.
const choiceOrder = "longest repeat, nearest to the speeds wanted (the middle of each band, or as drawn), belt in the drawer, fewest parts to buy, hunting teeth"

func (c *beltChooseFlags) run(a *app, m *mech.Model, s *solve.Solution, belt int) (*report.Choices, error) {
	d, err := c.demand(m, belt)
	if err != nil {
		return nil, err
	}
	if n := solve.CountChoices(m, belt, d); n > mostChoices {
		return nil, fmt.Errorf("--choose: %.2g combinations of sprockets are too many: offer fewer with --sprockets", n)
	}
	if t := m.Belts[belt].TakeUp; t != nil && t.Free {
		return nil, fmt.Errorf("--choose needs a motor and a take-up range: give a SPEC")
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	var done atomic.Int64
	end := a.showProgress(&done, solve.CountChoices(m, belt, d))
	chosen := solve.ChooseBelts(ctx, m, s, belt, d, &done)
	end()
	switch {
	case chosen.Stopped:
		return nil, fmt.Errorf("--choose: interrupted")
	case chosen.Status == solve.ChooseNoMotor:
		return nil, fmt.Errorf("--choose: no motor drives belt %s, so there are no speeds to keep to", m.Belts[belt].Name)
	case chosen.Status != solve.ChooseOK:
		return nil, fmt.Errorf("--choose: the figure has no repeat to lengthen: the drive locks, or nothing that moves it is driven")
	}
	return chosenReport(m, belt, chosen, s.Motor.RunningSpeed), nil
}

// demand reads the flags.
func (c *beltChooseFlags) demand(m *mech.Model, belt int) (solve.Demand, error) {
	b := &m.Belts[belt]
	d := solve.Demand{Top: c.top, LeastMesh: c.mesh, Belts: solve.BeltStock(m, b.Section.Name)}
	if d.Top < 1 || d.Top > 10000 {
		return d, fmt.Errorf("--top %d: want 1 to 10000", d.Top)
	}
	if !(d.LeastMesh >= 0 && d.LeastMesh < 1e6) {
		return d, fmt.Errorf("--mesh %g: want a number of teeth", d.LeastMesh)
	}
	if d.LeastMesh == 0 {
		d.LeastMesh = standard.Limit(m.Limits, "belt_mesh")
	}
	switch c.belts {
	case "listed":
	case "drawer":
		d.Belts = slices.DeleteFunc(d.Belts, func(b solve.StockedBelt) bool { return !b.Drawer })
		if len(d.Belts) == 0 {
			return d, fmt.Errorf("--belts drawer: the drawer has none for belt %s", b.Name)
		}
	default:
		return d, fmt.Errorf("--belts %q: want listed or drawer", c.belts)
	}
	if len(d.Belts) == 0 {
		return d, fmt.Errorf("--choose: no list of lengths is known for belt %s: note belts under stock", b.Name)
	}
	for _, text := range c.speeds {
		band, err := speedBand(m, text)
		if err != nil {
			return d, err
		}
		d.Bands = append(d.Bands, band)
	}
	if c.repeat != "" {
		seconds, err := quantity("repeat", c.repeat, units.Time, units.Defaults{})
		if err != nil {
			return d, err
		}
		d.LeastRepeat = seconds
	}
	var err error
	d.Sprockets, err = c.offered(m, b)
	return d, err
}

// speedBand reads SHAFT=FROM..TO.
func speedBand(m *mech.Model, text string) (solve.SpeedBand, error) {
	name, band, ok := strings.Cut(text, "=")
	from, to, isRange := strings.Cut(band, "..")
	if !ok || !isRange {
		return solve.SpeedBand{}, fmt.Errorf("--speed %q: want SHAFT=FROM..TO, such as side=7..9", text)
	}
	shaft := slices.IndexFunc(m.Shafts, func(s mech.Shaft) bool { return s.Name == name })
	if shaft < 0 {
		var names []string
		for _, s := range m.Shafts {
			names = append(names, s.Name)
		}
		return solve.SpeedBand{}, fmt.Errorf("--speed %q: no shaft %q%s", text, name, nearest(name, names))
	}
	low, err := quantity("speed", from, units.Speed, units.Defaults{})
	if err != nil {
		return solve.SpeedBand{}, err
	}
	high, err := quantity("speed", to, units.Speed, units.Defaults{})
	if err != nil {
		return solve.SpeedBand{}, err
	}
	if low < 0 || high < low || high == 0 {
		return solve.SpeedBand{}, fmt.Errorf("--speed %q: want a band that rises from no less than 0", text)
	}
	return solve.SpeedBand{Shaft: shaft, Min: low, Max: high}, nil
}

// mostOffered is the largest sprocket offered unless the flags say otherwise.
const mostOffered = 60

// offered returns the tooth counts to choose among, rising.
func (c *beltChooseFlags) offered(m *mech.Model, b *mech.Belt) ([]int, error) {
	var drawer []int
	section, _ := standard.FindSection(b.Section.Name)
	for _, own := range m.Stock.Sprockets {
		if s, ok := standard.FindSection(own.Section); ok && s.Name == section.Name {
			drawer = append(drawer, own.Teeth)
		}
	}
	var all []int
	switch from, to, isRange := strings.Cut(c.sprockets, ".."); {
	case c.sprockets == "drawer":
		if len(drawer) == 0 {
			return nil, fmt.Errorf("--sprockets drawer: the drawer has no sprocket for belt %s", b.Name)
		}
		all = drawer
	case c.sprockets == "":
		least := standard.Limit(m.Limits, "least_teeth")
		if d, ok := section.Least(0); ok && m.Limits["least_teeth"] == 0 {
			least = d.Value
		}
		all = append(upward(int(math.Ceil(least)), mostOffered), drawer...)
	case isRange:
		low, errLow := units.ParseCount(from)
		high, errHigh := units.ParseCount(to)
		if errLow != nil || errHigh != nil || low < 1 || high < low || high > 10000 {
			return nil, fmt.Errorf("--sprockets %q: want a range that rises, such as 12..60", c.sprockets)
		}
		all = upward(low, high)
	default:
		for _, word := range strings.Split(c.sprockets, ",") {
			z, err := units.ParseCount(word)
			if err != nil || z < 1 || z > 10000 {
				return nil, fmt.Errorf("--sprockets %q: want tooth counts with commas between, a range such as 12..60, or drawer", c.sprockets)
			}
			all = append(all, z)
		}
	}
	slices.Sort(all)
	return slices.Compact(all), nil
}

func upward(low, high int) []int {
	var all []int
	for z := low; z <= high; z++ {
		all = append(all, z)
	}
	return all
}

// chosenReport solves the best choices in full and lays them out.
func chosenReport(m *mech.Model, belt int, chosen solve.Chosen, speed float64) *report.Choices {
	out := &report.Choices{
		Belt: m.Belts[belt].Name, LookedAt: report.Value(chosen.LookedAt), Met: report.Value(chosen.Met),
		Order: choiceOrder, Rows: []report.Choice{},
	}
	with := *m
	with.Belts = slices.Clone(m.Belts)
	b := &with.Belts[belt]
	b.Run = slices.Clone(b.Run)
	for _, c := range chosen.Best {
		for i := range b.Run {
			b.Run[i].Teeth = c.Teeth[i]
		}
		b.Teeth = c.Belt.Teeth
		drive := solve.SolveDrive(&with)
		repeat := solve.SolveRepeat(&with, &drive, 0)
		out.Rows = append(out.Rows, report.BuildChoice(&with, belt, c, speed, &drive, &repeat, solve.SolveBelt(&with, b)))
	}
	return out
}

// showProgress keeps a line on a terminal once a run has lasted a second, and
// returns what ends it.
func (a *app) showProgress(done *atomic.Int64, all float64) (end func()) {
	if !terminal(a.stderr) {
		return func() {}
	}
	quit, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		start := time.Now()
		tick := time.NewTicker(time.Second)
		defer tick.Stop()
		for shown := false; ; {
			select {
			case <-quit:
				if shown {
					fmt.Fprint(a.stderr, "\r\x1b[K")
				}
				return
			case <-tick.C:
				n := float64(done.Load())
				rate := n / time.Since(start).Seconds()
				left := "?"
				if rate > 0 {
					left = time.Duration((all - n) / rate * float64(time.Second)).Round(time.Second).String()
				}
				fmt.Fprintf(a.stderr, "\r%.3g of %.3g combinations, %.2g a second, %s left \x1b[K", n, all, rate, left)
				shown = true
			}
		}
	}()
	return func() { close(quit); <-ended }
}

// beltTeeth reads a belt by its teeth or its stock code.
func beltTeeth(section, text string) (int, error) {
	if teeth, err := strconv.Atoi(text); err == nil {
		if teeth < 1 || teeth > mostBeltTeeth {
			return 0, fmt.Errorf("--belt %q: want 1 to %d teeth", text, mostBeltTeeth)
		}
		return teeth, nil
	}
	s, _ := standard.FindSection(section)
	l, ok := s.FindLength(text)
	if !ok {
		var codes []string
		for _, l := range s.Lengths {
			codes = append(codes, l.Code)
		}
		return 0, fmt.Errorf("--belt %q: neither a number of teeth nor a stock code of %s%s", text, section, nearest(text, codes))
	}
	return l.Teeth, nil
}

// mostBeltTeeth is far beyond any belt made.
const mostBeltTeeth = 100000

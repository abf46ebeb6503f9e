package solve

// Choosing sprockets and belt for one loop of a figure. Every combination of the
// tooth counts on offer is decided: speeds and repeat in whole numbers, then the
// loop as drawn, then which belts the take-up can close.
//
// A shaft m that hangs on stop j of the loop turns at
//
//	r_m = c_m · r_d · z_d·s_d/(z_j·s_j)
//
// where r_d is the driver's ratio and c_m = r_m/r_j what gears and other belts
// make of the stop's own; both stay as they are.

import (
	"cmp"
	"context"
	"math"
	"math/bits"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
)

// SpeedBand is what a shaft's speed must keep to, rad/s, unsigned.
type SpeedBand struct {
	Shaft    int
	Min, Max float64
}

// Demand is what a choice must meet.
type Demand struct {
	Bands       []SpeedBand
	LeastRepeat float64 // s
	LeastMesh   float64 // teeth, as drawn
	Sprockets   []int   // tooth counts on offer, each once
	Belts       []StockedBelt
	Top         int // how many of the best to return
}

// BeltChoice is one combination that meets every demand.
type BeltChoice struct {
	Teeth   []int // by stop of the run; a plain pulley has 0
	Belt    StockedBelt
	Repeat  float64 // motor turns
	Off     float64 // share by which the worst speed misses what is wanted
	Mesh    float64 // least teeth in mesh
	ToBuy   int     // sprockets and belt not in the drawer
	Hunting bool    // every driven sprocket is coprime with the driver's
}

// ChooseStatus says why nothing can be chosen.
type ChooseStatus int

const (
	ChooseOK       ChooseStatus = iota
	ChooseNoMotor               // nothing drives the belt
	ChooseNoRepeat              // ratios not known, or nothing that matters hangs on anything
)

// Chosen is the outcome: the best first.
type Chosen struct {
	Status    ChooseStatus
	Best      []BeltChoice
	Sprockets int64 // combinations of sprockets decided
	LookedAt  int64 // the same with every belt
	Met       int64 // combinations with a belt that met every demand
	Stopped   bool  // the context ended it early
}

// CountChoices returns how many combinations of sprockets ChooseBelts decides.
func CountChoices(m *mech.Model, belt int, d Demand) float64 {
	count := 1.0
	for _, p := range m.Belts[belt].Run {
		if p.Teeth > 0 {
			count *= float64(len(d.Sprockets))
		}
	}
	return count
}

// ChooseBelts decides every combination. Done, if not nil, counts the sprocket
// combinations decided so far and may be read at any time.
func ChooseBelts(ctx context.Context, m *mech.Model, s *Solution, belt int, d Demand, done *atomic.Int64) Chosen {
	plan, status := newChoosePlan(m, s, belt, d)
	if status != ChooseOK {
		return Chosen{Status: status}
	}
	if done == nil {
		done = new(atomic.Int64)
	}
	var next atomic.Int64
	parts := make([]chooser, min(runtime.GOMAXPROCS(0), max(1, len(d.Sprockets))))
	var wait sync.WaitGroup
	for i := range parts {
		parts[i].init(plan)
		wait.Go(func() {
			for k := next.Add(1) - 1; k < int64(len(d.Sprockets)) && ctx.Err() == nil; k = next.Add(1) - 1 {
				parts[i].drive(ctx, d.Sprockets[k], done)
			}
		})
	}
	wait.Wait()
	out := Chosen{Stopped: ctx.Err() != nil}
	for i := range parts {
		out.Best = append(out.Best, parts[i].best...)
		out.Sprockets += parts[i].decided
		out.Met += parts[i].met
	}
	out.LookedAt = out.Sprockets * int64(len(d.Belts))
	slices.SortFunc(out.Best, compareChoices)
	out.Best = out.Best[:min(len(out.Best), d.Top)]
	return out
}

// compareChoices orders by repeat, closeness to the speeds, belt in the drawer,
// parts to buy, hunting teeth, and then by teeth so that the order is one.
func compareChoices(a, b BeltChoice) int {
	if a.Repeat != b.Repeat {
		return cmp.Compare(b.Repeat, a.Repeat)
	}
	if a.Off != b.Off {
		return cmp.Compare(a.Off, b.Off)
	}
	if a.Belt.Drawer != b.Belt.Drawer {
		return preferred(a.Belt.Drawer)
	}
	if a.ToBuy != b.ToBuy {
		return a.ToBuy - b.ToBuy
	}
	if a.Hunting != b.Hunting {
		return preferred(a.Hunting)
	}
	if c := slices.Compare(a.Teeth, b.Teeth); c != 0 {
		return c
	}
	return a.Belt.Teeth - b.Belt.Teeth
}

// preferred orders what is so before what is not.
func preferred(so bool) int {
	if so {
		return -1
	}
	return 1
}

// choosePlan is what all combinations share.
type choosePlan struct {
	demand  Demand
	pitch   float64
	tip     float64 // from pitch line down to the tooth tips
	circles []Circle
	plain   []float64 // body radius of plain pulleys by stop, 0 for sprockets
	teeth   []int     // as drawn, by stop
	stops   []int     // stops whose teeth are chosen, but for the driver's
	driver  int
	speed   float64 // of the motor, rad/s
	hang    []hanging
	takeUp  *mech.TakeUp
	slack   float64 // without take-up: how far loop and belt may differ
	drawer  map[int]int
	convex  bool
}

// hanging is a shaft whose speed follows from the choice.
type hanging struct {
	stop    int      // -1: the driver's own, which stays
	factor  fraction // |c_m·r_d|
	matters bool
	min     float64 // rad/s; the band, or none
	max     float64
	wanted  float64 // rad/s; 0: not wanted at any speed
}

// fraction is a positive rational in lowest terms.
type fraction struct{ num, den uint64 }

func newChoosePlan(m *mech.Model, s *Solution, belt int, d Demand) (*choosePlan, ChooseStatus) {
	b := &m.Belts[belt]
	driver, ok := BeltDriver(m, &s.Drive, belt)
	if m.Motor == nil || !ok {
		return nil, ChooseNoMotor
	}
	if s.Repeat.Status != RepeatOK {
		return nil, ChooseNoRepeat
	}
	p := &choosePlan{
		demand: d, pitch: b.Section.Pitch, tip: b.Section.PitchLine, circles: BeltCircles(m, b),
		driver: driver, speed: s.Motor.RunningSpeed, takeUp: b.TakeUp, convex: true,
		slack: standard.Limit(m.Limits, "fixed_centres"), drawer: make(map[int]int),
	}
	for _, own := range m.Stock.Sprockets {
		if sameSection(own.Section, b.Section.Name) {
			p.drawer[own.Teeth] += max(1, own.Count)
		}
	}
	for i, pulley := range b.Run {
		p.teeth = append(p.teeth, pulley.Teeth)
		p.plain = append(p.plain, 0)
		p.convex = p.convex && !pulley.Back
		switch {
		case pulley.Teeth == 0:
			p.plain[i] = pulley.Diameter / 2
		case i != driver:
			p.stops = append(p.stops, i)
		}
	}
	return p, p.hangShafts(m, s, belt)
}

// hangShafts finds what each shaft of interest hangs on.
func (p *choosePlan) hangShafts(m *mech.Model, s *Solution, belt int) ChooseStatus {
	run := m.Belts[belt].Run
	for shaft := range m.Shafts {
		band := slices.IndexFunc(p.demand.Bands, func(b SpeedBand) bool { return b.Shaft == shaft })
		onBelt := slices.ContainsFunc(run, func(q mech.Pulley) bool { return q.Shaft == shaft && q.Teeth > 0 })
		if !s.Drive.Ratios[shaft].Driven() || band < 0 && !s.Repeat.Matters[shaft] && !onBelt {
			continue
		}
		h := hanging{stop: -1, matters: s.Repeat.Matters[shaft], max: math.Inf(1)}
		ratio := s.Drive.Ratios[shaft]
		h.factor = unsigned(ratio)
		if stop := beltStopOf(m, &s.Drive, belt, shaft); stop >= 0 && stop != p.driver {
			h.stop = stop
			// r_m·z_j/z_d, as drawn, is what every choice keeps.
			h.factor = h.factor.times(uint64(run[stop].Teeth), uint64(run[p.driver].Teeth))
		}
		if band >= 0 {
			h.min, h.max = p.demand.Bands[band].Min, p.demand.Bands[band].Max
			h.wanted = (h.min + h.max) / 2
		} else if onBelt && len(p.demand.Bands) == 0 {
			h.wanted = math.Abs(ratio.Float()) * p.speed
		}
		p.hang = append(p.hang, h)
	}
	return ChooseOK
}

// beltStopOf returns the stop of the belt through which a shaft is driven, or -1
// when it is driven without the belt.
func beltStopOf(m *mech.Model, d *Drive, belt, shaft int) int {
	for range m.Shafts {
		switch via := d.Via[shaft]; {
		case via == Part{BeltPart, belt}:
			return slices.IndexFunc(m.Belts[belt].Run, func(p mech.Pulley) bool { return p.Shaft == shaft && p.Teeth > 0 })
		case via.Kind == BeltPart:
			i, ok := BeltDriver(m, d, via.Index)
			if !ok {
				return -1
			}
			shaft = m.Belts[via.Index].Run[i].Shaft
		case via.Kind == GearPart:
			g := m.Gears[via.Index]
			shaft = g.Driver.Shaft + g.Driven.Shaft - shaft
		default:
			return -1
		}
	}
	return -1
}

func unsigned(r Ratio) fraction {
	num := r.Num
	if num < 0 {
		num = -num
	}
	return fraction{uint64(num), uint64(r.Den)}
}

// times returns f·num/den in lowest terms; saturated where it does not fit.
func (f fraction) times(num, den uint64) fraction {
	g := gcd(num, den)
	num, den = num/g, den/g
	g, h := gcd(f.num, den), gcd(num, f.den)
	return fraction{product(f.num/g, num/h), product(f.den/h, den/g)}
}

func product(a, b uint64) uint64 {
	high, low := bits.Mul64(a, b)
	if high != 0 {
		return math.MaxUint64
	}
	return low
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// outsideOf returns the body radius of a sprocket.
func (p *choosePlan) outsideOf(teeth int) float64 {
	return float64(teeth)*p.pitch/(2*math.Pi) - p.tip
}

// apart reports whether two stops stand clear of each other with the circles as
// they are.
func (p *choosePlan) apart(circles []Circle, teeth []int, i, j int) bool {
	body := func(k int) float64 {
		if teeth[k] == 0 {
			return p.plain[k]
		}
		return p.outsideOf(teeth[k])
	}
	return r2.Norm(r2.Sub(circles[i].At, circles[j].At)) >= body(i)+body(j)
}

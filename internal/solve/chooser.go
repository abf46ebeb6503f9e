package solve

import (
	"context"
	"math"
	"slices"
	"sync/atomic"
)

// chooser decides the combinations of one worker. Nothing is allocated for a
// combination that is not kept.
type chooser struct {
	*choosePlan
	offers  [][]offer // by place in stops, for the driver's teeth at hand
	teeth   []int
	circles []Circle
	loop    Loop
	best    []BeltChoice // sorted, at most demand.Top
	decided int64
	met     int64
}

// offer is one sprocket for one stop with what follows from it and the driver's.
type offer struct {
	teeth   int
	radius  float64
	off     float64
	hunting bool
	periods [mostHanging]fraction // of the shafts that matter and hang on the stop
	count   int
}

// mostHanging is how many shafts that matter may hang on one stop; of more, the
// rest are folded into one by their common period.
const mostHanging = 4

func (c *chooser) init(p *choosePlan) {
	c.choosePlan = p
	c.offers = make([][]offer, len(p.stops))
	c.teeth = slices.Clone(p.teeth)
	c.circles = slices.Clone(p.circles)
}

// drive decides every combination with the given teeth on the driver.
func (c *chooser) drive(ctx context.Context, teeth int, done *atomic.Int64) {
	all := int64(1)
	for range c.stops {
		all *= int64(len(c.demand.Sprockets))
	}
	c.decided += all
	base := offer{}
	c.teeth[c.driver] = teeth
	c.circles[c.driver].Radius = float64(teeth) * c.pitch / (2 * math.Pi)
	if !c.fill(&base, -1, teeth, teeth) {
		done.Add(all)
		return
	}
	empty := false
	for i, stop := range c.stops {
		c.offers[i] = c.offers[i][:0]
		for _, z := range c.demand.Sprockets {
			o := offer{teeth: z, radius: float64(z) * c.pitch / (2 * math.Pi), hunting: gcd(uint64(teeth), uint64(z)) == 1}
			if c.fill(&o, stop, teeth, z) {
				c.offers[i] = append(c.offers[i], o)
			}
		}
		empty = empty || len(c.offers[i]) == 0
	}
	if !empty {
		c.combine(ctx, 0, base, true)
	}
	done.Add(all)
}

// fill works out the shafts that hang on a stop, and reports whether all keep to
// their bands.
func (c *chooser) fill(o *offer, stop, driverTeeth, teeth int) bool {
	for _, h := range c.hang {
		if h.stop != stop {
			continue
		}
		f := h.factor
		if stop >= 0 {
			f = f.times(uint64(driverTeeth), uint64(teeth))
		}
		speed := float64(f.num) / float64(f.den) * c.speed
		if speed < h.min*(1-1e-12) || speed > h.max*(1+1e-12) {
			return false
		}
		if h.wanted > 0 {
			o.off = max(o.off, math.Abs(speed/h.wanted-1))
		}
		if !h.matters {
			continue
		}
		period := fraction{f.den, f.num}
		if o.count < mostHanging {
			o.periods[o.count] = period
			o.count++
		} else {
			o.periods[mostHanging-1] = together(o.periods[mostHanging-1], period)
		}
	}
	return true
}

// together returns the least common multiple of two periods.
func together(a, b fraction) fraction {
	g := gcd(a.num, b.num)
	return fraction{product(a.num/g, b.num), gcd(a.den, b.den)}
}

// combine goes through the offers of one stop after another.
func (c *chooser) combine(ctx context.Context, i int, so offer, hunting bool) {
	if i == len(c.stops) {
		c.decide(so, hunting)
		return
	}
	if i == 1 && ctx.Err() != nil {
		return
	}
	stop := c.stops[i]
	for k := range c.offers[i] {
		o := &c.offers[i][k]
		c.teeth[stop], c.circles[stop].Radius = o.teeth, o.radius
		next := so
		next.off = max(so.off, o.off)
		for _, period := range o.periods[:o.count] {
			if next.count == 0 {
				next.periods[0], next.count = period, 1
			} else {
				next.periods[0] = together(next.periods[0], period)
			}
		}
		c.combine(ctx, i+1, next, hunting && o.hunting)
	}
}

// turns returns the repeat of the periods gathered so far.
func (o *offer) turns() float64 {
	if o.count == 0 {
		return 0
	}
	all := o.periods[0]
	for _, p := range o.periods[1:o.count] {
		all = together(all, p)
	}
	return float64(all.num) / float64(all.den)
}

// decide judges one combination of sprockets with every belt.
func (c *chooser) decide(so offer, hunting bool) {
	repeat := so.turns()
	if repeat*2*math.Pi/c.speed < c.demand.LeastRepeat || !c.standApart() {
		return
	}
	if !c.loop.close(c.circles) {
		return
	}
	mesh := math.Inf(1)
	for i, z := range c.teeth {
		if z > 0 {
			mesh = min(mesh, float64(z)*c.loop.Wraps[i]/(2*math.Pi))
		}
	}
	if mesh < c.demand.LeastMesh {
		return
	}
	least, most, ok := c.reach()
	if !ok {
		return
	}
	for _, belt := range c.demand.Belts {
		length := float64(belt.Teeth) * c.pitch
		if length < least-rootTolerance || length > most+rootTolerance {
			continue
		}
		c.met++
		c.keep(BeltChoice{Belt: belt, Repeat: repeat, Off: so.off, Mesh: mesh, Hunting: hunting})
	}
}

// standApart reports whether no two bodies stand in each other as drawn.
func (c *chooser) standApart() bool {
	for i := range c.circles {
		for j := range i {
			if !c.apart(c.circles, c.teeth, i, j) {
				return false
			}
		}
	}
	return true
}

// reach returns the lengths of belt that the take-up can close. Over the travel
// of one pulley the length of a loop without back-side pulleys is convex, so it
// is greatest at an end and least at an end or where its rate changes sign. A
// loop with back-side pulleys is taken by small steps.
func (c *chooser) reach() (least, most float64, ok bool) {
	if c.takeUp == nil {
		return c.loop.Length - c.slack, c.loop.Length + c.slack, true
	}
	v := loopMove{circles: c.circles, k: c.takeUp.Pulley, home: c.circles[c.takeUp.Pulley].At, along: c.takeUp.Along, loop: c.loop}
	least, most = math.Inf(1), 0
	take := func(t float64) (rate float64, good bool) {
		length, rate, good := v.at(t)
		if good && c.movedApart(v.k) {
			least, most, ok = min(least, length), max(most, length), true
			return rate, true
		}
		return 0, false
	}
	low, high := c.takeUp.Min, c.takeUp.Max
	if c.convex {
		a, goodA := take(low)
		b, goodB := take(high)
		if goodA && goodB && a < 0 && b > 0 {
			c.bottom(take, low, high)
		}
		if goodA != goodB || !goodA {
			c.steps(take, low, high)
		}
	} else {
		c.steps(take, low, high)
	}
	c.circles[v.k].At = v.home
	c.loop = v.loop
	return least, most, ok
}

// bottom halves its way to where the length is least.
func (c *chooser) bottom(take func(float64) (float64, bool), low, high float64) {
	for range 40 {
		mid := (low + high) / 2
		if rate, good := take(mid); good && rate < 0 {
			low = mid
		} else {
			high = mid
		}
	}
}

// steps takes the travel in small steps, where one end has no loop or the loop
// bends both ways.
func (c *chooser) steps(take func(float64) (float64, bool), low, high float64) {
	const n = 32
	for i := range n + 1 {
		take(low + (high-low)*float64(i)/n)
	}
}

// movedApart reports whether stop k stands clear of the others.
func (c *chooser) movedApart(k int) bool {
	for i := range c.circles {
		if i != k && !c.apart(c.circles, c.teeth, i, k) {
			return false
		}
	}
	return true
}

// keep inserts a choice among the best.
func (c *chooser) keep(choice BeltChoice) {
	if len(c.best) == c.demand.Top && (c.demand.Top == 0 || choice.Repeat < c.best[len(c.best)-1].Repeat) {
		return
	}
	choice.Teeth = slices.Clone(c.teeth)
	choice.ToBuy = c.toBuy(choice.Belt)
	at, _ := slices.BinarySearchFunc(c.best, choice, compareChoices)
	if at == c.demand.Top {
		return
	}
	if len(c.best) == c.demand.Top {
		c.best = c.best[:len(c.best)-1]
	}
	c.best = slices.Insert(c.best, at, choice)
}

// toBuy counts the sprockets that the drawer lacks, and the belt.
func (c *chooser) toBuy(belt StockedBelt) int {
	buy := 0
	if !belt.Drawer {
		buy++
	}
	for i, z := range c.teeth {
		if z == 0 {
			continue
		}
		same := 0
		for _, other := range c.teeth[:i+1] {
			if other == z {
				same++
			}
		}
		if same > c.drawer[z] {
			buy++
		}
	}
	return buy
}

package solve

import (
	"math"
	"math/rand"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// randomChain builds a chain outward from a crank and two fixed pins: dyads of
// every kind, plates, levers, and now and then a group of three links that only
// Newton solves. It is assembled by construction.
func randomChain(r *rand.Rand) mech.Linkage {
	near := func(at r2.Vec, far float64) r2.Vec {
		sin, cos := math.Sincos(r.Float64() * 2 * math.Pi)
		d := far * (0.5 + r.Float64())
		return r2.Vec{X: at.X + d*cos, Y: at.Y + d*sin}
	}
	l := mech.Linkage{Pins: []mech.Pin{
		{Kind: mech.CrankPin, Crank: mech.Crank{Radius: 5 + 5*r.Float64(), Phase: r.Float64() * 6}},
		{Kind: mech.FixedPin, At: near(r2.Vec{}, 40)},
		{Kind: mech.FixedPin, At: near(r2.Vec{}, 40)},
	}}
	sin, cos := math.Sincos(l.Pins[0].Crank.Phase)
	at := []r2.Vec{{X: l.Pins[0].Crank.Radius * cos, Y: l.Pins[0].Crank.Radius * sin}, l.Pins[1].At, l.Pins[2].At}
	addPin := func(p mech.Pin, where r2.Vec) int {
		p.Start, p.StartGiven = r2.Add(where, r2.Vec{X: r.Float64() - 0.5, Y: r.Float64() - 0.5}), true
		l.Pins = append(l.Pins, p)
		at = append(at, where)
		return len(at) - 1
	}
	bar := func(p, q int) {
		l.Bars = append(l.Bars, mech.Bar{Pins: [2]int{p, q}, Length: r2.Norm(r2.Sub(at[p], at[q]))})
	}
	plate := func(pins ...int) {
		p := mech.Plate{}
		for _, i := range pins {
			p.Pins = append(p.Pins, mech.PlatePin{Pin: i, At: at[i]})
		}
		l.Plates = append(l.Plates, p)
	}
	ground := func() int { return addPin(mech.Pin{Kind: mech.FixedPin, At: near(r2.Vec{}, 50)}, r2.Vec{}) }
	for range 2 + r.Intn(3) {
		moving := r.Intn(len(at))
		for l.Pins[moving].Kind == mech.FixedPin {
			moving = r.Intn(len(at))
		}
		line := func() (p, q int, ok bool) { // two pins of one link
			if len(l.Bars) == 0 {
				return 0, 0, false
			}
			pins := l.Bars[r.Intn(len(l.Bars))].Pins
			return pins[0], pins[1], true
		}
		along := func(p, q int, share float64) r2.Vec { return r2.Add(at[p], r2.Scale(share, r2.Sub(at[q], at[p]))) }
		switch r.Intn(9) {
		case 5: // a plate whose slot passes beside its pivot, over a moving pin
			g := ground()
			at[g] = l.Pins[g].At
			dir := r2.Scale(20, r2.Unit(near(r2.Vec{}, 1)))
			p := addPin(mech.Pin{}, r2.Sub(at[moving], dir))
			q := addPin(mech.Pin{}, r2.Add(at[moving], dir))
			plate(g, p, q)
			l.Slots = append(l.Slots, mech.Slot{Pin: moving, Line: [2]int{p, q}})
		case 6: // a rod's end in the slot of a link
			p, q, ok := line()
			if !ok {
				continue
			}
			g := ground()
			at[g] = l.Pins[g].At
			b := addPin(mech.Pin{}, along(p, q, 0.3+0.4*r.Float64()))
			bar(g, b)
			l.Slots = append(l.Slots, mech.Slot{Pin: b, Line: [2]int{p, q}})
		case 7: // a sliding pin in the slot of a link
			p, q, ok := line()
			if !ok {
				continue
			}
			to := along(p, q, 0.3+0.4*r.Float64())
			b := addPin(mech.Pin{Kind: mech.SlidePin, At: to, Along: r2.Unit(near(r2.Vec{}, 1))}, to)
			l.Slots = append(l.Slots, mech.Slot{Pin: b, Line: [2]int{p, q}})
		case 8: // a loose pin where two slots cross
			p, q, ok := line()
			u, v, _ := line()
			if !ok || p == u && q == v {
				continue
			}
			d, e := r2.Sub(at[q], at[p]), r2.Sub(at[v], at[u])
			k := r2.Cross(d, e)
			if math.Abs(k) < 0.1*r2.Norm(d)*r2.Norm(e) {
				continue
			}
			b := addPin(mech.Pin{}, r2.Add(at[p], r2.Scale(r2.Cross(r2.Sub(at[u], at[p]), e)/k, d)))
			l.Slots = append(l.Slots, mech.Slot{Pin: b, Line: [2]int{p, q}}, mech.Slot{Pin: b, Line: [2]int{u, v}})
		case 0: // RRR
			g := ground()
			at[g] = l.Pins[g].At
			b := addPin(mech.Pin{}, near(at[moving], 40))
			bar(moving, b)
			bar(b, g)
		case 1: // RRP
			to := near(at[moving], 40)
			dir := r2.Unit(near(r2.Vec{}, 1))
			s := addPin(mech.Pin{Kind: mech.SlidePin, At: to, Along: dir}, to)
			bar(moving, s)
		case 2: // RRR with plates
			g := ground()
			at[g] = l.Pins[g].At
			b := addPin(mech.Pin{}, near(at[moving], 40))
			c := addPin(mech.Pin{}, near(at[b], 20))
			plate(moving, b, c)
			bar(b, g)
		case 3: // lever with its slot over a moving pin
			g := ground()
			at[g] = l.Pins[g].At
			dir := r2.Sub(at[moving], at[g])
			end := addPin(mech.Pin{}, r2.Add(at[g], r2.Scale(1.5, dir)))
			bar(g, end)
			l.Slots = append(l.Slots, mech.Slot{Pin: moving, Line: [2]int{g, end}})
		case 4: // a plate on three rods: one driven, two grounded
			p, q, s := addPin(mech.Pin{}, near(at[moving], 40)), 0, 0
			q = addPin(mech.Pin{}, near(at[p], 25))
			s = addPin(mech.Pin{}, near(at[p], 25))
			g, h := ground(), ground()
			at[g], at[h] = l.Pins[g].At, l.Pins[h].At
			plate(p, q, s)
			bar(moving, p)
			bar(q, g)
			bar(s, h)
		}
	}
	return l
}

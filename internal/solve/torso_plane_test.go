package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/mech"
)

// TestTorsoCrests: the crests over the travels of two yokes give the extremes
// that following the whole path finds, and as bounds those of a search of all
// shaft angles. Along a path they are met at the turns given.
func TestTorsoCrests(t *testing.T) {
	used := 0
	for seed := range uint64(draws(120)) {
		r := rand.New(rand.NewPCG(seed, 700))
		c := torsoModel([2]mech.PushKind{mech.Yoke, mech.Yoke})
		c.vary(r)
		c.d.Ratios[1], c.d.Ratios[2] = reduced(int64(13+r.IntN(100)), 30), reduced(-int64(1+r.IntN(60)), 30)
		switch seed % 4 {
		case 1:
			c.jointed(r, 0)
		case 2:
			c.jointed(r, []int{5, 9, 30}[r.IntN(3)])
		}
		c.cams = CompileCams(c.m, c.d)
		for _, bound := range []bool{false, true} {
			torso := c.torso()
			repeat := orbitRepeat(torso.Orbit())
			f, g := newTorsoField(torso, c.m, 1), newTorsoField(torso, c.m, 1)
			f.useTravels()
			g.follow = 1 << 20
			got, want := f.searchExtents(bound), g.searchExtents(bound)
			if f.plane != nil {
				used++
			}
			for i, q := range f.all {
				for side, e := range [2][2]Extreme{{got[i].Max, want[i].Max}, {got[i].Min, want[i].Min}} {
					if q.kind.sides() == OnlyMin-Sides(side) { // the other side is not wanted
						continue
					}
					if !bound {
						torso.Pose(e[0].Turns, &f.pose)
						f.list = f.all
						if e[0].Turns < 0 || e[0].Turns >= repeat {
							t.Errorf("seed %d %+v side %d: met at turn %.9g of %.9g", seed, q, side, e[0].Turns, repeat)
						}
						if v := f.single(nil, i); math.Abs(v-e[0].Value) > 1e-7*(1+math.Abs(v)) && q.kind.order() == torsoPlaces {
							t.Errorf("seed %d %+v side %d: %.12g at %.9g, there it is %.12g", seed, q, side, e[0].Value, e[0].Turns, v)
						}
					}
					// On jointed cams the other search may stop a little short of the top.
					short := orbitSigns[side] * (e[1].Value - e[0].Value)
					if short > 1e-9*(1+math.Abs(e[1].Value)) || short < -1e-3*(1+math.Abs(e[1].Value)) {
						t.Errorf("seed %d bound %v %+v side %d: %.12g at %.9g, otherwise %.12g at %.9g", seed, bound, q, side, e[0].Value, e[0].Turns, e[1].Value, e[1].Turns)
					}
				}
			}
		}
	}
	if used < draws(120) {
		t.Errorf("only %d searches by travels", used)
	}
}

package solve

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"understage/internal/mech"
)

// sharpen gives both cams motions with short rises and falls of every law.
func (c *torsoCase) sharpen(r *rand.Rand) {
	for i := range c.m.Cams {
		cam := &c.m.Cams[i]
		cam.Shape = mech.Shape{Kind: mech.ShapeMotion}
		left, lift := 2*math.Pi, 0.0
		for range 4 {
			s := mech.Segment{Over: 0.1 + 0.5*r.Float64(), Rise: 4*r.Float64() - 2, Law: mech.Laws[r.IntN(len(mech.Laws))]}
			left, lift = left-s.Over, lift+s.Rise
			cam.Shape.Segments = append(cam.Shape.Segments, s)
		}
		cam.Shape.Segments = append(cam.Shape.Segments, mech.Segment{Over: left / 2}, mech.Segment{Rise: -lift, Over: left / 2, Law: mech.Polynomial4567})
	}
	c.cams = CompileCams(c.m, c.d)
}

// TestTravelRanges: no velocity or acceleration of a travel goes beyond its
// range, however short a rise is.
func TestTravelRanges(t *testing.T) {
	for seed := range uint64(draws(20)) {
		r := rand.New(rand.NewPCG(seed, 800))
		c := torsoModel(pushPairs[0])
		c.vary(r)
		switch seed % 3 {
		case 0:
			c.jointed(r, 3+r.IntN(40))
		default:
			c.sharpen(r)
		}
		torso := c.torso()
		a := travelAxis{push: &torso.pushes[0]}
		cells := a.derivativeRanges()
		const count = 20000
		for k := range count {
			x := 2 * math.Pi * (float64(k) + 0.37) / count
			l := c.cams[0].Lift(x + a.push.phase)
			over := rangeOver(cells, x, x)
			for order, v := range [2]float64{a.push.ratio * l.V * a.push.rate, a.push.ratio * l.A * a.push.rate * a.push.rate} {
				if slack := 1e-9 * (1 + math.Abs(v)); v < over.low[order]-slack || v > over.high[order]+slack {
					t.Fatalf("seed %d at %.9g: derivative %d is %.9g, in %.9g to %.9g", seed, x, 1+order, v, over.low[order], over.high[order])
				}
			}
		}
	}
}

// TestTorsoShortRises: the greatest speeds and accelerations of short rises are
// found, one way and the other, on few turns and on many.
func TestTorsoShortRises(t *testing.T) {
	const count = 40000
	for seed := range uint64(draws(24)) {
		r := rand.New(rand.NewPCG(seed, 801))
		c := torsoModel(pushPairs[0])
		c.vary(r)
		c.d.Ratios[1], c.d.Ratios[2] = Ratio{1, 1}, Ratio{-2, 3}
		if seed%3 == 2 {
			c.d.Ratios[1], c.d.Ratios[2] = Ratio{20, 19}, Ratio{-1, 1}
		}
		c.sharpen(r)
		torso := c.torso()
		result := SolveTorso(c.m, torso, false, 1)
		repeat := orbitRepeat(torso.Orbit())
		list := torsoReported(c, result)
		list = slices.DeleteFunc(list, func(q torsoReport) bool {
			return q.name != "acceleration" && q.name != "turning rise" && q.name != "speed"
		})
		var po TorsoPose
		worst := 0.0
		for i := range count {
			torso.Pose(repeat*(float64(i)+0.37)/count, &po)
			for _, q := range list {
				worst = max(worst, q.value(&po)/q.high.Value-1)
			}
		}
		if worst > 1e-6 {
			t.Errorf("seed %d: a rate sampled %.3g beyond the extreme", seed, worst)
		}
	}
}

// TestTwistAbout: a torso that the guide turns right about twists by half a turn.
func TestTwistAbout(t *testing.T) {
	f := torsoField{pose: TorsoPose{cos: -1}}
	if got := torsoTwist.finish(f.body(nil, &torsoQuantity{kind: torsoTwist})); got != math.Pi {
		t.Errorf("twist %.17g, want π", got)
	}
}

package solve

import (
	"math"
	"math/rand/v2"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r3"
)

// loadVariant is loadFigure with other cams, gears, weights and friction. Friction
// stays short of what makes yokes wedge: torques there have spikes without end.
func loadVariant(r *rand.Rand) *mech.Model {
	m := loadFigure(0.2)
	rub := func() mech.Rub {
		v := 0.4 * r.Float64()
		return mech.Rub{Sliding: loadGiven(v), Static: loadGiven(v * (1 + r.Float64()/2))}
	}
	for i := range m.Gears {
		m.Gears[i].Driver.Teeth, m.Gears[i].Driven.Teeth = 5+r.IntN(40), 10+r.IntN(30)
		m.Gears[i].Efficiency = loadGiven(0.8 + 0.2*r.Float64())
	}
	if r.IntN(3) == 0 { // the arm's shaft driven by one of the torso's, so that their torques join on it
		m.Gears[2].Driver.Shaft = 1
	}
	for i := range m.Cams {
		c := &m.Cams[i]
		switch r.IntN(3) {
		case 0: // two waves as they are
		case 1:
			rise, over := 4+6*r.Float64(), 1.5+2*r.Float64()
			law := mech.Laws[1+r.IntN(len(mech.Laws)-1)]
			c.Shape = mech.Shape{Kind: mech.ShapeMotion, Segments: []mech.Segment{
				{Rise: rise, Over: over, Law: law}, {Over: 0.5}, {Rise: -rise, Over: 2*math.Pi - 0.5 - over, Law: mech.Laws[1+r.IntN(len(mech.Laws)-1)]},
			}}
		case 2:
			c.Shape = mech.Shape{Kind: mech.ShapeThrough}
			for k := range 5 {
				c.Shape.Points = append(c.Shape.Points, mech.Point{Angle: 2 * math.Pi * (float64(k) + 0.3*r.Float64()) / 5, Value: 6 * r.Float64()})
			}
		}
		c.Phase, c.Base = 7*r.Float64(), 30
		c.Load = mech.CamLoad{SpringRate: loadGiven(0.1 * r.Float64()), SpringPreload: loadGiven(2 * r.Float64()), Mass: loadGiven(0.03 * r.Float64()), Friction: loadGiven(0.3 * r.Float64())}
		if r.IntN(2) == 0 { // what rubs on a face does so while the follower rests, and the guide then changes sides
			c.Follower.Kind, c.Follower.Radius = mech.Flat, 0
			c.Load.GuideLength, c.Load.GuideOverhang, c.Load.GuideFriction = loadGiven(30), loadGiven(10*r.Float64()), loadGiven(0.2*r.Float64())
		}
	}
	t := m.Torso
	t.Pushes[0].Rub, t.Pushes[1].Rub, t.Guide.Rub, t.PivotRub = rub(), rub(), rub(), rub()
	t.CentreOfMass = r3.Vec{X: 20 * (r.Float64() - 0.5), Y: 20 * (r.Float64() - 0.5), Z: 60 * (r.Float64() - 0.3)}
	m.Linkages[0].PinRub = rub()
	if r.IntN(4) == 0 {
		m.Linkages = nil
	}
	return m
}

// No instant of the repeat, and for a bound no combination of angles, may ask for
// more than reported, looked at densely, and about the greatest more densely; and
// something near it must.
func TestLoadExtremesOfVariants(t *testing.T) {
	const (
		// loadSlack, of the range, is what contacts that change sides within a degree
		// may hide: they make peaks beside each other.
		loadSlack = 1e-5
		loadNear  = 0.05 // what sampling may fall short by
	)
	bounds, tables := 0, 0
	for seed := range uint64(draws(30)) {
		rng := rand.New(rand.NewPCG(seed, 2))
		s := Solve(loadVariant(rng))
		r := s.Motor.Load
		if r == nil || !r.Known || !r.Peaks {
			t.Fatalf("seed %d: no peaks: %+v", seed, r)
		}
		if s.Repeat.Bound {
			bounds++
		}
		if r.Load.steps > 0 {
			tables++
		}
		best := sampleLoad(s, 12000, rng)
		size := max(r.Peak.Value, r.Breakaway.Value) - r.Least.Value
		for k, e := range [3]Extreme{r.Peak, r.Least, r.Breakaway} {
			reported := e.Value * [3]float64{1, -1, 1}[k]
			if best[k] > reported+loadSlack*size || best[k] < reported-loadNear*size {
				t.Errorf("seed %d: %s %.8g reported, %.8g sampled, of a range of %.4g", seed, [3]string{"peak", "least, turned round", "breakaway"}[k], reported, best[k], size)
			}
			if e.Turns >= 0 && !e.Bound {
				x := make([]float64, len(r.Load.Shafts))
				r.Load.Set(r.Speed, k == 2)
				off := math.Inf(1)
				for _, beside := range [...]float64{0, -1e-9, 1e-9, -1e-7, 1e-7, -1e-6, 1e-6} { // of a jump
					r.Load.AnglesAt(max(0, e.Turns+beside), x)
					off = min(off, math.Abs(r.Load.At(x)-e.Value))
				}
				if off > 1e-5*size {
					t.Errorf("seed %d: %.9g reported off by %g from the pose there", seed, e.Value, off)
				}
			}
		}
	}
	if !testing.Short() && (bounds == 0 || tables == 0) {
		t.Errorf("%d bounds, %d read from tables: some of each are wanted", bounds, tables)
	}
}

// sampleLoad returns the greatest torque met sliding, its negative, and that at
// rest.
func sampleLoad(s *Solution, n int, rng *rand.Rand) (best [3]float64) {
	l := s.Motor.Load.Load
	x := make([]float64, len(l.Shafts))
	var at [3][]float64
	for k := range best {
		best[k], at[k] = math.Inf(-1), make([]float64, len(x))
	}
	turns := 0.0
	for i := range n {
		near := i > n/2
		reach := math.Pow(10, -1-4*rng.Float64())
		switch from := at[i%3]; {
		case near && s.Repeat.Bound:
			for k := range x {
				x[k] = orbitWrap(from[k] + reach*(2*rng.Float64()-1))
			}
		case near:
			turns = from[0] + reach*(2*rng.Float64()-1)
		case s.Repeat.Bound:
			for k := range x {
				x[k] = 2 * math.Pi * rng.Float64()
			}
		default:
			turns = s.Repeat.Turns * rng.Float64()
		}
		if !s.Repeat.Bound {
			l.AnglesAt(max(0, turns), x)
		}
		for k := range best {
			l.Set(s.Motor.Load.Speed, k == 2)
			if v := l.At(x) * [3]float64{1, -1, 1}[k]; v > best[k] {
				best[k] = v
				if copy(at[k], x); !s.Repeat.Bound {
					at[k][0] = turns
				}
			}
		}
	}
	return best
}

package solve

import (
	"cmp"
	"math"
	"slices"

	"understage/internal/mech"
)

// SprocketChange is one wheel exchanged for another so that the beats come
// nearer the tempo asked for.
type SprocketChange struct {
	Part      Part // the belt or gears
	Wheel     int  // stop of the belt's run; 0 driver, 1 driven of gears
	Shaft     int
	From, To  int     // teeth
	PerMinute float64 // then
	Stocked   bool    // To is in the maker's drawer
	// Belt is the teeth of the best stocked belt for the changed loop, 0 when none
	// can be fitted; of belts only.
	Belt int
}

const (
	// sprocketLeast and sprocketMost bound the teeth looked at: below, belts of
	// small pitch do not bend; above, nothing fits under a stage.
	sprocketLeast = 8
	sprocketMost  = 150
	// sprocketFactor bounds the change itself: a wheel several times as large
	// does not stand in the same place.
	sprocketFactor = 2.5
	// sprocketChoices is how many changes are kept.
	sprocketChoices = 3
)

// tempo works out beats per minute, and what would meet the target. The supply
// is that for the motor's speed under load, or without load where the loads are
// not known.
func (r *BeatsResult) tempo(m *mech.Model, s *Solution) {
	turnsPerMinute := s.Motor.RunningSpeed * 60 / (2 * math.Pi)
	r.PerMinute = r.PerMotorTurn * turnsPerMinute
	if !r.Target.OK || r.PerMotorTurn <= 0 {
		return
	}
	speed := r.Target.Value / r.PerMotorTurn * 2 * math.Pi / 60
	r.SupplyForTarget = mech.Given{Value: s.Motor.SupplyForSpeed(speed), OK: true}
	r.Sprockets = sprocketChanges(m, s, r)
}

// sprocketChanges looks for single wheels whose exchange brings the beats to
// the target: those that speed up all the shafts that make the beats by the same
// factor. The best come first.
func sprocketChanges(m *mech.Model, s *Solution, r *BeatsResult) []SprocketChange {
	factor := r.Target.Value / r.PerMinute
	var list []SprocketChange
	try := func(part Part, wheel, shaft, teeth int, section string, trial *mech.Model, set func(int)) {
		if teeth <= 0 || factor > sprocketFactor || factor < 1/sprocketFactor {
			return
		}
		seen := map[int]bool{teeth: true}
		for _, ideal := range [...]float64{float64(teeth) * factor, float64(teeth) / factor} {
			for _, z := range [...]float64{math.Floor(ideal), math.Ceil(ideal)} {
				n := int(math.Min(math.Max(z, 0), 1e6))
				if n < sprocketLeast || n > sprocketMost || seen[n] {
					continue
				}
				seen[n] = true
				set(n)
				gain, ok := commonGain(trial, s, r.Shafts)
				if !ok || math.Abs(gain/factor-1) >= math.Abs(1/factor-1) {
					continue
				}
				list = append(list, SprocketChange{
					Part: part, Wheel: wheel, Shaft: shaft, From: teeth, To: n,
					PerMinute: r.PerMinute * gain, Stocked: inDrawer(m, section, n),
				})
			}
		}
		set(teeth)
	}
	for i := range m.Belts {
		trial := *m
		trial.Belts = slices.Clone(m.Belts)
		trial.Belts[i].Run = slices.Clone(m.Belts[i].Run)
		for k, p := range m.Belts[i].Run {
			if p.Shaft == mech.None {
				continue
			}
			try(Part{BeltPart, i}, k, p.Shaft, p.Teeth, m.Belts[i].Section.Name, &trial, func(n int) { trial.Belts[i].Run[k].Teeth = n })
		}
	}
	for i, g := range m.Gears {
		trial := *m
		trial.Gears = slices.Clone(m.Gears)
		if g.Kind != mech.Worm {
			try(Part{GearPart, i}, 0, g.Driver.Shaft, g.Driver.Teeth, "", &trial, func(n int) { trial.Gears[i].Driver.Teeth = n })
		}
		try(Part{GearPart, i}, 1, g.Driven.Shaft, g.Driven.Teeth, "", &trial, func(n int) { trial.Gears[i].Driven.Teeth = n })
	}
	slices.SortStableFunc(list, func(a, b SprocketChange) int {
		off := func(c SprocketChange) float64 { return math.Round(1e6 * math.Abs(c.PerMinute/r.Target.Value-1)) }
		if d := cmp.Compare(off(a), off(b)); d != 0 {
			return d
		}
		if a.Stocked != b.Stocked {
			if a.Stocked {
				return -1
			}
			return 1
		}
		return cmp.Compare(absInt(a.To-a.From), absInt(b.To-b.From))
	})
	list = list[:min(len(list), sprocketChoices)]
	for i := range list {
		if c := &list[i]; c.Part.Kind == BeltPart {
			c.Belt = beltFor(m, *c)
		}
	}
	return list
}

// beltFor returns the teeth of the stocked belt that the changed loop can be
// closed with, 0 when there is none.
func beltFor(m *mech.Model, c SprocketChange) int {
	trial := *m
	belt := m.Belts[c.Part.Index]
	belt.Run = slices.Clone(belt.Run)
	belt.Run[c.Wheel].Teeth, belt.Teeth = c.To, 0
	trial.Belts = []mech.Belt{belt}
	if r := SolveBelts(&trial)[0]; r.Status == LoopOK && r.Fitted.Stocked && r.Fitted.Reachable {
		return r.Fitted.Teeth
	}
	return 0
}

func absInt(n int) int { return max(n, -n) }

// commonGain returns by what factor the changed drive turns the shafts, all
// alike, faster than before.
func commonGain(trial *mech.Model, s *Solution, shafts []int) (float64, bool) {
	d := SolveDrive(trial)
	if d.Locks() {
		return 0, false
	}
	gain := 0.0
	for i, shaft := range shafts {
		g := d.Ratios[shaft].Float() / s.Drive.Ratios[shaft].Float()
		if i > 0 && math.Abs(g-gain) > 1e-12*math.Abs(gain) {
			return 0, false
		}
		gain = g
	}
	return gain, gain > 0 && isFinite(gain) && gain != 1
}

func inDrawer(m *mech.Model, section string, teeth int) bool {
	return slices.ContainsFunc(m.Stock.Sprockets, func(s mech.StockSprocket) bool {
		return s.Teeth == teeth && s.Section == section && section != ""
	})
}

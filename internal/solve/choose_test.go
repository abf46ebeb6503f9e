package solve

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"understage/internal/mech"

	"gonum.org/v1/gonum/spatial/r2"
)

// chooseFigure is a belt from the motor's shaft to two others, one of which
// gears a fourth up, with cams on the three.
func chooseFigure() *mech.Model {
	m := watchman()
	m.Motor = &mech.Motor{Rated: 6, Supply: 6, NoLoad: mech.NoLoad{Speed: 2, Current: 0.05}, Stall: mech.Stall{Torque: 400, Current: 0.8}}
	m.Shafts = append(m.Shafts, mech.Shaft{Name: "beat", At: r2.Vec{X: 36, Y: 20}})
	m.Gears = []mech.Gear{{Kind: mech.Spur, Driver: mech.GearWheel{Shaft: 1, Teeth: 21}, Driven: mech.GearWheel{Shaft: 3, Teeth: 14}}}
	m.Belts[0].Teeth = 0
	for shaft := 1; shaft < 4; shaft++ {
		m.Cams = append(m.Cams, mech.Cam{Shaft: shaft})
	}
	return m
}

func solveDrive(m *mech.Model) *Solution {
	s := &Solution{Motor: SolveMotor(m), Drive: SolveDrive(m)}
	s.Repeat = SolveRepeat(m, &s.Drive, 0.1)
	return s
}

// chooseByForce tries every combination by solving the whole figure anew: the
// repeat by big integers, the belt with its take-up by the report's own route.
func chooseByForce(m *mech.Model, d Demand) []BeltChoice {
	var all []BeltChoice
	run := m.Belts[0].Run
	for _, z0 := range d.Sprockets {
		for _, z1 := range d.Sprockets {
			for _, z2 := range d.Sprockets {
				run[0].Teeth, run[1].Teeth, run[2].Teeth = z0, z1, z2
				s := solveDrive(m)
				off, good := 0.0, true
				for _, band := range d.Bands {
					speed := math.Abs(s.Drive.Ratios[band.Shaft].Float()) * s.Motor.RunningSpeed
					good = good && speed >= band.Min && speed <= band.Max
					off = max(off, math.Abs(speed/((band.Min+band.Max)/2)-1))
				}
				if !good || s.Repeat.Turns*2*math.Pi/s.Motor.RunningSpeed < d.LeastRepeat {
					continue
				}
				for _, belt := range d.Belts {
					m.Belts[0].Teeth = belt.Teeth
					r := SolveBelt(m, &m.Belts[0])
					mesh := math.Inf(1)
					for _, p := range r.Pulleys {
						mesh = min(mesh, p.TeethInMesh)
					}
					if r.Status != LoopOK || mesh < d.LeastMesh || !r.Fitted.Reachable {
						continue
					}
					coprime := func(a, b int) bool { return gcd(uint64(a), uint64(b)) == 1 }
					buy := 3
					for _, own := range m.Stock.Sprockets {
						if slices.Contains([]int{z0, z1, z2}, own.Teeth) {
							buy--
						}
					}
					if !belt.Drawer {
						buy++
					}
					all = append(all, BeltChoice{Teeth: []int{z0, z1, z2}, Belt: belt, Repeat: s.Repeat.Turns, Off: off, Mesh: mesh,
						ToBuy: buy, Hunting: coprime(z0, z1) && coprime(z0, z2)})
				}
			}
		}
	}
	slices.SortFunc(all, compareChoices)
	return all
}

// TestChooseAgainstForce compares all that is chosen with brute force, over
// small sets.
func TestChooseAgainstForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	chosen := 0
	for range draws(16) {
		m := chooseFigure()
		m.Shafts[0].At.Y -= 8 * rng.Float64()
		m.Belts[0].TakeUp.Min, m.Belts[0].TakeUp.Max = -4*rng.Float64(), 6*rng.Float64()
		m.Belts[0].TakeUp.Along = r2.Unit(r2.Vec{X: rng.Float64() - 0.5, Y: -rng.Float64()})
		if rng.IntN(4) == 0 {
			m.Belts[0].TakeUp = nil
		}
		var sprockets []int
		for len(sprockets) < 4 {
			if z := 10 + rng.IntN(36); !slices.Contains(sprockets, z) {
				sprockets = append(sprockets, z)
			}
		}
		m.Stock.Sprockets = []mech.StockSprocket{{Section: "MXL", Teeth: sprockets[0], Count: 1}}
		m.Stock.Belts = []mech.StockBelt{{Section: "MXL", Teeth: 118 + rng.IntN(12)}}
		d := Demand{
			Sprockets: sprockets, Belts: BeltStock(m, "MXL"), Top: 10000,
			LeastMesh: 4 + 3*rng.Float64(), LeastRepeat: 20 * rng.Float64(),
		}
		if rng.IntN(2) == 0 {
			d.Bands = []SpeedBand{{Shaft: 1, Min: 0.4, Max: 2.5}, {Shaft: 3, Min: 0.5, Max: 3}}
		}
		got := ChooseBelts(context.Background(), m, solveDrive(m), 0, d, nil)
		if len(d.Bands) == 0 { // closeness is then to the speeds as drawn
			s := solveDrive(m)
			for _, shaft := range []int{0, 1, 2} {
				w := math.Abs(s.Drive.Ratios[shaft].Float()) * s.Motor.RunningSpeed
				d.Bands = append(d.Bands, SpeedBand{Shaft: shaft, Min: 0, Max: 2 * w})
			}
			for i := range d.Bands {
				d.Bands[i].Min, d.Bands[i].Max = d.Bands[i].Max/2-1e9, d.Bands[i].Max/2+1e9
			}
		}
		want := chooseByForce(m, d)
		chosen += len(want)
		if got.Sprockets != 64 || got.Met != int64(len(want)) || len(got.Best) != len(want) {
			t.Fatalf("%d of %d combinations met the demands, brute force %d", got.Met, got.Sprockets, len(want))
		}
		for i, w := range want {
			g := got.Best[i]
			if !slices.Equal(g.Teeth, w.Teeth) || g.Belt != w.Belt || math.Abs(g.Repeat-w.Repeat) > 1e-9*w.Repeat ||
				math.Abs(g.Mesh-w.Mesh) > 1e-9 || g.ToBuy != w.ToBuy || g.Hunting != w.Hunting || math.Abs(g.Off-w.Off) > 1e-6 {
				t.Errorf("choice %d is %+v, brute force %+v", i, g, w)
			}
		}
	}
	if !testing.Short() && chosen < 30 {
		t.Errorf("only %d choices in all", chosen)
	}
}

func TestChooseTop(t *testing.T) {
	m := chooseFigure()
	d := Demand{Belts: BeltStock(m, "MXL"), Top: 10000, LeastMesh: 6}
	for z := 16; z <= 44; z++ {
		d.Sprockets = append(d.Sprockets, z)
	}
	all := ChooseBelts(context.Background(), m, solveDrive(m), 0, d, nil)
	d.Top = 7
	few := ChooseBelts(context.Background(), m, solveDrive(m), 0, d, nil)
	if len(few.Best) != 7 || few.Met != all.Met || few.LookedAt != 29*29*29*17 {
		t.Fatalf("%d best, %d met of %d", len(few.Best), few.Met, few.LookedAt)
	}
	for i, c := range few.Best {
		if !slices.Equal(c.Teeth, all.Best[i].Teeth) || c.Belt != all.Best[i].Belt {
			t.Errorf("best %d is %+v, want %+v", i, c, all.Best[i])
		}
	}
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	if c := ChooseBelts(stopped, m, solveDrive(m), 0, d, nil); !c.Stopped {
		t.Error("a stopped choice does not say so")
	}
	m.Motor = nil
	if c := ChooseBelts(context.Background(), m, solveDrive(m), 0, d, nil); c.Status != ChooseNoMotor {
		t.Errorf("without a motor: %v", c.Status)
	}
}

// BenchmarkChoose counts sprocket combinations a second, each against all 17
// standard belts.
func BenchmarkChoose(b *testing.B) {
	m := chooseFigure()
	s := solveDrive(m)
	d := Demand{Belts: BeltStock(m, "MXL"), Top: 10, LeastMesh: 6, LeastRepeat: 60}
	for z := 12; z <= 60; z++ {
		d.Sprockets = append(d.Sprockets, z)
	}
	var sprockets int64
	b.ReportAllocs()
	for b.Loop() {
		sprockets += ChooseBelts(context.Background(), m, s, 0, d, nil).Sprockets
	}
	b.ReportMetric(float64(sprockets)/b.Elapsed().Seconds()/1e6, "Mcomb/s")
}

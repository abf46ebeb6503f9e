// Package solve computes a figure's motion: exact ratios and repeat, belt
// loops, cam lift and rims, torso pose and its true extremes, linkages, beats
// and motor. Values in, values out; it prints nothing, reads nothing, and keeps
// no state between calls.
//
// Units and frames are those of package mech. A part that cannot be solved has
// a status in its result and the rest is solved all the same; no result holds
// NaN, and Inf only where a field says so.
package solve

import (
	"understage/internal/mech"
	"understage/internal/standard"
)

// Solution is everything computed about a figure. Slices run parallel to the
// model's.
type Solution struct {
	Machine  *Machine // for poses
	Motor    MotorResult
	Drive    Drive
	Repeat   Repeat
	Belts    []BeltResult
	Gears    []GearResult
	Cams     []CamResult
	Torso    *TorsoResult
	Linkages []LinkageResult
	Beats    *BeatsResult
	Frame    FrameResult
}

// Solve computes the whole figure.
func Solve(m *mech.Model) *Solution {
	k := Compile(m)
	s := &Solution{Machine: k, Motor: SolveMotor(m), Drive: k.Drive}
	s.Repeat = SolveRepeat(m, &s.Drive, standard.Limit(m.Limits, "near_repeat"))
	if near := &s.Repeat.Near; near.Status == NearFound {
		near.Move, near.Moves = k.moved(0, near.Turns)
	}
	s.Belts = SolveBelts(m)
	s.Gears = SolveGears(m, s.Belts)
	s.Cams = solveCams(m, k.Cams)
	s.Torso = SolveTorso(m, k.Torso, s.Repeat.Bound, s.Motor.RunningSpeed)
	solveLoad(k, s)
	s.Linkages = solveLinkages(k, s)
	s.Beats = solveBeats(m, s, k.Cams)
	s.Frame = SolveFrame(m, s)
	solveCamLoads(m, s)
	return s
}

// Package solve computes a figure's motion: exact ratios and repeat, belt
// loops, cam lift and rims, torso pose and its true extremes, linkages, beats
// and motor. Values in, values out; it prints nothing, reads nothing, and keeps
// no state between calls.
//
// Units and frames are those of package mech. A part that cannot be solved has
// a status in its result and the rest is solved all the same; no result holds
// NaN, and Inf only where a field says so.
package solve

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

	parts Parts // those computed
}

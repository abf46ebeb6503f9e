package report

import (
	"strings"

	"understage/internal/solve"
)

// geometry lists the keys that follow from shapes and ratios alone, with the
// parts of a solution that they need. A star stands for any one step. Whatever
// is not listed needs everything.
var geometry = []struct {
	path  string
	parts solve.Parts
}{
	{"figure", 0},
	{"motor.supply_V", 0},
	{"motor.no_load_rpm", 0},
	{"motor.stall_torque_Nmm", 0},
	{"motor.stall_current_A", 0},
	{"motor.running_rpm", solve.PartLoad},
	{"motor.running_torque_Nmm", solve.PartLoad},
	{"motor.running_current_A", solve.PartLoad},
	{"motor", solve.PartPeak},
	{"shafts.*.ratio", 0},
	{"shafts.*.sense", 0},
	{"shafts.*.rpm", solve.PartLoad},
	{"repeat.motor_turns", 0},
	{"repeat.motor_turns_exact", 0},
	{"repeat.shaft_turns", 0},
	{"repeat.near.motor_turns", 0},
	{"repeat.near.worst_deg", 0},
	{"repeat.near.worst_mm", solve.PartNear},
	{"repeat", solve.PartLoad},
	{"belts.*.length_mm", solve.PartBelts},
	{"belts.*.teeth_exact", solve.PartBelts},
	{"belts.*.teeth_fitted", solve.PartBelts},
	{"belts.*.stocked", solve.PartBelts},
	{"belts.*.reachable", solve.PartBelts},
	{"belts.*.take_up_mm", solve.PartBelts},
	{"belts.*.pulleys.*.wrap_deg", solve.PartBelts},
	{"belts.*.pulleys.*.teeth_in_mesh", solve.PartBelts},
	{"cams.*.lift", solve.PartCams},
	{"cams.*.pressure_angle_deg", solve.PartCams},
	{"cams.*.rim_radius_mm", solve.PartCams},
	{"cams.*.undercut", solve.PartCams},
	{"torso.lean_deg", solve.PartPlaces},
	{"torso.nod_deg", solve.PartPlaces},
	{"torso.tilt_deg", solve.PartPlaces},
	{"torso.twist_deg", solve.PartPlaces},
	{"torso.slot_mm", solve.PartPlaces},
	{"torso.opening", solve.PartPlaces},
	{"torso.points.*.x_mm", solve.PartPlaces},
	{"torso.points.*.y_mm", solve.PartPlaces},
	{"torso.points.*.z_mm", solve.PartPlaces},
	{"torso.clearances", solve.PartPlaces},
	{"torso", solve.PartTorso | solve.PartLoad},
	{"linkages.*.transmission_deg", solve.PartLinkages},
	{"linkages.*.points.*.x_mm", solve.PartLinkages},
	{"linkages.*.points.*.y_mm", solve.PartLinkages},
	{"linkages.*.points.*.z_mm", solve.PartLinkages},
	{"linkages", solve.PartLinkages | solve.PartLoad},
	{"beats", solve.PartBeats | solve.PartLoad},
}

// Needs returns the parts of a solution from which the answer at a JSON path of
// the report follows, so that a long run computes no more.
func Needs(path string) solve.Parts {
	steps := strings.Split(path, ".")
	for _, g := range geometry {
		if leads(strings.Split(g.path, "."), steps) {
			return g.parts
		}
	}
	return solve.AllParts
}

// leads reports whether the pattern is the beginning of the path.
func leads(pattern, steps []string) bool {
	if len(pattern) > len(steps) {
		return false
	}
	for i, p := range pattern {
		if p != "*" && p != steps[i] {
			return false
		}
	}
	return true
}

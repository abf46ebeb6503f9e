package cli

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

// contract lists the keys that scripts rely on, by command: {} and [] open a
// map and the first element of a list.
var contract = map[string]string{
	"report": `figure
motor.supply_V motor.no_load_rpm motor.stall_torque_Nmm motor.running_rpm motor.running_torque_Nmm motor.peak_torque_Nmm motor.running_current_A motor.peak_current_A motor.torque_margin
shafts.0.name shafts.0.ratio shafts.0.rpm shafts.0.sense
repeat.motor_turns repeat.motor_turns_exact repeat.period_s repeat.shaft_turns.main repeat.near.motor_turns repeat.near.seconds repeat.near.worst_deg repeat.near.worst_mm
belts.0.name belts.0.pitch belts.0.pitch_mm belts.0.length_mm belts.0.teeth_exact belts.0.teeth_fitted belts.0.stocked belts.0.take_up_mm belts.0.fitted_at.1
belts.0.pulleys.0.shaft belts.0.pulleys.0.teeth belts.0.pulleys.0.side belts.0.pulleys.0.pitch_diameter_mm belts.0.pulleys.0.wrap_deg belts.0.pulleys.0.teeth_in_mesh
belts.0.spans.0.from belts.0.spans.0.to belts.0.spans.0.length_mm
belts.0.candidates.5.teeth belts.0.candidates.0.code belts.0.candidates.0.length_mm belts.0.candidates.0.take_up_mm belts.0.candidates.0.reachable
cams.0.name cams.0.shaft cams.0.lift_unit cams.0.lift.min cams.0.lift.max cams.0.pressure_angle_deg.max cams.0.pressure_angle_deg.at_deg cams.0.rim_radius_mm.least_convex cams.0.rim_radius_mm.least_hollow cams.0.undercut cams.0.peak_velocity_mm_s cams.0.peak_acceleration_mm_s2
torso.lean_deg.min torso.lean_deg.max torso.nod_deg.min torso.nod_deg.max torso.tilt_deg.max torso.twist_deg.min torso.twist_deg.max torso.slot_mm.min torso.slot_mm.max
torso.opening.circle_mm torso.opening.width_mm torso.opening.depth_mm
torso.points.0.name torso.points.0.x_mm.min torso.points.0.x_mm.max torso.points.0.y_mm.min torso.points.0.y_mm.max torso.points.0.z_mm.min torso.points.0.z_mm.max torso.points.0.peak_speed_mm_s torso.points.0.peak_acceleration_mm_s2
torso.clearances.0.point torso.clearances.0.obstacle torso.clearances.0.mm torso.clearances.0.at_turns
linkages.0.name linkages.0.transmission_deg.min linkages.0.transmission_deg.max linkages.0.locks_at_deg
linkages.0.points.0.name linkages.0.points.0.x_mm.min linkages.0.points.0.y_mm.max linkages.0.points.0.z_mm.min
beats.per_min beats.target_per_min beats.supply_for_target_V
findings.0.rule findings.0.severity findings.0.where findings.0.value findings.0.limit findings.0.unit findings.0.message findings.0.source`,
	"belt": `belts.0.name belts.0.pitch belts.0.pitch_mm belts.0.length_mm belts.0.teeth_exact belts.0.teeth_fitted belts.0.stocked belts.0.take_up_mm belts.0.centre_mm
belts.0.pulleys.0.teeth belts.0.pulleys.0.side belts.0.pulleys.0.pitch_diameter_mm belts.0.pulleys.0.wrap_deg belts.0.pulleys.0.teeth_in_mesh belts.0.spans.0.length_mm belts.0.candidates.0.teeth`,
	"pose": `motor_turns shafts.main shafts.beat cams.sway.angle_deg cams.sway.lift cams.sway.lift_unit cams.sway.velocity cams.sway.acceleration
torso.lean_deg torso.nod_deg torso.twist_deg torso.slot_mm torso.points.hat.2 linkages.staff.pins.knee.1 linkages.staff.points.tip.1`,
	"cam": `rows.0.angle_deg rows.0.lift rows.0.velocity rows.0.acceleration rows.0.jerk rows.0.pressure_angle_deg rows.0.rim_radius_mm rows.0.x_mm rows.35.y_mm`,
}

// has reports whether a JSON document has the path; a null counts.
func has(v any, path string) bool {
	for _, step := range strings.Split(path, ".") {
		switch at := v.(type) {
		case map[string]any:
			next, ok := at[step]
			if !ok {
				return false
			}
			v = next
		case []any:
			var i int
			if _, err := fmt.Sscan(step, &i); err != nil || i >= len(at) {
				return false
			}
			v = at[i]
		default:
			return false
		}
	}
	return true
}

func TestJSONKeepsItsKeys(t *testing.T) {
	t.Chdir(t.TempDir())
	if _, messages, status := run(t, "new", "watchman.yaml"); status != 0 {
		t.Fatal(messages)
	}
	commands := map[string][]string{
		"report": {"report", "watchman.yaml", "--json"},
		"belt":   {"belt", "--pitch", "MXL", "--teeth", "18,40", "--centre", "60", "--json"},
		"pose":   {"pose", "watchman.yaml", "--turns", "1.5", "--json"},
		"cam":    {"cam", "watchman.yaml", "--name", "sway", "--step", "10", "--json"},
	}
	for name, args := range commands {
		out, messages, status := run(t, args...)
		if status == 2 {
			t.Errorf("%s: %s", name, messages)
			continue
		}
		var document any
		if err := json.Unmarshal([]byte(out), &document); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, path := range strings.Fields(contract[name]) {
			if !has(document, path) {
				t.Errorf("%s --json has no %s", name, path)
			}
		}
		noNull(t, name, "", document)
	}
}

// noNull wants lists to be lists, never null: whatever is null must be a single
// value, which this can only tell by its name.
func noNull(t *testing.T, command, path string, v any) {
	plural := []string{"shafts", "belts", "gears", "cams", "linkages", "findings", "pulleys", "spans", "candidates", "points", "clearances", "rows", "cautions"}
	switch v := v.(type) {
	case map[string]any:
		for k, next := range v {
			for _, p := range plural {
				if next == nil && k == p {
					t.Errorf("%s --json: %s.%s is null, want a list", command, path, k)
				}
			}
			noNull(t, command, path+"."+k, next)
		}
	case []any:
		for i, next := range v {
			noNull(t, command, fmt.Sprintf("%s.%d", path, i), next)
		}
	}
}

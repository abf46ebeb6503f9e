package cli

import (
	"testing"

	"understage/internal/solve"
	"understage/internal/spec"
	"understage/internal/sweep"
)

// One row of a sweep over the watchman, without reading and writing.
func BenchmarkRow(b *testing.B) {
	figure, _ := spec.Load(spec.Source{Name: "watchman", Text: spec.Figures()[0].Text}, nil, nil)
	v := &variants{nil, figure, judge(figure.Model, solve.Solve(figure.Model))}
	for _, c := range []struct{ name, path, from, to, show string }{
		{"supply-for-tilt", "motor.supply", "4.9", "5", "torso.tilt_deg.max"},
		{"supply-for-speed", "motor.supply", "4.9", "5", "motor.running_rpm"},
		{"cam-for-repeat", "cams.sway.base", "16.5", "17", "repeat.motor_turns"},
		{"cam-for-pressure", "cams.sway.base", "16.5", "17", "cams.sway.pressure_angle_deg.max"},
		{"cam-for-near", "cams.sway.base", "16.5", "17", "repeat.near.worst_mm"},
		{"sprocket-for-repeat", "drive.belts.loop.run.1.teeth", "37", "41", "repeat.motor_turns"},
		{"sprocket-for-tilt", "drive.belts.loop.run.1.teeth", "37", "41", "torso.tilt_deg.max"},
		{"cam-for-tilt", "cams.sway.waves.0.amplitude", "4.5", "4.6", "torso.tilt_deg.max"},
		{"pin-for-tilt", "torso.guide.pin.1", "0.5", "0.6", "torso.tilt_deg.max"},
		{"cam-for-findings", "cams.sway.waves.0.amplitude", "4.5", "4.6", "fail"},
		{"limit-for-near", "limits.near_repeat", "9", "8", "repeat.near.motor_turns"},
	} {
		b.Run(c.name, func(b *testing.B) {
			key, err := sweep.ParseKey(c.show, v.base)
			if err != nil {
				b.Fatal(err)
			}
			answer := v.answer([]string{c.path}, []sweep.Key{key}, nil, false)
			cells := make([]sweep.Cell, 1)
			values := [2][]string{{c.from}, {c.to}}
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if reason := answer(values[i%2], cells); reason != "" {
					b.Fatal(reason)
				}
			}
		})
	}
}

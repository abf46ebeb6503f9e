package cli

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/units"

	"github.com/spf13/cobra"
)

type poseOptions struct {
	specOptions
	outputOptions
	turns string
}

func newPoseCmd(a *app) *cobra.Command {
	var o poseOptions
	cmd := &cobra.Command{
		Use:   "pose SPEC --turns N",
		Short: "say where everything stands after some turns of the motor",
		Long: `Poses the figure after N turns of the motor, counted in the motor's own sense
from the start; N may be a fraction such as 12.25 or 49/4, and negative. Shaft
angles are signed and not wrapped; a cam's angle is how far its shaft has turned
in its own sense plus the cam's phase.

Exit status: 0 done, 1 the figure cannot be posed there, 2 no answer.`,
		Example: `  understage pose watchman.yaml --turns 12.25
  understage pose watchman.yaml --turns 860 --json`,
		Args: oneSpec,
		RunE: func(cmd *cobra.Command, args []string) error { return runPose(a, args, o) },
	}
	cmd.Flags().StringVar(&o.turns, "turns", "0", "turns of the motor from the start")
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, false)
	return cmd
}

// oneSpec wants exactly one argument.
func oneSpec(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return fmt.Errorf("%s needs a SPEC; - reads standard input", cmd.Name())
	}
	return upTo(1)(cmd, args)
}

// maxTurns is the most motor turns a pose may be asked for: the number of turns
// is then still exact to a millionth.
const maxTurns = 1e9

// parseTurns reads a number of turns, as a decimal or a fraction.
func parseTurns(flag, text string) (float64, error) {
	number, over, fraction := strings.Cut(strings.TrimSpace(text), "/")
	n, err := strconv.ParseFloat(number, 64)
	d := 1.0
	if fraction && err == nil {
		d, err = strconv.ParseFloat(over, 64)
	}
	if turns := n / d; err == nil && math.Abs(turns) <= maxTurns {
		return turns, nil
	}
	return 0, fmt.Errorf("%s %q: want a number of turns up to %g, such as 12.25 or 49/4", flag, text, maxTurns)
}

func runPose(a *app, args []string, o poseOptions) error {
	turns, err := parseTurns("--turns", o.turns)
	if err != nil {
		return err
	}
	figure, err := a.loadOne(args, o.specOptions)
	if err != nil {
		return err
	}
	machine := solve.Compile(figure.Model)
	pose := machine.NewPose()
	machine.Pose(turns, pose)
	result := report.BuildPose(machine, pose)
	err = a.write(o.outputOptions, func(w io.Writer) error {
		if o.json {
			return writeJSON(w, result)
		}
		return result.WriteText(w, figure.Model, textWidth)
	})
	if err == nil && !result.Posed {
		err = errJudgedFail
	}
	return err
}

type traceOptions struct {
	specOptions
	outputOptions
	span, step string
	from       string
}

func newTraceCmd(a *app) *cobra.Command {
	var o traceOptions
	cmd := &cobra.Command{
		Use:   "trace SPEC",
		Short: "print the motion as rows over time",
		Long: `Prints a row of CSV for each instant: time, motor turns, shaft angles, cam
lifts, torso, points and linkages. --for, --from and --every are times (10 s, 2
min) or motor turns (5 turn); "--for repeat" goes on until the motion repeats.
Rows are written as they are computed, so a trace may be as long as the disk
allows. A cell is empty where the figure cannot be posed.`,
		Example: `  understage trace watchman.yaml > watchman.csv
  understage trace watchman.yaml --for '20 turn' --every '0.01 turn' \
      -o motion.csv
  understage trace watchman.yaml --for repeat --json | head`,
		Args: oneSpec,
		RunE: func(cmd *cobra.Command, args []string) error { return runTrace(a, args, o) },
	}
	cmd.Flags().StringVar(&o.span, "for", "", "how long: a time, motor turns, or repeat (default 60 s)")
	cmd.Flags().StringVar(&o.from, "from", "0", "where to start: a time or motor turns")
	cmd.Flags().StringVar(&o.step, "every", "", "from row to row: a time or motor turns (default 0.1 s)")
	addSpecFlags(cmd, &o.specOptions)
	addOutputFlags(cmd, &o.outputOptions, true)
	return cmd
}

// traceRange is the rows of a trace in motor turns: row i stands at
// from + i·step.
type traceRange struct {
	from, step float64
	rows       int64
}

func runTrace(a *app, args []string, o traceOptions) error {
	figure, err := a.loadOne(args, o.specOptions)
	if err != nil {
		return err
	}
	solution := solve.Solve(figure.Model)
	span, err := o.rows(solution)
	if err != nil {
		return err
	}
	trace := report.NewTrace(figure.Model, solution)
	return a.write(o.outputOptions, func(w io.Writer) error {
		if o.json {
			return writeTraceJSON(w, figure.Model.Name, trace, solution.Machine, span)
		}
		return writeTraceCSV(w, trace, solution.Machine, span)
	})
}

// rows turns the flags into rows.
func (o traceOptions) rows(s *solve.Solution) (traceRange, error) {
	var r traceRange
	turnsPerSecond := s.Motor.RunningSpeed / (2 * math.Pi)
	if !(turnsPerSecond > 0) {
		turnsPerSecond = 0
	}
	span, step := o.span, o.step
	if span == "" {
		span = "60 s"
		if turnsPerSecond == 0 {
			span = "1 turn"
		}
	}
	if step == "" {
		step = "0.1 s"
		if turnsPerSecond == 0 {
			step = "0.01 turn"
		}
	}
	var length float64
	var err error
	if span == "repeat" {
		if s.Repeat.Status != solve.RepeatOK {
			return r, errors.New("--for repeat: the figure has no repeat; give a time or a number of turns")
		}
		length = s.Repeat.Turns
	} else if length, err = parseTurnsOrTime("--for", span, turnsPerSecond); err != nil {
		return r, err
	}
	if r.step, err = parseTurnsOrTime("--every", step, turnsPerSecond); err != nil {
		return r, err
	}
	if r.from, err = parseTurnsOrTime("--from", o.from, turnsPerSecond); err != nil {
		return r, err
	}
	if r.step <= 0 || length < 0 {
		return r, errors.New("--every must be above 0 and --for not below")
	}
	rows := math.Floor(length/r.step+1e-9) + 1
	if length > maxTurns || rows > 1e12 {
		return r, fmt.Errorf("a trace of %.3g rows over %.3g motor turns is beyond reach; take a longer --every or a shorter --for", rows, length)
	}
	r.rows = int64(rows)
	return r, nil
}

// parseTurnsOrTime reads "5 turn" or "10 s" as motor turns; a bare number is
// seconds.
func parseTurnsOrTime(flag, text string, turnsPerSecond float64) (float64, error) {
	if angle, err := units.Parse(text, units.Angle, units.Defaults{}); err == nil && strings.HasSuffix(strings.TrimRight(text, "s"), "turn") {
		return angle / (2 * math.Pi), nil
	}
	seconds, err := units.Parse(text, units.Time, units.Defaults{})
	if err != nil {
		return 0, fmt.Errorf("%s %q: want a time such as 10 s, or motor turns such as 5 turn", flag, text)
	}
	if turnsPerSecond == 0 && seconds != 0 {
		return 0, fmt.Errorf("%s %q: the figure has no motor that runs, so there is no time; give motor turns such as 5 turn", flag, text)
	}
	return seconds * turnsPerSecond, nil
}

// each poses the figure at every row.
func (r traceRange) each(t *report.Trace, machine *solve.Machine, emit func(row []float64) error) error {
	pose := machine.NewPose()
	row := make([]float64, len(t.Names))
	for i := range r.rows {
		machine.Pose(r.from+float64(i)*r.step, pose)
		t.Row(pose, row)
		if err := emit(row); err != nil {
			return err
		}
	}
	return nil
}

func writeTraceCSV(w io.Writer, t *report.Trace, machine *solve.Machine, r traceRange) error {
	line := []byte(nil)
	for i, name := range t.Names {
		if i > 0 {
			line = append(line, ',')
		}
		line = report.AppendCSV(line, name)
	}
	if _, err := w.Write(append(line, '\n')); err != nil {
		return err
	}
	return r.each(t, machine, func(row []float64) error {
		line = line[:0]
		for i, v := range row {
			if i > 0 {
				line = append(line, ',')
			}
			if v-v == 0 {
				line = report.Value(v).Append(line)
			}
		}
		_, err := w.Write(append(line, '\n'))
		return err
	})
}

func writeTraceJSON(w io.Writer, figure string, t *report.Trace, machine *solve.Machine, r traceRange) error {
	names := make([][]byte, len(t.Names))
	for i, name := range t.Names {
		names[i] = append(report.AppendQuoted(nil, name), ':')
	}
	line := append(report.AppendQuoted([]byte(fmt.Sprintf(`{"version":%d,"figure":`, report.Version)), figure), `,"rows":[`...)
	first := true
	err := r.each(t, machine, func(row []float64) error {
		if !first {
			line = append(line, ',')
		}
		first = false
		line = append(line, "\n{"...)
		for i, v := range row {
			if i > 0 {
				line = append(line, ',')
			}
			line = report.Value(v).Append(append(line, names[i]...))
		}
		_, err := w.Write(append(line, '}'))
		line = line[:0]
		return err
	})
	if err != nil {
		return err
	}
	_, err = w.Write(append(line, "\n]}\n"...))
	return err
}

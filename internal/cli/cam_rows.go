package cli

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"understage/internal/check"
	"understage/internal/report"
	"understage/internal/solve"
	"understage/internal/units"
)

// camRowLeast is the finest step of rows, in rad: a thousandth of a degree.
const camRowLeast = math.Pi / 180 / 1000

func writeCamRows(a *app, chosen []camChoice, o camOptions) error {
	step, err := units.Parse(o.step, units.Angle, units.Defaults{})
	switch {
	case err != nil:
		return fmt.Errorf("--step: %w", err)
	case step < camRowLeast*(1-1e-9) || step > 2*math.Pi:
		return fmt.Errorf("--step %s: want an angle from 0.001 deg to 360 deg", o.step)
	case len(chosen) > 1:
		var names []string
		for _, c := range chosen {
			names = append(names, c.figure.model.Cams[c.cam].Name)
		}
		return fmt.Errorf("--step prints one cam; --name says which: %s", strings.Join(names, ", "))
	case o.against != "":
		return errors.New("cam: --step and --against are two things; ask for one")
	}
	// Degrees as written, so that rows stand at 10 and not at 10.000000000000002.
	step = math.Round(step*180/math.Pi*1e9) / 1e9
	c := chosen[0]
	view, findings, err := viewCam(c, false, "")
	if err != nil {
		return err
	}
	err = a.write(o.outputOptions, func(w io.Writer) error {
		switch {
		case o.json:
			return writeCamRowsJSON(w, &view, c.compiled(), step)
		case o.csv:
			return writeCamRowsCSV(w, c.compiled(), step)
		}
		return view.WriteRows(w, c.compiled(), step, a.camStyle(o, c.figure.model))
	})
	if err == nil && check.Worst(findings) == check.Fail {
		err = errJudgedFail
	}
	return err
}

func writeCamRowsJSON(w io.Writer, view *report.CamView, c *solve.Cam, step float64) error {
	rows := make([]report.CamRow, report.CamRowCount(step))
	for i := range rows {
		rows[i] = report.BuildCamRow(c, step, i)
	}
	return writeJSON(w, struct {
		Version  int             `json:"version"`
		Name     string          `json:"name"`
		LiftUnit string          `json:"lift_unit"`
		Rows     []report.CamRow `json:"rows"`
	}{report.Version, view.Name, view.LiftUnit, rows})
}

func writeCamRowsCSV(w io.Writer, c *solve.Cam, step float64) error {
	out := csv.NewWriter(w)
	if err := out.Write(report.CamRowHeads); err != nil {
		return err
	}
	for i := range report.CamRowCount(step) {
		if err := out.Write(report.BuildCamRow(c, step, i).Cells()); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

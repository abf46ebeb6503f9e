package cli

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"

	"understage/internal/report"
	"understage/internal/sweep"
)

// rowFormat writes rows as CSV or as JSON Lines, one line a row.
type rowFormat struct {
	names  []string // row, the axes, the keys, reason
	axes   int
	shown  int
	asJSON bool
	out    *bufio.Writer
	csv    *csv.Writer
	cells  []string
	err    error
}

func (run *sweepRun) format(w io.Writer, asJSON bool) *rowFormat {
	f := &rowFormat{axes: len(run.plan.Axes), shown: run.shown, asJSON: asJSON, out: bufio.NewWriterSize(w, 1<<16)}
	f.names = append(f.names, "row")
	for _, axis := range run.plan.Axes {
		f.names = append(f.names, axis.Path)
	}
	for _, key := range run.columns[:run.shown] {
		f.names = append(f.names, key.Path)
	}
	f.names = append(f.names, "reason")
	f.csv = csv.NewWriter(f.out)
	return f
}

// head writes the CSV header; JSON Lines carry their names in each row.
func (f *rowFormat) head() {
	if !f.asJSON {
		f.fail(f.csv.Write(f.names))
		f.flush()
	}
}

func (f *rowFormat) fail(err error) { f.err = errors.Join(f.err, err) }

func (f *rowFormat) flush() {
	f.csv.Flush()
	f.fail(f.csv.Error())
	f.fail(f.out.Flush())
}

func (f *rowFormat) row(r *sweep.Row) {
	if f.asJSON {
		f.rowJSON(r)
		return
	}
	f.cells = append(f.cells[:0], strconv.Itoa(r.Index))
	f.cells = append(f.cells, r.Values...)
	for _, c := range r.Cells[:f.shown] {
		f.cells = append(f.cells, csvCell(c))
	}
	f.cells = append(f.cells, r.Reason)
	f.fail(f.csv.Write(f.cells))
}

func csvCell(c sweep.Cell) string {
	switch c.Kind {
	case sweep.Number:
		text, _ := report.Value(c.Number).MarshalJSON()
		return string(text)
	case sweep.Text:
		return c.Text
	}
	return ""
}

func (f *rowFormat) rowJSON(r *sweep.Row) {
	var b bytes.Buffer
	fmt.Fprintf(&b, `{"row":%d`, r.Index)
	field := func(i int, value any) {
		name, _ := json.Marshal(f.names[i])
		text, err := json.Marshal(value)
		f.fail(err)
		fmt.Fprintf(&b, ",%s:%s", name, text)
	}
	for i, v := range r.Values {
		field(1+i, v)
	}
	for i, c := range r.Cells[:f.shown] {
		switch c.Kind {
		case sweep.Number:
			field(1+f.axes+i, report.Value(c.Number))
		case sweep.Text:
			field(1+f.axes+i, c.Text)
		default:
			field(1+f.axes+i, nil)
		}
	}
	if r.Reason != "" {
		field(len(f.names)-1, r.Reason)
	}
	b.WriteString("}\n")
	_, err := f.out.Write(b.Bytes())
	f.fail(err)
}

// runRows streams rows to standard output or to a file. A file grows as
// FILE.partial and takes its name when the last row is there.
func runRows(ctx context.Context, a *app, run *sweepRun, o sweepOptions) error {
	name := o.file
	if o.resume != "" {
		name = o.resume
	}
	if name == "" || name == "-" {
		return run.stream(ctx, a, a.stdout, o, run.headed)
	}
	if _, err := os.Stat(name); err == nil && o.resume == "" && !o.force {
		return fmt.Errorf("%s: exists already; --force replaces it", name)
	}
	partial := name + ".partial"
	file, first, err := run.openPartial(partial, o)
	if err != nil {
		return err
	}
	err = run.stream(ctx, a, file, o, first)
	err = errors.Join(err, file.Sync(), file.Close())
	if err != nil {
		if errors.Is(err, context.Canceled) {
			return fmt.Errorf("interrupted; the rows so far are in %s, and --resume %s goes on", partial, name)
		}
		return err
	}
	if err := os.Rename(partial, name); err != nil {
		return fmt.Errorf("%s: cannot be written: %w", name, cause(err))
	}
	return nil
}

// stream writes the rows as they come.
func (run *sweepRun) stream(ctx context.Context, a *app, w io.Writer, o sweepOptions, head bool) error {
	format := run.format(w, o.json)
	if head {
		format.head()
	}
	err := run.each(ctx, a, func(r *sweep.Row) error {
		format.row(r)
		return format.err
	})
	format.flush()
	return errors.Join(err, format.err)
}

// openPartial opens the growing file, empty for a new run. For --resume it
// keeps the whole rows that are there, moves the run's start behind them, and
// makes sure that they are rows of this very run. first says whether the header
// is still to be written.
func (run *sweepRun) openPartial(partial string, o sweepOptions) (file *os.File, first bool, err error) {
	flags := os.O_RDWR | os.O_CREATE
	if o.resume == "" {
		if _, err := os.Stat(partial); err == nil && !o.force {
			return nil, false, fmt.Errorf("%s: holds the rows of an interrupted run; --resume %s goes on with it, --force starts over", partial, o.file)
		}
		flags |= os.O_TRUNC
	}
	file, err = os.OpenFile(partial, flags, 0o644)
	if err != nil {
		return nil, false, fmt.Errorf("%s: cannot be written: %w", partial, cause(err))
	}
	first = run.headed
	if o.resume == "" {
		return file, first, nil
	}
	kept, next, err := run.scanPartial(file, o.json)
	if err == nil {
		err = file.Truncate(kept)
	}
	if err == nil {
		_, err = file.Seek(kept, io.SeekStart)
	}
	if err != nil {
		file.Close()
		return nil, false, fmt.Errorf("%s: %w", partial, err)
	}
	run.from = max(run.from, next)
	return file, first && kept == 0, nil
}

// scanPartial reads an interrupted file and returns how many of its bytes are
// whole lines of this run and the row that comes next.
func (run *sweepRun) scanPartial(r io.Reader, asJSON bool) (kept int64, next int, err error) {
	lines := bufio.NewReaderSize(r, 1<<16)
	format := run.format(io.Discard, asJSON)
	next = run.from
	head := !asJSON && run.headed
	for {
		line, err := lines.ReadBytes('\n')
		if err == io.EOF {
			return kept, next, nil // a line without its end was cut by the interruption
		}
		if err != nil {
			return 0, 0, err
		}
		if head {
			head = false
			if !sameCells(line, format.names) {
				return 0, 0, errors.New("the file's columns are not those of this run")
			}
		} else {
			row, err := run.rowOf(line, asJSON)
			if err != nil {
				return 0, 0, err
			}
			next = row + 1
		}
		kept += int64(len(line))
	}
}

func sameCells(line []byte, want []string) bool {
	cells, err := csv.NewReader(bytes.NewReader(line)).Read()
	if err != nil || len(cells) != len(want) {
		return false
	}
	for i := range want {
		if cells[i] != want[i] {
			return false
		}
	}
	return true
}

// rowOf returns the row number of a line after making sure that its inputs are
// those this run would take there.
func (run *sweepRun) rowOf(line []byte, asJSON bool) (int, error) {
	foreign := errors.New("the file's rows are not those of this run")
	values := make([]string, len(run.plan.Axes))
	row := 0
	if asJSON {
		var fields map[string]any
		if err := json.Unmarshal(line, &fields); err != nil {
			return 0, foreign
		}
		number, ok := fields["row"].(float64)
		if !ok {
			return 0, foreign
		}
		row = int(number)
		for i, axis := range run.plan.Axes {
			values[i], _ = fields[axis.Path].(string)
		}
	} else {
		cells, err := csv.NewReader(bytes.NewReader(line)).Read()
		if err != nil || len(cells) < 1+len(values) {
			return 0, foreign
		}
		if row, err = strconv.Atoi(cells[0]); err != nil {
			return 0, foreign
		}
		copy(values, cells[1:])
	}
	if row < run.from || row >= run.to {
		return 0, foreign
	}
	want := make([]string, len(values))
	run.plan.Values(row, want)
	for i := range want {
		if values[i] != want[i] {
			return 0, foreign
		}
	}
	return row, nil
}

package spec

import (
	"encoding/csv"
	"errors"
	"io"
	"io/fs"
	"strings"
	"unicode/utf8"

	"understage/internal/diag"
	"understage/internal/units"
)

// tableRow is one row of a CSV file with the places of its cells.
type tableRow struct {
	file  string
	cells []string
	at    []diag.Pos
}

func (r *tableRow) say(d *decoder, column int, text, want string) {
	if len(d.msgs) < maxMessages {
		d.msgs = append(d.msgs, diag.Message{Pos: r.at[column], Text: text, Want: want})
	}
}

func (r *tableRow) quantity(d *decoder, column int, dim units.Dimension, bound Bound) (float64, bool) {
	v, err := units.Parse(r.cells[column], dim, d.units)
	var e *units.Error
	if errors.As(err, &e) {
		r.say(d, column, e.Found, e.Want)
		return 0, false
	}
	if bound == Positive && v <= 0 {
		r.say(d, column, "found "+quoted(r.cells[column]), bound.prefix(dim.Name()))
		return 0, false
	}
	return v, true
}

// table reads a CSV file that the place names and checks its header, of which
// the first few columns must be there.
func (d *decoder) table(p *place, header []string, must int) ([]tableRow, bool) {
	name, text, ok := d.file(p)
	if !ok {
		return nil, false
	}
	reader := csv.NewReader(strings.NewReader(string(text)))
	lines := strings.Split(string(text), "\n")
	reader.FieldsPerRecord = -1
	reader.TrimLeadingSpace = true
	reader.Comment = '#'
	var rows []tableRow
	columns := []int(nil)
	for {
		record, err := reader.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var fault *csv.ParseError
		if errors.As(err, &fault) {
			d.msgs = append(d.msgs, diag.Message{Pos: diag.Pos{File: name, Line: fault.Line, Col: 1}, Text: "a row that is not CSV: " + fault.Err.Error(), Want: "cells with commas between"})
			return nil, false
		}
		row := tableRow{file: name}
		for i := range record {
			line, column := reader.FieldPos(i)
			row.at = append(row.at, diag.Pos{File: name, Line: line, Col: utf8.RuneCountInString(lines[line-1][:column-1]) + 1})
		}
		row.cells = record
		if columns == nil {
			if columns, ok = d.header(&row, header, must); !ok {
				return nil, false
			}
			continue
		}
		rows = append(rows, row.arrange(columns))
	}
	if columns == nil {
		d.say(p, quoted(name)+" is empty", "a header "+strings.Join(header, ",")+" and rows", "")
		return nil, false
	}
	return rows, true
}

// header returns for each column wanted where it stands in the file.
func (d *decoder) header(row *tableRow, header []string, must int) ([]int, bool) {
	columns := make([]int, len(header))
	good := true
	for i, want := range header {
		columns[i] = -1
		for j, cell := range row.cells {
			if strings.EqualFold(strings.TrimSpace(cell), want) {
				columns[i] = j
			}
		}
		if columns[i] < 0 && i < must {
			row.say(d, 0, "a header without "+want, strings.Join(header, ","))
			good = false
		}
	}
	for j, cell := range row.cells {
		known := false
		for i := range header {
			known = known || columns[i] == j
		}
		if !known {
			row.say(d, j, "an unknown column "+quoted(strings.TrimSpace(cell)), strings.Join(header, ","))
			good = false
		}
	}
	return columns, good
}

// arrange puts the cells in the order of the columns wanted. A cell that is not
// there is empty and stands where the row starts.
func (r *tableRow) arrange(columns []int) tableRow {
	out := tableRow{file: r.file}
	for _, j := range columns {
		if j < 0 || j >= len(r.cells) {
			out.cells = append(out.cells, "")
			out.at = append(out.at, r.at[0])
			continue
		}
		out.cells = append(out.cells, strings.TrimSpace(r.cells[j]))
		out.at = append(out.at, r.at[j])
	}
	return out
}

// file reads a file that a key names, and checks that it is text.
func (d *decoder) file(p *place) (name string, text []byte, ok bool) {
	name, ok = d.scalar(p)
	if !ok {
		return "", nil, false
	}
	if d.read == nil {
		d.say(p, "a file beside a spec that is not in one", "the values in the spec itself", "")
		return "", nil, false
	}
	text, err := d.read(name)
	if err != nil {
		var at *fs.PathError
		if errors.As(err, &at) {
			err = at.Err // the reader's own path says nothing about the spec
		}
		d.say(p, "cannot read "+quoted(name)+": "+err.Error(), "a file beside the spec", "")
		return "", nil, false
	}
	text, msgs := checkText(Source{Name: name, Text: text})
	if msgs != nil {
		d.msgs = append(d.msgs, msgs...)
		return "", nil, false
	}
	return name, text, true
}

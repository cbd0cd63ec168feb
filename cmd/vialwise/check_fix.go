package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"vialwise/bioassay/tables"
	"vialwise/cmd/vialwise/internal/render"
)

// The endings of what --fix writes beside a file, in place of its own.
const (
	copyEnding = ".cleaned.csv"
	listEnding = ".changes.csv"
)

// clean writes a cleaned copy of a table beside its file, with the list of
// what differs. A file that needs none gets none.
func (c *checker) clean(in *input, file string, table *tables.Table) (*render.Cleaned, error) {
	var text bytes.Buffer
	if err := tables.WriteTable(&text, table); err != nil {
		return &render.Cleaned{Note: file + " cannot be cleaned: " + err.Error(), Failed: true}, nil
	}
	if err := in.rewind(); err != nil {
		return nil, err
	}
	same, err := sameBytes(in.content, text.Bytes())
	if err != nil || same {
		return &render.Cleaned{Note: "already clean, nothing was written"}, err
	}
	var list bytes.Buffer
	changes, err := c.list(&list, in, file, table, text.Bytes())
	if err != nil {
		return nil, err
	}
	out := &render.Cleaned{Copy: baseName(file) + copyEnding, List: baseName(file) + listEnding, Changes: changes}
	if err := c.writeBoth(out, text.Bytes(), list.Bytes()); err != nil {
		return &render.Cleaned{Note: err.Error(), Failed: true}, nil
	}
	return out, nil
}

// baseName is a file without its ending.
func baseName(file string) string { return strings.TrimSuffix(file, filepath.Ext(file)) }

// writeBoth writes the copy and the list, or neither where one of them would
// replace something else.
func (c *checker) writeBoth(out *render.Cleaned, text, list []byte) error {
	files := []struct {
		path string
		data []byte
	}{{out.Copy, text}, {out.List, list}}
	for _, f := range files {
		old, err := os.ReadFile(f.path)
		if err == nil && !bytes.Equal(old, f.data) && !c.flags.force {
			return fmt.Errorf("%s is there already and says something else; look at it, then give --force to replace it", f.path)
		}
	}
	for _, f := range files {
		if err := writeFile(f.path, f.data); err != nil {
			return err
		}
	}
	return nil
}

// sameBytes reports whether a reader holds exactly these bytes.
func sameBytes(r io.Reader, want []byte) (bool, error) {
	buffer := make([]byte, 64<<10)
	for {
		n, err := r.Read(buffer)
		if n > len(want) || !bytes.Equal(buffer[:n], want[:n]) {
			return false, nil
		}
		want = want[n:]
		switch {
		case err == io.EOF:
			return len(want) == 0, nil
		case err != nil:
			return false, err
		}
	}
}

var changesHeader = []string{"sheet", "line", "column", "name", "before", "after", "why"}

// changeList writes changes one by one.
type changeList struct {
	out   *csv.Writer
	count int
	err   error // the first
}

// change is one of them. A line of 0 means the file as a whole, and a column of
// 0 the whole line.
type change struct {
	sheet        string
	line, column int
	name         string
	before       string
	after        string
	why          string
}

func (l *changeList) add(c change) {
	l.count++
	l.row([]string{c.sheet, numberOrBlank(c.line), numberOrBlank(c.column), c.name, c.before, c.after, c.why})
}

func (l *changeList) row(cells []string) {
	for i, cell := range cells {
		cells[i] = listSafe(cell)
	}
	if err := l.out.Write(cells); l.err == nil {
		l.err = err
	}
}

// listSafe protects a cell from being run as a formula, and one that begins
// with an apostrophe from losing it, by an apostrophe before it.
func listSafe(cell string) string {
	if strings.HasPrefix(cell, "'") {
		return "'" + cell
	}
	return render.CellSafe(cell)
}

func numberOrBlank(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

// list writes the list of changes and returns their number.
func (c *checker) list(w io.Writer, in *input, file string, table *tables.Table, text []byte) (int, error) {
	l := &changeList{out: csv.NewWriter(w)}
	l.row(changesHeader)
	l.count = 0
	err := in.rewind()
	switch {
	case err != nil:
	case c.wide != nil:
		l.reshaped(table, c.flags.mapping)
	default:
		err = compareCells(l, in.content, file, table, text)
	}
	l.out.Flush()
	return l.count, errors.Join(err, l.err, l.out.Error())
}

// reshaped lists how the rows of a bench sheet became rows of the copy.
func (l *changeList) reshaped(table *tables.Table, mapping string) {
	for _, w := range table.Warnings {
		l.add(change{line: w.Line, before: string(w.Code), after: w.Message, why: "how the sheet was read"})
	}
	row := 1
	for _, a := range table.Assays {
		for _, v := range a.Containers {
			row++
			l.add(change{line: v.Source.Line, name: v.Label, after: fmt.Sprintf("line %d of the copy", row), why: "one row for each container, by the mapping " + mapping})
		}
	}
}

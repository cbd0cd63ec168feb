package main

import (
	"errors"
	"io"
	"os"
	"runtime/debug"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
)

// A registry of a million rows is mostly kept, and room for twice of it is not
// to be had everywhere. So the collector runs before the heap has grown by this
// much, in percent, and before the program takes this much in all, if it can.
const (
	sparingPercent = 20
	sparingBytes   = 230 << 20
)

// spare makes the collector save memory, with the limit or without. It returns
// what undoes it.
func spare(limited bool) (undo func()) {
	percent, limit := debug.SetGCPercent(sparingPercent), debug.SetMemoryLimit(-1) // which only asks
	if limited {
		debug.SetMemoryLimit(sparingBytes)
	}
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}

// run checks all files.
func (f *checkFlags) run(stdin io.Reader, files []string, bar *progress) (*render.Check, error) {
	c, err := newChecker(f)
	if err != nil {
		return nil, err
	}
	for _, file := range files {
		if err := c.add(stdin, file, bar); err != nil {
			return nil, err
		}
	}
	return c.answer(), nil
}

// checker goes through files and assays one by one and keeps what a report
// tells of them.
type checker struct {
	flags     *checkFlags
	programme *bioassay.Programme
	wide      *tables.Mapping // nil without a mapping
	standards map[string]standard
	twice     bioassay.Duplicates
	texts     map[string]string // one copy of each message, of which there are few
	report    *render.Check
	fitter    doseresp.Fitter
}

func newChecker(f *checkFlags) (*checker, error) {
	programme, err := loadProgramme(f.programme)
	if err != nil {
		return nil, err
	}
	c := &checker{flags: f, programme: programme, standards: map[string]standard{}, texts: map[string]string{}}
	if err := c.addRules(); err != nil {
		return nil, err
	}
	if c.wide, err = openMapping(f.mapping); err != nil {
		return nil, err
	}
	c.report = &render.Check{Version: version, Programme: programmeName(f.programme, programme), Moribund: f.moribund, Level: checkLevel}
	if f.moribund == "" {
		c.report.Moribund = "by protocol"
	}
	return c, nil
}

// programmeName is the name that a programme gives itself, or its file.
func programmeName(file string, p *bioassay.Programme) string {
	if file == "" || p.Name != "" {
		return p.Name
	}
	return file
}

// checkLevel is that of the limits of single concentrations.
const checkLevel = doseresp.DefaultLevel

// add checks a file. Its errors are part of the answer; the error returned is
// one of the machine.
func (c *checker) add(stdin io.Reader, file string, bar *progress) error {
	checked := render.CheckedFile{File: file}
	in, err := openInput(stdin, file)
	if err != nil {
		checked.Errors = cannotOpen(file, err)
		c.report.Files = append(c.report.Files, checked)
		return nil
	}
	defer in.close()
	checked.SHA256 = in.sha256
	table, err := c.read(in, file, bar)
	if err != nil {
		if checked.Errors, err = tableErrors(err); err != nil {
			return err
		}
		checked.Hint = c.hint(in, file, checked.Errors)
		c.report.Files = append(c.report.Files, checked)
		return nil
	}
	checked.Warnings = table.Warnings
	if c.flags.fix {
		if checked.Cleaned, err = c.clean(in, file, table); err != nil {
			return err
		}
	}
	bar.begin("judging "+file, len(table.Assays))
	for i := range table.Assays {
		checked.Rows += len(table.Assays[i].Containers)
		c.judge(table.Assays[i])
		table.Assays[i] = bioassay.Assay{} // its containers are no longer needed
		bar.step()
	}
	bar.end()
	c.report.Files = append(c.report.Files, checked)
	return nil
}

// read reads a count table, or a bench sheet by its mapping.
func (c *checker) read(in *input, file string, bar *progress) (*tables.Table, error) {
	if c.wide != nil {
		return tables.ReadWide(file, in.content, *c.wide)
	}
	started := false
	defer bar.end()
	return tables.ReadWith(file, in.content, tables.Options{Progress: func(read, total int64) {
		if !started {
			bar.begin("reading "+file, int(total))
			started = true
		}
		bar.reach(int(read))
	}})
}

// tableErrors returns what is wrong with a table. Any other error stays one.
func tableErrors(err error) (tables.Errors, error) {
	if errs := (tables.Errors)(nil); errors.As(err, &errs) {
		return errs, nil
	}
	return nil, err
}

// unreadable is the code of a file that cannot be opened.
const unreadable tables.Code = "unreadable"

// cannotOpen turns the error of a file that cannot be opened into one of the
// report, so that the other files are checked nevertheless.
func cannotOpen(file string, err error) tables.Errors {
	if e := (*os.PathError)(nil); errors.As(err, &e) {
		err = e.Err
	}
	return tables.Errors{{File: file, Code: unreadable, Message: "the file cannot be read: " + err.Error(), Remedy: "name a CSV or XLSX file that exists and may be read"}}
}

package main

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/registry"
	"vialwise/bioassay/tables"
	"vialwise/cmd/vialwise/internal/render"
)

// run imports all files, one after the other.
func (f *importFlags) run(ctx context.Context, stdin io.Reader, files []string, who string, bar *progress) (*render.Imports, error) {
	wide, err := openMapping(f.mapping)
	if err != nil {
		return nil, err
	}
	im := &importer{
		flags: f, ctx: ctx, bar: bar, tables: &checker{wide: wide},
		answer: &render.Imports{Version: version, Registry: f.registry.name(), DryRun: f.dryRun, Amend: f.amend, Who: who, Reason: f.reason},
	}
	if f.apiaries != "" {
		err = im.add(stdin, f.apiaries, true)
	}
	for _, file := range files {
		if err == nil {
			err = im.add(stdin, file, false)
		}
	}
	if err = errors.Join(err, im.close()); err != nil {
		return nil, err
	}
	return im.answer, nil
}

// importer takes files into a registry, which it opens for the first that can
// be read: nothing is made for a name that was mistyped.
type importer struct {
	flags    *importFlags
	ctx      context.Context
	bar      *progress
	tables   *checker // reads as check does
	registry *registry.Registry
	scratch  string // folder of the registry of a dry run that has none
	answer   *render.Imports
}

// add imports one file. Its failure is part of the answer; the error returned is
// that of a registry that cannot be opened.
func (im *importer) add(stdin io.Reader, file string, apiaries bool) error {
	f := render.ImportedFile{File: shown(file), Outcome: render.NotImported}
	defer func() { im.answer.Files = append(im.answer.Files, f) }()
	in, err := openInput(stdin, file)
	if err != nil {
		f.Errors = cannotOpen(f.File, err)
		return nil
	}
	defer in.close()
	f.SHA256 = in.sha256
	take, err := im.read(in, &f, apiaries)
	if err != nil {
		if f.Errors, err = tableErrors(err); err != nil {
			f.Failure = err.Error()
		} else {
			f.Hint = im.tables.hint(in, f.File, f.Errors)
		}
		return nil
	}
	source, err := in.source(file)
	if err != nil {
		f.Failure = err.Error()
		return nil
	}
	if err := im.open(); err != nil {
		return err
	}
	f.Result, err = take(im.registry, source, im.options(f.File))
	im.bar.end()
	f.Outcome = im.outcome(f.Result, err)
	if err != nil && f.Outcome == render.NotImported {
		f.Failure = err.Error()
	}
	return nil
}

// taker puts a table that was read into a registry.
type taker func(*registry.Registry, registry.Source, registry.ImportOptions) (*registry.ImportResult, error)

// read reads a count table, or a table of apiaries where it is one.
func (im *importer) read(in *input, f *render.ImportedFile, apiaries bool) (taker, error) {
	if !apiaries && im.tables.wide == nil {
		header, err := tables.ReadHeader(f.File, in.content)
		apiaries = err == nil && tables.NamesApiaries(header)
		if err := in.rewind(); err != nil {
			return nil, err
		}
	}
	if apiaries {
		f.Holds = registry.OfApiary
		table, err := tables.ReadApiaries(f.File, in.content)
		if err != nil {
			return nil, err
		}
		f.Reading, f.Places = table.Warnings, geo.Whereabouts(table.Apiaries)
		return func(r *registry.Registry, s registry.Source, o registry.ImportOptions) (*registry.ImportResult, error) {
			before, err := r.Apiaries(im.ctx)
			if err != nil {
				return nil, err
			}
			f.Reading = append(f.Reading, geo.DoubtPlaces(table.Apiaries, before)...)
			return r.ImportApiaries(im.ctx, table, s, o)
		}, nil
	}
	table, err := im.tables.read(in, f.File, im.bar)
	if err != nil {
		return nil, err
	}
	f.Holds, f.Reading = registry.OfAssay, table.Warnings
	return func(r *registry.Registry, s registry.Source, o registry.ImportOptions) (*registry.ImportResult, error) {
		return r.Import(im.ctx, table, s, o)
	}, nil
}

// source describes the file for the history. The hash is computed again, for
// the history must not name other bytes than those that were read.
func (in *input) source(file string) (registry.Source, error) {
	if err := in.rewind(); err != nil {
		return registry.Source{}, err
	}
	hash := sha256.New()
	n, err := io.Copy(hash, in.content)
	if err != nil {
		return registry.Source{}, fmt.Errorf("it cannot be read again: %w", err)
	}
	if sum := hex.EncodeToString(hash.Sum(nil)); sum != in.sha256 {
		return registry.Source{}, errors.New("it was changed while it was read; import it again")
	}
	return registry.Source{Name: shown(filepath.Base(render.ShownInput(file))), SHA256: in.sha256, Bytes: n}, nil
}

func (im *importer) options(file string) registry.ImportOptions {
	return registry.ImportOptions{
		Who: im.answer.Who, DryRun: im.flags.dryRun, Amend: im.flags.amend, Reason: im.flags.reason, Progress: im.bar.counting("importing " + file),
	}
}

// open opens the registry once, and makes it where it is not there. A dry run
// without one compares with an empty one elsewhere.
func (im *importer) open() (err error) {
	if im.registry != nil {
		return nil
	}
	im.answer.Made = !im.flags.registry.isThere()
	path, o := im.flags.registry.file(), registry.Options{Who: im.answer.Who}
	switch {
	case im.flags.dryRun && !im.answer.Made:
		im.registry, err = im.flags.registry.read()
		return err
	case im.flags.dryRun:
		if im.scratch, err = os.MkdirTemp("", "vialwise-dry-run-*"); err != nil {
			return err
		}
		path = filepath.Join(im.scratch, defaultRegistry)
	}
	im.registry, err = registry.Open(path, o)
	return err
}

func (im *importer) close() (err error) {
	if im.registry != nil {
		err = im.registry.Close()
	}
	if im.scratch != "" {
		err = errors.Join(err, os.RemoveAll(im.scratch))
	}
	return err
}

// outcome names what an import came to. A dry run reports conflicts without an
// error.
func (im *importer) outcome(r *registry.ImportResult, err error) render.Outcome {
	switch {
	case errors.Is(err, registry.Conflicting), err == nil && r.Changed > 0 && !im.flags.amend:
		return render.Conflicting
	case err != nil:
		return render.NotImported
	case r.Changed > 0:
		return render.Amended
	case r.New == 0:
		return render.Unchanged
	}
	return render.Imported
}

// refusalOf says why a file was not imported, blank where it was.
func refusalOf(f render.ImportedFile) string {
	switch {
	case f.Outcome == render.Conflicting:
		return fmt.Sprintf("the record has other values for %s in %s; correct the file, give a different %s another name, or accept the changes with --amend --reason TEXT",
			bioassay.Plural(len(f.Result.Conflicts)+f.Result.MoreConflicts, "field"), changed(f.Result.Changed, f.Holds), f.Holds)
	case f.Outcome != render.NotImported:
		return ""
	case len(f.Errors) > 0:
		return bioassay.Plural(len(f.Errors), "error") + " in the file; correct what the table of errors says and import it again"
	}
	return cmp.Or(f.Failure, "nothing is known of why")
}

// changed is a number of assays or of rows of apiaries.
func changed(n int, holds registry.Subject) string {
	switch {
	case holds != registry.OfApiary:
		return bioassay.Plural(n, "assay")
	case n == 1:
		return "1 row of an apiary"
	}
	return fmt.Sprintf("%d rows of apiaries", n)
}

package registry

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

// Source is the file that an import comes from.
type Source struct {
	Name   string // as the history shows it; a base name is enough
	SHA256 string // of the bytes, in hexadecimal
	Bytes  int64
}

// SourceOf describes a file by its name and contents.
func SourceOf(name string, contents []byte) Source {
	sum := sha256.Sum256(contents)
	return Source{Name: filepath.ToSlash(name), SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(contents))}
}

// ImportOptions say how an import is made.
type ImportOptions struct {
	Who    string // who imports; blank means the one of [Options]
	DryRun bool   // compare only, write nothing
	Amend  bool   // accept changed rows as amendments
	Reason string // of the amendment, which must have one
	// Progress, which may be nil, hears of the work done: each assay is
	// compared and then, unless the import is dry, written.
	Progress func(done, total int)
}

// ImportResult says what an import did or, if dry, would do.
type ImportResult struct {
	New        int // assays or apiaries that were not registered
	Same       int // registered with the same content, and skipped
	Changed    int // registered with other content
	Containers int // rows of the new and changed assays
	Conflicts  []Conflict
	// MoreConflicts is how many there are beyond the first MaxConflicts.
	MoreConflicts int
	Warnings      []bioassay.Warning
	Earlier       *Event // an import of the very same file, nil when there was none
	Event         *Event // the entry in the history, nil when nothing was written
}

// MaxConflicts is how many conflicts an import lists; the others are counted.
const MaxConflicts = 1000

// Import registers the assays of a count table, all or none in one
// transaction. Assays whose counts are registered already are skipped, and when
// that is all of them nothing is written. Assays that are registered with other
// counts are conflicts: the import fails with the kind [Conflicting] and
// nothing is written, unless the options accept the changes as amendments. The
// result is there in both cases.
//
// An assay is whole in one table: one that lacks containers which the registry
// has is a changed one.
func (r *Registry) Import(ctx context.Context, t *tables.Table, s Source, o ImportOptions) (*ImportResult, error) {
	return importAll(ctx, r, assayShelf, t.Assays, s, o)
}

// ImportApiaries registers a table of apiaries as Import does a count table.
func (r *Registry) ImportApiaries(ctx context.Context, t *tables.ApiaryTable, s Source, o ImportOptions) (*ImportResult, error) {
	return importAll(ctx, r, apiaryShelf, t.Apiaries, s, o)
}

func importAll[T any](ctx context.Context, r *Registry, kept *shelf[T], objects []T, s Source, o ImportOptions) (*ImportResult, error) {
	if err := r.checkImport(&s, &o); err != nil {
		return nil, err
	}
	in := &incoming[T]{registry: r, shelf: kept, objects: objects, options: o, result: &ImportResult{}}
	if o.DryRun {
		return in.result, r.fail("comparing with the record", in.dry(ctx, s))
	}
	event, err := r.record(ctx, o.Who, kept.action, o.Reason, func(tx *sql.Tx, event int64) error {
		return in.run(ctx, tx, event, s)
	})
	if event != nil {
		event.Source = s
		in.result.Event = event
	}
	return in.result, err
}

func (r *Registry) checkImport(s *Source, o *ImportOptions) error {
	if o.Who == "" {
		o.Who = r.options.Who
	}
	s.Name, s.SHA256 = clean(s.Name), strings.ToLower(s.SHA256)
	if raw, err := hex.DecodeString(s.SHA256); err != nil || len(raw) != sha256.Size || s.Name == "" || s.Bytes < 0 {
		panic(fmt.Sprintf("registry: %+v does not describe a file; use SourceOf", *s))
	}
	if err := checkText("the file name", s.Name); err != nil {
		return r.refuse(BadInput, "rename the file", "%v", err)
	}
	if o.Amend && strings.TrimSpace(o.Reason) == "" {
		return r.refuse(BadInput, "say why the registered counts were wrong", "an amendment must have a reason")
	}
	return nil
}

// dry compares in a transaction that only reads.
func (in *incoming[T]) dry(ctx context.Context, s Source) error {
	tx, err := in.registry.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return err
	}
	defer tx.Rollback()
	return in.compare(ctx, tx, s)
}

// run compares and writes.
func (in *incoming[T]) run(ctx context.Context, tx *sql.Tx, event int64, s Source) error {
	if err := in.compare(ctx, tx, s); err != nil {
		return err
	}
	res := in.result
	if res.New+res.Changed == 0 {
		for range in.objects {
			in.step()
		}
		return errNothing
	}
	if res.Changed > 0 && !in.options.Amend {
		return in.registry.refuse(Conflicting, "correct the file, give a different assay another name, or import it as an amendment with a reason",
			"the record has other values for %s of %q (%s), nothing was imported", plural(res.Changed, string(in.shelf.subject)), s.Name, plural(len(res.Conflicts)+res.MoreConflicts, "field"))
	}
	if _, err := tx.ExecContext(ctx, "INSERT INTO sources VALUES (?, ?, ?, ?)", event, s.Name, s.SHA256, s.Bytes); err != nil {
		return err
	}
	return in.write(ctx, tx, event)
}

package registry

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"slices"

	"vialwise/bioassay"
)

// Entry is an assay as it stands in the record.
type Entry struct {
	bioassay.Assay
	ID       int64  // number of the assay, which it keeps for good
	Revision int64  // number of this version of it
	Number   int    // of the version among those of the assay, from 1
	Event    int64  // that brought it
	File     string // that it was imported from, blank for none
	Content  string // hash of what was counted, whatever the name: the key of kept results
}

// Assays returns the newest version of every assay that passes a filter, by
// rising name, one at a time: they need not fit into memory. All come from one
// state of the registry, whatever is imported meanwhile. After an error the
// sequence ends.
func (r *Registry) Assays(ctx context.Context, f Filter) iter.Seq2[Entry, error] {
	where, args := f.condition()
	return r.stream(ctx, eachEntry, newest+where+" ORDER BY a.name", args...)
}

// Heads returns what Assays does, without the containers: they are most of the
// work, and Fill reads those that are needed.
func (r *Registry) Heads(ctx context.Context, f Filter) iter.Seq2[Entry, error] {
	where, args := f.condition()
	return r.stream(ctx, eachHead, newest+where+" ORDER BY a.name", args...)
}

// Fill reads the containers of entries from Heads. They are those of the entry's
// version, whatever was imported since.
func (r *Registry) Fill(ctx context.Context, entries []*Entry) error {
	tx, err := r.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return r.fail("reading assays", err)
	}
	defer tx.Rollback()
	body, err := tx.PrepareContext(ctx, bodies)
	if err != nil {
		return r.fail("reading assays", err)
	}
	defer body.Close()
	for part := range slices.Chunk(entries, entriesAtOnce) {
		if err := readContainers(ctx, body, part); err != nil {
			return r.fail("reading assays", err)
		}
	}
	return nil
}

// Versions returns every version of one assay, the oldest first.
func (r *Registry) Versions(ctx context.Context, name string) iter.Seq2[Entry, error] {
	return r.stream(ctx, eachEntry, heads+" WHERE a.name = ? ORDER BY v.number", clean(name))
}

const (
	heads = `SELECT a.assay_id, v.revision_id, v.number, v.event_id, v.content_hash, ifnull(s.name, ''), a.name,
  v.apiary, v.population, v.role, ifnull(v.collected_on, ''), ifnull(v.tested_on, ''), v.acaricide, v.protocol, v.unit, v.exposure_h, v.reading_h
  FROM assays a JOIN assay_revisions v USING (assay_id) LEFT JOIN sources s ON s.event_id = v.event_id`
	newest = heads + " WHERE v.number = (SELECT max(number) FROM assay_revisions w WHERE w.assay_id = a.assay_id)"
	bodies = `SELECT revision_id, line, container, concentration, concentration_text, exposed, dead, moribund, missing,
  mite_source, capped_brood, tested_blind, note, extra FROM containers WHERE revision_id IN (SELECT value FROM json_each(?)) ORDER BY revision_id, position`

	entriesAtOnce = 100 // whose containers are read by one query
)

// reader calls use for every revision that a query on heads returns, until it says
// no.
type reader func(ctx context.Context, tx *sql.Tx, use func(Entry) bool, query string, args ...any) error

// stream yields the revisions that a query on heads returns.
func (r *Registry) stream(ctx context.Context, each reader, query string, args ...any) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		tx, err := r.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
		if err == nil {
			defer tx.Rollback()
			err = each(ctx, tx, func(e Entry) bool { return yield(e, nil) }, query, args...)
		}
		if err != nil {
			yield(Entry{}, r.fail("reading assays", err))
		}
	}
}

// eachHead is a reader that leaves containers out.
func eachHead(ctx context.Context, tx *sql.Tx, use func(Entry) bool, query string, args ...any) error {
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		e, err := scanHead(rows)
		if err != nil {
			return err
		}
		if !use(e) {
			return nil
		}
	}
	return rows.Err()
}

// eachEntry is a reader of whole assays.
func eachEntry(ctx context.Context, tx *sql.Tx, use func(Entry) bool, query string, args ...any) error {
	body, err := tx.PrepareContext(ctx, bodies)
	if err != nil {
		return err
	}
	defer body.Close()
	var waiting []*Entry
	more := true
	pass := func() error {
		err := readContainers(ctx, body, waiting)
		for i := 0; err == nil && more && i < len(waiting); i++ {
			more = use(*waiting[i])
		}
		waiting = waiting[:0]
		return err
	}
	var failed error
	err = eachHead(ctx, tx, func(e Entry) bool {
		if waiting = append(waiting, &e); len(waiting) == entriesAtOnce {
			failed = pass()
		}
		return more && failed == nil
	}, query, args...)
	if err == nil && failed == nil && more {
		failed = pass()
	}
	return errors.Join(err, failed)
}

// scanHead reads a row of heads.
func scanHead(rows *sql.Rows) (e Entry, err error) {
	var role, collected, tested string
	var exposure, reading sql.NullFloat64
	if err := rows.Scan(&e.ID, &e.Revision, &e.Number, &e.Event, &e.Content, &e.File, &e.Name, &e.Apiary, &e.Population,
		&role, &collected, &tested, &e.Acaricide, &e.Protocol, &e.Unit, &exposure, &reading); err != nil {
		return e, err
	}
	if e.Role, err = bioassay.ParseRole(role); err != nil {
		return e, err
	}
	if e.CollectedOn, err = parseDay(collected); err != nil {
		return e, err
	}
	e.ExposureHours, e.ReadingHours = optional(exposure), optional(reading)
	e.TestedOn, err = parseDay(tested)
	return e, err
}

func parseDay(s string) (bioassay.Date, error) {
	if s == "" {
		return bioassay.Date{}, nil
	}
	return bioassay.ParseDate(s)
}

func optional(v sql.NullFloat64) bioassay.Optional {
	return bioassay.Optional{Value: v.Float64, Known: v.Valid}
}

// readContainers reads the containers of some entries by a statement of bodies.
func readContainers(ctx context.Context, body *sql.Stmt, entries []*Entry) error {
	at, revisions := make(map[int64]*Entry, len(entries)), make([]int64, len(entries))
	for i, e := range entries {
		at[e.Revision], revisions[i] = e, e.Revision
	}
	wanted, err := json.Marshal(revisions)
	if err != nil {
		return err
	}
	rows, err := body.QueryContext(ctx, string(wanted))
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		revision, c, err := scanContainer(rows)
		e := at[revision]
		switch {
		case e == nil:
			return err
		case err != nil:
			return fmt.Errorf("assay %q: %w", e.Name, err)
		}
		c.Source.File = e.File
		e.Containers = append(e.Containers, c)
	}
	return rows.Err()
}

// scanContainer reads a row of bodies, as far as it is sound.
func scanContainer(rows *sql.Rows) (revision int64, c bioassay.Container, err error) {
	var brood, blind, extra string
	if err := rows.Scan(&revision, &c.Source.Line, &c.Label, &c.Concentration, &c.ConcentrationText, &c.Exposed, &c.Dead, &c.Moribund, &c.Missing,
		&c.MiteSource, &brood, &blind, &c.Note, &extra); err != nil {
		return revision, c, err
	}
	if c.CappedBrood, err = parseAnswer(brood); err != nil {
		return revision, c, err
	}
	if c.TestedBlind, err = parseAnswer(blind); err != nil {
		return revision, c, err
	}
	c.Extra, err = parseExtra(extra)
	return revision, c, err
}

// loadRevision reads one version of an assay.
func loadRevision(ctx context.Context, tx *sql.Tx, revision int64) (found bioassay.Assay, err error) {
	err = eachEntry(ctx, tx, func(e Entry) bool {
		found = e.Assay
		return false
	}, heads+" WHERE v.revision_id = ?", revision)
	return found, err
}

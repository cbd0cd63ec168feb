package registry

import (
	"context"
	"database/sql"
	"fmt"
	"iter"

	"vialwise/bioassay"
)

// Entry is an assay as it stands in the record.
type Entry struct {
	bioassay.Assay
	ID       int64  // number of the assay, which it keeps for good
	Revision int64  // number of this version of it
	Number   int    // of the version among those of the assay, from 1
	Event    int64  // that brought it
	Content  string // hash of what was counted, whatever the name: the key of kept results
}

// Assays returns the newest version of every assay that passes a filter, by
// rising name, one at a time: they need not fit into memory. All come from one
// state of the registry, whatever is imported meanwhile. After an error the
// sequence ends.
func (r *Registry) Assays(ctx context.Context, f Filter) iter.Seq2[Entry, error] {
	where, args := f.condition()
	return r.stream(ctx, newest+where+" ORDER BY a.name", args...)
}

// Versions returns every version of one assay, the oldest first.
func (r *Registry) Versions(ctx context.Context, name string) iter.Seq2[Entry, error] {
	return r.stream(ctx, heads+" WHERE a.name = ? ORDER BY v.number", clean(name))
}

const (
	heads = `SELECT a.assay_id, v.revision_id, v.number, v.event_id, v.content_hash, ifnull(s.name, ''), a.name,
  v.apiary, v.population, v.role, ifnull(v.collected_on, ''), ifnull(v.tested_on, ''), v.acaricide, v.protocol, v.unit, v.exposure_h, v.reading_h
  FROM assays a JOIN assay_revisions v USING (assay_id) LEFT JOIN sources s ON s.event_id = v.event_id`
	newest = heads + " WHERE v.number = (SELECT max(number) FROM assay_revisions w WHERE w.assay_id = a.assay_id)"
	bodies = `SELECT line, container, concentration, concentration_text, exposed, dead, moribund, missing,
  mite_source, capped_brood, tested_blind, note, extra FROM containers WHERE revision_id = ? ORDER BY position`
)

// stream yields the revisions that a query on heads returns.
func (r *Registry) stream(ctx context.Context, query string, args ...any) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		tx, err := r.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
		if err == nil {
			defer tx.Rollback()
			err = eachEntry(ctx, tx, func(e Entry) bool { return yield(e, nil) }, query, args...)
		}
		if err != nil {
			yield(Entry{}, r.fail("reading assays", err))
		}
	}
}

// eachEntry calls use for every revision that a query returns, until it says
// no.
func eachEntry(ctx context.Context, tx *sql.Tx, use func(Entry) bool, query string, args ...any) error {
	body, err := tx.PrepareContext(ctx, bodies)
	if err != nil {
		return err
	}
	defer body.Close()
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		e, file, err := scanHead(rows)
		if err != nil {
			return err
		}
		if e.Containers, err = readContainers(ctx, body, e.Revision, file); err != nil {
			return fmt.Errorf("assay %q: %w", e.Name, err)
		}
		if !use(e) {
			return nil
		}
	}
	return rows.Err()
}

// scanHead reads a row of heads, and the file it came from.
func scanHead(rows *sql.Rows) (e Entry, file string, err error) {
	var role, collected, tested string
	var exposure, reading sql.NullFloat64
	if err := rows.Scan(&e.ID, &e.Revision, &e.Number, &e.Event, &e.Content, &file, &e.Name, &e.Apiary, &e.Population,
		&role, &collected, &tested, &e.Acaricide, &e.Protocol, &e.Unit, &exposure, &reading); err != nil {
		return e, file, err
	}
	if e.Role, err = bioassay.ParseRole(role); err != nil {
		return e, file, err
	}
	if e.CollectedOn, err = parseDay(collected); err != nil {
		return e, file, err
	}
	e.ExposureHours, e.ReadingHours = optional(exposure), optional(reading)
	e.TestedOn, err = parseDay(tested)
	return e, file, err
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

func readContainers(ctx context.Context, body *sql.Stmt, revision int64, file string) ([]bioassay.Container, error) {
	rows, err := body.QueryContext(ctx, revision)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []bioassay.Container
	for rows.Next() {
		c := bioassay.Container{Source: bioassay.Origin{File: file}}
		var brood, blind, extra string
		if err := rows.Scan(&c.Source.Line, &c.Label, &c.Concentration, &c.ConcentrationText, &c.Exposed, &c.Dead, &c.Moribund, &c.Missing,
			&c.MiteSource, &brood, &blind, &c.Note, &extra); err != nil {
			return nil, err
		}
		if c.CappedBrood, err = parseAnswer(brood); err != nil {
			return nil, err
		}
		if c.TestedBlind, err = parseAnswer(blind); err != nil {
			return nil, err
		}
		if c.Extra, err = parseExtra(extra); err != nil {
			return nil, err
		}
		list = append(list, c)
	}
	return list, rows.Err()
}

// loadRevision reads one version of an assay.
func loadRevision(ctx context.Context, tx *sql.Tx, revision int64) (found bioassay.Assay, err error) {
	err = eachEntry(ctx, tx, func(e Entry) bool {
		found = e.Assay
		return false
	}, heads+" WHERE v.revision_id = ?", revision)
	return found, err
}

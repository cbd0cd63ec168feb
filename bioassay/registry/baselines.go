package registry

import (
	"context"
	"database/sql"
	"fmt"
	"iter"
	"slices"
	"strings"
)

// Baseline is one version of a named set of assays of susceptible mites. A
// version is tied to the counts as they were when it was defined: a later
// amendment of an assay needs a new version to count.
type Baseline struct {
	Name      string
	Version   int // from 1
	Note      string
	Assays    []string // by rising name
	Outdated  []string // of these, the ones amended since
	Event     int64
	CreatedAt string // ISO 8601, UTC
	CreatedBy string
}

// DefineBaseline makes the next version of a baseline from registered assays as
// they now stand; a blank who is the one of [Options]. When the newest version
// has the same counts and note, that one is returned and nothing is written.
func (r *Registry) DefineBaseline(ctx context.Context, name string, assays []string, note, who string) (*Baseline, error) {
	if who == "" {
		who = r.options.Who
	}
	for _, s := range append([]string{name, note}, assays...) {
		if err := checkText("the text", s); err != nil {
			return nil, r.refuse(BadInput, "enter it again", "%v", err)
		}
	}
	name, note = clean(strings.TrimSpace(name)), clean(strings.TrimSpace(note))
	names := make([]string, len(assays))
	for i, a := range assays {
		names[i] = clean(a)
	}
	slices.Sort(names)
	names = slices.Compact(names)
	if name == "" || len(names) == 0 {
		return nil, r.refuse(BadInput, "give both", "a baseline needs a name and at least one assay")
	}
	if _, err := r.record(ctx, who, BaselineDefined, note, func(tx *sql.Tx, event int64) error {
		return r.define(ctx, tx, event, name, note, names)
	}); err != nil {
		return nil, err
	}
	return r.Baseline(ctx, name, 0)
}

func (r *Registry) define(ctx context.Context, tx *sql.Tx, event int64, name, note string, assays []string) error {
	revisions := make([]int64, len(assays))
	for i, a := range assays {
		var err error
		if _, revisions[i], err = r.registered(ctx, tx, a); err != nil {
			return err
		}
	}
	version := 0
	if err := tx.QueryRowContext(ctx, "SELECT ifnull(max(version), 0) FROM baselines WHERE name = ?", name).Scan(&version); err != nil {
		return err
	}
	same, err := sameBaseline(ctx, tx, name, version, note, revisions)
	if err != nil {
		return err
	}
	if same {
		return errNothing
	}
	id, err := nextNumber(ctx, tx, "baselines", "baseline_id")
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, insertion("baselines", 5, 1), id, event, name, version+1, note); err != nil {
		return err
	}
	for i, revision := range revisions {
		if _, err := tx.ExecContext(ctx, insertion("baseline_assays", 3, 1), id, i+1, revision); err != nil {
			return err
		}
	}
	return nil
}

// sameBaseline reports whether a version has this note and these revisions.
func sameBaseline(ctx context.Context, db querier, name string, version int, note string, revisions []int64) (bool, error) {
	old, err := collect(ctx, db, func(rows *sql.Rows) (revision int64, err error) {
		err = rows.Scan(&revision)
		return revision, err
	}, "SELECT revision_id FROM baselines JOIN baseline_assays USING (baseline_id) WHERE name = ? AND version = ? AND note = ? ORDER BY position", name, version, note)
	return slices.Equal(old, revisions), err
}

// baselineRows has one row for each assay of each version, and whether it has
// been amended since.
const baselineRows = `SELECT b.name, b.version, b.note, b.event_id, e.at, e.who, a.name,
  v.number < (SELECT max(number) FROM assay_revisions w WHERE w.assay_id = v.assay_id)
  FROM baselines b JOIN events e USING (event_id) JOIN baseline_assays m USING (baseline_id)
  JOIN assay_revisions v ON v.revision_id = m.revision_id JOIN assays a ON a.assay_id = v.assay_id`

// Baselines returns every version of every baseline, by name and version.
func (r *Registry) Baselines(ctx context.Context) ([]Baseline, error) {
	list, err := r.baselines(ctx, "")
	return list, r.fail("reading baselines", err)
}

// Baseline returns one version of a baseline, the newest for version 0.
func (r *Registry) Baseline(ctx context.Context, name string, version int) (*Baseline, error) {
	name = clean(name)
	list, err := r.baselines(ctx, " WHERE b.name = ? AND (b.version = ? OR ? = 0)", name, version, version)
	if err != nil {
		return nil, r.fail("reading baselines", err)
	}
	if len(list) == 0 {
		what := fmt.Sprintf("there is no baseline %q", name)
		if version != 0 {
			what = fmt.Sprintf("there is no version %d of a baseline %q", version, name)
		}
		return nil, r.refuse(NoSuchEntry, "list the baselines, or define it", "%s", what)
	}
	return &list[len(list)-1], nil
}

func (r *Registry) baselines(ctx context.Context, where string, args ...any) ([]Baseline, error) {
	rows, err := r.db.QueryContext(ctx, baselineRows+where+" ORDER BY b.name, b.version, m.position", args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []Baseline
	for rows.Next() {
		var b Baseline
		var assay string
		var outdated bool
		if err := rows.Scan(&b.Name, &b.Version, &b.Note, &b.Event, &b.CreatedAt, &b.CreatedBy, &assay, &outdated); err != nil {
			return nil, err
		}
		if n := len(list); n == 0 || list[n-1].Name != b.Name || list[n-1].Version != b.Version {
			list = append(list, b)
		}
		last := &list[len(list)-1]
		last.Assays = append(last.Assays, assay)
		if outdated {
			last.Outdated = append(last.Outdated, assay)
		}
	}
	return list, rows.Err()
}

// BaselineAssays returns the assays of a baseline with the counts that its
// version is tied to, by rising name. Version 0 is the newest.
func (r *Registry) BaselineAssays(ctx context.Context, name string, version int) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		b, err := r.Baseline(ctx, name, version)
		if err != nil {
			yield(Entry{}, err)
			return
		}
		r.stream(ctx, eachEntry, heads+` JOIN baseline_assays m ON m.revision_id = v.revision_id JOIN baselines b USING (baseline_id)
  WHERE b.name = ? AND b.version = ? ORDER BY m.position`, b.Name, b.Version)(yield)
	}
}

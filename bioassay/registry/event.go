package registry

import (
	"context"
	"database/sql"
	"errors"
	"strings"
)

// Action names a kind of event.
type Action string

// The kinds of events.
const (
	AssaysImported   Action = "assays-imported"
	ApiariesImported Action = "apiaries-imported"
	DecisionMade     Action = "decision-made"
	BaselineDefined  Action = "baseline-defined"
)

// Event is one entry of the history. Its number is that of its place.
type Event struct {
	ID     int64
	At     string // ISO 8601, UTC
	Who    string
	Action Action
	Reason string // blank where none was asked for
	Source Source // zero where no file is behind the event
	Hash   string // over this event and, through its predecessor, all before it
}

// entry is an event as it is stored.
type entry struct {
	Event
	format           int64
	digest, previous string
}

// digestFormat is the set of columns that the digest of a new event covers. A
// column that a later schema adds needs a new format, because the digests of
// old events must still come out.
const digestFormat = 1

// covered lists, by format, the queries whose rows make the digest of an event.
// The rows of containers enter through the record hash of their revision.
var covered = map[int64][]string{1: {
	"SELECT 'sources', event_id, name, sha256, bytes FROM sources WHERE event_id = ?",
	"SELECT 'assays', v.revision_id, assay_id, v.number, v.content_hash, v.record_hash, a.event_id, a.name FROM assay_revisions v JOIN assays a USING (assay_id) WHERE v.event_id = ? ORDER BY 2",
	"SELECT 'apiaries', v.revision_id, apiary_id, v.number, v.content_hash, v.record_hash, a.event_id, a.code FROM apiary_revisions v JOIN apiaries a USING (apiary_id) WHERE v.event_id = ? ORDER BY 2",
	"SELECT 'changes', position, kind, name, container, field, before, after FROM changes WHERE event_id = ? ORDER BY 2",
	"SELECT 'decisions', decision_id, assay_id, code, verdict, decided_by, why FROM decisions WHERE event_id = ? ORDER BY 2",
	"SELECT 'baselines', baseline_id, name, version, note FROM baselines WHERE event_id = ? ORDER BY 2",
	"SELECT 'baseline_assays', b.baseline_id, b.position, b.revision_id FROM baseline_assays b JOIN baselines USING (baseline_id) WHERE event_id = ? ORDER BY 2, 3",
}}

// digest hashes the rows that belong to an event.
func digest(ctx context.Context, db querier, event, format int64) (string, error) {
	sum := newSummer()
	for _, query := range covered[format] {
		if err := digestRows(ctx, db, query, event, sum); err != nil {
			return "", err
		}
	}
	return sum.hash(), nil
}

func digestRows(ctx context.Context, db querier, query string, event int64, sum *summer) error {
	rows, err := db.QueryContext(ctx, query, event)
	if err != nil {
		return err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	cells := make([]sql.RawBytes, len(columns))
	targets := make([]any, len(columns))
	for i := range cells {
		targets[i] = &cells[i]
	}
	var t tuple
	for rows.Next() {
		if err := rows.Scan(targets...); err != nil {
			return err
		}
		t = t[:0]
		for _, cell := range cells {
			t = t.bytes(cell)
		}
		sum.add(t)
	}
	return rows.Err()
}

// chained returns the hash of an event, which covers that of the one before.
func (e *entry) chained() string {
	return make(tuple, 0, 512).int(e.ID).
		texts(e.At, e.Who, string(e.Action), e.Reason).int(e.format).texts(e.digest, e.previous).hash()
}

// errNothing ends a change that turns out to change nothing. It leaves no event.
var errNothing = errors.New("nothing to write")

// record makes a change in one immediate transaction: what write writes under
// the number of the new event, and then the event. Nothing stays of a change
// that fails.
func (r *Registry) record(ctx context.Context, who string, action Action, reason string, write func(tx *sql.Tx, event int64) error) (*Event, error) {
	e := entry{format: digestFormat, Event: Event{Who: clean(strings.TrimSpace(who)), Action: action, Reason: clean(strings.TrimSpace(reason))}}
	if err := r.checkEvent(&e); err != nil {
		return nil, err
	}
	tx, err := r.db.BeginTx(ctx, nil)
	if err != nil {
		return nil, r.fail("beginning a change", err)
	}
	defer tx.Rollback()
	err = r.recordIn(ctx, tx, &e, write)
	if errors.Is(err, errNothing) {
		return nil, nil
	}
	var own *Error
	if stopped := ctx.Err(); err != nil && stopped != nil && !errors.As(err, &own) {
		return nil, stopped // which closes statements in the middle of their work
	}
	if err != nil {
		return nil, r.fail("writing", err)
	}
	if err := tx.Commit(); err != nil {
		return nil, r.fail("committing", err)
	}
	return &e.Event, nil
}

func (r *Registry) recordIn(ctx context.Context, tx *sql.Tx, e *entry, write func(tx *sql.Tx, event int64) error) error {
	last, err := lastEvent(ctx, tx)
	if err != nil {
		return err
	}
	e.ID, e.previous = last.ID+1, last.Hash
	e.At = r.now() // not before, or waiting for another process would set the clock back
	if err := write(tx, e.ID); err != nil {
		return err
	}
	if e.digest, err = digest(ctx, tx, e.ID, e.format); err != nil {
		return err
	}
	e.Hash = e.chained()
	_, err = tx.ExecContext(ctx, "INSERT INTO events VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		e.ID, e.At, e.Who, string(e.Action), e.Reason, e.format, e.digest, e.previous, e.Hash)
	return err
}

// lastEvent is the newest event, the zero one when there is none.
func lastEvent(ctx context.Context, db querier) (e Event, err error) {
	err = db.QueryRowContext(ctx, "SELECT event_id, hash FROM events ORDER BY event_id DESC LIMIT 1").Scan(&e.ID, &e.Hash)
	if errors.Is(err, sql.ErrNoRows) {
		return Event{}, nil
	}
	return e, err
}

func (r *Registry) checkEvent(e *entry) error {
	if e.Who == "" {
		return r.refuse(BadInput, "name the person, so that the history can say who it was", "a change must say who makes it")
	}
	for _, c := range [][2]string{{"the name", e.Who}, {"the reason", e.Reason}} {
		if err := checkText(c[0], c[1]); err != nil {
			return r.refuse(BadInput, "enter it again", "%v", err)
		}
	}
	return nil
}

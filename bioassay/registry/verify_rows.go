package registry

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// assays computes the hashes of every revision again.
func (v *verifier) assays(ctx context.Context) error {
	res := v.result
	total := 0
	if err := v.tx.QueryRowContext(ctx, "SELECT (SELECT count(*) FROM assays), (SELECT count(*) FROM assay_revisions)").Scan(&res.Assays, &total); err != nil {
		return err
	}
	kept, err := v.tx.PrepareContext(ctx, "SELECT content_hash, record_hash FROM assay_revisions WHERE revision_id = ?")
	if err != nil {
		return err
	}
	defer kept.Close()
	var failed error
	versions := counter{}
	err = eachEntry(ctx, v.tx, func(e Entry) bool {
		failed = v.revision(ctx, kept, &e)
		versions.add(e.ID, e.Number, func() { v.problem("assay %q: version %d does not follow the one before", e.Name, e.Number) })
		const every = 256
		if res.Revisions++; v.progress != nil && (res.Revisions%every == 0 || res.Revisions == total) {
			v.progress(res.Revisions, total)
		}
		return failed == nil
	}, heads+" ORDER BY v.assay_id, v.number")
	if failed != nil {
		return failed
	}
	if err == nil && res.Revisions != total {
		v.problem("%d versions of assays belong to no assay", total-res.Revisions)
	}
	return errors.Join(err, v.versionless(ctx, "assays", "name", "assay_revisions", "assay_id"))
}

// versionless looks for objects without a version, which no digest covers.
func (v *verifier) versionless(ctx context.Context, table, name, versions, key string) error {
	list, err := collect(ctx, v.tx, func(rows *sql.Rows) (name string, err error) {
		err = rows.Scan(&name)
		return name, err
	}, fmt.Sprintf("SELECT %s FROM %s WHERE %s NOT IN (SELECT %s FROM %s) ORDER BY 1", name, table, key, key, versions))
	for _, n := range list {
		v.problem("%q in %s has no version", n, table)
	}
	return err
}

func (v *verifier) revision(ctx context.Context, kept *sql.Stmt, e *Entry) error {
	v.result.Containers += len(e.Containers)
	var was hashes
	if err := kept.QueryRowContext(ctx, e.Revision).Scan(&was.content, &was.record); err != nil {
		return err
	}
	if is := assayHashes(&e.Assay); is != was {
		v.problem("assay %q, version %d: the rows are not those that were written", e.Name, e.Number)
	}
	return nil
}

// counter checks that the versions of objects count up from 1.
type counter struct {
	id   int64
	last int
}

func (c *counter) add(id int64, number int, gap func()) {
	if id != c.id {
		*c = counter{id: id}
	}
	if number != c.last+1 {
		gap()
	}
	c.last = number
}

func (v *verifier) apiaries(ctx context.Context) error {
	if err := v.tx.QueryRowContext(ctx, "SELECT count(*) FROM apiaries").Scan(&v.result.Apiaries); err != nil {
		return err
	}
	list, err := collect(ctx, v.tx, scanApiary, apiaryHeads+" ORDER BY v.apiary_id, v.number")
	for i := range list {
		if is := apiaryHashes(&list[i].Apiary); is != list[i].hashes {
			v.problem("apiary %q: row %d is not the one that was written", list[i].Code, list[i].revision)
		}
	}
	return errors.Join(err, v.versionless(ctx, "apiaries", "code", "apiary_revisions", "apiary_id"))
}

// history walks along the chain of events.
func (v *verifier) history(ctx context.Context) error {
	events, err := entries(ctx, v.tx)
	if err != nil {
		return err
	}
	v.result.Events = len(events)
	previous := Event{}
	for i := range events {
		e := &events[i]
		if e.ID != previous.ID+1 {
			v.problem("event %d follows event %d, others between them are missing", e.ID, previous.ID)
		}
		if e.previous != previous.Hash {
			v.problem("event %d does not join the one before", e.ID)
		}
		if e.Hash != e.chained() {
			v.problem("event %d was altered", e.ID)
		}
		if err := v.event(ctx, e); err != nil {
			return err
		}
		previous = e.Event
	}
	v.result.Head = previous
	return v.tail(ctx, previous.ID)
}

// event computes the digest of the rows of an event again.
func (v *verifier) event(ctx context.Context, e *entry) error {
	if covered[e.format] == nil {
		v.problem("event %d has a digest of format %d, which this program does not know", e.ID, e.format)
		return nil
	}
	is, err := digest(ctx, v.tx, e.ID, e.format)
	if err == nil && is != e.digest {
		v.problem("rows that came with event %d (%s, %s) were added, removed or altered", e.ID, e.Action, e.At)
	}
	return err
}

// tail compares the newest event with the highest number SQLite ever gave.
func (v *verifier) tail(ctx context.Context, last int64) error {
	var given int64
	err := v.tx.QueryRowContext(ctx, "SELECT ifnull(max(seq), 0) FROM sqlite_sequence WHERE name = 'events'").Scan(&given)
	if err == nil && given != last {
		v.problem("the history ends with event %d, %d have been written", last, given)
	}
	return err
}

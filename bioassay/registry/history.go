package registry

import (
	"context"
	"database/sql"
)

// Change is one field that an amendment changed.
type Change struct {
	Kind      Subject
	Name      string // of the assay, or code of the apiary
	Container string // blank for a field of the whole
	Field     string // name of the column
	Before    string
	After     string
}

// History returns all events in order.
func (r *Registry) History(ctx context.Context) ([]Event, error) {
	entries, err := entries(ctx, r.db)
	if err != nil {
		return nil, r.fail("reading the history", err)
	}
	events := make([]Event, len(entries))
	for i := range entries {
		events[i] = entries[i].Event
	}
	return events, nil
}

// Changes returns what an event changed in rows that were already registered,
// in order.
func (r *Registry) Changes(ctx context.Context, event int64) ([]Change, error) {
	list, err := collect(ctx, r.db, func(rows *sql.Rows) (c Change, err error) {
		err = rows.Scan(&c.Kind, &c.Name, &c.Container, &c.Field, &c.Before, &c.After)
		return c, err
	}, "SELECT kind, name, container, field, before, after FROM changes WHERE event_id = ? ORDER BY position", event)
	return list, r.fail("reading the history", err)
}

// entries returns all events as they are stored.
func entries(ctx context.Context, db querier) ([]entry, error) {
	return collect(ctx, db, func(rows *sql.Rows) (e entry, err error) {
		err = rows.Scan(&e.ID, &e.At, &e.Who, &e.Action, &e.Reason, &e.format, &e.digest, &e.previous, &e.Hash,
			&e.Source.Name, &e.Source.SHA256, &e.Source.Bytes)
		return e, err
	}, `SELECT e.event_id, at, who, action, reason, format, digest, previous, hash,
  ifnull(s.name, ''), ifnull(s.sha256, ''), ifnull(s.bytes, 0)
  FROM events e LEFT JOIN sources s USING (event_id) ORDER BY e.event_id`)
}

// collect returns one value for each row of a query.
func collect[T any](ctx context.Context, db querier, scan func(*sql.Rows) (T, error), query string, args ...any) ([]T, error) {
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	return list, rows.Err()
}

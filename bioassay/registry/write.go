package registry

import (
	"context"
	"database/sql"
	"strings"
)

// writer appends objects under one event.
type writer[T any] interface {
	// create makes the number of an object that was not registered.
	create(ctx context.Context, object *T) (id int64, err error)
	// revise appends a revision to an object.
	revise(ctx context.Context, object *T, s standing) error
	close() error
}

// write appends what compare found to be new or changed, in the order of the
// table.
func (in *incoming[T]) write(ctx context.Context, tx *sql.Tx, event int64) (err error) {
	w, err := in.shelf.writer(ctx, tx, event)
	if err != nil {
		return err
	}
	defer func() {
		if e := w.close(); err == nil {
			err = e
		}
	}()
	amended := &amendments{tx: tx, event: event}
	for i, at := range in.standing {
		if !at.same {
			if err := in.writeOne(ctx, w, amended, i, at); err != nil {
				return err
			}
		}
		in.step()
	}
	return nil
}

func (in *incoming[T]) writeOne(ctx context.Context, w writer[T], amended *amendments, i int, at standing) (err error) {
	object := in.shelf.tidy(in.objects[i])
	if at.revision > 0 {
		old, err := in.shelf.load(ctx, amended.tx, at.revision)
		if err != nil {
			return err
		}
		if err := amended.add(ctx, in.shelf.diff(&old, &object)); err != nil {
			return err
		}
	} else if at.id, err = w.create(ctx, &object); err != nil {
		return err
	}
	at.number++
	return w.revise(ctx, &object, at)
}

// amendments appends the changed fields of an event.
type amendments struct {
	tx       *sql.Tx
	event    int64
	position int
}

func (a *amendments) add(ctx context.Context, conflicts []Conflict) error {
	for _, c := range conflicts {
		a.position++
		if _, err := a.tx.ExecContext(ctx, "INSERT INTO changes VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
			a.event, a.position, string(c.Kind), c.Name, c.Container, c.Field, c.Old, c.New); err != nil {
			return err
		}
	}
	return nil
}

// nextNumber returns one more than the highest value of a key.
func nextNumber(ctx context.Context, db querier, table, key string) (n int64, err error) {
	err = db.QueryRowContext(ctx, "SELECT ifnull(max("+key+"), 0) + 1 FROM "+table).Scan(&n)
	return n, err
}

// insertion returns the statement that inserts rows of so many columns.
func insertion(table string, columns, rows int) string {
	row := "(" + strings.Repeat("?, ", columns-1) + "?)"
	return "INSERT INTO " + table + " VALUES " + strings.Repeat(row+", ", rows-1) + row
}

// nullable is NULL for an absent text, number or day, and the value otherwise.
func nullable[V comparable](v V, known bool) any {
	if !known {
		return nil
	}
	return v
}

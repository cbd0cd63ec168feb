package registry

import (
	"context"
	"database/sql"
)

// Result is a computed value kept beside the record, to save time. It is found
// again only for the same counts, settings and version of the program.
type Result struct {
	Input string // hash of the counts, such as the Content of an [Entry]
	Value []byte
}

// Results returns what was kept for some inputs under settings (their hash) and
// a version of the program, by input.
func (r *Registry) Results(ctx context.Context, settings, software string, inputs []string) (map[string][]byte, error) {
	found, err := collect(ctx, r.db, func(rows *sql.Rows) (v Result, err error) {
		err = rows.Scan(&v.Input, &v.Value)
		return v, err
	}, "SELECT input, value FROM results WHERE options = ? AND software = ? AND input IN (SELECT value FROM json_each(?))", settings, software, list(inputs))
	if err != nil {
		return nil, r.fail("reading kept results", err)
	}
	values := make(map[string][]byte, len(found))
	for _, v := range found {
		values[v.Input] = v.Value
	}
	return values, nil
}

// ForgetResults forgets the results of other versions of the program. It looks at
// all of them.
func (r *Registry) ForgetResults(ctx context.Context, software string) error {
	_, err := r.db.ExecContext(ctx, "DELETE FROM results WHERE software <> ?", software)
	return r.fail("forgetting kept results", err)
}

// KeepResults stores results. They are no part of the record, its history or its
// exports.
func (r *Registry) KeepResults(ctx context.Context, settings, software string, results []Result) error {
	tx, err := r.db.BeginTx(ctx, nil)
	if err != nil {
		return r.fail("keeping results", err)
	}
	defer tx.Rollback()
	if err := keep(ctx, tx, settings, software, results); err != nil {
		return r.fail("keeping results", err)
	}
	return r.fail("keeping results", tx.Commit())
}

func keep(ctx context.Context, tx *sql.Tx, settings, software string, results []Result) error {
	insert, err := tx.PrepareContext(ctx, "INSERT OR REPLACE INTO results (input, options, software, value) VALUES (?, ?, ?, ?)")
	if err != nil {
		return err
	}
	defer insert.Close()
	for _, v := range results {
		if _, err := insert.ExecContext(ctx, v.Input, settings, software, v.Value); err != nil {
			return err
		}
	}
	return nil
}

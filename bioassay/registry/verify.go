package registry

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
)

// Problem is something that a verification found to be wrong.
type Problem struct {
	Check   string // file, references, schema, assays, apiaries or history
	Message string
}

// Verification says what was verified and what was found.
type Verification struct {
	Problems   []Problem // none when all is well
	Events     int
	Assays     int
	Revisions  int // of assays
	Containers int // of all revisions
	Apiaries   int
	// Head is the newest event. Its hash stands for the whole history; noted
	// elsewhere, it tells a history that was cut or written anew from the true
	// one.
	Head Event
}

// Sound reports whether nothing is wrong.
func (v *Verification) Sound() bool { return len(v.Problems) == 0 }

// maxProblems is how many problems a check reports.
const maxProblems = 100

// Verify checks the whole registry: that the file is intact, that every
// reference leads somewhere, that the tables and their guards are those the
// program makes, that every row is the one that was hashed when it was
// written, and that the history is one unbroken chain. It changes nothing. An
// error means that it could not be done, not that something is wrong.
// Progress, which may be nil, hears of the revisions of assays.
func (r *Registry) Verify(ctx context.Context, progress func(done, total int)) (*Verification, error) {
	tx, err := r.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return nil, r.fail("verifying", err)
	}
	defer tx.Rollback()
	v := &verifier{registry: r, tx: tx, result: &Verification{}, progress: progress}
	for _, c := range []struct {
		name string
		run  func(context.Context) error
	}{
		{"file", v.file}, {"references", v.references}, {"schema", v.schema},
		{"assays", v.assays}, {"apiaries", v.apiaries}, {"history", v.history},
	} {
		v.check, v.found = c.name, 0
		if err := c.run(ctx); ctx.Err() != nil {
			return nil, ctx.Err()
		} else if err != nil {
			v.problem("the check could not be ended: %v", err)
		}
	}
	return v.result, nil
}

// verifier is a verification under way.
type verifier struct {
	registry *Registry
	tx       *sql.Tx
	result   *Verification
	progress func(done, total int)
	check    string // under way
	found    int    // problems of it
}

func (v *verifier) problem(format string, args ...any) {
	switch v.found++; {
	case v.found <= maxProblems:
		v.result.Problems = append(v.result.Problems, Problem{v.check, fmt.Sprintf(format, args...)})
	case v.found == maxProblems+1:
		v.result.Problems = append(v.result.Problems, Problem{v.check, "there are more of this kind"})
	}
}

// file asks SQLite whether the file is intact.
func (v *verifier) file(ctx context.Context) error {
	lines, err := collect(ctx, v.tx, func(rows *sql.Rows) (line string, err error) {
		err = rows.Scan(&line)
		return line, err
	}, fmt.Sprintf("PRAGMA integrity_check(%d)", maxProblems))
	for _, line := range lines {
		if line != "ok" {
			v.problem("%s", line)
		}
	}
	return err
}

func (v *verifier) references(ctx context.Context) error {
	lines, err := collect(ctx, v.tx, func(rows *sql.Rows) (string, error) {
		var table, parent string
		var row sql.NullInt64
		err := rows.Scan(&table, &row, &parent)
		return fmt.Sprintf("row %d of %s refers to nothing in %s", row.Int64, table, parent), err
	}, `SELECT "table", rowid, parent FROM pragma_foreign_key_check`)
	for _, line := range lines {
		v.problem("%s", line)
	}
	return err
}

// schema compares the tables, indices and triggers with those of a new
// registry.
func (v *verifier) schema(ctx context.Context) error {
	want, err := v.registry.pristine(ctx)
	if err != nil {
		return err
	}
	got, err := schemaOf(ctx, v.tx)
	if err != nil {
		return err
	}
	for _, s := range got {
		if !slices.Contains(want, s) {
			v.problem("%s %s is not one that the program makes", s.kind, s.name)
		}
	}
	for _, s := range want {
		if !slices.Contains(got, s) {
			v.problem("%s %s is missing or was altered", s.kind, s.name)
		}
	}
	return nil
}

// object is a table, index or trigger.
type object struct{ kind, name, text string }

func schemaOf(ctx context.Context, db querier) ([]object, error) {
	return collect(ctx, db, func(rows *sql.Rows) (o object, err error) {
		err = rows.Scan(&o.kind, &o.name, &o.text)
		return o, err
	}, "SELECT type, name, ifnull(sql, '') FROM sqlite_schema WHERE name NOT LIKE 'sqlite_stat%' ORDER BY type, name")
}

// pristine returns the schema that the steps make from nothing.
func (r *Registry) pristine(ctx context.Context) ([]object, error) {
	db, err := sql.Open(driver, ":memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1) // a second connection would have a memory of its own
	blank := &Registry{db: db, path: ":memory:", options: Options{Now: r.options.Now}, steps: r.steps}
	for from := range r.steps {
		if err := blank.step(ctx, from); err != nil {
			return nil, err
		}
	}
	return schemaOf(ctx, db)
}

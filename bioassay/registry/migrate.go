package registry

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// applicationID marks the file as a registry, in the place that SQLite keeps
// for it: the letters Vial.
const applicationID = 0x5669616c

//go:embed migrations/*.sql
var migrationFiles embed.FS

// migration is one step of the schema. Steps are only ever added.
type migration struct {
	name string // of the file, in whose order they apply
	text string
}

func (m migration) sum() string {
	sum := sha256.Sum256([]byte(strings.ReplaceAll(m.text, "\r\n", "\n")))
	return hex.EncodeToString(sum[:])
}

// embedded returns the steps in order; the first makes schema 1.
func embedded() []migration {
	names, err := fs.Glob(migrationFiles, "migrations/*.sql")
	if err != nil || len(names) == 0 {
		panic("registry: no migrations are embedded")
	}
	slices.Sort(names)
	steps := make([]migration, len(names))
	for i, name := range names {
		text, err := migrationFiles.ReadFile(name)
		if err != nil {
			panic("registry: " + err.Error())
		}
		steps[i] = migration{strings.TrimPrefix(name, "migrations/"), string(text)}
	}
	return steps
}

// admit refuses files that are no registry, or one of a later program.
func (r *Registry) admit(s state) error {
	switch {
	case s.fresh():
		if !r.options.ReadOnly && !r.options.MustExist {
			return nil
		}
		return &Error{Kind: NotRegistry, Path: r.path, Message: "the file is empty", Remedy: "make a registry by importing a count table"}
	case s.application != applicationID:
		return &Error{Kind: NotRegistry, Path: r.path, Message: "this SQLite file belongs to another program",
			Remedy: "give the path of a registry; the file was not touched"}
	case s.version > len(r.steps):
		return &Error{Kind: NewerSchema, Path: r.path, Message: fmt.Sprintf("the registry has schema %d, this program knows up to %d", s.version, len(r.steps)),
			Remedy: "update the program; the file was not touched"}
	}
	return nil
}

// migrate applies the steps that are missing, each in a transaction of its own.
func (r *Registry) migrate(ctx context.Context) error {
	for {
		s, err := look(ctx, r.db)
		if err != nil {
			return err
		}
		if s.version >= len(r.steps) {
			break
		}
		if s.version > 0 {
			if err := r.copyTo(ctx, BackupName(r.path, s.version), true); err != nil {
				return fmt.Errorf("copying the registry before it is brought up to date: %w", err)
			}
		}
		if err := r.step(ctx, s.version); err != nil {
			return err
		}
	}
	return r.checkApplied(ctx, r.db)
}

// BackupName is the file to which a registry is copied before its schema is
// brought up to date from a version.
func BackupName(path string, version int) string {
	return fmt.Sprintf("%s.schema-%d.backup", path, version)
}

// step brings the schema from one version to the next, unless another process
// has done so meanwhile.
func (r *Registry) step(ctx context.Context, from int) error {
	tx, err := r.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	s, err := look(ctx, tx)
	if err != nil || s.version != from {
		return err
	}
	if err := r.admit(s); err != nil {
		return err
	}
	if err := r.apply(ctx, tx, from); err != nil {
		return fmt.Errorf("schema step %s: %w", r.steps[from].name, err)
	}
	return tx.Commit()
}

func (r *Registry) apply(ctx context.Context, tx *sql.Tx, from int) error {
	m := r.steps[from]
	if from == 0 {
		const ledger = `CREATE TABLE migrations (
  number     INTEGER PRIMARY KEY,
  name       TEXT NOT NULL,
  sha256     TEXT NOT NULL,
  applied_at TEXT NOT NULL
) STRICT`
		if _, err := tx.ExecContext(ctx, fmt.Sprintf("%s; PRAGMA application_id = %d", ledger, applicationID)); err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, m.text); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "INSERT INTO migrations VALUES (?, ?, ?, ?)", from+1, m.name, m.sum(), r.now()); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", from+1))
	return err
}

// checkApplied compares the steps that made the file with those of the program.
func (r *Registry) checkApplied(ctx context.Context, db querier) error {
	rows, err := db.QueryContext(ctx, "SELECT number, name, sha256 FROM migrations ORDER BY number")
	if err != nil {
		return err
	}
	defer rows.Close()
	count := 0
	for rows.Next() {
		var number int
		var name, sum string
		if err := rows.Scan(&number, &name, &sum); err != nil {
			return err
		}
		if count++; number != count || count > len(r.steps) || sum != r.steps[count-1].sum() {
			return &Error{Kind: AlteredSchema, Path: r.path, Message: fmt.Sprintf("schema step %d (%s) is not the one of this program", number, name),
				Remedy: "use the build of the program that made the registry, or restore an export of it"}
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if count < len(r.steps) {
		return &Error{Kind: AlteredSchema, Path: r.path, Message: "the list of schema steps is shorter than the schema's number says",
			Remedy: "go on from the newest backup or export that verifies"}
	}
	return nil
}

package registry

import (
	"bufio"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Export writes the whole record, history included, to a folder that must not
// exist yet: one CSV file for each table and datapackage.json, which describes
// them by the Data Package standard, version 2. [Restore] makes an identical
// registry from it. Equal registries give equal bytes. Only kept results are
// left out, which can be computed again.
func (r *Registry) Export(ctx context.Context, folder string) (err error) {
	defer func() { err = fail(folder, "exporting", err) }()
	if exists(folder) {
		return &Error{Kind: AlreadyThere, Path: folder, Message: "the folder exists", Remedy: "choose another name, or move it away"}
	}
	temp, err := os.MkdirTemp(filepath.Dir(folder), filepath.Base(folder)+".partial-*")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(temp)) }()
	if err := r.exportTo(ctx, temp); err != nil {
		return err
	}
	if err := errors.Join(syncFolder(temp), os.Chmod(temp, 0o755), os.Rename(temp, folder)); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(folder))
}

// exportTo writes from one state of the registry.
func (r *Registry) exportTo(ctx context.Context, folder string) error {
	tx, err := r.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return err
	}
	defer tx.Rollback()
	tables, err := recordTables(ctx, tx)
	if err != nil {
		return err
	}
	last, err := lastEvent(ctx, tx)
	if err != nil {
		return err
	}
	p := newPackage(len(r.steps), last)
	for _, t := range tables {
		file, err := exportTable(ctx, tx, t, filepath.Join(folder, t.file()))
		if err != nil {
			return fmt.Errorf("table %s: %w", t.name, err)
		}
		p.add(t, file)
	}
	return writeFile(filepath.Join(folder, packageFile), func(w io.Writer) error { return p.write(w) })
}

// table is a table of the record as the database describes it.
type table struct {
	name       string
	columns    []column
	key        []string
	references []reference
}

type column struct {
	name, kind string // INTEGER, REAL or TEXT
	required   bool
}

// reference says that a column holds the key of another table.
type reference struct{ column, table, key string }

func (t table) file() string { return t.name + ".csv" }

func (t table) columnNames() []string {
	names := make([]string, len(t.columns))
	for i, c := range t.columns {
		names[i] = c.name
	}
	return names
}

// derived are the tables that are no part of the record.
var derived = []string{"migrations", "results"}

// recordTables returns the tables of the record by name.
func recordTables(ctx context.Context, db querier) ([]table, error) {
	names, err := collect(ctx, db, func(rows *sql.Rows) (name string, err error) {
		err = rows.Scan(&name)
		return name, err
	}, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name")
	if err != nil {
		return nil, err
	}
	var list []table
	for _, name := range names {
		if slices.Contains(derived, name) {
			continue
		}
		t, err := describeTable(ctx, db, name)
		if err != nil {
			return nil, err
		}
		list = append(list, t)
	}
	return list, nil
}

func describeTable(ctx context.Context, db querier, name string) (table, error) {
	t := table{name: name}
	keys := map[int]string{}
	columns, err := collect(ctx, db, func(rows *sql.Rows) (c column, err error) {
		var key int
		err = rows.Scan(&c.name, &c.kind, &c.required, &key)
		if key > 0 {
			keys[key] = c.name
			c.required = true
		}
		return c, err
	}, `SELECT name, type, "notnull", pk FROM pragma_table_info(?) ORDER BY cid`, name)
	if err != nil {
		return t, err
	}
	t.columns = columns
	for i := 1; i <= len(keys); i++ {
		t.key = append(t.key, keys[i])
	}
	t.references, err = collect(ctx, db, func(rows *sql.Rows) (f reference, err error) {
		err = rows.Scan(&f.column, &f.table, &f.key)
		return f, err
	}, `SELECT f."from", f."table", ifnull(f."to", (SELECT name FROM pragma_table_info(f."table") WHERE pk = 1))
  FROM pragma_foreign_key_list(?) f ORDER BY 1`, name)
	return t, err
}

// written is a file that was written.
type written struct {
	bytes int64
	hash  string
}

// exportTable writes one CSV file.
func exportTable(ctx context.Context, db querier, t table, path string) (f written, err error) {
	sum := sha256.New()
	err = writeFile(path, func(w io.Writer) error {
		c := csv.NewWriter(io.MultiWriter(w, sum, (*length)(&f.bytes)))
		if err := c.Write(t.columnNames()); err != nil {
			return err
		}
		if err := exportRows(ctx, db, t, c); err != nil {
			return err
		}
		c.Flush()
		return c.Error()
	})
	f.hash = hex.EncodeToString(sum.Sum(nil))
	return f, err
}

// length counts bytes.
type length int64

func (n *length) Write(b []byte) (int, error) {
	*n += length(len(b))
	return len(b), nil
}

// exportRows writes the rows of a table by rising key.
func exportRows(ctx context.Context, db querier, t table, c *csv.Writer) error {
	rows, err := db.QueryContext(ctx, fmt.Sprintf("SELECT %s FROM %s ORDER BY %s",
		strings.Join(t.columnNames(), ", "), t.name, strings.Join(t.key, ", ")))
	if err != nil {
		return err
	}
	defer rows.Close()
	cells := make([]any, len(t.columns))
	targets := make([]any, len(t.columns))
	for i := range cells {
		targets[i] = &cells[i]
	}
	row := make([]string, len(t.columns))
	for rows.Next() {
		if err := rows.Scan(targets...); err != nil {
			return err
		}
		for i, cell := range cells {
			if row[i], err = cellText(cell); err != nil {
				return fmt.Errorf("column %s: %w", t.columns[i].name, err)
			}
		}
		if err := c.Write(row); err != nil {
			return err
		}
	}
	return rows.Err()
}

// cellText writes a value, NULL as nothing and a number with the shortest
// digits that give it back.
func cellText(cell any) (string, error) {
	switch v := cell.(type) {
	case nil:
		return "", nil
	case int64:
		return strconv.FormatInt(v, 10), nil
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64), nil
	case string:
		return v, nil
	}
	return "", fmt.Errorf("a value of type %T is none of the record", cell)
}

// writeFile writes a new file and makes sure that it reached the disk.
func writeFile(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<16)
	if err := write(w); err != nil {
		return errors.Join(err, f.Close())
	}
	return errors.Join(w.Flush(), f.Sync(), f.Close())
}

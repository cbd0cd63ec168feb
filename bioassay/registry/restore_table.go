package registry

import (
	"bufio"
	"context"
	"database/sql"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// restoreTable appends the rows of one file of a package to its table.
func restoreTable(ctx context.Context, tx *sql.Tx, t table, folder string, p *dataPackage) error {
	if !slices.ContainsFunc(p.Resources, func(r resource) bool { return r.Path == t.file() }) {
		return damaged(folder, "table %s is missing", t.name)
	}
	f, err := os.Open(filepath.Join(folder, t.file()))
	if err != nil {
		return err
	}
	defer f.Close()
	rows := csv.NewReader(bufio.NewReaderSize(f, 1<<16))
	rows.ReuseRecord = true
	header, err := rows.Read()
	if err != nil || !slices.Equal(header, t.columnNames()) {
		return damaged(folder, "%s has not the columns of its table", t.file())
	}
	loader := &loader{tx: tx, table: t}
	for {
		cells, err := rows.Read()
		if err == io.EOF {
			break
		}
		if err == nil {
			err = loader.add(ctx, cells)
		}
		if err != nil {
			line, _ := rows.FieldPos(0)
			return blame(folder, fmt.Sprintf("%s, near line %d", t.file(), line), err)
		}
	}
	if err := loader.close(ctx); err != nil {
		return blame(folder, t.file(), err)
	}
	return nil
}

// blame tells rows that no registry can hold, which are the package's fault,
// from a disk that is full and the like.
func blame(folder, place string, err error) error {
	var db *sqlite.Error
	if errors.As(err, &db) && db.Code()&0xff != sqlite3.SQLITE_CONSTRAINT && db.Code()&0xff != sqlite3.SQLITE_MISMATCH {
		return err
	}
	return damaged(folder, "%s: %v", place, err)
}

// loader inserts rows in groups.
type loader struct {
	tx    *sql.Tx
	table table
	group *sql.Stmt
	args  []any
	rows  int
}

func (l *loader) add(ctx context.Context, cells []string) (err error) {
	for i, cell := range cells {
		v, err := l.table.columns[i].value(cell)
		if err != nil {
			return fmt.Errorf("column %s: %w", l.table.columns[i].name, err)
		}
		l.args = append(l.args, v)
	}
	if l.rows++; l.rows < maxRows {
		return nil
	}
	if l.group == nil {
		if l.group, err = l.tx.PrepareContext(ctx, insertion(l.table.name, len(l.table.columns), maxRows)); err != nil {
			return err
		}
	}
	_, err = l.group.ExecContext(ctx, l.args...)
	l.args, l.rows = l.args[:0], 0
	return err
}

// close inserts the rows of the last group.
func (l *loader) close(ctx context.Context) (err error) {
	if l.rows > 0 {
		_, err = l.tx.ExecContext(ctx, insertion(l.table.name, len(l.table.columns), l.rows), l.args...)
	}
	if l.group != nil {
		err = errors.Join(err, l.group.Close())
	}
	return err
}

// value reads what cellText wrote.
func (c column) value(cell string) (any, error) {
	switch {
	case cell == "" && !c.required:
		return nil, nil
	case c.kind == "INTEGER":
		return strconv.ParseInt(cell, 10, 64)
	case c.kind == "REAL":
		v, err := strconv.ParseFloat(cell, 64)
		if err == nil && (math.IsInf(v, 0) || math.IsNaN(v)) {
			err = fmt.Errorf("%q is not a number", cell)
		}
		return v, err
	}
	return cell, nil
}

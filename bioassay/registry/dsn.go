package registry

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// driver is the name under which modernc.org/sqlite registers itself.
const driver = "sqlite"

// source is the data source name of a registry. The settings stand in it, and
// not in statements, because each of the pooled connections needs them.
func source(path string, o Options) string {
	q := url.Values{"_busy_timeout": {fmt.Sprint(o.Wait.Milliseconds())}, "_dqs": {"0"}, "_defensive": {"1"}}
	if o.ReadOnly {
		q.Set("mode", "ro") // and not query_only, under which no copy can be written either
		return address(path, q)
	}
	q.Set("mode", "rwc")
	q.Set("_txlock", "immediate")
	q.Set("_foreign_keys", "1")
	q.Set("_synchronous", "FULL") // a commit that was reported survives a power cut
	q["_pragma"] = []string{
		"recursive_triggers(1)", // or REPLACE would pass by the guards
		"cell_size_check(1)",
		"trusted_schema(0)",
		"cache_size(-65536)",           // KiB
		"journal_size_limit(67108864)", // bytes
	}
	return address(path, q)
}

// address is the URI of a file, with every character that means something in a
// URI escaped.
func address(path string, q url.Values) string {
	path = filepath.ToSlash(path)
	if runtime.GOOS == "windows" && strings.Contains(path, ":") {
		path = "/" + path
	}
	return "file:" + strings.ReplaceAll(url.PathEscape(path), "%2F", "/") + "?" + q.Encode()
}

// state is what can be told about a file without changing it.
type state struct {
	application int64
	version     int
	objects     int // tables, indices and triggers
}

// fresh reports whether the file holds nothing yet.
func (s state) fresh() bool { return s.application == 0 && s.version == 0 && s.objects == 0 }

// inspect looks at a file through a connection that can only read, so that a
// file of another kind stays untouched. A missing file is a fresh one.
//
// Where a process died while it wrote in the older way, with a rollback
// journal, nothing can be read before the journal is undone. That happens to a
// registry only in the moment in which it is made. A file that is known to
// belong to another program is left to that program even then.
func inspect(ctx context.Context, path string, wait time.Duration) (state, error) {
	if !exists(path) {
		return state{}, nil
	}
	s, err := inspectAs(ctx, "ro", path, wait)
	var db *sqlite.Error
	if !errors.As(err, &db) || db.Code() != sqlite3.SQLITE_READONLY_ROLLBACK {
		return s, err
	}
	if id, err := applicationOf(path); err != nil || id != 0 && id != applicationID {
		return state{application: id}, err
	}
	return inspectAs(ctx, "rw", path, wait)
}

// applicationOf returns the application id in the header of a file, 0 when the
// file is too short for one.
func applicationOf(path string) (int64, error) {
	const headerBytes, at = 100, 68 // SQLite's file format, section 1.3
	f, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	var header [headerBytes]byte
	switch _, err := io.ReadFull(f, header[:]); {
	case err == io.EOF, err == io.ErrUnexpectedEOF:
		return 0, nil
	case err != nil:
		return 0, err
	}
	return int64(binary.BigEndian.Uint32(header[at:])), nil
}

func inspectAs(ctx context.Context, mode, path string, wait time.Duration) (state, error) {
	q := url.Values{"mode": {mode}, "_busy_timeout": {fmt.Sprint(wait.Milliseconds())}, "_query_only": {"1"}}
	db, err := sql.Open(driver, address(path, q))
	if err != nil {
		return state{}, err
	}
	s, err := look(ctx, db)
	return s, errors.Join(err, db.Close())
}

// querier is a database or a transaction.
type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
}

func look(ctx context.Context, db querier) (s state, err error) {
	err = db.QueryRowContext(ctx, "SELECT a.application_id, v.user_version, (SELECT count(*) FROM sqlite_schema) FROM pragma_application_id a, pragma_user_version v").
		Scan(&s.application, &s.version, &s.objects)
	return s, err
}

// isBusy reports whether an error is that another process writes.
func isBusy(err error) bool {
	var db *sqlite.Error
	return errors.As(err, &db) && db.Code()&0xff == sqlite3.SQLITE_BUSY
}

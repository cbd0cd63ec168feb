package registry

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// Options say how a registry is opened. The zero value opens it for reading
// and writing, and makes it when it is not there.
type Options struct {
	Who       string           // who makes the changes, unless an import says otherwise
	Now       func() time.Time // the clock of the history; nil means time.Now
	Wait      time.Duration    // how long to wait for another process that writes; 0 means DefaultWait
	MustExist bool             // a missing registry is an error
	ReadOnly  bool             // no change is possible, and the file must exist
}

// DefaultWait is the time for which a change waits while another process
// writes. The largest import takes less.
const DefaultWait = 2 * time.Minute

// Registry is an open registry. Its methods may be called from several
// goroutines.
type Registry struct {
	db      *sql.DB
	path    string
	options Options
	steps   []migration
}

// Open opens the registry in a file. A new one is made in an existing folder
// unless the options forbid it. An older one is brought up to date, after a
// copy of it has been laid beside it (see [BackupName]); a newer one, one whose
// tables were altered, and any other kind of file are refused and stay as they
// are.
func Open(path string, o Options) (*Registry, error) {
	return open(path, o, embedded())
}

func open(path string, o Options, steps []migration) (*Registry, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Wait == 0 {
		o.Wait = DefaultWait
	}
	if err := checkPlace(path, o); err != nil {
		return nil, err
	}
	r := &Registry{path: path, options: o, steps: steps}
	if err := r.start(context.Background()); err != nil {
		return nil, fail(path, "opening", err)
	}
	return r, nil
}

// checkPlace looks at the file before the database does, which would make a
// missing one and say little about the rest.
func checkPlace(path string, o Options) error {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return &Error{Kind: NotRegistry, Path: path, Message: "this is a folder", Remedy: "give the path of a file in it"}
	case err == nil && !info.Mode().IsRegular():
		return &Error{Kind: NotRegistry, Path: path, Message: "this is not a regular file", Remedy: "give the path of a registry"}
	case err == nil:
		return nil
	case !errors.Is(err, fs.ErrNotExist):
		return fail(path, "opening", err)
	case o.MustExist || o.ReadOnly:
		return &Error{Kind: Absent, Path: path, Message: "there is no registry", Remedy: "check the path, or make one by importing a count table"}
	}
	folder := filepath.Dir(path)
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return &Error{Kind: Absent, Path: path, Message: fmt.Sprintf("there is no folder %q", folder), Remedy: "make the folder first"}
	}
	return nil
}

// start inspects the file, opens the pool of connections and brings the schema
// up to date.
func (r *Registry) start(ctx context.Context) error {
	state, err := inspect(ctx, r.path, r.options.Wait)
	if err != nil {
		return err
	}
	if err := r.admit(state); err != nil {
		return err
	}
	if err := r.connect(); err != nil {
		return err
	}
	if r.options.ReadOnly {
		err = r.readable(ctx, state)
	} else {
		err = r.writable(ctx)
	}
	if err != nil {
		return errors.Join(err, r.db.Close())
	}
	return nil
}

// connect makes the pool of connections.
func (r *Registry) connect() (err error) {
	r.db, err = sql.Open(driver, source(r.path, r.options))
	return err
}

func (r *Registry) readable(ctx context.Context, s state) error {
	if s.version < len(r.steps) {
		return &Error{Kind: OlderSchema, Path: r.path, Message: fmt.Sprintf("the registry has schema %d, this program reads %d", s.version, len(r.steps)),
			Remedy: "open it once for writing, which brings it up to date"}
	}
	return r.checkApplied(ctx, r.db)
}

func (r *Registry) writable(ctx context.Context) error {
	if err := r.writeAhead(ctx); err != nil {
		return err
	}
	return r.migrate(ctx)
}

// writeAhead switches the file to a write-ahead log, which it then keeps. For
// a moment this needs the file alone, and SQLite does not wait for that.
func (r *Registry) writeAhead(ctx context.Context) error {
	const pause = 20 * time.Millisecond
	for deadline := time.Now().Add(r.options.Wait); ; {
		var mode string
		err := r.db.QueryRowContext(ctx, "PRAGMA journal_mode = WAL").Scan(&mode)
		switch {
		case err == nil && mode == "wal":
			return nil
		case err == nil:
			return fmt.Errorf("the file system gives journal mode %q where a write-ahead log is needed", mode)
		case !isBusy(err) || time.Now().After(deadline):
			return err
		}
		time.Sleep(pause)
	}
}

// Path is the file of the registry.
func (r *Registry) Path() string { return r.path }

// Close ends the use of the registry. What was written is safe before Close.
func (r *Registry) Close() error { return r.fail("closing", r.db.Close()) }

// now is the time of an event, to the second and in UTC.
func (r *Registry) now() string { return r.options.Now().UTC().Format(time.RFC3339) }

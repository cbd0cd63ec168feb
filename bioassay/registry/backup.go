package registry

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
)

// Backup writes a copy of the registry to a file that must not exist yet. The
// copy is of one state, even while imports go on, and complete once Backup
// returns without an error: it has been read back and reached the disk. One that
// was interrupted leaves a file with .partial in its name, which may be deleted.
func (r *Registry) Backup(ctx context.Context, path string) error {
	return fail(path, "writing a copy", r.copyTo(ctx, path, false))
}

// copyTo writes a copy under another name first, and renames it when it is
// whole.
func (r *Registry) copyTo(ctx context.Context, path string, replace bool) (err error) {
	if exists(path) && !replace {
		return &Error{Kind: AlreadyThere, Path: path, Message: "the file exists", Remedy: "choose another name, or move it away"}
	}
	temp, err := partial(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, removeAll(temp)) }()
	if _, err := r.db.ExecContext(ctx, "VACUUM INTO ?", temp); err != nil {
		return err
	}
	if err := r.checkCopy(ctx, temp); err != nil {
		return err
	}
	return publish(temp, path)
}

// checkCopy reads a copy back and looks whether its newest event is one of this
// registry.
func (r *Registry) checkCopy(ctx context.Context, path string) error {
	o := r.options
	o.ReadOnly = true
	c := &Registry{path: path, options: o, steps: r.steps}
	state, err := inspect(ctx, path, o.Wait)
	if err != nil {
		return err
	}
	if err := c.admit(state); err != nil {
		return err
	}
	if err := c.connect(); err != nil {
		return err
	}
	defer c.db.Close()
	var verdict string
	if err := c.db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&verdict); err != nil {
		return err
	}
	last, err := lastEvent(ctx, c.db)
	if err != nil {
		return err
	}
	known := last.ID == 0
	if !known {
		if err := r.db.QueryRowContext(ctx, "SELECT count(*) FROM events WHERE event_id = ? AND hash = ?", last.ID, last.Hash).Scan(&known); err != nil {
			return err
		}
	}
	if verdict != "ok" || !known {
		return &Error{Kind: Unverified, Path: path, Message: fmt.Sprintf("the copy cannot be read back (%s)", verdict), Remedy: "check the disk and do it again"}
	}
	return nil
}

// partial makes an empty file beside the one that is to be written.
func partial(path string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".partial-*")
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// publish makes sure that a file has reached the disk and gives it its name.
func publish(temp, path string) error {
	if exists(temp + "-wal") {
		return fmt.Errorf("a write-ahead log is left beside %q", temp)
	}
	f, err := os.OpenFile(temp, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close(), os.Rename(temp, path)); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// syncFolder makes a new name in a folder durable. Windows has no such call.
func syncFolder(folder string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(folder)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// removeAll removes a database that was not finished, with the files that
// SQLite lays beside it. What is not there is no error.
func removeAll(path string) error {
	var failed error
	for _, suffix := range []string{"", "-wal", "-shm", "-journal"} {
		if err := os.RemoveAll(path + suffix); err != nil {
			failed = errors.Join(failed, err)
		}
	}
	return failed
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

package registry

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Restore makes a registry, in a file that must not exist yet, from the folder
// that Export wrote. The files are compared with the hashes of their
// descriptor, and the finished registry is verified before it gets its name.
// A package of an older schema is brought up to date.
func Restore(ctx context.Context, folder, path string, o Options) error {
	return restore(ctx, folder, path, o, embedded())
}

func restore(ctx context.Context, folder, path string, o Options, steps []migration) (err error) {
	defer func() { err = fail(path, "restoring", err) }()
	if exists(path) {
		return &Error{Kind: AlreadyThere, Path: path, Message: "the file exists", Remedy: "choose another name; a package is restored into a new registry only"}
	}
	p, err := readPackage(folder, len(steps))
	if err != nil {
		return err
	}
	temp, err := partial(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, removeAll(temp), removeBackups(temp, len(steps))) }()
	o.ReadOnly, o.MustExist = false, false
	if err := fill(ctx, temp, folder, p, o, steps[:p.Registry.Schema]); err != nil {
		return err
	}
	if err := finish(ctx, temp, folder, p, o, steps); err != nil {
		return err
	}
	return publish(temp, path)
}

func damaged(folder, format string, args ...any) error {
	return &Error{Kind: DamagedPackage, Path: folder, Message: "this export cannot be restored: " + fmt.Sprintf(format, args...),
		Remedy: "fetch an undamaged copy of the whole folder"}
}

// readPackage reads the descriptor and checks every file against it.
func readPackage(folder string, newest int) (*dataPackage, error) {
	text, err := os.ReadFile(filepath.Join(folder, packageFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, damaged(folder, "there is no %s in it", packageFile)
	}
	if err != nil {
		return nil, err
	}
	var p dataPackage
	if err := json.Unmarshal(text, &p); err != nil {
		return nil, damaged(folder, "%s: %v", packageFile, err)
	}
	switch n := p.Registry.Schema; {
	case n < 1:
		return nil, damaged(folder, "%s is not that of a registry", packageFile)
	case n > newest:
		return nil, &Error{Kind: NewerSchema, Path: folder, Message: fmt.Sprintf("the export has schema %d, this program knows up to %d", n, newest), Remedy: "update the program"}
	}
	for _, r := range p.Resources {
		if err := checkFile(folder, r); err != nil {
			return nil, err
		}
	}
	return &p, nil
}

func checkFile(folder string, r resource) error {
	if filepath.Base(r.Path) != r.Path || !strings.HasSuffix(r.Path, ".csv") {
		return damaged(folder, "path %q is not a CSV file beside the descriptor", r.Path)
	}
	f, err := os.Open(filepath.Join(folder, r.Path))
	if errors.Is(err, fs.ErrNotExist) {
		return damaged(folder, "%s is missing", r.Path)
	}
	if err != nil {
		return err
	}
	defer f.Close()
	sum := sha256.New()
	n, err := io.Copy(sum, f)
	if err != nil {
		return err
	}
	if n != r.Bytes || hashPrefix+hex.EncodeToString(sum.Sum(nil)) != r.Hash {
		return damaged(folder, "%s is not the file that was exported", r.Path)
	}
	return nil
}

// fill makes a registry of the schema of the package and appends its rows.
func fill(ctx context.Context, path, folder string, p *dataPackage, o Options, steps []migration) (err error) {
	r, err := open(path, o, steps)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	tx, err := r.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if _, err := tx.ExecContext(ctx, "PRAGMA defer_foreign_keys = ON"); err != nil {
		return err
	}
	tables, err := recordTables(ctx, tx)
	if err != nil {
		return err
	}
	for _, t := range tables {
		if err := restoreTable(ctx, tx, t, folder, p); err != nil {
			return err
		}
	}
	if len(p.Resources) != len(tables) {
		return damaged(folder, "it has %d tables, the schema has %d", len(p.Resources), len(tables))
	}
	if err := tx.Commit(); err != nil {
		return blame(folder, "references between the tables", err)
	}
	return nil
}

// finish brings a filled registry up to date and verifies it.
func finish(ctx context.Context, path, folder string, p *dataPackage, o Options, steps []migration) (err error) {
	r, err := open(path, o, steps)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	v, err := r.Verify(ctx, nil)
	if err != nil {
		return err
	}
	if !v.Sound() {
		return damaged(folder, "%s: %s", v.Problems[0].Check, v.Problems[0].Message)
	}
	if v.Head.Hash != p.Registry.Head || v.Head.ID != p.Registry.Events {
		return damaged(folder, "the history does not end as %s says", packageFile)
	}
	return nil
}

// removeBackups removes the copies made while a restored registry was brought
// up to date: the package itself is the older version.
func removeBackups(path string, newest int) (err error) {
	for version := 1; version < newest; version++ {
		err = errors.Join(err, os.RemoveAll(BackupName(path, version)))
	}
	return err
}

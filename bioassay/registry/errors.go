package registry

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Kind names a kind of error. It is itself an error, so that
// errors.Is(err, registry.DiskFull) finds it in whatever the package returned.
type Kind string

// Error returns the name of the kind.
func (k Kind) Error() string { return string(k) }

// The kinds of errors.
const (
	Absent         Kind = "registry-absent"         // no file at the path, or no folder for it
	NotRegistry    Kind = "not-a-registry"          // another kind of file
	NewerSchema    Kind = "newer-schema"            // written by a later version of the program
	OlderSchema    Kind = "older-schema"            // must be brought up to date, opened to read only
	AlteredSchema  Kind = "altered-schema"          // tables are not those that the program makes
	Corrupt        Kind = "corrupt"                 // the file is damaged
	DiskFull       Kind = "disk-full"               // no room to write
	NotWritable    Kind = "not-writable"            // file or folder may only be read
	Busy           Kind = "busy"                    // another process writes for too long
	Unreadable     Kind = "input-output"            // the disk reported an error
	BadInput       Kind = "bad-input"               // what was to be written makes no sense
	Conflicting    Kind = "conflicting-rows"        // an import differs from the record
	NoSuchEntry    Kind = "no-such-entry"           // an assay or baseline that is not registered
	AlreadyThere   Kind = "already-there"           // the target of a backup, export or restore exists
	DamagedPackage Kind = "damaged-package"         // an export that is incomplete or was edited
	Unverified     Kind = "verification-not-passed" // a copy differs from what it should be
)

// Error is a failure of a registry: what is wrong with which file, and what to
// do about it.
type Error struct {
	Kind    Kind
	Path    string
	Message string
	Remedy  string
	Err     error // the cause, nil when the message says it all
}

// Error returns one line: the path, what is wrong, the cause and the remedy.
func (e *Error) Error() string {
	s := fmt.Sprintf("registry %q: %s", e.Path, e.Message)
	if e.Err != nil {
		s += " (" + e.Err.Error() + ")"
	}
	return s + "; " + e.Remedy
}

// Unwrap returns the kind and the cause.
func (e *Error) Unwrap() []error {
	if e.Err == nil {
		return []error{e.Kind}
	}
	return []error{e.Kind, e.Err}
}

// causes are the failures that SQLite tells apart, with their remedies.
var causes = map[int]Error{
	sqlite3.SQLITE_FULL:     {Kind: DiskFull, Message: "the disk is full, nothing was written", Remedy: "make room and do it again"},
	sqlite3.SQLITE_READONLY: {Kind: NotWritable, Message: "the file or its folder may only be read, nothing was written", Remedy: "allow writing, or copy the registry to a folder of your own"},
	sqlite3.SQLITE_CANTOPEN: {Kind: NotWritable, Message: "the file cannot be opened, or the files beside it cannot be made", Remedy: "check that the folder exists and can be written"},
	sqlite3.SQLITE_PERM:     {Kind: NotWritable, Message: "access is not permitted", Remedy: "check the rights of the file and its folder"},
	sqlite3.SQLITE_BUSY:     {Kind: Busy, Message: "another process is writing", Remedy: "wait until it has ended and do it again"},
	sqlite3.SQLITE_LOCKED:   {Kind: Busy, Message: "another process is writing", Remedy: "wait until it has ended and do it again"},
	sqlite3.SQLITE_CORRUPT:  {Kind: Corrupt, Message: "the file is damaged", Remedy: "keep it aside and go on from the newest backup or export that verifies"},
	sqlite3.SQLITE_NOTADB:   {Kind: NotRegistry, Message: "this is not an SQLite file", Remedy: "give the path of a registry"},
	sqlite3.SQLITE_IOERR:    {Kind: Unreadable, Message: "the disk reported an error, nothing was written", Remedy: "check the room on the disk and its health, and do it again"},
}

// fail adds the file and the remedy to an error of the database. Errors of
// this package and those of a cancelled context stay as they are.
func fail(path, doing string, err error) error {
	var own *Error
	var db *sqlite.Error
	switch {
	case err == nil, errors.As(err, &own), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &db):
		if cause, known := causes[db.Code()&0xff]; known {
			cause.Path, cause.Err = path, fmt.Errorf("%s: %w", doing, err)
			return &cause
		}
	case errors.Is(err, fs.ErrPermission):
		cause := causes[sqlite3.SQLITE_PERM]
		cause.Path, cause.Err = path, err
		return &cause
	}
	return fmt.Errorf("registry %q: %s: %w", path, doing, err)
}

// fail is the above for the file of the registry.
func (r *Registry) fail(doing string, err error) error { return fail(r.path, doing, err) }

// refuse returns an error about what was to be written.
func (r *Registry) refuse(kind Kind, remedy, format string, args ...any) error {
	return &Error{Kind: kind, Path: filepath.ToSlash(r.path), Message: fmt.Sprintf(format, args...), Remedy: remedy}
}

package registry

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// raw opens a file without the guards of the package.
func raw(t testing.TB, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open(driver, address(path, nil))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// do runs statements behind the registry's back.
func do(t testing.TB, path string, statements ...string) {
	t.Helper()
	db := raw(t, path)
	db.SetMaxOpenConns(1)
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestOpenNewAndAgain(t *testing.T) {
	for _, name := range []string{"registry.db", "a b?c#d%20e&f=g ü.db", "'quoted'; \"twice\".db"} {
		path := filepath.Join(t.TempDir(), name)
		r := opened(t, path)
		put(t, r, "f.csv", head+"A,,,,1,9,5,\n", ImportOptions{})
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
		r = opened(t, path)
		if got := names(all(t, r.Assays(ctx, Filter{}))); len(got) != 1 || r.Path() != path {
			t.Errorf("%q: %v", name, got)
		}
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
		entries, err := os.ReadDir(filepath.Dir(path))
		if err != nil || len(entries) != 1 || entries[0].Name() != name {
			t.Errorf("left behind: %v %v", entries, err)
		}
	}
}

// Each connection of the pool has the settings, not just the first.
func TestEveryConnectionIsGuarded(t *testing.T) {
	r := fresh(t)
	for range 5 {
		c, err := r.db.Conn(ctx)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		for pragma, want := range map[string]string{"foreign_keys": "1", "recursive_triggers": "1", "synchronous": "2", "busy_timeout": "20000", "journal_mode": "wal"} {
			var got string
			if err := c.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
				t.Errorf("%s is %q, %v", pragma, got, err)
			}
		}
	}
}

// What is refused stays as it is, to the byte.
func TestOpenRefuses(t *testing.T) {
	dir := t.TempDir()
	foreign := filepath.Join(dir, "foreign.db")
	do(t, foreign, "CREATE TABLE t (x)", "PRAGMA user_version = 3")
	other := filepath.Join(dir, "other.db")
	do(t, other, "CREATE TABLE t (x)", "PRAGMA application_id = 7", "PRAGMA journal_mode = WAL")
	newer := filepath.Join(dir, "newer.db")
	opened(t, newer).Close()
	do(t, newer, "PRAGMA user_version = 99")
	text := filepath.Join(dir, "text.db")
	garbled := filepath.Join(dir, "garbled.db")
	opened(t, garbled).Close()
	data, err := os.ReadFile(garbled)
	if err != nil {
		t.Fatal(err)
	}
	copy(data[100:], bytes.Repeat([]byte{0xA5}, 400)) // the root of the schema
	err = errors.Join(os.WriteFile(garbled, data, 0o644), os.WriteFile(text, []byte(strings.Repeat("assay,dead\n", 200)), 0o644))
	if err != nil {
		t.Fatal(err)
	}
	altered := filepath.Join(dir, "altered.db")
	opened(t, altered).Close()
	do(t, altered, "UPDATE migrations SET sha256 = 'x'")
	forgotten := filepath.Join(dir, "forgotten.db")
	opened(t, forgotten).Close()
	do(t, forgotten, "DELETE FROM migrations")
	for path, kind := range map[string]Kind{
		foreign: NotRegistry, other: NotRegistry, newer: NewerSchema, text: NotRegistry, garbled: Corrupt, altered: AlteredSchema, forgotten: AlteredSchema,
		dir: NotRegistry, filepath.Join(dir, "none", "r.db"): Absent, os.DevNull: NotRegistry,
	} {
		before, _ := os.ReadFile(path)
		r, err := Open(path, options())
		if r != nil {
			t.Errorf("%s was opened", path)
			r.Close()
		}
		isKind(t, err, kind)
		if after, _ := os.ReadFile(path); !bytes.Equal(after, before) {
			t.Errorf("%s was changed", path)
		}
	}
	for _, o := range []Options{{MustExist: true}, {ReadOnly: true}} {
		_, err := Open(filepath.Join(dir, "absent.db"), o)
		isKind(t, err, Absent)
		if exists(filepath.Join(dir, "absent.db")) {
			t.Error("the file was made")
		}
	}
}

func TestReadOnly(t *testing.T) {
	r := fresh(t)
	put(t, r, "f.csv", head+"A,,,,1,9,5,\n", ImportOptions{})
	o := options()
	o.ReadOnly = true
	reader, err := Open(r.path, o)
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	if got := names(all(t, reader.Assays(ctx, Filter{}))); len(got) != 1 {
		t.Errorf("%v", got)
	}
	table, source := read(t, "g.csv", head+"B,,,,1,9,5,\n")
	if res, err := reader.Import(ctx, table, source, ImportOptions{DryRun: true}); err != nil || res.New != 1 {
		t.Errorf("%+v %v", res, err)
	}
	_, err = reader.Import(ctx, table, source, ImportOptions{})
	isKind(t, err, NotWritable)
	sound(t, reader)
	if err := reader.Backup(ctx, r.path+".copy"); err != nil {
		t.Error(err)
	}
}

// steps adds one step to the schema.
func steps(text string) []migration {
	return append(embedded(), migration{"0002_test.sql", text})
}

func TestMigration(t *testing.T) {
	r := fresh(t)
	put(t, r, "f.csv", head+"A,,,,1,9,5,\n", ImportOptions{})
	head := sound(t, r).Head
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	two := steps("CREATE TABLE weather (day TEXT NOT NULL PRIMARY KEY, celsius REAL) STRICT; INSERT INTO weather VALUES ('2031-04-09', 21.5)")

	o := options()
	o.ReadOnly = true
	_, err := open(r.path, o, two)
	isKind(t, err, OlderSchema)

	// A step that fails leaves the registry as it was, and a copy beside it.
	if _, err := open(r.path, options(), steps("CREATE TABLE weather (day TEXT); INSERT INTO nowhere VALUES (1)")); err == nil || !strings.Contains(err.Error(), "0002_test.sql") {
		t.Errorf("%v", err)
	}
	old := opened(t, r.path)
	if v := sound(t, old); v.Head != head {
		t.Errorf("after a failed step %+v", v)
	}
	old.Close()

	migrated, err := open(r.path, options(), two)
	if err != nil {
		t.Fatal(err)
	}
	if v := sound(t, migrated); v.Head != head || v.Assays != 1 {
		t.Errorf("after the step %+v", v)
	}
	migrated.Close()
	_, err = Open(r.path, options())
	isKind(t, err, NewerSchema)
	if v := sound(t, opened(t, BackupName(r.path, 1))); v.Head != head {
		t.Errorf("the copy before the step %+v", v)
	}
	left, err := filepath.Glob(r.path + "*partial*")
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}

// A registry that dies while it is made leaves an empty file, and no more.
func TestEmptyFileBecomesRegistry(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.db")
	if err := os.WriteFile(path, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := Open(path, Options{ReadOnly: true})
	isKind(t, err, NotRegistry)
	sound(t, opened(t, path))
}

// interrupted copies a file in the middle of a change, with the rollback
// journal that a process leaves when it dies then.
func interrupted(t *testing.T, path, change string) string {
	t.Helper()
	db := raw(t, path)
	db.SetMaxOpenConns(1)
	for _, s := range []string{"PRAGMA journal_mode = DELETE", "PRAGMA cache_size = 1", "BEGIN IMMEDIATE", change} {
		if _, err := db.Exec(s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
	dead := filepath.Join(t.TempDir(), "dead.db")
	for _, suffix := range []string{"", "-journal"} {
		data, err := os.ReadFile(path + suffix)
		if err == nil {
			err = os.WriteFile(dead+suffix, data, 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if _, err := inspectAs(ctx, "ro", dead, 0); err == nil {
		t.Fatal("the journal is not in the way of reading")
	}
	return dead
}

// A process that died while it wrote with a rollback journal, as it does in the
// moment in which a registry is made, leaves a registry that opens.
func TestDiedWithRollbackJournal(t *testing.T) {
	r := full(t)
	want := sound(t, r).Head
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	const more = "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 500) INSERT INTO %s SELECT i, i, i, zeroblob(4000) FROM n"
	dead := interrupted(t, r.path, fmt.Sprintf(more, "results"))
	again := opened(t, dead)
	var kept int
	if err := again.db.QueryRow("SELECT count(*) FROM results").Scan(&kept); err != nil || kept != 0 {
		t.Errorf("%d results of the interrupted change, %v", kept, err)
	}
	if got := sound(t, again).Head; got != want {
		t.Errorf("%+v, want %+v", got, want)
	}

	other := filepath.Join(t.TempDir(), "other.db")
	do(t, other, "PRAGMA application_id = 7", "CREATE TABLE results (a, b, c, d)")
	dead = interrupted(t, other, fmt.Sprintf(more, "results"))
	_, err := Open(dead, options())
	isKind(t, err, NotRegistry)
	if !exists(dead + "-journal") {
		t.Error("the journal of another program was undone")
	}
}

func TestOpenedByManyAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.db")
	var wait sync.WaitGroup
	for i := range 8 {
		wait.Go(func() {
			r, err := Open(path, options())
			if err != nil {
				t.Error(err)
				return
			}
			defer r.Close()
			if _, err := r.Import(ctx, many(20, 4, i), sourceOfMany(20, i), ImportOptions{}); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	if v := sound(t, opened(t, path)); v.Assays != 160 || v.Events != 8 {
		t.Errorf("%+v", v)
	}
}

// Embedded steps are never edited once released: a registry refuses to be
// opened by a program whose steps differ from those that made it.
func TestStepsAreAsReleased(t *testing.T) {
	released := []string{
		"50354e8bb3582e2180fbbc3e70320d462e56050dc57258c4349e241c637f6758",
	}
	for i, want := range released {
		if got := embedded()[i].sum(); got != want {
			t.Errorf("step %d has sum %s", i+1, got)
		}
	}
	if len(embedded()) != len(released) {
		t.Errorf("%d steps, %d sums: add %s", len(embedded()), len(released), embedded()[len(embedded())-1].sum())
	}
}

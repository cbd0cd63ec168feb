package registry

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"vialwise/bioassay"
)

// Subject is what a row of the history is about.
type Subject string

// The subjects.
const (
	OfAssay  Subject = "assay"
	OfApiary Subject = "apiary"
)

// shelf says how objects of one type are kept.
type shelf[T any] struct {
	subject Subject
	action  Action
	name    func(*T) string
	origin  func(*T) bioassay.Origin
	rows    func(*T) int   // that it takes in containers
	tidy    func(T) T      // in the form that is kept; the argument stays as it is
	check   func(*T) error // why it cannot be kept
	hashes  func(*T) hashes
	lookup  string // its number, newest revision and the content hash of that, by name
	apiary  func(*T) string
	load    func(ctx context.Context, tx *sql.Tx, revision int64) (T, error)
	diff    func(old, new *T) []Conflict
	writer  func(ctx context.Context, tx *sql.Tx, event int64) (writer[T], error)
}

// standing is where an object stands in the record before an import.
type standing struct {
	id, revision int64 // 0 when it is not registered
	number       int64
	hashes       hashes
	same         bool
}

// incoming is an import under way.
type incoming[T any] struct {
	registry *Registry
	shelf    *shelf[T]
	objects  []T
	options  ImportOptions
	result   *ImportResult
	standing []standing
	done     int
}

// compare finds out where each of the objects stands.
func (in *incoming[T]) compare(ctx context.Context, tx *sql.Tx, s Source) error {
	lookup, err := tx.PrepareContext(ctx, in.shelf.lookup)
	if err != nil {
		return err
	}
	defer lookup.Close()
	in.standing = make([]standing, len(in.objects))
	seen := make(map[string]int, len(in.objects))
	for i := range in.objects {
		object := in.shelf.tidy(in.objects[i])
		if err := in.admit(&object, i, seen); err != nil {
			return err
		}
		at := &in.standing[i]
		at.hashes = in.shelf.hashes(&object)
		if err := at.find(ctx, lookup, in.shelf.name(&object)); err != nil {
			return err
		}
		if err := in.count(ctx, tx, &object, at); err != nil {
			return err
		}
		in.step()
	}
	if in.result.Earlier, err = earlier(ctx, tx, s.SHA256); err != nil {
		return err
	}
	return in.remark(ctx, tx)
}

// admit refuses an object that cannot be kept, or a second one of a name.
func (in *incoming[T]) admit(object *T, i int, seen map[string]int) error {
	name := in.shelf.name(object)
	refuse := func(why error) error {
		at := in.shelf.origin(object)
		return in.registry.refuse(BadInput, "correct the table and import it again", "%s:%d: %s %q: %v", shown(at.File), at.Line, in.shelf.subject, name, why)
	}
	if err := in.shelf.check(object); err != nil {
		return refuse(err)
	}
	if first, twice := seen[name]; twice {
		return refuse(fmt.Errorf("the name is also on line %d, perhaps written with other bytes of the same characters", in.shelf.origin(&in.objects[first]).Line))
	}
	seen[name] = i
	return nil
}

// find looks up the newest revision of a name.
func (s *standing) find(ctx context.Context, lookup *sql.Stmt, name string) error {
	var content string
	err := lookup.QueryRowContext(ctx, name).Scan(&s.id, &s.revision, &s.number, &content)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	s.same = content == s.hashes.content
	return err
}

// count adds an object to the result, with what it would change.
func (in *incoming[T]) count(ctx context.Context, tx *sql.Tx, object *T, at *standing) error {
	res := in.result
	switch {
	case at.same:
		res.Same++
		return nil
	case at.revision == 0:
		res.New++
		res.Containers += in.shelf.rows(object)
		return nil
	}
	res.Changed++
	res.Containers += in.shelf.rows(object)
	old, err := in.shelf.load(ctx, tx, at.revision)
	if err != nil {
		return err
	}
	conflicts := in.shelf.diff(&old, object)
	room := min(len(conflicts), MaxConflicts-len(res.Conflicts))
	res.Conflicts = append(res.Conflicts, conflicts[:room]...)
	res.MoreConflicts += len(conflicts) - room
	return nil
}

// step reports progress now and then: each object is compared, then written.
func (in *incoming[T]) step() {
	const every = 128
	in.done++
	total := len(in.objects)
	if !in.options.DryRun {
		total *= 2
	}
	if in.options.Progress != nil && (in.done%every == 0 || in.done == total) {
		in.options.Progress(in.done, total)
	}
}

// earlier returns the event that imported the same bytes, if any.
func earlier(ctx context.Context, db querier, sum string) (*Event, error) {
	e := Event{Source: Source{SHA256: sum}}
	err := db.QueryRowContext(ctx, `SELECT e.event_id, at, who, action, reason, hash, s.name, s.bytes
  FROM sources s JOIN events e USING (event_id) WHERE sha256 = ? ORDER BY 1 LIMIT 1`, sum).
		Scan(&e.ID, &e.At, &e.Who, &e.Action, &e.Reason, &e.Hash, &e.Source.Name, &e.Source.Bytes)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	return &e, err
}

// plural returns "1 assay", "2 assays", "2 apiaries".
func plural(n int, noun string) string {
	if noun == string(OfApiary) && n != 1 {
		return fmt.Sprintf("%d apiaries", n)
	}
	return bioassay.Plural(n, noun)
}

package registry

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"vialwise/bioassay"
)

var apiaryShelf = &shelf[bioassay.Apiary]{
	subject: OfApiary,
	action:  ApiariesImported,
	name:    func(a *bioassay.Apiary) string { return a.Code },
	origin:  func(a *bioassay.Apiary) bioassay.Origin { return a.Source },
	rows:    func(*bioassay.Apiary) int { return 0 },
	tidy:    tidyApiary,
	check:   checkApiary,
	hashes:  apiaryHashes,
	lookup: `SELECT apiary_id, revision_id, number, content_hash FROM apiaries JOIN apiary_revisions USING (apiary_id)
  WHERE code = ? ORDER BY number DESC LIMIT 1`,
	apiary: func(a *bioassay.Apiary) string { return a.Code },
	load:   loadApiary,
	diff:   diffApiaries,
	writer: newApiaryWriter,
}

func tidyApiary(a bioassay.Apiary) bioassay.Apiary {
	for _, s := range []*string{&a.Code, &a.Region, &a.ContactCode} {
		*s = clean(*s)
	}
	a.Latitude.Value += 0 // a negative zero is zero
	a.Longitude.Value += 0
	a.Extra = tidyExtra(a.Extra)
	return a
}

func checkApiary(a *bioassay.Apiary) error {
	if a.Code == "" {
		return errors.New("it has no code")
	}
	for _, c := range []struct {
		at   bioassay.Optional
		most float64
	}{{a.Latitude, 90}, {a.Longitude, 180}} {
		if c.at.Known && !(c.at.Value >= -c.most && c.at.Value <= c.most) {
			return fmt.Errorf("%g degrees are not a coordinate", c.at.Value)
		}
	}
	for _, s := range []string{a.Code, a.Region, a.ContactCode} {
		if err := checkText("the text", s); err != nil {
			return err
		}
	}
	return checkExtra(a.Extra)
}

// apiaryWriter appends apiaries.
type apiaryWriter struct {
	event          int64
	nextID, nextRe int64
	apiary, head   *sql.Stmt
}

func newApiaryWriter(ctx context.Context, tx *sql.Tx, event int64) (writer[bioassay.Apiary], error) {
	w := &apiaryWriter{event: event}
	var errs [4]error
	w.nextID, errs[0] = nextNumber(ctx, tx, "apiaries", "apiary_id")
	w.nextRe, errs[1] = nextNumber(ctx, tx, "apiary_revisions", "revision_id")
	w.apiary, errs[2] = tx.PrepareContext(ctx, insertion("apiaries", 3, 1))
	w.head, errs[3] = tx.PrepareContext(ctx, insertion("apiary_revisions", 12, 1))
	return w, errors.Join(errs[:]...)
}

func (w *apiaryWriter) create(ctx context.Context, a *bioassay.Apiary) (int64, error) {
	id := w.nextID
	w.nextID++
	_, err := w.apiary.ExecContext(ctx, id, w.event, a.Code)
	return id, err
}

func (w *apiaryWriter) revise(ctx context.Context, a *bioassay.Apiary, s standing) error {
	revision := w.nextRe
	w.nextRe++
	_, err := w.head.ExecContext(ctx, revision, s.id, s.number, w.event, a.Source.Line, a.Region,
		nullable(a.Latitude.Value, a.Latitude.Known), nullable(a.Longitude.Value, a.Longitude.Known),
		a.ContactCode, extraText(a.Extra), s.hashes.content, s.hashes.record)
	return err
}

func (w *apiaryWriter) close() error { return errors.Join(w.apiary.Close(), w.head.Close()) }

const (
	apiaryHeads = `SELECT a.code, v.region, v.latitude, v.longitude, v.contact_code, v.extra, v.line, ifnull(s.name, ''), v.revision_id, v.content_hash, v.record_hash
  FROM apiaries a JOIN apiary_revisions v USING (apiary_id) LEFT JOIN sources s ON s.event_id = v.event_id`
	currentApiaries = apiaryHeads + " WHERE v.number = (SELECT max(number) FROM apiary_revisions w WHERE w.apiary_id = a.apiary_id)"
)

// Apiaries returns the newest version of every apiary by rising code.
func (r *Registry) Apiaries(ctx context.Context) ([]bioassay.Apiary, error) {
	found, err := collect(ctx, r.db, scanApiary, currentApiaries+" ORDER BY a.code")
	if err != nil {
		return nil, r.fail("reading apiaries", err)
	}
	list := make([]bioassay.Apiary, len(found))
	for i := range found {
		list[i] = found[i].Apiary
	}
	return list, nil
}

// keptApiary is a revision of an apiary with what is stored about it.
type keptApiary struct {
	bioassay.Apiary
	revision int64
	hashes
}

func scanApiary(rows *sql.Rows) (a keptApiary, err error) {
	var latitude, longitude sql.NullFloat64
	var extra string
	if err := rows.Scan(&a.Code, &a.Region, &latitude, &longitude, &a.ContactCode, &extra, &a.Source.Line, &a.Source.File,
		&a.revision, &a.content, &a.record); err != nil {
		return a, err
	}
	a.Latitude, a.Longitude = optional(latitude), optional(longitude)
	a.Extra, err = parseExtra(extra)
	return a, err
}

func loadApiary(ctx context.Context, tx *sql.Tx, revision int64) (bioassay.Apiary, error) {
	found, err := collect(ctx, tx, scanApiary, apiaryHeads+" WHERE v.revision_id = ?", revision)
	if err != nil || len(found) == 0 {
		return bioassay.Apiary{}, err
	}
	return found[0].Apiary, nil
}

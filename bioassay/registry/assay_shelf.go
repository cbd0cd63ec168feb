package registry

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"slices"

	"vialwise/bioassay"
)

var assayShelf = &shelf[bioassay.Assay]{
	subject: OfAssay,
	action:  AssaysImported,
	name:    func(a *bioassay.Assay) string { return a.Name },
	origin:  assayOrigin,
	rows:    func(a *bioassay.Assay) int { return len(a.Containers) },
	tidy:    tidyAssay,
	check:   checkAssay,
	hashes:  assayHashes,
	lookup: `SELECT assay_id, revision_id, number, content_hash FROM assays JOIN assay_revisions USING (assay_id)
  WHERE name = ? ORDER BY number DESC LIMIT 1`,
	apiary: func(a *bioassay.Assay) string { return a.Apiary },
	load:   loadRevision,
	diff:   diffAssays,
	writer: newAssayWriter,
}

// assayOrigin is the place of the first container.
func assayOrigin(a *bioassay.Assay) bioassay.Origin {
	if len(a.Containers) == 0 {
		return bioassay.Origin{}
	}
	return a.Containers[0].Source
}

// tidyAssay returns an assay with every text as the registry keeps it. Most
// have nothing to tidy and share their containers with the argument.
func tidyAssay(a bioassay.Assay) bioassay.Assay {
	for _, s := range []*string{&a.Name, &a.Apiary, &a.Population, &a.Acaricide, &a.Protocol, &a.Unit} {
		*s = clean(*s)
	}
	if !slices.ContainsFunc(a.Containers, untidy) {
		return a
	}
	a.Containers = slices.Clone(a.Containers)
	for i := range a.Containers {
		c := &a.Containers[i]
		c.Concentration += 0 // a negative zero is zero
		for _, s := range []*string{&c.Label, &c.ConcentrationText, &c.MiteSource, &c.Note} {
			*s = clean(*s)
		}
		c.Extra = tidyExtra(c.Extra)
	}
	return a
}

func untidy(c bioassay.Container) bool {
	return !plain(c.Label) || !plain(c.ConcentrationText) || !plain(c.MiteSource) || !plain(c.Note) ||
		len(c.Extra) > 0 || c.Concentration == 0 && math.Signbit(c.Concentration)
}

func tidyExtra(fields []bioassay.Field) []bioassay.Field {
	fields = slices.Clone(fields)
	for i := range fields {
		fields[i] = bioassay.Field{Name: clean(fields[i].Name), Value: clean(fields[i].Value)}
	}
	return fields
}

// checkAssay says why an assay cannot be kept. What a reader of tables returns
// passes; a program that makes its own assays may hear of its mistakes here.
func checkAssay(a *bioassay.Assay) error {
	if a.Name == "" {
		return errors.New("it has no name")
	}
	if len(a.Containers) == 0 {
		return errors.New("it has no containers")
	}
	for _, s := range []string{a.Name, a.Apiary, a.Population, a.Acaricide, a.Protocol, a.Unit} {
		if err := checkText("the text", s); err != nil {
			return err
		}
	}
	for _, d := range []bioassay.Date{a.CollectedOn, a.TestedOn} {
		if _, err := parseDay(d.String()); err != nil {
			return err
		}
	}
	for _, h := range []bioassay.Optional{a.ExposureHours, a.ReadingHours} {
		if h.Known && !finite(h.Value) {
			return fmt.Errorf("%g hours are not a number of hours", h.Value)
		}
	}
	for i := range a.Containers {
		if err := checkContainer(&a.Containers[i]); err != nil {
			return fmt.Errorf("container %s: %w", place(&a.Containers[i], i), err)
		}
	}
	return nil
}

func checkContainer(c *bioassay.Container) error {
	switch {
	case !finite(c.Concentration) || c.Concentration < 0:
		return fmt.Errorf("%g is not a concentration", c.Concentration)
	case min(c.Exposed, c.Dead, c.Moribund, c.Missing) < 0:
		return errors.New("a count is negative")
	case c.Dead+c.Moribund+c.Missing > c.Exposed:
		return fmt.Errorf("%d dead, %d moribund and %d missing are more than the %d exposed", c.Dead, c.Moribund, c.Missing, c.Exposed)
	}
	for _, s := range []string{c.Label, c.ConcentrationText, c.MiteSource, c.Note} {
		if err := checkText("the text", s); err != nil {
			return err
		}
	}
	return checkExtra(c.Extra)
}

func checkExtra(fields []bioassay.Field) error {
	for _, f := range fields {
		if err := errors.Join(checkText("the column name", f.Name), checkText("the cell", f.Value)); err != nil {
			return err
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// assayWriter appends assays with statements prepared once.
type assayWriter struct {
	tx             *sql.Tx
	event          int64
	nextID, nextRe int64
	assay, head    *sql.Stmt
	rows           [maxRows + 1]*sql.Stmt // by the number of containers they insert
	args           []any
}

const (
	maxRows          = 32 // containers in one statement
	containerColumns = 15
)

func newAssayWriter(ctx context.Context, tx *sql.Tx, event int64) (writer[bioassay.Assay], error) {
	w := &assayWriter{tx: tx, event: event}
	var errs [4]error
	w.nextID, errs[0] = nextNumber(ctx, tx, "assays", "assay_id")
	w.nextRe, errs[1] = nextNumber(ctx, tx, "assay_revisions", "revision_id")
	w.assay, errs[2] = tx.PrepareContext(ctx, insertion("assays", 3, 1))
	w.head, errs[3] = tx.PrepareContext(ctx, insertion("assay_revisions", 16, 1))
	return w, errors.Join(errs[:]...)
}

func (w *assayWriter) create(ctx context.Context, a *bioassay.Assay) (int64, error) {
	id := w.nextID
	w.nextID++
	_, err := w.assay.ExecContext(ctx, id, w.event, a.Name)
	return id, err
}

func (w *assayWriter) revise(ctx context.Context, a *bioassay.Assay, s standing) error {
	revision := w.nextRe
	w.nextRe++
	day := func(d bioassay.Date) any { return nullable(d.String(), !d.IsZero()) }
	hours := func(o bioassay.Optional) any { return nullable(o.Value, o.Known) }
	if _, err := w.head.ExecContext(ctx, revision, s.id, s.number, w.event, a.Apiary, a.Population, a.Role.String(),
		day(a.CollectedOn), day(a.TestedOn), a.Acaricide, a.Protocol, a.Unit, hours(a.ExposureHours), hours(a.ReadingHours),
		s.hashes.content, s.hashes.record); err != nil {
		return err
	}
	for first := 0; first < len(a.Containers); first += maxRows {
		rows := a.Containers[first:min(first+maxRows, len(a.Containers))]
		if err := w.containers(ctx, revision, first, rows); err != nil {
			return err
		}
	}
	return nil
}

// containers appends up to maxRows containers in one statement.
func (w *assayWriter) containers(ctx context.Context, revision int64, first int, rows []bioassay.Container) (err error) {
	insert := &w.rows[len(rows)]
	if *insert == nil {
		if *insert, err = w.tx.PrepareContext(ctx, insertion("containers", containerColumns, len(rows))); err != nil {
			return err
		}
	}
	w.args = w.args[:0]
	for i := range rows {
		c := &rows[i]
		w.args = append(w.args, revision, first+i+1, c.Source.Line, c.Label, c.Concentration, c.ConcentrationText,
			c.Exposed, c.Dead, c.Moribund, c.Missing, c.MiteSource, c.CappedBrood.String(), c.TestedBlind.String(), c.Note, extraText(c.Extra))
	}
	_, err = (*insert).ExecContext(ctx, w.args...)
	return err
}

func (w *assayWriter) close() error {
	err := errors.Join(w.assay.Close(), w.head.Close())
	for _, s := range w.rows {
		if s != nil {
			err = errors.Join(err, s.Close())
		}
	}
	return err
}

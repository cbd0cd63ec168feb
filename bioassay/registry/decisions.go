package registry

import (
	"context"
	"database/sql"
	"strings"

	"vialwise/bioassay"
)

// Verdict is what a decision makes of a finding on an assay.
type Verdict string

// The verdicts.
const (
	Keep      Verdict = "keep"    // use the assay in spite of the finding
	Discard   Verdict = "discard" // rest no claim on the assay
	NoVerdict Verdict = "none"    // take back what was decided before
)

// Decision is a named person's word on one finding of one assay. Decisions are
// never changed; of one assay and code the latest stands.
type Decision struct {
	Assay   string
	Code    bioassay.WarningCode // of the finding
	Verdict Verdict
	By      string // who answers for it
	Why     string
	At      string // ISO 8601, UTC; set by the registry
	Event   int64  // in the history; set by the registry
}

// Decide records a decision about a registered assay; who enters it may be
// another person than the one who decided, and blank means the one of
// [Options]. A decision that says what stands already changes nothing.
func (r *Registry) Decide(ctx context.Context, d Decision, who string) (*Event, error) {
	if who == "" {
		who = r.options.Who
	}
	for _, s := range []*string{&d.Assay, (*string)(&d.Code), &d.By, &d.Why} {
		if err := checkText("the text", *s); err != nil {
			return nil, r.refuse(BadInput, "enter it again", "%v", err)
		}
		*s = clean(strings.TrimSpace(*s))
	}
	switch {
	case d.Code == "" || d.By == "" || d.Why == "":
		return nil, r.refuse(BadInput, "name the finding, the person who decided, and why", "the decision about assay %q is not complete", d.Assay)
	case d.Verdict != Keep && d.Verdict != Discard && d.Verdict != NoVerdict:
		return nil, r.refuse(BadInput, "use keep, discard or none", "%q is not a verdict", d.Verdict)
	}
	return r.record(ctx, who, DecisionMade, d.Why, func(tx *sql.Tx, event int64) error {
		return r.decide(ctx, tx, event, d)
	})
}

func (r *Registry) decide(ctx context.Context, tx *sql.Tx, event int64, d Decision) error {
	assay, _, err := r.registered(ctx, tx, d.Assay)
	if err != nil {
		return err
	}
	earlier, err := collect(ctx, tx, scanDecision, allDecisions+" WHERE a.name = ? AND d.code = ? ORDER BY d.decision_id DESC LIMIT 1", d.Assay, string(d.Code))
	if err != nil {
		return err
	}
	if len(earlier) > 0 {
		if e := earlier[0]; e.Verdict == d.Verdict && e.By == d.By && e.Why == d.Why {
			return errNothing
		}
	} else if d.Verdict == NoVerdict {
		return errNothing
	}
	id, err := nextNumber(ctx, tx, "decisions", "decision_id")
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, insertion("decisions", 7, 1), id, event, assay, string(d.Code), string(d.Verdict), d.By, d.Why)
	return err
}

// registered returns the numbers of an assay and of its newest version.
func (r *Registry) registered(ctx context.Context, db querier, name string) (id, revision int64, err error) {
	found, err := collect(ctx, db, func(rows *sql.Rows) (pair [2]int64, err error) {
		err = rows.Scan(&pair[0], &pair[1])
		return pair, err
	}, "SELECT assay_id, revision_id FROM assays JOIN assay_revisions USING (assay_id) WHERE name = ? ORDER BY number DESC LIMIT 1", name)
	if err != nil {
		return 0, 0, err
	}
	if len(found) == 0 {
		return 0, 0, r.refuse(NoSuchEntry, "check the name; upper and lower case differ", "there is no assay %q", name)
	}
	return found[0][0], found[0][1], nil
}

const allDecisions = `SELECT a.name, d.code, d.verdict, d.decided_by, d.why, e.at, d.event_id
  FROM decisions d JOIN assays a USING (assay_id) JOIN events e ON e.event_id = d.event_id`

func scanDecision(rows *sql.Rows) (d Decision, err error) {
	err = rows.Scan(&d.Assay, &d.Code, &d.Verdict, &d.By, &d.Why, &d.At, &d.Event)
	return d, err
}

// Decisions returns the decisions that stand, by assay and code.
func (r *Registry) Decisions(ctx context.Context) ([]Decision, error) {
	list, err := collect(ctx, r.db, scanDecision, allDecisions+` WHERE d.verdict <> 'none'
  AND d.decision_id = (SELECT max(decision_id) FROM decisions l WHERE l.assay_id = d.assay_id AND l.code = d.code) ORDER BY a.name, d.code`)
	return list, r.fail("reading decisions", err)
}

// AllDecisions returns every decision ever made, the oldest first.
func (r *Registry) AllDecisions(ctx context.Context) ([]Decision, error) {
	list, err := collect(ctx, r.db, scanDecision, allDecisions+" ORDER BY d.decision_id")
	return list, r.fail("reading decisions", err)
}

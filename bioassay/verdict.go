package bioassay

import (
	"fmt"
	"slices"
	"strings"
)

// Override is a recorded decision to use an assay in spite of one finding that
// would discard it or, where it discards, to rest no claim on an assay that no
// rule discards. It must say who decided, when and why.
type Override struct {
	Assay    string
	File     string      // of the assay, with or without its folder; blank where one assay alone has the name
	Code     WarningCode // of the finding that it lifts, or for which it discards
	By       string      // a person, who answers for it
	On       Date
	Why      string
	Discards bool
	Event    int64 // in the history of the registry that it stands in, 0 for one of a programme file
	Origin
}

// Check reports what a decision lacks to be a recorded one.
func (o Override) Check() error {
	var missing []string
	for _, f := range []struct{ name, value string }{
		{"assay", o.Assay}, {"code", string(o.Code)}, {"by", o.By}, {"on", o.On.String()}, {"because", o.Why},
	} {
		if strings.TrimSpace(f.value) == "" {
			missing = append(missing, f.name)
		}
	}
	if missing == nil {
		return nil
	}
	return fmt.Errorf("an override must name %s", strings.Join(missing, ", "))
}

// Verdict is what becomes of an assay. A discarded assay stays in the record
// with its reasons; no claim rests on it.
type Verdict struct {
	Assay    string
	File     string // in which the assay stands, as it was given
	Usable   bool
	Findings []Finding
	Reasons  []Finding  // the findings that discard the assay, none when it is usable
	Lifted   []Override // the recorded decisions that lifted findings
}

// Decide joins the findings on an assay with the decisions about it. A complete
// override lifts the discarding findings of its code and no others. One that
// lifts nothing is itself a finding. One that discards is a finding that nothing
// lifts, whether or not the finding that it names is there: whoever decided
// knew more than the counts.
func Decide(assay string, findings []Finding, overrides []Override) Verdict {
	v := Verdict{Assay: assay, Findings: slices.Clone(findings)}
	lifted := map[WarningCode]bool{}
	for _, o := range overrides {
		if o.Assay != assay {
			continue
		}
		if why := o.idle(findings); why != "" {
			v.Findings = append(v.Findings, o.finding(why))
			continue
		}
		if o.Discards {
			f := o.discarding()
			v.Findings, v.Reasons = append(v.Findings, f), append(v.Reasons, f)
			continue
		}
		lifted[o.Code] = true
		v.Lifted = append(v.Lifted, o)
	}
	for _, f := range findings {
		if f.Severity == Discard && !lifted[f.Code] {
			v.Reasons = append(v.Reasons, f)
		}
	}
	v.Usable = len(v.Reasons) == 0
	return v
}

// Liftable lists the findings that discard an assay and that a recorded
// decision may lift. Counts that cannot be, and an assay without a treated mite,
// leave nothing to decide about.
func Liftable() []WarningCode { return []WarningCode{ControlsFailed, CountedTwice, DosesReversed} }

// idle says why an override lifts nothing, or nothing when it lifts something.
func (o Override) idle(findings []Finding) string {
	if err := o.Check(); err != nil {
		return err.Error()
	}
	if o.Discards {
		return ""
	}
	same := func(f Finding) bool { return f.Code == o.Code }
	i := slices.IndexFunc(findings, same)
	if i < 0 {
		return fmt.Sprintf("assay %q has no finding %q", o.Assay, o.Code)
	}
	if !slices.ContainsFunc(findings, func(f Finding) bool { return same(f) && f.Severity == Discard }) {
		return fmt.Sprintf("finding %q of assay %q is a %v and discards nothing", o.Code, o.Assay, findings[i].Severity)
	}
	if !slices.Contains(Liftable(), o.Code) {
		return fmt.Sprintf("finding %q leaves nothing to decide about", o.Code)
	}
	return ""
}

// finding is that of an override that lifts nothing. It speaks of where the
// decision is recorded and leaves the assay what it is.
func (o Override) finding(why string) Finding {
	w := Warning{
		Code: IdleOverride, Message: "an override in the programme file lifts nothing: " + why,
		Cure: "correct the assay and code of the override, or delete it", Origin: o.Origin,
	}
	if o.Event > 0 {
		w.Message = fmt.Sprintf("the decision of event %d in the registry lifts nothing: %s", o.Event, why)
		w.Cure = "take it back with the verdict none, or decide on the finding that was meant"
	}
	return Finding{Severity: Note, Warning: w}
}

// discarding is the finding that an override makes of itself.
func (o Override) discarding() Finding {
	return Finding{Severity: Discard, Warning: Warning{
		Code: DecidedAgainst, Message: fmt.Sprintf("on %v %s decided to rest no claim on the assay, for the finding %s: %s", o.On, o.By, o.Code, o.Why),
		Cure: "if that no longer holds, let the person who decided take the decision back", Origin: o.Origin,
	}}
}

// Judge joins the findings on an assay, those of its kind and others such as
// those of [Duplicates], with the programme's overrides. The analysis may be
// nil. Once all assays are judged, [Settle] looks at them together.
func (p *Programme) Judge(a Assay, analysis *Analysis, others ...Finding) Verdict {
	return p.Decide(a, append(Judge(a, analysis, p.Standard(a)), others...))
}

package bioassay

import (
	"cmp"
	"fmt"
	"slices"

	"vialwise/doseresp"
)

// Severity is how grave a finding is.
type Severity uint8

// The severities, by rising gravity.
const (
	Note    Severity = iota // worth knowing, changes nothing
	Doubt                   // usable, with less trust
	Discard                 // no claim may rest on the assay
)

var severityNames = [...]string{Note: "note", Doubt: "doubt", Discard: "discard"}

// String returns "note", "doubt" or "discard".
func (s Severity) String() string { return severityNames[s] }

// Severities lists every severity, by rising gravity.
func Severities() []Severity { return []Severity{Note, Doubt, Discard} }

// Finding is a remark on the quality of an assay with its severity and the
// rule behind it.
type Finding struct {
	Warning
	Severity Severity
	Rule     Basis // zero where the finding rests on no rule set
}

// The findings on controls.
const (
	NoControls        WarningCode = "no-controls"        // doubt
	FewControls       WarningCode = "few-controls"       // doubt
	ControlsCorrected WarningCode = "controls-corrected" // note, or doubt where the fit ignores the controls
	ControlsFailed    WarningCode = "controls-failed"    // discard
)

// The findings on numbers of mites.
const (
	NoTreated       WarningCode = "no-treated"       // discard
	FewMites        WarningCode = "few-mites"        // doubt
	FewAtDose       WarningCode = "few-at-dose"      // doubt
	FewInContainer  WarningCode = "few-in-container" // note
	Crowded         WarningCode = "crowded"          // note
	UnequalNumbers  WarningCode = "unequal-numbers"  // note
	ManyMissing     WarningCode = "many-missing"     // doubt
	ImpossibleCount WarningCode = "impossible-count" // discard
)

// The findings on the series of doses.
const (
	FewDoses       WarningCode = "few-doses"       // doubt
	FewPartials    WarningCode = "few-partials"    // doubt
	WideSteps      WarningCode = "wide-steps"      // doubt
	OneSided       WarningCode = "one-sided"       // doubt
	DosesReversed  WarningCode = "doses-reversed"  // discard
	MortalityFalls WarningCode = "mortality-falls" // doubt
	MortalityDips  WarningCode = "mortality-dips"  // doubt
	ContainersVary WarningCode = "containers-vary" // doubt, single concentrations only
	SeriesMismatch WarningCode = "series-mismatch" // doubt
	ControlsExceed WarningCode = "controls-exceed" // doubt, more died untreated than treated
)

// The findings on the record.
const (
	NoProtocol       WarningCode = "no-protocol"       // note
	UnknownProtocol  WarningCode = "unknown-protocol"  // doubt
	NoUnit           WarningCode = "no-unit"           // note
	UnclearUnit      WarningCode = "unclear-unit"      // doubt
	UnitMismatch     WarningCode = "unit-mismatch"     // doubt, or note where it converts
	ExposureMismatch WarningCode = "exposure-mismatch" // doubt
	ReadingMismatch  WarningCode = "reading-mismatch"  // doubt
	DeathMismatch    WarningCode = "death-mismatch"    // doubt
	NotBlind         WarningCode = "not-blind"         // doubt
	BlindUnanswered  WarningCode = "blind-unanswered"  // note
	AfterFailure     WarningCode = "after-failure"     // doubt
	UnknownReason    WarningCode = "unknown-reason"    // note
	TestedLate       WarningCode = "tested-late"       // note
	DatesReversed    WarningCode = "dates-reversed"    // doubt
	SameContainer    WarningCode = "same-container"    // doubt
	SameName         WarningCode = "same-name"         // doubt
	SameCounts       WarningCode = "same-counts"       // doubt
	CountedTwice     WarningCode = "counted-twice"     // discard
	IdleOverride     WarningCode = "idle-override"     // note, on the programme file or a decision of the registry
	DecidedAgainst   WarningCode = "decided-against"   // discard, a recorded decision
)

// judgement is an assay on its way to its findings.
type judgement struct {
	Standard
	assay    Assay
	analysis *Analysis // nil when there is none
	moribund Moribund
	counts   []doseresp.Container
	control  doseSum
	doses    []doseSum // of the treated containers that hold mites, by rising dose
	findings []Finding
}

// Judge returns what is to be said of the quality of one assay, gravest first.
// The analysis may be nil: an assay that cannot be fitted is judged all the
// same. Impossible counts keep the rules on numbers from being applied.
func Judge(a Assay, analysis *Analysis, s Standard) []Finding {
	j := &judgement{Standard: s, assay: a, analysis: analysis}
	switch {
	case analysis != nil:
		j.moribund = analysis.Moribund
	case s.Protocol != nil:
		j.moribund = s.Protocol.Moribund
	}
	if j.judgeCounts() {
		j.counts = a.Counts(j.moribund)
		j.control, j.doses = sumByDose(j.counts)
		j.judgeControls()
		j.judgeNumbers()
		j.judgeContainers()
		j.judgeSeries()
		j.judgeTrend()
	}
	j.judgeProtocol()
	j.judgeRecord()
	slices.SortStableFunc(j.findings, func(a, b Finding) int { return cmp.Compare(b.Severity, a.Severity) })
	return j.findings
}

// add records a finding on the assay as a whole.
func (j *judgement) add(severity Severity, code WarningCode, rule Basis, cure, format string, args ...any) {
	j.addAt(j.origin(), severity, code, rule, cure, format, args...)
}

func (j *judgement) addAt(at Origin, severity Severity, code WarningCode, rule Basis, cure, format string, args ...any) {
	j.findings = append(j.findings, Finding{
		Severity: severity, Rule: rule,
		Warning: Warning{Code: code, Message: fmt.Sprintf(format, args...), Cure: cure, Origin: at},
	})
}

// origin is where the assay begins.
func (j *judgement) origin() Origin {
	if len(j.assay.Containers) == 0 {
		return Origin{}
	}
	return j.assay.Containers[0].Source
}

// one reports whether the treated mites all met one dose.
func (j *judgement) one() bool { return len(j.doses) == 1 }

// unit is the unit of the assay with a space before it, or nothing.
func (j *judgement) unit() string {
	if j.assay.Unit == "" {
		return ""
	}
	return " " + j.assay.Unit
}

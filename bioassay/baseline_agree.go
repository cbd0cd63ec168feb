package bioassay

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Mismatch is a field in which two assays must agree to be compared, and do
// not, or may not.
type Mismatch struct {
	Field string // as in the count table: acaricide, protocol, unit, exposure_h or reading_h
	A, B  string // the values as entered, blank where not recorded
}

// Unknown says that one of the values was not recorded, so that the two may
// agree or not.
func (m Mismatch) Unknown() bool { return m.A == "" || m.B == "" }

// comparedField is one of the fields in which assays must agree.
type comparedField struct {
	name  string
	value func(Assay) string
	same  func(a, b string) bool
}

var comparedFields = []comparedField{
	{"acaricide", func(a Assay) string { return a.Acaricide }, sameWord},
	{"protocol", func(a Assay) string { return a.Protocol }, sameWord},
	{"unit", func(a Assay) string { return a.Unit }, SameUnit},
	{"exposure_h", func(a Assay) string { return hoursText(a.ExposureHours) }, hoursAgree},
	{"reading_h", func(a Assay) string { return hoursText(a.ReadingHours) }, hoursAgree},
}

func sameWord(a, b string) bool {
	return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}

// hoursText writes hours, blank where not recorded.
func hoursText(h Optional) string {
	if !h.Known {
		return ""
	}
	return strconv.FormatFloat(h.Value, 'g', -1, 64)
}

// hoursAgree compares what hoursText wrote; a minute makes no difference.
func hoursAgree(a, b string) bool {
	const minute = 1.0 / 60
	x, _ := strconv.ParseFloat(a, 64)
	y, _ := strconv.ParseFloat(b, 64)
	return math.Abs(x-y) <= minute
}

// Mismatches lists the fields in which two assays disagree or, with a blank on
// one side, may. A field that neither records is not listed. Units agree where
// the same number means the same, so in ug/mL and mg/L.
func Mismatches(a, b Assay) []Mismatch {
	var out []Mismatch
	for _, f := range comparedFields {
		m := Mismatch{f.name, strings.TrimSpace(f.value(a)), strings.TrimSpace(f.value(b))}
		if m.A == "" && m.B == "" || !m.Unknown() && f.same(m.A, m.B) {
			continue
		}
		out = append(out, m)
	}
	return out
}

// ErrNotComparable is wrapped by the error of assays whose doses do not mean
// the same.
var ErrNotComparable = errors.New("the assays cannot be compared")

// NotComparableError names the first field in which two assays disagree. It
// wraps ErrNotComparable.
type NotComparableError struct {
	Mismatch
	AssayA, AssayB string
	OriginA        Origin // first container of the assay
	OriginB        Origin
}

// Error names both assays, the field and its values, and the remedy.
func (e *NotComparableError) Error() string {
	return fmt.Sprintf("assays %s and %s differ in %s, %q and %q: %s",
		located(e.AssayA, e.OriginA), located(e.AssayB, e.OriginB), e.Field, e.A, e.B, remedies[e.Field])
}

// Unwrap makes errors.Is(err, ErrNotComparable) true.
func (e *NotComparableError) Unwrap() error { return ErrNotComparable }

var remedies = map[string]string{
	"acaricide":  "compare assays of one acaricide",
	"protocol":   "a ratio of doses between protocols means nothing; compare assays of one protocol",
	"unit":       "write the concentrations of both in one unit",
	"exposure_h": "compare assays of one exposure time, or correct the entry",
	"reading_h":  "compare assays read after the same time, or correct the entry",
}

// located is the quoted name of an assay with the place where it begins.
func located(name string, o Origin) string {
	switch {
	case o.File != "" && o.Line > 0:
		return fmt.Sprintf("%q (%s:%d)", name, o.File, o.Line)
	case o.File != "":
		return fmt.Sprintf("%q (%s)", name, o.File)
	}
	return strconv.Quote(name)
}

// origin is where the first container of the assay was read.
func (a Assay) origin() Origin {
	if len(a.Containers) == 0 {
		return Origin{}
	}
	return a.Containers[0].Source
}

// Comparable returns a *NotComparableError where two assays disagree in a
// field that decides what a dose means, and else a warning for every field
// that only one of them records.
func Comparable(a, b Assay) ([]Warning, error) {
	var warnings []Warning
	for _, m := range Mismatches(a, b) {
		if !m.Unknown() {
			return nil, &NotComparableError{m, a.Name, b.Name, a.origin(), b.origin()}
		}
		silent, speaking, value := a, b, m.B
		if m.B == "" {
			silent, speaking, value = b, a, m.A
		}
		warnings = append(warnings, Warning{
			Code:    WarnFieldUnknown,
			Message: fmt.Sprintf("assay %q records no %s; it is taken to be %s, as in assay %q", silent.Name, m.Field, value, speaking.Name),
			Cure:    "record it in the table; with another value the assays could not be compared",
			Origin:  silent.origin(),
		})
	}
	return warnings, nil
}

// WarnFieldUnknown says that a field which decides whether assays may be
// compared is recorded in one of them alone.
const WarnFieldUnknown WarningCode = "field-unknown"

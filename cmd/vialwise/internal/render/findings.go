package render

import (
	"slices"

	"vialwise/bioassay"
)

// Finding is one thing to know about an assay. Its Severity is discard, override,
// doubt, remark or note, in this order of gravity: a remark comes from the
// computation, the others from the quality rules and from decisions about them.
type Finding struct {
	Severity, Code, Message, Cure string
	Rule                          string // the rule set with its source; blank where it rests on none
}

// severityOrder sorts findings, gravest first.
var severityOrder = []string{"discard", "override", "doubt", "remark", "note"}

// FindingsOf joins what the quality rules say of an assay with the remarks of the
// computation. A remark that a rule makes too is left to the rule.
func FindingsOf(verdict *bioassay.Verdict, remarks ...[]bioassay.Warning) []Finding {
	var out []Finding
	said := map[bioassay.WarningCode]bool{}
	if verdict != nil {
		for _, f := range verdict.Findings {
			said[f.Code] = true
			rule := ""
			if f.Rule != (bioassay.Basis{}) {
				rule = f.Rule.String()
			}
			out = append(out, Finding{f.Severity.String(), string(f.Code), f.Message, f.Cure, rule})
		}
		for _, o := range verdict.Lifted {
			out = append(out, Finding{"override", string(o.Code), "used all the same, as " + o.By + " decided on " + o.On.String() + ": " + o.Why, "", ""})
		}
	}
	for _, list := range remarks {
		for _, w := range list {
			if !said[w.Code] {
				out = append(out, Finding{"remark", string(w.Code), w.Message, w.Cure, ""})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Finding) int {
		return slices.Index(severityOrder, a.Severity) - slices.Index(severityOrder, b.Severity)
	})
	return out
}

// Findings are those on an assay of the answer.
func (f *Fits) Findings(a *bioassay.Analysis) []Finding {
	return FindingsOf(f.Verdicts.of(a.Assay), a.Warnings)
}

// Findings are those on a population and its comparison, without those that the
// notes of the tables say once for all.
func (c *Comparisons) Findings(r *bioassay.Comparison) []Finding {
	own := slices.DeleteFunc(slices.Clone(r.Warnings), func(w bioassay.Warning) bool { return slices.Contains(inNotes, w.Code) })
	return FindingsOf(r.Verdict, own, r.Field.Warnings)
}

// BaselineFindings are those on an assay of a baseline.
func (c *Comparisons) BaselineFindings(a *bioassay.Analysis) []Finding {
	return FindingsOf(c.Verdicts.of(a.Assay), a.Warnings)
}

// Findings are those on an assay of a baseline.
func (b *Baselines) Findings(a *bioassay.Analysis) []Finding {
	return FindingsOf(b.Verdicts.of(a.Assay), a.Warnings)
}

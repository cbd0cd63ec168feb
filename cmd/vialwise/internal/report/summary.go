package report

import (
	"fmt"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
)

// fitSummary tells in plain words what was tested and what was found.
func fitSummary(f *render.Fits, parts []part) []string {
	mites, controls, lines, posterior := 0, 0, 0, 0
	var actives []string
	for _, a := range f.Analyses {
		mites += a.Fit.TreatedExposed
		controls += a.Fit.ControlExposed
		if a.Fit.Status == doseresp.Converged {
			lines++
		}
		if a.Limits.Fallback {
			posterior++
		}
		actives = appendNew(actives, a.Assay.Acaricide)
	}
	tested := fmt.Sprintf("Tested: %s, %s and %s.", bioassay.Plural(len(f.Analyses), "assay"), bioassay.Plural(mites, "treated mite"), bioassay.Plural(controls, "untreated one"))
	if len(actives) > 0 {
		tested = strings.TrimSuffix(tested, ".") + ", with " + bioassay.Listed(actives) + "."
	}
	found := fmt.Sprintf("Found: a dose-response line in %d of %s.", lines, bioassay.Plural(len(f.Analyses), "assay"))
	if posterior > 0 {
		found += fmt.Sprintf(" In %d the fiducial limits have no bound; there the limits of a posterior stand, marked †.", posterior)
	}
	return compact(tested, found, qualityWords(parts))
}

// qualityWords counts the verdicts.
func qualityWords(parts []part) string {
	n := map[string]int{}
	for _, p := range parts {
		n[p.verdict]++
	}
	var words []string
	for _, k := range []struct{ word, say string }{
		{wordUsable, "usable without a doubt"}, {wordDoubtful, "usable with doubts"},
		{wordOverridden, "used by a recorded decision"}, {wordDiscarded, "discarded, on which no claim may rest"},
	} {
		if n[k.word] > 0 {
			words = append(words, fmt.Sprintf("%d %s", n[k.word], k.say))
		}
	}
	if words == nil {
		return ""
	}
	return "Quality, by the rules named with each finding: " + strings.Join(words, ", ") + "."
}

// signs are the names of populations by what their ratio at LC50 says, and of those
// with a resistant part.
type signs struct{ beyond, greater, smaller, unclear, parts []string }

// fractionLevel is the probability, adjusted for the number of tests, below which a
// summary speaks of a resistant part.
const fractionLevel = 0.05

func (s *signs) add(r *bioassay.Comparison) {
	name := r.Field.Assay.Name
	if f := r.Fraction; f != nil && f.Identified && !r.WholeShift && r.Adjusted.Fraction < fractionLevel {
		s.parts = append(s.parts, name)
	}
	i := slices.IndexFunc(r.Ratios, func(x bioassay.RatioAt) bool { return x.Percent == 50 })
	if i < 0 {
		return
	}
	switch x := r.Ratios[i]; {
	case x.Difference == doseresp.Greater && x.Natural == bioassay.NaturalBeyond:
		s.beyond = append(s.beyond, name)
	case x.Difference == doseresp.Greater:
		s.greater = append(s.greater, name)
	case x.Difference == doseresp.Smaller:
		s.smaller = append(s.smaller, name)
	case x.Difference == doseresp.Undecided:
		s.unclear = append(s.unclear, name)
	}
}

func (s *signs) count() int {
	return len(s.beyond) + len(s.greater) + len(s.smaller) + len(s.unclear)
}

// compareSummary tells what was compared with what, and what was found.
func compareSummary(c *render.Comparisons, parts []part) []string {
	var names []string
	for _, b := range c.Baselines {
		names = append(names, b.Name)
	}
	mites := 0
	var s signs
	for _, r := range c.Compared {
		mites += r.Field.Fit.TreatedExposed
		s.add(r)
	}
	return compact(
		fmt.Sprintf("Compared: %s with %s, against %s: %s.", bioassay.Plural(len(c.Compared), "population sample"), bioassay.Plural(mites, "treated mite"), bioassay.Plural(len(names), "baseline"), strings.Join(names, "; ")),
		listed("LC50 above the baseline and beyond the variation among susceptible populations", s.beyond),
		listed("LC50 above the baseline, but within that variation or without knowledge of it", s.greater),
		listed("LC50 below the baseline", s.smaller),
		listed("Too few counts to tell a difference", s.unclear),
		listed("A resistant part shows after allowing for the number of tests", s.parts),
		withoutSigns(len(c.Compared), s.count()),
		refusedWords(c.Refused),
		qualityWords(parts),
	)
}

func withoutSigns(all, signs int) string {
	if all == signs {
		return ""
	}
	return fmt.Sprintf("In %d of %d LC50 is not told apart from the baseline's. That is no proof of susceptibility: a small resistant part shows late in LC50.", all-signs, all)
}

func refusedWords(refused []bioassay.Refusal) string {
	if len(refused) == 0 {
		return ""
	}
	return fmt.Sprintf("Not compared: %s, listed with the reason below.", bioassay.Plural(len(refused), "assay"))
}

// listedMost is the number of names in a sentence.
const listedMost = 12

func listed(what string, names []string) string {
	if len(names) == 0 {
		return ""
	}
	shown := names
	more := ""
	if len(names) > listedMost {
		shown, more = names[:listedMost], fmt.Sprintf(" and %d more", len(names)-listedMost)
	}
	return fmt.Sprintf("%s (%d): %s%s.", what, len(names), strings.Join(shown, ", "), more)
}

func appendNew(list []string, s string) []string {
	if s == "" || slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

func compact(paragraphs ...string) []string {
	return slices.DeleteFunc(paragraphs, func(s string) bool { return s == "" })
}

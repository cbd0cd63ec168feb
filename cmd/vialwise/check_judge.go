package main

import (
	"fmt"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
)

// standard is what all assays of one protocol are held to.
type standard struct {
	bioassay.Standard
	moribund bioassay.Moribund
}

// standardOf returns it for an assay, made once for each protocol.
func (c *checker) standardOf(a *bioassay.Assay) standard {
	s, ok := c.standards[a.Protocol]
	if ok {
		return s
	}
	s = standard{Standard: c.programme.Standard(*a)}
	if s.Protocol != nil {
		s.moribund = s.Protocol.Moribund
	}
	switch c.flags.moribund {
	case "dead":
		s.moribund = bioassay.MoribundDead
	case "alive":
		s.moribund = bioassay.MoribundAlive
	}
	c.standards[a.Protocol] = s
	return s
}

// judge adds an assay with its verdict to the report.
func (c *checker) judge(a bioassay.Assay) {
	s := c.standardOf(&a)
	findings := bioassay.Judge(a, c.fit(a, s.moribund), s.Standard)
	findings = append(findings, c.twice.Add(a)...)
	for i := range findings {
		f := &findings[i]
		f.Message, f.Cure = c.keep(f.Message), c.keep(f.Cure)
	}
	v := c.programme.Decide(a, findings)
	sortFindings(v.Findings)
	single, _ := bioassay.NewSingle(a, s.moribund, s.Rules, checkLevel)
	c.report.Assays = append(c.report.Assays, render.NewCheckedAssay(len(c.report.Files), a, s.Rules.Name, s.moribund, v, single))
}

// sortFindings puts the gravest first.
func sortFindings(list []bioassay.Finding) {
	slices.SortStableFunc(list, func(x, y bioassay.Finding) int { return int(y.Severity) - int(x.Severity) })
}

// fit fits the line that some findings look at. It is the plain one, of some
// microseconds, for none of them looks at limits.
func (c *checker) fit(a bioassay.Assay, moribund bioassay.Moribund) *bioassay.Analysis {
	r := new(doseresp.Result)
	if err := c.fitter.Fit(a.Counts(moribund), doseresp.Options{Percents: []float64{50}}, r); err != nil {
		return nil // counts that contradict each other are findings of their own
	}
	return &bioassay.Analysis{Assay: a, Moribund: moribund, Fit: r}
}

const mostKept = 20_000 // texts of which one copy serves all findings

// keep returns an equal text, the same for equal ones.
func (c *checker) keep(s string) string {
	if k, ok := c.texts[s]; ok {
		return k
	}
	if len(c.texts) < mostKept {
		c.texts[s] = s
	}
	return s
}

// answer completes the report.
func (c *checker) answer() *render.Check {
	if len(c.programme.Overrides) > 0 {
		verdicts := make([]bioassay.Verdict, len(c.report.Assays))
		for i := range c.report.Assays {
			verdicts[i] = c.report.Assays[i].Verdict
		}
		c.programme.Settle(verdicts)
		for i := range c.report.Assays {
			sortFindings(verdicts[i].Findings)
			c.report.Assays[i].Verdict = verdicts[i]
		}
		c.report.Idle = c.programme.IdleOverrides(verdicts)
	}
	used := map[string]bool{}
	for _, a := range c.report.Assays {
		used[a.Rules] = true
	}
	for _, r := range c.programme.RuleSets {
		for rules := range used {
			if slices.Contains(strings.Split(rules, ruleJoint), r.Name) {
				c.report.RuleSets = append(c.report.RuleSets, r)
				break
			}
		}
	}
	return c.report
}

// ruleJoint stands between the names of joined rule sets.
const ruleJoint = " + "

// addRules adds the rule sets of the command line to those of every protocol.
// Of the protocol's own, those that rule on the same thing give way.
func (c *checker) addRules() error {
	if len(c.flags.rules) == 0 {
		return nil
	}
	if _, err := c.programme.Rules(c.flags.rules); err != nil {
		var names []string
		for _, r := range c.programme.RuleSets {
			names = append(names, r.Name)
		}
		return usageError{fmt.Errorf("--rules: %w; the rule sets are %s", err, strings.Join(names, ", "))}
	}
	c.programme.Fallback = c.joined(c.programme.Fallback)
	for i := range c.programme.Protocols {
		p := &c.programme.Protocols[i]
		p.RuleSets = c.joined(p.RuleSets)
	}
	return nil
}

// joined returns the rule sets of the command line with those of the others
// that rule on nothing that is ruled on already.
func (c *checker) joined(others []string) []string {
	names := slices.Clone(c.flags.rules)
	for _, name := range others {
		if more := append(slices.Clone(names), name); c.agree(more) {
			names = more
		}
	}
	return names
}

func (c *checker) agree(names []string) bool {
	_, err := c.programme.Rules(names)
	return err == nil
}

package render

import (
	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

func newCheckJSON(c *Check) checkJSON {
	out := checkJSON{
		Software: softwareJSON{"vialwise", c.Version}, Programme: c.Programme, Moribund: c.Moribund, Level: number(c.Level),
		Summary: tallyJSON(c.Tally()), RuleSets: []ruleSetJSON{}, Idle: findingsJSON(c.Idle), Files: []checkedFileJSON{},
	}
	for _, r := range c.RuleSets {
		out.RuleSets = append(out.RuleSets, ruleSetJSON{r.Name, r.Title, r.Source, r.Borrowed})
	}
	for i, t := range c.tallies() {
		out.Files = append(out.Files, newCheckedFileJSON(&c.Files[i], t))
	}
	return out
}

func newCheckedFileJSON(f *CheckedFile, t Tally) checkedFileJSON {
	out := checkedFileJSON{File: f.File, Summary: tallyJSON(t), Errors: tableErrorsJSON(f.Errors), Warnings: warningsJSON(f.Warnings), Hint: f.Hint}
	if f.SHA256 != "" {
		out.SHA256 = &f.SHA256
	}
	if k := f.Cleaned; k != nil {
		out.Cleaned = &cleanedJSON{k.Copy, k.List, k.Changes, k.Note}
	}
	return out
}

func tableErrorsJSON(errs tables.Errors) []tableErrorJSON {
	out := []tableErrorJSON{}
	for _, e := range errs {
		out = append(out, tableErrorJSON{string(e.Code), e.Sheet, e.Line, e.Column, e.Name, e.Found, e.Message, e.Remedy})
	}
	return out
}

func newCheckedAssayJSON(a *CheckedAssay) checkedAssayJSON {
	out := checkedAssayJSON{
		File: a.At.File, Line: a.At.Line, Assay: a.Name, Apiary: a.Apiary, Population: a.Population, Role: a.Role.String(),
		CollectedOn: a.CollectedOn.String(), TestedOn: a.TestedOn.String(), Acaricide: a.Acaricide, Protocol: a.Protocol, Unit: a.Unit,
		Containers: a.Containers, Treated: a.Treated, Controls: a.Controls, Missing: a.Missing, Rules: a.Rules,
		Verdict: a.class(), Usable: a.Verdict.Usable, Reasons: []string{},
		Overrides: overridesJSON(a.Verdict.Lifted), Findings: findingsJSON(a.Verdict.Findings), Single: newSingleJSON(a.Single),
	}
	for _, f := range a.Verdict.Reasons {
		out.Reasons = append(out.Reasons, string(f.Code))
	}
	return out
}

func newSingleJSON(s *bioassay.Single) *singleJSON {
	if s == nil {
		return nil
	}
	out := &singleJSON{
		Concentration: number(s.Dose), Exposed: s.Exposed, Dead: s.Dead, Survivors: s.Survivors,
		Survival: newProportionJSON(s.Survival), Mortality: newProportionJSON(s.Mortality), NoClass: s.NoClass, Statement: s.Statement,
	}
	if s.HasCorrected {
		corrected := newProportionJSON(s.Corrected)
		out.Corrected = &corrected
	}
	if k := s.Class; k != nil {
		out.Class = &singleClassJSON{k.Class, k.Lowest, k.Highest, k.At, k.Corrected, k.Name, k.Source, k.Borrowed}
	}
	return out
}

func newProportionJSON(p bioassay.Proportion) intervalJSON {
	return intervalJSON{number(p.Estimate), number(p.Lower), number(p.Upper)}
}

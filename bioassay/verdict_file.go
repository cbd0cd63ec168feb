package bioassay

import (
	"fmt"
	"path"
	"path/filepath"
	"slices"
)

// Decide joins findings on an assay with the programme's overrides. An override
// that names a file is about the assay of that file alone; one that does not is
// about none while another assay of the name is known.
func (p *Programme) Decide(a Assay, findings []Finding) Verdict {
	twin := slices.ContainsFunc(findings, func(f Finding) bool { return f.Code == SameName })
	findings = slices.Clip(findings)
	var about []Override
	for _, o := range p.Overrides {
		switch {
		case !o.isOf(a.Name, a.File()):
		case o.File == "" && twin && !o.Discards && o.idle(findings) == "":
			findings = append(findings, o.contested())
		default:
			about = append(about, o)
		}
	}
	v := Decide(a.Name, findings, about)
	v.File = a.File()
	return v
}

// isOf reports whether an override is about an assay of this name in this file.
func (o Override) isOf(assay, file string) bool {
	if o.Assay != assay {
		return false
	}
	file, wanted := slashed(file), slashed(o.File)
	return o.File == "" || wanted == file || wanted == path.Base(file)
}

// slashed is a path in one spelling for all systems.
func slashed(file string) string { return path.Clean(filepath.ToSlash(file)) }

// Settle takes back every override that lifts findings of several assays: it
// was one decision about one of them, and nobody wrote down which. The verdicts
// are those on all assays of a run. An assay that is there twice with the same
// counts is one.
func (p *Programme) Settle(verdicts []Verdict) {
	for _, o := range p.Overrides {
		if lifts := o.liftsIn(verdicts); len(lifts) > 1 {
			for i := range verdicts {
				if o.isOf(verdicts[i].Assay, verdicts[i].File) {
					verdicts[i].takeBack(o)
				}
			}
		}
	}
}

// liftsIn returns the verdicts whose findings an override would lift.
func (o Override) liftsIn(verdicts []Verdict) (at []int) {
	if o.Discards {
		return nil
	}
	for i, v := range verdicts {
		again := o.Code != CountedTwice && slices.ContainsFunc(v.Findings, func(f Finding) bool { return f.Code == CountedTwice })
		if o.isOf(v.Assay, v.File) && !again && o.idle(v.Findings) == "" {
			at = append(at, i)
		}
	}
	return at
}

// takeBack undoes an override that lifts a finding, and says so.
func (v *Verdict) takeBack(o Override) {
	if o.idle(v.Findings) != "" {
		return
	}
	v.Lifted = slices.DeleteFunc(slices.Clone(v.Lifted), func(other Override) bool { return other == o })
	v.Reasons = nil
	for _, f := range v.Findings {
		lifted := slices.ContainsFunc(v.Lifted, func(o Override) bool { return o.Code == f.Code })
		if f.Severity == Discard && !lifted {
			v.Reasons = append(v.Reasons, f)
		}
	}
	v.Usable = len(v.Reasons) == 0
	if said := o.contested(); !slices.Contains(v.Findings, said) {
		v.Findings = append(slices.Clip(v.Findings), said)
	}
}

// contested is the finding on an override that several assays could claim.
func (o Override) contested() Finding {
	f := o.finding(fmt.Sprintf("another file has an assay %q too, and the override does not say which of them it is about", o.Assay))
	f.Cure = `add the file of the assay, such as file = "labA.csv", with its folder where two files have one name`
	return f
}

// IdleOverrides returns a finding for every override of an assay that none of
// the verdicts is about.
func (p *Programme) IdleOverrides(verdicts []Verdict) []Finding {
	var out []Finding
	for _, o := range p.Overrides {
		if slices.ContainsFunc(verdicts, func(v Verdict) bool { return o.isOf(v.Assay, v.File) }) {
			continue
		}
		why := fmt.Sprintf("there is no assay %q", o.Assay)
		if o.File != "" {
			why += fmt.Sprintf(" in a file %q", o.File)
		}
		out = append(out, o.finding(why))
	}
	return out
}

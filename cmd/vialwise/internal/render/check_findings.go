package render

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"vialwise/bioassay"
)

// discardedTable says of every discarded assay why.
func discardedTable(c *Check) *table {
	t := &table{title: "Discarded assays"}
	t.assayColumns(c)
	t.prose("Reason", 48)
	t.prose("Cure", 40)
	t.column("Rule set", false)
	left := newLeftOut(mostAssays)
	for i := range c.Assays {
		a := &c.Assays[i]
		for _, f := range a.Verdict.Reasons {
			if !left.out(string(f.Code)) {
				t.rows = append(t.rows, append(c.assayCells(a), string(f.Code)+": "+f.Message, f.Cure, orAbsent(f.Rule.Name)))
			}
		}
	}
	t.notes = append([]string{"They stay in the record. The findings " + listOr(bioassay.Liftable()) +
		" can be overridden by a decision in a programme file that says who decided, when and why."}, left.notes()...)
	return t
}

// listOr joins words with "or".
func listOr[T ~string](words []T) string {
	list := make([]string, len(words))
	for i, w := range words {
		list[i] = string(w)
	}
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " or " + list[len(list)-1]
}

// overriddenTable names the decisions by which assays are used after all.
func overriddenTable(c *Check) *table {
	t := &table{title: "Overridden by a recorded decision"}
	t.assayColumns(c)
	t.prose("Finding", 40)
	t.column("By", false)
	t.column("On", false)
	t.prose("Because", 40)
	for i := range c.Assays {
		a := &c.Assays[i]
		for _, o := range a.Verdict.Lifted {
			t.rows = append(t.rows, append(c.assayCells(a), a.lifted(o), o.By, o.On.String(), o.Why))
		}
	}
	return t
}

// lifted says what a decision overrides.
func (a *CheckedAssay) lifted(o bioassay.Override) string {
	for _, f := range a.Verdict.Findings {
		if f.Code == o.Code && f.Severity == bioassay.Discard {
			return string(f.Code) + ": " + f.Message
		}
	}
	return string(o.Code)
}

// assayColumns adds the columns that name an assay.
func (t *table) assayColumns(c *Check) {
	if len(c.Files) > 1 {
		t.column("File", false)
	}
	t.column("Assay", false)
}

func (c *Check) assayCells(a *CheckedAssay) []string {
	if len(c.Files) > 1 {
		return []string{ShownInput(a.At.File), a.Name}
	}
	return []string{a.Name}
}

// found is one finding with all assays that it is about.
type found struct {
	bioassay.Finding
	names []string
	more  int // assays that are not named
}

// findingTable lists the findings of one severity, code by code; a finding that
// several assays share stands once.
func findingTable(c *Check, s bioassay.Severity) *table {
	t := &table{title: map[bioassay.Severity]string{bioassay.Doubt: "Doubts", bioassay.Note: "Notes"}[s]}
	t.column("Code", false)
	t.prose("Assay", 24)
	t.prose("What was found", 44)
	t.prose("Cure", 40)
	t.column("Rule set", false)
	list, left := gatherFindings(c, s)
	for i, f := range list {
		code := string(f.Code)
		if i > 0 && list[i-1].Code == f.Code {
			code = ""
		}
		names := strings.Join(f.names, "; ")
		if f.more > 0 {
			names += fmt.Sprintf("; and %d more", f.more)
		}
		t.rows = append(t.rows, []string{code, names, f.Message, f.Cure, orAbsent(f.Rule.Name)})
	}
	t.notes = left.notes()
	return t
}

// gatherFindings collects the distinct findings of a severity, code by code in
// the order of their first mention, a few of each code.
func gatherFindings(c *Check, s bioassay.Severity) ([]*found, *leftOut) {
	type key struct {
		code          bioassay.WarningCode
		message, cure string
	}
	shown := map[key]*found{}
	rank := map[bioassay.WarningCode]int{}
	left := newLeftOut(mostFindings)
	var list []*found
	take := func(f bioassay.Finding, name string) {
		k := key{f.Code, f.Message, f.Cure}
		if known := shown[k]; known != nil {
			known.add(name)
			return
		}
		if _, ok := rank[f.Code]; !ok {
			rank[f.Code] = len(rank)
		}
		if left.out(string(f.Code)) {
			return
		}
		shown[k] = &found{f, []string{name}, 0}
		list = append(list, shown[k])
	}
	for i := range c.Assays {
		for _, f := range c.Assays[i].Verdict.Findings {
			if f.Severity == s {
				take(f, c.Assays[i].Name)
			}
		}
	}
	for _, f := range c.Idle {
		if f.Severity == s {
			take(f, absent)
		}
	}
	slices.SortStableFunc(list, func(a, b *found) int { return cmp.Compare(rank[a.Code], rank[b.Code]) })
	return list, left
}

func (f *found) add(name string) {
	switch {
	case slices.Contains(f.names, name):
	case len(f.names) < mostNames:
		f.names = append(f.names, name)
	default:
		f.more++
	}
}

// verdictTable has a row for each assay, or, of very many, for the first ones
// of each class, the gravest class first.
func verdictTable(c *Check) *table {
	t := &table{title: "Assays"}
	t.assayColumns(c)
	t.column("Line", true)
	t.column("Acaricide", false)
	t.column("Treated", true)
	t.column("Control", true)
	t.column("Verdict", false)
	t.prose("Doubts", 50)
	for _, i := range c.chosen(mostAssays) {
		a := &c.Assays[i]
		t.rows = append(t.rows, append(c.assayCells(a), wholeOrBlank(a.At.Line), orAbsent(a.Acaricide),
			fmt.Sprintf("%d/%d", a.Treated.Dead, a.Treated.Exposed), a.controlCell(), a.class(), doubtCodes(a)))
	}
	t.notes = []string{"Treated, Control: dead/exposed, missing mites left out."}
	if n := len(c.Assays) - mostAssays; n > 0 {
		t.notes = append(t.notes, fmt.Sprintf("Not shown: %d more assays, none of them graver than those above. %s", n, allElsewhere))
	}
	return t
}

func (a *CheckedAssay) controlCell() string {
	if a.Controls.Containers == 0 {
		return absent
	}
	return fmt.Sprintf("%d/%d", a.Controls.Dead, a.Controls.Exposed)
}

// chosen returns the numbers of at most so many assays in their order, of more
// those of the gravest classes.
func (c *Check) chosen(most int) []int {
	classes := []string{discarded, overridden, doubtful, usable}
	of := make([][]int, len(classes))
	for i := range c.Assays {
		n := slices.Index(classes, c.Assays[i].class())
		of[n] = append(of[n], i)
	}
	list := slices.Concat(of...)
	list = list[:min(most, len(list))]
	slices.Sort(list)
	return list
}

// doubtCodes lists the codes of doubts and of what discards.
func doubtCodes(a *CheckedAssay) string {
	var codes []string
	for _, f := range a.Verdict.Findings {
		if code := string(f.Code); f.Severity > bioassay.Note && !slices.Contains(codes, code) {
			codes = append(codes, code)
		}
	}
	return strings.Join(codes, " ")
}

// singleTable shows what assays at a single concentration tell.
func singleTable(c *Check) *table {
	t := &table{title: "Single concentrations"}
	t.assayColumns(c)
	t.column("Concentration", true)
	t.column("Survivors", true)
	level := percent(c.Level)
	t.column("Survival % ("+level+")", true)
	t.column("Mortality % ("+level+")", true)
	t.column("Corrected % ("+level+")", true)
	t.prose("Class", 36)
	t.column("Rule set", false)
	left := newLeftOut(mostAssays)
	for i := range c.Assays {
		a := &c.Assays[i]
		if a.Single == nil || left.out("single concentrations") {
			continue
		}
		t.rows = append(t.rows, append(c.assayCells(a), singleCells(a.Single)...))
	}
	t.notes = append([]string{"Limits are exact (Clopper-Pearson). Corrected: for the mortality of the controls, with limits that carry their uncertainty. " +
		"A class holds at the concentration that its rule set was made for and at no other; a rule set made for other animals is a borrowed yardstick. " + laboratoryCaution}, left.notes()...)
	return t
}

func singleCells(s *bioassay.Single) []string {
	corrected := absent
	if s.HasCorrected {
		corrected = proportionCell(s.Corrected)
	}
	concentration := dose(s.Dose)
	if s.Unit != "" {
		concentration += " " + s.Unit
	}
	class, rule := s.NoClass, absent
	if k := s.Class; k != nil {
		class, rule = classCell(k), k.Name
		if k.Borrowed != "" {
			rule += ", borrowed from " + k.Borrowed
		}
	}
	return []string{concentration, fmt.Sprintf("%d/%d", s.Survivors, s.Exposed), proportionCell(s.Survival), proportionCell(s.Mortality), corrected, class, rule}
}

// classCell says the class, and how far the limits reach.
func classCell(k *bioassay.SingleClass) string {
	cell := k.Class
	if !k.Certain() {
		cell += fmt.Sprintf(" (limits: %s to %s)", k.Lowest, k.Highest)
	}
	return cell + ", if at " + k.At
}

func proportionCell(p bioassay.Proportion) string {
	return fixed(100*p.Estimate, 1) + " (" + fixed(100*p.Lower, 1) + "–" + fixed(100*p.Upper, 1) + ")"
}

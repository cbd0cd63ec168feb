package render

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"vialwise/bioassay"
	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
)

// checked judges assays as the command does, without a fit.
func checked(assays []bioassay.Assay, overrides ...bioassay.Override) *Check {
	p := rules.Builtin()
	p.Overrides = overrides
	c := &Check{Version: "test", Moribund: "by protocol", Level: 0.95, RuleSets: p.RuleSets}
	var twice bioassay.Duplicates
	var verdicts []bioassay.Verdict
	rows := 0
	for _, a := range assays {
		s := p.Standard(a)
		v := p.Judge(a, nil, twice.Add(a)...)
		verdicts = append(verdicts, v)
		single, _ := bioassay.NewSingle(a, bioassay.MoribundDead, s.Rules, c.Level)
		c.Assays = append(c.Assays, NewCheckedAssay(0, a, s.Rules.Name, bioassay.MoribundDead, v, single))
		rows += len(a.Containers)
	}
	c.Idle = p.IdleOverrides(verdicts)
	c.Files = []CheckedFile{{File: "a.csv", SHA256: strings.Repeat("0a", 32), Rows: rows,
		Warnings: []bioassay.Warning{{Code: "alias", Message: "a <name>", Cure: "rename", Origin: bioassay.Origin{File: "a.csv", Line: 1}}}}}
	return c
}

// failing is an assay whose controls failed.
func failing() bioassay.Assay {
	a := bioassay.Assay{Name: "failing"}
	for i, dead := range []int{12, 3, 9, 15, 19} {
		a.Containers = append(a.Containers, bioassay.Container{Concentration: float64(i), Exposed: 20, Dead: dead, Source: bioassay.Origin{File: "a.csv", Line: i + 2}})
	}
	return a
}

// override is a complete decision about an assay.
func override(assay string) bioassay.Override {
	return bioassay.Override{Assay: assay, Code: bioassay.ControlsFailed, By: "A. Keeper", On: bioassay.Date{Year: 2031, Month: 5, Day: 9}, Why: "the controls stood in the sun"}
}

// broken is a file with errors in a text and in a workbook.
func broken() []CheckedFile {
	return []CheckedFile{
		{File: "broken.csv", Hint: "Look again.", Errors: tables.Errors{
			{File: "broken.csv", Line: 3, Column: 4, Name: "dead", Found: "x\x1b[2J", Code: tables.NotANumber, Message: "this is not a number", Remedy: "enter digits"},
			{File: "broken.csv", Code: tables.EmptyFile, Message: "the file is empty", Remedy: "export it again"},
		}},
		{File: "broken.xlsx", SHA256: strings.Repeat("0b", 32), Errors: tables.Errors{
			{File: "broken.xlsx", Sheet: "Plates", Line: 7, Column: 3, Name: "dead", Found: "11", Code: tables.DeadAboveExposed, Message: "more dead than exposed (10)", Remedy: "correct one"},
		}},
	}
}

// everyKind has every class of assay and every kind of row.
func everyKind(t testing.TB) *Check {
	lifted := failing()
	lifted.Name = "lifted"
	lifted.Containers[1].Dead = 4
	c := checked(append(demoTable(t).Assays, append(untidyAssays(), failing(), lifted)...), override("lifted"), override("nobody"))
	c.Files = append(c.Files, broken()...)
	c.Files[0].Cleaned = &Cleaned{Copy: "a.cleaned.csv", List: "a.changes.csv", Changes: 3}
	return c
}

func checkOutput(t testing.TB, c *Check, format string) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteCheck(&b, c, format); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestCheckSchema validates the answers, and shows that the schema can refuse.
func TestCheckSchema(t *testing.T) {
	t.Parallel()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(CheckSchema()))
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("mem:check.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	compiled, err := compiler.Compile("mem:check.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	full := everyKind(t)
	for name, c := range map[string]*Check{"every kind": full, "nothing": {Moribund: "dead", Level: 0.95}, "errors alone": {Moribund: "alive", Level: 0.95, Files: broken()}} {
		if err := compiled.Validate(instance(t, checkOutput(t, c, "json"))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	text := checkOutput(t, full, "json")
	for _, spoil := range [][2]string{{`"usable": true`, `"usable": "yes"`}, {`"verdict": "discarded"`, `"verdict": "bad"`}, {`"survivors": `, `"living": `}} {
		if !strings.Contains(text, spoil[0]) || compiled.Validate(instance(t, strings.Replace(text, spoil[0], spoil[1], 1))) == nil {
			t.Errorf("the schema accepts %s", spoil[1])
		}
	}
}

// TestCheckClasses puts each assay into one class, and counts them.
func TestCheckClasses(t *testing.T) {
	t.Parallel()
	c := everyKind(t)
	classes := map[string]string{}
	for i := range c.Assays {
		classes[c.Assays[i].Name] = c.Assays[i].class()
	}
	for name, want := range map[string]string{"failing": discarded, "lifted": overridden, "step": doubtful, "controls only": discarded} {
		if classes[name] != want {
			t.Errorf("%s is %s, want %s", name, classes[name], want)
		}
	}
	n := c.Tally()
	if n.Assays != len(c.Assays) || n.Usable+n.Doubtful+n.Overridden+n.Discarded != n.Assays || n.Overridden != 1 || n.Errors != 3 || n.Files != 3 {
		t.Errorf("%+v", n)
	}
	if n.Usable == 0 || n.Doubtful == 0 || n.Discarded < 2 {
		t.Errorf("%+v", n)
	}
}

// TestCheckForPeople says what has to be said, and nothing that steers a
// terminal.
func TestCheckForPeople(t *testing.T) {
	t.Parallel()
	c := everyKind(t)
	for _, format := range []string{"text", "markdown", "latex"} {
		text := checkOutput(t, c, format)
		one := strings.Join(strings.Fields(text), " ")
		for _, want := range []string{"Discarded assays", "A. Keeper", "2031-05-09", "Look again.", "not-a-number", "4 (dead)", "C7 (dead)", "Plates",
			"labels and local law", "borrowed yardstick", "mosquitoes", "a.cleaned.csv", "idle-override", "alias"} {
			if !strings.Contains(one, want) {
				t.Errorf("%s does not say %q", format, want)
			}
		}
		if strings.ContainsAny(text, "\x1b") || strings.Contains(text, "NaN") {
			t.Errorf("%s shows what it must not", format)
		}
	}
	if text := checkOutput(t, c, "text"); !strings.Contains(text, `found "x\x1b[2J"`) {
		t.Error("what was found is not shown escaped")
	}
	for line := range strings.Lines(checkOutput(t, checked(untidyAssays()), "text")) {
		if n := len([]rune(line)); n > 180 {
			t.Errorf("a line of %d characters: %s", n, line)
		}
	}
}

// TestCheckStaysShort lets tens of thousands of assays make a report that
// people can read, while csv and json hold every finding.
func TestCheckStaysShort(t *testing.T) {
	t.Parallel()
	const n = 20_000
	one := failing()
	many := &Check{Level: 0.95, Files: []CheckedFile{{File: "a.csv", Rows: 5 * n}}}
	for i := range n {
		a := one
		a.Name = fmt.Sprint("assay ", i)
		severity := bioassay.Severities()[i%3]
		finding := bioassay.Finding{Severity: severity, Warning: bioassay.Warning{Code: bioassay.ControlsFailed, Message: fmt.Sprint("message ", i/200), Cure: "none"}}
		v := bioassay.Decide(a.Name, []bioassay.Finding{finding}, nil)
		many.Assays = append(many.Assays, NewCheckedAssay(0, a, "", bioassay.MoribundDead, v, nil))
	}
	text := checkOutput(t, many, "text")
	if len(text) > 40_000 {
		t.Errorf("%d bytes of text", len(text))
	}
	if !strings.Contains(text, "61 more") {
		t.Error("it does not say how many more assays share a finding")
	}
	one0 := strings.Join(strings.Fields(text), " ")
	for _, want := range []string{"19900 more assays, none of them graver", "more of controls-failed. The formats csv and json hold everything."} {
		if !strings.Contains(one0, want) {
			t.Errorf("it does not say %q", want)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(checkOutput(t, many, "csv"))).ReadAll()
	if err != nil || len(rows) != 1+n {
		t.Errorf("%d rows of csv, %v", len(rows), err)
	}
	var answer struct{ Assays []struct{ Findings []any } }
	if err := json.Unmarshal([]byte(checkOutput(t, many, "json")), &answer); err != nil || len(answer.Assays) != n || len(answer.Assays[n-1].Findings) != 1 {
		t.Errorf("%d assays in json, %v", len(answer.Assays), err)
	}
}

// TestCheckChoosesTheGravest shows discarded assays before others.
func TestCheckChoosesTheGravest(t *testing.T) {
	t.Parallel()
	c := checked(append(demoTable(t).Assays, failing()))
	list := c.chosen(3)
	if len(list) != 3 || list[2] != len(c.Assays)-1 {
		t.Errorf("chosen %v of %d", list, len(c.Assays))
	}
	if all := c.chosen(1000); len(all) != len(c.Assays) {
		t.Errorf("%d of %d", len(all), len(c.Assays))
	}
}

// TestCheckCSV has a row for every finding, and one for an assay without any.
func TestCheckCSV(t *testing.T) {
	t.Parallel()
	c := everyKind(t)
	rows, err := csv.NewReader(strings.NewReader(checkOutput(t, c, "csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := len(c.Idle) + 1 // and one remark on reading
	for _, f := range c.Files {
		want += len(f.Errors)
	}
	for _, a := range c.Assays {
		want += max(1, len(a.Verdict.Findings))
	}
	if len(rows) != 1+want {
		t.Errorf("%d rows, want %d", len(rows), 1+want)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	decisions := 0
	for _, row := range rows[1:] {
		if row[column["overridden_by"]] != "" {
			decisions++
			if row[column["assay"]] != "lifted" || row[column["severity"]] != "discard" || row[column["verdict"]] != overridden {
				t.Errorf("a decision in the row %q", row)
			}
		}
	}
	if decisions != 1 {
		t.Errorf("%d decisions", decisions)
	}
}

// TestWrapCells breaks a sentence into rows and leaves other columns alone.
func TestWrapCells(t *testing.T) {
	x := &table{}
	x.column("A", false)
	x.prose("B", 10)
	x.rows = [][]string{{"a name with blanks", "one two three four"}, {"b", ""}}
	x.wrapCells()
	want := [][]string{{"a name with blanks", "one two"}, {"", "three four"}, {"b", ""}}
	if fmt.Sprint(x.rows) != fmt.Sprint(want) || len(x.rows) != 3 {
		t.Errorf("%q", x.rows)
	}
}

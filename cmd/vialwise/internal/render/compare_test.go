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
	"vialwise/bioassay/demo"
	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
	"vialwise/doseresp"
)

// schemas compiles one of the schemas with those that it refers to.
func schemas(t testing.TB, name string) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	const folder = "https://vialwise.invalid/"
	for file, data := range map[string][]byte{
		"fits.schema.json": FitsSchema(), "comparisons.schema.json": ComparisonsSchema(), "baselines.schema.json": BaselinesSchema(),
		"tracks.schema.json": TracksSchema(),
	} {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if err := c.AddResource(folder+file, doc); err != nil {
			t.Fatal(err)
		}
	}
	compiled, err := c.Compile(folder + name)
	if err != nil {
		t.Fatal(err)
	}
	return compiled
}

// comparisons compares the assays of a table with its baselines.
func comparisons(t testing.TB, assays []bioassay.Assay, o bioassay.CompareOptions) *Comparisons {
	t.Helper()
	susceptible, fields, err := bioassay.SelectBaseline(assays, "")
	if err != nil {
		t.Fatal(err)
	}
	out := &Comparisons{Version: "test", Options: o, Inputs: []Input{{"counts.csv", strings.Repeat("0", 64)}}}
	var comparers []*bioassay.Comparer
	groups := bioassay.GroupBaselines(susceptible)
	for i, name := range bioassay.GroupNames(groups) {
		b, err := bioassay.BuildBaseline(name, groups[i], bioassay.BaselineOptions{Analysis: o.Analysis})
		if err != nil {
			t.Fatal(err)
		}
		c, err := bioassay.NewComparer(b, o)
		if err != nil {
			t.Fatal(err)
		}
		out.Baselines, comparers = append(out.Baselines, b), append(comparers, c)
	}
	out.Compared, out.Refused = bioassay.CompareAll(fields, comparers, nil)
	return out
}

func demoComparisons(t testing.TB) *Comparisons {
	t.Helper()
	table, err := tables.Read("counts.csv", bytes.NewReader(demo.Counts()))
	if err != nil {
		t.Fatal(err)
	}
	set, _ := rules.Builtin().RuleSet("fold-bands")
	assays := table.Assays
	odd := assays[len(assays)-20]
	odd.Name, odd.Protocol, odd.Role = "<odd> & \"elsewhere\"", "dish-residue", bioassay.RoleField
	return comparisons(t, append(assays, odd), bioassay.CompareOptions{Bands: set.Ratios})
}

// TestComparisonsMatchSchema holds the JSON of the demo, which has every kind
// of result, and of untidy tables to the published schemas.
func TestComparisonsMatchSchema(t *testing.T) {
	compiled, baselines := schemas(t, "comparisons.schema.json"), schemas(t, "baselines.schema.json")
	c := demoComparisons(t)
	all := []*Comparisons{c}
	for _, rule := range []doseresp.HeterogeneityRule{doseresp.Never, doseresp.WhenSignificant} {
		o := bioassay.CompareOptions{Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Link: doseresp.Logit, Heterogeneity: rule}}}
		all = append(all, comparisons(t, untidyAssays(), o))
	}
	for i, c := range all {
		var b bytes.Buffer
		if err := WriteComparisons(&b, c, "json"); err != nil {
			t.Fatal(err)
		}
		if err := compiled.Validate(instance(t, b.String())); err != nil {
			t.Errorf("comparison %d: %v", i, err)
		}
		b.Reset()
		if err := WriteBaselines(&b, &Baselines{Version: "test", Options: c.Options.Analysis, Baselines: c.Baselines}, "json"); err != nil {
			t.Fatal(err)
		}
		if err := baselines.Validate(instance(t, b.String())); err != nil {
			t.Errorf("baseline %d: %v", i, err)
		}
	}
	spoilt := strings.Replace(jsonOf(t, c), `"different": true`, `"different": "yes"`, 1)
	if compiled.Validate(instance(t, spoilt)) == nil {
		t.Error("the schema accepts a word for a truth value")
	}
}

func jsonOf(t testing.TB, c *Comparisons) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteComparisons(&b, c, "json"); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// untidyAssays are a baseline and populations that lack something each.
func untidyAssays() []bioassay.Assay {
	make := func(name string, rows ...[3]int) bioassay.Assay {
		a := bioassay.Assay{Name: name}
		for i, r := range rows {
			a.Containers = append(a.Containers, bioassay.Container{Concentration: float64(r[0]), Exposed: r[1], Dead: r[2], Source: bioassay.Origin{File: "untidy.csv", Line: i + 2}})
		}
		return a
	}
	base := make("base", [3]int{0, 20, 1}, [3]int{1, 20, 3}, [3]int{2, 20, 8}, [3]int{4, 20, 15}, [3]int{8, 20, 19})
	base.Role = bioassay.RoleBaseline
	return []bioassay.Assay{
		base,
		make("all dead", [3]int{1, 10, 10}, [3]int{2, 10, 10}),
		make("none dead", [3]int{0, 10, 0}, [3]int{4, 10, 0}, [3]int{8, 10, 0}),
		make("falling", [3]int{1, 10, 9}, [3]int{2, 10, 5}, [3]int{4, 10, 1}),
		make("flat", [3]int{1, 10, 5}, [3]int{2, 10, 5}, [3]int{4, 10, 5}),
		make("step", [3]int{1, 10, 0}, [3]int{2, 10, 10}),
		make("one dose", [3]int{0, 10, 1}, [3]int{8, 30, 25}),
		make("one dose, all dead", [3]int{8, 30, 30}),
		make("controls only", [3]int{0, 30, 3}),
		make("nobody", [3]int{0, 0, 0}, [3]int{1, 0, 0}),
		make("two", [3]int{1, 1, 0}, [3]int{2, 1, 1}),
	}
}

// TestComparisonsForPeople writes every format for people of every result, and
// holds what must be said.
func TestComparisonsForPeople(t *testing.T) {
	c := demoComparisons(t)
	for _, format := range []string{"text", "markdown", "latex"} {
		var b bytes.Buffer
		if err := WriteComparisons(&b, c, format); err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"borrowed from mosquitoes", "labels and local law", "Holm", "Not compared", "dish-residue", "lower bound"} {
			if !strings.Contains(b.String(), want) {
				t.Errorf("%s does not say %q", format, want)
			}
		}
		if strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
			t.Errorf("%s shows a number that does not exist", format)
		}
		var u bytes.Buffer
		if err := WriteComparisons(&u, comparisons(t, untidyAssays(), bioassay.CompareOptions{}), format); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(u.String(), "NaN") || strings.Contains(u.String(), "Inf") {
			t.Errorf("%s of untidy counts shows a number that does not exist:\n%s", format, u.String())
		}
		for _, want := range []string{"> 8", "survivors, not a resistant fraction"} {
			if !strings.Contains(strings.ReplaceAll(u.String(), "$>$", ">"), want) && format == "text" && want != "> 8" {
				t.Errorf("%s does not say %q:\n%s", format, want, u.String())
			}
		}
	}
}

// TestComparisonsCSV has a row for each population and percent, with the
// numbers of the JSON.
func TestComparisonsCSV(t *testing.T) {
	c := demoComparisons(t)
	var b bytes.Buffer
	if err := WriteComparisons(&b, c, "csv"); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if want := 1 + len(c.Compared)*4 + len(c.Refused); len(rows) != want || len(c.Refused) == 0 {
		t.Fatalf("%d rows, want %d", len(rows), want)
	}
	var answer struct {
		Populations []struct {
			Assay string
			Ratio []struct {
				P, Estimate, Lower, Upper *float64
				Different                 bool
			}
		}
	}
	if err := json.Unmarshal([]byte(jsonOf(t, c)), &answer); err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for i, p := range answer.Populations {
		for k, r := range p.Ratio {
			row := rows[1+4*i+k]
			for name, x := range map[string]*float64{"p": r.P, "ratio": r.Estimate, "ratio_lower": r.Lower, "ratio_upper": r.Upper} {
				text := ""
				if x != nil {
					text = full(*x)
				}
				if row[column["assay"]] != p.Assay || row[column[name]] != text {
					t.Errorf("%s, ratio %d: %s is %q in CSV, %q in JSON", p.Assay, k, name, row[column[name]], text)
				}
			}
		}
	}
	if fmt.Sprint(answer.Populations[0].Ratio[0].P) == "" || len(answer.Populations) < 50 {
		t.Errorf("%d populations", len(answer.Populations))
	}
}

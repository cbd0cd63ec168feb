package render

import (
	"bytes"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
	"vialwise/doseresp"
)

// schema compiles the schema as it is handed out.
func schema(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(FitsSchema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	const name = "mem:fits.schema.json"
	if err := c.AddResource(name, doc); err != nil {
		t.Fatal(err)
	}
	compiled, err := c.Compile(name)
	if err != nil {
		t.Fatal(err)
	}
	return compiled
}

// instance reads JSON as the schema library wants it.
func instance(t testing.TB, json string) any {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(json))
	if err != nil {
		t.Fatalf("not JSON: %v\n%s", err, json)
	}
	return doc
}

// everyModel returns the options of all combinations of the named choices.
func everyModel() []doseresp.Options {
	var all []doseresp.Options
	for _, link := range doseresp.Links() {
		for _, natural := range []doseresp.NaturalMortality{
			{Mode: doseresp.Estimated}, {Mode: doseresp.None},
			{Mode: doseresp.Fixed, Value: 0.05}, {Mode: doseresp.AbbottCorrection},
		} {
			for _, rule := range []doseresp.HeterogeneityRule{doseresp.WhenAboveOne, doseresp.WhenSignificant, doseresp.Never} {
				for _, information := range []doseresp.Information{doseresp.Observed, doseresp.Expected} {
					all = append(all, doseresp.Options{
						Link: link, Natural: natural, Heterogeneity: rule, Information: information,
						Percents: DefaultPercents("json"),
					})
				}
			}
		}
	}
	return all
}

// TestSchemaHolds validates the published sets under every model, and with
// each a third of the demo, by turns.
func TestSchemaHolds(t *testing.T) {
	t.Parallel()
	s := schema(t)
	invented, printed := demoTable(t), readTable(t, "published.csv", published)
	for n, o := range everyModel() {
		turn := new(tables.Table)
		for i := n % 3; i < len(invented.Assays); i += 3 {
			turn.Assays = append(turn.Assays, invented.Assays[i])
		}
		for _, table := range []*tables.Table{turn, printed} {
			f := analysed(t, table, bioassay.AnalysisOptions{Fit: o})
			if err := s.Validate(instance(t, rendered(t, f, "json"))); err != nil {
				t.Errorf("%v, %v, %v, %v: %v", o.Link, o.Natural.Mode, o.Heterogeneity, o.Information, err)
			}
		}
	}
}

package render

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// words returns the names of enumerated values.
func words[T fmt.Stringer](values []T) []string {
	var names []string
	for _, v := range values {
		names = append(names, v.String())
	}
	return names
}

// TestSchemaWords holds the words of the schema against the program's.
func TestSchemaWords(t *testing.T) {
	var doc any
	if err := json.Unmarshal(FitsSchema(), &doc); err != nil {
		t.Fatal(err)
	}
	assay := []any{"$defs", "assay", "properties"}
	for _, c := range []struct {
		path []any
		want []string
	}{
		{append(assay, "status"), words(doseresp.Statuses())},
		{append(assay, "link"), words(doseresp.Links())},
		{[]any{"$defs", "limits", "properties", "kind"}, words(doseresp.LimitKinds())},
		{append(assay, "role"), words([]bioassay.Role{bioassay.RoleField, bioassay.RoleBaseline})},
		{append(assay, "information"), words([]doseresp.Information{doseresp.Observed, doseresp.Expected})},
		{append(assay, "heterogeneity", "properties", "rule"),
			words([]doseresp.HeterogeneityRule{doseresp.WhenAboveOne, doseresp.WhenSignificant, doseresp.Never})},
		{append(assay, "natural_mortality", "properties", "mode"),
			words([]doseresp.NaturalMode{doseresp.Estimated, doseresp.None, doseresp.Fixed, doseresp.AbbottCorrection})},
		{append(assay, "lack_of_fit", "properties", "verdict"),
			words([]doseresp.LackOfFitVerdict{doseresp.LineFits, doseresp.WrongLink, doseresp.ExtraVariation, doseresp.UndecidedLackOfFit})},
		{append(assay, "lack_of_fit", "properties", "best_link"), words(doseresp.Links())},
		{append(assay, "lack_of_fit", "properties", "aic", "required"), words(doseresp.Links())},
		{append(assay, "lack_of_fit", "properties", "aic", "properties"), words(doseresp.Links())},
		{[]any{"$defs", "lc", "properties", "reported", "properties", "from"}, []string{"fiducial", "posterior", "none"}}, // all in sample
	} {
		var got []string
		switch at := cell(doc, c.path...).(type) {
		case []any: // the required keys of an object
			got = wordsOf(at)
		case map[string]any:
			if enum, ok := at["enum"].([]any); ok {
				got = wordsOf(enum)
				break
			}
			got = slices.SortedFunc(maps.Keys(at), func(a, b string) int { return slices.Index(c.want, a) - slices.Index(c.want, b) })
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: the schema has %q, the program %q", c.path, got, c.want)
		}
	}
}

func wordsOf(list []any) []string {
	var out []string
	for _, word := range list {
		out = append(out, word.(string))
	}
	return out
}

// TestReportedSourcesAreWritten finds every word of "from" in a document.
func TestReportedSourcesAreWritten(t *testing.T) {
	var doc any
	if err := json.Unmarshal([]byte(sample(t)), &doc); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, assay := range cell(doc, "assays").([]any) {
		got = append(got, cell(assay, "lc", 0, "reported", "from").(string))
	}
	if want := []string{"fiducial", "posterior", "posterior", "none"}; !slices.Equal(got, want) {
		t.Errorf("from %q, want %q", got, want)
	}
}

// declared collects the properties of a schema as paths, an item of a list
// being written [].
func declared(schema, root map[string]any, at string, into map[string]bool) {
	if ref, ok := schema["$ref"].(string); ok {
		target := cell(root, "$defs", strings.TrimPrefix(ref, "#/$defs/")).(map[string]any)
		declared(target, root, at, into)
	}
	if items, ok := schema["items"].(map[string]any); ok {
		declared(items, root, at+"[]", into)
	}
	if properties, ok := schema["properties"].(map[string]any); ok {
		for name, property := range properties {
			into[at+"/"+name] = true
			declared(property.(map[string]any), root, at+"/"+name, into)
		}
	}
}

// written collects the properties of a document likewise.
func written(doc any, at string, into map[string]bool) {
	switch doc := doc.(type) {
	case []any:
		for _, item := range doc {
			written(item, at+"[]", into)
		}
	case map[string]any:
		for name, value := range doc {
			into[at+"/"+name] = true
			written(value, at+"/"+name, into)
		}
	}
}

// TestSchemaProperties shows that the schema declares what is written and
// nothing else. An assay's warnings have no line of a file, though the schema
// describes them together with those of the files; nor does any set of limits
// but the fiducial one exclude a region.
func TestSchemaProperties(t *testing.T) {
	var root, doc map[string]any
	if err := json.Unmarshal(FitsSchema(), &root); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(sample(t)), &doc); err != nil {
		t.Fatal(err)
	}
	want, got := map[string]bool{}, map[string]bool{}
	declared(root, root, "", want)
	written(doc, "", got)
	delete(want, "/assays[]/warnings[]/file")
	delete(want, "/assays[]/warnings[]/line")
	for _, set := range []string{"profile", "beta_binomial_profile", "bootstrap/percentile", "bootstrap/bca"} {
		for _, key := range []string{"", "/lower", "/upper"} {
			delete(want, "/assays[]/lc[]/"+set+"/excluded"+key)
		}
	}
	if !maps.Equal(want, got) {
		for path := range want {
			if !got[path] {
				t.Errorf("declared, never written: %s", path)
			}
		}
		for path := range got {
			if !want[path] {
				t.Errorf("written, not declared: %s", path)
			}
		}
	}
	if len(got) < 120 {
		t.Errorf("only %d properties were compared", len(got))
	}
}

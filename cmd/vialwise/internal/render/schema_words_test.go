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
	} {
		var got []string
		for _, word := range cell(doc, append(c.path, "enum")...).([]any) {
			got = append(got, word.(string))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: the schema has %q, the program %q", c.path, got, c.want)
		}
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
// describes them together with those of the files.
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
	if len(got) < 60 {
		t.Errorf("only %d properties were compared", len(got))
	}
}

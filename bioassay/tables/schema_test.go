package tables

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
)

// tableSchema is the part of the Table Schema standard that is used here.
type tableSchema struct {
	Schema      string        `json:"$schema"`
	FieldsMatch string        `json:"fieldsMatch"`
	Fields      []schemaField `json:"fields"`
}

type schemaField struct {
	Name, Type, Format, Title, Description string
	TrueValues, FalseValues                []string
	Constraints                            map[string]any
}

// readers are the tables: how to read one of them, and a row in order.
var readers = []struct {
	name     string
	schema   []byte
	columns  []string
	required []string
	read     func(text string) error
	valid    map[string]string
}{
	{"counts", CountSchema(), countNames, countRequired,
		func(text string) error { _, err := Read("f.csv", strings.NewReader(text)); return err },
		map[string]string{"assay": "A", "concentration": "1", "exposed": "9", "dead": "0"}},
	{"apiaries", ApiarySchema(), apiaryNames, apiaryRequired,
		func(text string) error { _, err := ReadApiaries("f.csv", strings.NewReader(text)); return err },
		map[string]string{"apiary": "N7", "latitude": "1", "longitude": "2"}},
	{"treatments", TreatmentSchema(), treatmentLayout.known, treatmentLayout.required,
		func(text string) error { _, _, err := ReadTreatments("f.csv", strings.NewReader(text)); return err },
		map[string]string{"apiary": "N7", "acaricide": "amitraz"}},
	{"hives", HivesSchema(), hivesLayout.known, hivesLayout.required,
		func(text string) error { _, _, err := ReadHives("f.csv", strings.NewReader(text)); return err },
		map[string]string{"apiary": "N7", "asked_on": "2031-04-09"}},
}

func parseSchema(t *testing.T, text []byte) (s tableSchema) {
	t.Helper()
	if err := json.Unmarshal(text, &s); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSchemaNamesTheColumns(t *testing.T) {
	for _, r := range readers {
		s := parseSchema(t, r.schema)
		var names, required []string
		for _, f := range s.Fields {
			names = append(names, f.Name)
			if f.Constraints["required"] == true {
				required = append(required, f.Name)
			}
			if f.Title == "" || f.Description == "" || f.Type == "" {
				t.Errorf("%s: field %s is not described", r.name, f.Name)
			}
		}
		if !slices.Equal(names, r.columns) || !slices.Equal(required, r.required) {
			t.Errorf("%s: the schema has %v, requiring %v", r.name, names, required)
		}
		if s.FieldsMatch != "partial" { // any order, unknown and absent columns: all as the reader does
			t.Errorf("%s: fieldsMatch is %q", r.name, s.FieldsMatch)
		}
	}
}

// with is the table of one row, in order but for one cell.
func with(valid map[string]string, column, value string) string {
	row := maps.Clone(valid)
	row[column] = value
	names := slices.Sorted(maps.Keys(row))
	var cells []string
	for _, name := range names {
		cells = append(cells, `"`+row[name]+`"`)
	}
	return strings.Join(names, ",") + "\n" + strings.Join(cells, ",") + "\n"
}

// violations returns for each type and constraint of a field a value that
// breaks it and one that just keeps it; blank where the latter is not tested.
func violations(t *testing.T, f schemaField) map[string][2]string {
	v := map[string][2]string{}
	switch f.Type {
	case "string":
	case "number":
		v["type"] = [2]string{"x", "1.5"}
	case "integer":
		v["type"] = [2]string{"1.5", ""}
	case "boolean":
		v["type"] = [2]string{"maybe", f.TrueValues[0]}
	case "date":
		v["type"] = [2]string{"09.04.2031", "2031-04-09"}
	default:
		t.Errorf("field %s has type %s, which this test does not know", f.Name, f.Type)
	}
	for constraint, limit := range f.Constraints {
		switch constraint {
		case "required":
			v[constraint] = [2]string{"", ""}
		case "enum":
			v[constraint] = [2]string{"other", fmt.Sprint(limit.([]any)[0])}
		case "minimum":
			v[constraint] = beyond(limit, -1)
		case "maximum":
			v[constraint] = beyond(limit, 1)
		case "unique": // TestApiariesRefused has the two rows this takes
		default:
			t.Errorf("field %s has constraint %s, which this test does not know", f.Name, constraint)
		}
	}
	return v
}

func beyond(limit any, step float64) [2]string {
	if day, ok := limit.(string); ok {
		return [2]string{"1899-12-31", day}
	}
	edge := limit.(float64)
	return [2]string{fmt.Sprintf("%.0f", edge+step), fmt.Sprintf("%.0f", edge)}
}

// The reader refuses what the schema refuses, at that cell, and takes what lies
// on the edge of it.
func TestReaderKeepsTheConstraints(t *testing.T) {
	checked := 0
	for _, r := range readers {
		if err := r.read(with(r.valid, r.required[0], "A")); err != nil {
			t.Fatalf("%s: the valid row: %v", r.name, err)
		}
		for _, f := range parseSchema(t, r.schema).Fields {
			valid := maps.Clone(r.valid)
			if f.Name == "dead" || f.Name == "moribund" || f.Name == "missing" {
				valid["exposed"] = "1000000000" // so that only the constraint itself can refuse
			}
			for what, value := range violations(t, f) {
				checked++
				err := r.read(with(valid, f.Name, value[0]))
				var es Errors
				if !errors.As(err, &es) || es[0].Name != f.Name {
					t.Errorf("%s.%s: %s broken by %q gives %v", r.name, f.Name, what, value[0], err)
				}
				if value[1] == "" {
					continue
				}
				if err := r.read(with(valid, f.Name, value[1])); err != nil {
					t.Errorf("%s.%s: %s kept by %q gives %v", r.name, f.Name, what, value[1], err)
				}
			}
			for _, word := range slices.Concat(f.TrueValues, f.FalseValues) {
				if err := r.read(with(valid, f.Name, word)); err != nil {
					t.Errorf("%s.%s: %q: %v", r.name, f.Name, word, err)
				}
			}
		}
	}
	if checked < 30 {
		t.Errorf("only %d constraints checked", checked)
	}
}

// What the descriptions promise beyond the constraints is taken, with a warning.
func TestDescribedSpellings(t *testing.T) {
	for column, words := range map[string][]string{
		"role": {"campo", "línea base"}, "collected_on": {"2031/4/9"}, "tested_on": {"2031/4/9"}, "capped_brood": {"sí", "verdadero", "falso"}, "tested_blind": {"sí"},
	} {
		for _, word := range words {
			table := mustRead(t, with(readers[0].valid, column, word))
			if len(table.Warnings) != 1 || !strings.Contains(string(CountSchema()), word) {
				t.Errorf("%s %s: described in the schema? warnings %v", column, word, table.Warnings)
			}
		}
	}
}

// Without its column a required field is an error too.
func TestRequiredColumns(t *testing.T) {
	for _, r := range readers {
		for _, name := range r.required {
			row := maps.Clone(r.valid)
			delete(row, name)
			if err := r.read(with(row, "note", "x")); !errors.Is(err, MissingColumn) {
				t.Errorf("%s without %s: %v", r.name, name, err)
			}
		}
	}
}

func TestSchemasAreCopies(t *testing.T) {
	for i, schema := range []func() []byte{CountSchema, ApiarySchema, TreatmentSchema, HivesSchema} {
		schema()[0] = 'x'
		if schema()[0] != '{' {
			t.Errorf("a caller can change schema %d of all others", i)
		}
	}
}

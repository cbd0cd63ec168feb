package registry

import (
	"encoding/json"
	"io"
	"strings"
)

// packageFile is the descriptor of a data package.
const packageFile = "datapackage.json"

// dataPackage is the descriptor of an export, in the terms of the Data Package
// standard, version 2 (datapackage.org). The property registry is our own.
type dataPackage struct {
	Schema      string       `json:"$schema"`
	Name        string       `json:"name"`
	Title       string       `json:"title"`
	Description string       `json:"description"`
	Registry    registryMark `json:"registry"`
	Resources   []resource   `json:"resources"`
}

// registryMark says which registry was exported.
type registryMark struct {
	Schema int    `json:"schema"` // number of the newest step
	Events int64  `json:"events"`
	Head   string `json:"head"` // hash of the newest event
}

type resource struct {
	Name        string      `json:"name"`
	Path        string      `json:"path"`
	Type        string      `json:"type"`
	Description string      `json:"description"`
	Format      string      `json:"format"`
	MediaType   string      `json:"mediatype"`
	Encoding    string      `json:"encoding"`
	Bytes       int64       `json:"bytes"`
	Hash        string      `json:"hash"`
	Schema      tableSchema `json:"schema"`
}

type tableSchema struct {
	Schema        string        `json:"$schema"`
	Fields        []schemaField `json:"fields"`
	FieldsMatch   string        `json:"fieldsMatch"`
	MissingValues []string      `json:"missingValues"`
	PrimaryKey    []string      `json:"primaryKey"`
	ForeignKeys   []foreignKey  `json:"foreignKeys,omitempty"`
}

type schemaField struct {
	Name        string          `json:"name"`
	Type        string          `json:"type"`
	Description string          `json:"description"`
	Constraints map[string]bool `json:"constraints,omitempty"`
}

type foreignKey struct {
	Fields    []string `json:"fields"`
	Reference struct {
		Resource string   `json:"resource"`
		Fields   []string `json:"fields"`
	} `json:"reference"`
}

const hashPrefix = "sha256:"

func newPackage(schema int, last Event) *dataPackage {
	return &dataPackage{
		Schema:      "https://datapackage.org/profiles/2.0/datapackage.json",
		Name:        "vialwise-registry",
		Title:       "Registry of vial bioassays",
		Description: "Counts of all assays, the apiaries, and the history of every change. The rows of assay_revisions with the highest number of an assay hold now; the others are what was amended. Coordinates are exact: coarsen them before they are published.",
		Registry:    registryMark{Schema: schema, Events: last.ID, Head: last.Hash},
	}
}

func (p *dataPackage) add(t table, f written) {
	p.Resources = append(p.Resources, resource{
		Name: strings.ReplaceAll(t.name, "_", "-"), Path: t.file(), Type: "table", Description: tableDescriptions[t.name],
		Format: "csv", MediaType: "text/csv", Encoding: "utf-8", Bytes: f.bytes, Hash: hashPrefix + f.hash, Schema: t.schema(),
	})
}

// schema describes the columns of a table.
func (t table) schema() tableSchema {
	s := tableSchema{Schema: "https://datapackage.org/profiles/2.0/tableschema.json", FieldsMatch: "exact", MissingValues: []string{""}, PrimaryKey: t.key}
	for _, c := range t.columns {
		f := schemaField{Name: c.name, Type: fieldType(c), Description: describe(t.name, c.name)}
		if c.required && c.kind != "TEXT" { // a required text may be blank here
			f.Constraints = map[string]bool{"required": true}
		}
		s.Fields = append(s.Fields, f)
	}
	for _, r := range t.references {
		k := foreignKey{Fields: []string{r.column}}
		k.Reference.Resource, k.Reference.Fields = strings.ReplaceAll(r.table, "_", "-"), []string{r.key}
		s.ForeignKeys = append(s.ForeignKeys, k)
	}
	return s
}

// fieldType is the type of a column in the words of Table Schema.
func fieldType(c column) string {
	switch {
	case c.name == "at":
		return "datetime"
	case c.name == "collected_on", c.name == "tested_on":
		return "date"
	case c.name == "extra":
		return "array"
	case c.kind == "INTEGER":
		return "integer"
	case c.kind == "REAL":
		return "number"
	}
	return "string"
}

func (p *dataPackage) write(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(p)
}

package render

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"vialwise/bioassay/registry"
	"vialwise/bioassay/tables"
)

// compiled compiles a schema that stands by itself.
func compiled(t testing.TB, name string, text []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("mem:"+name, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("mem:" + name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// holdsTo validates what a function writes.
func holdsTo(t *testing.T, s *jsonschema.Schema, write func(io.Writer) error) {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(instance(t, b.String())); err != nil {
		t.Errorf("%v\n%s", err, b.String())
	}
}

const (
	tableHead = "assay,role,acaricide,container,concentration,exposed,dead\n"
	first     = tableHead + "A,baseline,amitraz,=1,0,10,0\nA,baseline,amitraz,=2,1,10,5\n"
	changed   = tableHead + "A,baseline,amitraz,=1,0,10,0\nA,baseline,amitraz,=2,1,10,6\n"
)

// filled is a registry with an import, a refused one, an amendment, a decision
// and a baseline, and what became of the imports.
func filled(t *testing.T) (*registry.Registry, *Imports) {
	t.Helper()
	r, err := registry.Open(filepath.Join(t.TempDir(), "r.sqlite"), registry.Options{Who: "Ada"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	i := &Imports{Version: "0", Registry: "r.sqlite", Made: true, Who: "Ada"}
	ctx := context.Background()
	for _, f := range []struct {
		name, text string
		amend      bool
		outcome    Outcome
	}{{"a.csv", first, false, Imported}, {"a.csv", first, false, Unchanged}, {"b.csv", changed, false, Conflicting}, {"b.csv", changed, true, Amended}} {
		table := readTable(t, f.name, f.text)
		s := registry.SourceOf(f.name, []byte(f.text))
		result, err := r.Import(ctx, table, s, registry.ImportOptions{Amend: f.amend, Reason: map[bool]string{true: "read again"}[f.amend]})
		if (err != nil) != (f.outcome == Conflicting) {
			t.Fatal(err)
		}
		i.Files = append(i.Files, ImportedFile{File: f.name, SHA256: s.SHA256, Holds: registry.OfAssay, Outcome: f.outcome, Result: result, Reading: table.Warnings})
	}
	i.Files = append(i.Files,
		ImportedFile{File: "c.csv", Outcome: NotImported, Errors: tables.Errors{{File: "c.csv", Line: 2, Code: tables.NotANumber, Message: "no number", Remedy: "enter one"}}},
		ImportedFile{File: "d.csv", Outcome: NotImported, Failure: "the disk is full", Places: "2 apiaries with a place lie there"})
	_, err = r.Decide(ctx, registry.Decision{Assay: "A", Code: "not-blind", Verdict: registry.Discard, By: "Ben", Why: "labels"}, "")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.DefineBaseline(ctx, "reference", []string{"A"}, "", ""); err != nil {
		t.Fatal(err)
	}
	return r, i
}

// recordOf is everything that a registry remembers.
func recordOf(t *testing.T, r *registry.Registry) *Record {
	t.Helper()
	ctx := context.Background()
	out := &Record{Version: "0", Registry: "r.sqlite"}
	var errs [4]error
	out.Events, errs[0] = r.History(ctx)
	out.Changes, errs[1] = r.Changes(ctx, 2)
	out.Decisions, errs[2] = r.AllDecisions(ctx)
	out.Baselines, errs[3] = r.Baselines(ctx)
	for _, err := range errs {
		if err != nil {
			t.Fatal(err)
		}
	}
	for e, err := range r.Versions(ctx, "A") {
		if err != nil {
			t.Fatal(err)
		}
		out.Versions = append(out.Versions, RecordedVersion{e, out.Events[e.Event-1]})
	}
	if len(out.Events) != 4 || len(out.Changes) != 1 || len(out.Decisions) != 1 || len(out.Baselines) != 1 || len(out.Versions) != 2 {
		t.Fatalf("%+v", out)
	}
	return out
}

// TestRegistrySchemas validates full and empty answers.
func TestRegistrySchemas(t *testing.T) {
	r, imports := filled(t)
	s := compiled(t, "imports.schema.json", ImportsSchema())
	for _, i := range []*Imports{imports, {}, {DryRun: true, Amend: true, Reason: "x", Files: imports.Files[:1]}} {
		holdsTo(t, s, func(w io.Writer) error { return WriteImports(w, i, "json") })
	}
	s = compiled(t, "records.schema.json", RecordsSchema())
	for _, record := range []*Record{recordOf(t, r), {}} {
		holdsTo(t, s, func(w io.Writer) error { return WriteRecord(w, record, "json") })
	}
	s = compiled(t, "verification.schema.json", VerificationSchema())
	v, err := r.Verify(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range []*Verification{
		{Verification: v}, {Verification: v, From: "x", Noted: v.Head.Hash, NotedAt: 4}, {Verification: v, Noted: strings.Repeat("0", 64)}, {Verification: &registry.Verification{}},
	} {
		holdsTo(t, s, func(w io.Writer) error { return WriteVerification(w, one, "json") })
	}
}

// TestRegistrySchemasRefuse shows that the schemas can fail.
func TestRegistrySchemasRefuse(t *testing.T) {
	_, imports := filled(t)
	s := compiled(t, "imports.schema.json", ImportsSchema())
	var b bytes.Buffer
	if err := WriteImports(&b, imports, "json"); err != nil {
		t.Fatal(err)
	}
	for _, change := range [][2]string{{`"outcome": "conflict"`, `"outcome": "maybe"`}, {`"new": 1`, `"new": -1`}, {`"made": true,`, ``}, {`"event": 2`, `"event": 0`}, {`"hint": "",`, `"hint": "", "more": 1,`}} {
		text := strings.Replace(b.String(), change[0], change[1], 1)
		if text == b.String() || s.Validate(instance(t, text)) == nil {
			t.Errorf("%v passes", change)
		}
	}
}

// TestRegistryCSV demands rows of equal length, with cells that no spreadsheet
// runs.
func TestRegistryCSV(t *testing.T) {
	r, imports := filled(t)
	whole := recordOf(t, r)
	for name, c := range map[string]struct {
		write func(io.Writer) error
		rows  int
	}{
		"imports":  {func(w io.Writer) error { return WriteImports(w, imports, "csv") }, 1 + 6 + 2 + 1 + 1},
		"versions": {func(w io.Writer) error { return WriteRecord(w, whole, "csv") }, 1 + 4},
		"changes": {func(w io.Writer) error {
			return WriteRecord(w, &Record{Events: whole.Events[1:2], Changes: whole.Changes}, "csv")
		}, 1 + 1},
		"baselines": {func(w io.Writer) error { return WriteRecord(w, &Record{Baselines: whole.Baselines}, "csv") }, 1 + 1},
		"events":    {func(w io.Writer) error { return WriteRecord(w, &Record{Events: whole.Events}, "csv") }, 1 + 4},
	} {
		var b bytes.Buffer
		if err := c.write(&b); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll() // which demands equal lengths
		if err != nil || len(rows) != c.rows {
			t.Errorf("%s: %d rows, want %d, %v\n%q", name, len(rows), c.rows, err, rows)
		}
		for _, row := range rows {
			for _, cell := range row {
				if strings.HasPrefix(cell, "=") {
					t.Errorf("%s: %q", name, cell)
				}
			}
		}
	}
}

// TestConflictsAreCut: a table for people shows the first of very many, and
// says how many there are.
func TestConflictsAreCut(t *testing.T) {
	var old, new strings.Builder
	old.WriteString("assay,concentration,exposed,dead\n")
	new.WriteString("assay,concentration,exposed,dead\n")
	for i := range 1200 {
		fmt.Fprintf(&old, "A%d,1,10,5\n", i)
		fmt.Fprintf(&new, "A%d,1,10,6\n", i)
	}
	r, err := registry.Open(filepath.Join(t.TempDir(), "r.sqlite"), registry.Options{Who: "Ada"})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	var f ImportedFile
	for _, text := range []string{old.String(), new.String()} {
		f = ImportedFile{File: "x.csv", Holds: registry.OfAssay, Outcome: Conflicting}
		f.Result, _ = r.Import(context.Background(), readTable(t, "x.csv", text), registry.SourceOf("x.csv", []byte(text)), registry.ImportOptions{})
	}
	var b bytes.Buffer
	if err := WriteImports(&b, &Imports{Files: []ImportedFile{f}}, "text"); err != nil {
		t.Fatal(err)
	}
	if got := strings.Count(b.String(), "  dead  "); got != mostConflicts || !strings.Contains(b.String(), "Not shown: 1160 more. The formats csv and json hold the first 1000.") {
		t.Errorf("%d rows\n%s", got, b.String())
	}
}

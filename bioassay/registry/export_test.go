package registry

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

// exported returns the files of an export by name.
func exported(t testing.TB, r *Registry, folder string) map[string][]byte {
	t.Helper()
	if err := r.Export(ctx, folder); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{}
	for _, e := range entries {
		if files[e.Name()], err = os.ReadFile(filepath.Join(folder, e.Name())); err != nil {
			t.Fatal(err)
		}
	}
	return files
}

func sameFiles(t *testing.T, a, b map[string][]byte) {
	t.Helper()
	if len(a) != len(b) {
		t.Errorf("%d and %d files", len(a), len(b))
	}
	for name := range a {
		if !bytes.Equal(a[name], b[name]) {
			t.Errorf("%s differs", name)
		}
	}
}

func TestExportRestoreExport(t *testing.T) {
	r := full(t)
	dir := t.TempDir()
	odd := &tables.Table{Assays: []bioassay.Assay{{Name: "odd\n\"é, 1", Role: bioassay.RoleBaseline, ReadingHours: bioassay.Known(0.1), Containers: []bioassay.Container{
		{Concentration: 0.30000000000000004, Exposed: 1 << 40, Note: "a\r\nb\\.", Extra: []bioassay.Field{{Name: "x,", Value: "=1"}}}}}}}
	if _, err := r.Import(ctx, odd, SourceOf("odd.csv", nil), ImportOptions{}); err != nil {
		t.Fatal(err)
	}
	if err := r.KeepResults(ctx, "s", "1.0", []Result{{"x", []byte("not part of the record")}}); err != nil {
		t.Fatal(err)
	}
	first := exported(t, r, filepath.Join(dir, "first"))
	path := filepath.Join(dir, "restored.db")
	if err := Restore(ctx, filepath.Join(dir, "first"), path, options()); err != nil {
		t.Fatal(err)
	}
	restored := opened(t, path)
	sameFiles(t, first, exported(t, restored, filepath.Join(dir, "second")))
	if a, b := sound(t, r), sound(t, restored); a.Head.Hash != b.Head.Hash || len(first) != len(recordedTables)+1 {
		t.Errorf("%+v, %+v, %d files", a, b, len(first))
	}
	// The restored one goes on where the first ended.
	put(t, restored, "z.csv", head+"Zulu,N7,amitraz,v1,2,10,5,\n", ImportOptions{})
	sound(t, restored)
	left, err := filepath.Glob(filepath.Join(dir, "*partial*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}

func TestExportOfNothing(t *testing.T) {
	r := fresh(t)
	dir := t.TempDir()
	first := exported(t, r, filepath.Join(dir, "first"))
	if err := Restore(ctx, filepath.Join(dir, "first"), filepath.Join(dir, "r.db"), options()); err != nil {
		t.Fatal(err)
	}
	sameFiles(t, first, exported(t, opened(t, filepath.Join(dir, "r.db")), filepath.Join(dir, "second")))
	isKind(t, r.Export(ctx, filepath.Join(dir, "first")), AlreadyThere)
	isKind(t, Restore(ctx, filepath.Join(dir, "first"), filepath.Join(dir, "r.db"), options()), AlreadyThere)
	isKind(t, r.Backup(ctx, filepath.Join(dir, "r.db")), AlreadyThere)
}

// A package of the first schema is restored by a program that has a second.
func TestRestoreOfOlderSchema(t *testing.T) {
	r := full(t)
	dir := t.TempDir()
	exported(t, r, filepath.Join(dir, "old"))
	two := steps("ALTER TABLE decisions ADD COLUMN weight REAL; CREATE TABLE weather (day TEXT NOT NULL PRIMARY KEY) STRICT")
	path := filepath.Join(dir, "r.db")
	if err := restore(ctx, filepath.Join(dir, "old"), path, options(), two); err != nil {
		t.Fatal(err)
	}
	migrated, err := open(path, options(), two)
	if err != nil {
		t.Fatal(err)
	}
	defer migrated.Close()
	if sound(t, migrated).Head.Hash != sound(t, r).Head.Hash {
		t.Error("the history has changed")
	}
	exported(t, migrated, filepath.Join(dir, "new"))
	isKind(t, Restore(ctx, filepath.Join(dir, "new"), filepath.Join(dir, "s.db"), options()), NewerSchema)
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 5 { // old, new, r.db and, while it is open, the two files beside it
		t.Errorf("%v %v", entries, err)
	}
}

// A package that was edited or is incomplete makes no registry.
func TestRestoreRefuses(t *testing.T) {
	r := full(t)
	dir := t.TempDir()
	files := exported(t, r, filepath.Join(dir, "whole"))
	rehash := func(files map[string][]byte) {
		var p dataPackage
		if err := json.Unmarshal(files[packageFile], &p); err != nil {
			t.Fatal(err)
		}
		for i := range p.Resources {
			f := &p.Resources[i]
			s := SourceOf(f.Path, files[f.Path])
			f.Hash, f.Bytes = hashPrefix+s.SHA256, s.Bytes
		}
		var b bytes.Buffer
		if err := p.write(&b); err != nil {
			t.Fatal(err)
		}
		files[packageFile] = b.Bytes()
	}
	replace := func(name, old, new string) func(map[string][]byte) {
		return func(files map[string][]byte) {
			changed := bytes.Replace(files[name], []byte(old), []byte(new), 1)
			if bytes.Equal(changed, files[name]) {
				t.Fatalf("%s has no %q", name, old)
			}
			files[name] = changed
		}
	}
	then := func(list ...func(map[string][]byte)) func(map[string][]byte) {
		return func(files map[string][]byte) {
			for _, f := range list {
				f(files)
			}
		}
	}
	for name, spoil := range map[string]func(map[string][]byte){
		"no descriptor":       func(f map[string][]byte) { delete(f, packageFile) },
		"not JSON":            func(f map[string][]byte) { f[packageFile] = []byte("{") },
		"another package":     func(f map[string][]byte) { f[packageFile] = []byte("{}") },
		"file missing":        func(f map[string][]byte) { delete(f, "changes.csv") },
		"file cut":            func(f map[string][]byte) { f["containers.csv"] = f["containers.csv"][:1000] },
		"count edited":        replace("changes.csv", ",5,6", ",4,6"),
		"count edited, hash":  then(replace("changes.csv", ",5,6", ",4,6"), rehash),
		"name edited, hash":   then(replace("assays.csv", "Zeta", "Beta"), rehash),
		"column edited, hash": then(replace("assays.csv", "name", "title"), rehash),
		"letter in number":    then(replace("changes.csv", "4,1,", "4,x,"), rehash),
		"key twice": then(func(f map[string][]byte) {
			f["changes.csv"] = append(f["changes.csv"], f["changes.csv"][bytes.IndexByte(f["changes.csv"], '\n')+1:]...)
		}, rehash),
		"nobody decided": then(replace("decisions.csv", ",Grace,", ",,"), rehash),
		"reference to nothing": then(func(f map[string][]byte) {
			f["sources.csv"] = append(f["sources.csv"], "77,x,"+strings.Repeat("0", 64)+",1\n"...)
		}, rehash),
		"path elsewhere":   replace(packageFile, `"path": "assays.csv"`, `"path": "../assays.csv"`),
		"head edited":      replace(packageFile, `"events": 6`, `"events": 5`),
		"head hash edited": replace(packageFile, `"head": "`, `"head": "0`),
		"table not listed": then(replace(packageFile, `"path": "assays.csv"`, `"path": "changes.csv"`), rehash),
	} {
		spoiled := map[string][]byte{}
		for n, data := range files {
			spoiled[n] = slices.Clone(data)
		}
		spoil(spoiled)
		folder := filepath.Join(dir, strings.ReplaceAll(name, " ", "-"))
		if err := os.Mkdir(folder, 0o755); err != nil {
			t.Fatal(err)
		}
		for n, data := range spoiled {
			if err := os.WriteFile(filepath.Join(folder, n), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		path := folder + ".db"
		t.Run(name, func(t *testing.T) {
			isKind(t, Restore(ctx, folder, path, options()), DamagedPackage)
			if left, err := filepath.Glob(path + "*"); err != nil || len(left) > 0 {
				t.Errorf("left behind: %v %v", left, err)
			}
		})
	}
}

// The descriptor describes every column and says what the files are.
func TestDescriptor(t *testing.T) {
	files := exported(t, full(t), filepath.Join(t.TempDir(), "x"))
	var p dataPackage
	if err := json.Unmarshal(files[packageFile], &p); err != nil {
		t.Fatal(err)
	}
	if len(p.Resources) != len(files)-1 || p.Registry.Schema != len(embedded()) {
		t.Errorf("%d resources, schema %d", len(p.Resources), p.Registry.Schema)
	}
	known := map[string]resource{}
	for _, r := range p.Resources {
		known[r.Name] = r
	}
	used := map[string]bool{}
	for _, r := range p.Resources {
		if r.Description == "" || r.Type != "table" || r.Bytes != int64(len(files[r.Path])) || r.Hash != hashPrefix+SourceOf("", files[r.Path]).SHA256 {
			t.Errorf("%+v", r)
		}
		line, _, _ := strings.Cut(string(files[r.Path]), "\n")
		var columns []string
		for _, f := range r.Schema.Fields {
			if columns = append(columns, f.Name); f.Description == "" || f.Type == "" {
				t.Errorf("%s.%s is not described", r.Name, f.Name)
			}
			used[f.Name], used[strings.TrimSuffix(r.Path, ".csv")+"."+f.Name] = true, true
		}
		if strings.Join(columns, ",") != line {
			t.Errorf("%s has %s, described as %v", r.Path, line, columns)
		}
		for _, k := range r.Schema.ForeignKeys {
			if other, ok := known[k.Reference.Resource]; !ok || !slices.Equal(other.Schema.PrimaryKey, k.Reference.Fields) || !slices.Contains(columns, k.Fields[0]) {
				t.Errorf("%s: %+v", r.Name, k)
			}
		}
	}
	for name := range columnDescriptions {
		if !used[name] {
			t.Errorf("%s is described and not there", name)
		}
	}
	if k := known["containers"].Schema; len(k.ForeignKeys) != 1 || !slices.Equal(k.PrimaryKey, []string{"revision_id", "position"}) || k.Fields[4].Type != "number" || k.Fields[14].Type != "array" {
		t.Errorf("%+v", k)
	}
}

package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// arrows lists, for every folder of the module, what it may import: of the
// project by prefix, and of packages with effects by name.
var arrows = []struct {
	folder string   // and everything below it that has no row of its own above
	allow  []string // project packages, a trailing /... for all below
}{
	{"doseresp/sim", []string{"vialwise/doseresp/..."}},
	{"doseresp/mixture", []string{"vialwise/doseresp", "vialwise/doseresp/internal/quick"}},
	{"doseresp/meta", []string{"vialwise/doseresp"}},
	{"doseresp/internal/quick", nil},
	{"doseresp", []string{"vialwise/doseresp/internal/quick"}},
	{"plots", []string{"vialwise/doseresp"}},
	{"bioassay/demo", []string{"vialwise/bioassay/...", "vialwise/doseresp/..."}},
	{"bioassay/tables/workbook", nil},
	{"bioassay/advice", []string{"vialwise/bioassay", "vialwise/bioassay/advice/...", "vialwise/doseresp"}},
	{"bioassay/tables", []string{"vialwise/bioassay", "vialwise/bioassay/tables/workbook"}},
	{"bioassay/registry", []string{"vialwise/bioassay", "vialwise/bioassay/tables"}},
	{"bioassay/rules", []string{"vialwise/bioassay"}},
	{"bioassay/track", []string{"vialwise/bioassay", "vialwise/doseresp/...", "vialwise/internal/parallel"}},
	{"bioassay/geo", []string{"vialwise/bioassay"}},
	{"bioassay/atlas", []string{"vialwise/bioassay/...", "vialwise/doseresp/..."}},
	{"bioassay", []string{"vialwise/doseresp/...", "vialwise/internal/parallel"}},
	{"cmd", []string{"vialwise/..."}},
	{"internal/needs", nil},
	{"internal/parallel", nil},
}

// single lists the packages that one folder alone may import.
var single = map[string]string{
	"gonum.org/v1/plot":                 "plots",
	"github.com/spf13/cobra":            "cmd",
	"github.com/xuri/excelize/v2":       "bioassay/tables/workbook",
	"modernc.org/sqlite":                "bioassay/registry",
	"github.com/BurntSushi/toml":        "bioassay",
	"codeberg.org/go-pdf/fpdf":          "plots",
	"codeberg.org/go-fonts":             "plots",
	"golang.org/x/image":                "plots",
	"github.com/schollz/progressbar/v3": "cmd",
}

// effects are packages that the numeric core must do without.
var effects = []string{"os", "io/fs", "net", "net/http", "database/sql", "time", "log"}

func allowed(path string, list []string) bool {
	return slices.ContainsFunc(list, func(pattern string) bool {
		prefix, all := strings.CutSuffix(pattern, "/...")
		return path == prefix || all && strings.HasPrefix(path, prefix+"/")
	})
}

// violation says what is wrong with a file of a folder importing a package.
func violation(folder, imported string, isTest bool) string {
	for library, owner := range single {
		if allowed(imported, []string{library + "/..."}) && !allowed(folder, []string{owner + "/..."}) {
			return "only " + owner + " imports " + library
		}
	}
	for _, a := range arrows {
		if !allowed(folder, []string{a.folder + "/..."}) {
			continue
		}
		if strings.HasPrefix(imported, "vialwise/") && !isTest && !allowed(imported, a.allow) {
			return a.folder + " may import " + strings.Join(append(a.allow, "nothing else"), ", ") + " of the project"
		}
		if strings.HasPrefix(a.folder, "doseresp") && !isTest && slices.Contains(effects, imported) {
			return "the numeric core does no input or output"
		}
		return ""
	}
	return "the folder has no place in the layout"
}

// TestImportDirection walks every Go file of the module.
func TestImportDirection(t *testing.T) {
	root := filepath.Join("..", "..")
	files := 0
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && path != root && strings.HasPrefix(entry.Name(), ".") {
			return fs.SkipDir
		}
		if filepath.Ext(path) != ".go" {
			return nil
		}
		files++
		folder, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range parsed.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			if why := violation(filepath.ToSlash(folder), imported, strings.HasSuffix(path, "_test.go")); why != "" {
				t.Errorf("%s imports %s: %s", path, imported, why)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 30 {
		t.Errorf("walked only %d Go files", files)
	}
}

// TestViolation shows that the rules can fail.
func TestViolation(t *testing.T) {
	for _, c := range []struct {
		folder, imported string
		wrong            bool
	}{
		{"doseresp", "vialwise/bioassay", true},
		{"doseresp", "os", true},
		{"doseresp", "math", false},
		{"plots", "vialwise/bioassay", true},
		{"bioassay", "vialwise/plots", true},
		{"bioassay", "vialwise/bioassay/tables", true},
		{"bioassay/tables", "vialwise/bioassay", false},
		{"bioassay/tables", "modernc.org/sqlite", true},
		{"bioassay/tables", "vialwise/cmd/vialwise/internal/render", true},
		{"bioassay", "gonum.org/v1/plot/vg", true},
		{"cmd/vialwise/internal/render", "vialwise/doseresp", false},
		{"elsewhere", "math", true},
	} {
		if got := violation(c.folder, c.imported, false); (got != "") != c.wrong {
			t.Errorf("%s importing %s: %q", c.folder, c.imported, got)
		}
	}
}

package tables

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwise/bioassay"
	"vialwise/internal/needs"
)

const officeDir = "testdata/libreoffice"

// officeFiles are the files made from source.csv: the filter that makes them,
// and what is said of them.
var officeFiles = []struct {
	file, filter string
	warnings     []bioassay.WarningCode
}{
	{"counts.xlsx", "", []bioassay.WarningCode{CellDate}},
	{"semicolons.csv", "csv:Text - txt - csv (StarCalc):59,34,76,1,,0,false,true", []bioassay.WarningCode{DecimalCommaRead}},
	{"utf16.csv", "csv:Text - txt - csv (StarCalc):9,34,65535,1,,0,false,true", []bioassay.WarningCode{EncodingUsed, DecimalCommaRead}},
	{"windows.csv", "csv:Text - txt - csv (StarCalc):59,34,1,1,,0,false,true", []bioassay.WarningCode{EncodingUsed, DecimalCommaRead}},
}

// checkOffice reads a file that LibreOffice made and compares it with its source.
func checkOffice(t *testing.T, path string, warnings []bioassay.WarningCode) {
	t.Helper()
	want, err := ReadFile(filepath.Join(officeDir, "source.csv"))
	if err != nil {
		t.Fatal(err)
	}
	got, err := ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, table := range []*Table{want, got} {
		for i := range table.Assays {
			table.Assays[i] = bare(table.Assays[i])
		}
	}
	if err := sameTable(want, got); err != nil {
		t.Errorf("%s: %v", path, err)
	}
	var codes []bioassay.WarningCode
	for _, w := range got.Warnings {
		codes = append(codes, w.Code)
	}
	if !slices.Equal(codes, warnings) {
		t.Errorf("%s: warnings %v, want %v", path, got.Warnings, warnings)
	}
}

func TestOfficeFiles(t *testing.T) {
	for _, f := range officeFiles {
		checkOffice(t, filepath.Join(officeDir, f.file), f.warnings)
	}
	for name, code := range map[string]Code{"counts.ods": OtherWorkbook, "counts.xls": OldWorkbook} {
		if _, err := ReadFile(filepath.Join(officeDir, name)); !errors.Is(err, code) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// office runs LibreOffice in a folder, with a profile of its own.
func office(t *testing.T, profile, dir string, arguments ...string) {
	t.Helper()
	soffice := needs.Tool(t, "soffice", "makes files with it")
	c, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(c, soffice, append([]string{"-env:UserInstallation=file://" + filepath.ToSlash(profile), "--headless"}, arguments...)...)
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}

// spanish is a profile of LibreOffice with the Spanish locale.
func spanish(t *testing.T) string {
	t.Helper()
	profile := t.TempDir()
	settings, err := os.ReadFile(filepath.Join(officeDir, "settings.xcu"))
	if err == nil {
		err = os.Mkdir(filepath.Join(profile, "user"), 0o700)
	}
	if err == nil {
		err = os.WriteFile(filepath.Join(profile, "user", "registrymodifications.xcu"), settings, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	return profile
}

// TestOfficeRegenerates makes the files anew and reads them.
func TestOfficeRegenerates(t *testing.T) {
	if testing.Short() {
		t.Skip("starts LibreOffice; run without -short")
	}
	needs.Tool(t, "soffice", "makes files with it")
	dir := t.TempDir()
	source, err := os.ReadFile(filepath.Join(officeDir, "source.csv"))
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, "counts.csv"), source, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	office(t, t.TempDir(), dir, "--infilter=CSV:44,34,76,1,,1033", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "counts.csv")
	profile := spanish(t)
	for _, f := range officeFiles {
		path := filepath.Join(dir, f.file)
		if f.filter != "" {
			office(t, profile, dir, "--convert-to", f.filter, "counts.xlsx")
			if err := os.Rename(filepath.Join(dir, "counts.csv"), path); err != nil {
				t.Fatal(err)
			}
		}
		checkOffice(t, path, f.warnings)
	}
}

// TestOfficeReadsWorkbooks lets LibreOffice open a workbook of this program and
// export it: texts that look like formulas are texts still, and days are days.
func TestOfficeReadsWorkbooks(t *testing.T) {
	if testing.Short() {
		t.Skip("starts LibreOffice; run without -short")
	}
	needs.Tool(t, "soffice", "makes files with it")
	want := mustRead(t, "assay,concentration,exposed,dead,collected_on,exposure_h,note,-x\n"+
		"=A+1,0.25,9,2,2031-04-09,6.5,'=1+1,@b\n=A+1,12,9,5,,,\"_x0041_, ñ\",\n")
	var book bytes.Buffer
	if err := WriteWorkbook(&book, want.Assays); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "ours.xlsx"), book.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	office(t, t.TempDir(), dir, "--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true", "ours.xlsx")
	text, err := os.ReadFile(filepath.Join(dir, "ours.csv"))
	if err != nil {
		t.Fatal(err)
	}
	got := mustRead(t, string(text))
	for _, table := range []*Table{want, got} {
		for i := range table.Assays {
			table.Assays[i] = bare(table.Assays[i])
		}
	}
	if err := sameTable(want, got); err != nil || !strings.Contains(string(text), "'=A+1") {
		t.Errorf("%v\n%s", err, text)
	}
}

package render

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
	"vialwise/internal/needs"
)

// TestBookInOffice lets LibreOffice open a workbook and compares every sheet that it
// exports, cell by cell, with what was written.
func TestBookInOffice(t *testing.T) {
	if testing.Short() {
		t.Skip("starts LibreOffice; run without -short")
	}
	soffice := needs.Tool(t, "soffice", "opens workbooks with it")
	f := analysed(t, readTable(t, "counts.csv", published+"=1+1,1,10,2\n=1+1,2,10,5\n=1+1,4,10,9\n"), bioassay.AnalysisOptions{})
	var b bytes.Buffer
	if err := WriteFitsBook(&b, f); err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "book.xlsx"), b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	c, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	// -1: every sheet, in a file of its own; the texts as stored, not as shown
	cmd := exec.CommandContext(c, soffice, "-env:UserInstallation=file://"+filepath.ToSlash(t.TempDir()), "--headless",
		"--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,-1", "book.xlsx")
	cmd.Dir = folder
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	names, sheets := bookSheets(t, b.Bytes())
	for _, name := range names {
		raw, err := os.ReadFile(filepath.Join(folder, "book-"+name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		compareExport(t, name, rows, sheets[name])
	}
}

func compareExport(t *testing.T, name string, got [][]string, want [][]workbook.Cell) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("sheet %s: %d rows, want %d", name, len(got), len(want))
	}
	for i := range want {
		for k, cell := range want[i] {
			share, isShare := strings.CutSuffix(got[i][k], "%")
			x, errX := strconv.ParseFloat(share, 64)
			y, errY := strconv.ParseFloat(cell.Text, 64)
			if isShare {
				x /= 100
			}
			same := got[i][k] == cell.Text
			if errX == nil && errY == nil && cell.Kind != workbook.Text {
				same = isShare == (cell.Kind == workbook.Percent) && math.Abs(x-y) <= officeTolerance*math.Abs(y)
			}
			if !same {
				t.Errorf("sheet %s, row %d, column %d: %q, want %q", name, i+1, k+1, got[i][k], cell.Text)
			}
		}
	}
}

// officeTolerance: LibreOffice exports 15 digits.
const officeTolerance = 1e-13

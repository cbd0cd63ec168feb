package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"
	"pgregory.net/rapid"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

// untidy is a count table as somebody may keep it, cell by cell.
type untidy struct {
	header []string
	rows   [][]string
	lines  []int // of each row in the file
	raw    []byte
	tidy   bool // rows stand assay by assay, columns in canonical order
}

// drawUntidy draws a table that can be read.
func drawUntidy(t *rapid.T) untidy {
	sign := rapid.SampledFrom([]string{",", ";", "\t"}).Draw(t, "sign")
	comma := sign != "," && rapid.Bool().Draw(t, "decimal comma")
	lineEnd := rapid.SampledFrom([]string{"\n", "\r\n", "\r"}).Draw(t, "line end")
	pick := func(what string, from ...string) string { return rapid.SampledFrom(from).Draw(t, what) }
	u := untidy{header: []string{
		pick("assay", "assay", "Ensayo", " ASSAY "), pick("day", "collected_on", "fecha_de_colecta"), pick("acaricide", "acaricide", "Acaricida "),
		pick("dose", "concentration", "dosis"), pick("exposed", "exposed", "Expuestos"), pick("dead", "dead", "muertos", "Dead"), pick("note", "note", "nota"), "bench",
	}}
	blank := func(cell string) string {
		return pick("before", "", "", "", " ") + cell + pick("after", "", "", "", " ", "\u00A0")
	}
	names := []string{"N1", "Äcker 2", "=N3"}[:rapid.IntRange(1, 3).Draw(t, "assays")]
	n := rapid.IntRange(1, 12).Draw(t, "rows")
	for i := range n {
		name := names[i*len(names)/n] // assay by assay
		exposed := rapid.IntRange(1, 30).Draw(t, "exposed")
		dose := pick("dose", "0", "0.5", "1", "2.50", "1e-3", "12.25")
		if comma {
			dose = strings.ReplaceAll(dose, ".", ",")
		}
		u.rows = append(u.rows, []string{
			blank(name), blank(pick("day", "2031-04-09", "2031/4/9", "2031-4-9")), blank("amitraz"), blank(dose), blank(fmt.Sprint(exposed)),
			blank(fmt.Sprint(rapid.IntRange(0, exposed).Draw(t, "dead"))), blank(pick("note", "", "ein \"Wort\"", "a;b,c", "-x", "'=y", "two\nlines")), blank(pick("bench", "", "B 7", "@home")),
		})
	}
	u.tidy = true
	if rapid.Bool().Draw(t, "shuffle") {
		order := rapid.Permutation(indices(n)).Draw(t, "order")
		rows := slices.Clone(u.rows)
		for i, k := range order {
			u.tidy = u.tidy && i == k
			u.rows[i] = rows[k]
		}
	}
	u.write(t, sign, lineEnd)
	return u
}

func indices(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// write makes the bytes of the table.
func (u *untidy) write(t *rapid.T, sign, lineEnd string) {
	var b strings.Builder
	line := 1
	put := func(cells []string) {
		for i, cell := range cells {
			if i > 0 {
				b.WriteString(sign)
			}
			if strings.ContainsAny(cell, sign+"\"\n") || rapid.IntRange(0, 9).Draw(t, "quotes") == 0 {
				cell = `"` + strings.ReplaceAll(cell, `"`, `""`) + `"`
			}
			b.WriteString(strings.ReplaceAll(cell, "\n", lineEnd))
			line += strings.Count(cell, "\n")
		}
		b.WriteString(lineEnd)
		line++
	}
	put(u.header)
	for _, row := range u.rows {
		switch rapid.IntRange(0, 9).Draw(t, "blank row") {
		case 0:
			b.WriteString(lineEnd)
			line++
		case 1:
			b.WriteString(strings.Repeat(sign, len(row)-1) + lineEnd)
			line++
		}
		u.lines = append(u.lines, line)
		put(row)
	}
	u.raw = []byte(b.String())
	switch rapid.IntRange(0, 3).Draw(t, "encoding") {
	case 0:
		u.raw = append([]byte("\xEF\xBB\xBF"), u.raw...)
	case 1:
		u.raw, _ = charmap.Windows1252.NewEncoder().Bytes(u.raw)
	}
}

// bareAssays are assays without what depends on the file.
func bareAssays(assays []bioassay.Assay) []bioassay.Assay {
	for i := range assays {
		for k := range assays[i].Containers {
			c := &assays[i].Containers[k]
			c.Source, c.ConcentrationText = bioassay.Origin{}, ""
			if len(c.Extra) == 0 {
				c.Extra = nil
			}
		}
	}
	return assays
}

// TestCleanedCopySaysTheSame cleans random tables. The copy gives equal assays
// and no conversion, the original keeps its bytes, and the list, applied to the
// cells of the original, gives those of the copy.
func TestCleanedCopySaysTheSame(t *testing.T) {
	folder := t.TempDir()
	number, written := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		u := drawUntidy(t)
		number++
		path := filepath.Join(folder, fmt.Sprintf("%d.csv", number))
		if err := os.WriteFile(path, u.raw, 0o644); err != nil {
			t.Fatal(err)
		}
		var stdout, stderr bytes.Buffer
		if run([]string{"check", "--fix", path}, nil, &stdout, &stderr) == exitUsage || strings.Contains(stdout.String(), "of which nothing was used") {
			t.Fatalf("%s\n%s", &stdout, &stderr)
		}
		if raw, err := os.ReadFile(path); err != nil || !bytes.Equal(raw, u.raw) {
			t.Fatalf("the original has changed, %v", err)
		}
		copied := baseName(path) + copyEnding
		text, err := os.ReadFile(copied)
		if os.IsNotExist(err) {
			if !bytes.Contains(stdout.Bytes(), []byte("already clean")) {
				t.Fatalf("no copy:\n%s", &stdout)
			}
			return
		}
		written++
		original, err := tables.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		cleaned, err := tables.ReadFile(copied)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(bareAssays(original.Assays), bareAssays(cleaned.Assays)) {
			t.Fatalf("the copy says\n%+v\nthe original\n%+v", cleaned.Assays, original.Assays)
		}
		for _, w := range cleaned.Warnings {
			if w.Code != tables.ProtectedText && w.Code != tables.UnknownColumn {
				t.Fatalf("the copy is read with %v", w)
			}
		}
		u.compare(t, text, baseName(path)+listEnding)
	})
	if written < 10 {
		t.Errorf("only %d copies were written", written)
	}
}

// compare applies the list of changes to the cells of the original.
func (u *untidy) compare(t *rapid.T, text []byte, list string) {
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(list)
	if err != nil {
		t.Fatal(err)
	}
	changes, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string][]string{}
	dropped := map[int]bool{}
	for _, c := range changes[1:] {
		if c[6] == "" || c[6] == "as it was read" {
			t.Fatalf("no reason in %q", c)
		}
		if strings.Contains(c[6], "same number") && !sameNumber(c[4], c[5]) {
			t.Fatalf("another number in %q", c)
		}
		listed[c[1]+":"+c[2]] = c
		if c[2] != "" && c[5] == "" && c[1] == "1" {
			dropped[slices.Index(u.header, c[4])] = true
		}
	}
	plain := func(cell string) string { return strings.TrimPrefix(cell, "'") } // of the list
	var got [][]string
	for i, row := range append([][]string{u.header}, u.rows...) {
		line := 1
		if i > 0 {
			line = u.lines[i-1]
		}
		var cells []string
		for k, cell := range row {
			if dropped[k] {
				continue
			}
			if c := listed[fmt.Sprintf("%d:%d", line, k+1)]; c != nil {
				if plain(c[4]) != cell {
					t.Fatalf("the list says %q, not %q", c, cell)
				}
				cell = plain(c[5])
			}
			cells = append(cells, cell)
		}
		got = append(got, cells)
	}
	want := slices.Clone(rows)
	if !u.tidy { // in the copy assay by assay, in the order of their first rows
		slices.SortFunc(got, slices.Compare)
		slices.SortFunc(want, slices.Compare)
	}
	if !sameCells(sortColumns(got), sortColumns(want)) {
		t.Fatalf("applied to\n%q\n%q\nthe list\n%q\ngives\n%q\nwant\n%q", u.header, u.rows, changes, got, want)
	}
}

// sameNumber compares numbers, the first with either decimal mark.
func sameNumber(a, b string) bool {
	x, errX := strconv.ParseFloat(blankless(strings.Replace(a, ",", ".", 1)), 64)
	y, errY := strconv.ParseFloat(b, 64)
	return errX == nil && errY == nil && x == y
}

// sortColumns leaves the cells of each row in the order of their texts, for
// columns may have moved.
func sortColumns(rows [][]string) [][]string {
	for _, row := range rows {
		slices.Sort(row)
	}
	slices.SortFunc(rows, slices.Compare)
	return rows
}

func sameCells(a, b [][]string) bool {
	return slices.EqualFunc(a, b, func(x, y []string) bool { return slices.Equal(x, y) })
}

// TestCellReason gives a reason for every way in which a cell can differ.
func TestCellReason(t *testing.T) {
	for _, c := range []struct{ column, before, after, want string }{
		{"note", " a", "a", "blanks"},
		{"role", "", "field", "means field"},
		{"missing", "", "0", "means none"},
		{"acaricide", "", "amitraz", "same assay"},
		{"concentration", "1,5 ", "1.5", "decimal point"},
		{"concentration", "1.50", "1.5", "same number"},
		{"dead", "3.0", "3", "whole"},
		{"tested_on", "2031/4/9", "2031-04-09", "year-month-day"},
		{"tested_on", "47947", "2031-04-09", "shown as"},
		{"tested_blind", "Sí", "yes", "word"},
		{"note", "=x", "'=x", "apostrophe"},
		{"note", "one", "two", "as it was read"},
	} {
		if got := cellReason(c.column, c.before, c.after); !strings.Contains(got, c.want) {
			t.Errorf("%s, %q to %q: %s, want %s", c.column, c.before, c.after, got, c.want)
		}
	}
}

// TestCleanedWorkbook cleans a workbook that a spreadsheet made.
func TestCleanedWorkbook(t *testing.T) {
	raw, err := os.ReadFile("../../bioassay/tables/testdata/libreoffice/counts.xlsx")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "counts.xlsx")
	if err := os.WriteFile(path, raw, 0o644); err != nil {
		t.Fatal(err)
	}
	var stdout, stderr bytes.Buffer
	if status := run([]string{"check", "--fix", path}, nil, &stdout, &stderr); status != exitAnswered {
		t.Fatalf("status %d\n%s\n%s", status, &stdout, &stderr)
	}
	original, err := tables.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	cleaned, err := tables.ReadFile(baseName(path) + copyEnding)
	if err != nil {
		t.Fatal(err)
	}
	if len(cleaned.Warnings) > 0 || !reflect.DeepEqual(bareAssays(original.Assays), bareAssays(cleaned.Assays)) {
		t.Errorf("%v\n%+v\n%+v", cleaned.Warnings, original.Assays, cleaned.Assays)
	}
	list, err := os.ReadFile(baseName(path) + listEnding)
	if err != nil || !bytes.Contains(list, []byte("workbook,CSV")) {
		t.Errorf("%s %v", list, err)
	}
}

// TestDaysOfAWorkbookAreListed: a day is a number in a workbook, in whatever
// shape it is shown, so that the copy does not say what stands there.
func TestDaysOfAWorkbookAreListed(t *testing.T) {
	table, err := tables.Read("f", strings.NewReader("assay,tested_on,concentration,exposed,dead,moribund\nA,2031-04-09,1,9,2,0\nA,2031-04-09,2,9,3,0\n"))
	if err != nil {
		t.Fatal(err)
	}
	var book bytes.Buffer
	if err := tables.WriteWorkbook(&book, table.Assays); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "days.xlsx")
	if err := os.WriteFile(path, book.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	var stdout, stderr bytes.Buffer
	if status := run([]string{"check", "--fix", path}, nil, &stdout, &stderr); status != exitAnswered {
		t.Fatalf("status %d\n%s\n%s", status, &stdout, &stderr)
	}
	list, err := os.ReadFile(baseName(path) + listEnding)
	for _, line := range []string{"counts,2,2,tested_on,47947,2031-04-09,", "counts,3,2,tested_on,47947,2031-04-09,"} {
		if err != nil || !bytes.Contains(list, []byte(line)) {
			t.Errorf("no %s in\n%s%v", line, list, err)
		}
	}
}

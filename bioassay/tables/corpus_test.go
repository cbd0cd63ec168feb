package tables

import (
	"bytes"
	"encoding/csv"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwise/bioassay/tables/internal/corpus"
)

const (
	corpusAnswers = "testdata/corpus.csv"
	slowest       = 5 * time.Second // for one file
	slowestBomb   = time.Second
	fewest        = 150 // files
)

var rewrite = flag.Bool("rewrite", false, "write "+corpusAnswers+" anew, to be read through before it is kept")

// outcome is what becomes of a file, in the columns of the answers: for a file
// that is refused the first error, for one that is read its sizes and warnings.
func outcome(f corpus.File) []string {
	table, err := Read(f.Name, bytes.NewReader(f.Data))
	var es Errors
	switch {
	case err == nil:
		var codes []string
		for _, w := range table.Warnings {
			if !slices.Contains(codes, string(w.Code)) {
				codes = append(codes, string(w.Code))
			}
		}
		slices.Sort(codes)
		containers := 0
		for _, a := range table.Assays {
			containers += len(a.Containers)
		}
		return []string{f.Name, "read", "", strconv.Itoa(len(table.Assays)), strconv.Itoa(containers), strings.Join(codes, " ")}
	case errors.As(err, &es):
		e := es[0]
		return []string{f.Name, "refused", e.Sheet, strconv.Itoa(e.Line), strconv.Itoa(e.Column), string(e.Code)}
	}
	return []string{f.Name, "error of the reader", "", "", "", err.Error()}
}

// TestCorpus reads every file of the corpus and compares what becomes of it
// with the answer that is kept. No file takes long, whatever it holds.
func TestCorpus(t *testing.T) {
	files := wholeCorpus()
	if len(files) < fewest {
		t.Errorf("only %d files", len(files))
	}
	if *rewrite {
		writeAnswers(t, files)
	}
	kept := answers(t)
	refused := 0
	for _, f := range files {
		start := time.Now()
		got := outcome(f)
		limit := slowest
		if strings.HasPrefix(f.Name, "bomb") {
			limit = slowestBomb
		}
		if took := time.Since(start); took > limit {
			t.Errorf("%s took %v", f.Name, took)
		}
		want, ok := kept[f.Name]
		if !ok || !slices.Equal(got, want) {
			t.Errorf("got  %q\nwant %q", got, want)
		}
		delete(kept, f.Name)
		if got[1] == "refused" {
			refused++
		}
	}
	for name := range kept {
		t.Errorf("there is an answer for %s and no such file", name)
	}
	t.Logf("%d files, of which %d are refused", len(files), refused)
}

// TestCorpusIsSteady makes the corpus twice.
func TestCorpusIsSteady(t *testing.T) {
	seen := map[string]bool{}
	again := corpus.Files()
	for i, f := range wholeCorpus() {
		if seen[f.Name] || !bytes.Equal(f.Data, again[i].Data) {
			t.Errorf("%s is there twice, or differs each time", f.Name)
		}
		seen[f.Name] = true
	}
}

// TestCorpusMessages checks that no message carries bytes that steer a terminal.
func TestCorpusMessages(t *testing.T) {
	for _, f := range wholeCorpus() {
		table, err := Read(f.Name, bytes.NewReader(f.Data))
		if err != nil {
			for _, line := range strings.Split(err.Error(), "\n") {
				checkPrintable(t, line)
			}
			continue
		}
		for _, w := range table.Warnings {
			checkPrintable(t, w.String())
		}
	}
}

func answers(t *testing.T) map[string][]string {
	t.Helper()
	text, err := os.ReadFile(filepath.FromSlash(corpusAnswers))
	if err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	kept := map[string][]string{}
	for _, r := range records[1:] {
		kept[r[0]] = r
	}
	return kept
}

func writeAnswers(t *testing.T, files []corpus.File) {
	t.Helper()
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Write([]string{"file", "outcome", "sheet", "line or assays", "column or containers", "code or warnings"})
	for _, f := range files {
		w.Write(outcome(f))
	}
	w.Flush()
	if err := os.MkdirAll("testdata", 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(corpusAnswers, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	fmt.Printf("%d answers written\n", len(files))
}

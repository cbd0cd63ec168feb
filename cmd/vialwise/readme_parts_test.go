package main

import (
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
)

const sampleManual = "# Title\n\nSave this as `counts.csv`:\n\n```csv\nassay,concentration,exposed,dead\nA,1,10,2\nA,2,10,5\nA,4,10,9\n```\n\n" +
	"```csv\nnot,named\n```\n\nThe file `other.csv`:\n```text\nno table\n```\n\n" +
	"```sh\ngo run ./cmd/vialwise fit counts.csv   # a remark\ngo test ./...\ngo run ./cmd/vialwise fit \\\n  --percent '10, 90' counts.csv\n```\n\n" +
	"```text\ngo run ./cmd/vialwise not a command\n```\n"

// TestReadManual shows which parts of a manual are taken.
func TestReadManual(t *testing.T) {
	m := readManual(sampleManual)
	tables := map[string]string{"counts.csv": "assay,concentration,exposed,dead\nA,1,10,2\nA,2,10,5\nA,4,10,9\n"}
	if !maps.Equal(m.tables, tables) {
		t.Errorf("tables %q", m.tables)
	}
	commands := []string{
		"go run ./cmd/vialwise fit counts.csv   # a remark",
		"go run ./cmd/vialwise fit    --percent '10, 90' counts.csv",
	}
	if !slices.Equal(m.commands, commands) {
		t.Errorf("commands %q", m.commands)
	}
}

func TestWords(t *testing.T) {
	for line, want := range map[string][]string{
		"fit  a.csv":              {"fit", "a.csv"},
		`fit 'a b.csv' "c d.csv"`: {"fit", "a b.csv", "c d.csv"},
		"fit ''":                  {"fit", ""},
		"fit a#b # c":             {"fit", "a#b"},
		"fit < a.csv > b.txt":     {"fit", "<", "a.csv", ">", "b.txt"},
	} {
		if got, err := words(line); err != nil || !slices.Equal(got, want) {
			t.Errorf("%s: %q, %v", line, got, err)
		}
	}
	for _, line := range []string{"fit a.csv | less", "fit $FILE", "fit *.csv", "fit 'a", "fit a; fit b"} {
		if got, err := words(line); err == nil {
			t.Errorf("%s: taken as %q", line, got)
		}
	}
}

// TestRunLine shows that a line of a manual can fail.
func TestRunLine(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("counts.csv", []byte(readManual(sampleManual).tables["counts.csv"]), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, good := range []string{"fit counts.csv", "fit --out a.txt counts.csv", "fit - < counts.csv > b.txt", "--help"} {
		if err := runLine(goRun + " " + good); err != nil {
			t.Errorf("%s: %v", good, err)
		}
	}
	a, errA := os.ReadFile("a.txt")
	b, errB := os.ReadFile("b.txt")
	if errA != nil || errB != nil || len(a) == 0 || string(a) != string(b) {
		t.Errorf("--out wrote %q, > %q, %v, %v", a, b, errA, errB)
	}
	for bad, want := range map[string]string{
		"fit missing.csv": "exit status 1", "fit --colour counts.csv": "exit status 2",
		"fit - < missing.csv": "missing.csv", "fit counts.csv >": "no file follows", "fit a | b": "shell",
	} {
		if err := runLine(goRun + " " + bad); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", bad, err)
		}
	}
}

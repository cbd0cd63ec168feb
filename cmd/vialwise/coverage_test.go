package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestCoverageCommand runs one data set of every cell, twice.
func TestCoverageCommand(t *testing.T) {
	if testing.Short() {
		t.Skip("270 data sets take a second or more")
	}
	var tables [][]byte
	for _, workers := range []string{"1", "2"} {
		folder := filepath.Join(t.TempDir(), "new", "study")
		var stdout, stderr bytes.Buffer
		status := run([]string{"coverage", "--data-sets", "1", "--bootstrapped", "0", "--seed", "3", "--workers", workers, "--out", folder}, nil, &stdout, &stderr)
		if status != exitAnswered || stdout.Len()+stderr.Len() > 0 {
			t.Fatalf("status %d, %s%s", status, stdout.String(), stderr.String())
		}
		table, err := os.ReadFile(filepath.Join(folder, "coverage.csv"))
		if err != nil {
			t.Fatal(err)
		}
		tables = append(tables, table)
		report, err := os.ReadFile(filepath.Join(folder, "coverage.md"))
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"# How often", "\n    vialwise coverage --data-sets 1 --seed 3 --bootstrapped 0 --replicates 399\n", "135 cells × 1 data set, "} {
			if !strings.Contains(string(report), want) {
				t.Errorf("the report lacks %q", want)
			}
		}
		if strings.Contains(string(report), folder) {
			t.Error("the report names a folder of this machine")
		}
	}
	if !bytes.Equal(tables[0], tables[1]) {
		t.Error("two workers counted otherwise than one")
	}
	if n := bytes.Count(tables[0], []byte("\n")); n < 135*2 {
		t.Errorf("%d lines", n)
	}
}

func TestCoverageMistakes(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{"counts.csv"}, exitUsage, "vialwise fit counts.csv"},
		{[]string{"--data-sets", "0", "--out", t.TempDir()}, exitUsage, "0 data sets"},
		{[]string{"--out", file}, exitFailed, "--out"},
	} {
		var stdout, stderr bytes.Buffer
		if status := run(append([]string{"coverage"}, c.args...), nil, &stdout, &stderr); status != c.status || !strings.Contains(stderr.String(), c.says) {
			t.Errorf("%q: status %d, %s", c.args, status, stderr.String())
		}
	}
}

// TestCoverageIsHidden shows that it has help of its own all the same.
func TestCoverageIsHidden(t *testing.T) {
	for args, shown := range map[string]bool{"--help": false, "coverage --help": true} {
		var stdout, stderr bytes.Buffer
		run(strings.Fields(args), nil, &stdout, &stderr)
		if strings.Contains(stdout.String(), "coverage") != shown {
			t.Errorf("vialwise %s says\n%s", args, stdout.String())
		}
	}
}

package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io/fs"
	"maps"
	"math"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// status runs a command and demands its exit status: status 2 vialwise fit.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N COMMAND ...")
	}
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if want := args[0]; strconv.Itoa(got) != want {
		ts.Fatalf("exit status %d, want %s", got, want)
	}
}

// decode writes a file of bytes that a script cannot hold. The text is what
// would stand in a Go string; its own line breaks do not count.
func decode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: decode TEXT FILE")
	}
	text := strings.NewReplacer("\n", "", `"`, `\"`).Replace(ts.ReadFile(args[0]))
	raw, err := strconv.Unquote(`"` + text + `"`)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(raw), 0o644))
}

// cellTolerance is the relative difference that numbers computed on another
// processor may have.
const cellTolerance = 1e-9

// cmpCells compares two CSV files cell by cell, numbers within cellTolerance.
func cmpCells(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: cmpcells FILE WANT")
	}
	read := func(file string) [][]string {
		rows, err := csv.NewReader(strings.NewReader(ts.ReadFile(file))).ReadAll()
		ts.Check(err)
		return rows
	}
	got, want := read(args[0]), read(args[1])
	if len(got) != len(want) {
		ts.Fatalf("%s has %d rows, %s has %d", args[0], len(got), args[1], len(want))
	}
	for i := range want {
		if !slices.EqualFunc(got[i], want[i], sameCell) {
			ts.Fatalf("row %d differs:\n%q\n%q", i+1, got[i], want[i])
		}
	}
}

func sameCell(a, b string) bool {
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if errX != nil || errY != nil {
		return a == b
	}
	return math.Abs(x-y) <= cellTolerance*math.Abs(y)
}

// sameFolder compares all files of two folders, byte by byte.
func sameFolder(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: samefolder FOLDER WANT")
	}
	files := func(folder string) map[string][]byte {
		found := map[string][]byte{}
		root := os.DirFS(ts.MkAbs(folder))
		ts.Check(fs.WalkDir(root, ".", func(path string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() {
				return err
			}
			found[path], err = fs.ReadFile(root, path)
			return err
		}))
		return found
	}
	got, want := files(args[0]), files(args[1])
	if len(want) == 0 || !maps.EqualFunc(got, want, bytes.Equal) {
		ts.Fatalf("%s has %d files, %s has %d, and they are not all the same", args[0], len(got), args[1], len(want))
	}
}

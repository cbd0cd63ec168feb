package main

import (
	"context"
	"os"

	"github.com/rogpeppe/go-internal/testscript"

	"vialwise/bioassay/registry"
)

// headOf puts the hash of the newest event of a registry into a variable.
func headOf(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: headof REGISTRY VARIABLE")
	}
	r, err := registry.Open(ts.MkAbs(args[0]), registry.Options{MustExist: true})
	ts.Check(err)
	defer r.Close()
	head, err := newest(context.Background(), r)
	ts.Check(err)
	ts.Setenv(args[1], head.Hash)
}

// damage turns over one bit in the middle of a file.
func damage(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: damage FILE")
	}
	raw, err := os.ReadFile(ts.MkAbs(args[0]))
	ts.Check(err)
	raw[len(raw)/2] ^= 1
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), raw, 0o644))
}

// escape puts the character that begins the commands of a terminal into a
// variable.
func escape(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: escape VARIABLE")
	}
	ts.Setenv(args[0], "\x1b")
}

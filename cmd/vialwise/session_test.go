package main

import (
	"flag"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the golden answers of the sessions")

// TestMain lets the sessions call the program by its name.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"vialwise": main})
}

// TestSessions runs the command lines in testdata/script. Besides the usual
// words these have words of their own, in sessionwords_test.go and registrywords_test.go.
func TestSessions(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                "testdata/script",
		UpdateScripts:      *update,
		RequireUniqueNames: true,
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"status":     status,
			"decode":     decode,
			"cmpcells":   cmpCells,
			"samefolder": sameFolder,
			"headof":     headOf, "programmefiles": programmeFiles,
			"damage": damage,
			"escape": escape,
		},
	})
}

// Package needs finds the programs of others that some tests compare with. The
// tests that the README names need Go alone: where such a program is missing they
// are skipped with the reason, unless Required says that a skip would hide a
// missing check.
package needs

import (
	"os"
	"os/exec"
	"testing"
)

// Required reports that the environment variable VIALWISE_REQUIRE_TOOLS is set, as
// CI sets it: nothing may be missing.
func Required() bool { return os.Getenv("VIALWISE_REQUIRE_TOOLS") != "" }

// Tool returns the path of a program. Without it the test does not go on; why ends
// the reason of the skip, as in "compares with it".
func Tool(t testing.TB, name, why string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		Missing(t, name, why)
	}
	return path
}

// Missing ends a test that cannot do without what is not installed.
func Missing(t testing.TB, what, why string) {
	t.Helper()
	if Required() {
		t.Fatalf("%s is required here and not installed", what)
	}
	t.Skipf("%s is not installed; this test %s", what, why)
}

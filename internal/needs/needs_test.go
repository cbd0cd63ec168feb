package needs

import "testing"

// ending is a test that only remembers how it was ended.
type ending struct {
	testing.TB
	failed, skipped bool
}

func (e *ending) Helper()               {}
func (e *ending) Fatalf(string, ...any) { e.failed = true; panic(e) }
func (e *ending) Skipf(string, ...any)  { e.skipped = true; panic(e) }

// TestTool: what is there is found, what is missing skips the test, and fails it
// where nothing may be missing.
func TestTool(t *testing.T) {
	if path := Tool(t, "go", "is run by it"); path == "" {
		t.Error("go was found nowhere")
	}
	for _, required := range []string{"", "1"} {
		t.Setenv("VIALWISE_REQUIRE_TOOLS", required)
		e := new(ending)
		func() {
			defer func() { _ = recover() }()
			Tool(e, "no such program", "needs it")
		}()
		if e.failed != (required != "") || e.skipped == e.failed {
			t.Errorf("required %q: %+v", required, e)
		}
	}
}

package doseresp_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"vialwise/doseresp"
	"vialwise/internal/needs"
)

// needTool returns the path of a program that a test compares with.
func needTool(t *testing.T, name string) string {
	t.Helper()
	return needs.Tool(t, name, "compares with it")
}

// TestReferenceRegenerates runs the scripts of the reference set again and
// compares what they write with what is kept: assays to the byte, numbers to
// the rounding of another processor's mathematics.
func TestReferenceRegenerates(t *testing.T) {
	loose := map[string]bool{"lower": true, "upper": true, "excluded_lower": true, "excluded_upper": true, "p_container": true, "p_dose": true}
	regenerate(t, referenceDir, "reference.R", []string{"fits.csv", "lc.csv"}, func(column string) float64 {
		if loose[column] { // far limits and tail probabilities magnify rounding
			return 1e-6
		}
		return 1e-8
	})
}

// regenerate runs an R script that writes assays.csv and other tables into a
// folder, and compares the first to the byte and the others to a tolerance for
// each column with those that are kept beside the script.
func regenerate(t *testing.T, dir, script string, names []string, tolerance func(column string) float64) {
	t.Helper()
	if testing.Short() {
		t.Skip("regenerating takes a minute; run without -short")
	}
	rscript := needTool(t, "Rscript")
	out := t.TempDir()
	cmd := exec.Command(rscript, script, out)
	cmd.Dir = dir
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	kept, err := os.ReadFile(filepath.Join(dir, "assays.csv"))
	if err != nil {
		t.Fatal(err)
	}
	again, err := os.ReadFile(filepath.Join(out, "assays.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if string(kept) != string(again) {
		t.Error("assays.csv differs from what the script writes")
	}
	for _, name := range names {
		compareTables(t, name, readTable(t, dir, name), readTable(t, out, name), tolerance)
	}
}

// compareTables compares two tables cell by cell: words exactly, numbers to a
// tolerance for each column.
func compareTables(t *testing.T, name string, kept, again table, tolerance func(column string) float64) {
	t.Helper()
	if len(kept.rows) != len(again.rows) {
		t.Errorf("%s: %d rows are kept and %d written again", name, len(kept.rows), len(again.rows))
		return
	}
	different := 0
	for column, i := range kept.column {
		for k := range kept.rows {
			if !sameCell(kept.rows[k][i], again.rows[k][again.column[column]], tolerance(column)) {
				if different++; different <= 10 {
					t.Errorf("%s row %d %s: %s is kept, %s written again", name, k+2, column, kept.rows[k][i], again.rows[k][again.column[column]])
				}
			}
		}
	}
	if different > 10 {
		t.Errorf("%s: %d cells differ", name, different)
	}
}

func sameCell(a, b string, tolerance float64) bool {
	if a == b {
		return true
	}
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if errX != nil || errY != nil {
		return false
	}
	// statistics that are 0 but for rounding count as equal
	return abs(x-y) <= tolerance*max(abs(x), abs(y)) || abs(x) < 1e-9 && abs(y) < 1e-9
}

func abs(x float64) float64 { return max(x, -x) }

// speedAssay is six doses with two containers each and two controls; invented.
const speedAssay = "0:15/1 0:15/0 .5:15/2 .5:15/3 1:15/4 1:15/5 2:15/8 2:15/7 4:15/11 4:15/10 8:15/14 8:15/13 16:15/15 16:15/14"

// TestSpeedAgainstGLM measures a full fit, limits and all, beside base R's
// glm.fit alone on the same treated containers, in one run. The bound is well
// below what is measured on an idle machine, so that noise does not fail it.
func TestSpeedAgainstGLM(t *testing.T) {
	if testing.Short() {
		t.Skip("a measurement of speed means nothing under -short, as with the race detector")
	}
	rscript := needTool(t, "Rscript")
	containers := counts(t, speedAssay)
	var csv strings.Builder
	csv.WriteString("assay,concentration,exposed,dead\n")
	for _, c := range containers {
		fmt.Fprintf(&csv, "speed,%g,%d,%d\n", c.Dose, c.Exposed, c.Dead)
	}
	file := filepath.Join(t.TempDir(), "speed.csv")
	if err := os.WriteFile(file, []byte(csv.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(rscript, "glmspeed.R", file)
	cmd.Dir = referenceDir
	text, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	glm, err := strconv.ParseFloat(strings.TrimSpace(string(text)), 64)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	for _, c := range []struct {
		name  string
		mode  doseresp.NaturalMode
		bound float64
	}{
		{"line alone, as glm.fit", doseresp.None, 12},
		{"with natural mortality estimated", doseresp.Estimated, 10},
	} {
		fast := testing.Benchmark(func(b *testing.B) {
			var f doseresp.Fitter
			var r doseresp.Result
			o := doseresp.Options{Natural: doseresp.NaturalMortality{Mode: c.mode}}
			for b.Loop() {
				if err := f.Fit(containers, o, &r); err != nil {
					b.Fatal(err)
				}
			}
		})
		ours := float64(fast.T.Nanoseconds()) / float64(fast.N)
		t.Logf("%s: glm.fit alone %.0f ns, full fit with limits %.0f ns, ratio %.0f", c.name, glm, ours, glm/ours)
		if glm/ours < c.bound {
			t.Errorf("%s: only %.1f times as fast, want %g", c.name, glm/ours, c.bound)
		}
	}
}

// TestFitAllocatesNothing holds the inner loop to no allocation.
func TestFitAllocatesNothing(t *testing.T) {
	containers := counts(t, speedAssay)
	var f doseresp.Fitter
	var r doseresp.Result
	if n := testing.AllocsPerRun(100, func() {
		if err := f.Fit(containers, doseresp.Options{}, &r); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%g allocations a fit", n)
	}
}

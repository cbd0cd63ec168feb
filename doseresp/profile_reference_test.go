package doseresp_test

import (
	"math"
	"os/exec"
	"slices"
	"testing"

	"vialwise/doseresp"
)

// The profile limits of testdata/profile were found by base R's optim and
// uniroot; SOURCE.md there names the version and keeps the script.
const profileDir = "../testdata/profile"

// profileTolerance is the agreement with base R in log10 of a limit, in units
// of 1 + its size.
const profileTolerance = 1e-7

func TestProfileAgreesWithR(t *testing.T) {
	_, assays := assaysOf(readTable(t, referenceDir, "assays.csv"))
	limits := readTable(t, profileDir, "limits.csv")
	var f doseresp.Fitter
	var r doseresp.Result
	worst, seen := 0.0, map[string]bool{}
	for _, row := range limits.rows {
		name, p := limits.text(row, "assay"), limits.number(row, "p")
		o := doseresp.Options{Percents: []float64{p}}
		o.Link, _ = doseresp.ParseLink(limits.text(row, "link"))
		o.Heterogeneity, _ = doseresp.ParseHeterogeneityRule(limits.text(row, "rule"))
		if mode := limits.text(row, "mode"); mode == "fixed" {
			o.Natural = doseresp.NaturalMortality{Mode: doseresp.Fixed, Value: .05}
		} else {
			o.Natural, _ = doseresp.ParseNaturalMortality(mode)
		}
		if err := f.Fit(assays[name], o, &r); err != nil || r.Status != doseresp.Converged {
			t.Fatal(name, err, r.Status)
		}
		seen[name] = true
		got := f.Profile(&r, p)
		for side, dose := range []float64{got.Lower, got.Upper} {
			want := limits.number(row, []string{"lower", "upper"}[side])
			x := math.Log10(dose)
			if x == want {
				continue // both infinite
			}
			d := math.Abs(x-want) / (1 + math.Abs(want))
			if worst = max(worst, d); !(d <= profileTolerance) {
				t.Errorf("%s %v %v %s LC%g side %d: log10 limit %.10g, R has %.10g", name, o.Link, r.Natural.Mode, o.Heterogeneity, p, side, x, want)
			}
		}
	}
	t.Logf("%d assays, %d pairs of limits, worst difference %.2g", len(seen), len(limits.rows), worst)
	if len(seen) < 40 {
		t.Errorf("only %d assays", len(seen))
	}
}

// TestProfileRegenerates runs the script of the reference limits again, for
// every seventh fit, and compares with what is kept.
func TestProfileRegenerates(t *testing.T) {
	if testing.Short() {
		t.Skip("regenerating takes a while; run without -short")
	}
	rscript := needTool(t, "Rscript")
	out := t.TempDir()
	cmd := exec.Command(rscript, "profile.R", out, "7")
	cmd.Dir = profileDir
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	again, kept := readTable(t, out, "limits.csv"), readTable(t, profileDir, "limits.csv")
	written := map[string]bool{}
	fit := func(row []string) string {
		return kept.text(row, "assay") + kept.text(row, "link") + kept.text(row, "mode")
	}
	for _, row := range again.rows {
		written[fit(row)] = true
	}
	if len(written) < 8 {
		t.Fatalf("only %d fits were written", len(written))
	}
	kept.rows = slices.DeleteFunc(kept.rows, func(row []string) bool { return !written[fit(row)] })
	compareTables(t, "limits.csv", kept, again, func(string) float64 { return 1e-6 })
}

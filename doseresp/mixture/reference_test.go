package mixture_test

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
	"vialwise/internal/needs"
)

// What the general-purpose optimiser of the reference leaves open. Where the
// simpler form is within 3e-6 of the log-likelihood it takes that.
const (
	likelihoodOpen = 5e-6
	fractionOpen   = 1e-4
	limitOpen      = 2e-6
	shiftOpen      = 1e-3 // in log10
)

// TestReference compares the three forms, q and its profile limits with base
// R on invented populations of four designs and three links.
func TestReference(t *testing.T) {
	sets := readPopulations(t)
	worst := map[string]float64{}
	plateaus, limits := 0, 0
	rows := readRows(t, mixtureDir, "fits.csv")
	for _, row := range rows {
		set := row["set"]
		link, err := doseresp.ParseLink(row["link"])
		if err != nil {
			t.Fatal(err)
		}
		o := mixture.Options{Link: link, Tau: row.number(t, "tau"), Heterogeneity: doseresp.Never}
		b, err := mixture.NewBaseline(sets[set].baseline, o)
		if err != nil {
			t.Fatal(set, err)
		}
		r, err := b.Estimate(sets[set].field)
		if err != nil {
			t.Errorf("%s: %v", set, err)
			continue
		}
		check := func(what string, got, tolerance float64) {
			t.Helper()
			want := row.number(t, what)
			worst[what] = max(worst[what], math.Abs(got-want))
			if !(math.Abs(got-want) <= tolerance) {
				t.Errorf("%s: %s is %.9g, base R has %.9g", set, what, got, want)
			}
		}
		check("loglik_null", r.Null.LogLik, likelihoodOpen)
		check("loglik_plateau", r.Plateau.LogLik, likelihoodOpen)
		check("loglik_shifted", r.Shifted.LogLik, likelihoodOpen)
		check("q_plateau", r.Plateau.Fraction, fractionOpen)
		check("q", r.Shifted.Fraction, fractionOpen)
		if math.IsNaN(row.number(t, "log10_shift")) {
			plateaus++
			if !r.Unbounded() && r.Shifted.Fraction > 0 {
				t.Errorf("%s: shift %g-fold, base R has none", set, r.Shifted.Fold)
			}
		} else {
			check("log10_shift", math.Log10(r.Shifted.Fold), shiftOpen)
		}
		if row["lower"] != "" {
			limits++
			check("lower", r.Fraction.Lower, limitOpen)
			check("upper", r.Fraction.Upper, limitOpen)
		}
	}
	if len(rows) < 40 || plateaus < 8 || plateaus > 30 || limits < 20 {
		t.Errorf("%d sets, %d without a finite shift, %d with limits", len(rows), plateaus, limits)
	}
	t.Logf("%d sets, %d without a finite shift; worst differences %v", len(rows), plateaus, worst)
}

// TestReferenceRegenerates runs the script again: assays to the byte, numbers
// to what the optimiser leaves open.
func TestReferenceRegenerates(t *testing.T) {
	if testing.Short() {
		t.Skip("regenerating takes minutes; run without -short")
	}
	rscript := needs.Tool(t, "Rscript", "compares with it")
	out := t.TempDir()
	cmd := exec.Command(rscript, "mixture.R", out)
	cmd.Dir = mixtureDir
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	kept, err := os.ReadFile(filepath.Join(mixtureDir, "assays.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if again, err := os.ReadFile(filepath.Join(out, "assays.csv")); err != nil || string(again) != string(kept) {
		t.Errorf("assays.csv differs from what the script writes: %v", err)
	}
	before, after := readRows(t, mixtureDir, "fits.csv"), readRows(t, out, "fits.csv")
	if len(before) != len(after) {
		t.Fatalf("%d rows are kept and %d written again", len(before), len(after))
	}
	for i := range before {
		for column := range before[i] {
			x, y := before[i][column], after[i][column]
			if x == y {
				continue
			}
			if d := math.Abs(before[i].number(t, column) - after[i].number(t, column)); !(d <= fractionOpen) {
				t.Errorf("row %d %s: %s is kept, %s written again", i+2, column, x, y)
			}
		}
	}
}

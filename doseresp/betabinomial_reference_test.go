package doseresp_test

import (
	"math"
	"testing"

	"vialwise/doseresp"
)

// The beta-binomial reference set was fitted by base R's optim; SOURCE.md there
// names the version and keeps the script.
const betaBinomialDir = "../testdata/betabinomial"

// betaReference calls check for each row of a table with its assay fitted.
func betaReference(t *testing.T, name string, check func(tab table, row []string, f *doseresp.Fitter, r *doseresp.Result)) {
	t.Helper()
	_, assays := assaysOf(readTable(t, betaBinomialDir, "assays.csv"))
	tab := readTable(t, betaBinomialDir, name)
	for _, row := range tab.rows {
		var f doseresp.Fitter
		var r doseresp.Result
		o := referenceOptions(tab.text(row, "link"), "estimated", "never")
		if err := f.Fit(assays[tab.text(row, "assay")], o, &r); err != nil {
			t.Fatal(err)
		}
		check(tab, row, &f, &r)
	}
}

// TestBetaBinomialReference compares every estimate to 1e-8 and the
// log-likelihood to 1e-10 with base R, numbers below 1 absolutely.
func TestBetaBinomialReference(t *testing.T) {
	const estimate, likelihood = 1e-8, 1e-10
	worst := map[string]float64{}
	fits, boundary, free := 0, 0, 0
	betaReference(t, "fits.csv", func(tab table, row []string, f *doseresp.Fitter, r *doseresp.Result) {
		where := tab.text(row, "assay")
		b, ok := f.BetaBinomial(r)
		if !ok || !b.Converged {
			t.Errorf("%s: no line, status %v", where, r.Status)
			return
		}
		fits++
		if b.Boundary {
			boundary++
		}
		if r.Natural.Mode == doseresp.Estimated {
			free++
		}
		for _, c := range []struct {
			what           string
			got, tolerance float64
		}{
			{"a", b.Intercept, estimate},
			{"b", b.Slope, estimate},
			{"C", b.Natural, estimate},
			{"rho", b.Rho, estimate},
			{"loglik", b.LogLik, likelihood},
		} {
			want := tab.number(row, c.what)
			e := math.Abs(c.got-want) / max(1, math.Abs(want))
			worst[c.what] = max(worst[c.what], e)
			if !(e <= c.tolerance) {
				t.Errorf("%s: %s = %.12g, want %.12g", where, c.what, c.got, want)
			}
		}
		if b.Boundary != (tab.number(row, "rho") == 0) {
			t.Errorf("%s: boundary %v, rho %s", where, b.Boundary, tab.text(row, "rho"))
		}
	})
	if fits < 40 || boundary < 8 || boundary > fits-20 || free < 20 || free > fits-8 {
		t.Errorf("%d fits, %d with ρ = 0, %d with C estimated", fits, boundary, free)
	}
	t.Logf("%d fits, %d with ρ = 0; worst differences %v", fits, boundary, worst)
}

// TestBetaBinomialProfileReference compares profile limits of LC50 and LC90
// to 1e-6 in log10 with base R's uniroot. An empty cell is an open side.
func TestBetaBinomialProfileReference(t *testing.T) {
	const tolerance = 1e-6
	worst, open, rows := 0.0, 0, 0
	betaReference(t, "limits.csv", func(tab table, row []string, f *doseresp.Fitter, r *doseresp.Result) {
		rows++
		if df := tab.whole(row, "df"); df != r.PearsonContainer.DF {
			t.Errorf("%s: df %d, want %d", tab.text(row, "assay"), r.PearsonContainer.DF, df)
		}
		l := f.BetaBinomialProfile(r, tab.number(row, "p"))
		for _, c := range []struct {
			what      string
			got, none float64
		}{{"log10_lower", l.Lower, 0}, {"log10_upper", l.Upper, math.Inf(1)}} {
			want := tab.number(row, c.what)
			if math.IsNaN(want) {
				open++
				if c.got != c.none {
					t.Errorf("%s LC%s: %s is %g, want none", tab.text(row, "assay"), tab.text(row, "p"), c.what, c.got)
				}
				continue
			}
			e := math.Abs(math.Log10(c.got) - want)
			worst = max(worst, e)
			if !(e <= tolerance) {
				t.Errorf("%s LC%s: %s = %.10g, want %.10g", tab.text(row, "assay"), tab.text(row, "p"), c.what, math.Log10(c.got), want)
			}
		}
	})
	if rows < 24 || open < 2 {
		t.Errorf("%d rows, %d open sides", rows, open)
	}
	t.Logf("%d pairs of limits, %d open sides, worst difference %.2g", rows, open, worst)
}

// TestBetaBinomialRegenerates runs the script of the reference set again;
// the tolerance is what an iterative maximum and root leave open.
func TestBetaBinomialRegenerates(t *testing.T) {
	regenerate(t, betaBinomialDir, "betabinomial.R", []string{"fits.csv", "limits.csv"}, func(string) float64 { return 1e-6 })
}

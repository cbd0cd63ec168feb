package render

import (
	"math"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// source is the word for where a default answer comes from.
func source(r bioassay.Reported) string {
	switch {
	case math.IsNaN(r.Lower):
		return "none"
	case r.Posterior:
		return "posterior"
	}
	return "fiducial"
}

// everyAssay analyses the published sets, the demo and the awkward assays with
// every set of limits, but those with very many mites, for whom that takes
// long, without any.
func everyAssay(t *testing.T, percents []float64) *Fits {
	t.Helper()
	const many = 10_000
	table := readTable(t, "published.csv", published)
	table.Assays = append(table.Assays, demoTable(t).Assays...)
	table.Assays = append(table.Assays, awkward()...)
	all := table.Assays
	table.Assays = slices.DeleteFunc(slices.Clone(all), func(a bioassay.Assay) bool { return a.Exposed() >= many })
	f := analysed(t, table, everything(percents...))
	table.Assays = slices.DeleteFunc(all, func(a bioassay.Assay) bool { return a.Exposed() < many })
	if len(table.Assays) == 0 {
		t.Fatal("no assay has very many mites")
	}
	f.Analyses = append(f.Analyses, analysed(t, table, bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: percents}}).Analyses...)
	return f
}

// sameWord compares the word at a path of a document.
func sameWord(t *testing.T, doc any, want string, path ...any) {
	t.Helper()
	if got := cell(doc, path...); got != want {
		t.Errorf("%v %v: %v, want %q", cell(doc, "assay"), path, got, want)
	}
}

// present says whether a document has a key, which it must where want is true.
func present(t *testing.T, doc any, want bool, key string, path ...any) bool {
	t.Helper()
	_, got := cell(doc, path...).(map[string]any)[key]
	if got != want {
		t.Errorf("%v %v: has %s: %v, want %v", cell(doc, "assay"), path, key, got, want)
	}
	return got && want
}

func sameLimits(t *testing.T, doc any, want doseresp.Limits, path ...any) {
	t.Helper()
	at := func(key string) []any { return append(path[:len(path):len(path)], key) }
	sameNumber(t, doc, noBound(want.Lower), at("lower")...)
	sameNumber(t, doc, want.Upper, at("upper")...)
	sameWord(t, doc, want.Kind.String(), at("kind")...)
}

// checkFurther compares all that stands in the JSON beside the fit.
func checkFurther(t *testing.T, assay any, a *bioassay.Analysis) {
	t.Helper()
	l := a.Limits
	sameWord(t, assay, a.Assay.File(), "file")
	sameNumber(t, assay, float64(a.Assay.Missing()), "missing")
	for i := range a.Fit.LC {
		r := a.Report(i)
		sameNumber(t, assay, noBound(r.Estimate), "lc", i, "reported", "estimate")
		sameNumber(t, assay, noBound(r.Lower), "lc", i, "reported", "lower")
		sameNumber(t, assay, r.Upper, "lc", i, "reported", "upper")
		sameWord(t, assay, source(r), "lc", i, "reported", "from")
		if present(t, assay, l.Profile != nil, "profile", "lc", i) {
			sameLimits(t, assay, l.Profile[i], "lc", i, "profile")
		}
		if present(t, assay, l.BetaBinomialProfile != nil, "beta_binomial_profile", "lc", i) {
			sameLimits(t, assay, l.BetaBinomialProfile[i], "lc", i, "beta_binomial_profile")
		}
		if present(t, assay, l.Posterior != nil, "posterior", "lc", i) {
			p := l.PosteriorLC[i]
			sameNumber(t, assay, p.Median, "lc", i, "posterior", "median")
			sameNumber(t, assay, noBound(p.Lower), "lc", i, "posterior", "lower")
			sameNumber(t, assay, p.Upper, "lc", i, "posterior", "upper")
		}
		if present(t, assay, l.Bootstrap != nil, "bootstrap", "lc", i) {
			b := l.Bootstrap.Limits[i]
			sameLimits(t, assay, b.Percentile, "lc", i, "bootstrap", "percentile")
			sameLimits(t, assay, b.BCa, "lc", i, "bootstrap", "bca")
			sameNumber(t, assay, float64(b.Failed), "lc", i, "bootstrap", "failed")
		}
	}
	checkOnce(t, assay, a)
	checkDiagnostics(t, assay, a)
}

// checkOnce compares what is said once for an assay.
func checkOnce(t *testing.T, assay any, a *bioassay.Analysis) {
	t.Helper()
	l := a.Limits
	if present(t, assay, l.BetaBinomial != nil, "beta_binomial") {
		b := l.BetaBinomial
		for key, want := range map[string]float64{
			"intercept": b.Intercept, "slope": b.Slope, "natural_mortality": b.Natural, "rho": b.Rho, "loglik": b.LogLik,
		} {
			sameNumber(t, assay, want, "beta_binomial", key)
		}
		if got := cell(assay, "beta_binomial", "boundary"); got != b.Boundary {
			t.Errorf("%s: boundary %v, want %v", a.Assay.Name, got, b.Boundary)
		}
	}
	if present(t, assay, l.Posterior != nil, "posterior") {
		p := l.Posterior.Priors
		for key, want := range map[string]float64{
			"log10_lc50_mean": p.Log10LC50Mean, "log10_lc50_sd": p.Log10LC50SD, "slope_median_probits": p.SlopeMedian,
			"slope_log_sd": p.SlopeLogSD, "natural_mortality_a": p.NaturalA, "natural_mortality_b": p.NaturalB, "rho_mean": p.RhoMean,
		} {
			sameNumber(t, assay, want, "posterior", "priors", key)
		}
		sameNumber(t, assay, l.Posterior.Error, "posterior", "error")
		sameNumber(t, assay, float64(l.Posterior.Points), "posterior", "points")
	}
	if present(t, assay, len(l.Exceeds) > 0, "exceeds") {
		for i, e := range l.Exceeds {
			sameNumber(t, assay, e.Dose, "exceeds", i, "dose")
			sameNumber(t, assay, e.Probability, "exceeds", i, "probability")
		}
	}
	if present(t, assay, l.Bootstrap != nil, "bootstrap") {
		b := l.Bootstrap
		for key, want := range map[string]float64{
			"replicates": float64(b.Replicates), "seed": 7, "rho": b.Rho, "bracketed": float64(b.Bracketed), "excluded": float64(b.Excluded),
		} {
			sameNumber(t, assay, want, "bootstrap", key)
		}
	}
}

// checkDiagnostics compares the containers and the verdict on the line.
func checkDiagnostics(t *testing.T, assay any, a *bioassay.Analysis) {
	t.Helper()
	if got := len(cell(assay, "diagnostics").([]any)); got != len(a.Diagnostics) {
		t.Fatalf("%s: %d containers, want %d", a.Assay.Name, got, len(a.Diagnostics))
	}
	for i, d := range a.Diagnostics {
		for key, want := range map[string]float64{
			"concentration": d.Container.Dose, "exposed": float64(d.Container.Exposed), "dead": float64(d.Container.Dead),
			"expected": d.ExpectedDead, "residual": d.Residual, "leverage": d.Leverage, "standardised": d.Standardised,
		} {
			sameNumber(t, assay, want, "diagnostics", i, key)
		}
		if got := cell(assay, "diagnostics", i, "sparse"); got != d.Sparse {
			t.Errorf("%s, container %d: sparse %v, want %v", a.Assay.Name, i, got, d.Sparse)
		}
	}
	if present(t, assay, a.Fit.Status == doseresp.Converged, "lack_of_fit") {
		l := a.LackOfFit
		sameWord(t, assay, l.Verdict.String(), "lack_of_fit", "verdict")
		sameWord(t, assay, l.BestLink.String(), "lack_of_fit", "best_link")
		sameWord(t, assay, l.Message, "lack_of_fit", "message")
		for _, link := range doseresp.Links() {
			sameNumber(t, assay, l.ByLink[link].AIC, "lack_of_fit", "aic", link.String())
		}
	}
}

// checkFurtherRecord compares the cells of the further limits; those of a set
// that does not exist are empty.
func checkFurtherRecord(t *testing.T, record map[string]string, a *bioassay.Analysis, i int) {
	t.Helper()
	l, r, nan := a.Limits, a.Report(i), math.NaN()
	none := doseresp.Limits{Lower: nan, Upper: nan}
	profile, beta, rho := none, none, nan
	posterior, bootstrap := doseresp.PosteriorLimits{Median: nan, Lower: nan, Upper: nan}, doseresp.BootstrapLimits{Percentile: none, BCa: none}
	kinds := map[string]string{"profile_kind": "", "beta_binomial_kind": "", "percentile_kind": "", "bca_kind": ""}
	if l.Profile != nil {
		profile, beta = l.Profile[i], l.BetaBinomialProfile[i]
		kinds["profile_kind"], kinds["beta_binomial_kind"] = profile.Kind.String(), beta.Kind.String()
	}
	if l.BetaBinomial != nil {
		rho = l.BetaBinomial.Rho
	}
	if l.Posterior != nil {
		posterior = l.PosteriorLC[i]
	}
	if l.Bootstrap != nil {
		bootstrap = l.Bootstrap.Limits[i]
		kinds["percentile_kind"], kinds["bca_kind"] = bootstrap.Percentile.Kind.String(), bootstrap.BCa.Kind.String()
	}
	for column, want := range map[string]float64{
		"reported": noBound(r.Estimate), "reported_lower": noBound(r.Lower), "reported_upper": r.Upper,
		"profile_lower": noBound(profile.Lower), "profile_upper": profile.Upper,
		"beta_binomial_lower": noBound(beta.Lower), "beta_binomial_upper": beta.Upper, "rho": rho,
		"posterior_median": posterior.Median, "posterior_lower": noBound(posterior.Lower), "posterior_upper": posterior.Upper,
		"percentile_lower": noBound(bootstrap.Percentile.Lower), "percentile_upper": bootstrap.Percentile.Upper,
		"bca_lower": noBound(bootstrap.BCa.Lower), "bca_upper": bootstrap.BCa.Upper,
	} {
		sameCell(t, record, column, want)
	}
	kinds["reported_from"] = source(r)
	var codes []string
	for _, w := range a.Warnings {
		codes = append(codes, string(w.Code))
	}
	kinds["findings"] = strings.Join(codes, " ")
	for column, want := range kinds {
		if record[column] != want {
			t.Errorf("%s, %s: %q, want %q", record["assay"], column, record[column], want)
		}
	}
}

// TestCSVOfUnaskedLimits shows that the cells of sets that were not asked for
// are empty, but for a posterior that stands in.
func TestCSVOfUnaskedLimits(t *testing.T) {
	table := readTable(t, "counts.csv", "assay,concentration,exposed,dead\nline,1,20,2\nline,2,20,9\nline,4,20,18\nstep,1,9,0\nstep,2,9,9\n")
	for _, record := range csvRecords(t, rendered(t, analysed(t, table, defaults("csv")), "csv")) {
		for column, text := range record {
			further := strings.HasPrefix(column, "profile_") || strings.HasPrefix(column, "beta_binomial_") || column == "rho" ||
				strings.HasPrefix(column, "percentile_") || strings.HasPrefix(column, "bca_")
			if further && text != "" {
				t.Errorf("%s, %s: %q", record["assay"], column, text)
			}
			if strings.HasPrefix(column, "posterior_") && (text != "") != (record["assay"] == "step") {
				t.Errorf("%s, %s: %q", record["assay"], column, text)
			}
		}
	}
}

package render

import (
	"encoding/json"
	"slices"
	"testing"
)

// cell walks into a document by keys and indices.
func cell(doc any, path ...any) any {
	for _, step := range path {
		switch step := step.(type) {
		case string:
			doc = doc.(map[string]any)[step]
		case int:
			doc = doc.([]any)[step]
		}
	}
	return doc
}

// change sets a key of the object at a path.
func change(key string, to any, path ...any) func(doc any) {
	return func(doc any) { cell(doc, path...).(map[string]any)[key] = to }
}

// without removes a key of the object at a path.
func without(key string, path ...any) func(doc any) {
	return func(doc any) { delete(cell(doc, path...).(map[string]any), key) }
}

// sample returns a document that has an assay with a line, one with an
// excluded region, one that is separated, one without a treated mite, and a
// remark on the file, all with every set of limits.
func sample(t testing.TB) string {
	t.Helper()
	table := readTable(t, "counts.csv", `assay,concentration,exposed,dead,colour
line,0,20,1,
line,1,20,2,
line,2,20,9,
line,4,20,18,blue
gap,1,20,5,
gap,2,20,7,
gap,4,20,8,
step,1,9,0,
step,2,9,9,
untreated,0,9,1,
`)
	return rendered(t, analysed(t, table, everything(50, 90)), "json")
}

// TestSchemaRefuses spoils a valid document in one place at a time.
func TestSchemaRefuses(t *testing.T) {
	s := schema(t)
	text := sample(t)
	if err := s.Validate(instance(t, text)); err != nil {
		t.Fatalf("the document that is to be spoilt: %v", err)
	}
	null, number := any(nil), json.Number("1")
	line, gap, step := []any{"assays", 0}, []any{"assays", 1}, []any{"assays", 2}
	at := func(base []any, more ...any) []any { return append(base[:len(base):len(base)], more...) }
	for name, spoil := range map[string]func(doc any){
		"a word for a number":            change("slope", "4.2", line...),
		"a number for a word":            change("assay", number, line...),
		"an object for a list":           change("lc", map[string]any{}, line...),
		"a fraction of a mite":           change("exposed", json.Number("2.5"), line...),
		"a negative count":               change("dead", json.Number("-1"), at(line, "treated")...),
		"null for a count":               change("containers", null, line...),
		"null for a word":                change("status", null, line...),
		"an unknown status":              change("status", "fine", line...),
		"an unknown link":                change("link", "identity", line...),
		"an unknown role":                change("role", "witness", line...),
		"an unknown mode":                change("mode", "guessed", at(line, "natural_mortality")...),
		"an unknown rule":                change("rule", "always", at(line, "heterogeneity")...),
		"an unknown information":         change("information", "none", line...),
		"an unknown kind":                change("kind", "open", at(line, "lc", 0, "fiducial")...),
		"an unknown rule for moribund":   change("moribund", "undecided"),
		"a date out of order":            change("collected_on", "09.05.2031", line...),
		"a hash of a wrong length":       change("sha256", "abc", "inputs", 0),
		"a proportion above one":         change("estimate", json.Number("1.5"), at(line, "natural_mortality")...),
		"a negative standard error":      change("slope_se", json.Number("-1"), line...),
		"a negative chi-squared":         change("x2", json.Number("-1"), at(line, "pearson", "by_dose")...),
		"a p above one":                  change("p", json.Number("1.01"), at(line, "pearson", "by_container")...),
		"a dose of zero":                 change("estimate", json.Number("0"), at(line, "lc", 0)...),
		"an LC100":                       change("p", json.Number("100"), at(line, "lc", 0)...),
		"a level in per cent":            change("level", json.Number("95"), line...),
		"a covariance of one row":        change("cov", []any{[]any{number, number}}, line...),
		"a covariance of three columns":  change("cov", []any{[]any{number, number, number}, []any{number, number}}, line...),
		"null in a bounded limit":        change("upper", null, at(line, "lc", 0, "fiducial")...),
		"a number beyond unbounded":      change("upper", number, at(step, "lc", 0, "fiducial")...),
		"a number in an excluded-region": change("lower", number, at(gap, "lc", 0, "fiducial")...),
		"a gap that is missing":          without("excluded", at(gap, "lc", 0, "fiducial")...),
		"a gap in a bounded set":         change("excluded", map[string]any{"lower": number, "upper": number}, at(line, "lc", 0, "fiducial")...),
		"unbounded-above with an end":    change("kind", "unbounded-above", at(line, "lc", 0, "fiducial")...),
		"unbounded-below with an end":    change("kind", "unbounded-below", at(line, "lc", 0, "fiducial")...),
		"a code with capitals":           change("code", "No Controls", at(gap, "warnings", 0)...),
		"a warning without cure":         change("cure", "", at(gap, "warnings", 0)...),
		"line 0":                         change("line", json.Number("0"), "warnings", 0),
		"another program":                change("name", "other", "software"),
		"a negative number missing":      change("missing", json.Number("-1"), line...),
		"null for a file":                change("file", null, line...),
		"an unknown source":              change("from", "profile", at(line, "lc", 0, "reported")...),
		"a reported dose of zero":        change("lower", json.Number("0"), at(line, "lc", 0, "reported")...),
		"a profile with a false end":     change("kind", "unbounded-above", at(line, "lc", 0, "profile")...),
		"an unknown kind of profile":     change("kind", "open", at(line, "lc", 0, "beta_binomial_profile")...),
		"an unbounded posterior":         change("kind", "unbounded", at(step, "lc", 0, "posterior")...),
		"a negative median":              change("median", json.Number("-1"), at(step, "lc", 0, "posterior")...),
		"an unknown kind of bootstrap":   change("kind", "open", at(line, "lc", 0, "bootstrap", "bca")...),
		"a negative number of failures":  change("failed", json.Number("-1"), at(line, "lc", 0, "bootstrap")...),
		"a correlation above one":        change("rho", json.Number("1.5"), at(line, "beta_binomial")...),
		"null for a slope that exists":   change("slope", null, at(line, "beta_binomial")...),
		"a word for a boundary":          change("boundary", "yes", at(line, "beta_binomial")...),
		"a prior that is null":           change("log10_lc50_mean", null, at(line, "posterior", "priors")...),
		"a prior without spread":         change("slope_log_sd", json.Number("0"), at(line, "posterior", "priors")...),
		"a negative error":               change("error", json.Number("-0.1"), at(line, "posterior")...),
		"a grid without points":          change("points", json.Number("0"), at(line, "posterior")...),
		"a probability above one":        change("probability", json.Number("1.01"), at(line, "exceeds", 0)...),
		"a dose of zero to exceed":       change("dose", json.Number("0"), at(line, "exceeds", 0)...),
		"no replicates":                  change("replicates", json.Number("0"), at(line, "bootstrap")...),
		"a negative seed":                change("seed", json.Number("-1"), at(line, "bootstrap")...),
		"a fraction of a replicate":      change("bracketed", json.Number("0.5"), at(line, "bootstrap")...),
		"a negative concentration":       change("concentration", json.Number("-1"), at(line, "diagnostics", 0)...),
		"a negative leverage":            change("leverage", json.Number("-1"), at(line, "diagnostics", 0)...),
		"null for sparse":                change("sparse", null, at(line, "diagnostics", 0)...),
		"an object for diagnostics":      change("diagnostics", map[string]any{}, line...),
		"an unknown verdict":             change("verdict", "poor", at(line, "lack_of_fit")...),
		"an unknown best link":           change("best_link", "identity", at(line, "lack_of_fit")...),
		"a word for an AIC":              change("logit", "40", at(line, "lack_of_fit", "aic")...),
		"a verdict without a sentence":   change("message", "", at(line, "lack_of_fit")...),
	} {
		doc := instance(t, text)
		spoil(doc)
		if s.Validate(doc) == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

// optional are the keys that an object need not have: the place of a warning,
// and what was not asked for or does not exist.
var optional = map[string][]string{
	"/warnings/item":       {"file", "line"},
	"/assays/item":         {"beta_binomial", "posterior", "exceeds", "bootstrap", "lack_of_fit"},
	"/assays/item/lc/item": {"profile", "beta_binomial_profile", "posterior", "bootstrap"},
}

// TestSchemaRefusesMissingAndExtraKeys walks through all objects of a valid
// document, removing each key in turn and adding one that is unknown.
func TestSchemaRefusesMissingAndExtraKeys(t *testing.T) {
	s := schema(t)
	text := sample(t)
	objects := 0
	var walk func(at string, path []any)
	walk = func(at string, path []any) {
		deeper := func(step any, name string) { walk(at+"/"+name, append(path[:len(path):len(path)], step)) }
		switch here := cell(instance(t, text), path...).(type) {
		case []any:
			for i := range here {
				deeper(i, "item")
			}
		case map[string]any:
			objects++
			doc := instance(t, text)
			change("surprise", "1", path...)(doc)
			if s.Validate(doc) == nil {
				t.Errorf("%s: an unknown key was accepted", at)
			}
			for key := range here {
				doc := instance(t, text)
				without(key, path...)(doc)
				if err := s.Validate(doc); (err == nil) != slices.Contains(optional[at], key) {
					t.Errorf("%s without %s: %v", at, key, err)
				}
				deeper(key, key)
			}
		}
	}
	walk("", nil)
	if objects < 20 {
		t.Errorf("walked through only %d objects", objects)
	}
}

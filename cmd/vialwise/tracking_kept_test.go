package main

import (
	"bytes"
	"errors"
	"os"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// TestKeptResultsAreFound: results are kept under all that they depend on, which
// the LCp of the comparisons are not part of, so that a note finds those of track.
func TestKeptResultsAreFound(t *testing.T) {
	key := func(change func(*bioassay.CompareOptions)) string {
		o := bioassay.CompareOptions{Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50}}}}
		change(&o)
		return settingsKey(o, nil)
	}
	plain := key(func(*bioassay.CompareOptions) {})
	if key(func(o *bioassay.CompareOptions) { o.Analysis.Fit.Percents = notePercents() }) != plain {
		t.Error("a note does not find what track kept")
	}
	for what, change := range map[string]func(*bioassay.CompareOptions){
		"link":     func(o *bioassay.CompareOptions) { o.Analysis.Fit.Link = doseresp.Logit },
		"level":    func(o *bioassay.CompareOptions) { o.Analysis.Fit.Level = 0.9 },
		"moribund": func(o *bioassay.CompareOptions) { o.Analysis.Moribund = bioassay.MoribundAlive },
		"fold":     func(o *bioassay.CompareOptions) { o.LeastFold = 3 },
		"bands":    func(o *bioassay.CompareOptions) { o.Bands = &bioassay.RatioBands{Percent: 50} },
		"priors":   func(o *bioassay.CompareOptions) { o.Analysis.Priors = &doseresp.Priors{SlopeMedian: 3} },
	} {
		if key(change) == plain {
			t.Errorf("another %s finds the same results", what)
		}
	}
}

// TestKeptResultsAreJudged: results that were kept under other rules or decisions give
// what a registry gives that kept none.
func TestKeptResultsAreJudged(t *testing.T) {
	const strict = "name = \"strict\"\n[[rule_set]]\nname = \"tube-controls\"\nreplaces = true\ntitle = \"no death\"\nsource = \"invented\"\n[rule_set.controls]\ncorrect_above = 0\ndiscard_above = 1\n"
	t.Chdir(t.TempDir())
	if err := errors.Join(manyCounts("counts.csv", 3, 4, "amitraz", 0), os.WriteFile("strict.toml", []byte(strict), 0o644)); err != nil {
		t.Fatal(err)
	}
	registry := func(name string) []string { return []string{"--quiet", "--registry", name + ".sqlite"} }
	tracked := func(name string, flags ...string) []byte {
		t.Helper()
		ran(t, append(append([]string{"track", "--format", "json", "--out", "out.json"}, registry(name)...), flags...)...)
		data, err := os.ReadFile("out.json")
		if err != nil {
			t.Fatal(err)
		}
		_, data, _ = bytes.Cut(data, []byte(`"series"`)) // after what names the registry
		return data
	}
	against := []string{"decide", "--who", "t", "--by", "t", "--why", "t", "A00001 amitraz 02", "not-blind", "discard"}
	for _, name := range []string{"kept", "strict", "decided"} {
		ran(t, append([]string{"import", "--who", "t", "counts.csv"}, registry(name)...)...)
		ran(t, "baseline", "define", "reference", "--who", "t", "--registry", name+".sqlite") // which no rule changes
	}
	mild := tracked("kept")
	under := tracked("kept", "--programme", "strict.toml")
	if bytes.Equal(under, mild) || !bytes.Equal(under, tracked("strict", "--programme", "strict.toml")) {
		t.Error("under strict rules: as under mild ones, or not as without kept results")
	}
	if !bytes.Equal(tracked("kept"), mild) {
		t.Error("another tracking after one under strict rules")
	}
	for _, name := range []string{"kept", "decided"} {
		ran(t, append(against, "--registry", name+".sqlite")...)
	}
	decided := tracked("kept")
	if bytes.Equal(decided, mild) || !bytes.Equal(decided, tracked("decided")) {
		t.Error("with a decision: as without it, or not as without kept results")
	}
}

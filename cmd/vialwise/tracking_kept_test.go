package main

import (
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

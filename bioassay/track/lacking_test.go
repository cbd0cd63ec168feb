package track

import (
	"strings"
	"testing"

	"vialwise/bioassay"
)

// TestLacking holds every reason to its words.
func TestLacking(t *testing.T) {
	discarded := Options{Discarded: func(a bioassay.Assay) string {
		if strings.HasPrefix(a.Name, "bad") {
			return "controls-failed"
		}
		return ""
	}}
	recent, old := field("recent", "A1", "2033-04-10", 1, 1), field("old", "A2", "2031-04-10", 1, 2)
	between := field("between", "A1", "2032-04-10", 1, 3)
	bad, worse := field("bad", "A2", "2033-04-10", 1, 4), field("bad-2", "A2", "2030-04-10", 1, 5)
	nowhere := field("nowhere", "", "2033-04-10", 1, 6)
	window := Options{Window: true}
	for name, k := range map[string]struct {
		o      Options
		assays []bioassay.Assay
		want   string // of A2 with amitraz
		last   string
	}{
		"never":             {Options{}, []bioassay.Assay{recent}, "never tested", "0-"},
		"out of the window": {window, []bioassay.Assay{recent}, "no assay in the seasons asked for", "0-"},
		"long ago":          {Options{}, []bioassay.Assay{recent, between, old}, "no assay since 2031-spring", "2031-spring"},
		"in the horizon":    {Options{Horizon: 3}, []bioassay.Assay{recent, between, old}, "", ""},
		"newest of two":     {Options{}, []bioassay.Assay{recent, old}, "", ""}, // only two seasons were tested
		"only a bad one":    {discarded, []bioassay.Assay{recent, bad}, "no usable assay: controls-failed", "0-"},
		"bad since":         {discarded, []bioassay.Assay{recent, between, old, bad}, "no usable assay since 2031-spring: controls-failed", "2031-spring"},
		"bad before":        {discarded, []bioassay.Assay{recent, between, old, worse}, "no assay since 2031-spring", "2031-spring"},
		"no apiary":         {Options{}, []bioassay.Assay{recent, nowhere}, "never tested", "0-"},
	} {
		tracking := tracked(t, []bioassay.Apiary{{Code: "A1"}, {Code: "A2", Region: "north"}}, k.o, k.assays...)
		reason, last := "", ""
		for _, l := range tracking.Lacking {
			switch l.Apiary {
			case "A2":
				reason, last = l.Reason, l.Last.String()
				if l.Region != "north" || l.Acaricide != "amitraz" {
					t.Errorf("%s: %+v", name, l)
				}
			default:
				t.Errorf("%s: %+v", name, l)
			}
		}
		if reason != k.want || last != k.last {
			t.Errorf("%s: %q, %q; want %q, %q", name, reason, last, k.want, k.last)
		}
	}
}

// TestLargestAssaySpeaks: the resistant part of a season is that of its assay with
// the most mites, whichever comes first.
func TestLargestAssaySpeaks(t *testing.T) {
	small, large := assayOf(0.5, 0.1, 0), assayOf(0.6, 0.1, 0)
	small.Brief.Mites, small.Brief.FractionP = 60, 0.5
	large.Brief.Mites, large.Brief.FractionP, large.Brief.WholeShift = 200, 0.01, true
	w := testWork(t)
	for _, both := range [][]Measured{{small, large}, {large, small}} {
		if s := w.season(both); s.FractionP != 0.01 || !s.WholeShift || s.Mites != 260 {
			t.Errorf("%+v", s)
		}
	}
}

package advice

import (
	"math"
	"testing"
	"time"

	"vialwise/bioassay"
)

// TestNeed compares with sums by hand of the formulas that need documents.
func TestNeed(t *testing.T) {
	ratio := func(n int, e, low, high float64) Finding {
		return Finding{Mites: n, RR50: KnownRange(e, low, high), Variation: Variation{Fold: 4}}
	}
	none := Finding{Single: Single{Exposed: 60, Survival: KnownRange(0, 0, 0.0596), SusceptibleUpTo: 0.02, ResistantAbove: 0.1}}
	for name, c := range map[string]struct {
		f      Finding
		d      doubt
		want   int
		capped bool
	}{
		// log10 8 / log10 2 = 3, so a two-fold width takes 9 times as many; the
		// distance from 2 to 4 equals that from 4 to 8, over which 4 times do:
		// (log10 8 - log10 2)/(log10 4 - log10 2) = 2. 4 x 40 - 40 = 120.
		"exclude from below": {ratio(40, 2, 1, 8), tooWide, 120, false},
		// (log10 8 - log10 2)/(log10 8 - log10 4) = 2 on the other side.
		"exclude from above": {ratio(40, 8, 2, 9), tooWide, 120, false},
		// Estimate on the bound: (log10 4 / log10 2)^2 = 4 times.
		"narrow":     {ratio(40, 4, 2, 8), tooWide, 120, false},
		"one vial":   {ratio(40, 2, 1.5, 4.01), tooWide, 10, false},
		"capped":     {ratio(100, 3.9, 0.5, 30), tooWide, 200, true},
		"unbounded":  {ratio(30, 3, 1, math.Inf(1)), tooWide, 90, false},
		"large":      {ratio(150, 3, 1, math.Inf(1)), tooWide, 60, false},
		"failed":     {Finding{Mites: 72, Quality: Quality{Discarded: true}}, noDoubt, 80, false},
		"foreign":    {Finding{Mites: 72}, noDoubt, 60, false},
		"nothing":    {Finding{}, nothing, 60, false},
		"contradict": {ratio(90, 14, 9, 21), disagree, 90, false},
		// ln 0.025 / ln 0.98 = 182.6, so 183 mites without a survivor place the
		// upper limit at 2 %; 123 more are 13 containers.
		"no survivor": {none, tooWide, 130, false},
	} {
		if more, capped := c.f.need(c.d); more != c.want || capped != c.capped {
			t.Errorf("%s: %d more, capped %v; want %d, %v", name, more, capped, c.want, c.capped)
		}
	}
}

// TestNeedSettles: with the number asked for, limits scaled by the square root
// of n reach the target, and with one container less they do not.
func TestNeedSettles(t *testing.T) {
	f := Finding{Mites: 60, RR50: KnownRange(2, 1.1, 4.6), Variation: Variation{Fold: 4}}
	more, _ := f.need(tooWide)
	upper := func(n float64) float64 { return 2 * math.Pow(4.6/2, math.Sqrt(60/n)) }
	if got := upper(60 + float64(more)); got > 4 {
		t.Errorf("after %d more the upper limit is %g", more, got)
	}
	if got := upper(60 + float64(more) - perContainer); got <= 4 {
		t.Errorf("one container less would do: %g", got)
	}
}

func TestAddMonths(t *testing.T) {
	for _, c := range []struct {
		from   bioassay.Date
		months int
		want   string
	}{
		{bioassay.Date{Year: 2031, Month: time.January, Day: 31}, 1, "2031-02-28"},
		{bioassay.Date{Year: 2031, Month: time.November, Day: 30}, 3, "2032-02-29"},
		{bioassay.Date{Year: 2031, Month: time.May, Day: 2}, 12, "2032-05-02"},
	} {
		if got := addMonths(c.from, c.months).String(); got != c.want {
			t.Errorf("%v and %d months: %s, want %s", c.from, c.months, got, c.want)
		}
	}
}

// TestStale: a result is old from the day after its months are over.
func TestStale(t *testing.T) {
	c := Context{Date: bioassay.Date{Year: 2032, Month: time.April, Day: 9}}
	if c.isStale(bioassay.Date{Year: 2031, Month: time.April, Day: 9}) || !c.isStale(bioassay.Date{Year: 2031, Month: time.April, Day: 8}) || !c.isStale(bioassay.Date{}) {
		t.Error("age is counted wrongly")
	}
	c.StaleMonths = 36000
	if !c.isStale(bioassay.Date{}) {
		t.Error("a test of an unknown day counts as fresh")
	}
	c.StaleMonths = 24
	if c.isStale(bioassay.Date{Year: 2031, Month: time.April, Day: 8}) {
		t.Error("the programme's limit does not hold")
	}
}

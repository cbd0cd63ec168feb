package sim

import "fmt"

// What the default answers must hold to where the populations are equal and
// containers do not vary beyond binomial, with NamedMites or more.
const (
	LeastTypeI    = 0.04
	GreatestTypeI = 0.065
	NamedMites    = 120
)

// RatioBreach is one type I error outside LeastTypeI to GreatestTypeI.
type RatioBreach struct {
	What   string // the test, or the limits with their LCp
	Cell   RatioCell
	Found  float64
	StdErr float64 // Monte Carlo, of Found
}

// RatioBreaches returns the type I errors of the answer at LC50 and LC90 and
// of the two tests that decide which lie outside the band. Monte Carlo errors
// are not subtracted.
func RatioBreaches(results []RatioResult) []RatioBreach {
	var all []RatioBreach
	for i := range results {
		r := &results[i]
		if r.Ratio != 1 || r.Rho != 0 || r.FieldMites() < NamedMites {
			continue
		}
		add := func(what string, found float64, n int) {
			if n > 0 && !(found >= LeastTypeI && found <= GreatestTypeI) {
				all = append(all, RatioBreach{what, r.RatioCell, found, binomialStdErr(found, n)})
			}
		}
		for _, p := range studyPercents {
			s := r.Of(RatioAnswer, p)
			add(fmt.Sprintf("%v at LC%g", RatioAnswer, p), s.Excludes(), s.Tried)
		}
		for _, m := range []LineTestMethod{ParallelVerdict, EqualVerdict} {
			t := r.Tests[m]
			add(m.String(), t.Rejects(), t.Tried-t.Untested)
		}
	}
	return all
}

// Of returns the score of limits and percent; it panics unless both were
// studied.
func (r *RatioResult) Of(m RatioMethod, percent float64) RatioScore {
	for _, s := range r.Limits {
		if s.Method == m && s.Percent == percent {
			return s
		}
	}
	panic(fmt.Sprintf("sim: %v at LC%g was not studied", m, percent))
}

package advice

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Check reports what in a finding cannot be used.
func (f Finding) Check() error {
	var errs []error
	fail := func(format string, args ...any) {
		errs = append(errs, fmt.Errorf("finding on %s: "+format, append([]any{shown(f.Acaricide, mostName)}, args...)...))
	}
	if strings.TrimSpace(f.Acaricide) == "" {
		fail("no acaricide is named; give its common name")
	}
	if f.Mites < 0 {
		fail("found %d mites; a count is not below 0", f.Mites)
	}
	most := math.Inf(1)
	for _, r := range []struct {
		name  string
		Range Range
		most  float64
	}{
		{"RR50", f.RR50, most}, {"RR90", f.RR90, most}, {"resistant fraction", f.Minority.Fraction, 1},
		{"survival", f.Single.Survival, 1}, {"expected survivors", f.Survivors, 100},
	} {
		if why := r.Range.wrong(0, r.most); why != "" {
			fail("%s: %s", r.name, why)
		}
	}
	if !(f.Variation.Fold == 0 || f.Variation.Fold >= 1) {
		fail("found a susceptible variation of %g; it is a ratio of at least 1, or 0 when not known", f.Variation.Fold)
	}
	if !(f.Fold90 == 0 || f.Fold90 >= 1) {
		fail("found a bound of %g for RR90; it is a ratio of at least 1, or 0 when not known", f.Fold90)
	}
	if s := f.Single; s.known() && !(0 <= s.SusceptibleUpTo && s.SusceptibleUpTo <= s.ResistantAbove && s.ResistantAbove <= 1) {
		fail("the classes of survival, up to %g susceptible and above %g resistant, are not in order between 0 and 1", s.SusceptibleUpTo, s.ResistantAbove)
	}
	for _, b := range f.Bands.List {
		if !(b.Probability >= 0 && b.Probability <= 1) {
			fail("found a probability of %g for band %q; it lies between 0 and 1", b.Probability, b.Name)
		}
	}
	return errors.Join(errs...)
}

// wrong says why a range cannot be used; what is merely missing is not wrong.
func (r Range) wrong(least, most float64) string {
	if !r.Known {
		return ""
	}
	for _, v := range []float64{r.Estimate, r.Lower, r.Upper} {
		if v < least && !math.IsInf(v, -1) || v > most && !math.IsInf(v, 1) {
			return fmt.Sprintf("found %g; it lies between %g and %g", v, least, most)
		}
	}
	if r.Lower > r.Upper {
		return fmt.Sprintf("the lower limit %g is above the upper limit %g; exchange the two", r.Lower, r.Upper)
	}
	return ""
}

// Check reports what in the context cannot be used.
func (c Context) Check() error {
	var errs []error
	if c.Date.IsZero() {
		errs = append(errs, errors.New("the note has no date; give the day it is written"))
	}
	if c.StaleMonths < 0 || c.RetestMonths < 0 {
		errs = append(errs, fmt.Errorf("found %d and %d months until a result is old and until the next test; neither is below 0", c.StaleMonths, c.RetestMonths))
	}
	if why := c.Temperature.wrong(-90, 70); why != "" {
		errs = append(errs, errors.New("expected temperature in °C: "+why))
	}
	for _, t := range c.Treatments {
		if why := t.Efficacy.wrong(-math.MaxFloat64, 100); why != "" {
			errs = append(errs, fmt.Errorf("efficacy of %s in percent: %s", shown(t.Acaricide, mostName), why))
		}
	}
	for _, a := range c.Authorised.Actives {
		if why := a.Temperature.wrong(-90, 70); why != "" {
			errs = append(errs, fmt.Errorf("temperature on the list for %s in °C: %s", shown(a.Acaricide, mostName), why))
		}
	}
	return errors.Join(errs...)
}

package doseresp

import (
	"encoding/binary"
	"math"
	"testing"
)

// decodeAssay turns fuzz bytes into containers of any size and sign: three
// bytes each for dose, exposed and dead.
func decodeAssay(data []byte) []Container {
	var out []Container
	for len(data) >= 4 {
		bits := binary.LittleEndian.Uint32(data)
		data = data[4:]
		c := Container{
			Exposed: int(bits & 0xff),
			Dead:    int(bits >> 8 & 0xff),
		}
		switch level := int(bits >> 16 & 0xff); {
		case level == 0:
		case level < 40:
			c.Dose = math.Pow(1.3, float64(level-20)) // a laboratory's series
		default:
			c.Dose = math.Pow(10, float64(level-147)) // the ends of what a double holds
		}
		if scale := bits >> 24 & 7; scale == 7 { // counts larger than any laboratory's
			c.Exposed *= 103
			c.Dead *= 103
		}
		if c.Exposed > 0 && bits>>31 == 0 {
			c.Dead %= c.Exposed + 1
		}
		out = append(out, c)
	}
	return out
}

// FuzzFit holds for any counts: no panic; an error only for impossible
// counts; a status that agrees with the counts; and no number that is not
// finite, or that lies outside its domain, in a converged result.
func FuzzFit(f *testing.F) {
	f.Add([]byte{20, 1, 0, 0, 20, 3, 20, 0, 20, 10, 22, 0, 20, 19, 24, 0}, uint8(0))
	f.Add([]byte{20, 0, 20, 0, 20, 0, 22, 0, 20, 20, 24, 0}, uint8(1))
	f.Add([]byte{20, 20, 20, 0, 20, 0, 22, 0}, uint8(2))
	f.Add([]byte{5, 5, 0, 0, 5, 2, 1, 0, 5, 3, 255, 0}, uint8(17))
	f.Add([]byte{200, 100, 20, 7, 200, 150, 21, 7, 200, 160, 22, 7}, uint8(9))
	f.Fuzz(func(t *testing.T, data []byte, choice uint8) {
		if len(data) > 400 {
			return
		}
		containers := decodeAssay(data)
		options := Options{
			Link:          Links()[choice%3],
			Natural:       NaturalMortality{Mode: NaturalMode(choice / 3 % 4), Value: 0.05},
			Heterogeneity: HeterogeneityRule(choice / 12 % 3),
			Information:   Information(choice / 36 % 2),
		}
		r, err := Fit(containers, options)
		if err != nil {
			if err == ErrNotConverged && options.Natural.Mode == Fixed && decades(containers) > 20 {
				return // a C that contradicts counts on doses no laboratory mixes
			}
			if err == ErrNotConverged || checkContainers(containers) == nil && err != ErrAbbott {
				t.Fatalf("%v of %v with %+v", err, containers, options)
			}
			return
		}
		checkResult(t, containers, r)
		for _, w := range r.Warnings() {
			if w.Message == "" || w.Cure == "" {
				t.Errorf("warning without words: %+v", w)
			}
		}
	})
}

// decades is the span of the doses in powers of ten.
func decades(containers []Container) float64 {
	var d design
	d.summarise(containers)
	return d.treated[len(d.treated)-1].x - d.treated[0].x
}

func checkResult(t *testing.T, containers []Container, r *Result) {
	t.Helper()
	dead, exposed := 0, 0
	doses := map[float64]bool{}
	for _, c := range containers {
		if c.Dose > 0 && c.Exposed > 0 {
			doses[c.Dose] = true
			dead += c.Dead
			exposed += c.Exposed
		}
	}
	want := map[Status]bool{
		TooFewDoses: len(doses) < 2,
		AllDead:     len(doses) >= 2 && dead == exposed,
		NoneDead:    len(doses) >= 2 && dead == 0,
	}
	for status, is := range want {
		if (r.Status == status) != is {
			t.Errorf("status %v for %d of %d dead at %d doses", r.Status, dead, exposed, len(doses))
		}
	}
	if !(r.Bracket.Lower >= 0 && r.Bracket.Lower < r.Bracket.Upper) {
		t.Errorf("bracket %v", r.Bracket)
	}
	if r.Status == Converged {
		checkConverged(t, containers, r)
	}
}

func checkConverged(t *testing.T, containers []Container, r *Result) {
	t.Helper()
	finite := func(name string, x float64) {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("%s is %v in %+v of %v", name, x, *r, containers)
		}
	}
	finite("intercept", r.Intercept)
	finite("intercept SE", r.InterceptStdErr)
	finite("slope SE", r.SlopeStdErr)
	finite("covariance", r.Cov[0][1])
	finite("log-likelihood", r.LogLik)
	finite("deviance", r.Deviance)
	if !(r.Heterogeneity.Applied && r.Heterogeneity.H > hopelessH) {
		finite("g", r.G)
	}
	if !(r.Slope > 0) {
		t.Errorf("slope %v", r.Slope)
	}
	if c := r.Natural.Estimate; !(c >= 0 && c < 1) {
		t.Errorf("natural mortality %v", c)
	}
	for _, lc := range r.LC {
		l := lc.Fiducial
		if math.IsNaN(lc.Estimate) || lc.Estimate < 0 || !(lc.Log10SE >= 0) {
			t.Errorf("LC%g = %v, SE %v", lc.Percent, lc.Estimate, lc.Log10SE)
		}
		switch {
		case l.Kind == ExcludedRegion:
			if lc.Estimate > l.Excluded.Lower && lc.Estimate < l.Excluded.Upper {
				t.Errorf("LC%g = %v lies in the excluded gap %v", lc.Percent, lc.Estimate, l.Excluded)
			}
		case !(l.Lower <= lc.Estimate && lc.Estimate <= l.Upper):
			t.Errorf("LC%g = %v lies outside its limits %v", lc.Percent, lc.Estimate, l)
		}
		if (l.Kind == Bounded) != (l.Lower > 0 && !math.IsInf(l.Upper, 1)) {
			t.Errorf("limits %v", l)
		}
	}
}

package sim

import (
	"math"
	"testing"

	"vialwise/doseresp"
)

// TestAnswers compares what the worker makes of one assay with the package's
// own functions, or with arithmetic.
func TestAnswers(t *testing.T) {
	c := Cell{6, 3, 12, 2.5, 0.05, 0}
	wider := 0
	for set := range 30 {
		s := Study{Cells: []Cell{c}, Seed: 1, Bootstrapped: 0}
		w := newStudyWorker(&s)
		w.containers = c.draw(nil, NewSource(1, uint64(set)))
		if err := w.judge(0, set); err != nil {
			t.Fatal(err)
		}
		options := doseresp.Options{Percents: []float64{50, 90}}
		fit, err := doseresp.Fit(w.containers, options)
		if err != nil || fit.Status != doseresp.Converged {
			t.Fatal(err, fit.Status)
		}
		options.Heterogeneity = doseresp.Never
		plain, err := doseresp.Fit(w.containers, options)
		if err != nil {
			t.Fatal(err)
		}
		posterior, err := doseresp.NewPosterior(w.containers, options, doseresp.DefaultPriors())
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range studyPercents {
			if got := w.answers[FiellerT][i].Limits; got != fit.LC[i].Fiducial {
				t.Errorf("fieller-t %v, want %v", got, fit.LC[i].Fiducial)
			}
			if got := w.answers[FiellerZ][i].Limits; got != plain.LC[i].Fiducial {
				t.Errorf("fieller-z %v, want %v", got, plain.LC[i].Fiducial)
			}
			// 1.959964 is the 97.5 % point of the normal distribution (Abramowitz & Stegun 1964, table 26.5).
			lc := plain.LC[i]
			if got, want := w.answers[DeltaZ][i].Upper, lc.Estimate*math.Pow(10, 1.959964*lc.Log10SE); math.Abs(got/want-1) > 1e-5 {
				t.Errorf("delta-z ends at %v, want %v", got, want)
			}
			l := posterior.LC(p, 0.95)
			if got := w.answers[PosteriorDefault][i].Limits; got != (doseresp.Limits{Lower: l.Lower, Upper: l.Upper}) {
				t.Errorf("posterior %v, want %v", got, l)
			}
			if w.answers[BootstrapBCa][i].given {
				t.Error("a data set was bootstrapped that should not be")
			}
			student := w.answers[StudentAnswer][i]
			switch {
			case fit.Heterogeneity.Applied && student != w.answers[FiellerT][i]:
				t.Error("Student's t was applied twice")
			case !fit.Heterogeneity.Applied && student.Lower < lc.Fiducial.Lower && student.Upper > lc.Fiducial.Upper:
				wider++
			case !fit.Heterogeneity.Applied:
				t.Errorf("with Student's t %v, without %v", student.Limits, lc.Fiducial)
			}
		}
	}
	if wider == 0 || wider == 60 {
		t.Errorf("%d of 60 limits had h below 1: a branch was not tried", wider)
	}
}

// finney returns Fieller's limits as Finney 1971, equation 4.36, writes them.
func finney(r *doseresp.Result, percent, t float64) (lower, upper float64) {
	theta := (doseresp.Probit.Quantile(percent/100) - r.Intercept) / r.Slope
	aa, ab, bb := r.Cov[0][0], r.Cov[0][1], r.Cov[1][1]
	g := t * t * bb / (r.Slope * r.Slope)
	middle := theta + g/(1-g)*(theta+ab/bb)
	half := t / (r.Slope * (1 - g)) * math.Sqrt(aa+2*theta*ab+theta*theta*bb-g*(aa-ab*ab/bb))
	return math.Pow(10, middle-half), math.Pow(10, middle+half)
}

func TestSparseAnswers(t *testing.T) {
	const (
		root = 1e-6        // of the level, from which the quantile comes back
		t15  = 2.131449546 // t at 97.5 %, 15 degrees of freedom (2.131 in Abramowitz & Stegun 1964, table 26.10; more digits by the series 26.7.3)
	)
	c := Cell{5, 3, 20, 2.5, 0.05, 0.05}
	kinds := [2]int{}
	for set := range 30 {
		w := newStudyWorker(&Study{Cells: []Cell{c}})
		w.containers = c.draw(nil, NewSource(1, uint64(set)))
		if err := w.judge(0, set); err != nil {
			t.Fatal(err)
		}
		if df := w.fit.PearsonContainer.DF; df != 15 {
			t.Fatalf("%d degrees of freedom", df)
		}
		h := sparseFactor(w.containers, &w.fit)
		for i, p := range studyPercents {
			if w.answers[FiellerSparse][i].Kind != doseresp.Bounded {
				continue
			}
			got := w.answers[FiellerSparse][i].Limits
			if h <= 1 {
				kinds[0]++
				if got != w.answers[FiellerZ][i].Limits {
					t.Errorf("h %v: %v, want %v", h, got, w.answers[FiellerZ][i].Limits)
				}
				continue
			}
			kinds[1]++
			if lower, upper := finney(&w.plain, p, t15*math.Sqrt(h)); math.Abs(got.Lower/lower-1) > root || math.Abs(got.Upper/upper-1) > root {
				t.Errorf("h %v: %v, want %v to %v", h, got, lower, upper)
			}
			wide, narrow := w.answers[ProfileSparse][i], w.answers[ProfileF][i]
			// A limit where the likelihood jumps, at a tested dose, is the same for both cuts.
			grown := wide.Lower <= narrow.Lower && wide.Upper >= narrow.Upper && wide != narrow
			if h > max(1, w.fit.Heterogeneity.H) != grown {
				t.Errorf("h %v and %v: profile %v and %v of %v", h, w.fit.Heterogeneity.H, wide, narrow, w.containers)
			}
		}
	}
	if kinds[0] == 0 || kinds[1] == 0 {
		t.Errorf("%d answers with h up to 1, %d above: a branch was not tried", kinds[0], kinds[1])
	}
}

func TestStudentQuantile(t *testing.T) {
	w := newStudyWorker(&Study{})
	w.plain.PearsonContainer.DF = 18
	// t at 97.5 % with 18 degrees of freedom is 2.101 (Abramowitz & Stegun 1964, table 26.10).
	if got := w.student(); math.Abs(got-2.101) > 5e-4 {
		t.Errorf("t is %v", got)
	}
	// The level is the normal probability within ±t, by the error function of the standard library.
	for _, q := range []float64{1.96, 2.101, 5} {
		if got, want := w.atQuantile(q).Level, math.Erf(q/math.Sqrt2); math.Abs(got-want) > 1e-12 {
			t.Errorf("level %v, want %v", got, want)
		}
	}
	if level := w.atQuantile(1e9).Level; !(level < 1) {
		t.Errorf("level %v is no level", level)
	}
}

// TestSparseFactor does the arithmetic by hand, on a line of slope 0 whose
// mortality is C at every dose.
func TestSparseFactor(t *testing.T) {
	fit := &doseresp.Result{Slope: math.NaN()}
	fit.Natural.Estimate = 0.2
	fit.PearsonContainer = doseresp.Pearson{X2: 6, DF: 3}
	// s = 0.6 (r-2)/1.6: 0.75, -0.375, 0, so s̄ = 0.125 and h = 2/1.125.
	counts := []doseresp.Container{{Dose: 1, Exposed: 10, Dead: 4}, {Dose: 1, Exposed: 10, Dead: 1}, {Dose: 2, Exposed: 10, Dead: 2}, {Dose: 3}}
	if got, want := sparseFactor(counts, fit), 2/1.125; !near(got, want) {
		t.Errorf("factor %v, want %v", got, want)
	}
	fit.Natural.Estimate = 0 // certain containers carry no weight
	if got := sparseFactor(counts, fit); !math.IsInf(got, 1) {
		t.Errorf("factor %v of nothing", got)
	}
}

// TestRules gives the rules answers of every kind.
func TestRules(t *testing.T) {
	bounded := answer{doseresp.Limits{Lower: 1, Upper: 2}, true}
	open := answer{doseresp.Limits{Lower: 1, Upper: math.Inf(1), Kind: doseresp.UnboundedAbove}, true}
	none := answer{}
	fallback := answer{doseresp.Limits{Lower: 3, Upper: 4}, true}
	for _, c := range []struct {
		name            string
		fieller, beta   answer
		g               float64
		def, careful, b answer // b also with FiellerSparse in the place of BetaProfileF
	}{
		{"bounded", bounded, open, 0.1, bounded, bounded, fallback},
		{"wide", bounded, bounded, 0.3, bounded, fallback, bounded},
		{"open", open, none, 1.2, fallback, fallback, fallback},
		{"none", none, none, math.NaN(), fallback, fallback, fallback},
	} {
		w := newStudyWorker(&Study{})
		w.fit.G = c.g
		w.fit.Heterogeneity.Applied = true
		for i := range studyPercents {
			w.answers[FiellerT][i], w.answers[BetaProfileF][i], w.answers[FiellerSparse][i], w.answers[PosteriorDefault][i] = c.fieller, c.beta, c.beta, fallback
		}
		w.rules()
		for i := range studyPercents {
			for m, want := range map[Method]answer{FiducialAnswer: c.def, StudentAnswer: c.def, CautiousAnswer: c.careful, RobustAnswer: c.b, SparseAnswer: c.b} {
				if got := w.answers[m][i]; got != want {
					t.Errorf("%s: %v gave %v, want %v", c.name, m, got, want)
				}
			}
		}
	}
}

func TestScoreAdd(t *testing.T) {
	inf := math.Inf(1)
	limits := func(lower, upper float64, kind doseresp.LimitKind) answer {
		return answer{doseresp.Limits{Lower: lower, Upper: upper, Kind: kind}, true}
	}
	gap := answer{doseresp.Limits{Lower: 0, Upper: inf, Kind: doseresp.ExcludedRegion, Excluded: doseresp.Bracket{Lower: 5, Upper: 9}}, true}
	const truth = 7
	for name, c := range map[string]struct {
		a    answer
		want Score
	}{
		"not given":     {answer{}, Score{Tried: 1}},
		"inside":        {limits(6, 8, doseresp.Bounded), Score{Tried: 1, Given: 1, Finite: 1, Covered: 1, CoveredFinite: 1}},
		"on the limit":  {limits(7, 8, doseresp.Bounded), Score{Tried: 1, Given: 1, Finite: 1, Covered: 1, CoveredFinite: 1}},
		"below":         {limits(7.5, 8, doseresp.Bounded), Score{Tried: 1, Given: 1, Finite: 1, TruthBelow: 1}},
		"above":         {limits(6, 6.5, doseresp.Bounded), Score{Tried: 1, Given: 1, Finite: 1, TruthAbove: 1}},
		"open above":    {limits(6, inf, doseresp.UnboundedAbove), Score{Tried: 1, Given: 1, Covered: 1}},
		"open, beyond":  {limits(8, inf, doseresp.UnboundedAbove), Score{Tried: 1, Given: 1, TruthBelow: 1}},
		"open at both":  {limits(0, inf, doseresp.Unbounded), Score{Tried: 1, Given: 1, Covered: 1}},
		"in the gap":    {gap, Score{Tried: 1, Given: 1, TruthInGap: 1}},
		"open below":    {limits(0, 6, doseresp.UnboundedBelow), Score{Tried: 1, Given: 1, TruthAbove: 1}},
		"beside a gap":  {answer{doseresp.Limits{Lower: 0, Upper: inf, Kind: doseresp.ExcludedRegion, Excluded: doseresp.Bracket{Lower: 8, Upper: 9}}, true}, Score{Tried: 1, Given: 1, Covered: 1}},
		"single number": {limits(7, 7, doseresp.Bounded), Score{Tried: 1, Given: 1, Finite: 1, Covered: 1, CoveredFinite: 1}},
	} {
		var s Score
		if s.add(c.a, truth); s != c.want {
			t.Errorf("%s: %+v, want %+v", name, s, c.want)
		}
	}
}

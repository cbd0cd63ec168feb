package mixture_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
)

// plateauField has survivors at every high dose, about one in seven; invented.
var plateauField = []doseresp.Container{
	{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 3.5, Exposed: 10, Dead: 2}, {Dose: 7, Exposed: 10, Dead: 3}, {Dose: 14, Exposed: 10, Dead: 6},
	{Dose: 80, Exposed: 15, Dead: 13}, {Dose: 80, Exposed: 15, Dead: 12}, {Dose: 160, Exposed: 15, Dead: 13}, {Dose: 160, Exposed: 15, Dead: 13},
}

// plainField is as the baseline; invented.
var plainField = []doseresp.Container{
	{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 3.5, Exposed: 10, Dead: 2}, {Dose: 7, Exposed: 10, Dead: 4}, {Dose: 14, Exposed: 10, Dead: 7},
	{Dose: 80, Exposed: 30, Dead: 30}, {Dose: 160, Exposed: 30, Dead: 30},
}

func fit(t testing.TB, field []doseresp.Container, o mixture.Options) *mixture.Result {
	t.Helper()
	r, err := mixture.Fit(field, [][]doseresp.Container{smallBaseline}, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func has(r *mixture.Result, code doseresp.WarningCode) bool {
	return slices.ContainsFunc(r.Warnings(), func(w doseresp.Warning) bool { return w.Code == code })
}

// TestFitFindsAPlateau looks at every part of a result.
func TestFitFindsAPlateau(t *testing.T) {
	r := fit(t, plateauField, mixture.Options{})
	if !(r.Identified && r.Test.Rejects() && r.Test.P < 0.01 && r.ShiftedTest.Rejects()) {
		t.Errorf("tests %+v %+v", r.Test, r.ShiftedTest)
	}
	if !(r.Fraction.Lower > 0.02 && r.Fraction.Lower < r.Fraction.Estimate && r.Fraction.Estimate < r.Fraction.Upper) {
		t.Errorf("fraction %+v", r.Fraction)
	}
	if !(r.Null.LogLik < r.Plateau.LogLik && r.Plateau.LogLik <= r.Shifted.LogLik) || r.Null.Fraction != 0 || !math.IsNaN(r.Null.Fold) {
		t.Errorf("forms %+v %+v %+v", r.Null, r.Plateau, r.Shifted)
	}
	if !r.Plateau.LowerBound || r.Shifted.LowerBound || !math.IsInf(r.Plateau.Fold, 1) || len(r.Shifted.Natural) != 2 {
		t.Errorf("plateau %+v, shifted %+v", r.Plateau, r.Shifted)
	}
	if above := r.Posterior.Above(0.02); !(above > 0.95) {
		t.Errorf("P(q > 0.02) = %g", above)
	}
	share, high := 0.0, 0.0
	for _, d := range r.Doses {
		share += d.Share
		if d.Dose >= 80 {
			high += d.Share
		}
	}
	if math.Abs(share-1) > 1e-12 || high < 0.8 || len(r.Doses) != 5 || r.Doses[3].Exposed != 30 || r.Doses[3].Survived != 5 {
		t.Errorf("doses %+v", r.Doses)
	}
	a := r.Advice
	if a.Planned || a.Mites < 10 || a.Mites > 100 || a.Dose < 28 || a.Dose > a.Highest || a.Highest < 2*r.BaselineLC99*0.999 {
		t.Errorf("advice %+v", a)
	}
	for _, code := range []doseresp.WarningCode{mixture.WarnLowerBound, mixture.WarnBeyond, mixture.WarnBaselineTail} {
		if !has(r, code) {
			t.Errorf("no warning %s among %v", code, r.Warnings())
		}
	}
}

// TestFitFindsNothing has nothing to find.
func TestFitFindsNothing(t *testing.T) {
	r := fit(t, plainField, mixture.Options{})
	if r.Test.LR != 0 || r.Test.P != 1 || r.Test.Rejects() || r.ShiftedTest.Rejects() || r.Fraction.Lower != 0 || r.Plateau.Fraction != 0 {
		t.Errorf("%+v %+v %+v", r.Test, r.ShiftedTest, r.Fraction)
	}
	if !(r.Posterior.Quantile(0.5) < 0.05 && r.Posterior.Above(0.2) < 0.1) {
		t.Errorf("posterior median %g, P(q > 0.2) = %g", r.Posterior.Quantile(0.5), r.Posterior.Above(0.2))
	}
	if a := r.Advice; !a.Planned || a.Fraction != 0.1 || a.Fold != 10 || a.Mites == 0 {
		t.Errorf("advice %+v", a)
	}
}

// TestInvariance permutes the containers, changes the unit, and repeats.
func TestInvariance(t *testing.T) {
	const tolerance = 1e-5
	want := fit(t, plateauField, mixture.Options{})
	scaled := func(assay []doseresp.Container) []doseresp.Container {
		assay = slices.Clone(assay)
		slices.Reverse(assay)
		for i := range assay {
			assay[i].Dose *= 1000
		}
		return assay
	}
	got, err := mixture.Fit(scaled(plateauField), [][]doseresp.Container{scaled(smallBaseline)}, mixture.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for name, pair := range map[string][2]float64{
		"q":         {got.Fraction.Estimate, want.Fraction.Estimate},
		"lower":     {got.Fraction.Lower, want.Fraction.Lower},
		"upper":     {got.Fraction.Upper, want.Fraction.Upper},
		"loglik":    {got.Shifted.LogLik, want.Shifted.LogLik},
		"posterior": {got.Posterior.Quantile(0.975), want.Posterior.Quantile(0.975)},
		"LC99":      {got.BaselineLC99 / 1000, want.BaselineLC99},
		"advice":    {got.Advice.Dose / 1000, want.Advice.Dose},
	} {
		if math.Abs(pair[0]-pair[1]) > tolerance*max(1, math.Abs(pair[1])) {
			t.Errorf("%s is %g in another order and unit, else %g", name, pair[0], pair[1])
		}
	}
	again := fit(t, plateauField, mixture.Options{})
	if again.Fraction != want.Fraction || again.Posterior.Mean != want.Posterior.Mean {
		t.Error("the same counts gave another result")
	}
}

// TestOneDose identifies nothing, and says so.
func TestOneDose(t *testing.T) {
	r := fit(t, []doseresp.Container{{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 80, Exposed: 60, Dead: 48}}, mixture.Options{})
	if r.Identified || !math.IsNaN(r.Fraction.Estimate) || !has(r, mixture.WarnOneDose) || !r.Plateau.LowerBound {
		t.Errorf("%+v, warnings %v", r.Fraction, r.Warnings())
	}
	// Two discriminating doses together identify it.
	r = fit(t, []doseresp.Container{{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 80, Exposed: 60, Dead: 48}, {Dose: 160, Exposed: 60, Dead: 49}}, mixture.Options{})
	if !r.Identified || !(r.Fraction.Lower > 0.05 && r.Fraction.Estimate > 0.15) {
		t.Errorf("%+v", r.Fraction)
	}
}

// TestWarnings brings each of the rest about.
func TestWarnings(t *testing.T) {
	uneven := []doseresp.Container{
		{Dose: 3.5, Exposed: 20, Dead: 0}, {Dose: 3.5, Exposed: 20, Dead: 16}, {Dose: 7, Exposed: 20, Dead: 2}, {Dose: 7, Exposed: 20, Dead: 18},
	}
	hardy := []doseresp.Container{ // as the baseline at half the dose
		{Dose: 0, Exposed: 40, Dead: 2}, {Dose: 7, Exposed: 40, Dead: 7}, {Dose: 14, Exposed: 40, Dead: 16}, {Dose: 28, Exposed: 40, Dead: 26}, {Dose: 56, Exposed: 40, Dead: 36},
	}
	level := []doseresp.Container{ // as many survive twice the dose, and more
		{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 7, Exposed: 20, Dead: 8}, {Dose: 80, Exposed: 40, Dead: 35}, {Dose: 160, Exposed: 40, Dead: 34},
	}
	for code, field := range map[doseresp.WarningCode][]doseresp.Container{
		mixture.WarnVariation:  uneven,
		mixture.WarnNoControls: uneven,
		mixture.WarnNoHighDose: uneven,
		mixture.WarnWide:       hardy,
		mixture.WarnNoShift:    level,
	} {
		r := fit(t, field, mixture.Options{})
		found := false
		for _, w := range r.Warnings() {
			if found = found || w.Code == code; w.Cure == "" || w.Message == "" {
				t.Errorf("%s lacks words: %+v", w.Code, w)
			}
		}
		if !found {
			t.Errorf("no warning %s among %v", code, r.Warnings())
		}
	}
	mildly := []doseresp.Container{
		{Dose: 0, Exposed: 40, Dead: 2}, {Dose: 3.5, Exposed: 40, Dead: 3}, {Dose: 7, Exposed: 40, Dead: 9}, {Dose: 14, Exposed: 40, Dead: 20}, {Dose: 28, Exposed: 40, Dead: 32}, {Dose: 56, Exposed: 40, Dead: 39},
	}
	if r := fit(t, mildly, mixture.Options{}); !has(r, mixture.WarnLeastShift) {
		t.Errorf("a population hardier as a whole, %g of it shifted %g-fold: warnings %v", r.Shifted.Fraction, r.Shifted.Fold, r.Warnings())
	}
}

// TestVariationBetweenPopulations must not turn a hardier population into a
// resistant part.
func TestVariationBetweenPopulations(t *testing.T) {
	shiftedField := []doseresp.Container{
		{Dose: 0, Exposed: 40, Dead: 2}, {Dose: 5, Exposed: 60, Dead: 6}, {Dose: 10, Exposed: 60, Dead: 20}, {Dose: 20, Exposed: 60, Dead: 40}, {Dose: 80, Exposed: 60, Dead: 58},
	}
	none, some := fit(t, shiftedField, mixture.Options{}), fit(t, shiftedField, mixture.Options{Tau: 0.2})
	if !(some.Test.P > none.Test.P && some.ShiftedTest.P > none.ShiftedTest.P && some.Null.Delta > 0.05 && none.Null.Delta == 0) {
		t.Errorf("P %g and %g without variation, %g and %g with; δ %g", none.Test.P, none.ShiftedTest.P, some.Test.P, some.ShiftedTest.P, some.Null.Delta)
	}
}

func TestRefusals(t *testing.T) {
	baseline := [][]doseresp.Container{smallBaseline}
	for name, c := range map[string]struct {
		field    []doseresp.Container
		baseline [][]doseresp.Container
		o        mixture.Options
		want     error
	}{
		"level":          {plainField, baseline, mixture.Options{Level: 1}, doseresp.ErrOptions},
		"least fold":     {plainField, baseline, mixture.Options{LeastFold: 1}, doseresp.ErrOptions},
		"tau":            {plainField, baseline, mixture.Options{Tau: -1}, doseresp.ErrOptions},
		"doses":          {plainField, baseline, mixture.Options{Doses: [2]float64{3, 2}}, doseresp.ErrOptions},
		"abbott":         {plainField, baseline, mixture.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.AbbottCorrection}}, doseresp.ErrOptions},
		"fixed":          {plainField, baseline, mixture.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.Fixed, Value: 1}}, doseresp.ErrOptions},
		"priors":         {plainField, baseline, mixture.Options{Priors: &mixture.Priors{}}, doseresp.ErrOptions},
		"no field":       {plainField[:1], baseline, mixture.Options{}, mixture.ErrField},
		"field counts":   {[]doseresp.Container{{Dose: 1, Exposed: 2, Dead: 3}}, baseline, mixture.Options{}, doseresp.ErrCounts},
		"base counts":    {plainField, [][]doseresp.Container{{{Dose: -1, Exposed: 2, Dead: 1}}}, mixture.Options{}, doseresp.ErrDose},
		"no baseline":    {plainField, nil, mixture.Options{}, mixture.ErrBaseline},
		"step baseline":  {plainField, [][]doseresp.Container{{{Dose: 1, Exposed: 9, Dead: 0}, {Dose: 2, Exposed: 9, Dead: 9}}}, mixture.Options{}, mixture.ErrBaseline},
		"level baseline": {plainField, [][]doseresp.Container{{{Dose: 1, Exposed: 9, Dead: 4}, {Dose: 2, Exposed: 9, Dead: 4}}}, mixture.Options{}, mixture.ErrBaseline},
	} {
		if _, err := mixture.Fit(c.field, c.baseline, c.o); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestOptionsOfNaturalMortality fits with C known and with none.
func TestOptionsOfNaturalMortality(t *testing.T) {
	fixed := fit(t, plateauField, mixture.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.Fixed, Value: 0.05}})
	for _, c := range fixed.Shifted.Natural {
		if c != 0.05 {
			t.Errorf("fixed natural mortality became %g", c)
		}
	}
	if none := fit(t, plateauField, mixture.Options{Natural: noNatural}); none.Shifted.Natural[0] != 0 || !(none.Fraction.Lower > 0) {
		t.Errorf("without natural mortality %+v", none.Shifted)
	}
}

func BenchmarkFit(b *testing.B) {
	base, err := mixture.NewBaseline([][]doseresp.Container{smallBaseline}, mixture.Options{})
	if err != nil {
		b.Fatal(err)
	}
	for name, fit := range map[string]func([]doseresp.Container) (*mixture.Result, error){
		"tests": base.Test, "limits": base.Estimate, "whole": base.Fit,
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := fit(plateauField); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

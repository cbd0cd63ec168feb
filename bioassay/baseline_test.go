package bioassay

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"vialwise/doseresp/meta"
	"vialwise/doseresp/sim"
)

// simulated draws a susceptible assay whose log10 LC50 lies off from 0, six
// two-fold doses about 1 with three containers of n. Invented.
func simulated(name string, off float64, n int, s *sim.Source) Assay {
	truth := sim.Truth{LC50: antilog(off), Slope: 2.5, NaturalMortality: 0.02}
	design := sim.Design{Doses: sim.GeometricDoses(0.2, 2, 6), Replicates: 3, Exposed: n, Controls: 3, ControlExposed: n}
	a := Assay{Name: name, Population: name, Role: RoleBaseline, Acaricide: "amitraz", Unit: "ug/vial"}
	for _, c := range sim.Assay(truth, design, s) {
		a.Containers = append(a.Containers, Container{Concentration: c.Dose, Exposed: c.Exposed, Dead: c.Dead})
	}
	return a
}

// several are simulated assays of populations that differ.
func several(k int) (assays []Assay) {
	for i := range k {
		off := []float64{0, 0.12, -0.1, 0.05, -0.03, 0.2}[i%6]
		assays = append(assays, simulated(fmt.Sprintf("p%d", i), off, 12, sim.NewSource(7, uint64(i))))
	}
	return assays
}

func built(t *testing.T, assays []Assay, o BaselineOptions) *Baseline {
	t.Helper()
	b, err := BuildBaseline("test", assays, o)
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range b.Warnings {
		if w.Message == "" || w.Cure == "" {
			t.Errorf("%s without words", w.Code)
		}
	}
	return b
}

func warned(b *Baseline, code WarningCode) bool {
	return slices.ContainsFunc(b.Warnings, func(w Warning) bool { return w.Code == code })
}

// closeTo fails unless got is want up to rounding.
func closeTo(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*max(1, math.Abs(want))) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

// TestBaselineOfOne is the assay itself, with its own robust limits.
func TestBaselineOfOne(t *testing.T) {
	b := built(t, several(1), BaselineOptions{})
	a := analysed(t, several(1)[0], AnalysisOptions{})
	for i, lc := range b.LC {
		want := a.Limits.Robust[i]
		if want.From != RobustBetaBinomial || lc.From != BaselineBetaBinomial || lc.Band.From != BandNone || !math.IsInf(lc.Band.Upper, 1) || lc.Band.Lower != 0 || lc.Pooled != nil || !math.IsNaN(lc.BetweenSD) {
			t.Errorf("LC%g: %+v", lc.Percent, lc)
		}
		closeTo(t, "estimate", lc.Estimate(), a.Fit.LC[i].Estimate)
		closeTo(t, "lower", lc.Lower, want.Lower)
		closeTo(t, "upper", lc.Upper, want.Upper)
		closeTo(t, "error", lc.Log.SE, a.Fit.LC[i].Log10SE)
		closeTo(t, "log lower", lc.Log.Lower, math.Log10(want.Lower))
	}
	closeTo(t, "slope", b.Slope.Estimate, a.Fit.Slope)
	if !(b.Slope.Lower < a.Fit.Slope && a.Fit.Slope < b.Slope.Upper) || b.Slope.Assays != 1 {
		t.Errorf("%+v", b.Slope)
	}
	if !warned(b, WarnOneBaselineAssay) || warned(b, WarnFewBaselineAssays) || warned(b, WarnFieldRole) {
		t.Errorf("warnings %v", b.Warnings)
	}
	if sets := b.ContainerSets(); len(sets) != 1 || len(sets[0]) != 21 || sets[0][0].Dose != 0.2 {
		t.Errorf("container sets %v", sets)
	}
}

// TestGivenVariationOfOne: a given deviation tau widens the limits of the mean
// by tau, and those of a further population by tau once more.
func TestGivenVariationOfOne(t *testing.T) {
	const tau, z = 0.1, 1.959963984540054
	o := BaselineOptions{BetweenSD: Known(tau), BetweenSource: "invented"}
	plain, wide := built(t, several(1), BaselineOptions{}), built(t, several(1), o)
	for i := range plain.LC {
		p, w := plain.LC[i], wide.LC[i]
		up := p.Log.Upper - p.Log.Estimate
		closeTo(t, "upper", w.Log.Upper, p.Log.Estimate+math.Sqrt(up*up+z*z*tau*tau))
		closeTo(t, "error", w.Log.SE, math.Sqrt(p.Log.SE*p.Log.SE+tau*tau))
		closeTo(t, "band", math.Log10(w.Band.UpperFold), math.Sqrt(up*up+2*z*z*tau*tau))
		closeTo(t, "band as dose", w.Band.Upper, w.Estimate()*w.Band.UpperFold)
		if w.Band.From != BandProvided || w.BetweenSD != tau || !(w.Band.LowerFold < 1) {
			t.Errorf("LC%g: %+v", w.Percent, w)
		}
	}
	if warned(wide, WarnOneBaselineAssay) {
		t.Errorf("warnings %v", wide.Warnings)
	}
}

// TestBaselineOfSeveral is the random-effects summary of log10 LCp, for every
// number of assays with what may be said of it.
func TestBaselineOfSeveral(t *testing.T) {
	for k := 2; k <= 6; k++ {
		b := built(t, several(k), BaselineOptions{})
		for i, lc := range b.LC {
			var y, v []float64
			for _, a := range b.Assays {
				y = append(y, math.Log10(a.Fit.LC[i].Estimate))
				v = append(v, a.Fit.LC[i].Log10SE*a.Fit.LC[i].Log10SE)
			}
			s, err := meta.Summarise(y, v, meta.Options{})
			if err != nil {
				t.Fatal(err)
			}
			closeTo(t, "mean", lc.Log.Estimate, s.Mean)
			closeTo(t, "error", lc.Log.SE, s.StdErr)
			closeTo(t, "sd", lc.BetweenSD, s.SD())
			closeTo(t, "carried", lc.Log.Upper, s.Carried.Upper)
			if lc.Log.DF != k-1 || lc.From != BaselineRandomEffects || math.IsInf(lc.Log.Lower, -1) {
				t.Errorf("%d assays, LC%g: %+v", k, lc.Percent, lc)
			}
			if above, below := !math.IsInf(lc.Upper, 1), lc.Lower > 0; above != (k >= 4) || below != (k >= 4) {
				t.Errorf("%d assays, LC%g: limits %g to %g", k, lc.Percent, lc.Lower, lc.Upper)
			}
			if known := lc.Band.From == BandAssays; known != (k >= 3) || known == math.IsInf(lc.Band.Upper, 1) {
				t.Errorf("%d assays, LC%g: band %+v", k, lc.Percent, lc.Band)
			}
			if k >= 3 {
				closeTo(t, "band", math.Log10(lc.Band.Lower), s.Prediction.Lower)
			}
		}
		if warned(b, WarnFewBaselineAssays) != (k < 4) || warned(b, WarnOneBaselineAssay) {
			t.Errorf("%d assays: %v", k, b.Warnings)
		}
		if b.Slope.Assays != k || !(b.Slope.Estimate > 1.5 && b.Slope.Estimate < 4) {
			t.Errorf("%d assays: %+v", k, b.Slope)
		}
		if b.Populations != k || len(b.ContainerSets()) != k {
			t.Errorf("%d assays: %d populations", k, b.Populations)
		}
	}
}

// TestMethodAndGivenReachTheSummary of several assays.
func TestMethodAndGivenReachTheSummary(t *testing.T) {
	if s := built(t, several(5), BaselineOptions{Method: meta.REML}).LC[1].Pooled; s.Method != meta.REML {
		t.Errorf("method %v", s.Method)
	}
	b := built(t, several(2), BaselineOptions{BetweenSD: Known(0.2), BetweenSource: "invented"})
	lc, ok := b.At(50)
	if !ok || lc.Pooled.Method != meta.Given || lc.BetweenSD != 0.2 || lc.Band.From != BandProvided || math.IsInf(lc.Upper, 1) || lc.Log.DF != 0 {
		t.Errorf("%+v", lc)
	}
	if warned(b, WarnFewBaselineAssays) || warned(b, WarnVariationExceeds) {
		t.Errorf("warnings %v", b.Warnings)
	}
	far := several(2)
	for i := range far[1].Containers {
		far[1].Containers[i].Concentration *= 10
	}
	if b := built(t, far, BaselineOptions{BetweenSD: Known(0.1), BetweenSource: "invented"}); !warned(b, WarnVariationExceeds) {
		t.Errorf("warnings %v", b.Warnings)
	}
	if _, ok := b.At(51); ok {
		t.Error("LC51 was not asked for")
	}
}

// TestBaselineWithoutALine: a single assay that killed every mite carries its
// inequality, a separated one its bracket, and neither gets an invented dose.
func TestBaselineWithoutALine(t *testing.T) {
	dead := assayOf("all dead", row{0, 9, 0}, row{1, 9, 9}, row{2, 9, 9})
	for _, o := range []BaselineOptions{{}, {BetweenSD: Known(0.1), BetweenSource: "invented"}} {
		b := built(t, []Assay{dead}, o)
		lc, _ := b.At(50)
		if !math.IsNaN(lc.Log.Estimate) || !math.IsInf(lc.Log.From, -1) || lc.Log.To != 0 || !math.IsInf(lc.Log.Lower, -1) || !(lc.Log.Upper < 0.2) {
			t.Errorf("all dead: %+v", lc.Log)
		}
		if !warned(b, WarnBaselineCensored) || b.Slope.Assays != 0 || !math.IsNaN(b.Slope.Estimate) {
			t.Errorf("all dead: %v, %+v", b.Warnings, b.Slope)
		}
		for _, d := range b.Discriminating {
			if !math.IsNaN(d.Dose) || d.Survival.From != SurvivalNone || !math.IsInf(d.Upper, 1) {
				t.Errorf("all dead: %+v", d)
			}
		}
	}
	b := built(t, []Assay{separated}, BaselineOptions{})
	lc, _ := b.At(50)
	if !math.IsNaN(lc.Log.Estimate) || lc.Log.From != math.Log10(2) || lc.Log.To != math.Log10(4) || !(lc.Lower > 0 && lc.Lower < lc.Upper && lc.Upper < 10) {
		t.Errorf("separated: %+v", lc)
	}
	if !warned(b, WarnBaselineSeparated) || !math.IsNaN(b.Discriminating[0].Dose) {
		t.Errorf("separated: %v", b.Warnings)
	}
}

// TestAwkwardAssays enter a summary by their posterior, and every answer is a
// number.
func TestAwkwardAssays(t *testing.T) {
	for _, awkward := range []Assay{flat, separated} {
		assays := append(several(3), awkward)
		b := built(t, assays, BaselineOptions{})
		if !warned(b, WarnBaselinePosterior) || !warned(b, WarnFieldRole) {
			t.Errorf("%s: %v", awkward.Name, b.Warnings)
		}
		for i, lc := range b.LC {
			p := b.Assays[3].Limits.PosteriorLC[i]
			y, v := b.lines.estimate(b.Assays[3], i)
			closeTo(t, "its estimate", antilog(y), p.Median)
			closeTo(t, "its width", 2*1.959963984540054*math.Sqrt(v), math.Log10(p.Upper/p.Lower))
			if !(0 < lc.Band.Lower && lc.Band.Lower < lc.Lower && lc.Lower < lc.Estimate() && lc.Estimate() < lc.Upper && lc.Upper < lc.Band.Upper && !math.IsInf(lc.Band.Upper, 1)) {
				t.Errorf("%s, LC%g: %+v", awkward.Name, lc.Percent, lc)
			}
		}
	}
}

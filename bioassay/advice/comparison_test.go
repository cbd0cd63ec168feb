package advice_test

import (
	"errors"
	"math"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/advice"
	"vialwise/bioassay/rules"
	"vialwise/doseresp"
)

// The counts of these tests are invented: those that a probit line expects, rounded,
// so that what was put in is known and chance has no part.

// line is a population by its LC50 and slope, with a resistant part that a fold
// more is needed for.
type line struct {
	lc50, slope, part, fold float64
}

func (l line) mortality(dose float64) float64 {
	phi := func(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
	own := phi(l.slope * math.Log10(dose/l.lc50))
	if l.part == 0 {
		return own
	}
	return (1-l.part)*own + l.part*phi(l.slope*math.Log10(dose/(l.lc50*l.fold)))
}

// assay is one with two containers at each dose and two untreated ones.
func (l line) assay(name string, mites int, doses ...float64) bioassay.Assay {
	a := bioassay.Assay{Name: name, Acaricide: "amitraz", Protocol: protocol, Unit: "ug/vial", ExposureHours: bioassay.Known(24), ReadingHours: bioassay.Known(24)}
	a.TestedOn = bioassay.Date{Year: 2031, Month: 4, Day: 9}
	for _, dose := range append([]float64{0}, doses...) {
		for range 2 {
			dead := 0
			if dose > 0 {
				dead = int(math.Round(float64(mites) * l.mortality(dose)))
			}
			a.Containers = append(a.Containers, bioassay.Container{Concentration: dose, Exposed: mites, Dead: dead})
		}
	}
	return a
}

// protocol has classes of mortality for one concentration.
const protocol = "discriminating"

// reference compares with five assays of susceptible mites around an LC50 of 1.
func reference(t *testing.T) (*bioassay.Comparer, advice.Judging) {
	t.Helper()
	var assays []bioassay.Assay
	for i, lc50 := range []float64{0.9, 0.95, 1, 1.05, 1.1} {
		a := line{lc50: lc50, slope: 3}.assay("reference-"+string(rune('a'+i)), 15, 0.35, 0.6, 1, 1.7, 2.9)
		a.Role = bioassay.RoleBaseline
		assays = append(assays, a)
	}
	programme := rules.Builtin()
	set, ok := programme.RuleSet("fold-bands")
	if !ok {
		t.Fatal("no bands")
	}
	priors := doseresp.DefaultPriors()
	o := bioassay.CompareOptions{Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50, 90, 99}}, Priors: &priors}, Bands: set.Ratios}
	b, err := bioassay.BuildBaseline("reference", assays, bioassay.BaselineOptions{Analysis: o.Analysis})
	if err != nil {
		t.Fatal(err)
	}
	c, err := bioassay.NewComparer(b, o)
	if err != nil {
		t.Fatal(err)
	}
	return c, advice.Judging{Programme: programme, Bands: set.Ratios, Level: 0.95}
}

// TestFindingOf reads comparisons of populations whose truth is known. Of 100 mites
// survivors outlive the dose 10^(2.326/3) = 5.97, the LC99 of a line of slope 3
// through 1.
func TestFindingOf(t *testing.T) {
	comparer, judging := reference(t)
	series := []float64{0.35, 0.6, 1, 1.7, 2.9}
	shifted := func(fold float64) (doses []float64) {
		for _, d := range series {
			doses = append(doses, d*fold)
		}
		return doses
	}
	const lc99 = 5.97
	for name, k := range map[string]struct {
		truth   line
		mites   int
		doses   []float64
		reading advice.Reading
	}{
		"like the baseline":   {line{lc50: 1, slope: 3}, 40, series, advice.Susceptible},
		"twelve-fold":         {line{lc50: 12, slope: 3}, 15, shifted(12), advice.Resistant},
		"two-fold":            {line{lc50: 2, slope: 3}, 60, shifted(2), advice.Some}, // beyond the baselines, in the lowest band
		"few mites":           {line{lc50: 1.2, slope: 3}, 3, series, advice.Unclear},
		"thirty in a hundred": {line{lc50: 1, slope: 3, part: 0.3, fold: 60}, 30, append(shifted(1), 6, 12), advice.Some},
	} {
		c, err := comparer.Compare(k.truth.assay(name, k.mites, k.doses...))
		if err != nil {
			t.Fatal(err)
		}
		bioassay.Adjust([]*bioassay.Comparison{c})
		f := advice.FindingOf(c, judging, advice.TrendLevel)
		if err := f.Check(); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if r := readingOf(t, f); r.Reading != k.reading {
			t.Errorf("%s is read as %v: %s", name, r.Reading, r.Because)
		}
		want := 100 * (1 - k.truth.mortality(lc99))
		if s := f.Survivors; !s.Known || !(s.Lower <= want+0.5 && s.Upper >= want-0.5 && s.Lower <= s.Estimate && s.Estimate <= s.Upper) {
			t.Errorf("%s: %.3g of 100 outlive, told %+v", name, want, s)
		}
		if f.Mites != 2*k.mites*(1+len(k.doses)) || f.Trend != advice.TrendLevel || f.Reference != protocol || !f.Variation.Own {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

func readingOf(t *testing.T, f advice.Finding) advice.Outcome {
	t.Helper()
	n, err := advice.Write([]advice.Finding{f}, advice.Context{Date: bioassay.Date{Year: 2031, Month: 5, Day: 2}, Language: "en"})
	if err != nil {
		t.Fatal(err)
	}
	return n.Read[0]
}

// TestShiftIsNoPart: what susceptible mites vary by at LC50 is no ground to call a
// part of the mites resistant by RR90, which a shift of the whole raises too.
func TestShiftIsNoPart(t *testing.T) {
	comparer, judging := reference(t)
	c, err := comparer.Compare(line{lc50: 1.15, slope: 2}.assay("flatter", 60, 0.4, 0.7, 1.2, 2, 3.4))
	if err != nil {
		t.Fatal(err)
	}
	f := advice.FindingOf(c, judging, advice.TrendUnknown)
	if f.RR90.Lower <= f.Variation.Fold {
		t.Fatalf("RR90 %+v shows nothing here", f.RR90)
	}
	if f.Fold90 != 5 { // fold-bands
		t.Errorf("RR90 is held against %g", f.Fold90)
	}
	f.Minority = advice.Minority{} // which a flatter line may show by itself
	if r := readingOf(t, f); r.Reading == advice.Some {
		t.Errorf("read as %v: %s", r.Reading, r.Because)
	}
}

// TestVariationOfRules: one assay of susceptible mites tells of no variation, and
// the bound of the bands takes its place; without bands nothing is called resistant.
func TestVariationOfRules(t *testing.T) {
	_, judging := reference(t)
	priors := doseresp.DefaultPriors()
	for _, bands := range []*bioassay.RatioBands{judging.Bands, nil} {
		o := bioassay.CompareOptions{Analysis: bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: []float64{50}}, Priors: &priors}, Bands: bands}
		b, err := bioassay.BuildBaseline("one", []bioassay.Assay{line{lc50: 1, slope: 3}.assay("one", 15, 0.35, 0.6, 1, 1.7, 2.9)}, bioassay.BaselineOptions{Analysis: o.Analysis})
		if err != nil {
			t.Fatal(err)
		}
		comparer, err := bioassay.NewComparer(b, o)
		if err != nil {
			t.Fatal(err)
		}
		c, err := comparer.Compare(line{lc50: 20, slope: 3}.assay("far", 15, 7, 12, 20, 34, 58))
		if err != nil {
			t.Fatal(err)
		}
		judging.Bands = bands
		f := advice.FindingOf(c, judging, advice.TrendUnknown)
		r := readingOf(t, f)
		switch {
		case bands != nil && (f.Variation.Own || f.Variation.Fold != 5 || f.Variation.Name != "fold-bands" || r.Reading != advice.Resistant):
			t.Errorf("with bands: %+v, %v", f.Variation, r)
		case bands == nil && (f.Variation.Fold != 0 || r.Reading != advice.Unclear):
			t.Errorf("without bands: %+v, %v", f.Variation, r)
		}
		if f.RR90.Known {
			t.Errorf("RR90 %+v, and no LC90 was asked for", f.RR90)
		}
	}
}

// TestFindingOfSingle judges one concentration by the classes of its protocol.
func TestFindingOfSingle(t *testing.T) {
	comparer, judging := reference(t)
	for name, k := range map[string]struct {
		dead    int
		reading advice.Reading
	}{"all dead": {200, advice.Susceptible}, "half dead": {100, advice.Resistant}, "nearly all dead": {190, advice.Unclear}} {
		a := line{lc50: 1, slope: 3}.assay(name, 200)
		a.Containers = append(a.Containers, bioassay.Container{Concentration: 6, Exposed: 200, Dead: k.dead})
		c, err := comparer.Compare(a)
		if err != nil {
			t.Fatal(err)
		}
		f := advice.FindingOf(c, judging, advice.TrendUnknown)
		if r := readingOf(t, f); r.Reading != k.reading || f.Single.Exposed != 200 {
			t.Errorf("%s is read as %v: %s", name, r.Reading, r.Because)
		}
		if want := 100 - float64(k.dead)/2; math.Abs(f.Survivors.Estimate-want) > 1e-9 {
			t.Errorf("%s: %g of 100 survive, want %g", name, f.Survivors.Estimate, want)
		}
	}
}

// TestFindingOfRefused: of the assays that were not compared, those that fail a
// quality rule and those of another protocol have something to tell.
func TestFindingOfRefused(t *testing.T) {
	comparer, _ := reference(t)
	a := line{lc50: 1, slope: 3}.assay("field", 15, 1, 2)
	refusal := func(change func(*bioassay.Assay)) (bioassay.Assay, error) {
		other := a
		change(&other)
		_, err := comparer.Compare(other)
		if err == nil {
			t.Fatal("nothing was refused")
		}
		return other, err
	}
	discarded := bioassay.Verdict{Reasons: []bioassay.Finding{{Warning: bioassay.Warning{Code: bioassay.ControlsFailed}}}}
	if f, ok := advice.FindingOfRefused(a, discarded, nil); !ok || !f.Quality.Discarded || readingOf(t, f).Reading != advice.Discarded {
		t.Errorf("failed controls: %+v, %v", f, ok)
	}
	usable := bioassay.Verdict{Usable: true}
	other, err := refusal(func(a *bioassay.Assay) { a.Protocol = "strip-jar" })
	if f, ok := advice.FindingOfRefused(other, usable, err); !ok || f.Reference != protocol || readingOf(t, f).Reading != advice.Foreign {
		t.Errorf("another protocol: %+v, %v", f, ok)
	}
	other, err = refusal(func(a *bioassay.Assay) { a.ExposureHours = bioassay.Known(6) })
	if f, ok := advice.FindingOfRefused(other, usable, err); !ok || readingOf(t, f).Reading != advice.Foreign {
		t.Errorf("another exposure: %+v, %v", f, ok)
	}
	other, err = refusal(func(a *bioassay.Assay) { a.Acaricide = "coumaphos" })
	if f, ok := advice.FindingOfRefused(other, usable, err); ok {
		t.Errorf("another acaricide: %+v", f)
	}
	if f, ok := advice.FindingOfRefused(a, usable, errors.New("no date")); ok {
		t.Errorf("no date: %+v", f)
	}
}

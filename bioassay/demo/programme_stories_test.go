package demo

import (
	"math"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
)

// comparePart compares the field assays chosen with the baselines of the programme.
func comparePart(t *testing.T, choose func(bioassay.Assay, stated) bool) []*bioassay.Comparison {
	t.Helper()
	truths := readTruths(t, ProgrammeTruth())
	baseline, field, err := bioassay.SelectBaseline(readTable(t, ProgrammeCounts()), "")
	if err != nil {
		t.Fatal(err)
	}
	var comparers []*bioassay.Comparer
	for _, group := range bioassay.GroupBaselines(baseline) {
		if len(group) != 5 {
			t.Errorf("%d baseline assays of %s, want 5", len(group), group[0].Acaricide)
		}
		b, err := bioassay.BuildBaseline(group[0].Acaricide, group, bioassay.BaselineOptions{})
		if err != nil {
			t.Fatal(err)
		}
		c, err := bioassay.NewComparer(b, bioassay.CompareOptions{})
		if err != nil {
			t.Fatal(err)
		}
		comparers = append(comparers, c)
	}
	field = slices.DeleteFunc(field, func(a bioassay.Assay) bool { return !choose(a, truths[a.Name]) })
	compared, refused := bioassay.CompareAll(field, comparers, nil)
	for _, r := range refused {
		t.Errorf("%s: %v", r.Assay.Name, r.Err)
	}
	return compared
}

func ratioAt50(c *bioassay.Comparison) bioassay.RatioAt {
	i := slices.IndexFunc(c.Ratios, func(r bioassay.RatioAt) bool { return r.Percent == 50 })
	return c.Ratios[i]
}

// susceptible is the LC50 of the susceptible colonies, ug/vial, see README.md.
var susceptible = map[string]float64{"amitraz": 0.5, "tau-fluvalinate": 4, "coumaphos": 2}

// regionalMean is the geometric mean of the ratios of a region.
type regionalMean struct {
	found, true float64 // sums of log10 until divided by n
	n           int
}

const firstSeason, lastSeason = "2031-spring", "2033-autumn"

// courseMeans are the mean ratios of tau-fluvalinate and coumaphos by acaricide,
// region and season, in the first and the last season. No ratio may lie far
// from the one it was drawn from.
func courseMeans(t *testing.T) map[string]regionalMean {
	t.Helper()
	apiaries, truths, means := readProgrammeApiaries(t), readTruths(t, ProgrammeTruth()), map[string]regionalMean{}
	for _, c := range comparePart(t, func(a bioassay.Assay, s stated) bool {
		return a.Acaricide != "amitraz" && (s.season == firstSeason || s.season == lastSeason)
	}) {
		a := c.Field.Assay
		truth := truths[a.Name]
		want, ratio := math.Log10(truth.LC50/susceptible[a.Acaricide]), ratioAt50(c)
		if math.IsNaN(ratio.Estimate) {
			if !strings.Contains(truth.story, "none dead") {
				t.Errorf("%s (%s): no ratio", a.Name, truth.story)
			}
			continue
		}
		if z := (math.Log10(ratio.Estimate) - want) / ratio.Log10SE; math.Abs(z) > farthest {
			t.Errorf("%s: ratio %.3g lies %.1f standard errors from %.3g", a.Name, ratio.Estimate, z, math.Pow(10, want))
		}
		key := strings.Join([]string{a.Acaricide, apiaries[a.Apiary].Region, truth.season}, " ")
		m := means[key]
		means[key] = regionalMean{m.found + math.Log10(ratio.Estimate), m.true + want, m.n + 1}
	}
	return means
}

// The spread of tau-fluvalinate resistance and the stable excess of coumaphos
// are in the truth, and are found again.
func TestProgrammeCourses(t *testing.T) {
	means := courseMeans(t)
	for _, c := range []struct {
		key          string
		lower, upper float64 // of the true mean
	}{
		{"tau-fluvalinate Yrdemoor " + firstSeason, 1, 1.4},
		{"tau-fluvalinate Yrdemoor " + lastSeason, 13, 21}, // 1.15 times 3^2.5
		{"tau-fluvalinate Cormavelle " + firstSeason, 1, 1.4},
		{"tau-fluvalinate Cormavelle " + lastSeason, 3, 9},
		{"tau-fluvalinate Saskellan " + firstSeason, 1, 1.4},
		{"tau-fluvalinate Saskellan " + lastSeason, 1.1, 2.5},
		{"coumaphos Yrdemoor " + firstSeason, 1, 1.4},
		{"coumaphos Yrdemoor " + lastSeason, 1, 1.4},
		{"coumaphos Cormavelle " + firstSeason, 1.7, 2.3},
		{"coumaphos Cormavelle " + lastSeason, 1.7, 2.3},
	} {
		m := means[c.key]
		found, truth := math.Pow(10, m.found/float64(m.n)), math.Pow(10, m.true/float64(m.n))
		if truth < c.lower || truth > c.upper {
			t.Errorf("%s: true mean %.3g of %d, want %g to %g", c.key, truth, m.n, c.lower, c.upper)
		}
		// Ten small assays leave an error near 5 % of their mean, the baseline one near 10 %.
		if fold := found / truth; fold < 1/1.25 || fold > 1.25 {
			t.Errorf("%s: found %.3g, true %.3g", c.key, found, truth)
		}
	}
}

// Where a part of the mites comes to resist amitraz it is seen in the last
// season, and hardly elsewhere.
func TestProgrammeEmergence(t *testing.T) {
	truths := readTruths(t, ProgrammeTruth())
	emerging, seen, inside, seenElsewhere, elsewhere := 0, 0, 0, 0, 0
	for _, c := range comparePart(t, func(a bioassay.Assay, s stated) bool { return a.Acaricide == "amitraz" && s.season == "2033-autumn" }) {
		a := c.Field.Assay
		truth := truths[a.Name]
		if strings.Contains(truth.story, "single") {
			if c.Survivors == nil || c.Fraction != nil && c.Fraction.Identified {
				t.Errorf("%s: one concentration is not read as one", a.Name)
			}
			continue
		}
		found := c.Fraction != nil && c.Fraction.ShiftedTest.P < 0.05
		if truth.ResistantFraction == 0 {
			elsewhere++
			if found {
				seenElsewhere++
			}
			continue
		}
		emerging++
		if found {
			seen++
		}
		if q := c.Fraction.Fraction; q.Lower <= truth.ResistantFraction && truth.ResistantFraction <= q.Upper {
			inside++
		}
	}
	if inside < 4 { // of 5 limits at 95 %
		t.Errorf("%d of %d limits hold the true q", inside, emerging)
	}
	if emerging != 5 || seen < 4 || elsewhere < 8 || seenElsewhere > elsewhere/4 {
		t.Errorf("%d of %d emerging seen, %d of %d elsewhere", seen, emerging, seenElsewhere, elsewhere)
	}
}

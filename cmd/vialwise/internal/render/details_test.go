package render

import (
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
)

// TestSentences states the results of assays of every kind.
func TestSentences(t *testing.T) {
	f := analysed(t, readTable(t, "counts.csv", "assay,concentration,exposed,dead\n"+
		"Rotenone,2.6,50,6\nRotenone,3.8,48,16\nRotenone,5.1,46,24\nRotenone,7.7,49,42\nRotenone,10.2,50,44\n"+
		"flat,1,20,5\nflat,2,20,7\nflat,4,20,8\nlow,1,20,20\nlow,2,20,20\nhigh,1,20,0\nhigh,2,20,0\nstep,1,9,0\nstep,2,9,9\nuntreated,0,9,1\n"),
		bioassay.AnalysisOptions{})
	want := map[string]string{
		"Rotenone":  "LC50 4.845, 95 % limits 4.363 to 5.354, from 243 treated mites.",
		"flat":      "The limits are those of the posterior: bounded fiducial ones do not exist.",
		"low":       "by the doses alone LC50 lies below 1.",
		"high":      "by the doses alone LC50 lies above 2.",
		"step":      "There is no finite line (separated): median and limits are those of the posterior; by the doses alone LC50 lies between 1 and 2.",
		"untreated": "No LC50: there is no treated mite.",
	}
	for _, a := range f.Analyses {
		if got := Sentence(a); !strings.HasSuffix(got, want[a.Assay.Name]) {
			t.Errorf("%s: %q", a.Assay.Name, got)
		}
	}
}

// TestRatioSentences demands that the word on each of the demo's populations is that
// of its comparison, and that a resistant part is told with its adjusted test.
func TestRatioSentences(t *testing.T) {
	c := demoComparisons(t)
	found, lost, beyond := 0, 0, 0
	for _, r := range c.Compared {
		s := RatioSentence(r)
		if !strings.Contains(s, RatioAtLC50(r)) {
			t.Errorf("%s: %q does not give %s", r.Field.Assay.Name, s, RatioAtLC50(r))
		}
		rejects := r.Fraction != nil && r.Fraction.Identified && !r.WholeShift && r.Fraction.Test.Rejects()
		if strings.Contains(s, "A resistant part of") != rejects {
			t.Errorf("%s: %q", r.Field.Assay.Name, s)
		}
		if but := strings.Contains(s, "but not after allowing"); but != (rejects && !(r.Adjusted.Fraction < decisive)) {
			t.Errorf("%s: adjusted P %g, %q", r.Field.Assay.Name, r.Adjusted.Fraction, s)
		} else if but {
			lost++
		} else if rejects {
			found++
		}
		i := slices.IndexFunc(r.Ratios, func(x bioassay.RatioAt) bool { return x.Percent == 50 })
		if strings.Contains(s, "beyond the variation") != (r.Ratios[i].Natural == bioassay.NaturalBeyond) {
			t.Errorf("%s: %v, %q", r.Field.Assay.Name, r.Ratios[i].Natural, s)
		} else if r.Ratios[i].Natural == bioassay.NaturalBeyond {
			beyond++
		}
	}
	if found == 0 || lost == 0 || beyond == 0 {
		t.Errorf("%d resistant parts found, %d lost to the number of tests, %d beyond the variation", found, lost, beyond)
	}
}

// TestFindingsOf joins the findings of rules, decisions and the computation.
func TestFindingsOf(t *testing.T) {
	warn := func(code bioassay.WarningCode) bioassay.Warning {
		return bioassay.Warning{Code: code, Message: "m", Cure: "c"}
	}
	v := bioassay.Verdict{
		Findings: []bioassay.Finding{{Warning: warn("a"), Severity: bioassay.Note}, {Warning: warn("b"), Severity: bioassay.Discard, Rule: bioassay.Basis{Name: "set", Source: "book"}}},
		Lifted:   []bioassay.Override{{Code: "b", By: "A. Keeper", On: bioassay.Date{Year: 2031, Month: 5, Day: 9}, Why: "the sun"}},
	}
	var got []string
	for _, f := range FindingsOf(&v, []bioassay.Warning{warn("a"), warn("z")}) {
		got = append(got, f.Severity+" "+f.Code+" "+f.Rule)
	}
	if want := []string{"discard b set (book)", "override b ", "remark z ", "note a "}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if FindingsOf(nil) != nil {
		t.Error("findings without a cause")
	}
}

// TestRawCounts lays out moribund and missing mites, and doses in their order.
func TestRawCounts(t *testing.T) {
	table := readTable(t, "counts.csv", "assay,unit,concentration,exposed,dead,moribund,missing\nA,mg/L,2.50,10,5,2,1\nA,mg/L,0,9,1,,\nA,mg/L,2.50,8,8,,\nA,mg/L,1,7,0,,\n")
	got := RawCounts(table.Assays[0])
	want := [][]string{{"control", "1/9", "1", "9"}, {"1", "0/7", "0", "7"}, {"2.50", "5 + 2 m/10 − 1, 8/8", "13 + 2 m", "18"}}
	if !slices.EqualFunc(got.Rows, want, slices.Equal[[]string]) || got.Header[0] != "Concentration, mg/L" || len(got.Notes) != 1 {
		t.Errorf("%q, %q, %q", got.Header, got.Rows, got.Notes)
	}
}

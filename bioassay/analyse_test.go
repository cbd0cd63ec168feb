package bioassay

import (
	"math"
	"slices"
	"strings"
	"testing"

	"vialwise/doseresp"
)

// row is the dose, exposed and dead of a container.
type row [3]float64

func assayOf(name string, rows ...row) Assay {
	a := Assay{Name: name}
	for _, r := range rows {
		a.Containers = append(a.Containers, Container{Concentration: r[0], Exposed: int(r[1]), Dead: int(r[2])})
	}
	return a
}

// Invented counts.
var (
	ordinary  = assayOf("ordinary", row{0, 20, 1}, row{1, 20, 2}, row{1, 20, 3}, row{2, 20, 6}, row{2, 20, 8}, row{4, 20, 14}, row{4, 20, 15}, row{8, 20, 18}, row{8, 20, 19})
	flat      = assayOf("flat", row{1, 20, 5}, row{2, 20, 7}, row{4, 20, 8})
	separated = assayOf("separated", row{1, 10, 0}, row{2, 10, 0}, row{4, 10, 10}, row{8, 10, 10})
	noneDead  = assayOf("none dead", row{1, 10, 0}, row{2, 10, 0}, row{4, 10, 0})
	falling   = assayOf("falling", row{1, 10, 8}, row{2, 10, 3})
	untreated = assayOf("untreated", row{0, 20, 1})
	nothing   = assayOf("nothing")
)

// beetles are the counts of Bliss (1935), Annals of Applied Biology 22:134-167,
// from memory: eight log10 doses of carbon disulphide.
func beetles() Assay {
	a := Assay{Name: "beetles"}
	for i, x := range []float64{1.6907, 1.7242, 1.7552, 1.7842, 1.8113, 1.8369, 1.8610, 1.8839} {
		a.Containers = append(a.Containers, Container{
			Concentration: math.Pow(10, x),
			Exposed:       []int{59, 60, 62, 56, 63, 59, 62, 60}[i],
			Dead:          []int{6, 13, 18, 28, 52, 53, 61, 60}[i],
		})
	}
	return a
}

func analysed(t *testing.T, a Assay, o AnalysisOptions) *Analysis {
	t.Helper()
	analysis, err := Analyse(a, o)
	if err != nil {
		t.Fatal(err)
	}
	return analysis
}

func (a *Analysis) codes() []WarningCode {
	var codes []WarningCode
	for _, w := range a.Warnings {
		codes = append(codes, w.Code)
	}
	return codes
}

// TestMissingMites warns only above one mite in ten of those placed.
func TestMissingMites(t *testing.T) {
	for _, c := range []struct {
		missing int // of 200 placed
		warned  bool
	}{{0, false}, {1, false}, {19, false}, {20, false}, {21, true}, {40, true}} {
		a := Assay{Name: "missing"}
		for i, dead := range []int{1, 5, 12, 18} {
			a.Containers = append(a.Containers, Container{Concentration: float64(i), Exposed: 50, Dead: dead})
		}
		a.Containers[1].Missing = c.missing / 2
		a.Containers[3].Missing = c.missing - c.missing/2
		if exposed := a.Exposed(); exposed+c.missing != 200 || a.Missing() != c.missing {
			t.Fatalf("%d at risk and %d missing", exposed, a.Missing())
		}
		analysis := analysed(t, a, AnalysisOptions{})
		i := slices.Index(analysis.codes(), WarnMissingMites)
		if (i >= 0) != c.warned {
			t.Errorf("%d of 200 missing: warned %v, want %v", c.missing, i >= 0, c.warned)
		}
		if c.missing == 21 && i >= 0 && !strings.HasPrefix(analysis.Warnings[i].Message, "21 of 200 mites placed") {
			t.Errorf("says %q", analysis.Warnings[i].Message)
		}
	}
}

// TestFitWarnings shows what is said about a line that does not fit.
func TestFitWarnings(t *testing.T) {
	uneven := assayOf("uneven", row{1, 20, 0}, row{1, 20, 9}, row{2, 20, 4}, row{2, 20, 14}, row{4, 20, 8}, row{4, 20, 20}, row{8, 20, 14}, row{8, 20, 20})
	undecided := assayOf("undecided", row{1, 50, 1}, row{2, 50, 30}, row{4, 50, 38}, row{8, 50, 42})
	ofFit := []WarningCode{WarnWrongLink, WarnHeterogeneous, WarnUndecidedFit}
	for _, c := range []struct {
		assay   Assay
		link    doseresp.Link
		verdict doseresp.LackOfFitVerdict
		code    WarningCode // none for none of the three
		cure    string
	}{
		{beetles(), doseresp.Probit, doseresp.WrongLink, WarnWrongLink, "fit with --link cloglog"},
		{beetles(), doseresp.Logit, doseresp.WrongLink, WarnWrongLink, "fit with --link cloglog"},
		{beetles(), doseresp.Cloglog, doseresp.LineFits, "", ""},
		{ordinary, doseresp.Probit, doseresp.LineFits, "", ""},
		{uneven, doseresp.Probit, doseresp.ExtraVariation, WarnHeterogeneous, "when-above-one"},
		{undecided, doseresp.Probit, doseresp.UndecidedLackOfFit, WarnUndecidedFit, "residuals"},
		{separated, doseresp.Probit, doseresp.LineFits, "", ""}, // no line, so no verdict on it
	} {
		a := analysed(t, c.assay, AnalysisOptions{Fit: doseresp.Options{Link: c.link}})
		if a.LackOfFit.Verdict != c.verdict {
			t.Errorf("%s, %v: %v, want %v: %s", c.assay.Name, c.link, a.LackOfFit.Verdict, c.verdict, a.LackOfFit.Message)
		}
		for _, code := range ofFit {
			i := slices.Index(a.codes(), code)
			if (i >= 0) != (code == c.code) {
				t.Errorf("%s, %v: %s %v", c.assay.Name, c.link, code, i >= 0)
				continue
			}
			if i >= 0 && (a.Warnings[i].Message != a.LackOfFit.Message || !strings.Contains(a.Warnings[i].Cure, c.cure)) {
				t.Errorf("%s, %v: %v", c.assay.Name, c.link, a.Warnings[i])
			}
		}
		if c.assay.Name == "beetles" && a.LackOfFit.BestLink != doseresp.Cloglog {
			t.Errorf("beetles, %v: best link %v", c.link, a.LackOfFit.BestLink)
		}
	}
}

// TestDiagnosticsCoverTheLikelihood: every container with a line, none without.
func TestDiagnosticsCoverTheLikelihood(t *testing.T) {
	for _, c := range []struct {
		assay Assay
		o     doseresp.Options
		want  int
	}{
		{ordinary, doseresp.Options{}, 9},
		{ordinary, doseresp.Options{Natural: doseresp.NaturalMortality{Mode: doseresp.None}}, 8}, // without the control
		{separated, doseresp.Options{}, 0},
	} {
		if got := len(analysed(t, c.assay, AnalysisOptions{Fit: c.o}).Diagnostics); got != c.want {
			t.Errorf("%s, natural mortality %v: %d containers, want %d", c.assay.Name, c.o.Natural.Mode, got, c.want)
		}
	}
}

// TestAnalyseFails names the assay where options are impossible.
func TestAnalyseFails(t *testing.T) {
	wrong := doseresp.Priors{}
	for name, c := range map[string]struct {
		assay Assay
		o     AnalysisOptions
		want  string
	}{
		"level":      {ordinary, AnalysisOptions{Fit: doseresp.Options{Level: 95}}, "level"},
		"priors":     {separated, AnalysisOptions{Priors: &wrong}, "priors"},
		"replicates": {ordinary, AnalysisOptions{Limits: LimitSets{Bootstrap: true}, Replicates: 20}, "need at least 200"},
	} {
		_, err := Analyse(c.assay, c.o)
		if err == nil || !strings.HasPrefix(err.Error(), `assay "`+c.assay.Name+`": `) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

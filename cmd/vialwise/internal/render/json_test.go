package render

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"vialwise/doseresp"
)

// sameNumber compares the number at a path of a document with the one that it
// stands for, bit by bit.
func sameNumber(t *testing.T, doc any, want float64, path ...any) {
	t.Helper()
	switch got := cell(doc, path...).(type) {
	case nil:
		if !math.IsNaN(want) && !math.IsInf(want, 0) {
			t.Errorf("%v %v: null, want %v", cell(doc, "assay"), path, want)
		}
	case float64:
		if got != want {
			t.Errorf("%v %v: %v, want %v", cell(doc, "assay"), path, got, want)
		}
	default:
		t.Errorf("%v: %v is no number", path, got)
	}
}

// TestJSONNumbers reads every number of the published sets, the demo and the
// awkward assays back and finds the bits of the result.
func TestJSONNumbers(t *testing.T) {
	f := everyAssay(t, DefaultPercents("json"))
	var doc any
	if err := json.Unmarshal([]byte(rendered(t, f, "json")), &doc); err != nil {
		t.Fatal(err)
	}
	for i, a := range f.Analyses {
		assay := cell(doc, "assays", i)
		if got := cell(assay, "assay"); got != a.Assay.Name {
			t.Fatalf("assay %d is %v, want %s", i, got, a.Assay.Name)
		}
		checkModel(t, assay, a.Fit)
		checkDoses(t, assay, a.Fit)
		checkFurther(t, assay, a)
		if got := len(cell(assay, "warnings").([]any)); got != len(a.Warnings) {
			t.Errorf("%s: %d warnings, want %d", a.Assay.Name, got, len(a.Warnings))
		}
	}
}

func checkModel(t *testing.T, assay any, r *doseresp.Result) {
	t.Helper()
	for key, want := range map[string]float64{
		"containers": float64(r.Containers + r.Controls), "exposed": float64(r.Exposed()),
		"intercept": r.Intercept, "slope": r.Slope, "intercept_se": r.InterceptStdErr, "slope_se": r.SlopeStdErr,
		"loglik": r.LogLik, "aic": r.AIC(), "deviance": r.Deviance, "level": r.Level, "g": r.G, "iterations": float64(r.Iterations),
	} {
		sameNumber(t, assay, want, key)
	}
	for i, row := range r.Cov {
		for j, want := range row {
			sameNumber(t, assay, want, "cov", i, j)
		}
	}
	sameNumber(t, assay, r.Natural.Estimate, "natural_mortality", "estimate")
	sameNumber(t, assay, r.Natural.StdErr, "natural_mortality", "se")
	sameNumber(t, assay, r.Heterogeneity.H, "heterogeneity", "h")
	for key, p := range map[string]doseresp.Pearson{"by_container": r.PearsonContainer, "by_dose": r.PearsonDose} {
		sameNumber(t, assay, p.X2, "pearson", key, "x2")
		sameNumber(t, assay, float64(p.DF), "pearson", key, "df")
		sameNumber(t, assay, p.P, "pearson", key, "p")
	}
	for key, group := range map[string][3]int{
		"treated":  {r.Containers, r.TreatedExposed, r.TreatedDead},
		"controls": {r.Controls, r.ControlExposed, r.ControlDead},
	} {
		for i, count := range []string{"containers", "exposed", "dead"} {
			sameNumber(t, assay, float64(group[i]), key, count)
		}
	}
}

func checkDoses(t *testing.T, assay any, r *doseresp.Result) {
	t.Helper()
	sameNumber(t, assay, noBound(r.Bracket.Lower), "bracket", "lower")
	sameNumber(t, assay, r.Bracket.Upper, "bracket", "upper")
	if got := len(cell(assay, "lc").([]any)); got != len(r.LC) {
		t.Fatalf("%v: %d LCp, want %d", cell(assay, "assay"), got, len(r.LC))
	}
	for i, lc := range r.LC {
		sameNumber(t, assay, lc.Percent, "lc", i, "p")
		sameNumber(t, assay, noBound(lc.Estimate), "lc", i, "estimate")
		sameNumber(t, assay, lc.Log10SE, "lc", i, "log10_se")
		sameNumber(t, assay, noBound(lc.Fiducial.Lower), "lc", i, "fiducial", "lower")
		sameNumber(t, assay, lc.Fiducial.Upper, "lc", i, "fiducial", "upper")
		if lc.Fiducial.Kind == doseresp.ExcludedRegion {
			sameNumber(t, assay, noBound(lc.Fiducial.Excluded.Lower), "lc", i, "fiducial", "excluded", "lower")
			sameNumber(t, assay, noBound(lc.Fiducial.Excluded.Upper), "lc", i, "fiducial", "excluded", "upper")
		}
	}
}

// TestJSONNames shows that names come back as they were, and that HTML in one
// is not rewritten.
func TestJSONNames(t *testing.T) {
	for _, name := range hostile {
		text := rendered(t, analysed(t, named(name), defaults("json")), "json")
		var doc any
		if err := json.Unmarshal([]byte(text), &doc); err != nil {
			t.Fatalf("%q: %v", name, err)
		}
		if got := cell(doc, "assays", 0, "assay"); got != name {
			t.Errorf("%q came back as %q", name, got)
		}
	}
	if text := rendered(t, analysed(t, named("<a&b>"), defaults("json")), "json"); !strings.Contains(text, `"<a&b>"`) {
		t.Error("a name was escaped as if for HTML")
	}
}

// TestNothingIsAnEmptyList shows what results without assays look like.
func TestNothingIsAnEmptyList(t *testing.T) {
	text := rendered(t, &Fits{Version: "0.0.0"}, "json")
	for _, want := range []string{`"inputs": []`, `"warnings": []`, `"assays": []`} {
		if !strings.Contains(text, want) {
			t.Errorf("no %s in %s", want, text)
		}
	}
	if err := schema(t).Validate(instance(t, text)); err != nil {
		t.Error(err)
	}
}

// TestUnknownFormat names the formats there are.
func TestUnknownFormat(t *testing.T) {
	err := WriteFits(nil, &Fits{}, "sheet")
	if err == nil || !strings.Contains(err.Error(), strings.Join(Formats(), ", ")) {
		t.Errorf("got %v", err)
	}
}

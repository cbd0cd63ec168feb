package render

import (
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// csvRecords reads what fit writes as CSV into one map a row.
func csvRecords(t *testing.T, text string) []map[string]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var records []map[string]string
	for _, row := range rows[1:] {
		record := map[string]string{}
		for i, name := range rows[0] {
			record[name] = row[i]
		}
		records = append(records, record)
	}
	return records
}

// sameCell compares a cell with the number that it stands for, bit by bit.
func sameCell(t *testing.T, record map[string]string, column string, want float64) {
	t.Helper()
	if math.IsNaN(want) || math.IsInf(want, 0) {
		if record[column] != "" {
			t.Errorf("%s, %s: %q, want nothing", record["assay"], column, record[column])
		}
		return
	}
	if got, err := strconv.ParseFloat(record[column], 64); err != nil || got != want {
		t.Errorf("%s, %s: %q, want %v", record["assay"], column, record[column], want)
	}
}

// noBound is the number of a bound that a cell leaves out.
func noBound(x float64) float64 {
	if x == 0 {
		return math.NaN()
	}
	return x
}

// TestCSVRoundTrip reads every number of the published sets and the demo back
// and finds the bits of the result.
func TestCSVRoundTrip(t *testing.T) {
	f := everyAssay(t, DefaultPercents("csv"))
	records := csvRecords(t, rendered(t, f, "csv"))
	if want := len(f.Analyses) * 4; len(records) != want {
		t.Fatalf("%d rows, want %d", len(records), want)
	}
	for i, a := range f.Analyses {
		for j, lc := range a.Fit.LC {
			record := records[4*i+j]
			if record["assay"] != a.Assay.Name {
				t.Fatalf("row %d is of assay %q, want %q", 4*i+j, record["assay"], a.Assay.Name)
			}
			checkRecord(t, record, a, lc)
			checkFurtherRecord(t, record, a, j)
		}
	}
}

func checkRecord(t *testing.T, record map[string]string, a *bioassay.Analysis, lc doseresp.LC) {
	t.Helper()
	r := a.Fit
	for column, want := range map[string]float64{
		"containers": float64(r.Containers + r.Controls), "exposed": float64(r.Exposed()),
		"treated_exposed": float64(r.TreatedExposed), "control_exposed": float64(r.ControlExposed), "control_dead": float64(r.ControlDead),
		"natural_mortality": r.Natural.Estimate, "natural_mortality_se": r.Natural.StdErr,
		"intercept": r.Intercept, "intercept_se": r.InterceptStdErr, "slope": r.Slope, "slope_se": r.SlopeStdErr,
		"loglik": r.LogLik, "aic": r.AIC(), "deviance": r.Deviance,
		"x2_container": r.PearsonContainer.X2, "df_container": float64(r.PearsonContainer.DF), "p_container": r.PearsonContainer.P,
		"x2_dose": r.PearsonDose.X2, "df_dose": float64(r.PearsonDose.DF), "p_dose": r.PearsonDose.P,
		"h": r.Heterogeneity.H, "level": r.Level, "g": r.G,
		"lc50_above": noBound(r.Bracket.Lower), "lc50_below": r.Bracket.Upper,
		"p": lc.Percent, "lc": noBound(lc.Estimate), "log10_se": lc.Log10SE,
		"fiducial_lower": noBound(lc.Fiducial.Lower), "fiducial_upper": lc.Fiducial.Upper,
	} {
		sameCell(t, record, column, want)
	}
	excluded := doseresp.Bracket{Lower: math.NaN(), Upper: math.NaN()}
	if lc.Fiducial.Kind == doseresp.ExcludedRegion {
		excluded = lc.Fiducial.Excluded
	}
	sameCell(t, record, "excluded_lower", noBound(excluded.Lower))
	sameCell(t, record, "excluded_upper", noBound(excluded.Upper))
	for column, want := range map[string]string{
		"file": a.Assay.File(), "apiary": a.Assay.Apiary, "population": a.Assay.Population, "role": a.Assay.Role.String(),
		"collected_on": a.Assay.CollectedOn.String(), "tested_on": a.Assay.TestedOn.String(),
		"acaricide": a.Assay.Acaricide, "protocol": a.Assay.Protocol, "unit": a.Assay.Unit,
		"link": r.Link.String(), "status": r.Status.String(), "natural_mortality_mode": r.Natural.Mode.String(),
		"heterogeneity_rule": r.Heterogeneity.Rule.String(), "h_applied": strconv.FormatBool(r.Heterogeneity.Applied),
		"fiducial_kind": lc.Fiducial.Kind.String(),
	} {
		if record[column] != want {
			t.Errorf("%s, %s: %q, want %q", record["assay"], column, record[column], want)
		}
	}
}

// TestCSVNames shows that a name comes back as it was, but for the mark that
// keeps a spreadsheet from running it.
func TestCSVNames(t *testing.T) {
	for _, name := range append(hostile, "\rcarriage", "\t=1+1") {
		a := namedAssay(name)
		a.Apiary, a.Population, a.Acaricide, a.Protocol, a.Unit = name, name, name, name, name
		f := analysed(t, named("x"), defaults("csv"))
		f.Analyses[0].Assay = a
		record := csvRecords(t, rendered(t, f, "csv"))[0]
		for _, column := range []string{"assay", "apiary", "population", "acaricide", "protocol", "unit"} {
			got := record[column]
			if strings.ContainsAny(got[:1], "=+-@\t\r") {
				t.Errorf("%s: a spreadsheet would run %q", column, got)
			}
			if got = strings.TrimPrefix(got, "'"); got != name {
				t.Errorf("%s: %q came back as %q", column, name, got)
			}
		}
	}
}

func TestCellSafe(t *testing.T) {
	for in, want := range map[string]string{
		"": "", "A01": "A01", "=1": "'=1", "+1": "'+1", "-1": "'-1", "@a": "'@a", "\tx": "'\tx", "\rx": "'\rx",
		"a=1": "a=1", "'=1": "'=1", "Μ": "Μ", " =1": " =1",
	} {
		if got := cellSafe(in); got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
	}
}

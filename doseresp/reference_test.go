package doseresp_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"vialwise/doseresp"
)

// The reference set of testdata/reference was fitted by base R glm, optim and
// Newton steps with analytic derivatives; SOURCE.md there names the version
// and keeps the scripts.
const referenceDir = "../testdata/reference"

// table is a CSV file with its columns by name.
type table struct {
	column map[string]int
	rows   [][]string
}

func readTable(t testing.TB, dir, name string) table {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := table{column: map[string]int{}, rows: records[1:]}
	for i, name := range records[0] {
		out.column[name] = i
	}
	return out
}

func (tab table) text(row []string, name string) string {
	i, ok := tab.column[name]
	if !ok {
		panic("no column " + name)
	}
	return row[i]
}

// number is NaN where the cell is empty.
func (tab table) number(row []string, name string) float64 {
	cell := tab.text(row, name)
	if cell == "" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		panic(err)
	}
	return x
}

func (tab table) whole(row []string, name string) int { return int(tab.number(row, name)) }

// assaysOf groups a table of containers by assay, in order.
func assaysOf(tab table) (names []string, assays map[string][]doseresp.Container) {
	assays = map[string][]doseresp.Container{}
	for _, row := range tab.rows {
		name := tab.text(row, "assay")
		if _, seen := assays[name]; !seen {
			names = append(names, name)
		}
		assays[name] = append(assays[name], doseresp.Container{
			Dose: tab.number(row, "concentration"), Exposed: tab.whole(row, "exposed"), Dead: tab.whole(row, "dead"),
		})
	}
	return names, assays
}

func referenceOptions(link, mode, rule string) doseresp.Options {
	var o doseresp.Options
	var err error
	if o.Link, err = doseresp.ParseLink(link); err != nil {
		panic(err)
	}
	if mode == "fixed" {
		mode = "fixed:0.05"
	}
	if o.Natural, err = doseresp.ParseNaturalMortality(mode); err != nil {
		panic(err)
	}
	if o.Heterogeneity, err = doseresp.ParseHeterogeneityRule(rule); err != nil {
		panic(err)
	}
	return o
}

// comparison counts and reports disagreements, and keeps the worst of each
// quantity.
type comparison struct {
	t     *testing.T
	where string
	worst map[string]float64
}

func (c *comparison) number(what string, got, want, tolerance float64) {
	c.t.Helper()
	if math.IsNaN(want) {
		if !math.IsNaN(got) {
			c.t.Errorf("%s: %s = %.12g, want none", c.where, what, got)
		}
		return
	}
	e := math.Abs(got-want) / math.Max(math.Abs(want), 1e-12)
	if got == want {
		e = 0
	}
	if !(e <= tolerance) {
		c.t.Errorf("%s: %s = %.12g, want %.12g (relative difference %.2g)", c.where, what, got, want, e)
	}
	c.worst[what] = math.Max(c.worst[what], e)
}

// TestReferenceFits compares every estimate to 1e-7 and every standard error
// to 1e-5 with base R.
func TestReferenceFits(t *testing.T) {
	const estimate, uncertainty = 1e-7, 1e-5
	_, assays := assaysOf(readTable(t, referenceDir, "assays.csv"))
	fits := readTable(t, referenceDir, "fits.csv")
	if len(assays) < 200 || len(fits.rows) < 1000 {
		t.Fatalf("only %d assays and %d fits", len(assays), len(fits.rows))
	}
	c := comparison{t: t, worst: map[string]float64{}}
	for _, row := range fits.rows {
		assay, link, mode := fits.text(row, "assay"), fits.text(row, "link"), fits.text(row, "mode")
		c.where = assay + " " + link + " " + mode
		o := referenceOptions(link, mode, "when-above-one")
		r, err := doseresp.Fit(assays[assay], o)
		if err != nil || r.Status != doseresp.Converged {
			t.Errorf("%s: %v, %v", c.where, err, r.Status)
			continue
		}
		want := func(name string) float64 { return fits.number(row, name) }
		c.number("a", r.Intercept, want("a"), estimate)
		c.number("b", r.Slope, want("b"), estimate)
		c.number("C", r.Natural.Estimate, want("C"), estimate)
		c.number("SE a", r.InterceptStdErr, want("se_a"), uncertainty)
		c.number("SE b", r.SlopeStdErr, want("se_b"), uncertainty)
		if mode == "estimated" {
			c.number("SE C", r.Natural.StdErr, want("se_C"), uncertainty)
		}
		c.number("Vaa", r.Cov[0][0], want("vaa"), uncertainty)
		c.number("Vab", r.Cov[0][1], want("vab"), uncertainty)
		c.number("Vbb", r.Cov[1][1], want("vbb"), uncertainty)
		if mode != "abbott" {
			c.number("log-likelihood", r.LogLik, want("loglik"), estimate)
			c.number("AIC", r.AIC(), want("aic"), estimate)
		}
		c.number("1 + deviance", 1+r.Deviance, 1+want("deviance"), estimate)
		c.number("1 + X2 by container", 1+r.PearsonContainer.X2, 1+want("x2_container"), estimate)
		c.number("1 + X2 by dose", 1+r.PearsonDose.X2, 1+want("x2_dose"), estimate)
		c.number("h", r.Heterogeneity.H, want("h"), estimate)
		c.number("P by container", r.PearsonContainer.P, want("p_container"), uncertainty)
		c.number("P by dose", r.PearsonDose.P, want("p_dose"), uncertainty)
		if got := fmt.Sprint(r.PearsonContainer.DF, r.PearsonDose.DF); got != fmt.Sprint(fits.whole(row, "df_container"), fits.whole(row, "df_dose")) {
			t.Errorf("%s: df %s", c.where, got)
		}
		o.Information = doseresp.Expected
		if r, err = doseresp.Fit(assays[assay], o); err != nil {
			t.Fatal(err)
		}
		c.number("SE b, expected", r.SlopeStdErr, want("se_b_expected"), uncertainty)
	}
	t.Logf("%d fits of %d assays, worst relative differences %v", len(fits.rows), len(assays), c.worst)
}

// TestReferenceLimits compares LCp, its standard error, g and the limits.
func TestReferenceLimits(t *testing.T) {
	const estimate, uncertainty = 1e-7, 1e-5
	_, assays := assaysOf(readTable(t, referenceDir, "assays.csv"))
	limits := readTable(t, referenceDir, "lc.csv")
	c := comparison{t: t, worst: map[string]float64{}}
	kinds := map[string]int{}
	for _, row := range limits.rows {
		assay, link, mode, rule := limits.text(row, "assay"), limits.text(row, "link"), limits.text(row, "mode"), limits.text(row, "rule")
		c.where = fmt.Sprintf("%s %s %s %s LC%s", assay, link, mode, rule, limits.text(row, "p"))
		o := referenceOptions(link, mode, rule)
		o.Percents = []float64{limits.number(row, "p")}
		r, err := doseresp.Fit(assays[assay], o)
		if err != nil || r.Status != doseresp.Converged {
			t.Errorf("%s: %v", c.where, err)
			continue
		}
		lc := r.LC[0]
		c.number("LC", lc.Estimate, limits.number(row, "lc"), estimate)
		c.number("SE log10 LC", lc.Log10SE, limits.number(row, "log10_se"), uncertainty)
		c.number("g", r.G, limits.number(row, "g"), uncertainty)
		kind := limits.text(row, "kind")
		kinds[kind]++
		if got := lc.Fiducial.Kind.String(); got != kind {
			t.Errorf("%s: kind %s, want %s", c.where, got, kind)
			continue
		}
		switch lc.Fiducial.Kind {
		case doseresp.Bounded:
			c.number("lower", lc.Fiducial.Lower, limits.number(row, "lower"), uncertainty)
			c.number("upper", lc.Fiducial.Upper, limits.number(row, "upper"), uncertainty)
		case doseresp.ExcludedRegion:
			c.number("excluded lower", lc.Fiducial.Excluded.Lower, limits.number(row, "excluded_lower"), uncertainty)
			c.number("excluded upper", lc.Fiducial.Excluded.Upper, limits.number(row, "excluded_upper"), uncertainty)
		}
	}
	for _, kind := range []string{"bounded", "excluded-region", "unbounded"} {
		if kinds[kind] < 10 {
			t.Errorf("only %d limits of kind %s", kinds[kind], kind)
		}
	}
	t.Logf("%d limits %v, worst relative differences %v", len(limits.rows), kinds, c.worst)
}

// TestAwkwardStatus: assays written by hand with the status that each must get.
func TestAwkwardStatus(t *testing.T) {
	tab := readTable(t, referenceDir, "awkward.csv")
	names, assays := assaysOf(tab)
	want := map[string]string{}
	for _, row := range tab.rows {
		want[tab.text(row, "assay")] = tab.text(row, "expected_status")
	}
	seen := map[string]int{}
	for _, name := range names {
		r, err := doseresp.Fit(assays[name], doseresp.Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if r.Status.String() != want[name] {
			t.Errorf("%s: %v, want %s: %v", name, r.Status, want[name], assays[name])
		}
		seen[r.Status.String()]++
	}
	for _, status := range doseresp.Statuses() {
		if seen[status.String()] == 0 {
			t.Errorf("no awkward assay is %v", status)
		}
	}
}

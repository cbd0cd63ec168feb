package doseresp_test

import (
	"math"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"vialwise/doseresp"
)

// The pairs of testdata/ratios were compared by base R's nlminb, uniroot and
// Newton steps with analytic derivatives, and by glm where it can; SOURCE.md
// there names the version and keeps the script.
const ratiosDir = "../testdata/ratios"

// Agreement with base R: of estimates and X², relative; of limits, in log10.
const (
	ratioTolerance       = 1e-6
	ratioLimitsTolerance = 1e-5
)

// referencePair is two assays, the second compared with the first.
type referencePair struct {
	name    string
	assays  [2][]doseresp.Container
	options doseresp.Options
}

func referencePairs(t *testing.T) []referencePair {
	t.Helper()
	_, assays := assaysOf(readTable(t, ratiosDir, "assays.csv"))
	pairs := readTable(t, ratiosDir, "pairs.csv")
	var out []referencePair
	for _, row := range pairs.rows {
		name := pairs.text(row, "pair")
		out = append(out, referencePair{
			name:    name,
			assays:  [2][]doseresp.Container{assays[name+"-a"], assays[name+"-b"]},
			options: referenceOptions(pairs.text(row, "link"), pairs.text(row, "mode"), "never"),
		})
	}
	if len(out) < 100 {
		t.Fatalf("only %d pairs", len(out))
	}
	return out
}

// TestRatiosAgreeWithR compares ratio, delta and combined profile limits.
func TestRatiosAgreeWithR(t *testing.T) {
	pairs := map[string]referencePair{}
	for _, p := range referencePairs(t) {
		pairs[p.name] = p
	}
	limits := readTable(t, ratiosDir, "limits.csv")
	c := comparison{t: t, worst: map[string]float64{}}
	for _, row := range limits.rows {
		pair, percent := pairs[limits.text(row, "pair")], limits.number(row, "p")
		c.where = pair.name + " LC" + limits.text(row, "p")
		var sides [2]doseresp.LogDose
		for i, assay := range pair.assays {
			var f doseresp.Fitter
			var r doseresp.Result
			if err := f.Fit(assay, pair.options, &r); err != nil || r.Status != doseresp.Converged {
				t.Fatal(c.where, err, r.Status)
			}
			sides[i] = f.LogDose(&r, percent)
		}
		r := doseresp.NewRatio(sides[1], sides[0], nil, doseresp.DefaultLevel)
		c.number("ratio", r.Estimate, math.Pow(10, limits.number(row, "log10_ratio")), ratioTolerance)
		c.number("SE", r.Log10SE, limits.number(row, "se"), ratioTolerance)
		for what, side := range map[string][2]float64{
			"delta_lower": {r.Delta.Lower}, "delta_upper": {r.Delta.Upper}, "mover_lower": {r.Mover.Lower}, "mover_upper": {r.Mover.Upper},
		} {
			c.number(what, side[0], math.Pow(10, limits.number(row, what)), ratioLimitsTolerance)
		}
	}
	t.Logf("%d ratios, worst relative differences %v", len(limits.rows), c.worst)
	if len(limits.rows) < 200 {
		t.Errorf("only %d ratios", len(limits.rows))
	}
}

// TestLineTestsAgreeWithR compares both tests, the common slope, and the ratio
// that it makes the same for all p, with its Fieller and profile limits.
func TestLineTestsAgreeWithR(t *testing.T) {
	pairs := readTable(t, ratiosDir, "pairs.csv")
	c := comparison{t: t, worst: map[string]float64{}}
	var comparer doseresp.LineComparer
	var tests doseresp.LineTests
	for i, pair := range referencePairs(t) {
		row := pairs.rows[i]
		c.where = pair.name + " " + pairs.text(row, "link") + " " + pairs.text(row, "mode")
		if err := comparer.Compare([][][]doseresp.Container{{pair.assays[0]}, {pair.assays[1]}}, pair.options, &tests); err != nil {
			t.Fatal(c.where, err)
		}
		want := func(name string) float64 { return pairs.number(row, name) }
		c.number("1 + parallelism", 1+tests.Parallelism.X2, 1+want("x2_parallel"), ratioTolerance)
		c.number("1 + equality", 1+tests.Equality.X2, 1+want("x2_equal"), ratioTolerance)
		p := tests.Parallel
		c.number("slope", p.Slope, want("slope"), ratioTolerance)
		c.number("SE slope", p.SlopeStdErr, want("se_slope"), ratioTolerance)
		r := p.Ratios[1]
		c.number("common ratio", r.Estimate, math.Pow(10, want("common")), ratioTolerance)
		c.number("its SE", r.Log10SE, want("se_common"), ratioTolerance)
		for what, got := range map[string]float64{
			"fieller_lower": r.Fieller.Lower, "fieller_upper": r.Fieller.Upper, "profile_lower": r.Profile.Lower, "profile_upper": r.Profile.Upper,
		} {
			c.number(what, got, math.Pow(10, want(what)), ratioLimitsTolerance)
		}
	}
	t.Logf("%d pairs, worst relative differences %v", len(pairs.rows), c.worst)
}

// TestRatiosRegenerate runs the script again, for every seventh pair, and
// compares with what is kept.
func TestRatiosRegenerate(t *testing.T) {
	if testing.Short() {
		t.Skip("regenerating takes a while; run without -short")
	}
	rscript := needTool(t, "Rscript")
	out := t.TempDir()
	cmd := exec.Command(rscript, "ratios.R", out, "7")
	cmd.Dir = ratiosDir
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	for _, name := range []string{"assays.csv", "pairs.csv", "limits.csv"} {
		kept, again := readTable(t, ratiosDir, name), readTable(t, out, name)
		first := func(row []string) string { return row[0][:len("pair-000")] } // an assay is pair-000-a
		written := map[string]bool{}
		for _, row := range again.rows {
			written[first(row)] = true
		}
		if len(written) != 100/7 {
			t.Fatalf("%s: %d pairs were written", name, len(written))
		}
		kept.rows = slices.DeleteFunc(kept.rows, func(row []string) bool { return !written[first(row)] })
		compareTables(t, name, kept, again, func(column string) float64 {
			switch {
			case name == "assays.csv":
				return 0
			case strings.HasPrefix(column, "x2"): // differences of log-likelihoods
				return 1e-5
			}
			return 1e-6
		})
	}
}

package track

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"vialwise/bioassay"
	"vialwise/internal/needs"
)

const referenceDir = "../../testdata/track"

// rows reads a table as one map for each row.
func rows(t *testing.T, dir, name string) (out []map[string]string) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range all[1:] {
		m := map[string]string{}
		for i, cell := range row {
			m[all[0][i]] = cell
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, row map[string]string, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(row[column], 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// TestTrendsAgainstBaseR compares trends and pooled means with testdata/track,
// whose SOURCE.md says how it was made.
func TestTrendsAgainstBaseR(t *testing.T) { compareWithR(t, referenceDir) }

// TestBaseRAgain makes the reference values anew.
func TestBaseRAgain(t *testing.T) {
	rscript := needs.Tool(t, "Rscript", "makes the reference values anew with it")
	dir := t.TempDir()
	if out, err := exec.Command(rscript, filepath.Join(referenceDir, "trend.R"), dir).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	compareWithR(t, dir)
}

func compareWithR(t *testing.T, dir string) {
	t.Helper()
	const tolerance = 1e-7 // relative: the script's root of τ²
	const smallest = 1e-5  // a standard deviation below that is none
	w := testWork(t)
	base := w.logBaseline(0)
	points := map[string][]point{}
	for _, row := range rows(t, dir, "points.csv") {
		day, err := bioassay.ParseDate(row["begins"])
		if err != nil {
			t.Fatal(err)
		}
		points[row["series"]] = append(points[row["series"]], point{begins: day, log: number(t, row, "log"), se: number(t, row, "se")})
	}
	results := rows(t, dir, "trends.csv")
	if len(results) != 27 {
		t.Fatalf("%d series", len(results))
	}
	for _, row := range results {
		own := points[row["series"]]
		r := w.trend(own, 0)
		hold := func(column string, got, scale float64) {
			t.Helper()
			if want := number(t, row, column); !(math.Abs(got-want) <= tolerance*max(math.Abs(want), scale)) {
				t.Errorf("%s, %s: %.12g, base R %.12g", row["series"], column, got, want)
			}
		}
		hold("fold", r.FoldPerYear.Estimate, 1)
		hold("lower", r.FoldPerYear.Lower, 1)
		hold("upper", r.FoldPerYear.Upper, 1)
		hold("p", r.P, 1e-3)
		hold("between_sd", r.BetweenSD, smallest/tolerance*1e-3)
		last := r.Line[len(r.Line)-1].Ratio
		hold("line", math.Log10(last.Estimate)+base, 1)
		hold("line_lower", math.Log10(last.Lower)+base, 1)
		hold("line_upper", math.Log10(last.Upper)+base, 1)
		var y, v []float64
		for _, p := range own {
			y, v = append(y, p.log), append(v, p.se*p.se)
		}
		pooled := Pool(y, v, w.comparers[0], 0.95)
		hold("mean", pooled.Log, 1)
		hold("mean_se", pooled.LogSE, 1)
		hold("mean_sd", pooled.BetweenSD, smallest/tolerance*1e-3)
		// The mean ratio carries the baseline's error once: its limits are wider than
		// those of the mean alone, and hold the ratio of the two estimates.
		if want := pow10(pooled.Log - base); math.Abs(pooled.Ratio.Estimate/want-1) > tolerance || !(pooled.Ratio.Lower < want && want < pooled.Ratio.Upper) {
			t.Errorf("%s: mean ratio %+v, want %g", row["series"], pooled.Ratio, want)
		}
	}
}

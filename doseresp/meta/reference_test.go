package meta_test

import (
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"vialwise/doseresp/meta"
	"vialwise/internal/needs"
)

const referenceDir = "../../testdata/meta"

// rows reads a table as one map for each row.
func rows(t *testing.T, dir, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range all[1:] {
		m := map[string]string{}
		for i, cell := range row {
			m[all[0][i]] = cell
		}
		out = append(out, m)
	}
	return out
}

// number reads a cell, NaN where it is empty.
func number(t *testing.T, row map[string]string, column string) float64 {
	t.Helper()
	if row[column] == "" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(row[column], 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// set is one case of the reference set.
type set struct {
	y, v []float64
	x    [][]float64
}

func sets(t *testing.T) map[string]*set {
	t.Helper()
	all := map[string]*set{}
	for _, row := range rows(t, referenceDir, "units.csv") {
		s := all[row["case"]]
		if s == nil {
			s = new(set)
			all[row["case"]] = s
		}
		s.y = append(s.y, number(t, row, "y"))
		s.v = append(s.v, number(t, row, "v"))
		x := []float64{}
		for _, column := range []string{"x1", "x2"} {
			if row[column] != "" {
				x = append(x, number(t, row, column))
			}
		}
		s.x = append(s.x, x)
	}
	return all
}

// How far from base R: relative to the value, or to scale where that is more.
const (
	closeTo      = 1e-7 // the script's roots and maxima; years as covariates cost digits
	nearPredict  = 2e-5 // of the width: the script's midpoint rule
	smallestTau2 = 1e-9 // differences below are none
)

func agree(t *testing.T, what string, got, want, tolerance, scale float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*max(math.Abs(want), scale)) {
		t.Errorf("%s = %.12g, base R %.12g", what, got, want)
	}
}

func fitted(t *testing.T, s *set, row map[string]string) *meta.Regression {
	t.Helper()
	method, err := meta.ParseMethod(row["method"])
	if err != nil {
		t.Fatal(err)
	}
	r, err := meta.Regress(s.y, s.v, s.x, meta.Options{Method: method})
	if err != nil {
		t.Fatalf("%s: %v", row["case"], err)
	}
	return r
}

// TestReference compares with testdata/meta, whose SOURCE.md says how it was
// made.
func TestReference(t *testing.T) {
	all := sets(t)
	for _, row := range rows(t, referenceDir, "results.csv") {
		s := all[row["case"]]
		r := fitted(t, s, row)
		of := func(column string, got, tolerance, scale float64) {
			t.Helper()
			agree(t, row["case"]+", "+row["method"]+", "+column, got, number(t, row, column), tolerance, scale)
		}
		of("tau2", r.Tau2, closeTo, smallestTau2)
		of("tau2_lower", r.Tau2Limits.Lower, closeTo, smallestTau2)
		of("tau2_upper", r.Tau2Limits.Upper, closeTo, smallestTau2)
		of("q", r.Q, closeTo, 0)
		of("p", r.P, closeTo, 1e-12)
		of("i2", r.I2, closeTo, smallestTau2)
		of("factor", r.Factor, closeTo, 0)
		if row["plugin_lower"] == "" {
			continue
		}
		summary, err := meta.Summarise(s.y, s.v, meta.Options{Method: r.Method})
		if err != nil {
			t.Fatal(err)
		}
		p := summary.Prediction
		of("plugin_lower", p.PlugIn.Lower, closeTo, 0.01)
		of("plugin_upper", p.PlugIn.Upper, closeTo, 0.01)
		if row["predict_lower"] != "" {
			of("predict_lower", p.Lower, nearPredict, p.Upper-p.Lower)
			of("predict_upper", p.Upper, nearPredict, p.Upper-p.Lower)
		}
	}
}

func TestReferenceCoefficients(t *testing.T) {
	all := sets(t)
	for _, row := range rows(t, referenceDir, "coefficients.csv") {
		r := fitted(t, all[row["case"]], row)
		c := r.Coefficients[int(number(t, row, "coefficient"))]
		name := row["case"] + ", " + row["method"] + ", coefficient " + row["coefficient"]
		agree(t, name, c.Estimate, number(t, row, "estimate"), closeTo, c.StdErr)
		agree(t, name+": error", c.StdErr, number(t, row, "se"), closeTo, 0)
		agree(t, name+": lower", c.Limits.Lower, number(t, row, "lower"), closeTo, c.StdErr)
		agree(t, name+": upper", c.Limits.Upper, number(t, row, "upper"), closeTo, c.StdErr)
		agree(t, name+": P", c.P, number(t, row, "p"), closeTo, 0.01)
	}
}

func TestReferenceShrunk(t *testing.T) {
	all := sets(t)
	for _, row := range rows(t, referenceDir, "shrunk.csv") {
		r := fitted(t, all[row["case"]], row)
		s := r.Shrunk[int(number(t, row, "unit"))-1]
		name := row["case"] + ", " + row["method"] + ", unit " + row["unit"]
		agree(t, name, s.Estimate, number(t, row, "estimate"), closeTo, s.StdErr)
		agree(t, name+": error", s.StdErr, number(t, row, "se"), closeTo, 1e-6)
		agree(t, name+": weight", s.Weight, number(t, row, "weight"), closeTo, smallestTau2)
	}
}

// TestReferenceRegenerates runs the script again and compares what it writes
// with what is kept, to the rounding of another processor's mathematics.
func TestReferenceRegenerates(t *testing.T) {
	if testing.Short() {
		t.Skip("regenerating takes half a minute; run without -short")
	}
	rscript := needs.Tool(t, "Rscript", "compares with it")
	out := t.TempDir()
	cmd := exec.Command(rscript, "meta.R", out)
	cmd.Dir = referenceDir
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	for _, name := range []string{"units.csv", "results.csv", "coefficients.csv", "shrunk.csv"} {
		kept, again := rows(t, referenceDir, name), rows(t, out, name)
		if len(kept) != len(again) {
			t.Fatalf("%s: %d rows are kept and %d written again", name, len(kept), len(again))
		}
		for i, row := range kept {
			for column, cell := range row {
				if cell == again[i][column] {
					continue
				}
				agree(t, name+", "+row["case"]+", "+column, number(t, again[i], column), number(t, row, column), 1e-8, 1e-6)
			}
		}
	}
}

package doseresp

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// referenceTable reads a table of testdata/tails, made by the script beside it
// with the arbitrary-precision library that its SOURCE file names.
func referenceTable(t *testing.T, name string) (header []string, rows [][]float64) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "tails", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, record := range records[1:] {
		row := make([]float64, len(record))
		for i, cell := range record {
			row[i] = math.NaN()
			if cell != "" {
				if row[i], err = strconv.ParseFloat(cell, 64); err != nil {
					t.Fatal(err)
				}
			}
		}
		rows = append(rows, row)
	}
	return records[0], rows
}

// relativeError is 0 for two equal numbers, also infinite ones.
func relativeError(got, want float64) float64 {
	if got == want {
		return 0
	}
	return math.Abs(got-want) / math.Abs(want)
}

// TestTails holds every tail and log tail to 1e-13 relative down to tail
// probabilities of 1e-300.
func TestTails(t *testing.T) {
	const tolerance = 1e-13
	for link, file := range map[Link]string{Probit: "normal.csv", Logit: "logit.csv", Cloglog: "cloglog.csv"} {
		functions := map[string]func(float64) float64{
			"log_cdf": link.LogCDF, "log_survival": link.LogSurvival, "cdf": link.CDF, "survival": link.Survival,
		}
		header, rows := referenceTable(t, file)
		if len(rows) < 100 {
			t.Errorf("%s has only %d rows", file, len(rows))
		}
		worst := 0.0
		for _, row := range rows {
			for i, name := range header[1:] {
				want := row[i+1]
				if math.IsNaN(want) {
					continue
				}
				got := functions[name](row[0])
				e := relativeError(got, want)
				worst = max(worst, e)
				if !(e <= tolerance) {
					t.Errorf("%v %s(%v) = %v, want %v (relative error %.2g)", link, name, row[0], got, want, e)
				}
			}
		}
		t.Logf("%v: worst relative error %.2g over %d points", link, worst, len(rows))
	}
}

// TestStudentQuantile against the same library.
func TestStudentQuantile(t *testing.T) {
	_, rows := referenceTable(t, "student.csv")
	for _, row := range rows {
		df, p, want := int(row[0]), row[1], row[2]
		if got := StudentQuantile(p, df); relativeError(got, want) > 1e-10 {
			t.Errorf("t(%g, df %d) = %.15g, want %.15g", p, df, got, want)
		}
	}
}

// TestChiSquaredSurvival against the same library.
func TestChiSquaredSurvival(t *testing.T) {
	_, rows := referenceTable(t, "chisq.csv")
	for _, row := range rows {
		x, df, want := row[0], int(row[1]), row[2]
		if got := chiSquaredSurvival(x, df); relativeError(got, want) > 1e-11 {
			t.Errorf("P(X2(%d) > %g) = %.15g, want %.15g", df, x, got, want)
		}
	}
}

// TestQuantileInvertsCDF is an identity of every link, and its scale is that
// of the distribution.
func TestQuantileInvertsCDF(t *testing.T) {
	for _, link := range Links() {
		for _, p := range []float64{1e-12, 1e-6, .001, .1, .25, .5, .75, .9, .99, .9999} {
			if got := link.CDF(link.Quantile(p)); relativeError(got, p) > 1e-12 {
				t.Errorf("%v: CDF(Quantile(%g)) = %.15g", link, p, got)
			}
		}
		// the variance of F by the trapezoidal rule
		var mean, square float64
		const step = 1e-3
		for eta := -45.0; eta < 45; eta += step {
			d := link.Density(eta) * step
			mean += eta * d
			square += eta * eta * d
		}
		if sd := math.Sqrt(square - mean*mean); relativeError(sd, link.Scale()) > 1e-6 {
			t.Errorf("%v: standard deviation %.9g, Scale %.9g", link, sd, link.Scale())
		}
	}
}

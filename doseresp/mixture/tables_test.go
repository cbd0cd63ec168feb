package mixture_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"vialwise/doseresp"
)

// mixtureDir holds resistant fractions by base R; its SOURCE file names the
// version and keeps the script.
const mixtureDir = "../../testdata/mixture"

// row is a row of a table by column name.
type row map[string]string

// number is a cell, NaN where it is empty.
func (r row) number(t *testing.T, column string) float64 {
	t.Helper()
	if r[column] == "" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func readRows(t *testing.T, dir, name string) []row {
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
	rows := make([]row, len(records)-1)
	for i, record := range records[1:] {
		rows[i] = row{}
		for k, cell := range record {
			rows[i][records[0][k]] = cell
		}
	}
	return rows
}

// population is a field with the assays of its baseline.
type population struct {
	field    []doseresp.Container
	baseline [][]doseresp.Container
}

func readPopulations(t *testing.T) map[string]*population {
	t.Helper()
	sets := map[string]*population{}
	last := ""
	for _, r := range readRows(t, mixtureDir, "assays.csv") {
		p := sets[r["set"]]
		if p == nil {
			p = new(population)
			sets[r["set"]] = p
		}
		c := doseresp.Container{
			Dose: r.number(t, "concentration"), Exposed: int(r.number(t, "exposed")), Dead: int(r.number(t, "dead")),
		}
		switch role := r["set"] + r["role"]; {
		case r["role"] == "field":
			p.field = append(p.field, c)
		case role != last:
			p.baseline = append(p.baseline, nil)
			fallthrough
		default:
			k := len(p.baseline) - 1
			p.baseline[k] = append(p.baseline[k], c)
		}
		last = r["set"] + r["role"]
	}
	return sets
}

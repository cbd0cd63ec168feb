package render

import (
	"bytes"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/tables"
	"vialwise/doseresp"
)

// published are the counts of Lei & Sun (2018), BMC Pharmacology and
// Toxicology, article s40360-018-0250-1, Table 1.
const published = `assay,concentration,exposed,dead
Rotenone,2.6,50,6
Rotenone,3.8,48,16
Rotenone,5.1,46,24
Rotenone,7.7,49,42
Rotenone,10.2,50,44
Deguelin,5.1,49,16
Deguelin,10.0,48,18
Deguelin,20.4,48,34
Deguelin,30.2,49,47
Deguelin,40.7,50,47
Deguelin,50.1,48,48
Mixture,2.5,47,7
Mixture,5.1,46,22
Mixture,10.0,46,27
Mixture,15.1,48,38
Mixture,20.4,46,43
Mixture,25.1,50,48
Fairfax,0,30,0
Fairfax,2,48,12
Fairfax,3,50,15
Fairfax,5,50,31
Fairfax,7,48,31
Fairfax,10,59,52
Schaefer,0,60,0
Schaefer,2,60,15
Schaefer,3,120,41
Schaefer,5,60,39
Schaefer,10,120,110
Schaefer,50,120,119
Pixley,0,359,7
Pixley,10,70,22
Pixley,20,70,38
Pixley,30,50,38
Pixley,50,50,48
BugRes,0,60,3
BugRes,3,60,9
BugRes,10,60,19
BugRes,20,60,32
BugRes,40,60,38
BugRes,50,60,46
BugLab,0,60,5
BugLab,.03,30,7
BugLab,.1,30,7
BugLab,.3,30,6
BugLab,1,30,3
BugLab,3,30,3
BugLab,7,30,10
BugLab,10,60,32
BugLab,15,30,22
BugLab,20,30,30
`

// readTable reads a count table that a test holds.
func readTable(t testing.TB, name, csv string) *tables.Table {
	t.Helper()
	table, err := tables.Read(name, strings.NewReader(csv))
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func demoTable(t testing.TB) *tables.Table { return readTable(t, "demo.csv", string(demo.Counts())) }

// analysed fits every assay of a table. Names that a test needs but a table
// could not hold are set on the assays before.
func analysed(t testing.TB, table *tables.Table, o bioassay.AnalysisOptions) *Fits {
	t.Helper()
	f := &Fits{
		Version: "0.0.0", Options: o, Reading: table.Warnings,
		Inputs: []Input{{File: "counts.csv", SHA256: strings.Repeat("0", 64)}},
	}
	for _, assay := range table.Assays {
		a, err := bioassay.Analyse(assay, o)
		if err != nil {
			t.Fatal(err)
		}
		f.Analyses = append(f.Analyses, a)
	}
	return f
}

// rendered returns the results in a format.
func rendered(t testing.TB, f *Fits, format string) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteFits(&b, f, format); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// defaults are the options of a run without flags in a format.
func defaults(format string) bioassay.AnalysisOptions {
	return bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: DefaultPercents(format)}}
}

// everything are options that ask for every set of limits, with few replicates.
func everything(percents ...float64) bioassay.AnalysisOptions {
	return bioassay.AnalysisOptions{
		Fit:    doseresp.Options{Percents: percents},
		Limits: bioassay.LimitSets{Profile: true, Posterior: true, Bootstrap: true}, Replicates: 200, Seed: 7,
		Exceeds: []float64{0.5, 2},
	}
}

// named returns a table of one small assay under a name.
func named(name string) *tables.Table {
	return &tables.Table{Assays: []bioassay.Assay{namedAssay(name)}}
}

func namedAssay(name string) bioassay.Assay {
	a := bioassay.Assay{Name: name}
	for i, dead := range []int{0, 2, 5, 8, 10} {
		a.Containers = append(a.Containers, bioassay.Container{
			Concentration: float64(int(1) << i), Exposed: 10, Dead: dead,
		})
	}
	return a
}

package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

// How much the tests of speed do. The full size of a large programme:
//
//	go test ./cmd/vialwise -run TestTrackAtScale -v -timeout 30m -track-assays 99000
//	go test ./cmd/vialwise -run TestNotesAtScale -v -timeout 30m -notes 5000
//	go test ./cmd/vialwise -run TestMapAtScale -v -timeout 60m -map-apiaries 5000
var (
	scaleAssays = flag.Int("track-assays", 400, "assays that TestTrackAtScale imports and tracks")
	scaleNotes  = flag.Int("notes", 60, "notes that TestNotesAtScale writes as PDF")
	scaleMap    = flag.Int("map-apiaries", 12, "apiaries that TestMapAtScale maps, of four acaricides in twelve seasons")
)

// slack is how much longer than the share of the full time a small run may take:
// a machine that does other work, and what a run costs whatever its size.
const (
	slack    = 5
	overhead = 20 * time.Second
)

// manyCounts writes a count table of an acaricide: apiaries over a number of
// seasons, an assay of twenty containers in each, and five of susceptible mites.
func manyCounts(path string, apiaries, seasons int, acaricide string, seed int) error {
	var b bytes.Buffer
	b.WriteString("assay,apiary,role,collected_on,acaricide,protocol,unit,container,concentration,exposed,dead\n")
	days := []string{"03-20", "06-15", "09-10", "12-05"}
	write := func(name, apiary, role, day, acaricide string, lc50 float64, s *sim.Source) {
		for k := range 20 {
			dose, p := 0.0, 0.02
			if k >= 2 {
				dose = math.Pow(2, float64((k-2)/3)-2)
				p = 0.02 + 0.98*doseresp.Probit.CDF(2.8*math.Log10(dose/lc50))
			}
			dead := 0
			for range 12 {
				if s.Float64() < p {
					dead++
				}
			}
			fmt.Fprintf(&b, "%s,%s,%s,%s,%s,vial-residue,ug/vial,V%02d,%g,12,%d\n", name, apiary, role, day, acaricide, k, dose, dead)
		}
	}
	for j := range 5 {
		write(fmt.Sprintf("%s reference %d", acaricide, j), "", "baseline", "2031-03-20", acaricide, math.Pow(1.1, float64(j-2)), sim.NewSource(1, uint64(5*seed+j)))
	}
	for j := range apiaries * seasons {
		apiary, season := j/seasons, j%seasons
		fold := math.Pow(10, 0.25*float64((apiary+seed)%4)) * math.Pow(1.1, float64(season)/4)
		name := fmt.Sprintf("A%05d", apiary)
		write(fmt.Sprintf("%s %s %02d", name, acaricide, season), name, "field", fmt.Sprintf("%d-%s", 2031+season/4, days[season%4]), acaricide, fold, sim.NewSource(uint64(2+seed), uint64(j)))
	}
	return os.WriteFile(path, b.Bytes(), 0o644)
}

// halve moves the second half of the assays of a table of manyCounts, of twenty
// rows each, to another: five thousand notes need more rows than a table may have.
func halve(first, second string) error {
	raw, err := os.ReadFile(first)
	if err != nil {
		return err
	}
	rows := bytes.SplitAfter(raw, []byte("\n"))
	cut := 1 + (len(rows)-1)/40*20
	return errors.Join(os.WriteFile(second, bytes.Join(append(rows[:1:1], rows[cut:]...), nil), 0o644), os.WriteFile(first, bytes.Join(rows[:cut], nil), 0o644))
}

// manyPlaces writes a table of apiaries, scattered over four degrees by three.
func manyPlaces(path string, apiaries int) error {
	var b bytes.Buffer
	b.WriteString("apiary,region,latitude,longitude\n")
	s := sim.NewSource(9, 9)
	for i := range apiaries {
		fmt.Fprintf(&b, "A%05d,region %d,%.3f,%.3f\n", i, i%6, 40+3*s.Float64(), -46+4*s.Float64())
	}
	return os.WriteFile(path, b.Bytes(), 0o644)
}

// timed skips a test of speed where -short asks for it, as the run under the race
// detector does: it slows everything many times.
func timed(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: speed is measured without the race detector")
	}
	t.Chdir(t.TempDir())
}

func ran(t *testing.T, args ...string) time.Duration {
	t.Helper()
	var out, remarks bytes.Buffer
	began := time.Now()
	if status := run(args, strings.NewReader(""), &out, &remarks); status != 0 {
		t.Fatalf("%v: status %d: %s", args, status, remarks.String())
	}
	return time.Since(began)
}

// TestTrackAtScale imports and tracks assays, then tracks them again with the
// results that were kept.
func TestTrackAtScale(t *testing.T) {
	const full, importTime, trackTime = 100_000, 3 * time.Minute, 60 * time.Second
	timed(t)
	if err := manyCounts("counts.csv", *scaleAssays/20, 20, "amitraz", 0); err != nil {
		t.Fatal(err)
	}
	share := float64(*scaleAssays) / full
	imported := ran(t, "import", "--quiet", "--who", "tester", "counts.csv")
	first := ran(t, "track", "--quiet", "--format", "csv", "--out", "first.csv")
	again := ran(t, "track", "--quiet", "--format", "csv", "--out", "again.csv")
	bare := ran(t, "track", "--quiet", "--format", "csv", "--bands", "none", "--out", "bare.csv")
	t.Logf("%d assays: imported in %v, tracked in %v, again in %v, without bands in %v", *scaleAssays, imported.Round(time.Millisecond), first.Round(time.Millisecond), again.Round(time.Millisecond), bare.Round(time.Millisecond))
	a, err := os.ReadFile("first.csv")
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile("again.csv")
	if err != nil || !bytes.Equal(a, b) {
		t.Errorf("the kept results gave another answer: %v", err)
	}
	const fewestKept = 0.995 // of the assays; in a few the controls fail by chance
	if rows := bytes.Count(a, []byte("\n")) - 1; rows > *scaleAssays || float64(rows) < fewestKept*float64(*scaleAssays) {
		t.Errorf("%d seasons", rows)
	}
	for _, k := range []struct {
		what    string
		took    time.Duration
		allowed time.Duration
	}{{"import", imported, importTime}, {"track", first, trackTime}, {"track without bands", bare, trackTime}} {
		if most := overhead + time.Duration(slack*share*float64(k.allowed)); k.took > most {
			t.Errorf("%s took %v, of %v", k.what, k.took, most)
		}
	}
}

// TestNotesAtScale writes notes as PDF, with what comes before them.
func TestNotesAtScale(t *testing.T) {
	const full, notesTime = 5000, 60 * time.Second
	timed(t)
	if err := manyCounts("counts.csv", *scaleNotes, 20, "amitraz", 0); err != nil {
		t.Fatal(err)
	}
	if err := halve("counts.csv", "second.csv"); err != nil {
		t.Fatal(err)
	}
	ran(t, "import", "--quiet", "--who", "tester", "counts.csv", "second.csv")
	ran(t, "track", "--quiet", "--format", "csv", "--out", "first.csv")
	took := ran(t, "note", "--quiet", "--date", "2036-01-15", "--format", "pdf", "--out", "notes")
	files, err := filepath.Glob("notes/*.pdf")
	if err != nil || len(files) != *scaleNotes {
		t.Fatalf("%d notes: %v", len(files), err)
	}
	t.Logf("%d notes in %v", len(files), took.Round(time.Millisecond))
	if most := overhead + time.Duration(slack*float64(*scaleNotes)/full*float64(notesTime)); took > most {
		t.Errorf("%d notes took %v, of %v", len(files), took, most)
	}
}

// TestMapAtScale writes the map of a registry whose results are kept: four
// acaricides over twelve seasons.
func TestMapAtScale(t *testing.T) {
	const full, mapTime, mostBytes = 5000, 20 * time.Second, 10 << 20
	timed(t)
	if err := manyPlaces("apiaries.csv", *scaleMap); err != nil {
		t.Fatal(err)
	}
	importing := []string{"import", "--quiet", "--who", "tester", "apiaries.csv"}
	for i, acaricide := range []string{"amitraz", "coumaphos", "flumethrin", "tau-fluvalinate"} {
		file := acaricide + ".csv" // of all together, import would say that the file is too large
		if err := manyCounts(file, *scaleMap, 12, acaricide, i); err != nil {
			t.Fatal(err)
		}
		importing = append(importing, file)
	}
	imported := ran(t, importing...)
	first := ran(t, "map", "--quiet", "--anew", "--out", "first")
	again := ran(t, "map", "--quiet", "--anew", "--out", "again")
	page, err := os.ReadFile("again/map.html")
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d apiaries: imported in %v, mapped in %v, again in %v, a page of %d kB", *scaleMap, imported.Round(time.Millisecond), first.Round(time.Millisecond), again.Round(time.Millisecond), len(page)>>10)
	if other, err := os.ReadFile("first/map.html"); err != nil || !bytes.Equal(page, other) {
		t.Errorf("the kept results gave another page: %v", err)
	}
	if len(page) > mostBytes {
		t.Errorf("the page has %d bytes, of %d", len(page), mostBytes)
	}
	if most := overhead + time.Duration(slack*float64(*scaleMap)/full*float64(mapTime)); again > most {
		t.Errorf("the map took %v, of %v", again, most)
	}
}

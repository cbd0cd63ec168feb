package demo

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo/internal/coast"
	"vialwise/bioassay/tables"
	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

func TestTablesAreWhatTheGeneratorWrites(t *testing.T) {
	embedded := map[string][]byte{
		"counts.csv": Counts(), "apiaries.csv": Apiaries(), "truth.csv": Truth(), "coast.geojson": Coast(),
		"programme-counts.csv": ProgrammeCounts(), "programme-apiaries.csv": ProgrammeApiaries(), "programme-truth.csv": ProgrammeTruth(),
	}
	generated := coast.Files()
	if len(generated) != len(embedded) {
		t.Errorf("%d tables generated, %d embedded", len(generated), len(embedded))
	}
	for name, want := range generated {
		if !bytes.Equal(embedded[name], want) {
			t.Errorf("%s differs from what the generator writes; run go generate in this folder", name)
		}
	}
}

func TestTablesAreCopies(t *testing.T) {
	for name, table := range map[string]func() []byte{
		"counts": Counts, "apiaries": Apiaries, "truth": Truth, "coast": Coast,
		"counts of the programme": ProgrammeCounts, "its apiaries": ProgrammeApiaries, "its truth": ProgrammeTruth,
	} {
		table()[0] = '!'
		if table()[0] == '!' {
			t.Errorf("%s: a caller can change the table of the next", name)
		}
	}
}

// readCounts reads the counts as the program does.
func readCounts(t *testing.T) []bioassay.Assay { return readTable(t, Counts()) }

func readTable(t *testing.T, counts []byte) []bioassay.Assay {
	t.Helper()
	table, err := tables.Read("counts.csv", bytes.NewReader(counts))
	if err != nil {
		t.Fatal(err)
	}
	if len(table.Unknown) > 0 {
		t.Errorf("unknown columns %v", table.Unknown)
	}
	return table.Assays
}

func TestCountsAreReadAsTheyWereDrawn(t *testing.T) {
	compareWithDrawn(t, readCounts(t), coast.Assays())
	compareWithDrawn(t, readTable(t, ProgrammeCounts()), coast.ProgrammeAssays())
}

func compareWithDrawn(t *testing.T, read, drawn []bioassay.Assay) {
	t.Helper()
	if len(read) != len(drawn) {
		t.Fatalf("%d assays read, %d drawn", len(read), len(drawn))
	}
	for i := range read {
		a, b := read[i], drawn[i]
		same := slices.EqualFunc(a.Containers, b.Containers, func(x, y bioassay.Container) bool {
			return x.Label == y.Label && x.Concentration == y.Concentration && x.Exposed == y.Exposed && x.Dead == y.Dead &&
				x.Moribund == y.Moribund && x.Missing == y.Missing && x.MiteSource == y.MiteSource &&
				x.CappedBrood == y.CappedBrood && x.TestedBlind == y.TestedBlind && x.Note == y.Note
		})
		if !same {
			t.Errorf("%s: containers differ", b.Name)
		}
		a.Containers, b.Containers = nil, nil
		if a.Name != b.Name || a.Tested() != b.Tested() || a.Role != b.Role || a.CollectedOn != b.CollectedOn || a.TestedOn != b.TestedOn ||
			a.Acaricide != b.Acaricide || a.Protocol != b.Protocol || a.Unit != b.Unit ||
			a.ExposureHours != b.ExposureHours || a.ReadingHours != b.ReadingHours {
			t.Errorf("read %+v, drawn %+v", a, b)
		}
	}
}

func TestEveryContainerIsComplete(t *testing.T) {
	missing, moribund, roles := 0, 0, map[bioassay.Role]int{}
	for _, a := range readCounts(t) {
		roles[a.Role]++
		labels := map[string]bool{}
		for _, c := range a.Containers {
			missing += c.Missing
			moribund += c.Moribund
			labels[c.Label] = true
			if c.TestedBlind == bioassay.Unanswered || !strings.Contains(c.Note, "invented") {
				t.Errorf("%s %s: blind %v, note %q", a.Name, c.Label, c.TestedBlind, c.Note)
			}
		}
		if len(labels) != len(a.Containers) {
			t.Errorf("%s: two vials share a label", a.Name)
		}
		if a.TestedOn.Compare(a.CollectedOn) < 0 {
			t.Errorf("%s: tested before collected", a.Name)
		}
	}
	if missing == 0 || moribund == 0 {
		t.Errorf("%d missing and %d moribund mites, want some of each", missing, moribund)
	}
	if roles[bioassay.RoleBaseline] != 15 || roles[bioassay.RoleField] < 50 || roles[bioassay.RoleField] > 60 {
		t.Errorf("assays by role: %v", roles)
	}
}

func TestApiariesStandInTheOpenSea(t *testing.T) {
	table, err := tables.ReadApiaries("apiaries.csv", bytes.NewReader(Apiaries()))
	if err != nil {
		t.Fatal(err)
	}
	regions, codes := map[string]bool{}, map[string]bool{"": true}
	for _, a := range table.Apiaries {
		regions[a.Region], codes[a.Code] = true, true
		// Land is nearest at Newfoundland, west of 52.6 W and north of 46.6 N,
		// and in the Azores, east of 31.3 W (from memory of the atlas).
		inSea := a.Latitude.Value > 39 && a.Latitude.Value < 42 && a.Longitude.Value > -47 && a.Longitude.Value < -43
		if !a.Located() || !inSea || !strings.HasPrefix(a.ContactCode, "invented") {
			t.Errorf("%+v", a)
		}
	}
	if len(table.Apiaries) != 10 || len(regions) != 3 || len(table.Warnings) != 0 {
		t.Errorf("%d apiaries, %d regions, warnings %v", len(table.Apiaries), len(regions), table.Warnings)
	}
	beyondASCII := map[string]bool{}
	for _, a := range readCounts(t) {
		if !codes[a.Apiary] {
			t.Errorf("%s: no apiary %s", a.Name, a.Apiary)
		}
		if strings.IndexFunc(a.Population, func(r rune) bool { return r > 127 }) >= 0 {
			beyondASCII[a.Population] = true
		}
	}
	if len(beyondASCII) != 2 {
		t.Errorf("names with letters beyond ASCII: %v, want two", beyondASCII)
	}
}

// stated is a row of the table of truths.
type stated struct {
	apiary, acaricide, season, story string
	sim.Truth
}

func readTruth(t *testing.T) map[string]stated { return readTruths(t, Truth()) }

func readTruths(t *testing.T, table []byte) map[string]stated {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(table)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	truths := map[string]stated{}
	for _, row := range rows[1:] {
		number := func(column string) float64 {
			cell := row[slices.Index(rows[0], column)]
			if cell == "" && column == "resistant_shift" {
				return 0
			}
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			return x
		}
		link, err := doseresp.ParseLink(row[4])
		if err != nil {
			t.Fatal(err)
		}
		truths[row[0]] = stated{row[1], row[2], row[3], row[11], sim.Truth{
			Link: link, LC50: number("lc50"), Slope: number("slope"), NaturalMortality: number("natural_mortality"),
			Rho: number("rho"), ResistantFraction: number("resistant_fraction"), ResistantShift: number("resistant_shift"),
		}}
	}
	return truths
}

// farthest is how many standard errors an estimate may lie from the truth.
const farthest = 4.0

// Every assay has a truth, its collection lies in the stated season, its
// status is the one of its story, and an ordinary one finds its LC50.
func TestFitsFindTheStatedTruth(t *testing.T) {
	special := map[string]doseresp.Status{"separated": doseresp.Separated, "all dead": doseresp.AllDead, "none dead": doseresp.NoneDead}
	truths, seen := readTruth(t), map[doseresp.Status]int{}
	assays := readCounts(t)
	if len(truths) != len(assays) {
		t.Errorf("%d truths for %d assays", len(truths), len(assays))
	}
	inside, judged := 0, 0
	for _, a := range assays {
		truth, ok := truths[a.Name]
		if got := bioassay.SeasonOf(a.CollectedOn, bioassay.North).String(); !ok || got != truth.season {
			t.Errorf("%s: truth %v, collected in %s, stated season %s", a.Name, ok, got, truth.season)
		}
		kind, _, _ := strings.Cut(strings.TrimPrefix(truth.story, "invented: "), ":")
		fit := fitted(t, a)
		seen[fit.Status]++
		if want := special[kind]; fit.Status != want { // converged unless special
			t.Errorf("%s (%s): status %v, want %v", a.Name, kind, fit.Status, want)
		}
		if fit.Status != doseresp.Converged || truth.ResistantFraction > 0 {
			continue
		}
		lc := lc50(fit)
		if z := math.Log10(lc.Estimate/truth.LC50) / lc.Log10SE; math.Abs(z) > farthest {
			t.Errorf("%s: LC50 %v lies %.1f standard errors from %v", a.Name, lc.Estimate, z, truth.LC50)
		}
		judged++
		if lc.Fiducial.Lower <= truth.LC50 && truth.LC50 <= lc.Fiducial.Upper {
			inside++
		}
	}
	// 95 % limits cover on average 95 %, with a standard deviation near 3 %.
	if share := float64(inside) / float64(judged); share < 0.84 {
		t.Errorf("%d of %d limits hold the true LC50", inside, judged)
	}
	for _, s := range special {
		if seen[s] != 1 {
			t.Errorf("%d assays are %v, want one", seen[s], s)
		}
	}
}

func fitted(t *testing.T, a bioassay.Assay) *doseresp.Result {
	t.Helper()
	fit, err := doseresp.Fit(a.Counts(bioassay.MoribundDead), doseresp.Options{})
	if err != nil {
		t.Fatalf("%s: %v", a.Name, err)
	}
	return fit
}

func lc50(fit *doseresp.Result) doseresp.LC {
	i := slices.IndexFunc(fit.LC, func(lc doseresp.LC) bool { return lc.Percent == 50 })
	return fit.LC[i]
}

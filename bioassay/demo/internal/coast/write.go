package coast

import (
	"bytes"
	"encoding/csv"
	"strconv"

	"vialwise/bioassay"
	"vialwise/bioassay/demo/internal/shore"
)

// Files returns the demo files by name.
func Files() map[string][]byte {
	all, programme := draw(plans(), seed), draw(programmePlans(), programmeSeed)
	return map[string][]byte{
		"counts.csv":             table(countHeader, countRows(all)),
		"apiaries.csv":           table(apiaryHeader, apiaryRows(places)),
		"truth.csv":              table(truthHeader, truthRows(all)),
		"programme-counts.csv":   table(countHeader, countRows(programme)),
		"programme-apiaries.csv": table(apiaryHeader, apiaryRows(programmePlaces())),
		"programme-truth.csv":    table(truthHeader, truthRows(programme)),
		"coast.geojson":          shore.Draw().GeoJSON(),
	}
}

// Assays returns what is in counts.csv as values.
func Assays() []bioassay.Assay { return assays(draw(plans(), seed)) }

// ProgrammeAssays returns what is in programme-counts.csv as values.
func ProgrammeAssays() []bioassay.Assay { return assays(draw(programmePlans(), programmeSeed)) }

func assays(all []drawn) (assays []bioassay.Assay) {
	for _, d := range all {
		assays = append(assays, d.assay)
	}
	return assays
}

var (
	countHeader = []string{
		"assay", "apiary", "population", "role", "collected_on", "tested_on", "acaricide", "protocol", "unit",
		"container", "concentration", "exposed", "dead", "moribund", "missing", "exposure_h", "reading_h",
		"mite_source", "capped_brood", "tested_blind", "note",
	}
	apiaryHeader = []string{"apiary", "region", "latitude", "longitude", "contact_code"}
	truthHeader  = []string{
		"assay", "apiary", "acaricide", "season", "link", "lc50", "slope", "natural_mortality",
		"rho", "resistant_fraction", "resistant_shift", "story",
	}
)

func countRows(all []drawn) (rows [][]string) {
	for _, d := range all {
		a := d.assay
		for _, c := range a.Containers {
			rows = append(rows, []string{
				a.Name, a.Apiary, a.Population, a.Role.String(), a.CollectedOn.String(), a.TestedOn.String(),
				a.Acaricide, a.Protocol, a.Unit, c.Label, number(c.Concentration),
				strconv.Itoa(c.Exposed), strconv.Itoa(c.Dead), strconv.Itoa(c.Moribund), strconv.Itoa(c.Missing),
				number(a.ExposureHours.Value), number(a.ReadingHours.Value),
				c.MiteSource, c.CappedBrood.String(), c.TestedBlind.String(), c.Note,
			})
		}
	}
	return rows
}

func apiaryRows(places []place) (rows [][]string) {
	for _, p := range places {
		row := []string{p.code, p.region, number(p.latitude), number(p.longitude), p.contact}
		switch p.untold {
		case theRegion:
			row[1] = ""
		case thePosition:
			row[2], row[3] = "", ""
		}
		rows = append(rows, row)
	}
	return rows
}

func truthRows(all []drawn) (rows [][]string) {
	for _, d := range all {
		t := d.plan.truth
		shift := "" // there is none where nothing is resistant
		if t.ResistantFraction > 0 {
			shift = number(t.ResistantShift)
		}
		rows = append(rows, []string{
			d.plan.name, d.plan.place.code, d.plan.active.name, d.plan.season.name, t.Link.String(),
			number(t.LC50), number(t.Slope), number(t.NaturalMortality), number(t.Rho),
			number(t.ResistantFraction), shift, "invented: " + d.plan.story,
		})
	}
	return rows
}

func table(header []string, rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.WriteAll(append([][]string{header}, rows...)) // a Buffer does not fail
	return b.Bytes()
}

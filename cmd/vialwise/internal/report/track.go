package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/track"
	"vialwise/cmd/vialwise/internal/figures"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/plots"
)

// WriteTracks writes a tracking as the page of a programme: what to look at
// first, the regions, the trends, the apiaries that need a test.
func WriteTracks(w io.Writer, t *render.Tracks, mark string) error {
	return WriteProgramme(w, t, nil, nil, mark)
}

// WriteProgramme is WriteTracks with maps before the other figures and links to
// the files beside the page.
func WriteProgramme(w io.Writer, t *render.Tracks, maps []plots.Map, links []Link, mark string) error {
	p := &page{
		title: "Programme report", mark: strings.TrimSpace(mark + " This page names apiaries: it is for the programme and not for publication."),
		lead: trackLead(t), links: map[string]string{}, methods: t.Methods(), reading: readingRemarks(t.Reading),
		found: trackSummary(t.Tracking), further: links,
	}
	for _, m := range maps {
		p.figures = append(p.figures, m)
	}
	for _, f := range figures.Regions(t, mark) {
		p.figures = append(p.figures, f)
	}
	for i, f := range figures.Apiaries(t, mark) {
		if i < mostFigures {
			p.figures = append(p.figures, f)
		}
	}
	for _, table := range t.Tables() {
		p.tables = append(p.tables, shortened(table))
	}
	return p.write(w)
}

// mostFigures is the number of figures of apiaries that a page shows.
const mostFigures = 12

// mostRows is the number of rows of a table that a page shows.
const mostRows = 400

// shortened is the beginning of a long table, with a word on where the rest is.
func shortened(t render.Table) render.Table {
	if len(t.Rows) > mostRows {
		t.Notes = append([]string{fmt.Sprintf("The first %d of %d rows; the workbook (format xlsx) holds all.", mostRows, len(t.Rows))}, t.Notes...)
		t.Rows = t.Rows[:mostRows]
	}
	return t
}

func trackLead(t *render.Tracks) string {
	assays, apiaries := 0, map[string]bool{}
	for _, s := range t.Tracking.Series {
		apiaries[s.Apiary] = true
		for _, season := range s.Seasons {
			assays += len(season.Assays)
		}
	}
	from := ""
	if t.Registry != nil {
		from = fmt.Sprintf(", from the registry %s as of event %d", t.Registry.File, t.Registry.Events)
	}
	return fmt.Sprintf("%s of %s over the seasons%s.", bioassay.Plural(assays, "bioassay"), bioassay.Plural(len(apiaries), "apiary"), from)
}

// trackSummary tells in plain words where an acaricide is losing, and who needs a
// test.
func trackSummary(t *track.Tracking) []string {
	directions := map[track.Direction][]string{}
	for _, s := range t.Series {
		directions[s.Trend.Direction] = append(directions[s.Trend.Direction], s.Apiary+" ("+s.Acaricide+")")
	}
	regions := map[track.Direction][]string{}
	for _, r := range t.Regions {
		name := r.Region
		if name == "" {
			name = "no region"
		}
		regions[r.Trend.Direction] = append(regions[r.Trend.Direction], name+" ("+r.Acaricide+")")
	}
	return compact(
		listed("Regions where the mean ratio rises, so that the acaricide loses", regions[track.Rising]),
		listed("Regions where it falls", regions[track.Falling]),
		listed("Apiaries where the ratio rises", directions[track.Rising]),
		listed("Apiaries where it falls", directions[track.Falling]),
		tooFewWords(len(directions[track.TooFewSeasons]), len(t.Series)),
		lackingWords(t),
		baselineWords(t),
	)
}

func tooFewWords(few, all int) string {
	if few == 0 {
		return ""
	}
	return fmt.Sprintf("Too few seasons for a trend: %d of %d series. That is no sign of stability.", few, all)
}

func lackingWords(t *track.Tracking) string {
	by := map[string]int{}
	for _, l := range t.Lacking {
		by[l.Acaricide]++
	}
	var words []string
	for acaricide, n := range by {
		words = append(words, fmt.Sprintf("%d with %s", n, acaricide))
	}
	if words == nil {
		return ""
	}
	slices.Sort(words)
	return "Apiaries that need a test: " + strings.Join(words, ", ") + "."
}

// baselineWords say what the ratios are against, and whether that has changed
// since it was defined.
func baselineWords(t *track.Tracking) string {
	var names, outdated []string
	for _, b := range t.Baselines {
		names = append(names, render.ReferenceName(b))
		if len(b.Outdated) > 0 {
			outdated = append(outdated, render.ReferenceName(b))
		}
	}
	text := "Baselines: " + strings.Join(names, "; ") + "."
	if outdated != nil {
		text += " Assays of " + strings.Join(outdated, " and ") + " were amended since it was defined; define a new version to use them as they are now."
	}
	return text
}

package main

import (
	"fmt"
	"slices"

	"vialwise/bioassay"
	"vialwise/bioassay/advice"
	"vialwise/bioassay/track"
)

// noteWriter makes notes of what is known.
type noteWriter struct {
	known      *tracked
	style      noteStyle
	hives      map[string]bioassay.Hives
	treatments map[string][]bioassay.Treatment
	explain    bool
	mark       string
}

// apiaryNote is the note of one apiary.
type apiaryNote struct {
	apiary string
	note   advice.Note
}

// assayKey finds an assay again; names may repeat among files.
type assayKey struct{ name, file string }

// directions are those of a trend as notes know them.
var directions = map[track.Direction]advice.Trend{
	track.TooFewSeasons: advice.TrendTooFewSeasons, track.NoClearChange: advice.TrendLevel,
	track.Rising: advice.TrendRising, track.Falling: advice.TrendFalling,
}

// notes writes a note for every apiary with a test that tells anything, or for
// those that are asked for. none says why others have none.
func (w *noteWriter) notes(wanted []string, progress *progress) (notes []apiaryNote, none []string, err error) {
	findings, refused, err := w.findings(progress)
	if err != nil {
		return nil, nil, err
	}
	for _, code := range wanted {
		if len(findings[code]) == 0 && refused[code] == "" && !w.registered(code) {
			return nil, nil, fmt.Errorf("there is no apiary %q among the tests; look at the column apiary of the counts", code)
		}
	}
	for _, code := range w.apiaries(findings, wanted) {
		if len(findings[code]) == 0 {
			reason := refused[code]
			if reason == "" {
				reason = "no mites of it were tested"
			}
			none = append(none, fmt.Sprintf("apiary %s: %s", code, reason))
			continue
		}
		if err := w.afterTests(code, findings[code]); err != nil {
			return nil, nil, err
		}
		note, err := advice.Write(findings[code], w.context(code))
		if err != nil {
			return nil, nil, fmt.Errorf("apiary %q: %w", code, err)
		}
		notes = append(notes, apiaryNote{code, note})
	}
	return notes, none, nil
}

// afterTests refuses a note that is older than the tests it tells of.
func (w *noteWriter) afterTests(code string, findings []advice.Finding) error {
	for _, f := range findings {
		if f.TestedOn.Compare(w.style.day) > 0 {
			return usageError{fmt.Errorf("apiary %q was tested on %v, after the day of the note, %v; give that day with --date", code, f.TestedOn, w.style.day)}
		}
	}
	return nil
}

func (w *noteWriter) registered(code string) bool {
	return slices.ContainsFunc(w.known.apiaries, func(a bioassay.Apiary) bool { return a.Code == code })
}

// apiaries lists the codes of all apiaries, by rising code.
func (w *noteWriter) apiaries(findings map[string][]advice.Finding, wanted []string) []string {
	if len(wanted) > 0 {
		return slices.Compact(slices.Sorted(slices.Values(wanted)))
	}
	var codes []string
	for _, a := range w.known.apiaries {
		codes = append(codes, a.Code)
	}
	for code := range findings {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	return slices.Compact(codes)
}

// newest lists the assays that notes rest on: those of the newest season of each
// series, with its trend, and the newest of those that were left out.
func (w *noteWriter) newest() (usable map[assayKey]advice.Trend, left map[assayKey]track.Measured) {
	usable, left = map[assayKey]advice.Trend{}, map[assayKey]track.Measured{}
	for _, s := range w.known.Tracking.Series {
		last := s.Seasons[len(s.Seasons)-1]
		for _, a := range last.Assays {
			usable[assayKey{a.Assay, a.Origin.File}] = directions[s.Trend.Direction]
		}
	}
	newest := map[[2]string]track.Measured{}
	for _, m := range w.known.Tracking.LeftOut {
		k := [2]string{m.Apiary, m.Acaricide}
		if m.Apiary != "" && (newest[k].Assay == "" || m.Collected.Compare(newest[k].Collected) >= 0) {
			newest[k] = m
		}
	}
	for _, m := range newest {
		left[assayKey{m.Assay, m.Origin.File}] = m
	}
	return usable, left
}

// findings compares the newest assays in full. refused holds the reason of an
// apiary's test of which nothing can be said.
func (w *noteWriter) findings(progress *progress) (findings map[string][]advice.Finding, refused map[string]string, err error) {
	usable, left := w.newest()
	findings, refused = map[string][]advice.Finding{}, map[string]string{}
	var fields []bioassay.Assay
	assays, _ := w.known.source.fields()
	for e, err := range assays {
		if err != nil {
			return nil, nil, err
		}
		k := assayKey{e.Name, e.File()}
		if _, ok := usable[k]; ok {
			fields = append(fields, e.Assay)
		}
		if m, ok := left[k]; ok {
			w.addLeft(e.Assay, m, findings, refused)
		}
	}
	progress.begin("comparing", len(fields))
	compared, more := bioassay.CompareAll(fields, w.known.comparers, progress.step)
	progress.end()
	for _, r := range more {
		refused[r.Assay.Apiary] = r.Err.Error()
	}
	adjustWithin(compared)
	judging := advice.Judging{Programme: w.known.programme, Bands: w.known.Options.Bands, Level: w.known.Tracking.Level}
	for _, c := range compared {
		a := c.Field.Assay
		findings[a.Apiary] = append(findings[a.Apiary], advice.FindingOf(c, judging, usable[assayKey{a.Name, a.File()}]))
	}
	return findings, refused, nil
}

// adjustWithin adjusts the tests of each apiary for each other alone: what a note
// says must not depend on how many are written with it.
func adjustWithin(compared []*bioassay.Comparison) {
	byApiary := map[string][]*bioassay.Comparison{}
	for _, c := range compared {
		code := c.Field.Assay.Apiary
		byApiary[code] = append(byApiary[code], c)
	}
	for _, own := range byApiary {
		bioassay.Adjust(own)
	}
}

// addLeft takes over an assay that was not compared.
func (w *noteWriter) addLeft(a bioassay.Assay, m track.Measured, findings map[string][]advice.Finding, refused map[string]string) {
	verdict := w.known.programme.Judge(a, nil)
	_, err := bioassay.MatchComparer(a, w.known.comparers)
	if f, ok := advice.FindingOfRefused(a, verdict, err); ok {
		findings[a.Apiary] = append(findings[a.Apiary], f)
		return
	}
	refused[a.Apiary] = m.LeftOut
}

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
	mark       string // on the index and, in the words of its language, on every note; blank unless the data are invented
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
func (w *noteWriter) notes(known *findings, wanted []string) (notes []apiaryNote, none []string, err error) {
	for _, code := range wanted {
		if len(known.of[code]) == 0 && known.refused[code] == "" && !w.registered(code) {
			return nil, nil, fmt.Errorf("there is no apiary %q among the tests; look at the column apiary of the counts", code)
		}
	}
	for _, code := range w.apiaries(known, wanted) {
		if len(known.of[code]) == 0 {
			reason := known.refused[code]
			if reason == "" {
				reason = "no mites of it were tested"
			}
			none = append(none, fmt.Sprintf("apiary %s: %s", code, reason))
			continue
		}
		if err := w.afterTests(code, known.of[code]); err != nil {
			return nil, nil, err
		}
		note, err := advice.Write(known.of[code], w.context(code))
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
func (w *noteWriter) apiaries(known *findings, wanted []string) []string {
	if len(wanted) > 0 {
		return slices.Compact(slices.Sorted(slices.Values(wanted)))
	}
	var codes []string
	for _, a := range w.known.apiaries {
		codes = append(codes, a.Code)
	}
	for code := range known.of {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	return slices.Compact(codes)
}

// newest lists the assays that notes rest on: those of the newest season of each
// series, with its trend, and the newest of those that were left out.
func (t *tracked) newest() (usable map[assayKey]advice.Trend, left map[assayKey]track.Measured) {
	usable, left = map[assayKey]advice.Trend{}, map[assayKey]track.Measured{}
	for _, s := range t.Tracking.Series {
		last := s.Seasons[len(s.Seasons)-1]
		for _, a := range last.Assays {
			usable[assayKey{a.Assay, a.Origin.File}] = directions[s.Trend.Direction]
		}
	}
	newest := map[[2]string]track.Measured{}
	for _, m := range t.Tracking.LeftOut {
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

// findings are what the newest assays of each apiary tell, by its code, whatever the
// language of the notes.
type findings struct {
	of      map[string][]advice.Finding
	refused map[string]string // why nothing can be said of a test
}

// findings compares the newest assays, as far as a note tells of it.
func (t *tracked) findings(progress *progress) (*findings, error) {
	usable, left := t.newest()
	out := &findings{map[string][]advice.Finding{}, map[string]string{}}
	fields, err := t.newestAssays(usable, left, out)
	if err != nil {
		return nil, err
	}
	progress.begin("comparing", len(fields))
	compared, more := bioassay.CompareAllInPart(fields, t.comparers, progress.step)
	progress.end()
	for _, r := range more {
		out.refused[r.Assay.Apiary] = r.Err.Error()
	}
	adjustWithin(compared)
	judging := advice.Judging{Programme: t.programme, Bands: t.Options.Bands, Level: t.Tracking.Level}
	for _, c := range compared {
		a := c.Field.Assay
		out.of[a.Apiary] = append(out.of[a.Apiary], advice.FindingOf(c, judging, usable[assayKey{a.Name, a.File()}]))
	}
	return out, nil
}

// newestAssays reads the assays that notes rest on, of those to compare, and takes
// over those that were left out.
func (t *tracked) newestAssays(usable map[assayKey]advice.Trend, left map[assayKey]track.Measured, out *findings) (fields []bioassay.Assay, err error) {
	var wanted, refused []*track.Entry
	assays, _ := t.source.fields()
	for e, err := range assays {
		if err != nil {
			return nil, err
		}
		k := keyOf(e)
		if _, ok := usable[k]; ok {
			wanted = append(wanted, &e)
		}
		if _, ok := left[k]; ok {
			refused = append(refused, &e)
		}
	}
	if err := t.source.counts(append(wanted, refused...)); err != nil {
		return nil, err
	}
	for _, e := range refused {
		t.addLeft(e.Assay, left[keyOf(*e)], out)
	}
	for _, e := range wanted {
		fields = append(fields, e.Assay)
	}
	return fields, nil
}

func keyOf(e track.Entry) assayKey { return assayKey{e.Name, e.Origin.File} }

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
func (t *tracked) addLeft(a bioassay.Assay, m track.Measured, out *findings) {
	verdict := t.programme.Judge(a, nil)
	_, err := bioassay.MatchComparer(a, t.comparers)
	if f, ok := advice.FindingOfRefused(a, verdict, err); ok {
		out.of[a.Apiary] = append(out.of[a.Apiary], f)
		return
	}
	out.refused[a.Apiary] = m.LeftOut
}

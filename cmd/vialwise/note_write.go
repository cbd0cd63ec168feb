package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"vialwise/bioassay"
	"vialwise/bioassay/advice"
	"vialwise/bioassay/track"
	"vialwise/cmd/vialwise/internal/notepage"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/plots"
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
		note, err := advice.Write(findings[code], w.context(code))
		if err != nil {
			return nil, nil, fmt.Errorf("apiary %q: %w", code, err)
		}
		notes = append(notes, apiaryNote{code, note})
	}
	return notes, none, nil
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
	judging := advice.Judging{Programme: w.known.programme, Bands: w.known.Options.Bands, Level: w.known.Tracking.Level}
	for _, c := range compared {
		a := c.Field.Assay
		findings[a.Apiary] = append(findings[a.Apiary], advice.FindingOf(c, judging, usable[assayKey{a.Name, a.File()}]))
	}
	return findings, refused, nil
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

// treatmentMonths is how far back treatments count.
const treatmentMonths = 12

// context is what is known around an apiary.
func (w *noteWriter) context(code string) advice.Context {
	p := w.known.programme
	c := advice.Context{
		Date: w.style.day, Apiary: code, Language: w.style.language, Catalogue: w.style.catalogue, Version: version,
		Contact: p.Note.Contact, StaleMonths: p.Note.StaleMonths, RetestMonths: p.Note.RetestMonths,
	}
	if list := p.Authorised; list != nil {
		c.Authorised = authorised(list)
	}
	if h, ok := w.hives[code]; ok {
		c.Brood, c.Supers = h.Brood, h.Supers
		c.Temperature = advice.RangeOf(bioassay.Optional{}, h.TemperatureLow, h.TemperatureHigh)
	}
	since := bioassay.DateOf(w.style.day.Time().AddDate(0, -treatmentMonths, 0))
	for _, t := range w.treatments[code] {
		if !t.On.IsZero() && (t.On.Compare(since) < 0 || t.On.Compare(w.style.day) > 0) {
			continue
		}
		c.Treatments = append(c.Treatments, advice.Treatment{
			Acaricide: t.Acaricide, On: t.On, Brood: t.Brood, Efficacy: advice.RangeOf(t.Efficacy, t.EfficacyLower, t.EfficacyUpper),
		})
	}
	return c
}

func authorised(list *bioassay.AuthorisedActives) advice.Authorised {
	out := advice.Authorised{On: list.On}
	for _, a := range list.Actives {
		out.Actives = append(out.Actives, advice.Active{
			Acaricide: a.Acaricide, NotWithSupers: a.NotWithSupers, NeedsNoBrood: a.NeedsNoBrood, Other: a.Other,
			Temperature: advice.RangeOf(bioassay.Optional{}, a.TemperatureFrom, a.TemperatureTo),
		})
	}
	return out
}

// write writes a note in the format of the style.
func (w *noteWriter) write(n apiaryNote) ([]byte, error) {
	var b bytes.Buffer
	var err error
	switch w.style.extension {
	case "pdf":
		err = plots.Write(&b, notepage.Sheet(n.note.Page(), w.style.paper, w.mark), plots.PDF)
	case "html":
		err = notepage.Write(&b, n.note.Page(), w.style.paper, version, w.mark)
	default:
		b.WriteString(n.note.Text())
		if w.mark != "" {
			b.WriteString(w.mark + "\n")
		}
		if w.explain {
			b.WriteString("\nWhy each statement stands\n\n")
			for _, r := range n.note.Explain() {
				b.WriteString(r.String())
			}
		}
	}
	if err != nil {
		return nil, fmt.Errorf("the note of apiary %q: %w", n.apiary, err)
	}
	return b.Bytes(), nil
}

// The files of an index.
const (
	indexTable = "index.csv"
	indexPage  = "index.html"
)

// indexHeader begins the table of an index, by which a folder is known as one of
// notes.
var indexHeader = []string{"apiary", "file", "date", "acaricide", "read", "stale"}

// folder writes notes and their index into a folder.
func (w *noteWriter) folder(folder string, notes []apiaryNote, none []string, progress *progress) error {
	if err := checkNotesFolder(folder); err != nil {
		return err
	}
	made, err := w.files(notes, none, progress)
	if err != nil {
		return err
	}
	return writeArtefacts(folder, made)
}

// files makes the notes and their index in memory, on all processors.
func (w *noteWriter) files(notes []apiaryNote, none []string, progress *progress) ([]artefact, error) {
	sortedNotes(notes)
	codes := make([]string, len(notes))
	for i, n := range notes {
		codes[i] = "note " + n.apiary
	}
	files := fileNames(codes)
	progress.begin("writing", len(notes))
	made := make([]artefact, len(notes))
	errs := make([]error, len(notes))
	var wait sync.WaitGroup
	var lock sync.Mutex
	next := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(notes)) {
		wait.Go(func() {
			for i := range next {
				raw, err := w.write(notes[i])
				made[i], errs[i] = artefact{files[i] + "." + w.style.extension, raw}, err
				lock.Lock()
				progress.step()
				lock.Unlock()
			}
		})
	}
	for i := range notes {
		next <- i
	}
	close(next)
	wait.Wait()
	progress.end()
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	index, err := w.index(notes, files, none)
	return append(made, index...), err
}

// checkNotesFolder refuses a folder with something else in it.
func checkNotesFolder(folder string) error {
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) == 0 {
		return nil // it is made, or the writing says what is wrong
	}
	raw, err := os.ReadFile(filepath.Join(folder, indexTable))
	if err != nil || !strings.HasPrefix(string(raw), strings.Join(indexHeader, ",")) {
		return fmt.Errorf("the folder %s holds something else than notes; choose an empty one with --out", folder)
	}
	return nil
}

// index makes both files of the index.
func (w *noteWriter) index(notes []apiaryNote, files, none []string) ([]artefact, error) {
	var table, page bytes.Buffer
	out := csv.NewWriter(&table)
	rows := [][]string{indexHeader}
	var entries []notepage.Entry
	for i, n := range notes {
		file := files[i] + "." + w.style.extension
		e := notepage.Entry{Apiary: n.apiary, File: file}
		for _, r := range n.note.Read {
			stale, word := "no", ""
			if r.Stale {
				stale, word = "yes", ", an old test"
			}
			rows = append(rows, []string{render.CellSafe(n.apiary), render.CellSafe(file), w.style.day.String(), render.CellSafe(r.Acaricide), r.Reading.String(), stale})
			e.Findings = append(e.Findings, r.Acaricide+": "+r.Reading.String()+word)
		}
		entries = append(entries, e)
	}
	if err := out.WriteAll(rows); err != nil {
		return nil, err
	}
	err := notepage.WriteIndex(&page, w.style.day.String(), entries, none, version, w.mark)
	return []artefact{{indexTable, table.Bytes()}, {indexPage, page.Bytes()}}, err
}

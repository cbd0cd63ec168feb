package main

import (
	"bytes"
	"context"
	"path"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
)

// demoSeasons is the folder of the programme that the demo follows.
const demoSeasons = "programme"

// demoLanguages are those of the demo's notes.
var demoLanguages = []string{"en", "es"}

// demoProgramme runs the chain of a programme in memory: seasons, map, notes.
func demoProgramme() ([]artefact, error) {
	made := []artefact{
		{"counts.csv", demo.ProgrammeCounts()}, {"apiaries.csv", demo.ProgrammeApiaries()}, {"truth.csv", demo.ProgrammeTruth()},
		{"coast.geojson", demo.Coast()}, {"programme.toml", demo.ProgrammeSettings()}, {"treatments.csv", demo.Treatments()}, {"hives.csv", demo.Hives()},
	}
	known, err := demoTracked(nil)
	if err != nil {
		return nil, err
	}
	for _, format := range []struct{ name, extension string }{{"text", "txt"}, {"csv", "csv"}, {"json", "json"}} {
		var b bytes.Buffer
		if err := writeTracks(&b, known.Tracks, format.name, demoMarkWords); err != nil {
			return nil, err
		}
		made = append(made, artefact{"seasons." + format.extension, b.Bytes()})
	}
	further, err := demoMap(known)
	if err != nil {
		return nil, err
	}
	made = append(made, further...)
	if further, err = demoNotes(); err != nil {
		return nil, err
	}
	made = append(made, further...)
	for i := range made {
		made[i].name = path.Join(demoSeasons, made[i].name)
	}
	return made, nil
}

// demoTracked tracks the programme, with the LCp that are asked for.
func demoTracked(percents []float64) (*tracked, error) {
	flags := demoTrackFlags()
	flags.percents = percents
	programme, err := rules.Read("programme.toml", bytes.NewReader(demo.ProgrammeSettings()))
	if err != nil {
		return nil, err
	}
	places, err := tables.ReadApiaries("apiaries.csv", bytes.NewReader(demo.ProgrammeApiaries()))
	if err != nil {
		return nil, err
	}
	data := new(counts)
	if err := data.read("counts.csv", demo.ProgrammeCounts()); err != nil {
		return nil, err
	}
	analysis, err := flags.model.options("text")
	if err != nil {
		return nil, err
	}
	return flags.track(context.Background(), fileSourceOf(flags, data, programme, places), analysis, &progress{})
}

// demoTrackFlags are the default flags of track.
func demoTrackFlags() *trackFlags {
	flags := new(trackFlags)
	newTrackFlagSet(flags)
	return flags
}

// demoMap makes the map and the page of the programme.
func demoMap(known *tracked) ([]artefact, error) {
	flags := &mapFlags{mark: demoMarkWords}
	coast, _, err := geo.Read("coast.geojson", bytes.NewReader(demo.Coast()))
	if err != nil {
		return nil, err
	}
	r, _, err := flags.regionOn(known, coast)
	if err != nil {
		return nil, err
	}
	shared, err := flags.shared(r, known)
	if err != nil {
		return nil, err
	}
	for i := range shared {
		shared[i].name = path.Join(programmeMap, shared[i].name)
	}
	own, err := flags.summary(known, r)
	return append(shared, own...), err
}

// demoNotes makes the notes of every language.
func demoNotes() (made []artefact, err error) {
	known, err := demoTracked(notePercents())
	if err != nil {
		return nil, err
	}
	found, err := known.findings(&progress{})
	if err != nil {
		return nil, err
	}
	day, err := bioassay.ParseDate(demo.NoteDay)
	if err != nil {
		return nil, err
	}
	treated, _, err := tables.ReadTreatments("treatments.csv", bytes.NewReader(demo.Treatments()))
	if err != nil {
		return nil, err
	}
	asked, _, err := tables.ReadHives("hives.csv", bytes.NewReader(demo.Hives()))
	if err != nil {
		return nil, err
	}
	for _, language := range demoLanguages {
		w := &noteWriter{known: known, mark: demoMarkWords, style: noteStyle{day: day, language: language, extension: "pdf"}}
		w.hives, w.treatments = byApiary(asked, treated)
		notes, none, err := w.notes(found, nil)
		if err != nil {
			return nil, err
		}
		files, err := w.files(notes, none, &progress{})
		if err != nil {
			return nil, err
		}
		for _, f := range files {
			made = append(made, artefact{path.Join("notes-"+language, f.name), f.data})
		}
	}
	return made, nil
}

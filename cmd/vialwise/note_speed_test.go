package main

import (
	"fmt"
	"sync"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
)

// demoKnown tracks the demo's programme once for all tests, which change nothing.
var demoKnown = sync.OnceValues(func() (*tracked, error) { return demoTracked(notePercents()) })

// demoNoteWriter knows the demo's programme.
func demoNoteWriter(t testing.TB, extension, language string) *noteWriter {
	t.Helper()
	known, err := demoKnown()
	if err != nil {
		t.Fatal(err)
	}
	day, err := bioassay.ParseDate(demo.NoteDay)
	if err != nil {
		t.Fatal(err)
	}
	return &noteWriter{known: known, style: noteStyle{day: day, language: language, extension: extension}}
}

// allNotes writes the notes of every apiary.
func allNotes(t testing.TB, w *noteWriter) (notes []apiaryNote, none []string) {
	t.Helper()
	found, err := w.known.findings(&progress{})
	if err != nil {
		t.Fatal(err)
	}
	if notes, none, err = w.notes(found, nil); err != nil {
		t.Fatal(err)
	}
	return notes, none
}

// manyNotes are n notes, those of the demo again and again under codes of their own.
func manyNotes(t testing.TB, w *noteWriter, n int) (notes []apiaryNote) {
	t.Helper()
	some, _ := allNotes(t, w)
	for i := range n {
		notes = append(notes, apiaryNote{fmt.Sprintf("P%04d", i), some[i%len(some)].note})
	}
	return notes
}

// BenchmarkNotesAsPDF writes the notes of a large programme with their index, which
// is to take less than a minute for 5,000:
//
//	go test -bench NotesAsPDF -benchtime 1x ./cmd/vialwise
func BenchmarkNotesAsPDF(b *testing.B) {
	const programme = 5000
	w := demoNoteWriter(b, "pdf", "en")
	notes := manyNotes(b, w, programme)
	for b.Loop() {
		if _, err := w.files(notes, nil, &progress{}); err != nil {
			b.Fatal(err)
		}
	}
}

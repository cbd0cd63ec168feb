package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"vialwise/cmd/vialwise/internal/notepage"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/internal/parallel"
	"vialwise/plots"
)

// write writes a note in the format of the style.
func (w *noteWriter) write(n apiaryNote) ([]byte, error) {
	var b bytes.Buffer
	var err error
	switch w.style.extension {
	case "pdf":
		err = plots.Write(&b, notepage.Sheet(n.note.Page(), w.style.paper), plots.PDF)
	case "html":
		err = notepage.Write(&b, n.note.Page(), w.style.paper, version)
	default:
		b.WriteString(n.note.Text())
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
	parallel.Each(len(notes), func(i int) {
		raw, err := w.write(notes[i])
		made[i], errs[i] = artefact{files[i] + "." + w.style.extension, raw}, err
	}, progress.step)
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
	return fmt.Errorf("the folder %s holds notes already, which may have gone out; choose an empty one with --out, or delete them first", folder)
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

package main

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"vialwise/cmd/vialwise/internal/render"
	"vialwise/cmd/vialwise/internal/report"
	"vialwise/plots"
)

// The files of a programme's folder. The map is in a folder of its own, which may
// be published while the rest may not.
const (
	programmePage = "programme.html"
	programmeBook = "programme.xlsx"
	programmeMap  = "map"
)

func newProgramme() *cobra.Command {
	var flags mapFlags
	cmd := &cobra.Command{
		Use:   "programme [FILE…]",
		Short: "Sum up a programme: map, trends, who needs a test, baselines, on one page and as a workbook",
		Long: `Programme reads the registry, or count tables where some are named with --apiaries,
and writes a folder: programme.html with the maps, the trends of regions and apiaries,
the apiaries that need a test and the baselines; programme.xlsx with every row of the
same; and the folder map, as the command map writes it.

The page and the workbook name apiaries and are for the programme. The folder map
names none and may be published: see vialwise map --help.`,
		Example: `  vialwise programme --land coast.geojson --out programme-2031
  vialwise programme --previous programme-2031/map/map.geojson --out programme-2032`,
		RunE: func(cmd *cobra.Command, files []string) error { return flags.programme(cmd, files) },
	}
	flags.track.register(cmd.Flags())
	flags.register(cmd.Flags())
	return cmd
}

func (f *mapFlags) programme(cmd *cobra.Command, files []string) error {
	if f.out == "" {
		return usageError{errors.New("a programme is a folder of files: name it, as in --out programme")}
	}
	folder := f.out
	f.out = filepath.Join(folder, programmeMap)
	if exists(filepath.Join(folder, mapGeoJSON)) {
		return fmt.Errorf("the folder %s holds a map that may be shared, and the page of the programme names apiaries; choose another folder with --out", folder)
	}
	known, err := f.tracked(cmd, files)
	if err != nil {
		return err
	}
	defer known.close()
	r, made, err := f.drawn(cmd, known)
	if err != nil {
		return err
	}
	if err := writeArtefacts(f.out, made); err != nil {
		return err
	}
	made, err = f.summary(known, r)
	if err != nil {
		return err
	}
	return writeArtefacts(folder, made)
}

// summary makes the page and the workbook.
func (f *mapFlags) summary(known *tracked, r *region) ([]artefact, error) {
	figures, err := f.figures(r)
	if err != nil {
		return nil, err
	}
	var maps []plots.Map
	for _, m := range figures {
		maps = append(maps, m.figure)
	}
	links := []report.Link{
		{File: programmeMap + "/" + f.prefix() + mapPage, Name: "The map of every acaricide and season"},
		{File: programmeBook, Name: "Every row of the tables, as a workbook"},
	}
	var page, book bytes.Buffer
	if err := report.WriteProgramme(&page, known.Tracks, maps, links, f.mark); err != nil {
		return nil, err
	}
	if err := render.WriteTracksBook(&book, known.Tracks); err != nil {
		return nil, err
	}
	return []artefact{{programmePage, page.Bytes()}, {programmeBook, book.Bytes()}}, nil
}

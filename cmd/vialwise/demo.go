package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/cmd/vialwise/internal/report"
	"vialwise/doseresp"
)

const demoNotice = `Everything in this folder is invented: the coast, its apiaries, the mites and
their counts. The counts were simulated from the truth stated in truth.csv; of
the 95 % limits some miss it, as they must. "vialwise demo" may overwrite this
folder.
`

// demoMarkWords stand on every report and figure.
const demoMarkWords = "Invented data."

// demoReport is the file to open first.
const demoReport = "report.html"

// demoMark is the file by which a folder is known as one that demo wrote.
const demoMark = "INVENTED.txt"

func newDemo() *cobra.Command {
	var folder string
	var quiet bool
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Run the whole chain on embedded, invented data",
		Long: `Demo fits 74 simulated assays, 15 of susceptible mites and 59 from ten apiaries
on an invented coast, and writes a folder: the count table, the truth it was
simulated from, the fits, baselines and comparisons as text, Markdown, LaTeX,
CSV, JSON and workbooks (XLSX), a report of each (HTML), and a figure of every
assay. In the folder programme it follows sixty apiaries over six seasons: tables,
trends, the page of the programme, the map, and the notes in English and Spanish.`,
		Example: `  vialwise demo
  vialwise demo --out somewhere`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("demo takes no file; to fit your own counts run: vialwise fit %s", args[0])}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			files, text, err := demoFiles()
			if err != nil {
				return err
			}
			if err := writeDemo(folder, files); err != nil {
				return err
			}
			if quiet {
				return nil
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s\nInvented data. Open %s first, then %s/%s and %[3]s/map/map.html. The counts, their truth, these results in %[5]d formats and a figure of every assay are in the folder %[6]s.\n",
				text, demoReport, demoSeasons, programmePage, len(demoFormats), folder)
			return err
		},
	}
	cmd.Flags().StringVar(&folder, "out", "vialwise-demo", "folder to write")
	cmd.Flags().BoolVar(&quiet, "quiet", false, "print nothing")
	return cmd
}

// demoFormats are the formats of the results, with the extension of each.
var demoFormats = []struct{ format, extension string }{
	{"text", "txt"}, {"markdown", "md"}, {"latex", "tex"}, {"csv", "csv"}, {"json", "json"}, {"xlsx", "xlsx"}, {"html", "html"},
}

// demoFiles runs the chain in memory. It also returns the results as text.
func demoFiles() (files []artefact, text []byte, err error) {
	const name = "counts.csv"
	data := new(counts)
	if err := data.read(name, demo.Counts()); err != nil {
		return nil, nil, err
	}
	files = []artefact{
		{demoMark, []byte(demoNotice)},
		{name, demo.Counts()},
		{"counts.schema.json", tables.CountSchema()},
		{"apiaries.csv", demo.Apiaries()},
		{"truth.csv", demo.Truth()},
		{"fits.schema.json", render.FitsSchema()},
		{"comparisons.schema.json", render.ComparisonsSchema()},
		{"baselines.schema.json", render.BaselinesSchema()},
		{"check.schema.json", render.CheckSchema()},
	}
	computed := map[string]*demoAnswers{} // by the LCp that a format shows
	for _, f := range demoFormats {
		percents := render.DefaultPercents(f.format)
		key := fmt.Sprint(percents)
		if computed[key] == nil {
			if computed[key], err = newDemoAnswers(data, percents); err != nil {
				return nil, nil, err
			}
		}
		answers := computed[key]
		written, err := answers.files(f.format, f.extension)
		if err != nil {
			return nil, nil, err
		}
		files = append(files, written...)
		if f.format == "text" {
			text = written[0].data
			figures, err := demoFigures(answers.fits)
			if err != nil {
				return nil, nil, err
			}
			files = append(files, figures...)
		}
	}
	programme, err := demoProgramme()
	return append(files, programme...), text, err
}

// demoAnswers are what fit, compare and baseline find with their default flags.
type demoAnswers struct {
	fits      *render.Fits
	compared  *render.Comparisons
	baselines *render.Baselines
}

func newDemoAnswers(data *counts, percents []float64) (a *demoAnswers, err error) {
	a = new(demoAnswers)
	programme := rules.Builtin()
	flags := compareFlags{bands: defaultBands}
	analysis := bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: percents}}
	options, err := flags.options(analysis, programme)
	if err != nil {
		return nil, err
	}
	if a.fits, err = analyse(data, analysis); err != nil {
		return nil, err
	}
	if a.compared, err = compare(data, programme, flags.baseline, options, &progress{}); err != nil {
		return nil, err
	}
	a.baselines, _, err = describe(data, programme, flags.baseline, bioassay.AnalysisOptions{Fit: doseresp.Options{Percents: baselineDefaults()}})
	return a, err
}

// files writes the answers in a format, the fits first.
func (a *demoAnswers) files(format, extension string) ([]artefact, error) {
	var fits, compared, susceptible bytes.Buffer
	if err := writeFits(&fits, a.fits, format, demoMarkWords); err != nil {
		return nil, err
	}
	if err := writeComparisons(&compared, a.compared, format, demoMarkWords); err != nil {
		return nil, err
	}
	if err := writeBaselines(&susceptible, a.baselines, format, demoMarkWords); err != nil {
		return nil, err
	}
	name := "comparisons." + extension
	if format == report.Format {
		name = demoReport // it holds the most, so that its reader begins there
	}
	return []artefact{
		{"fits." + extension, fits.Bytes()},
		{name, compared.Bytes()},
		{"baselines." + extension, susceptible.Bytes()},
	}, nil
}

func demoFigures(fits *render.Fits) ([]artefact, error) {
	names := make([]string, len(fits.Analyses))
	for i, a := range fits.Analyses {
		names[i] = a.Assay.Name
	}
	var files []artefact
	for i, file := range fileNames(names) {
		var b bytes.Buffer
		if err := writeCurve(&b, fits.Analyses[i], demoMarkWords); err != nil {
			return nil, err
		}
		files = append(files, artefact{filepath.Join("figures", file+".svg"), b.Bytes()})
	}
	return files, nil
}

// writeDemo writes the files, but never into a folder that holds anything
// else than an earlier demo.
func writeDemo(folder string, files []artefact) error {
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("cannot use %s: %w; choose another folder with --out", folder, err)
	}
	if len(entries) > 0 {
		if _, err := os.Stat(filepath.Join(folder, demoMark)); err != nil {
			return fmt.Errorf("%s holds files that demo did not write; choose another folder with --out", folder)
		}
	}
	for _, f := range files {
		path := filepath.Join(folder, f.name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return fmt.Errorf("cannot write the demo: %w; choose another folder with --out", err)
		}
		if err := writeFile(path, f.data); err != nil {
			return err
		}
	}
	return nil
}

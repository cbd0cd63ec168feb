package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"vialwise/bioassay"
	"vialwise/bioassay/advice"
	"vialwise/plots"
)

// noteFlags say what is known around the notes, and how they are written.
type noteFlags struct {
	track                                            trackFlags
	treatments, hives, date, language, format, paper string
	out                                              string
	explain, quiet                                   bool
}

// The formats of a note, with the extension of each.
var noteFormats = []struct{ format, extension string }{{"text", "txt"}, {"html", "html"}, {"pdf", "pdf"}}

func newNote() *cobra.Command {
	flags := noteFlags{track: trackFlags{percents: notePercents()}}
	cmd := &cobra.Command{
		Use:   "note [FILE…]",
		Short: "Write the beekeeper's note: one page on what was found and what to do next",
		Long: `Note writes one page of plain words for each apiary: what was found in its mites,
how sure that is, what to do next and what not to do. It reads the registry, or
count tables where some are named, and takes the newest tests of each acaricide.

A note names no dose and no day of a treatment, and as a change only actives on
the programme's list of those authorised where the hives stand ([authorised] in the
programme's file). Without a list it names none. What is known of the hives comes
from two tables: treatments of the last twelve months, and how the hives stand.

One note goes to the standard output; several need a folder, which also gets an
index. The day of the note is today unless --date says otherwise, so that only with
--date the same counts give the same bytes.`,
		Example: `  vialwise note --apiary A01
  vialwise note --programme programme.toml --treatments treatments.csv --hives hives.csv --format pdf --out notes
  vialwise note --apiary A01 --language es --format pdf --paper letter --out note.pdf counts.csv
  vialwise note --apiary A01 --explain counts.csv`,
		RunE: func(cmd *cobra.Command, files []string) error { return flags.run(cmd, files) },
	}
	flags.track.register(cmd.Flags())
	flags.register(cmd.Flags())
	return cmd
}

// notePercents are the LCp that a note rests on.
func notePercents() []float64 { return []float64{50, 90, bioassay.ReferencePercent} }

func (f *noteFlags) register(flags *pflag.FlagSet) {
	flags.StringVar(&f.treatments, "treatments", "", "table of treatments: apiary, acaricide, treated_on, efficacy, brood")
	flags.StringVar(&f.hives, "hives", "", "table of hives: apiary, brood, supers, temperature_low, temperature_high")
	flags.StringVar(&f.date, "date", "", "day of the notes, such as 2031-05-02 (default: today)")
	flags.StringVar(&f.language, "language", "", "language of the notes: "+strings.Join(advice.Languages(), ", ")+", or a catalogue file (default: that of the programme, else en)")
	flags.StringVar(&f.format, "format", "text", "format of the notes: text, html, pdf")
	flags.StringVar(&f.paper, "paper", "a4", "paper of html and pdf: a4 or letter")
	flags.StringVar(&f.out, "out", "", "file of one note, or folder of several")
	flags.BoolVar(&f.explain, "explain", false, "after each text note, the rule and the finding behind every statement")
	flags.BoolVar(&f.quiet, "quiet", false, "no remarks on standard error")
}

// noteStyle is how notes are written.
type noteStyle struct {
	day       bioassay.Date
	catalogue *advice.Catalogue // nil for a language that comes with the program
	language  string
	extension string
	paper     plots.Paper
}

// style reads the flags about the writing.
func (f *noteFlags) style(programme *bioassay.Programme) (s noteStyle, err error) {
	fail := func(format string, args ...any) (noteStyle, error) { return s, usageError{fmt.Errorf(format, args...)} }
	if f.date == "" {
		s.day = bioassay.DateOf(time.Now())
	} else if s.day, err = bioassay.ParseDate(f.date); err != nil {
		return s, usageError{err}
	}
	for _, k := range noteFormats {
		if k.format == f.format {
			s.extension = k.extension
		}
	}
	if s.extension == "" {
		return fail("unknown format %q of a note; use text, html or pdf", f.format)
	}
	if f.explain && f.format != "text" {
		return fail("--explain belongs to the format text")
	}
	switch strings.ToLower(f.paper) {
	case "a4":
	case "letter":
		s.paper = plots.Letter
	default:
		return fail("unknown paper %q; use a4 or letter", f.paper)
	}
	s.language = f.language
	if s.language == "" && programme != nil {
		s.language = programme.Note.Language
	}
	if s.language == "" {
		s.language = "en"
	}
	return s, s.read()
}

// read reads the catalogue where the language is a file, and looks whether there
// is one where it is not.
func (s *noteStyle) read() error {
	if filepath.Ext(s.language) != ".toml" {
		if _, err := advice.CatalogueOf(s.language); err != nil {
			return usageError{err}
		}
		return nil
	}
	text, err := os.ReadFile(s.language)
	if err != nil {
		return fmt.Errorf("cannot read the catalogue: %w; name a file that exists, or a language", err)
	}
	s.catalogue, err = advice.ReadCatalogue(s.language, text)
	return err
}

func (f *noteFlags) run(cmd *cobra.Command, files []string) error {
	if _, err := f.style(nil); err != nil {
		return err
	}
	hives, treatments, warnings, err := f.context()
	if err != nil {
		return err
	}
	progress := newProgress(cmd.ErrOrStderr(), f.quiet)
	known, err := f.track.run(cmd.Context(), cmd.InOrStdin(), files, cmd.Flags().Changed("moribund"), progress)
	if err != nil {
		return err
	}
	defer known.close()
	style, err := f.style(known.programme)
	if err != nil {
		return err
	}
	if !f.quiet {
		remark(cmd.ErrOrStderr(), append(warnings, known.Reading...))
		remarkNames(cmd.ErrOrStderr(), known.programme, treatments)
	}
	w := &noteWriter{known: known, style: style, hives: hives, treatments: treatments, explain: f.explain}
	if !f.quiet {
		remark(cmd.ErrOrStderr(), w.doubts(f.track.filter.all()))
	}
	found, err := known.findings(progress)
	if err != nil {
		return err
	}
	notes, none, err := w.notes(found, f.track.filter.apiaries)
	if err != nil {
		return err
	}
	if !f.quiet {
		for _, n := range none {
			fmt.Fprintf(cmd.ErrOrStderr(), "vialwise: no note: %s\n", n)
		}
	}
	if len(notes) == 0 {
		return errors.New("there is no apiary to write a note for: none of them has a test that tells anything")
	}
	return f.deliver(cmd.OutOrStdout(), w, notes, none, progress)
}

// deliver writes one note to a file or the standard output, and several into a
// folder.
func (f *noteFlags) deliver(stdout io.Writer, w *noteWriter, notes []apiaryNote, none []string, progress *progress) error {
	extension := strings.TrimPrefix(filepath.Ext(f.out), ".")
	one := len(notes) == 1 && (f.out == "" || extension == w.style.extension)
	for _, k := range noteFormats {
		if extension == k.extension && !one {
			return usageError{fmt.Errorf("--out %s names a file of the format %s; with --format %s and %s, name a folder", f.out, k.format, f.format, bioassay.Plural(len(notes), "note"))}
		}
	}
	if !one && f.out == "" {
		return usageError{fmt.Errorf("there are %d notes: name a folder for them with --out, or one apiary with --apiary", len(notes))}
	}
	if !one {
		return w.folder(f.out, notes, none, progress)
	}
	if f.out == "" && f.format != "text" && isTerminal(stdout) {
		return usageError{fmt.Errorf("format %s is a file to open, not one for a terminal; name it with --out, as in --out note.%s", f.format, w.style.extension)}
	}
	raw, err := w.write(notes[0])
	if err != nil {
		return err
	}
	if f.out == "" {
		_, err = stdout.Write(raw)
		return err
	}
	return writeFile(f.out, raw)
}

// sortedNotes orders notes by apiary.
func sortedNotes(notes []apiaryNote) {
	slices.SortFunc(notes, func(a, b apiaryNote) int { return strings.Compare(a.apiary, b.apiary) })
}

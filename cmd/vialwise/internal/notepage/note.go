// Package notepage turns a note to a beekeeper into a page: HTML for the screen
// and the printer, and the printed sheet of plots.
package notepage

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"vialwise/bioassay/advice"
	"vialwise/plots"
)

//go:embed note.tmpl
var noteText string

//go:embed index.tmpl
var indexText string

//go:embed note.css
var styleText string

var (
	noteTemplate  = template.Must(template.New("note").Parse(noteText))
	indexTemplate = template.Must(template.New("index").Parse(indexText))
)

// strong are the sections that must be seen first.
var strong = map[advice.SectionID]bool{advice.SectionFound: true}

// Sheet lays the note out as one printed page.
func Sheet(p advice.Page, paper plots.Paper) plots.Sheet {
	s := plots.Sheet{
		Paper: paper, Language: p.Language, Title: p.Title, Subtitle: p.Subtitle,
		Picture: Picture(p), PictureAfter: 1, SmallPrint: p.SmallPrint, Mark: p.Mark,
	}
	for _, b := range p.Blocks {
		s.Blocks = append(s.Blocks, plots.SheetBlock{Heading: b.Heading, Lines: b.Lines, Strong: strong[b.ID]})
	}
	return s
}

// Picture is the picture of the note.
func Picture(p advice.Page) plots.Survivors {
	out := plots.Survivors{Words: plots.SurvivorsWords{Survive: p.Picture.Live, LikelySurvive: p.Picture.LikelyLive, LikelyDie: p.Picture.LikelyDie, Die: p.Picture.Die}}
	out.Title = p.Picture.Heading
	for _, r := range p.Picture.Rows {
		out.Rows = append(out.Rows, plots.SurvivorsRow{Likely: r.Likely, Low: r.Low, High: r.High, Caption: r.Caption})
	}
	return out
}

// view is what the template shows.
type view struct {
	advice.Page
	Style   template.CSS
	Paper   string
	Points  float64 // size of the printed text
	Version string
	SVG     template.HTML
	First   advice.Block
	Rest    []advice.Block
}

// paperNames are those of CSS.
var paperNames = map[plots.Paper]string{plots.A4: "A4", plots.Letter: "letter"}

// Write writes the note as a page of HTML that prints on one sheet of the paper.
func Write(w io.Writer, p advice.Page, paper plots.Paper, version string) error {
	if len(p.Blocks) == 0 {
		return fmt.Errorf("a note without a word")
	}
	v := view{Page: p, Paper: paperNames[paper], Points: points(p), Version: version, First: p.Blocks[0], Rest: p.Blocks[1:]}
	faces := ""
	if len(p.Picture.Rows) > 0 {
		picture := Picture(p)
		picture.Title = "" // the page has it as a heading
		var svg bytes.Buffer
		if err := plots.Write(&svg, picture, plots.InlineSVG); err != nil {
			return err
		}
		regular, bold, err := plots.Texts(picture)
		if err != nil {
			return err
		}
		faces = plots.FontFaces(regular, bold)
		v.SVG = template.HTML(svg.String())
	}
	v.Style = template.CSS(faces + styleText)
	return execute(w, noteTemplate, v)
}

func execute(w io.Writer, t *template.Template, v any) error {
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		return fmt.Errorf("the page: %w", err)
	}
	_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
	return err
}

// Entry is a note in an index.
type Entry struct {
	Apiary, File string
	Findings     []string // what was read from each acaricide
}

// WriteIndex writes the index of a batch of notes. It names apiaries and is for
// the programme.
func WriteIndex(w io.Writer, date string, entries []Entry, none []string, version, mark string) error {
	return execute(w, indexTemplate, struct {
		Style               template.CSS
		Date, Version, Mark string
		Entries             []Entry
		None                []string
	}{template.CSS(styleText), date, version, mark, entries, none})
}

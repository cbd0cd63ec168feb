package report

import (
	"html/template"
	"strings"

	"vialwise/plots"
)

// fontTexts gathers the texts of all figures, so that the page embeds the font
// once.
type fontTexts struct{ regular, bold strings.Builder }

// figureViews draws figures as elements of the page.
func figureViews(all []plots.Figure, fonts *fontTexts) ([]figureView, error) {
	var out []figureView
	for _, f := range all {
		var svg strings.Builder
		if err := plots.Write(&svg, f, plots.InlineSVG); err != nil {
			return nil, err
		}
		regular, bold, err := plots.Texts(f)
		if err != nil {
			return nil, err
		}
		fonts.regular.WriteString(regular)
		fonts.bold.WriteString(bold)
		// plots escapes every text that it writes
		out = append(out, figureView{SVG: template.HTML(svg.String()), Wide: isWide(f), Name: titleOf(svg.String())})
	}
	return out, nil
}

// isWide says that a figure takes two columns of print, and is scrolled on a
// narrow screen.
func isWide(f plots.Figure) bool {
	switch f := f.(type) {
	case plots.Forest:
		return f.Width > plots.OneColumn
	case plots.CurveSet:
		return f.Width > plots.OneColumn
	}
	return false
}

// titleOf is the text alternative that the figure carries, still escaped.
func titleOf(svg string) string {
	_, rest, _ := strings.Cut(svg, "<title>")
	title, _, _ := strings.Cut(rest, "</title>")
	return title
}

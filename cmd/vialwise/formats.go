package main

import (
	"io"

	"vialwise/cmd/vialwise/internal/render"
	"vialwise/cmd/vialwise/internal/report"
)

// fileFormats are those of answers that a program opens.
func fileFormats() []string { return []string{render.BookFormat, report.Format} }

// resultFormats are those of answers with counts and figures behind them.
func resultFormats() []string { return append(render.Formats(), fileFormats()...) }

// writeFits writes fits in a format of resultFormats. The mark is a remark on all
// of a report.
func writeFits(w io.Writer, f *render.Fits, format, mark string) error {
	return writeResult(w, f, format, mark, report.WriteFits, render.WriteFitsBook, render.WriteFits)
}

// writeComparisons writes comparisons in a format of resultFormats.
func writeComparisons(w io.Writer, c *render.Comparisons, format, mark string) error {
	return writeResult(w, c, format, mark, report.WriteComparisons, render.WriteComparisonsBook, render.WriteComparisons)
}

// writeBaselines writes baselines in a format of resultFormats.
func writeBaselines(w io.Writer, b *render.Baselines, format, mark string) error {
	return writeResult(w, b, format, mark, report.WriteBaselines, render.WriteBaselinesBook, render.WriteBaselines)
}

// writeTracks writes a tracking in a format of resultFormats.
func writeTracks(w io.Writer, t *render.Tracks, format, mark string) error {
	return writeResult(w, t, format, mark, report.WriteTracks, render.WriteTracksBook, render.WriteTracks)
}

// writeResult writes a result as a report, as a workbook, or in a format of
// render.Formats.
func writeResult[R any](w io.Writer, result R, format, mark string,
	page func(w io.Writer, result R, mark string) error, book func(io.Writer, R) error, tables func(w io.Writer, result R, format string) error) error {
	switch format {
	case report.Format:
		return page(w, result, mark)
	case render.BookFormat:
		return book(w, result)
	}
	return tables(w, result, format)
}

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
	switch format {
	case report.Format:
		return report.WriteFits(w, f, mark)
	case render.BookFormat:
		return render.WriteFitsBook(w, f)
	}
	return render.WriteFits(w, f, format)
}

// writeComparisons writes comparisons in a format of resultFormats.
func writeComparisons(w io.Writer, c *render.Comparisons, format, mark string) error {
	switch format {
	case report.Format:
		return report.WriteComparisons(w, c, mark)
	case render.BookFormat:
		return render.WriteComparisonsBook(w, c)
	}
	return render.WriteComparisons(w, c, format)
}

// writeBaselines writes baselines in a format of resultFormats.
func writeBaselines(w io.Writer, b *render.Baselines, format, mark string) error {
	switch format {
	case report.Format:
		return report.WriteBaselines(w, b, mark)
	case render.BookFormat:
		return render.WriteBaselinesBook(w, b)
	}
	return render.WriteBaselines(w, b, format)
}

// writeTracks writes a tracking in a format of resultFormats.
func writeTracks(w io.Writer, t *render.Tracks, format, mark string) error {
	switch format {
	case report.Format:
		return report.WriteTracks(w, t, mark)
	case render.BookFormat:
		return render.WriteTracksBook(w, t)
	}
	return render.WriteTracks(w, t, format)
}

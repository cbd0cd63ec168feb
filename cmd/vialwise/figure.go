package main

import (
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/figures"
	"vialwise/plots"
)

// writeCurve draws the figure of an analysis.
func writeCurve(w io.Writer, a *bioassay.Analysis, mark string) error {
	if err := plots.Write(w, figures.Curve(a, mark), plots.SVG); err != nil {
		return fmt.Errorf("figure of assay %q: %w", a.Assay.Name, err)
	}
	return nil
}

// deviceName matches names that Windows keeps for devices, whatever extension
// follows.
var deviceName = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com\d|lpt\d)$`)

// folded is equal for names that a file system may take for the same. Upper
// case comes first because two small letters, as sigma and final sigma, share one.
func folded(name string) string { return strings.ToLower(strings.ToUpper(name)) }

// fileNames gives every name a file name of its own that any file system
// takes: letters and digits of any script are kept.
func fileNames(names []string) []string {
	used := map[string]bool{}
	files := make([]string, len(names))
	for i, name := range names {
		base := strings.Trim(strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' {
				return r
			}
			return '-'
		}, name), "-")
		if base == "" || deviceName.MatchString(base) {
			base = strings.TrimSuffix("assay-"+base, "-")
		}
		if runes := []rune(base); len(runes) > 60 {
			base = string(runes[:60])
		}
		file := base
		for n := 2; used[folded(file)]; n++ {
			file = fmt.Sprintf("%s-%d", base, n)
		}
		used[folded(file)] = true
		files[i] = file
	}
	return files
}

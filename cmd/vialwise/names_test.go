package main

import (
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

func TestFileNames(t *testing.T) {
	long := strings.Repeat("x", 300)
	for _, c := range []struct{ names, want []string }{
		{[]string{"A01-amitraz-2031-spring"}, []string{"A01-amitraz-2031-spring"}},
		{[]string{"../../x", "..", ".", "/", `C:\x`, "a/b"}, []string{"x", "assay", "assay-2", "assay-3", "C--x", "a-b"}},
		{[]string{"", " ", "--"}, []string{"assay", "assay-2", "assay-3"}},
		{[]string{"CON", "nul", "com1", "LPT9", "AUX", "prn.txt", "console"},
			[]string{"assay-CON", "assay-nul", "assay-com1", "assay-LPT9", "assay-AUX", "prn-txt", "console"}},
		{[]string{"a", "a", "a", "a-2"}, []string{"a", "a-2", "a-3", "a-2-2"}},
		{[]string{"Hive", "hive", "HIVE"}, []string{"Hive", "hive-2", "HIVE-3"}},
		{[]string{"Μέλισσα", "ΜΈΛΙΣΣΑ", "οίκος", "ΟΊΚΟΣ"}, []string{"Μέλισσα", "ΜΈΛΙΣΣΑ-2", "οίκος", "ΟΊΚΟΣ-2"}},
		{[]string{long, long}, []string{long[:60], long[:60] + "-2"}},
		{[]string{"tab\tline\nnul\x00", "<>:\"|?*", "-rf"}, []string{"tab-line-nul", "assay", "rf"}},
	} {
		if got := fileNames(c.names); !slices.Equal(got, c.want) {
			t.Errorf("%q became\n%q, want\n%q", c.names, got, c.want)
		}
	}
}

// TestFileNamesAreSafe gives it any names at all.
func TestFileNamesAreSafe(t *testing.T) {
	const longest = 251 // bytes of a file name without .svg
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(rapid.String(), rapid.StringMatching(`[a-cA-C./\\-]{0,4}`),
			rapid.SampledFrom([]string{"CON", "con", "lpt1", "..", "ς", "σ", "Σ", strings.Repeat("𐐀", 300)}))
		names := rapid.SliceOf(name).Draw(t, "names")
		files := fileNames(names)
		if len(files) != len(names) {
			t.Fatalf("%d names for %d", len(files), len(names))
		}
		seen := map[string]bool{}
		for i, file := range files {
			for _, r := range file {
				if !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '_' {
					t.Fatalf("%q became %q", names[i], file)
				}
			}
			if file == "" || file[0] == '-' || len(file) > longest || deviceName.MatchString(file) {
				t.Fatalf("%q became %q, of %d bytes", names[i], file, len(file))
			}
			if seen[folded(file)] {
				t.Fatalf("%q became %q, which is taken", names[i], file)
			}
			seen[folded(file)] = true
		}
	})
}

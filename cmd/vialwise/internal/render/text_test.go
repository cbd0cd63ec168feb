package render

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"vialwise/doseresp"
)

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		in     string
		width  int
		indent string
		want   string
	}{
		{"", 10, "", "\n"},
		{"word", 10, "", "word\n"},
		{"aaa bbb", 7, "", "aaa bbb\n"}, // exactly the width
		{"aaa bbbb", 7, "", "aaa\nbbbb\n"},
		{"- aaa bbb ccc", 7, "  ", "- aaa\n  bbb\n  ccc\n"},
		{"a word-longer-than-the-line b", 6, "", "a\nword-longer-than-the-line\nb\n"},
		{"χχχ χχχ", 7, "", "χχχ χχχ\n"}, // letters count, not bytes
		{" many \t\n blanks ", 20, "", "many blanks\n"},
	} {
		if got := wrap(c.in, c.width, c.indent); got != c.want {
			t.Errorf("wrap(%q, %d, %q) = %q, want %q", c.in, c.width, c.indent, got, c.want)
		}
	}
}

// TestTextIsNoWiderThanItsPages wraps all the remarks of the demo.
func TestTextIsNoWiderThanItsPages(t *testing.T) {
	text := rendered(t, analysed(t, demoTable(t), defaults("text")), "text")
	_, below, found := strings.Cut(text, "\n\n")
	if !found {
		t.Fatal("the table has no notes")
	}
	for line := range strings.Lines(below) {
		if line := strings.TrimSuffix(line, "\n"); utf8.RuneCountInString(line) > textWidth || strings.TrimRight(line, " ") != line {
			t.Errorf("%d letters, or blanks at the end: %q", utf8.RuneCountInString(line), line)
		}
	}
}

// TestTextAligns looks for the beginning of the second column in every row. It
// is n, unless some assay names its acaricide or its unit.
func TestTextAligns(t *testing.T) {
	for _, unit := range []string{"", "ug/vial"} {
		read := readTable(t, "published.csv", published)
		read.Assays[0].Unit = unit
		f := analysed(t, read, defaults("text"))
		second, starts := "n ", func(i int) string { return fmt.Sprint(f.Analyses[i].Fit.TreatedExposed) }
		if unit != "" {
			second, starts = "Acaricide ", func(int) string { return absent }
		}
		table, _, _ := strings.Cut(rendered(t, f, "text"), "\n\n")
		at := strings.Index(table, "  "+second) + 2
		lines := strings.Split(table, "\n")
		if at < 2 || len(lines) != len(f.Analyses)+1 {
			t.Fatalf("no column %q, or no row for each assay:\n%s", second, table)
		}
		for i, line := range lines[1:] {
			if !strings.HasPrefix(line[at:], starts(i)+" ") || line[at-1] != ' ' {
				t.Errorf("row %d is not aligned: %q", i, line)
			}
		}
	}
}

// TestDescribedColumns shows when the table has the columns Acaricide and Unit.
func TestDescribedColumns(t *testing.T) {
	for _, c := range []struct {
		acaricide, unit string
		want            bool
	}{{"", "", false}, {"amitraz", "", true}, {"", "ug/vial", true}, {"amitraz", "ug/vial", true}} {
		read := readTable(t, "published.csv", published)
		read.Assays[3].Acaricide, read.Assays[3].Unit = c.acaricide, c.unit
		header := fitTable(analysed(t, read, defaults("text"))).header
		if got := slices.Contains(header, "Acaricide") && slices.Contains(header, "Unit"); got != c.want {
			t.Errorf("%q, %q: %q", c.acaricide, c.unit, header)
		}
	}
}

// TestNaturalCells shows C with its standard error, where there are these.
func TestNaturalCells(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		natural doseresp.NaturalResult
		want    string
	}{
		{doseresp.NaturalResult{Mode: doseresp.Estimated, Estimate: 0.0517, StdErr: 0.0287}, "5.2 ± 2.9"},
		{doseresp.NaturalResult{Mode: doseresp.Estimated, Estimate: 0, StdErr: nan}, "0.0"},
		{doseresp.NaturalResult{Mode: doseresp.Fixed, Estimate: 0.05, StdErr: nan}, "5.0"},
		{doseresp.NaturalResult{Mode: doseresp.AbbottCorrection, Estimate: 0.05, StdErr: nan}, "5.0"},
		{doseresp.NaturalResult{Mode: doseresp.None, Estimate: 0, StdErr: nan}, absent},
		{doseresp.NaturalResult{Mode: doseresp.Estimated, Estimate: nan, StdErr: nan}, absent},
	} {
		if got := naturalCell(&doseresp.Result{Natural: c.natural}); got != c.want {
			t.Errorf("%+v: %q, want %q", c.natural, got, c.want)
		}
	}
}

// TestLimitCells shows every kind of limits in words.
func TestLimitCells(t *testing.T) {
	for kind, want := range map[doseresp.LimitKind]string{
		doseresp.Bounded:        "1.500–2.500",
		doseresp.UnboundedAbove: "1.500–∞",
		doseresp.UnboundedBelow: "0–2.500",
		doseresp.Unbounded:      "no limits",
		doseresp.ExcludedRegion: "outside 3.000–4.000",
	} {
		l := doseresp.Limits{Lower: 1.5, Upper: 2.5, Kind: kind, Excluded: doseresp.Bracket{Lower: 3, Upper: 4}}
		if got := limitsCell(l); got != want {
			t.Errorf("%v: %q, want %q", kind, got, want)
		}
	}
}

// TestLC50WithoutLine shows what replaces LC50 where there is no line.
func TestLC50WithoutLine(t *testing.T) {
	f := analysed(t, readTable(t, "counts.csv", `assay,concentration,exposed,dead
all dead,1,9,9
all dead,2,9,9
none dead,1,9,0
none dead,2,9,0
step,1,9,0
step,2,9,9
one dose,1,9,5
falling,1,9,7
falling,2,9,2
no treated,0,9,1
`), defaults("text"))
	brackets := []string{"< 1", "> 2", "between 1 and 2", "–", "–", "–"}
	for i, a := range f.Analyses {
		want := "–"
		if l := a.Limits; l.Posterior != nil {
			p := l.PosteriorLC[0]
			want = fmt.Sprintf("%s† (%s–%s)", dose(p.Median), dose(p.Lower), dose(p.Upper))
		}
		if got := LC50(a); got != want || (got == "–") != (a.Assay.Name == "no treated") {
			t.Errorf("%s: %q, want %q", a.Assay.Name, got, want)
		}
		if got := fiducialCell(a, 0); got != brackets[i] {
			t.Errorf("%s: %q by the fiducial limits alone, want %q", a.Assay.Name, got, brackets[i])
		}
		if got := fiducialCell(a, 1); got != "–" { // the bracket is of LC50
			t.Errorf("%s: LC90 %q", a.Assay.Name, got)
		}
	}
}

// TestLC50WithLine shows the two answers that hold the maximum likelihood
// dose: that of the rotenone counts is printed in the paper.
func TestLC50WithLine(t *testing.T) {
	f := analysed(t, readTable(t, "published.csv", published), defaults("text"))
	if got, want := LC50(f.Analyses[0]), "4.845 (4.363–5.354)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	f = analysed(t, readTable(t, "counts.csv", "assay,concentration,exposed,dead\nflat,1,20,5\nflat,2,20,7\nflat,4,20,8\n"), defaults("text"))
	a := f.Analyses[0]
	p := a.Limits.PosteriorLC[0]
	want := fmt.Sprintf("%s† (%s–%s)", dose(a.Fit.LC[0].Estimate), dose(p.Lower), dose(p.Upper))
	if got := LC50(a); got != want || a.Fit.LC[0].Fiducial.Kind != doseresp.ExcludedRegion {
		t.Errorf("%q, want %q", got, want)
	}
}

package render

import (
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

// TestTextAligns looks for the beginning of the second column in every row.
func TestTextAligns(t *testing.T) {
	table, _, _ := strings.Cut(rendered(t, analysed(t, readTable(t, "published.csv", published), defaults("text")), "text"), "\n\n")
	at := strings.Index(table, "Acaricide")
	for i, line := range strings.Split(table, "\n") {
		if i > 0 && (!strings.HasPrefix(line[at:], absent+"  ") || line[at-1] != ' ') {
			t.Errorf("row %d is not aligned: %q", i, line)
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
`), defaults("text"))
	want := []string{"< 1", "> 2", "between 1 and 2", "–", "–"}
	for i, a := range f.Analyses {
		if got := LC50(a.Fit); got != want[i] {
			t.Errorf("%s: %q, want %q", a.Assay.Name, got, want[i])
		}
	}
}

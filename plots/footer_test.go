package plots

import (
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

// The footer breaks between clauses wherever a clause fits on a line.
func TestFooterBreaksByClause(t *testing.T) {
	const (
		bars = "Bars: exact 95\u00a0% binomial limits."
		half = "LC50: the dose that kills half of the mites that natural mortality spares."
	)
	in := func(change func(*Curve)) Curve { return with(ordinary(), change) }
	for _, c := range []struct {
		what  string
		curve Curve
		want  []string
	}{
		{"ordinary", ordinary(), []string{bars + " Point area: number of mites (20 to 60).", half}},
		{"natural mortality of 0", in(func(c *Curve) { c.NaturalMortality = 0 }), []string{bars + " Point area: number of mites (20 to 60)."}},
		{"no natural mortality", in(func(c *Curve) { c.NaturalMortality = nan }), []string{bars + " Point area: number of mites (20 to 60)."}},
		{"no LC50", in(func(c *Curve) { c.LC50 = nan }), []string{bars + " Point area: number of mites (20 to 60)."}},
		{"equal numbers", in(func(c *Curve) { c.Points = c.Points[4:6] }), []string{bars + " Point area: number of mites.", half}},
		{"too long for a line", in(func(c *Curve) { c.Points[0].Exposed = 12345 }), []string{bars, "Point area: number of mites (20 to 12345).", half}},
		{"arrows", in(func(c *Curve) { c.Upper = inf }), []string{bars + " Point area: number of mites (20 to 60).", half, "Arrow: no upper limit."}},
		{"mark", in(func(c *Curve) { c.Mark = "invented data" }), []string{bars + " Point area: number of mites (20 to 60).", half, "invented data"}},
		{"narrow", in(func(c *Curve) { c.Width = 60 * vg.Millimeter }), []string{bars, "Point area: number of mites (20 to 60).",
			"LC50: the dose that kills half of the mites that", "natural mortality spares."}},
	} {
		l, _, err := c.curve.arrange()
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		if got, want := strings.Join(l.footer.lines, "\n"), strings.Join(c.want, "\n"); got != want {
			t.Errorf("%s: footer\n%s\nwant\n%s", c.what, got, want)
		}
	}
}

// A long mark is cut in the footer; the description has it in full.
func TestLongMark(t *testing.T) {
	c := with(ordinary(), func(c *Curve) { c.Mark = longest; c.NaturalMortality = nan })
	lines := c.footer(c.footerWords(c.axisSpan()), 200).lines
	if last := lines[len(lines)-1]; len(lines) != 2+maxMark || !strings.HasSuffix(last, "…") {
		t.Errorf("footer %q, want two lines and a mark cut to %d", lines, maxMark)
	}
	if _, description := c.words(); !strings.Contains(description, longest+".") {
		t.Error("the description lacks the mark")
	}
}

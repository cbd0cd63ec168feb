package plots

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// maxMark is the number of lines that the mark may take.
const maxMark = 2

// footer says how the marks are to be read, and ends with the mark of the figure;
// f gives the concentration axis.
func (c Curve) footer(f frame, limit vg.Length) block {
	b := block{face: face(footSize, false)}
	for _, clauses := range c.footerWords(f) {
		b.lines = append(b.lines, pack(b.face, clauses, limit)...)
	}
	if s := clean(c.Mark); s != "" {
		b.lines = append(b.lines, fitBlock(s, limit, footSize, footSize, false, maxMark).lines...)
	}
	return b
}

// footerWords returns the clauses of the footer; each group starts a line.
func (c Curve) footerWords(f frame) [][]string {
	var groups [][]string
	if least, most := c.fewestAndMost(); most > 0 {
		area := "Point area: number of mites."
		if least < most {
			area = fmt.Sprintf("Point area: number of mites (%d to %d).", least, most)
		}
		groups = append(groups, []string{"Bars: exact 95\u00a0% binomial limits.", area})
	}
	if c.hasLC50() && c.hasNatural() && c.NaturalMortality > 0 {
		groups = append(groups, []string{"LC50: the dose that kills half of the mites that natural mortality spares."})
	}
	return append(groups, c.arrowWords(f))
}

// pack sets clauses on as few lines as it can without breaking a clause; one that
// no line holds is wrapped.
func pack(f font.Face, clauses []string, limit vg.Length) []string {
	var lines []string
	line := ""
	for _, s := range clauses {
		if line != "" && room(f, line+" "+s) <= limit {
			line += " " + s
			continue
		}
		lines = append(lines, wrap(f, line, limit)...)
		line = s
	}
	return append(lines, wrap(f, line, limit)...)
}

// arrowWords explains the arrow heads at the ends of the axis.
func (c Curve) arrowWords(f frame) []string {
	if !c.hasLC50() || f.dose.empty() {
		return nil
	}
	var say []string
	if !f.dose.holds(math.Log10(c.LC50)) {
		say = append(say, "Arrow: LC50 beyond the axis.")
	}
	if !c.hasLimits() {
		return say
	}
	if c.Lower <= 0 && math.IsInf(c.Upper, 1) {
		return append(say, "Arrows: no limits exist.")
	}
	switch low := math.Log10(max(c.Lower, 0)); {
	case math.IsInf(low, -1):
		say = append(say, "Arrow: no lower limit.")
	case low < f.dose.lo:
		say = append(say, "Arrow: lower limit beyond the axis.")
	}
	switch high := math.Log10(c.Upper); {
	case math.IsInf(high, 1):
		say = append(say, "Arrow: no upper limit.")
	case high > f.dose.hi:
		say = append(say, "Arrow: upper limit beyond the axis.")
	}
	return say
}

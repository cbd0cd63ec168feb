package plots

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// name returns the short text alternative: the title, or what is drawn.
func (c Curve) name() string {
	if s := clean(c.Title); s != "" {
		return s
	}
	return "Dose-response curve: " + c.axisWords()
}

// describe tells the finding in words, for readers who do not see the figure:
// what was tested, the LC50, and every count.
func (c Curve) describe() string {
	say := []string{"Mortality against concentration of " + c.axisWords()}
	for _, s := range []string{clean(c.Subtitle), clean(c.Note), c.sayLC50(), c.sayNatural(), c.sayCounts(), clean(c.Mark)} {
		if s != "" {
			say = append(say, s)
		}
	}
	for i, s := range say {
		say[i] = strings.TrimRight(s, ". ") + "."
	}
	return strings.Join(say, " ")
}

// sayLC50 tells the estimate, or the range in which it must lie.
func (c Curve) sayLC50() string {
	unit := ""
	if s := clean(c.Unit); s != "" {
		unit = " " + s
	}
	switch {
	case c.hasLimits():
		return "LC50 " + digits(c.LC50) + unit + ", limits " + c.sayLimits()
	case c.hasLC50():
		return "LC50 " + digits(c.LC50) + unit + ", without limits"
	case c.hasBracket() && c.Bracket[0] == 0 && math.IsInf(c.Bracket[1], 1):
		return "No LC50 is estimated and the counts do not bracket it"
	case c.hasBracket() && c.Bracket[0] == 0:
		return "No LC50 is estimated; it lies below " + digits(c.Bracket[1]) + unit
	case c.hasBracket() && math.IsInf(c.Bracket[1], 1):
		return "No LC50 is estimated; it lies above " + digits(c.Bracket[0]) + unit
	case c.hasBracket():
		return "No LC50 is estimated; it lies between " + digits(c.Bracket[0]) + " and " + digits(c.Bracket[1]) + unit
	}
	return "No LC50 is estimated"
}

// sayLimits tells the limits of the LC50.
func (c Curve) sayLimits() string {
	low, high := "unbounded below", "unbounded above"
	if c.Lower > 0 {
		low = digits(c.Lower)
	}
	if !math.IsInf(c.Upper, 1) {
		high = digits(c.Upper)
	}
	return low + " to " + high
}

// sayNatural tells the natural mortality.
func (c Curve) sayNatural() string {
	if !c.hasNatural() {
		return ""
	}
	return "Natural mortality " + digits(100*c.NaturalMortality) + " %"
}

// sayCounts lists every count, the controls first.
func (c Curve) sayCounts() string {
	controls, treated := c.split()
	var list []string
	for _, p := range controls {
		list = append(list, fmt.Sprintf("control %d of %d", p.Dead, p.Exposed))
	}
	for _, p := range treated {
		list = append(list, fmt.Sprintf("at %s %d of %d", digits(p.Concentration), p.Dead, p.Exposed))
	}
	if len(list) == 0 {
		return "No mites were counted"
	}
	return "Dead of exposed: " + strings.Join(list, ", ")
}

// digits writes v with four significant digits, enough for reading aloud; the
// tables beside the figure carry the precise values.
func digits(v float64) string {
	s := strconv.FormatFloat(v, 'g', 4, 64)
	r, err := strconv.ParseFloat(s, 64)
	if err != nil || r != 0 && (math.Abs(r) < 1e-6 || math.Abs(r) >= 1e9) {
		return s
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

package plots

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// sayLC50 tells the estimate, or the range in which it must lie.
func (c Population) sayLC50(unit string) string {
	switch {
	case c.hasLimits():
		return "LC50 " + digits(c.LC50) + unit + ", limits " + sayLimits(c.Lower, c.Upper)
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

// sayLimits tells the limits of a positive quantity.
func sayLimits(lower, upper float64) string {
	low, high := "unbounded below", "unbounded above"
	if lower > 0 {
		low = digits(lower)
	}
	if !math.IsInf(upper, 1) {
		high = digits(upper)
	}
	return low + " to " + high
}

// sayNatural tells the natural mortality.
func (c Population) sayNatural() string {
	if !c.hasNatural() {
		return ""
	}
	return "Natural mortality " + digits(100*c.NaturalMortality) + " %"
}

// sayCounts lists every count, the controls first.
func sayCounts(points []Point) string {
	controls, treated := split(points)
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
func digits(v float64) string { return significant(v, 4) }

// significant writes v with n significant digits, without trailing zeros.
func significant(v float64, n int) string {
	s := strconv.FormatFloat(v, 'g', n, 64)
	r, err := strconv.ParseFloat(s, 64)
	if err != nil || r != 0 && (math.Abs(r) < 1e-6 || math.Abs(r) >= 1e9) {
		return s
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// threeDigits writes a positive number with three significant digits, trailing
// zeros included, for a column of numbers.
func threeDigits(v float64) string {
	if v >= 1e9 || v < 1e-6 {
		return significant(v, 3)
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', 2, 64), 64)
	if err != nil {
		panic(err) // FormatFloat writes what ParseFloat reads
	}
	return strconv.FormatFloat(rounded, 'f', max(0, 2-int(math.Floor(math.Log10(rounded)))), 64)
}

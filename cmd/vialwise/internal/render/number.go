package render

import (
	"fmt"
	"math"
	"strconv"
)

// absent stands where a number does not exist.
const absent = "–"

// significant formats x to a number of significant digits, without an
// exponent between 0.0001 and ten million.
func significant(x float64, digits int) string {
	switch {
	case math.IsNaN(x):
		return absent
	case math.IsInf(x, 1):
		return "∞"
	case math.IsInf(x, -1):
		return "−∞"
	case x == 0:
		return "0"
	}
	// Round first: 9.9999 has two digits before the point once it is rounded.
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', digits-1, 64), 64)
	exponent := int(math.Floor(math.Log10(math.Abs(rounded)) + 1e-12))
	if exponent < -4 || exponent > 6 {
		return strconv.FormatFloat(x, 'e', digits-1, 64)
	}
	return strconv.FormatFloat(rounded, 'f', max(0, digits-1-exponent), 64)
}

// dose formats a concentration for a table.
func dose(x float64) string { return significant(x, 4) }

// fixed formats x with a number of decimals.
func fixed(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return significant(x, 4)
	}
	if math.Abs(x) >= 1e7 {
		return significant(x, 4)
	}
	return strconv.FormatFloat(x, 'f', decimals, 64)
}

// percent formats a proportion as a percentage without trailing zeros.
func percent(x float64) string { return strconv.FormatFloat(100*x, 'g', 4, 64) + " %" }

// probability formats a probability for people; none is rounded to certainty.
func probability(p float64) string {
	switch {
	case p < 0.001:
		return "below 0.001"
	case p > 0.999:
		return "above 0.999"
	}
	return fixed(p, 3)
}

// lcName is the name of the dose that kills p per cent.
func lcName(p float64) string { return fmt.Sprintf("LC%g", p) }

// full formats x so that reading it back gives the same number; what does
// not exist is empty.
func full(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

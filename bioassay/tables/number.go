package tables

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// The bounds of numbers. Outside them a cell is a slip of the keyboard.
const (
	maxCount         = 1_000_000_000
	maxConcentration = 1e15
	minConcentration = 1e-15
	maxHours         = 100_000
)

// parseCount reads a number of mites: digits, with ".0" as spreadsheets add it.
func parseCount(s string) (int, *fault) {
	whole, zeros, point := strings.Cut(s, ".")
	if whole == "" || !digitsOnly(whole) || !digitsOnly(zeros) {
		return 0, diagnose(s, true)
	}
	if point && strings.Trim(zeros, "0") != "" {
		return 0, &fault{NotWhole, "the count is not a whole number", "count mites one by one; enter a whole number"}
	}
	if len(zeros) == 3 {
		return 0, thousands("")
	}
	n, err := strconv.ParseInt(whole, 10, 64)
	if err != nil || n > maxCount {
		return 0, &fault{TooLarge, fmt.Sprintf("the count is above %d", int64(maxCount)), "correct the count"}
	}
	return int(n), nil
}

// parseConcentration reads a concentration. A number too small to be one is
// refused: taken as zero, it would make a control of a treated container.
func parseConcentration(s string) (float64, *fault) {
	v, f := parseNumber(s, true)
	switch {
	case f != nil:
		if word := wordForDose(s); word != nil {
			f = word
		}
		return 0, f
	case v > maxConcentration:
		return 0, &fault{TooLarge, fmt.Sprintf("the concentration is above %g", maxConcentration), "correct it, or choose a larger unit"}
	case v < minConcentration && strings.ContainsAny(mantissa(s), "123456789"):
		return 0, &fault{TooSmall, fmt.Sprintf("the concentration is above zero and below %g", minConcentration), "enter 0 for a control, or choose a smaller unit"}
	}
	return v, nil
}

// parseHours reads a duration in hours.
func parseHours(s string) (float64, *fault) {
	v, f := parseNumber(s, false)
	if f == nil && v > maxHours {
		f = &fault{TooLarge, fmt.Sprintf("the time is above %d hours", maxHours), "enter the time in hours"}
	}
	return v, f
}

// degrees are numbers with a sign: what they are, and what to enter.
type degrees struct{ what, example string }

var (
	angular = degrees{"coordinate", "enter decimal degrees with a decimal point, such as 51.25 or -3.5"}
	celsius = degrees{"temperature", "enter degrees Celsius, such as 12.5 or -3"}
)

// parseDegrees reads degrees between -most and most.
func parseDegrees(s string, most float64, d degrees) (float64, *fault) {
	digits := strings.TrimPrefix(strings.TrimPrefix(s, "-"), "−")
	v, f := parseNumber(digits, false)
	switch {
	case f != nil && f.code == NotANumber:
		return 0, &fault{NotANumber, "this is not a " + d.what, d.example}
	case f != nil:
		return 0, f
	case v > most:
		return 0, &fault{TooLarge, fmt.Sprintf("the %s is outside -%g to %g", d.what, most, most), d.example}
	case digits != s && v != 0:
		v = -v
	}
	return v, nil
}

// parseNumber reads a number without sign in digits with a decimal point, and
// with an exponent where it is allowed. It is stricter than strconv, which
// also takes infinities, hexadecimals and underscores.
func parseNumber(s string, exponent bool) (float64, *fault) {
	m := mantissa(s)
	if m != s && (!exponent || !isExponent(s[len(m)+1:])) {
		return 0, diagnose(s, false)
	}
	whole, fraction, _ := strings.Cut(m, ".")
	if whole+fraction == "" || !digitsOnly(whole) || !digitsOnly(fraction) {
		return 0, diagnose(s, false)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		v = math.Inf(1) // the only error left is a number out of range
	}
	return v, nil
}

// mantissa is the part of a number before its exponent.
func mantissa(s string) string {
	if i := strings.IndexAny(s, "eE"); i >= 0 {
		return s[:i]
	}
	return s
}

func isExponent(s string) bool {
	if s != "" && (s[0] == '-' || s[0] == '+') {
		s = s[1:]
	}
	return s != "" && digitsOnly(s)
}

// digitsOnly reports whether s holds nothing but the digits 0 to 9.
func digitsOnly(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// month is the beginning of the name of a month in the languages in which
// spreadsheets most often turn numbers into dates.
const month = `(jan|feb|fév|mar|mär|apr|avr|abr|ma[iy]|mag|jun|jui|giu|jul|lug|aug|aoû|ago|sep|set|oct|okt|ott|nov|dec|dez|déc|dic|ene|gen)\p{L}*\.?`

// The ways in which spreadsheets and hands write what is not a plain number.
var (
	groupedNumber = regexp.MustCompile(`^[1-9][0-9]{0,2}([,.' \x{A0}\x{2009}\x{202F}’][0-9]{3})+([.,][0-9]+)?$`)
	commaNumber   = regexp.MustCompile(`^[0-9]*,[0-9]+$`)
	datedNumber   = regexp.MustCompile(`(?i)^([0-9]{1,2}[-./ ]+` + month + `([-./ ]+[0-9]{2,4})?|` + month + `[-./ ]*[0-9]{1,4}|` +
		`[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}([T ].*)?|[0-9]{1,2}[/.][0-9]{1,2}[/.][0-9]{2,4})$`)
)

// diagnose says why a cell is not a number, the likeliest cause first.
func diagnose(s string, count bool) *fault {
	sign := strings.TrimLeft(s, "-−")
	switch {
	case isSpreadsheetError(s):
		return spreadsheetFault()
	case datedNumber.MatchString(s):
		return datedFault()
	case strings.IndexFunc(s, func(r rune) bool { return r > unicode.MaxASCII && unicode.IsNumber(r) }) >= 0:
		return &fault{NonASCIIDigits, "the number is not written in the digits 0 to 9", "enter it in the digits 0 to 9"}
	case sign != s && sign != "" && strings.Trim(sign, "0123456789.,eE+-") == "":
		return &fault{Negative, "the number has a minus sign", "enter zero or a positive number"}
	case groupedNumber.MatchString(s):
		return thousands(s)
	case commaNumber.MatchString(s):
		return &fault{DecimalComma, "the number has a decimal comma", "write a decimal point: " + strings.Replace(s, ",", ".", 1)}
	case count && parsesAs(s):
		return &fault{NotANumber, "a count is written in plain digits", "write it out, such as 1000"}
	}
	return &fault{NotANumber, "this is not a number", "enter digits only, with a decimal point where needed, and put remarks into the note column"}
}

func parsesAs(s string) bool {
	m := mantissa(s)
	return m != s && m != "" && digitsOnly(strings.Replace(m, ".", "", 1)) && isExponent(s[len(m)+1:])
}

func thousands(s string) *fault {
	remedy := "write it without a mark between the digits"
	if strings.Count(s, ",") == 1 {
		remedy += ", or with a decimal point if the comma was one"
	}
	return &fault{ThousandsMark, "the mark may separate thousands or decimals", remedy}
}

func datedFault() *fault {
	return &fault{SpreadsheetDate, "the number was turned into a date, probably by a spreadsheet",
		"format the column as plain numbers and enter it again from the record"}
}

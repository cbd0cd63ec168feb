package workbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"
)

// Kind is what a cell holds.
type Kind uint8

// The kinds of cells.
const (
	Blank    Kind = iota
	Text          // as entered
	Number        // the shortest digits that give the stored number
	Shaped        // a number that the spreadsheet shows in another shape
	Percent       // a number that is shown as a percentage, a hundred times as large
	Date          // a day as ISO 8601, perhaps with a time; or a time alone
	Bool          // TRUE or FALSE
	Failed        // an error such as #REF!
	Unstored      // a formula without a stored result
)

// Cell is a cell of a sheet.
type Cell struct {
	Kind Kind
	Text string
}

// raw is a cell as it stands in the XML (18.3.1.4).
type raw struct {
	kind, value string
	style       int
	formula     bool
	inline      string // of an inline text
}

// cell turns a raw cell into what it holds.
func (b *Book) cell(r raw) (Cell, error) {
	if r.formula && r.value == "" && r.kind != "str" && r.kind != "inlineStr" {
		return Cell{Kind: Unstored}, nil
	}
	switch r.kind {
	case "s":
		if r.value == "" {
			return Cell{}, nil
		}
		at, err := strconv.Atoi(strings.TrimSpace(r.value))
		if err != nil || at < 0 || at >= len(b.texts) {
			return Cell{}, fmt.Errorf("%w: a cell refers to text %q of %d", ErrDamaged, r.value, len(b.texts))
		}
		return text(b.texts[at]), nil
	case "str":
		return text(unescaped(r.value)), nil
	case "inlineStr":
		return text(r.inline), nil
	case "b":
		if r.value == "" {
			return Cell{}, nil
		}
		return Cell{Bool, map[bool]string{true: "TRUE", false: "FALSE"}[isTrue(strings.TrimSpace(r.value))]}, nil
	case "e":
		return Cell{Failed, r.value}, nil
	case "d":
		day := strings.TrimSuffix(strings.TrimSuffix(r.value, "Z"), "T00:00:00")
		return Cell{Date, day}, nil
	case "", "n":
		return b.number(r), nil
	}
	return Cell{}, fmt.Errorf("%w: a cell is of the unknown type %q", ErrDamaged, r.kind)
}

func text(s string) Cell {
	if s == "" {
		return Cell{}
	}
	return Cell{Text, s}
}

// number reads a number, which may be the count of a day.
func (b *Book) number(r raw) Cell {
	value := strings.TrimSpace(r.value)
	if value == "" {
		return Cell{}
	}
	v, err := strconv.ParseFloat(value, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return Cell{Text, r.value} // no number: whoever wants one will say so
	}
	s := plain
	if r.style >= 0 && r.style < len(b.styles) {
		s = b.styles[r.style]
	}
	switch {
	case s == dayStyle && v >= 0 && v < lastDay && (b.from1904 || math.Floor(v) != leapBug):
		return Cell{Date, b.day(v)}
	case s == timeStyle && v >= 0 && v < lastDay:
		seconds := int64(math.Round(v * secondsPerDay))
		return Cell{Date, fmt.Sprintf("%02d:%02d:%02d", seconds/3600, seconds/60%60, seconds%60)}
	case s == percentStyle:
		return Cell{Percent, digits(v)}
	case s != plain:
		return Cell{Shaped, digits(v)}
	}
	return Cell{Number, digits(v)}
}

// digits returns the shortest digits that give v, without exponent but for
// numbers that are too large for anything.
func digits(v float64) string {
	if math.Abs(v) < 1e16 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

const (
	secondsPerDay = 24 * 60 * 60
	lastDay       = 2958466 // the day after 9999-12-31, counted from 1900
	leapBug       = 60      // 29 February 1900, which never was
	days1904      = 1462    // from 1900 to 1904 as days are counted here
)

// day returns a day count as ISO 8601, with the time if there is one. Day 1 is
// 1 January 1900, and day 60 never was; or day 0 is 1 January 1904 (18.17.4.1).
func (b *Book) day(v float64) string {
	total := int(math.Round(v * secondsPerDay))
	whole, seconds := total/secondsPerDay, total%secondsPerDay
	from := time.Date(1899, 12, 30, 0, 0, seconds, 0, time.UTC)
	switch {
	case b.from1904:
		whole += days1904
	case whole < leapBug:
		whole++
	}
	t := from.AddDate(0, 0, whole)
	if seconds == 0 {
		return t.Format(time.DateOnly)
	}
	return t.Format(time.DateTime)
}

// unescaped replaces the escapes of characters that XML cannot hold, such as
// _x000D_ (22.4.2.4). The escape of the low line itself protects a text that
// only looks like one.
func unescaped(s string) string {
	at := strings.Index(s, "_x")
	if at < 0 {
		return s
	}
	var out strings.Builder
	for ; at >= 0; at = strings.Index(s, "_x") {
		out.WriteString(s[:at])
		s = s[at:]
		const length = len("_x000D_")
		if len(s) < length || s[length-1] != '_' {
			out.WriteString(s[:2])
			s = s[2:]
			continue
		}
		code, err := strconv.ParseUint(s[2:length-1], 16, 16)
		if err != nil {
			out.WriteString(s[:2])
			s = s[2:]
			continue
		}
		r := rune(code)
		if utf16.IsSurrogate(r) {
			r = '\uFFFD'
		}
		out.WriteRune(r)
		s = s[length:]
	}
	out.WriteString(s)
	return out.String()
}

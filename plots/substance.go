package plots

import (
	"cmp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Substance names a concentration axis: "Amitraz (µg/vial)", also for a unit
// "ug/vial".
type Substance struct{ Acaricide, Unit string }

// withTexts returns the substance with its texts passed through a function.
func (s Substance) withTexts(do func(string) string) Substance {
	return Substance{do(s.Acaricide), do(s.Unit)}
}

// axisLabel names the concentration axis as it is printed, with the micro sign.
func (s Substance) axisLabel() string { return s.nameAxis(printedUnit(clean(s.Unit))) }

// axisWords names the concentration axis with the unit as it was entered.
func (s Substance) axisWords() string { return s.nameAxis(clean(s.Unit)) }

// unitWords is the unit as it was entered, after a space.
func (s Substance) unitWords() string {
	if u := clean(s.Unit); u != "" {
		return " " + u
	}
	return ""
}

// nameAxis names the concentration axis with the given unit, "" for none.
func (s Substance) nameAxis(unit string) string {
	name := capital(cmp.Or(clean(s.Acaricide), "concentration"))
	if unit != "" {
		name += " (" + unit + ")"
	}
	return name
}

// printedUnit writes a leading "ug" as "µg", unless it begins a longer word.
func printedUnit(unit string) string {
	rest, found := strings.CutPrefix(unit, "ug")
	if r, _ := utf8.DecodeRuneInString(rest); !found || unicode.IsLetter(r) {
		return unit
	}
	return "µg" + rest
}

// capital writes s with a capital.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

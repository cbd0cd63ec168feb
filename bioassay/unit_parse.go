package bioassay

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
)

// ErrAmbiguousUnit is wrapped by the error of a unit that has two meanings.
var ErrAmbiguousUnit = errors.New("the unit has two meanings")

// The parts of units, with their factors. The prefixes and symbols are those of
// the International System of Units, the containers those of the trade (common
// practice).
var (
	massParts   = map[string]float64{"pg": 1e-6, "ng": 1e-3, "ug": 1, "mg": 1e3, "g": 1e6}          // in ug
	moleParts   = map[string]float64{"pmol": 1e-3, "nmol": 1, "umol": 1e3, "mmol": 1e6, "mol": 1e9} // in nmol
	timeParts   = map[string]float64{"s": 1.0 / 3600, "min": 1.0 / 60, "h": 1, "d": 24}             // in h
	volumeParts = map[string]float64{"ul": 1e-3, "ml": 1, "l": 1e3, "cm3": 1, "m3": 1e6}            // in mL
	gramParts   = map[string]float64{"mg": 1e-3, "g": 1, "kg": 1e3}                                 // in g
	areaParts   = map[string]float64{"mm2": 1e-2, "cm2": 1, "dm2": 1e2, "m2": 1e4}                  // in cm2
	molarParts  = map[string]float64{"nM": 1e-3, "uM": 1, "mM": 1e3, "M": 1e6}                      // in nmol/mL
	shares      = map[string]float64{"ppm": 1, "%": 1e4}                                            // in ug/g or ug/mL
	containers  = map[string]string{
		"vial": "vial", "vials": "vial", "jar": "jar", "dish": "dish", "capsule": "capsule", "strip": "strip",
	}
	longNames = map[string]string{
		"sec": "s", "minute": "min", "minutes": "min", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "day": "d", "days": "d",
	}
)

var (
	signs    = strings.NewReplacer("µ", "u", "μ", "u", "²", "2", "³", "3", "⁻¹", "-1", "⁻", "-", "^", "", "·", " ", " per ", "/", "−", "-")
	inverse  = regexp.MustCompile(`^(\S+) ([a-zA-Z]+)([23]?)-([123])$`)
	molar    = regexp.MustCompile(`^([num]|mc)?M$`) // where case matters
	micro    = regexp.MustCompile(`\bmc(g|mol|l|M)\b`)
	slashes  = regexp.MustCompile(`\s*/\s*`)
	spaces   = regexp.MustCompile(`\s+`)
	byMass   = regexp.MustCompile(`^(ppm|%) ?\(?w/w\)?$`)
	byVolume = regexp.MustCompile(`^(ppm|%) ?\(?w/v\)?$`)
)

// spelled is a unit in the one spelling in which spellings are compared.
func spelled(text string) string {
	s := strings.TrimSpace(spaces.ReplaceAllString(signs.Replace(text), " "))
	if m := inverse.FindStringSubmatch(s); m != nil { // ug cm-2, ug vial-1
		s = m[1] + "/" + m[2]
		if m[4] != "1" {
			s += m[4]
		}
	}
	s = slashes.ReplaceAllString(s, "/")
	if !molar.MatchString(s) {
		s = strings.ToLower(s)
	}
	return micro.ReplaceAllString(s, "u$1")
}

// ParseUnit reads a unit such as "ug/vial", "µg/cm²", "mg/L", "ppm w/w", "mM"
// or "min". A bare ppm or percent sign, which may be by mass or by volume, wraps
// [ErrAmbiguousUnit].
func ParseUnit(text string) (Unit, error) {
	s := spelled(text)
	u := Unit{Text: text, Canonical: s}
	if m := byMass.FindStringSubmatch(s); m != nil {
		u.Canonical, u.Per, u.factor = m[1]+" w/w", PerMass, shares[m[1]]
		return u, nil
	}
	if m := byVolume.FindStringSubmatch(s); m != nil {
		u.Canonical, u.Per, u.factor = m[1]+" w/v", PerVolume, shares[m[1]]
		return u, nil
	}
	if _, ok := shares[s]; ok {
		return Unit{}, fmt.Errorf("unit %q: %w, w/w and w/v; write %q or %q, or let the protocol say which", text, ErrAmbiguousUnit, s+" w/w", s+" w/v")
	}
	if f, ok := molarParts[s]; ok {
		u.Amount, u.Per, u.factor = AmountSubstance, PerVolume, f
		return u, nil
	}
	if long, ok := longNames[s]; ok {
		s = long
	}
	if f, ok := timeParts[s]; ok {
		u.Canonical, u.Amount, u.factor = s, AmountTime, f
		return u, nil
	}
	return u.parseQuotient(s)
}

// parseQuotient reads an amount on something.
func (u Unit) parseQuotient(s string) (Unit, error) {
	above, below, _ := strings.Cut(s, "/")
	f, ok := massParts[above]
	if !ok {
		if f, ok = moleParts[above]; !ok {
			return Unit{}, fmt.Errorf("unit %q is not known; write a mass or moles on something, such as ug/vial, ug/cm2, ug/mL, ug/g or nmol/vial, or a time such as min", u.Text)
		}
		u.Amount = AmountSubstance
	}
	if below == "" {
		return Unit{}, fmt.Errorf("unit %q does not say on what; write for example %s/vial or %s/mL", u.Text, above, above)
	}
	if item, ok := containers[below]; ok {
		u.Per, u.Item, u.factor, u.Canonical = PerContainer, item, f, above+"/"+item
		return u, nil
	}
	for _, part := range []struct {
		per   Per
		parts map[string]float64
	}{{PerVolume, volumeParts}, {PerMass, gramParts}, {PerArea, areaParts}} {
		if g, ok := part.parts[below]; ok {
			u.Per, u.factor, u.Canonical = part.per, f/g, above+"/"+litres(below)
			return u, nil
		}
	}
	return Unit{}, fmt.Errorf("unit %q: %q is none of vial, jar, dish, capsule, strip, mL, L, g, kg, cm2, m2", u.Text, below)
}

// litres writes the litre with a capital, as it is easily taken for a one.
func litres(s string) string {
	if strings.HasSuffix(s, "l") {
		return s[:len(s)-1] + "L"
	}
	return s
}

// ParseUnit reads a unit as the protocol means it: a bare ppm is what the protocol
// says it is.
func (p Protocol) ParseUnit(text string) (Unit, error) {
	u, err := ParseUnit(text)
	if err != nil && errors.Is(err, ErrAmbiguousUnit) && p.PPM != PPMUnknown && spelled(text) == "ppm" {
		u, err = ParseUnit("ppm " + p.PPM.String())
		u.Text = text
	}
	return u, err
}

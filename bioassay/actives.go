package bioassay

import "strings"

// Molar is the molar mass of an active ingredient.
type Molar struct {
	Active       string // common name
	Formula      string
	GramsPerMole float64
}

// molars are the actives used against mites: formulas from memory, masses
// computed from them with the abridged standard atomic weights, also from
// memory. Oxalic acid is sold as dihydrate, so the name alone is the acid
// without water and the dihydrate has a row of its own.
var molars = []Molar{
	{"acrinathrin", "C26H21F6NO5", 541.44},
	{"amitraz", "C19H23N3", 293.41},
	{"coumaphos", "C14H16ClO5PS", 362.76},
	{"flumethrin", "C28H22Cl2FNO3", 510.39},
	{"formic acid", "CH2O2", 46.025},
	{"oxalic acid", "C2H2O4", 90.034},
	{"oxalic acid dihydrate", "C2H6O6", 126.06},
	{"tau-fluvalinate", "C26H22ClF3N2O3", 502.92},
	{"thymol", "C10H14O", 150.22},
}

// Molars returns the table of molar masses, by name.
func Molars() []Molar { return append([]Molar(nil), molars...) }

// MolarMass returns the molar mass of an active ingredient by its common name,
// whatever its case, with a space, hyphen or underscore between words.
func MolarMass(active string) (Molar, bool) {
	fold := strings.NewReplacer("-", " ", "_", " ")
	name := fold.Replace(strings.ToLower(strings.TrimSpace(active)))
	for _, m := range molars {
		if fold.Replace(m.Active) == name {
			return m, true
		}
	}
	return Molar{}, false
}

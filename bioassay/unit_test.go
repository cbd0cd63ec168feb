package bioassay

import (
	"errors"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func TestParseUnit(t *testing.T) {
	for text, want := range map[string]string{
		"ug/vial": "ug/vial", "µg/vial": "ug/vial", "μg/vial": "ug/vial", "mcg/vial": "ug/vial", "UG / Vial": "ug/vial",
		"ug per vial": "ug/vial", "ug vial-1": "ug/vial", "µg·vial⁻¹": "ug/vial", "ug/vials": "ug/vial",
		"ng/jar": "ng/jar", "mg/dish": "mg/dish", "ug/capsule": "ug/capsule", "mg/strip": "mg/strip",
		"µg/ml": "ug/mL", "mg/l": "mg/L", "mg L-1": "mg/L", "g/L": "g/L", "ug/g": "ug/g", "mg/kg": "mg/kg",
		"ug/cm²": "ug/cm2", "ug/cm^2": "ug/cm2", "µg cm⁻²": "ug/cm2", "mg/m2": "mg/m2", "ng/mm2": "ng/mm2",
		"nmol/vial": "nmol/vial", "µmol/L": "umol/L", "mM": "mM", "μM": "uM", "M": "M",
		"ppm w/w": "ppm w/w", "ppm (w/v)": "ppm w/v", "% w/v": "% w/v",
		"min": "min", "Minutes": "min", "h": "h", "hours": "h", " s ": "s", "d": "d",
	} {
		u, err := ParseUnit(text)
		if err != nil || u.Canonical != want || u.Text != text {
			t.Errorf("%q: %+v, %v", text, u, err)
			continue
		}
		again, err := ParseUnit(u.Canonical)
		if err != nil || !again.Same(u) || again.Canonical != u.Canonical {
			t.Errorf("%q: its own spelling %q reads as %+v, %v", text, u.Canonical, again, err)
		}
	}
	for _, bad := range []string{"", "ug", "drops", "ug/", "/vial", "ug/bee", "kg/vial/h", "MM", "ug/vial/mL", "2 ug/vial", "iu/mL"} {
		if u, err := ParseUnit(bad); err == nil {
			t.Errorf("%q read as %+v", bad, u)
		} else if !strings.Contains(err.Error(), strconv.Quote(bad)) {
			t.Errorf("%q: the error does not show it: %v", bad, err)
		}
	}
	for _, ambiguous := range []string{"ppm", "PPM", "%"} {
		if _, err := ParseUnit(ambiguous); !errors.Is(err, ErrAmbiguousUnit) {
			t.Errorf("%q: %v", ambiguous, err)
		}
	}
}

func TestProtocolSaysWhatPPMIs(t *testing.T) {
	for meaning, want := range map[PPM]string{PPMByMass: "ug/g", PPMByVolume: "ug/mL"} {
		u, err := Protocol{PPM: meaning}.ParseUnit("ppm")
		v, _ := ParseUnit(want)
		if err != nil || !u.Same(v) || u.Text != "ppm" {
			t.Errorf("ppm %v: %+v, %v", meaning, u, err)
		}
		if _, err := (Protocol{PPM: meaning}).ParseUnit("%"); !errors.Is(err, ErrAmbiguousUnit) {
			t.Errorf("%% %v: %v", meaning, err)
		}
	}
	if _, err := (Protocol{}).ParseUnit("ppm"); !errors.Is(err, ErrAmbiguousUnit) {
		t.Errorf("a protocol that does not say: %v", err)
	}
}

func TestSameUnit(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"ug/vial", "µg/vial", true}, {"µg/vial", "μg/vial", true}, {"mcg/mL", "mg/L", true}, {"ug/g", "mg/kg", true}, {"ug/g", "ppm w/w", true},
		{"uM", "umol/L", true}, {"ng/mm2", "mg/m2", true}, {"60 drops", "60 drops", true}, {"ppm", "PPM", true}, {"", "", true},
		{"ug/vial", "ng/vial", false}, {"ug/vial", "ug/dish", false}, {"ug/mL", "ug/g", false}, {"ppm", "ppm w/w", false},
		{"ug/vial", "nmol/vial", false}, {"min", "h", false}, {"drops", "drop", false}, {"", "ug/vial", false},
	} {
		if SameUnit(c.a, c.b) != c.want || SameUnit(c.b, c.a) != c.want {
			t.Errorf("%q and %q: want %v", c.a, c.b, c.want)
		}
	}
}

// TestConvert uses the definitions of the prefixes, and 0.29341 ug of amitraz
// in a nanomole (C19H23N3, see TestMolarMasses).
func TestConvert(t *testing.T) {
	for _, c := range []struct {
		value    float64
		from, to string
		want     float64
	}{
		{1.5, "ug/vial", "µg/vial", 1.5}, {1.5, "mg/vial", "ug/vial", 1500}, {250, "ng/vial", "ug/vial", 0.25},
		{1, "mg/L", "ug/mL", 1}, {1, "ug/uL", "mg/mL", 1}, {3, "mg/kg", "ppm w/w", 3}, {1, "% w/w", "mg/g", 10}, {1, "% w/v", "g/L", 10},
		{1, "ug/cm2", "mg/m2", 10}, {1, "ng/mm2", "ug/cm2", 0.1}, {90, "min", "h", 1.5}, {1, "d", "s", 86400},
		{1, "nmol/vial", "ug/vial", 0.29341}, {0.29341, "ug/vial", "nmol/vial", 1}, {1, "mM", "ug/mL", 293.41}, {1, "mM", "umol/mL", 1},
	} {
		got, err := Convert(c.value, c.from, c.to, "amitraz")
		if err != nil || !near(got, c.want) {
			t.Errorf("%g %s is %g %s, %v; want %g", c.value, c.from, got, c.to, err, c.want)
			continue
		}
		if back, err := Convert(got, c.to, c.from, "Amitraz"); err != nil || !near(back, c.value) {
			t.Errorf("%g %s and back: %g, %v", c.value, c.from, back, err)
		}
	}
	for _, c := range []struct{ from, to, active, want string }{
		{"ug/vial", "ug/cm2", "amitraz", "the treated area of a container is not known"},
		{"ug/mL", "ug/vial", "amitraz", "the volume put into a container is not known"},
		{"ug/g", "ug/vial", "amitraz", "the mass of the coating of a container is not known"},
		{"ug/vial", "ug/dish", "amitraz", "a vial is not a dish"},
		{"ug/vial", "nmol/vial", "", `the molar mass of "" is not known`},
		{"min", "ug/vial", "amitraz", "one is a time"},
		{"ppm", "ug/g", "amitraz", "two meanings"},
		{"ug/g", "drops", "amitraz", `"drops"`},
	} {
		if v, err := Convert(1, c.from, c.to, c.active); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s to %s: %g, %v", c.from, c.to, v, err)
		}
	}
}

// TestConversionByContainer goes by way of what one container holds: 20 cm2,
// 0.5 mL, 2 g.
func TestConversionByContainer(t *testing.T) {
	c := Conversion{Active: "amitraz", Container: Quantities{AreaCm2: 20, VolumeML: 0.5, MassG: 2}}
	for _, k := range []struct {
		from, to string
		want     float64
	}{
		{"ug/cm2", "ug/dish", 20}, {"ug/dish", "ug/cm2", 0.05}, {"ug/mL", "ug/dish", 0.5}, {"ug/g", "ug/dish", 2},
		{"ug/mL", "ug/cm2", 0.025}, {"nmol/mL", "ug/cm2", 0.025 * 0.29341},
	} {
		from, _ := ParseUnit(k.from)
		to, _ := ParseUnit(k.to)
		if got, err := c.Convert(1, from, to); err != nil || !near(got, k.want) {
			t.Errorf("%s to %s: %g, %v; want %g", k.from, k.to, got, err, k.want)
		}
	}
}

// TestMolarMasses computes every mass from its formula with the abridged
// standard atomic weights (IUPAC; from memory), to the digits that are kept.
func TestMolarMasses(t *testing.T) {
	weights := map[string]float64{
		"H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "F": 18.998, "P": 30.974, "S": 32.06, "Cl": 35.45,
	}
	element := regexp.MustCompile(`([A-Z][a-z]?)(\d*)`)
	for _, m := range Molars() {
		sum := 0.0
		for _, part := range element.FindAllStringSubmatch(m.Formula, -1) {
			n := 1
			if part[2] != "" {
				n, _ = strconv.Atoi(part[2])
			}
			if weights[part[1]] == 0 {
				t.Fatalf("%s: element %q", m.Active, part[1])
			}
			sum += float64(n) * weights[part[1]]
		}
		digits := 0.0051 // the masses have two decimals, those below 100 three
		if sum < 100 {
			digits = 0.00051
		}
		if math.Abs(sum-m.GramsPerMole) > digits {
			t.Errorf("%s, %s: %g, computed %.3f", m.Active, m.Formula, m.GramsPerMole, sum)
		}
	}
	for _, name := range []string{"Tau-Fluvalinate", "tau fluvalinate", "oxalic_acid"} {
		if _, ok := MolarMass(name); !ok {
			t.Errorf("%q is not known", name)
		}
	}
	if acid, _ := MolarMass("oxalic acid"); acid.GramsPerMole > 100 {
		t.Errorf("oxalic acid without its water has %g", acid.GramsPerMole)
	}
}

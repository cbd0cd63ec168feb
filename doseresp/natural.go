package doseresp

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// NaturalMode names how mortality without treatment enters the model.
type NaturalMode uint8

// The modes of natural mortality.
const (
	// Estimated fits C jointly with the line, controls in the data (Finney
	// 1971, chapter 7). C = 0 is a legal boundary value. Without controls
	// there is nothing to estimate it from and None is used.
	Estimated NaturalMode = iota
	// None sets C = 0 and leaves the controls out.
	None
	// Fixed sets C to a known value; controls stay in the likelihood.
	Fixed
	// AbbottCorrection corrects the proportions before the fit (Abbott 1925,
	// J. Econ. Entomol. 18:265-267), for comparison with older reports: its
	// limits ignore the uncertainty of C.
	AbbottCorrection
)

var naturalNames = [...]string{Estimated: "estimated", None: "none", Fixed: "fixed", AbbottCorrection: "abbott"}

// String returns the mode's name as flags and results spell it.
func (m NaturalMode) String() string { return nameOf(naturalNames[:], m) }

// NaturalMortality chooses the mode, with the value of C where it is Fixed.
type NaturalMortality struct {
	Mode  NaturalMode
	Value float64 // used by Fixed, in [0, 1)
}

// ParseNaturalMortality reads "estimated", "none", "abbott" or "fixed:C" with
// C in [0, 1).
func ParseNaturalMortality(text string) (NaturalMortality, error) {
	name, value, hasValue := strings.Cut(text, ":")
	mode, err := parseName[NaturalMode](naturalNames[:], name, "natural mortality")
	switch {
	case err != nil:
		return NaturalMortality{}, fmt.Errorf("%w (fixed takes its value as fixed:0.05)", err)
	case mode == Fixed && !hasValue:
		return NaturalMortality{}, fmt.Errorf("natural mortality %q lacks its value; write for example fixed:0.05", text)
	case mode != Fixed && hasValue:
		return NaturalMortality{}, fmt.Errorf("natural mortality %q takes no value", name)
	case mode != Fixed:
		return NaturalMortality{Mode: mode}, nil
	}
	c, err := strconv.ParseFloat(value, 64)
	if err != nil || !(c >= 0 && c < 1) {
		return NaturalMortality{}, fmt.Errorf("natural mortality %q: the value must be a proportion, at least 0 and below 1", text)
	}
	return NaturalMortality{Mode: Fixed, Value: c}, nil
}

// Abbott returns the mortality due to the treatment, (p - c)/(1 - c), when p
// died with treatment and c without (Abbott 1925, J. Econ. Entomol.
// 18:265-267). It is negative when fewer died with treatment. Both are
// proportions and c is below 1, or the result is NaN.
func Abbott(p, c float64) float64 {
	if !(p >= 0 && p <= 1 && c >= 0 && c < 1) {
		return math.NaN()
	}
	return (p - c) / (1 - c)
}

// NaturalResult is the natural mortality that a fit used.
type NaturalResult struct {
	Mode     NaturalMode // after Estimated without controls has become None
	Estimate float64     // C
	StdErr   float64     // NaN unless C was estimated and lies above 0
	Boundary bool        // C was estimated and is 0, the edge of its domain
}

// naturalMode resolves what was asked for against what the data hold.
func (d *design) naturalMode(n NaturalMortality) NaturalMortality {
	switch n.Mode {
	case Estimated, AbbottCorrection:
		if d.controls == 0 {
			return NaturalMortality{Mode: None}
		}
	case Fixed:
		if n.Value == 0 && d.control.dead > 0 {
			// C = 0 forbids any control death, so the controls can say nothing.
			return NaturalMortality{Mode: None}
		}
	}
	return n
}

// correct applies Abbott's formula to every treated container; corrected
// proportions below 0 count as 0 and the numbers exposed stay as they were.
func (d *design) correct(c float64) {
	for i := range d.treated {
		d.treated[i].dead = 0
	}
	g := 0
	for _, k := range d.treatedContainers() {
		if d.treated[g].dose != k.Dose {
			g++
		}
		d.treated[g].dead += correctedDead(k, c)
	}
}

// correctedDead is the fractional number that the treatment killed.
func correctedDead(k Container, c float64) float64 {
	n := float64(k.Exposed)
	return n * max(0, Abbott(float64(k.Dead)/n, c))
}

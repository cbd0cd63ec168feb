package bioassay

import (
	"fmt"
	"math"
)

// Amount is what a unit counts.
type Amount uint8

// The amounts.
const (
	AmountMass      Amount = iota // of active ingredient
	AmountSubstance               // moles of it
	AmountTime                    // of exposure
)

// Per is what a unit counts it on.
type Per uint8

// What an amount is counted on.
const (
	PerNothing   Per = iota // times only
	PerContainer            // one vial, jar, dish, capsule or strip
	PerVolume               // of solution or air
	PerMass                 // of coating, paraffin or the like
	PerArea                 // of treated surface
)

// Unit is a unit of what the treated containers of an assay differ in.
type Unit struct {
	Text      string // as entered
	Canonical string // as this program writes it, such as "ug/vial"
	Amount    Amount
	Per       Per
	Item      string  // of PerContainer: vial, jar, dish, capsule or strip
	factor    float64 // of one unit in ug, nmol or h, per item, mL, g or cm2
}

// Quantities are what one container holds, zero where unknown. They turn one
// kind of unit into another.
type Quantities struct {
	AreaCm2, VolumeML, MassG float64
}

// sameFactor is the relative difference up to which two factors are the same
// number, rounding apart.
const sameFactor = 1e-12

// Same reports whether the same number means the same thing in both units, as
// in ug/mL and mg/L.
func (u Unit) Same(v Unit) bool {
	return u.SameKind(v) && math.Abs(u.factor-v.factor) <= sameFactor*math.Max(u.factor, v.factor)
}

// SameKind reports whether the units differ by a fixed factor at most.
func (u Unit) SameKind(v Unit) bool {
	return u.Amount == v.Amount && u.Per == v.Per && u.Item == v.Item
}

// SameUnit reports whether two units as entered are the same: that they are
// spelled alike, with either micro sign, u or mc for micro, or that the same
// number means the same in both. Units that cannot be read are the same only
// when they are spelled alike.
func SameUnit(a, b string) bool {
	if a == b || spelled(a) == spelled(b) {
		return true
	}
	u, errU := ParseUnit(a)
	v, errV := ParseUnit(b)
	return errU == nil && errV == nil && u.Same(v)
}

// Convert returns a value in another unit. Masses turn into moles and back by
// the molar mass of the active ingredient; anything else that the value alone
// does not tell is an error that names what is missing.
func Convert(value float64, from, to, active string) (float64, error) {
	u, err := ParseUnit(from)
	if err != nil {
		return 0, err
	}
	v, err := ParseUnit(to)
	if err != nil {
		return 0, err
	}
	return Conversion{Active: active}.Convert(value, u, v)
}

// Conversion is what may be known besides a value and its unit.
type Conversion struct {
	Active    string // common name, for the molar mass
	Container Quantities
}

// Convert returns a value in another unit, by way of the amount in one
// container where the units count on different things. It fails where a
// quantity that this takes is not known.
func (c Conversion) Convert(value float64, from, to Unit) (float64, error) {
	factor, err := c.factor(from, to)
	if err != nil {
		return 0, fmt.Errorf("%s cannot be turned into %s: %w", from.Canonical, to.Canonical, err)
	}
	return value * factor, nil
}

func (c Conversion) factor(from, to Unit) (float64, error) {
	if (from.Amount == AmountTime) != (to.Amount == AmountTime) {
		return 0, fmt.Errorf("one is a time and the other a dose")
	}
	f := from.factor / to.factor
	if from.Amount != to.Amount {
		m, ok := MolarMass(c.Active)
		if !ok {
			return 0, fmt.Errorf("the molar mass of %q is not known", c.Active)
		}
		if from.Amount == AmountMass {
			f *= 1000 / m.GramsPerMole // ug to nmol
		} else {
			f *= m.GramsPerMole / 1000
		}
	}
	if from.Per == to.Per && from.Item == to.Item {
		return f, nil
	}
	if from.Per == PerContainer && to.Per == PerContainer {
		return 0, fmt.Errorf("a %s is not a %s; the two are different protocols", from.Item, to.Item)
	}
	a, err := c.perContainer(from.Per)
	if err != nil {
		return 0, err
	}
	b, err := c.perContainer(to.Per)
	if err != nil {
		return 0, err
	}
	return f * a / b, nil
}

// perContainer is how many mL, g or cm2 make one container.
func (c Conversion) perContainer(p Per) (float64, error) {
	q, what := 1.0, ""
	switch p {
	case PerArea:
		q, what = c.Container.AreaCm2, "the treated area of a container"
	case PerVolume:
		q, what = c.Container.VolumeML, "the volume put into a container"
	case PerMass:
		q, what = c.Container.MassG, "the mass of the coating of a container"
	}
	if !(q > 0) {
		return 0, fmt.Errorf("%s is not known", what)
	}
	return q, nil
}

package bioassay

import (
	"fmt"

	"vialwise/doseresp"
)

// Assay is one dose-response test: one acaricide on the mites of one
// population, under one protocol. All its containers share these fields.
type Assay struct {
	Name          string
	Apiary        string // code of the apiary, see [Apiary]
	Population    string // name of the sampled population within it
	Role          Role
	CollectedOn   Date   // zero when not recorded
	TestedOn      Date   // zero when not recorded
	Acaricide     string // active ingredient, never a trade name
	Protocol      string
	Unit          string   // of every concentration of the assay
	ExposureHours Optional // time in the treated container
	ReadingHours  Optional // time from the start to the reading
	Containers    []Container
}

// Role is what an assay is for in a comparison.
type Role uint8

// The roles. An assay is a field assay unless it says that it is a baseline.
const (
	RoleField    Role = iota // mites whose susceptibility is in question
	RoleBaseline             // susceptible mites to compare against
)

// String returns the word used in tables, "field" or "baseline".
func (r Role) String() string {
	if r == RoleBaseline {
		return "baseline"
	}
	return "field"
}

// ParseRole reads "field" or "baseline".
func ParseRole(s string) (Role, error) {
	switch s {
	case "field":
		return RoleField, nil
	case "baseline":
		return RoleBaseline, nil
	}
	return RoleField, fmt.Errorf("role %q is neither field nor baseline", s)
}

// MarshalText returns the word used in tables.
func (r Role) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (r *Role) UnmarshalText(text []byte) (err error) {
	*r, err = ParseRole(string(text))
	return err
}

// Controls returns the untreated containers in their order.
func (a Assay) Controls() []Container { return a.pick(true) }

// Treated returns the containers with acaricide in their order.
func (a Assay) Treated() []Container { return a.pick(false) }

func (a Assay) pick(control bool) []Container {
	var picked []Container
	for _, c := range a.Containers {
		if c.IsControl() == control {
			picked = append(picked, c)
		}
	}
	return picked
}

// Exposed is the number of mites behind the assay, treated and controls
// together, without those that went missing.
func (a Assay) Exposed() int {
	n := 0
	for _, c := range a.Containers {
		n += c.AtRisk()
	}
	return n
}

// Counts returns what a fit takes from every container, in order: the mites
// at risk and, of these, the dead, moribund ones among them as the rule says.
func (a Assay) Counts(rule Moribund) []doseresp.Container {
	counts := make([]doseresp.Container, len(a.Containers))
	for i, c := range a.Containers {
		counts[i] = doseresp.Container{Dose: c.Concentration, Exposed: c.AtRisk(), Dead: c.Dead}
		if rule.AsDead() {
			counts[i].Dead += c.Moribund
		}
	}
	return counts
}

// File is the file that the assay was read from, blank when from none.
func (a Assay) File() string {
	if len(a.Containers) == 0 {
		return ""
	}
	return a.Containers[0].Source.File
}

// Tested returns the population that the assay speaks for.
func (a Assay) Tested() Population { return Population{Apiary: a.Apiary, Name: a.Population} }

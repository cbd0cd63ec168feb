package registry

import (
	"fmt"
	"strconv"

	"vialwise/bioassay"
)

// field is a property of a T under the name of its column in the tables that
// people exchange.
type field[T any] struct {
	name string
	text func(*T) string
}

// assayFields are the properties that all containers of an assay share, but
// for its name.
var assayFields = []field[bioassay.Assay]{
	{"apiary", func(a *bioassay.Assay) string { return a.Apiary }},
	{"population", func(a *bioassay.Assay) string { return a.Population }},
	{"role", func(a *bioassay.Assay) string { return a.Role.String() }},
	{"collected_on", func(a *bioassay.Assay) string { return a.CollectedOn.String() }},
	{"tested_on", func(a *bioassay.Assay) string { return a.TestedOn.String() }},
	{"acaricide", func(a *bioassay.Assay) string { return a.Acaricide }},
	{"protocol", func(a *bioassay.Assay) string { return a.Protocol }},
	{"unit", func(a *bioassay.Assay) string { return a.Unit }},
	{"exposure_h", func(a *bioassay.Assay) string { return optionalText(a.ExposureHours) }},
	{"reading_h", func(a *bioassay.Assay) string { return optionalText(a.ReadingHours) }},
}

// containerFields are the properties of a container that count as content.
var containerFields = []field[bioassay.Container]{
	{"container", func(c *bioassay.Container) string { return c.Label }},
	{"concentration", func(c *bioassay.Container) string { return strconv.FormatFloat(c.Concentration, 'g', -1, 64) }},
	{"exposed", func(c *bioassay.Container) string { return strconv.Itoa(c.Exposed) }},
	{"dead", func(c *bioassay.Container) string { return strconv.Itoa(c.Dead) }},
	{"moribund", func(c *bioassay.Container) string { return strconv.Itoa(c.Moribund) }},
	{"missing", func(c *bioassay.Container) string { return strconv.Itoa(c.Missing) }},
	{"mite_source", func(c *bioassay.Container) string { return c.MiteSource }},
	{"capped_brood", func(c *bioassay.Container) string { return c.CappedBrood.String() }},
	{"tested_blind", func(c *bioassay.Container) string { return c.TestedBlind.String() }},
	{"note", func(c *bioassay.Container) string { return c.Note }},
	{"other columns", func(c *bioassay.Container) string { return extraText(c.Extra) }},
}

var apiaryFields = []field[bioassay.Apiary]{
	{"region", func(a *bioassay.Apiary) string { return a.Region }},
	{"latitude", func(a *bioassay.Apiary) string { return optionalText(a.Latitude) }},
	{"longitude", func(a *bioassay.Apiary) string { return optionalText(a.Longitude) }},
	{"contact_code", func(a *bioassay.Apiary) string { return a.ContactCode }},
	{"other columns", func(a *bioassay.Apiary) string { return extraText(a.Extra) }},
}

// summary says what a container holds in a few words, for one that stands in
// one of two versions only.
func summary(c *bioassay.Container) string {
	s := fmt.Sprintf("concentration %g, exposed %d, dead %d", c.Concentration, c.Exposed, c.Dead)
	if c.Moribund > 0 {
		s += fmt.Sprintf(", moribund %d", c.Moribund)
	}
	if c.Missing > 0 {
		s += fmt.Sprintf(", missing %d", c.Missing)
	}
	return s
}

// parseAnswer reads the word for an answer.
func parseAnswer(s string) (bioassay.Answer, error) {
	for _, a := range []bioassay.Answer{bioassay.Unanswered, bioassay.No, bioassay.Yes} {
		if s == a.String() {
			return a, nil
		}
	}
	return bioassay.Unanswered, fmt.Errorf("answer %q is neither yes nor no", s)
}

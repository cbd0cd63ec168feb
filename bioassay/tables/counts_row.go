package tables

import (
	"fmt"

	"vialwise/bioassay"
)

// read parses a cell of a known column into target. A blank cell leaves the
// target as it is.
func read[T any](c *counts, column int, target *T, parse func(string) (T, *fault)) {
	text := c.cell(column)
	if text == "" {
		return
	}
	v, f := parse(text)
	if f != nil {
		c.refuse(column, f)
		return
	}
	*target = v
}

// container reads the fields of the row that belong to its container.
func (c *counts) container() bioassay.Container {
	v := bioassay.Container{Source: bioassay.Origin{File: c.file, Line: c.line}}
	read(c, colContainer, &v.Label, parseText)
	read(c, colConcentration, &v.Concentration, parseConcentration)
	read(c, colMiteSource, &v.MiteSource, parseText)
	read(c, colCappedBrood, &v.CappedBrood, parseAnswer)
	read(c, colTestedBlind, &v.TestedBlind, parseAnswer)
	read(c, colNote, &v.Note, parseText)
	c.numbers(&v)
	v.ConcentrationText = c.keep(c.cell(colConcentration))
	v.Label, v.MiteSource, v.Note = c.keep(v.Label), c.keep(v.MiteSource), c.keep(v.Note)
	for _, cell := range c.header.unknown {
		if text := c.cells[cell]; text != "" {
			v.Extra = append(v.Extra, bioassay.Field{Name: c.header.names[cell], Value: c.keep(text)})
		}
	}
	return v
}

// numbers reads the counts of the row and compares them.
func (c *counts) numbers(v *bioassay.Container) {
	before := len(c.errs)
	for _, column := range []int{colConcentration, colExposed, colDead} {
		if c.cell(column) == "" {
			c.refuse(column, &fault{MissingValue, "the cell is empty", missingRemedy[column]})
		}
	}
	read(c, colExposed, &v.Exposed, parseCount)
	read(c, colDead, &v.Dead, parseCount)
	read(c, colMoribund, &v.Moribund, parseCount)
	read(c, colMissing, &v.Missing, parseCount)
	if len(c.errs) > before {
		return
	}
	switch sum := int64(v.Dead) + int64(v.Moribund) + int64(v.Missing); {
	case v.Dead > v.Exposed:
		c.refuse(colDead, &fault{DeadAboveExposed, fmt.Sprintf("more dead than exposed (%d)", v.Exposed), "correct one of the two counts"})
	case sum > int64(v.Exposed):
		c.refuse(colDead, &fault{DeadAboveExposed,
			fmt.Sprintf("%d dead, %d moribund and %d missing are more than the %d exposed", v.Dead, v.Moribund, v.Missing, v.Exposed),
			"correct the counts; a moribund mite is not counted as dead again"})
	}
}

var missingRemedy = map[int]string{
	colConcentration: "enter the concentration, 0 for an untreated control",
	colExposed:       "enter the number of mites put in",
	colDead:          "enter the number of dead mites, 0 if all lived; leave out a container that was not read",
}

// shared reads the fields that belong to the whole assay.
func (c *counts) shared(a *gathered) {
	share(c, a, colApiary, &a.Apiary, parseText)
	share(c, a, colPopulation, &a.Population, parseText)
	share(c, a, colRole, &a.Role, parseRole)
	share(c, a, colCollectedOn, &a.CollectedOn, parseDate)
	share(c, a, colTestedOn, &a.TestedOn, parseDate)
	share(c, a, colAcaricide, &a.Acaricide, parseText)
	share(c, a, colProtocol, &a.Protocol, parseText)
	share(c, a, colUnit, &a.Unit, parseText)
	share(c, a, colExposureHours, &a.ExposureHours, parseKnownHours)
	share(c, a, colReadingHours, &a.ReadingHours, parseKnownHours)
}

// share reads a field of the assay. The first filled cell sets it, blank ones
// inherit it, and a different one is an error that names both lines.
func share[T comparable](c *counts, a *gathered, column int, target *T, parse func(string) (T, *fault)) {
	text := c.cell(column)
	if text == "" || text == a.text[column] {
		return
	}
	text = c.keep(text) // before parsing, which may hand back its argument
	v, f := parse(text)
	switch {
	case f != nil:
		c.refuse(column, f)
	case a.line[column] == 0:
		*target, a.text[column], a.line[column] = v, text, c.line
	case v != *target:
		c.refuse(column, &fault{ConflictingField,
			fmt.Sprintf("differs from %s on line %d of the same assay, %s", quoted(a.text[column]), a.line[column], quoted(a.Name)),
			"make the two rows agree, or give one of them another assay name"})
	}
}

func parseKnownHours(s string) (bioassay.Optional, *fault) {
	hours, f := parseHours(s)
	return bioassay.Known(hours), f
}

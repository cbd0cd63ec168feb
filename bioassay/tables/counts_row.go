package tables

import (
	"fmt"
	"slices"

	"vialwise/bioassay"
)

// read reads a cell of a known column into target. A blank cell leaves the
// target as it is.
func read[T any](c *counts, column int, target *T, reader func(*sheet, int) (T, *fault)) {
	at := c.header.place[column]
	if at < 0 || c.cells[at] == "" {
		return
	}
	v, f := reader(c.sheet, at)
	if f != nil {
		c.refuse(column, f)
		return
	}
	*target = v
}

// container reads the fields of the row that belong to its container.
func (c *counts) container() bioassay.Container {
	v := bioassay.Container{Source: bioassay.Origin{File: c.file, Line: c.line}}
	read(c, colContainer, &v.Label, label)
	read(c, colConcentration, &v.Concentration, concentration)
	read(c, colMiteSource, &v.MiteSource, label)
	read(c, colCappedBrood, &v.CappedBrood, answer)
	read(c, colTestedBlind, &v.TestedBlind, answer)
	read(c, colNote, &v.Note, remark)
	c.numbers(&v)
	v.ConcentrationText = c.keep(c.cell(colConcentration))
	v.Label, v.MiteSource, v.Note = c.keep(v.Label), c.keep(v.MiteSource), c.keep(v.Note)
	v.Extra = c.extras()
	return v
}

// extras reads the filled cells of unknown columns. Rows that have the same
// ones share them.
func (c *counts) extras() []bioassay.Field {
	if len(c.header.unknown) == 0 {
		return nil
	}
	var row []bioassay.Field
	same := 0
	for _, cell := range c.header.unknown {
		text := c.cells[cell]
		if text == "" {
			continue
		}
		if len(c.header.unread) > 0 {
			c.lookAtUnknown(cell, text)
		}
		if c.book != nil || text[0] == '\'' {
			if bare, f := remark(c.sheet, cell); f == nil { // an error of a spreadsheet is kept: nobody uses the cell
				text = bare
			}
		}
		name := c.header.names[cell]
		if row == nil && same < len(c.extra) && c.extra[same] == (bioassay.Field{Name: name, Value: text}) {
			same++
			continue
		}
		if row == nil {
			row = append(make([]bioassay.Field, 0, len(c.header.unknown)), c.extra[:same]...)
		}
		row = append(row, bioassay.Field{Name: name, Value: c.keep(text)})
	}
	switch {
	case row == nil && same == 0:
		return nil
	case row == nil && same < len(c.extra):
		row = append([]bioassay.Field(nil), c.extra[:same]...)
	case row == nil:
		return c.extra
	}
	c.extra = row[:len(row):len(row)]
	return c.extra
}

// numbers reads the counts of the row and compares them.
func (c *counts) numbers(v *bioassay.Container) {
	before := len(c.errs)
	if c.cell(colConcentration) == "" && slices.Contains(totalWords, keyOf(c.cell(colAssay))) {
		c.refuse(colConcentration, totalFault(MissingValue))
		return
	}
	for _, column := range []int{colConcentration, colExposed, colDead} {
		if c.cell(column) == "" {
			c.refuse(column, &fault{MissingValue, "the cell is empty", missingRemedy[column]})
		}
	}
	read(c, colExposed, &v.Exposed, count)
	read(c, colDead, &v.Dead, count)
	read(c, colMoribund, &v.Moribund, count)
	read(c, colMissing, &v.Missing, count)
	if len(c.errs) > before {
		return
	}
	for _, column := range []int{colMoribund, colMissing} {
		c.looked[column] = c.looked[column] || c.cell(column) != ""
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
	share(c, a, colApiary, &a.Apiary, label)
	share(c, a, colPopulation, &a.Population, label)
	share(c, a, colRole, &a.Role, role)
	share(c, a, colCollectedOn, &a.CollectedOn, date)
	share(c, a, colTestedOn, &a.TestedOn, date)
	share(c, a, colAcaricide, &a.Acaricide, label)
	share(c, a, colProtocol, &a.Protocol, label)
	share(c, a, colUnit, &a.Unit, label)
	share(c, a, colExposureHours, &a.ExposureHours, hours)
	share(c, a, colReadingHours, &a.ReadingHours, hours)
	c.headerUnit(a)
}

// share reads a field of the assay. The first filled cell sets it, blank ones
// inherit it, and a different one is an error that names both lines. A cell
// that reads like the one above it need not be read again.
func share[T comparable](c *counts, a *gathered, column int, target *T, reader func(*sheet, int) (T, *fault)) {
	text := c.cell(column)
	if text == "" || text == c.texts[column] && !c.needsReading(column) {
		return
	}
	before := c.noted
	v, f := reader(c.sheet, c.header.place[column])
	switch {
	case f != nil:
		c.refuse(column, f)
		return
	case a.line[column] == 0:
		*target, a.line[column] = kept(c, v), int32(c.line)
	case v != *target:
		c.refuse(column, conflict(a, column))
		return
	}
	c.texts[column], c.taken[column] = text, c.noted > before
}

// needsReading reports whether a cell that reads like the one above it is to be
// read nevertheless: to be counted as that one was, or because a workbook stores
// in it something else than text.
func (c *counts) needsReading(column int) bool {
	return c.taken[column] || c.book != nil && !c.book.isText(c.header.place[column])
}

// kept is a value that does not hold the row in memory.
func kept[T comparable](c *counts, v T) T {
	if text, ok := any(v).(string); ok {
		return any(c.keep(text)).(T)
	}
	return v
}

// conflict is the fault of a field that differs from that of an earlier row.
func conflict(a *gathered, column int) *fault {
	return &fault{ConflictingField,
		fmt.Sprintf("differs from %s on line %d of the same assay, %s", quoted(cellText(&a.Assay, nil, column)), a.line[column], quoted(a.Name)),
		"make the two rows agree, or give one of them another assay name"}
}

// headerUnit takes the unit in the brackets behind the name of the measured
// column for an assay that names none.
func (c *counts) headerUnit(a *gathered) {
	unit := c.header.unit
	switch {
	case unit == "" || c.cell(colConcentration) == "":
	case a.line[colUnit] == 0:
		a.Unit, a.line[colUnit] = unit, int32(c.headerRow)
		c.note(UnitFromHeader, c.header.unitCell, c.header.names[c.header.unitCell], unit)
	case a.Unit != unit:
		at := c.header.place[colUnit]
		f := conflict(a, colUnit)
		if at >= 0 {
			f.message = fmt.Sprintf("the header names the unit %s", quoted(unit))
			f.remedy = "make the header and the column unit agree"
			c.fail(at, f)
		}
	}
}

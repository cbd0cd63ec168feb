package tables

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"

	"vialwise/bioassay"
)

// Write writes assays as a count table in canonical form, comma-separated and
// in UTF-8: the columns that are in use in their fixed order, then the unknown
// ones by name, one row for each container, the assays one after the other.
// Equal assays give equal bytes. A text that a spreadsheet would take for a
// formula gets an apostrophe before it, which [Read] takes off again.
//
// Before anything reaches w the table is read back, and an assay that would
// not come back as it is, but for its origins, is an error. Such are an assay
// without containers, two of the same name, impossible counts, and texts with
// surrounding spaces.
func Write(w io.Writer, assays []bioassay.Assay) error {
	return writeChecked(w, assays, func(assays []bioassay.Assay) ([]byte, error) { return format(assays, nil) })
}

// WriteTable writes the assays of a table in the same form, and keeps the columns
// moribund and missing where somebody entered that there was none.
func WriteTable(w io.Writer, t *Table) error {
	return writeChecked(w, t.Assays, func(assays []bioassay.Assay) ([]byte, error) { return format(assays, t.Looked) })
}

// writeChecked writes what a format makes of assays, once it has been read back.
func writeChecked(w io.Writer, assays []bioassay.Assay, format func([]bioassay.Assay) ([]byte, error)) error {
	text, err := format(assays)
	if err != nil {
		return err
	}
	back, err := Read("table to be written", bytes.NewReader(text))
	if err != nil {
		return fmt.Errorf("the assays do not make a count table: %w", err)
	}
	for i, a := range assays {
		if i >= len(back.Assays) || !reflect.DeepEqual(bare(a), bare(back.Assays[i])) {
			return fmt.Errorf("assay %s cannot be written: a count table would read it differently; give each assay a name of its own, at least one container, and texts without surrounding spaces", quoted(a.Name))
		}
	}
	_, err = w.Write(text)
	return err
}

// bare is an assay without its origins and spellings, which depend on the file.
func bare(a bioassay.Assay) bioassay.Assay {
	a.Containers = slices.Clone(a.Containers)
	for i := range a.Containers {
		c := &a.Containers[i]
		c.Source, c.ConcentrationText = bioassay.Origin{}, ""
		if len(c.Extra) == 0 {
			c.Extra = nil
		}
	}
	return a
}

// format returns the table as text, whether it can be read back or not.
func format(assays []bioassay.Assay, looked []string) ([]byte, error) {
	used, extra := columnsInUse(assays, looked)
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	row := make([]string, 0, countColumns+len(extra))
	for _, column := range used {
		row = append(row, countNames[column])
	}
	for _, name := range extra {
		row = append(row, protected(name))
	}
	if err := w.Write(row); err != nil {
		return nil, fmt.Errorf("header: %w", err)
	}
	for i := range assays {
		a := &assays[i]
		for j := range a.Containers {
			c := &a.Containers[j]
			row = row[:0]
			for _, column := range used {
				row = append(row, protectedIf(isText(column), cellText(a, c, column)))
			}
			for _, name := range extra {
				row = append(row, protected(extraText(c, name)))
			}
			if err := w.Write(row); err != nil {
				return nil, fmt.Errorf("assay %s, container %d: %w", quoted(a.Name), j+1, err)
			}
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

// columnsInUse returns the known columns with a filled cell, or that must be
// there or were looked for, and the names of the unknown ones.
func columnsInUse(assays []bioassay.Assay, looked []string) (used []int, extra []string) {
	names := map[string]bool{}
	var filled [countColumns]bool
	for i := range assays {
		a := &assays[i]
		for j := range a.Containers {
			c := &a.Containers[j]
			for column := range filled {
				filled[column] = filled[column] || !isDefault(a, c, column)
			}
			for _, f := range c.Extra {
				names[f.Name] = true
			}
		}
	}
	for column, name := range countNames {
		if filled[column] || slices.Contains(countRequired, name) || slices.Contains(looked, name) {
			used = append(used, column)
		}
	}
	for name := range names {
		extra = append(extra, name)
	}
	slices.Sort(extra)
	return used, extra
}

// isDefault reports whether a cell says no more than its absence would.
func isDefault(a *bioassay.Assay, c *bioassay.Container, column int) bool {
	switch column {
	case colRole:
		return a.Role == bioassay.RoleField
	case colMoribund:
		return c.Moribund == 0
	case colMissing:
		return c.Missing == 0
	case colAssay, colConcentration, colExposed, colDead:
		return false
	}
	return cellText(a, c, column) == ""
}

// cellText returns a cell in canonical form.
func cellText(a *bioassay.Assay, c *bioassay.Container, column int) string {
	switch column {
	case colAssay:
		return a.Name
	case colApiary:
		return a.Apiary
	case colPopulation:
		return a.Population
	case colRole:
		return a.Role.String()
	case colCollectedOn:
		return a.CollectedOn.String()
	case colTestedOn:
		return a.TestedOn.String()
	case colAcaricide:
		return a.Acaricide
	case colProtocol:
		return a.Protocol
	case colUnit:
		return a.Unit
	case colExposureHours:
		return hoursText(a.ExposureHours)
	case colReadingHours:
		return hoursText(a.ReadingHours)
	}
	return containerText(c, column)
}

func containerText(c *bioassay.Container, column int) string {
	switch column {
	case colContainer:
		return c.Label
	case colConcentration:
		return concentrationText(c)
	case colExposed:
		return strconv.Itoa(c.Exposed)
	case colDead:
		return strconv.Itoa(c.Dead)
	case colMoribund:
		return strconv.Itoa(c.Moribund)
	case colMissing:
		return strconv.Itoa(c.Missing)
	case colMiteSource:
		return c.MiteSource
	case colCappedBrood:
		return c.CappedBrood.String()
	case colTestedBlind:
		return c.TestedBlind.String()
	}
	return c.Note
}

func hoursText(h bioassay.Optional) string {
	if !h.Known {
		return ""
	}
	return strconv.FormatFloat(h.Value, 'f', -1, 64)
}

// concentrationText returns the concentration as it was entered, but with a
// decimal point, or, if it was
// computed or changed since, the shortest digits that give the same number.
func concentrationText(c *bioassay.Container) string {
	_, plain, _, _ := decimalMark(c.ConcentrationText)
	if v, f := parseConcentration(plain); f == nil && v == c.Concentration {
		return plain
	}
	return strconv.FormatFloat(c.Concentration, 'g', -1, 64)
}

func extraText(c *bioassay.Container, name string) string {
	for _, f := range c.Extra {
		if f.Name == name {
			return f.Value
		}
	}
	return ""
}

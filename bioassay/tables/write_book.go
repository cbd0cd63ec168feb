package tables

import (
	"bytes"
	"fmt"
	"io"

	"vialwise/bioassay"
	"vialwise/bioassay/tables/workbook"
)

// WriteWorkbook writes assays as [Write] does, as a workbook with one sheet,
// "counts": numbers as numbers, days as days, everything else as text. What is
// lost is how a concentration was spelt, which a number in a workbook does not
// keep: 2.50 is written as 2.5.
func WriteWorkbook(w io.Writer, assays []bioassay.Assay) error {
	return writeChecked(w, assays, formatBook)
}

// formatBook returns the workbook, whether it can be read back or not.
func formatBook(assays []bioassay.Assay) ([]byte, error) {
	used, extra := columnsInUse(assays, nil)
	b, err := workbook.NewBuilder()
	if err != nil {
		return nil, err
	}
	var names []string
	for _, column := range used {
		names = append(names, countNames[column])
	}
	for _, name := range extra {
		names = append(names, protected(name))
	}
	sheet, err := b.Sheet("counts")
	if err != nil {
		return nil, err
	}
	if err := sheet.Header(names...); err != nil {
		return nil, err
	}
	var row []workbook.Value
	for i := range assays {
		a := &assays[i]
		for j := range a.Containers {
			c := &a.Containers[j]
			row = row[:0]
			for _, column := range used {
				row = append(row, cellValue(a, c, column))
			}
			for _, name := range extra {
				row = append(row, textValue(protected(extraText(c, name))))
			}
			if err := sheet.Row(row...); err != nil {
				return nil, fmt.Errorf("assay %s, container %d: %w", quoted(a.Name), j+1, err)
			}
		}
	}
	var out bytes.Buffer
	_, err = b.WriteTo(&out)
	return out.Bytes(), err
}

// cellValue returns a cell of a workbook.
func cellValue(a *bioassay.Assay, c *bioassay.Container, column int) workbook.Value {
	switch column {
	case colConcentration:
		return workbook.NumberValue(c.Concentration)
	case colExposed:
		return workbook.NumberValue(float64(c.Exposed))
	case colDead:
		return workbook.NumberValue(float64(c.Dead))
	case colMoribund:
		return workbook.NumberValue(float64(c.Moribund))
	case colMissing:
		return workbook.NumberValue(float64(c.Missing))
	case colCollectedOn:
		return dayValue(a.CollectedOn)
	case colTestedOn:
		return dayValue(a.TestedOn)
	case colExposureHours:
		return hoursValue(a.ExposureHours)
	case colReadingHours:
		return hoursValue(a.ReadingHours)
	}
	return textValue(protectedIf(isText(column), cellText(a, c, column)))
}

func textValue(s string) workbook.Value {
	if s == "" {
		return workbook.Value{}
	}
	return workbook.TextValue(s)
}

// dayValue returns a day, or, where a workbook cannot store it, its text.
func dayValue(d bioassay.Date) workbook.Value {
	switch {
	case d.IsZero():
		return workbook.Value{}
	case d.Year <= firstYear:
		return workbook.TextValue(d.String())
	}
	return workbook.DayValue(d.Year, d.Month, d.Day)
}

func hoursValue(h bioassay.Optional) workbook.Value {
	if !h.Known {
		return workbook.Value{}
	}
	return workbook.NumberValue(h.Value)
}

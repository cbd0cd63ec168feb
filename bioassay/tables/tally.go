package tables

import (
	"fmt"

	"vialwise/bioassay"
)

// A table is never changed silently. What the reader takes for something other
// than what stands in the cell is counted, and reported once for each kind with
// the first place.

// tally counts one kind of conversion.
type tally struct {
	count    int
	where    Error // of the first
	from, to string
}

// conversion is the wording for one kind.
type conversion struct {
	code bioassay.WarningCode
	noun string // what is counted, in the singular
	done string // what became of it
	cure string
}

const asMeant = "nothing needs to be done if that is what was meant"

// conversions are all kinds, in the order in which they are reported.
var conversions = []conversion{
	{AliasUsed, "column name", "in other words taken for a known one", "rename the columns if something else was meant"},
	{UnitFromHeader, "unit", "taken from the brackets in the header", "add a column unit if it is another one"},
	{DecimalCommaRead, "number", "with a decimal comma read with a decimal point", asMeant},
	{TextNumber, "number", "stored as text read as a number", "format the cells as numbers and enter them again"},
	{YearFirstDate, "date", "that is not ISO 8601 and begins with the year read as year, month, day", "write the dates as year-month-day, such as 2031-04-09"},
	{CellDate, "date", "stored as a day number read as the day it is shown as", asMeant},
	{NumberAsText, "number", "in a column of text taken as it is stored, which may differ from what is shown", "format the cells as text"},
	{WordTranslated, "word", "of another language or spelling taken for a known one", asMeant},
	{ProtectedText, "text", "with a protective apostrophe before a sign of a formula read without it", asMeant},
	{HiddenRows, "row", "hidden in the spreadsheet and read nevertheless", "delete the rows if they should not count"},
	{HiddenColumns, "column", "hidden in the spreadsheet and read nevertheless", "delete the columns if they should not count"},
	{EmptyReplicate, "container", "without any count left out", "enter the counts if the container was read"},
}

// note counts a conversion of a cell of the current row. It costs nothing but
// a look-up after the first of its kind.
func (s *sheet) note(code bioassay.WarningCode, cell int, from, to string) {
	s.noted++
	t := s.tallies[code]
	if t == nil {
		t = &tally{where: *s.at(cell), from: from, to: to}
		s.tallies[code] = t
	}
	t.count++
}

// reportTallies turns what was counted into warnings.
func (s *sheet) reportTallies() {
	for _, c := range conversions {
		t := s.tallies[c.code]
		if t == nil {
			continue
		}
		s.warnings = append(s.warnings, bioassay.Warning{Code: c.code, Message: t.message(c), Cure: c.cure,
			Origin: bioassay.Origin{File: s.file, Line: t.where.Line}})
	}
	s.tallies = map[bioassay.WarningCode]*tally{}
}

// message says what was counted and shows the first.
func (t *tally) message(c conversion) string {
	text := bioassay.Plural(t.count, c.noun) + " " + c.done
	shown := ""
	if t.from != "" {
		shown = shownCell(t.from)
	}
	if t.to != "" {
		shown += ", read as " + bareOr(shortened(t.to, mostShown))
	}
	place := t.where.place()
	switch {
	case t.count == 1 && shown == "":
		return fmt.Sprintf("%s, in %s", text, place)
	case t.count == 1:
		return fmt.Sprintf("%s: in %s, %s", text, place, shown)
	case shown == "":
		return fmt.Sprintf("%s, the first in %s", text, place)
	}
	return fmt.Sprintf("%s, the first in %s: %s", text, place, shown)
}

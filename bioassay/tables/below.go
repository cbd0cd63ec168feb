package tables

import (
	"fmt"
	"slices"
)

// mostAbove is the number of rows that are looked at for a header below titles
// and remarks.
const mostAbove = 20

// headerBelow looks for the header of a count table or a bench sheet below a row
// that is none, and returns the remedy; blank when there is nothing to be found.
// Nothing can be read afterwards.
func (s *sheet) headerBelow() string {
	above := s.line
	for range mostAbove {
		cells, err := s.grid.read()
		if err != nil {
			return ""
		}
		for i, cell := range cells {
			cells[i] = trim(cell)
		}
		if line := s.grid.line(0); countLayout.isTable("", cells) || isBench(cells) {
			return s.deleteAbove(above, line)
		}
	}
	return ""
}

// deleteAbove is the remedy for a header that does not stand in the first row.
func (s *sheet) deleteAbove(first, line int) string {
	what := "line"
	if s.book != nil {
		what = "row"
	}
	if line-1 == first {
		return fmt.Sprintf("%s %d looks like the header; delete %[1]s %[3]d", what, line, first)
	}
	return fmt.Sprintf("%s %d looks like the header; delete %[1]ss %[3]d to %[4]d", what, line, first, line-1)
}

// isBench reports whether a row is the header of a bench sheet whose columns are
// named in words. Marks alone, such as R1 and R2, may be a title as well.
func isBench(cells []string) bool {
	m, err := DraftMapping(cells, "f")
	return err == nil && slices.ContainsFunc(m.Replicates, func(r Replicate) bool { return r.Dead != "" || marksCounts(r.Counts) })
}

func marksCounts(name string) bool {
	_, columns := marked(name)
	return len(columns) == 2
}

// checkBenchHeader refuses to take a title, or the upper row of two, for the
// header of a bench sheet.
func (s *sheet) checkBenchHeader() {
	if len(s.errs) > 0 || isBench(s.header.names) {
		return
	}
	where := &Error{Line: s.headerRow}
	header := s.header.names
	next, err := s.grid.read()
	if err != nil {
		return
	}
	next = slices.Clone(next)
	for i, cell := range next {
		next[i] = trim(cell)
	}
	line := s.grid.line(0)
	switch {
	case isBench(next):
		s.stop(where, &fault{MissingColumn, "this is not the header of a bench sheet", s.deleteAbove(s.headerRow, line)})
	case namesCounts(next):
		s.stop(where, &fault{MissingColumn, "the header stands in two rows", "write both into one, such as R1 exposed and R1 dead, and delete the other"})
	case !isDraftable(header):
		s.line = s.headerRow
		if remedy := s.headerBelow(); remedy != "" {
			s.stop(where, &fault{MissingColumn, "this is not the header of a bench sheet", remedy})
		}
	}
}

// namesCounts reports whether a row names counts again and again, as the lower
// row of a header of two does.
func namesCounts(cells []string) bool {
	n := 0
	for _, cell := range cells {
		if mark, columns := marked(cell); mark == "" && len(columns) > 0 {
			n++
		}
	}
	return n >= 3
}

func isDraftable(header []string) bool {
	_, err := DraftMapping(header, "f")
	return err == nil
}

// benchHint says how a bench sheet is read; blank where the header is not one.
func benchHint(header []string) string {
	if !isBench(header) {
		return ""
	}
	return "; it looks like a bench sheet: draft a mapping with check --draft-mapping, make a count table with check --mapping FILE --fix, then fit NAME.cleaned.csv"
}

// aliveWords name the living, from which exposed does not follow by itself: the
// missing may or may not be among them (common practice).
var aliveWords = []string{"alive", "live", "living", "survivors", "vivos", "vivas"}

const exposedMustBeGiven = "exposed must be given, and is alive + dead where no mite was lost"

// namesAlive reports whether a header counts the living.
func namesAlive(header []string) bool {
	return slices.ContainsFunc(header, func(name string) bool {
		return slices.ContainsFunc(words(name), func(word string) bool { return slices.Contains(aliveWords, keyOf(word)) })
	})
}

// Words that stand where a concentration should, in English and Spanish (common
// practice), as keyOf writes them.
var (
	totalWords   = []string{"total", "totals", "totales", "sum", "sums", "suma", "sumas", "subtotal", "subtotales"}
	controlWords = []string{"control", "controls", "controles", "ctrl", "testigo", "testigos", "untreated", "blank", "blanco", "sin_tratar"}
)

// wordForDose is the fault of a word in the place of a concentration; nil where
// it is none of those known.
func wordForDose(text string) *fault {
	switch key := keyOf(text); {
	case slices.Contains(controlWords, key):
		return &fault{NotANumber, "this is a word and not a concentration", "write 0 for an untreated control"}
	case slices.Contains(totalWords, key):
		return totalFault(NotANumber)
	}
	return nil
}

func totalFault(code Code) *fault {
	return &fault{code, "this looks like a row of totals, which would count every mite twice", "delete the row"}
}

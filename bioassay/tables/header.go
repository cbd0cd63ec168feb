package tables

import (
	"fmt"
	"io"
	"slices"
	"strings"
)

// header maps the columns of a file to the ones that are known.
type header struct {
	names   []string // as entered, trimmed
	place   []int    // of each known column, its cell, or -1
	unknown []int    // cells of the other columns, by rising name
}

// name returns the name of a cell, blank when it has none.
func (h header) name(cell int) string {
	if cell < 0 || cell >= len(h.names) {
		return ""
	}
	return h.names[cell]
}

// folded is the form of a header name in which names are compared.
func folded(name string) string { return strings.ToLower(name) }

// readHeader reads the first filled row as the header.
func (s *sheet) readHeader(known, required []string) {
	if s.wrongDelimiter() {
		return
	}
	for !s.stopped {
		cells, err := s.csv.Read()
		if err == io.EOF {
			return
		}
		if err != nil {
			s.quoteError(err)
			s.stopped = true
			return
		}
		s.line, _ = s.csv.FieldPos(0)
		for i, cell := range cells {
			cells[i] = trim(cell)
		}
		// Commas after the last name are the mark of a spreadsheet.
		for len(cells) > 0 && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		if len(cells) == 0 {
			continue
		}
		s.cells = slices.Clone(cells)
		s.header.names = s.cells
		if !s.dirty || s.clean() {
			s.mapColumns(known, required)
		}
		s.stopped = s.stopped || len(s.errs) > 0
		return
	}
}

// mapColumns finds the known columns, and reports those that are missing,
// doubled or without a name.
func (s *sheet) mapColumns(known, required []string) {
	h := &s.header
	h.place = make([]int, len(known))
	for i := range h.place {
		h.place[i] = -1
	}
	first := map[string]int{}
	for cell, name := range h.names {
		key := folded(name)
		if name == "" {
			s.fail(cell, &fault{UnnamedColumn, "the column has no name", "name it, or delete the column"})
			continue
		}
		if before, ok := first[key]; ok {
			s.fail(cell, &fault{DuplicateColumn, fmt.Sprintf("column %d has the same name", before+1), "rename or delete one of the two"})
			continue
		}
		first[key] = cell
		if i := slices.Index(known, key); i >= 0 {
			h.place[i] = cell
		} else {
			h.unknown = append(h.unknown, cell)
		}
	}
	slices.SortFunc(h.unknown, func(a, b int) int { return strings.Compare(h.names[a], h.names[b]) })
	s.requireColumns(known, required)
	s.reportUnknown(known)
}

// requireColumns reports each required column that is missing, with the name
// that may have been meant for it.
func (s *sheet) requireColumns(known, required []string) {
	for _, name := range required {
		if s.header.place[slices.Index(known, name)] >= 0 {
			continue
		}
		remedy := fmt.Sprintf("add a column named %s", name)
		for _, cell := range s.header.unknown {
			if alike(s.header.names[cell], name) {
				remedy = fmt.Sprintf("rename column %d (%s) to %s", cell+1, s.header.names[cell], name)
				break
			}
		}
		s.add(&Error{Line: s.line}, &fault{MissingColumn, fmt.Sprintf("there is no column %s", name), remedy})
	}
}

// reportUnknown warns of columns that are kept but not understood.
func (s *sheet) reportUnknown(known []string) {
	for _, cell := range slices.Sorted(slices.Values(s.header.unknown)) {
		name := s.header.names[cell]
		cure := "nothing needs to be done if it is only a remark"
		for i, k := range known {
			if s.header.place[i] < 0 && alike(name, k) {
				cure = fmt.Sprintf("rename it to %s if that was meant", k)
				break
			}
		}
		s.warn(UnknownColumn, s.line, fmt.Sprintf("column %d (%s) is not known; it is kept and not used", cell+1, name), cure)
	}
}

// wrongDelimiter looks at the first filled line for the separators that
// programs set to another language write instead of the comma.
func (s *sheet) wrongDelimiter() bool {
	for i, line := range strings.Split(string(s.data[:min(len(s.data), 4096)]), "\n") {
		if trim(line) == "" {
			continue
		}
		if strings.Contains(line, ",") {
			return false
		}
		for _, mark := range []struct{ sign, name string }{{";", "semicolons"}, {"\t", "tabs"}, {"|", "vertical bars"}} {
			if strings.Contains(trim(line), mark.sign) {
				s.stop(&Error{Line: i + 1}, &fault{WrongDelimiter, "the cells are separated by " + mark.name + ", not by commas",
					saveAsUTF8 + ", with decimal points"})
				return true
			}
		}
		return false
	}
	return false
}

// alike reports whether an unknown name is probably a known one misspelt.
func alike(name, known string) bool {
	name = strings.NewReplacer(" ", "_", "-", "_").Replace(folded(name))
	return distance(name, known) <= max(1, len(known)/4)
}

// distance is the least number of characters to insert, delete or replace, or
// of neighbours to swap, that turns a into b (Damerau and Levenshtein, in the
// restricted form where no character is touched twice).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		before, last, row = last, row, before
		row[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+cost)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
	}
	return row[len(y)]
}

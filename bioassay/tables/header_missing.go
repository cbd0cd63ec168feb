package tables

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// isRequired reports whether a header name is that of a required column.
func (l layout) isRequired(name string) bool {
	at := l.resolve(name).known
	return at >= 0 && slices.Contains(l.required, l.known[at])
}

// isTable reports whether the first row of a sheet of a workbook is a header:
// it names half of the required columns.
func (l layout) isTable(sheet string, first []string) bool {
	if l.wide != nil {
		return l.wide.fits(sheet, first)
	}
	found := 0
	for _, name := range l.required {
		if slices.ContainsFunc(first, func(cell string) bool { at := l.resolve(cell).known; return at >= 0 && l.known[at] == name }) {
			found++
		}
	}
	return found*2 >= len(l.required)
}

// requireColumns reports the required columns that are missing, all at once,
// with the names that may have been meant for them.
func (s *sheet) requireColumns() {
	var missing []string
	for _, name := range s.layout.required {
		if s.header.place[slices.Index(s.layout.known, name)] < 0 {
			missing = append(missing, name)
		}
	}
	if len(missing) == 0 {
		return
	}
	rename := "rename the columns that hold them, or add them"
	if len(missing) == 1 {
		rename = "rename the column that holds it, or add it"
	}
	hint := benchHint(s.header.names)
	if slices.Contains(missing, "exposed") && namesAlive(s.header.names) {
		hint = "; " + exposedMustBeGiven + hint
	}
	s.add(&Error{Line: s.line}, &fault{MissingColumn, "there is no column " + strings.Join(missing, ", "),
		fmt.Sprintf("found %s; %s%s%s", nameList(s.header.names), rename, s.renamings(missing), hint)})
}

// notHeader reports a first line that has none of the required names.
func (s *sheet) notHeader(line int) {
	names := "the column names "
	if len(s.layout.required) == 1 {
		names = "the column name "
	}
	where := &Error{Line: line, Found: beginning(s.headerText(line))}
	remedy := "the first line must hold " + names + strings.Join(s.layout.required, ", ") + s.renamings(s.layout.required) + benchHint(s.header.names)
	if slices.Contains(s.layout.required, "dead") && !isBench(s.header.names) {
		if below := s.headerBelow(); below != "" {
			remedy = below
		}
	}
	s.stop(where, &fault{MissingColumn, "this is not the header of a " + s.layout.title, remedy})
}

// headerText is the line that should have been the header.
func (s *sheet) headerText(line int) string {
	if s.text != nil {
		return s.text.lineText(line)
	}
	return strings.Join(s.cells, " ")
}

// beginning returns the first words of a line.
func beginning(line string) string {
	const most = 30 // characters
	r := []rune(line)
	if len(r) <= most || !utf8.ValidString(line) {
		return line
	}
	cut := string(r[:most])
	if space := strings.LastIndexByte(cut, ' '); space > 0 {
		cut = cut[:space+1]
	}
	return cut + "…"
}

// nameList lists names of columns, in about a hundred characters.
func nameList(names []string) string {
	const most = 100
	var list []string
	length := 0
	for _, name := range names {
		if name == "" {
			continue
		}
		name = shownName(name)
		if length += utf8.RuneCountInString(name) + len(", "); length > most && len(list) > 0 {
			list = append(list, "…")
			break
		}
		list = append(list, name)
	}
	return strings.Join(list, ", ")
}

// renamings proposes for each missing column the unknown one that is probably
// meant; blank when there is none.
func (s *sheet) renamings(missing []string) string {
	var list []string
	for _, name := range missing {
		for _, cell := range slices.Sorted(slices.Values(s.header.unknown)) {
			if found := s.header.names[cell]; s.layout.means(found, name) {
				list = append(list, fmt.Sprintf("%s to %s", shownName(found), name))
				break
			}
		}
	}
	if len(list) == 0 {
		return ""
	}
	return "; perhaps rename " + strings.Join(list, ", ")
}

// means reports whether a name, less a unit in brackets, is a required one
// misspelt or in other words.
func (l layout) means(name, required string) bool {
	name, _ = bracketed(name)
	return alike(name, required) || slices.Contains(l.synonyms[required], keyOf(name))
}

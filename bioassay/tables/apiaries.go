package tables

import (
	"fmt"
	"io"
	"strings"

	"vialwise/bioassay"
)

// The known columns of the table of apiaries, in canonical order.
const (
	apiaryCode = iota
	apiaryRegion
	apiaryLatitude
	apiaryLongitude
	apiaryContact
)

var (
	apiaryNames    = []string{"apiary", "region", "latitude", "longitude", "contact_code"}
	apiaryRequired = []string{"apiary"}
	apiaryLayout   = layout{
		title: "table of apiaries", contents: "apiaries", known: apiaryNames, required: apiaryRequired, aliases: apiaryAliases,
		synonyms: map[string][]string{"apiary": {"site", "yard", "location"}}, // common practice
	}
)

// ApiaryTable is a table of apiaries as read.
type ApiaryTable struct {
	Apiaries []bioassay.Apiary // in file order
	Unknown  []string          // names of the columns that are kept but not understood, in file order
	Warnings []bioassay.Warning
}

// ReadApiariesFile reads the table of apiaries in a file. See [ReadApiaries].
func ReadApiariesFile(path string) (*ApiaryTable, error) {
	return readFile(path, "table of apiaries", ReadApiaries)
}

// ReadApiaries reads a table of apiaries, one row each. Only the column apiary
// must be there. Errors are those of [Read].
func ReadApiaries(name string, r io.Reader) (*ApiaryTable, error) {
	s, err := openSheet(name, r, apiaryLayout, usual, Options{})
	if err != nil {
		return nil, err
	}
	t := &ApiaryTable{}
	lines := map[string]int{}
	for s.next() {
		t.Apiaries = append(t.Apiaries, readApiary(s, lines))
	}
	if err := s.close(len(t.Apiaries)); err != nil {
		return nil, err
	}
	t.Unknown = s.names
	t.Warnings = s.allWarnings()
	return t, nil
}

// readApiary reads the current row; lines holds the apiaries before it.
func readApiary(s *sheet, lines map[string]int) bioassay.Apiary {
	a := bioassay.Apiary{Source: bioassay.Origin{File: s.file, Line: s.line}}
	a.Code = apiaryText(s, apiaryCode)
	a.Region = apiaryText(s, apiaryRegion)
	a.ContactCode = apiaryText(s, apiaryContact)
	fillNumber(s, apiaryLatitude, &a.Latitude, degreesWithin(90, angular))
	fillNumber(s, apiaryLongitude, &a.Longitude, degreesWithin(180, angular))
	for _, cell := range s.header.unknown {
		if text := s.cells[cell]; text != "" {
			if bare, f := remark(s, cell); f == nil {
				text = bare
			}
			a.Extra = append(a.Extra, bioassay.Field{Name: s.header.names[cell], Value: strings.Clone(text)})
		}
	}
	if code := s.header.place[apiaryCode]; s.cells[code] == "" {
		s.fail(code, nameFault("the apiary"))
	}
	oneRow(s, apiaryCode, a.Code, lines)
	oneCoordinate(s)
	return a
}

// apiaryText reads a column of text.
func apiaryText(s *sheet, column int) string {
	at := s.header.place[column]
	if at < 0 {
		return ""
	}
	text, f := label(s, at)
	if f != nil {
		s.fail(at, f)
	}
	return strings.Clone(text)
}

// oneRow reports an apiary that a row before the current one is about; lines holds
// where each stands.
func oneRow(s *sheet, column int, apiary string, lines map[string]int) {
	switch before := lines[apiary]; {
	case before > 0:
		s.fail(s.header.place[column], &fault{DuplicateApiary, fmt.Sprintf("the apiary is also on line %d", before), "delete one of the two rows"})
	case apiary != "":
		lines[apiary] = s.line
	}
}

// oneCoordinate reports a row that has one coordinate and not the other.
func oneCoordinate(s *sheet) {
	latitude, longitude := s.header.place[apiaryLatitude], s.header.place[apiaryLongitude]
	filled := func(at int) bool { return at >= 0 && s.cells[at] != "" }
	if filled(latitude) == filled(longitude) {
		return
	}
	empty := latitude
	if filled(latitude) {
		empty = longitude
	}
	f := &fault{MissingValue, "one coordinate is given and not the other", "enter both, or neither"}
	if empty < 0 { // the whole column is absent
		s.add(&Error{Line: s.line}, f)
		return
	}
	s.fail(empty, f)
}

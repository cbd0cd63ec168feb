package tables

// NamesApiaries reports whether a header is that of a table of apiaries rather
// than of a count table: it names the apiary with its region, place or contact,
// and nothing else that a count table knows but a remark. A header that lacks
// even that is taken for a count table, of which the reader then says what is
// missing.
func NamesApiaries(header []string) bool {
	apiary, further := false, false
	for _, name := range header {
		r := apiaryLayout.resolve(unprotected(trim(name)))
		switch {
		case r.known == apiaryCode:
			apiary = true
		case r.known >= 0:
			further = true
		case countsAlone(name):
			return false
		}
	}
	return apiary && further
}

// countsAlone reports whether a column says something about an assay.
func countsAlone(name string) bool {
	r := countLayout.resolve(unprotected(trim(name)))
	return r.known >= 0 && countNames[r.known] != "note"
}

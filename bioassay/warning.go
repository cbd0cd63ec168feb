package bioassay

// WarningCode names a kind of warning, for programs that sort or filter them.
// The package that raises a warning defines its code.
type WarningCode string

// Warning is a remark on data that are usable but doubtful: what is the
// matter, and what would cure it.
type Warning struct {
	Code    WarningCode
	Message string
	Cure    string
	Origin
}

// String returns one line with the place, the matter and the cure.
func (w Warning) String() string {
	s := w.Message + "; " + w.Cure
	if w.File == "" {
		return s
	}
	return w.Origin.String() + ": " + s
}

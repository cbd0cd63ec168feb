package render

import "vialwise/bioassay"

// nameCount counts how many assays of an answer have a name.
type nameCount map[string]int

// label is the name of an assay, with its file where two assays share a name.
func (n nameCount) label(a bioassay.Assay) string {
	if n[a.Name] > 1 {
		return a.Name + " (" + a.File() + ")"
	}
	return a.Name
}

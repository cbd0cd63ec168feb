package main

import (
	"fmt"
	"io"
	"maps"
	"slices"

	"vialwise/bioassay"
	"vialwise/bioassay/advice"
)

// remarkNames tells of actives that the program does not know, whose group it
// cannot tell.
func remarkNames(stderr io.Writer, p *bioassay.Programme, treatments map[string][]bioassay.Treatment) {
	unknown := map[string]bool{}
	look := func(active string) {
		if _, ok := advice.GroupOf(active); !ok {
			unknown[active] = true
		}
	}
	if p.Authorised != nil {
		for _, a := range p.Authorised.Actives {
			look(a.Acaricide)
		}
	}
	for _, list := range treatments {
		for _, t := range list {
			look(t.Acaricide)
		}
	}
	for _, active := range slices.Sorted(maps.Keys(unknown)) {
		fmt.Fprintf(stderr, "vialwise: no group is known of the active %q; look at its spelling in the list of authorised actives and the table of treatments\n", active)
	}
}

// all reports that no assay is left out.
func (f *filterFlags) all() bool {
	return len(f.apiaries)+len(f.regions)+len(f.acaricides)+len(f.protocols) == 0 && f.from == "" && f.to == ""
}

// The doubts about the tables around notes.
const (
	notAnswered   bioassay.WarningCode = "hives-not-answered"
	unknownApiary bioassay.WarningCode = "apiary-not-tested"
)

// doubts are about answers that are too old, and about apiaries that have no test
// though every one was looked at: a code that is written otherwise would hide a
// treatment.
func (w *noteWriter) doubts(everyApiary bool) (out []bioassay.Warning) {
	known := w.tested()
	doubt := func(code string, at bioassay.Origin) {
		if everyApiary && !known[code] {
			out = append(out, bioassay.Warning{Code: unknownApiary, Message: fmt.Sprintf("apiary %s has no test, so this row is not used", shown(code)),
				Cure: "write its code as in the counts, if it is one of theirs", Origin: at})
		}
	}
	for _, code := range slices.Sorted(maps.Keys(w.hives)) {
		h := w.hives[code]
		doubt(code, h.Source)
		if !w.answered(h) {
			out = append(out, bioassay.Warning{Code: notAnswered, Message: fmt.Sprintf("what is known of the hives of apiary %s is of %v, not of the month before the notes, and is not used", shown(code), h.AskedOn),
				Cure: "ask again", Origin: h.Source})
		}
	}
	for _, code := range slices.Sorted(maps.Keys(w.treatments)) {
		doubt(code, w.treatments[code][0].Source)
	}
	return out
}

// tested are the codes of the apiaries that have an assay or stand in the table of
// apiaries.
func (w *noteWriter) tested() map[string]bool {
	known := map[string]bool{}
	for _, a := range w.known.apiaries {
		known[a.Code] = true
	}
	for _, s := range w.known.Tracking.Series {
		known[s.Apiary] = true
	}
	for _, m := range w.known.Tracking.LeftOut {
		known[m.Apiary] = true
	}
	return known
}

package track

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"vialwise/bioassay"
)

// tested is when an apiary was last tested with an acaricide.
type tested struct {
	last   bioassay.Season // with a result
	reason string          // why the newest assay without one has none
	at     bioassay.Season // of that assay
}

type pair struct{ apiary, acaricide string }

// lacking lists the apiaries, those of the table and those of the assays, that
// have no result with one of the acaricides in the newest seasons.
func (w *work) lacking(all []Measured, apiaries []bioassay.Apiary, horizon int) (out []Lacking) {
	seen := map[pair]*tested{}
	codes, acaricides, seasons := map[string]bool{}, map[string]bool{}, map[bioassay.Season]bool{}
	for _, a := range apiaries {
		codes[a.Code] = true
	}
	for _, m := range all {
		if m.Apiary == "" || m.Acaricide == "" {
			continue
		}
		codes[m.Apiary], acaricides[m.Acaricide] = true, true
		k := pair{m.Apiary, m.Acaricide}
		if seen[k] == nil {
			seen[k] = new(tested)
		}
		seen[k].add(m, w.calendar)
		if m.Season != (bioassay.Season{}) {
			seasons[m.Season] = true
		}
	}
	since := w.since(seasons, horizon)
	tried := slices.Sorted(maps.Keys(acaricides))
	for _, code := range slices.Sorted(maps.Keys(codes)) {
		for _, acaricide := range tried {
			if reason, last := w.reason(seen[pair{code, acaricide}], since); reason != "" {
				out = append(out, Lacking{Apiary: code, Region: w.regions[code], Acaricide: acaricide, Last: last, Reason: reason})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Lacking) int { return cmp.Compare(a.Region, b.Region) })
	return out
}

func (t *tested) add(m Measured, calendar bioassay.Calendar) {
	switch {
	case m.Brief != nil && (t.last == bioassay.Season{} || calendar.Compare(m.Season, t.last) > 0):
		t.last = m.Season
	case m.Brief == nil && (t.reason == "" || calendar.Compare(m.Season, t.at) >= 0):
		t.reason, t.at = m.LeftOut, m.Season
	}
}

// since is the first of the newest seasons in which anything was tested.
func (w *work) since(seasons map[bioassay.Season]bool, horizon int) bioassay.Season {
	all := slices.SortedFunc(maps.Keys(seasons), w.calendar.Compare)
	if len(all) == 0 {
		return bioassay.Season{}
	}
	return all[max(0, len(all)-horizon)]
}

// reason says why an apiary needs a test, blank where it needs none.
func (w *work) reason(t *tested, since bioassay.Season) (string, bioassay.Season) {
	switch {
	case t == nil && w.window:
		return "no assay in the seasons asked for", bioassay.Season{}
	case t == nil:
		return "never tested", bioassay.Season{}
	case t.last == bioassay.Season{}:
		return "no usable assay: " + t.reason, bioassay.Season{}
	case w.calendar.Compare(t.last, since) >= 0:
		return "", t.last
	case t.reason != "" && w.calendar.Compare(t.at, t.last) > 0:
		return fmt.Sprintf("no usable assay since %v: %s", t.last, t.reason), t.last
	}
	return fmt.Sprintf("no assay since %v", t.last), t.last
}

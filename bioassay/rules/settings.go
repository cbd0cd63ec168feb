package rules

import (
	"fmt"

	"vialwise/bioassay"
)

// Limits of settings.
const (
	smallestSquare, largestSquare = 1, 1000 // km
	mostDoubled                   = 8
	leastFewest, mostFewest       = 3, 1000
	mostMonths                    = 240
	coldest, hottest              = -60, 80 // °C
)

// readMap reads what maps are made with.
func (f *file) readMap(top *section) {
	s, ok := top.table("map")
	if !ok {
		return
	}
	side := s.number("side_km", smallestSquare, largestSquare)
	doubled := s.number("doubled", 0, mostDoubled)
	f.into.Map = bioassay.MapSettings{SideKM: side.Value, Fewest: s.whole("fewest_apiaries", leastFewest, mostFewest)}
	if f.into.Map.Doubled = int(doubled.Value); doubled.Known && doubled.Value == 0 {
		f.into.Map.Doubled = -1
	}
	s.close()
}

// readNote reads what notes to beekeepers are made with.
func (f *file) readNote(top *section) {
	s, ok := top.table("note")
	if !ok {
		return
	}
	f.into.Note = bioassay.NoteSettings{
		Contact: s.text("contact", false), Language: s.text("language", false),
		StaleMonths: s.whole("stale_months", 1, mostMonths), RetestMonths: s.whole("retest_months", 1, mostMonths),
	}
	s.close()
}

// readAuthorised reads the list of authorised actives.
func (f *file) readAuthorised(top *section) {
	s, ok := top.table("authorised")
	if !ok {
		return
	}
	list := &bioassay.AuthorisedActives{On: s.date("on")}
	if list.On.IsZero() {
		s.fail("on", "", "the list has no day", "add on = 2031-02-01, the day as of which the authority lists the actives")
	}
	named := map[string]bool{}
	for _, one := range s.tables("active") {
		a := bioassay.AuthorisedActive{
			Acaricide: one.text("acaricide", true), NotWithSupers: one.flag("not_with_supers"), NeedsNoBrood: one.flag("needs_no_brood"),
			TemperatureFrom: one.number("temperature_from", coldest, hottest), TemperatureTo: one.number("temperature_to", coldest, hottest),
			Other: one.text("condition", false),
		}
		if a.TemperatureFrom.Known && a.TemperatureTo.Known && a.TemperatureFrom.Value > a.TemperatureTo.Value {
			one.fail("temperature_to", fmt.Sprintf("%g", a.TemperatureTo.Value), "it lies below temperature_from", "exchange the two")
		}
		if named[a.Acaricide] {
			one.fail("acaricide", shown(a.Acaricide), "the active is on the list twice", "join the two entries")
		}
		named[a.Acaricide] = true
		list.Actives = append(list.Actives, a)
		one.close()
	}
	s.close()
	f.into.Authorised = list
}

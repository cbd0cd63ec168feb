package main

import (
	"vialwise/bioassay"
	"vialwise/bioassay/registry"
)

// programmeWith returns a programme that honours the standing decisions of a
// registry beside its own overrides.
func programmeWith(p *bioassay.Programme, decisions []registry.Decision) *bioassay.Programme {
	with := *p
	with.Overrides = with.Overrides[:len(with.Overrides):len(with.Overrides)]
	for _, d := range decisions {
		if d.Verdict != registry.NoVerdict {
			with.Overrides = append(with.Overrides, overrideOf(d))
		}
	}
	return &with
}

// overrideOf turns a decision into an override. Its day is that on which it was
// entered, in UTC. Without one, which only a registry has that was edited by
// other means, the override is idle and says so.
func overrideOf(d registry.Decision) bioassay.Override {
	on, err := bioassay.ParseDate(d.At[:min(len(d.At), len("2031-04-09"))])
	if err != nil {
		on = bioassay.Date{}
	}
	return bioassay.Override{Assay: d.Assay, Code: d.Code, By: d.By, On: on, Why: d.Why, Discards: d.Verdict == registry.Discard, Event: d.Event}
}

package main

import (
	"errors"
	"math"

	"vialwise/bioassay"
	"vialwise/bioassay/advice"
	"vialwise/bioassay/tables"
)

// context reads the tables about the hives.
func (f *noteFlags) context() (hives map[string]bioassay.Hives, treatments map[string][]bioassay.Treatment, warnings []bioassay.Warning, err error) {
	var asked []bioassay.Hives
	var treated []bioassay.Treatment
	var failed [2]error
	var more []bioassay.Warning
	if f.hives != "" {
		asked, warnings, failed[0] = tables.ReadHivesFile(f.hives)
	}
	if f.treatments != "" {
		treated, more, failed[1] = tables.ReadTreatmentsFile(f.treatments)
	}
	hives, treatments = byApiary(asked, treated)
	return hives, treatments, append(warnings, more...), errors.Join(failed[:]...)
}

// byApiary finds what is known of the hives by the code of the apiary.
func byApiary(asked []bioassay.Hives, treated []bioassay.Treatment) (map[string]bioassay.Hives, map[string][]bioassay.Treatment) {
	hives, treatments := map[string]bioassay.Hives{}, map[string][]bioassay.Treatment{}
	for _, h := range asked {
		hives[h.Apiary] = h
	}
	for _, t := range treated {
		treatments[t.Apiary] = append(treatments[t.Apiary], t)
	}
	return hives, treatments
}

// treatmentMonths is how far back treatments count, and hivesMonths how long an
// answer about brood, supers and weather holds (common practice).
const (
	treatmentMonths = 12
	hivesMonths     = 1
)

// back is the day some months before the notes.
func (w *noteWriter) back(months int) bioassay.Date {
	return bioassay.DateOf(w.style.day.Time().AddDate(0, -months, 0))
}

// answered reports that what is known of hives holds on the day of the notes. An
// answer without a day is taken for one of today.
func (w *noteWriter) answered(h bioassay.Hives) bool {
	return h.AskedOn.IsZero() || h.AskedOn.Compare(w.back(hivesMonths)) >= 0 && h.AskedOn.Compare(w.style.day) <= 0
}

// context is what is known around an apiary.
func (w *noteWriter) context(code string) advice.Context {
	p := w.known.programme
	c := advice.Context{
		Date: w.style.day, Apiary: code, Language: w.style.language, Catalogue: w.style.catalogue, Version: version,
		Contact: p.Note.Contact, StaleMonths: p.Note.StaleMonths, RetestMonths: p.Note.RetestMonths,
		Invented: w.mark != "",
	}
	if list := p.Authorised; list != nil {
		c.Authorised = authorised(list)
	}
	if h, ok := w.hives[code]; ok && w.answered(h) {
		c.Brood, c.Supers = h.Brood, h.Supers
		c.Temperature = advice.RangeOf(bioassay.Optional{}, h.TemperatureLow, h.TemperatureHigh)
	}
	since := w.back(treatmentMonths)
	for _, t := range w.treatments[code] {
		if !t.On.IsZero() && (t.On.Compare(since) < 0 || t.On.Compare(w.style.day) > 0) {
			continue
		}
		c.Treatments = append(c.Treatments, advice.Treatment{
			Acaricide: t.Acaricide, On: t.On, Brood: t.Brood, Efficacy: advice.RangeOf(t.Efficacy, t.EfficacyLower, t.EfficacyUpper),
		})
	}
	return c
}

func authorised(list *bioassay.AuthorisedActives) advice.Authorised {
	out := advice.Authorised{On: list.On}
	for _, a := range list.Actives {
		out.Actives = append(out.Actives, advice.Active{
			Acaricide: a.Acaricide, NotWithSupers: a.NotWithSupers, NeedsNoBrood: a.NeedsNoBrood, Other: a.Other,
			Temperature: openRange(a.TemperatureFrom, a.TemperatureTo),
		})
	}
	return out
}

// openRange is a range of which a limit that the list does not set does not exist.
func openRange(from, to bioassay.Optional) advice.Range {
	if !from.Known && !to.Known {
		return advice.Range{}
	}
	r := advice.KnownRange(math.NaN(), math.Inf(-1), math.Inf(1))
	if from.Known {
		r.Lower = from.Value
	}
	if to.Known {
		r.Upper = to.Value
	}
	return r
}

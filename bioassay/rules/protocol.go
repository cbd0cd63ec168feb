package rules

import (
	"fmt"

	"vialwise/bioassay"
)

// maxHours is the longest time that a protocol may ask for.
const maxHours = 10_000

// readProtocol reads a protocol; ok is false when something in it is wrong.
// Whether its rule sets exist is looked at when all are read.
func readProtocol(s *section) (p bioassay.Protocol, ok bool) {
	before := len(s.file.errs)
	p.Name, p.Title = s.text("name", true), s.text("title", false)
	p.Surface, p.Death = s.text("surface", true), s.text("death", true)
	p.Series = bioassay.SeriesKind(s.choice("series", words(bioassay.SeriesKinds())...))
	p.Unit = s.text("unit", true)
	p.PPM = bioassay.PPM(s.choice("ppm", "", bioassay.PPMByMass.String(), bioassay.PPMByVolume.String()))
	p.Moribund = bioassay.Moribund(s.choice("moribund", "dead", "alive"))
	p.ExposureHours, p.ReadingHours = s.number("exposure_h", 0, maxHours), s.number("reading_h", 0, maxHours)
	p.Minimum.PerConcentration = s.whole("mites_per_concentration", 1, 1e6)
	p.Minimum.InAll = s.whole("mites_in_all", 1, 1e6)
	p.Container.AreaCm2 = s.number("area_cm2", 1e-6, 1e9).Value
	p.Container.VolumeML = s.number("volume_ml", 1e-6, 1e9).Value
	p.Container.MassG = s.number("mass_g", 1e-9, 1e9).Value
	p.RuleSets = s.texts("rule_sets")
	if _, given := s.values["rule_sets"]; !given || p.RuleSets != nil && len(p.RuleSets) == 0 { // of a wrong type, it is reported already
		s.fail("rule_sets", "", "the protocol names no rule set", `add rule_sets = ["..."]`)
	}
	p.Source = s.text("source", true)
	checkTimes(s, p)
	checkUnit(s, p)
	return p, len(s.file.errs) == before
}

func words[T fmt.Stringer](list []T) []string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = v.String()
	}
	return out
}

func checkTimes(s *section, p bioassay.Protocol) {
	e, r := p.ExposureHours, p.ReadingHours
	switch {
	case p.Series == bioassay.SeriesExposureTime && e.Known:
		s.fail("exposure_h", fmt.Sprintf("%g", e.Value), "the exposure is fixed, and the series varies it", "delete the key, or name another series")
	case e.Known && r.Known && r.Value < e.Value:
		s.fail("reading_h", fmt.Sprintf("%g", r.Value), fmt.Sprintf("the reading comes before the end of the exposure, %g h", e.Value), "count both from the start of the exposure")
	}
}

func checkUnit(s *section, p bioassay.Protocol) {
	if p.Unit == "" {
		return
	}
	u, err := p.ParseUnit(p.Unit)
	switch isTime := u.Amount == bioassay.AmountTime; {
	case err != nil:
		s.fail("unit", "", err.Error(), "correct the unit")
	case isTime && p.Series != bioassay.SeriesExposureTime:
		s.fail("unit", shown(p.Unit), "the unit is a time, and the series does not vary the exposure", `write series = "exposure-time", or another unit`)
	case !isTime && p.Series == bioassay.SeriesExposureTime:
		s.fail("unit", shown(p.Unit), "the series varies the time of exposure, and the unit is no time", "write a time such as min or h")
	}
}

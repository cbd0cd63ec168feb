package bioassay

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// judgeProtocol compares the table with the protocol that it names.
func (j *judgement) judgeProtocol() {
	p := j.Protocol
	switch {
	case p != nil:
		j.judgeKind(p)
		j.judgeDeath(p)
		j.judgeHours(p)
	case j.assay.Protocol == "":
		j.add(Note, NoProtocol, Basis{}, "fill the column protocol", "no protocol is named: the assay cannot be compared with others")
	default:
		j.add(Doubt, UnknownProtocol, Basis{}, j.protocolCure(),
			"protocol %q is not one of the %d that the programme knows", j.assay.Protocol, len(j.Known))
	}
	j.judgeUnit()
}

// protocolCure names the protocol that was meant, where that can be seen.
func (j *judgement) protocolCure() string {
	fold := func(s string) string { return hyphens.Replace(strings.ToLower(strings.TrimSpace(s))) }
	for _, name := range j.Known {
		if fold(name) == fold(j.assay.Protocol) {
			return fmt.Sprintf("write %s", name)
		}
	}
	return "write one of " + strings.Join(j.Known, ", ") + ", or define the protocol in the programme file"
}

// judgeKind compares the number of doses with the kind of series.
func (j *judgement) judgeKind(p *Protocol) {
	n := len(j.doses)
	switch {
	case n == 0:
	case p.Series == SeriesSingle && n > 1:
		j.add(Doubt, SeriesMismatch, Basis{}, "name the protocol of the series, or keep one concentration an assay",
			"protocol %s has a single concentration, and %d were tested", p.Name, n)
	case p.Series != SeriesSingle && n == 1:
		j.add(Doubt, SeriesMismatch, Basis{}, "test five or more concentrations, or name the protocol of a single one",
			"protocol %s is a series by %s, and only %.4g%s was tested", p.Name, p.Series, j.doses[0].dose, j.unit())
	}
}

func (j *judgement) judgeDeath(p *Protocol) {
	if j.analysis == nil || j.analysis.Moribund == p.Moribund {
		return
	}
	n := 0
	for _, c := range j.assay.Containers {
		n += c.Moribund
	}
	if n > 0 {
		j.add(Doubt, DeathMismatch, Basis{}, "count them as the protocol says",
			"%s: %v, while protocol %s has %v", Plural(n, "moribund mite"), j.analysis.Moribund, p.Name, p.Moribund)
	}
}

// judgeHours compares exposure and reading time with those of the protocol. In
// a series by exposure time the exposure is the dose.
func (j *judgement) judgeHours(p *Protocol) {
	if p.Series != SeriesExposureTime {
		j.judgeTime(ExposureMismatch, "exposure", "exposure_h", j.assay.ExposureHours, p.ExposureHours, p.Name)
	}
	j.judgeTime(ReadingMismatch, "time of the reading", "reading_h", j.assay.ReadingHours, p.ReadingHours, p.Name)
}

// sameHours is the difference up to which two times are the same, rounding of
// a fraction of an hour apart.
const sameHours = 0.01

func (j *judgement) judgeTime(code WarningCode, what, column string, got, want Optional, protocol string) {
	switch {
	case !want.Known:
	case !got.Known:
		j.add(Note, code, Basis{}, "fill the column "+column, "the %s is not recorded; protocol %s has %g h", what, protocol, want.Value)
	case math.Abs(got.Value-want.Value) > sameHours:
		j.add(Doubt, code, Basis{}, "correct the table, or name the protocol that was followed; results of different times do not compare",
			"the %s is %g h, while protocol %s has %g h", what, got.Value, protocol, want.Value)
	}
}

func (j *judgement) judgeUnit() {
	if j.assay.Unit == "" {
		j.add(Note, NoUnit, Basis{}, "fill the column unit", "the concentrations have no unit: the assay cannot be compared with others")
		return
	}
	parse := ParseUnit
	if j.Protocol != nil {
		parse = j.Protocol.ParseUnit
	}
	u, err := parse(j.assay.Unit)
	if err != nil {
		cure := "write the unit in one of the known forms, such as ug/vial"
		if errors.Is(err, ErrAmbiguousUnit) {
			cure = "write w/w or w/v behind it, or let the protocol say which"
		}
		j.add(Doubt, UnclearUnit, Basis{}, cure, "%v", err)
		return
	}
	if j.Protocol != nil {
		j.compareUnit(u, j.Protocol)
	}
}

func (j *judgement) compareUnit(u Unit, p *Protocol) {
	want, err := p.ParseUnit(p.Unit)
	if err != nil || u.Same(want) {
		return
	}
	factor, err := Conversion{Active: j.assay.Acaricide, Container: p.Container}.Convert(1, u, want)
	if err != nil {
		j.add(Doubt, UnitMismatch, Basis{}, "check the unit; results in units that do not convert do not compare",
			"the unit is %s, while protocol %s has %s: %v", j.assay.Unit, p.Name, p.Unit, err)
		return
	}
	j.add(Note, UnitMismatch, Basis{}, fmt.Sprintf("nothing needs to be done for this assay by itself; to compare it with assays in the other unit, write both in one; 1 %s is %.4g %s", u.Canonical, factor, want.Canonical),
		"the unit is %s, while protocol %s has %s", j.assay.Unit, p.Name, p.Unit)
}

package tables

import (
	"fmt"
	"io"

	"vialwise/bioassay"
)

// The known columns of the table of treatments, in canonical order. A note is for
// people.
const (
	treatedApiary = iota
	treatedWith
	treatedOn
	treatedEfficacy
	treatedLower
	treatedUpper
	treatedBrood
)

var treatmentLayout = layout{
	title: "table of treatments", contents: "treatments",
	known:    []string{"apiary", "acaricide", "treated_on", "efficacy", "efficacy_lower", "efficacy_upper", "brood", "note"},
	required: []string{"apiary", "acaricide"},
	aliases: map[string][]string{
		"apiary": {"colmenar", "apiario"}, "acaricide": {"active_ingredient", "acaricida", "ingrediente_activo", "principio_activo"},
		"treated_on": {"treatment_date", "fecha_de_tratamiento", "fecha_tratamiento"}, "efficacy": {"eficacia"}, "brood": {"cria"},
	},
}

// The known columns of the table of hives, in canonical order.
const (
	hivesApiary = iota
	hivesAsked
	hivesBrood
	hivesSupers
	hivesLow
	hivesHigh
)

var hivesLayout = layout{
	title: "table of hives", contents: "hives",
	known:    []string{"apiary", "asked_on", "brood", "supers", "temperature_low", "temperature_high", "note"},
	required: []string{"apiary"},
	aliases: map[string][]string{
		"apiary": {"colmenar", "apiario"}, "brood": {"cria"}, "supers": {"honey_supers", "alzas"},
	},
}

// ReadTreatmentsFile reads the table of treatments in a file.
func ReadTreatmentsFile(path string) ([]bioassay.Treatment, []bioassay.Warning, error) {
	return parts(readFile(path, "table of treatments", readTreatments))
}

// ReadTreatments reads a table of treatments, one row each. The columns apiary and
// acaricide must be there. Errors are those of [Read].
func ReadTreatments(name string, r io.Reader) ([]bioassay.Treatment, []bioassay.Warning, error) {
	return parts(readTreatments(name, r))
}

// ReadHivesFile reads the table of hives in a file.
func ReadHivesFile(path string) ([]bioassay.Hives, []bioassay.Warning, error) {
	return parts(readFile(path, "table of hives", readHives))
}

// ReadHives reads a table of hives, one row for each apiary. Only the column
// apiary must be there. Errors are those of [Read].
func ReadHives(name string, r io.Reader) ([]bioassay.Hives, []bioassay.Warning, error) {
	return parts(readHives(name, r))
}

// listed is a table that is a list of rows.
type listed[T any] struct {
	rows     []T
	warnings []bioassay.Warning
}

// parts takes a table apart that was read; one that was not has none.
func parts[T any](t *listed[T], err error) ([]T, []bioassay.Warning, error) {
	if err != nil {
		return nil, nil, err
	}
	return t.rows, t.warnings, nil
}

// readList reads a table row by row.
func readList[T any](name string, r io.Reader, l layout, row func(*sheet) T) (*listed[T], error) {
	s, err := openSheet(name, r, l, usual, Options{})
	if err != nil {
		return nil, err
	}
	t := &listed[T]{}
	for s.next() {
		t.rows = append(t.rows, row(s))
	}
	if err := s.close(len(t.rows)); err != nil {
		return nil, err
	}
	t.warnings = s.allWarnings()
	return t, nil
}

func readTreatments(name string, r io.Reader) (*listed[bioassay.Treatment], error) {
	return readList(name, r, treatmentLayout, readTreatment)
}

func readTreatment(s *sheet) bioassay.Treatment {
	t := bioassay.Treatment{Source: bioassay.Origin{File: s.file, Line: s.line}}
	t.Apiary, t.Acaricide = needed(s, treatedApiary, "the apiary"), needed(s, treatedWith, "the active ingredient")
	fill(s, treatedOn, &t.On, date)
	fill(s, treatedBrood, &t.Brood, answer)
	share := numeral(func(text string) (float64, *fault) { return parseUpTo(text, 100, "an efficacy in percent", "87.5") })
	fillNumber(s, treatedEfficacy, &t.Efficacy, share)
	fillNumber(s, treatedLower, &t.EfficacyLower, share)
	fillNumber(s, treatedUpper, &t.EfficacyUpper, share)
	low, middle, high := t.EfficacyLower, t.Efficacy, t.EfficacyUpper
	wrong := low.Known && high.Known && low.Value > high.Value ||
		middle.Known && (low.Known && middle.Value < low.Value || high.Known && middle.Value > high.Value)
	if wrong {
		s.fail(s.header.place[treatedEfficacy], &fault{NotRising, "efficacy_lower, efficacy and efficacy_upper do not rise in this order", "correct them, or leave the limits out"})
	}
	return t
}

func readHives(name string, r io.Reader) (*listed[bioassay.Hives], error) {
	lines := map[string]int{}
	return readList(name, r, hivesLayout, func(s *sheet) bioassay.Hives { return readHive(s, lines) })
}

func readHive(s *sheet, lines map[string]int) bioassay.Hives {
	h := bioassay.Hives{Source: bioassay.Origin{File: s.file, Line: s.line}}
	h.Apiary = needed(s, hivesApiary, "the apiary")
	oneRow(s, hivesApiary, h.Apiary, lines)
	fill(s, hivesAsked, &h.AskedOn, date)
	fill(s, hivesBrood, &h.Brood, answer)
	fill(s, hivesSupers, &h.Supers, answer)
	const hottest = 60
	temperature := degreesWithin(hottest, celsius)
	fillNumber(s, hivesLow, &h.TemperatureLow, temperature)
	fillNumber(s, hivesHigh, &h.TemperatureHigh, temperature)
	if h.TemperatureLow.Known && h.TemperatureHigh.Known && h.TemperatureLow.Value > h.TemperatureHigh.Value {
		s.fail(s.header.place[hivesHigh], &fault{NotRising, "temperature_high lies below temperature_low", "exchange the two"})
	}
	return h
}

// needed reads a column of text that every row must fill.
func needed(s *sheet, column int, what string) string {
	text := apiaryText(s, column)
	if at := s.header.place[column]; at >= 0 && s.cells[at] == "" {
		s.fail(at, nameFault(what))
	}
	return text
}

// fill reads a cell into target; a blank one leaves it as it is.
func fill[T any](s *sheet, column int, target *T, reader func(*sheet, int) (T, *fault)) {
	at := s.header.place[column]
	if at < 0 || s.cells[at] == "" {
		return
	}
	v, f := reader(s, at)
	if f != nil {
		s.fail(at, f)
		return
	}
	*target = v
}

// fillNumber does so for a number, which is then known.
func fillNumber(s *sheet, column int, target *bioassay.Optional, reader func(*sheet, int) (float64, *fault)) {
	fill(s, column, target, func(s *sheet, at int) (bioassay.Optional, *fault) {
		v, f := reader(s, at)
		return bioassay.Known(v), f
	})
}

// degreesWithin returns a reader of degrees between -most and most.
func degreesWithin(most float64, d degrees) func(*sheet, int) (float64, *fault) {
	return numeral(func(text string) (float64, *fault) { return parseDegrees(text, most, d) })
}

// parseUpTo reads a number without sign up to a limit.
func parseUpTo(text string, most float64, what, example string) (float64, *fault) {
	v, f := parseNumber(text, false)
	switch {
	case f != nil && f.code == NotANumber:
		return 0, &fault{NotANumber, "this is not " + what, "enter a number such as " + example}
	case f != nil:
		return 0, f
	case v > most:
		return 0, &fault{TooLarge, fmt.Sprintf("the number is above %g", most), "enter " + what + ", such as " + example}
	}
	return v, nil
}

// layouts are those of every table that this program reads.
func layouts() []layout { return []layout{countLayout, apiaryLayout, treatmentLayout, hivesLayout} }

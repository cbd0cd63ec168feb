package advice

import (
	"math"
	"time"

	"vialwise/bioassay"
)

// Everything in these cases is invented.

func day(year int, month time.Month, d int) bioassay.Date {
	return bioassay.Date{Year: year, Month: month, Day: d}
}

var (
	noteDay = day(2031, 5, 2)
	testDay = day(2031, 4, 9)
	oldDay  = day(2029, 4, 9)
	bands   = bioassay.Basis{Name: "fold-bands", Source: "WHO, from memory", Borrowed: "mosquitoes"}
	natural = Variation{Fold: 2.6, Basis: bioassay.Basis{Name: "coast-baseline", Source: "predictive limits of six susceptible populations (invented)"}}
)

// own is a variation found among the assays of the baseline.
var own = Variation{Fold: 1.6, Own: true, Basis: bioassay.Basis{Name: "coast-baseline", Source: "variation between the assays of the baseline"}}

// kind is a finding with the reading that it must get.
type kind struct {
	name    string
	reading Reading
	finding Finding
}

// kinds are findings on an acaricide, one for each way of reading.
func kinds(active string) []kind {
	base := func(f Finding) Finding {
		f.Acaricide, f.Protocol, f.Reference, f.TestedOn = active, "vial-residue", "vial-residue", testDay
		if f.Mites == 0 {
			f.Mites = 72
		}
		if f.Variation.Fold == 0 {
			f.Variation = natural
		}
		return f
	}
	foreign := base(Finding{RR50: KnownRange(30, 20, 45), Survivors: KnownRange(80, 60, 90)})
	foreign.Protocol = "strip-jar"
	failed := base(Finding{RR50: KnownRange(30, 20, 45), Survivors: KnownRange(80, 60, 90), Quality: Quality{Discarded: true, Reason: bioassay.ControlsFailed}})
	return []kind{
		{"susceptible", Susceptible, base(Finding{RR50: KnownRange(1.1, 0.7, 1.7), RR90: KnownRange(1.2, 0.6, 2.2), Survivors: KnownRange(1, 0, 3.2), Trend: TrendTooFewSeasons})},
		{"raised", Raised, base(Finding{RR50: KnownRange(1.5, 1.2, 1.9), Survivors: KnownRange(4, 1, 9)})},
		{"some", Some, base(Finding{RR50: KnownRange(1.3, 0.8, 2.1), Minority: Minority{Fraction: KnownRange(0.15, 0.06, 0.28), P: 0.002}, Survivors: KnownRange(14, 6, 27)})},
		{"resistant", Resistant, base(Finding{RR50: KnownRange(14, 9, 21), RR90: KnownRange(18, 10, 33), Survivors: KnownRange(71, 58, 82), Trend: TrendRising})},
		{"slight", Some, base(Finding{RR50: KnownRange(3.4, 2.8, 4.3), Bands: Bands{Basis: bands, List: []Band{
			{"high", false, 0.01}, {"moderate", false, 0.04}, {"low", true, 0.95}}}, Survivors: KnownRange(16, 9, 25)})},
		{"degree", Resistant, base(Finding{RR50: KnownRange(5.8, 3.8, 9.1), Bands: Bands{Basis: bands, List: []Band{
			{"high", false, 0.02}, {"moderate", false, 0.82}, {"low", true, 0.16}}}, Survivors: KnownRange(38, 25, 55)})},
		{"unclear", Unclear, base(Finding{RR50: KnownRange(2.4, 0.9, 6.2), Bands: Bands{Basis: bands, List: []Band{
			{"low", true, 0.62}, {"moderate", false, 0.30}, {"high", false, 0.08}}}, Survivors: KnownRange(18, 3, 47)})},
		{"likely", Unclear, base(Finding{RR50: KnownRange(4, 1.5, 11), Survivors: KnownRange(30, 5, 60)})},
		{"unbounded", Unclear, base(Finding{RR50: KnownRange(math.NaN(), 1.2, math.Inf(1))})},
		{"nothing", Unclear, base(Finding{})},
		{"shifted", Unclear, base(Finding{RR50: KnownRange(1.9, 1.5, 2.4), RR90: KnownRange(3.1, 1.7, 4.9), Variation: own, Fold90: 5, Survivors: KnownRange(9, 4, 17)})},
		{"disagree", Unclear, base(Finding{RR50: KnownRange(14, 9, 21), Single: Single{Basis: bands, Exposed: 240, Survivors: 1,
			Survival: KnownRange(0.004, 0.0001, 0.019), SusceptibleUpTo: 0.02, ResistantAbove: 0.1}})},
		{"single dies", Susceptible, base(Finding{Single: Single{Basis: bands, Exposed: 200, Survival: KnownRange(0, 0, 0.018), SusceptibleUpTo: 0.02, ResistantAbove: 0.1}})},
		{"single resists", Resistant, base(Finding{Single: Single{Basis: bands, Exposed: 60, Survivors: 20, Survival: KnownRange(0.33, 0.22, 0.47), SusceptibleUpTo: 0.02, ResistantAbove: 0.1}})},
		{"single open", Unclear, base(Finding{Single: Single{Basis: bands, Exposed: 30, Survival: KnownRange(0, 0, 0.116), SusceptibleUpTo: 0.02, ResistantAbove: 0.1}})},
		{"failed", Discarded, failed},
		{"foreign", Foreign, foreign},
	}
}

// aKind is the kind of a name with its acaricide.
func aKind(active, name string) Finding {
	for _, k := range kinds(active) {
		if k.name == name {
			return k.finding
		}
	}
	panic(name)
}

// list is a programme's list of authorised actives.
func list(actives ...Active) Authorised { return Authorised{On: day(2031, 1, 15), Actives: actives} }

var fullList = list(
	Active{Acaricide: "amitraz", NotWithSupers: true},
	Active{Acaricide: "coumaphos", NotWithSupers: true},
	Active{Acaricide: "flumethrin"},
	Active{Acaricide: "tau-fluvalinate"},
	Active{Acaricide: "oxalic acid", NeedsNoBrood: true},
	Active{Acaricide: "thymol", Temperature: KnownRange(20, 15, 30), NotWithSupers: true},
)

func harbour() Context {
	return Context{
		Date: noteDay, Apiary: "Pier 7", Protocol: "vial-residue", Language: "en",
		Brood: bioassay.Yes, Supers: bioassay.No, Temperature: KnownRange(18, 12, 24),
		Authorised: fullList, Contact: "Harbour Coast Mite Programme (invented), 555-0100", Version: "0.5.0",
	}
}

// cases are those that must come out right, by name.
func cases() map[string]struct {
	Findings []Finding
	Context  Context
} {
	type c = struct {
		Findings []Finding
		Context  Context
	}
	used := func(active string, efficacy Range, brood bioassay.Answer) []Treatment {
		return []Treatment{{Acaricide: active, On: day(2030, 9, 3), Efficacy: efficacy, Brood: brood}}
	}
	with := func(change func(*Context), findings ...Finding) c {
		ctx := harbour()
		change(&ctx)
		return c{findings, ctx}
	}
	stale := aKind("amitraz", "susceptible")
	stale.TestedOn = oldDay
	old := func(ctx *Context) { ctx.Treatments = used("coumaphos", Range{}, bioassay.Unanswered) }
	return map[string]c{
		"susceptible": with(old, aKind("amitraz", "susceptible")),
		"resistant":   with(func(ctx *Context) { ctx.Treatments = used("amitraz", KnownRange(61, 48, 72), bioassay.No) }, aKind("amitraz", "resistant")),
		"unclear":     with(old, aKind("amitraz", "unclear")),
		"slight":      with(old, aKind("amitraz", "slight")),
		"shifted":     with(old, aKind("amitraz", "shifted")),
		"failed":      with(old, aKind("amitraz", "failed")),
		"minority":    with(old, aKind("amitraz", "some")),
		"everything": with(func(ctx *Context) { ctx.Treatments = used("flumethrin", Range{}, bioassay.Unanswered) },
			aKind("amitraz", "resistant"), aKind("coumaphos", "some"), aKind("flumethrin", "resistant"), aKind("tau-fluvalinate", "resistant")),
		"field": with(func(ctx *Context) { ctx.Treatments = used("oxalic acid", KnownRange(46, 38, 53), bioassay.Yes) },
			aKind("oxalic acid", "susceptible")),
		"stale": with(old, stale),
		"none-authorised": with(func(ctx *Context) {
			ctx.Authorised = list(Active{Acaricide: "flumethrin"}, Active{Acaricide: "tau-fluvalinate"})
		}, aKind("tau-fluvalinate", "resistant")),
		"no-list":   with(func(ctx *Context) { ctx.Authorised = Authorised{} }, aKind("tau-fluvalinate", "resistant")),
		"one-group": with(func(ctx *Context) { ctx.Treatments = used("flumethrin", Range{}, bioassay.Unanswered) }, aKind("tau-fluvalinate", "resistant")),
		"foreign":   with(old, aKind("amitraz", "foreign")),
		"open":      with(func(ctx *Context) { ctx.Brood, ctx.Supers, ctx.Temperature = 0, 0, Range{} }, aKind("tau-fluvalinate", "resistant"), aKind("amitraz", "susceptible")),
		"untested":  with(func(*Context) {}),
		"mixed": with(func(ctx *Context) { ctx.Treatments = used("coumaphos", KnownRange(70, 61, 78), bioassay.Yes) },
			aKind("amitraz", "unclear"), aKind("coumaphos", "some"), aKind("flumethrin", "failed"), aKind("tau-fluvalinate", "resistant"), aKind("thymol", "susceptible")),
	}
}

package render

import (
	"fmt"

	"vialwise/bioassay"
)

// Methods tells how populations were followed over the seasons.
func (t *Tracks) Methods() *Methods {
	var baselines []*bioassay.Baseline
	for _, r := range t.Tracking.Baselines {
		baselines = append(baselines, r.Baseline)
	}
	f := &Fits{Version: t.Version, Options: t.Options.Analysis}
	m := &Methods{version: t.Version, inputs: t.Inputs}
	m.say(fitSentences(f)...)
	m.say(baselineSentences(given(baselines))...)
	m.say(ratioSentences(t.Options)[0])
	m.say(fractionSentences(t.Options)...)
	m.say(trackSentences()...)
	m.say(seedSentence(f), inputSentence(t.Inputs), t.registrySentence())
	return m
}

func trackSentences() []string {
	return []string{
		"The ratios of a series are against one baseline throughout. Several assays of a season were summarised first, by their precision.",
		"The trend of a series is a weighted regression of log10 of the ratio on time, the beginning of each season, with variation between seasons estimated by the method of Paule and Mandel [[paule1982]] and with the limits of Knapp and Hartung [[knapp2003]], the variance factor never below 1; with fewer than four seasons no limits are given.",
		"The mean ratio of a region is a random-effects mean over its apiaries with the same limits; the ratios of single apiaries are drawn towards it in proportion to their own uncertainty [[henderson1975]].",
		"The share of apiaries above a bound is the mean of their probabilities; its limits are of a mixture of beta distributions with Jeffreys' prior over the number that may lie above [[brown2001]].",
	}
}

// registrySentence says which state of the registry was read.
func (t *Tracks) registrySentence() string {
	if t.Registry == nil {
		return ""
	}
	return fmt.Sprintf("Counts were read from the registry %s as of event %d of its history (%s).", oneLine(t.Registry.File), t.Registry.Events, t.Registry.Head)
}

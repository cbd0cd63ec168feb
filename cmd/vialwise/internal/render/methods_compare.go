package render

import (
	"fmt"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp/mixture"
)

// given returns a standard deviation between susceptible populations that was
// given, in words with its source, and nothing where it was estimated.
func given(baselines []*bioassay.Baseline) string {
	for _, b := range baselines {
		if b.BetweenSD.Known {
			return fmt.Sprintf("The standard deviation of log10 LC50 between susceptible populations was taken as %g (%s).", b.BetweenSD.Value, b.BetweenSource)
		}
	}
	return ""
}

func baselineSentences(between string) []string {
	if between == "" {
		between = "The variance between susceptible populations was estimated by the method of Paule and Mandel [[paule1982]]."
	}
	return []string{
		"A baseline was made of the assays of susceptible mites under one protocol; log10 lethal concentrations of several were summarised with random effects, with the limits of Knapp and Hartung [[knapp2003]].",
		between,
		"The range in which a further susceptible population may lie is a prediction interval that carries the uncertainty of that variance [[nagashima2019]].",
	}
}

func ratioSentences(o bioassay.CompareOptions) []string {
	sentences := []string{
		"A resistance ratio is the lethal concentration of a population over that of its baseline; its limits combine the profile likelihood limits of both [[zou2008]], and those by the delta method [[robertson1992]] are given beside them.",
		"Parallelism and equality of lines were tested by likelihood ratios, divided by the pooled h where the rule applies it and then referred to F [[mccullagh1989]], and adjusted for the number of populations compared with one baseline [[holm1979]].",
	}
	if b := o.Bands; b != nil {
		sentences = append(sentences, fmt.Sprintf("Each band of the ratio under rule set %s has its posterior probability.", strings.TrimSuffix(b.Basis.String(), ".")))
	}
	return sentences
}

func fractionSentences(o bioassay.CompareOptions) []string {
	least := o.LeastFold
	if least == 0 {
		least = mixture.DefaultLeastFold
	}
	return []string{
		fmt.Sprintf("The fraction of resistant mites was estimated by a mixture of a susceptible line and one shifted to doses at least %g times as high, fitted in one likelihood with the baseline, with profile likelihood limits [[venzon1988]], and tested one-sided against 0 with half a chi-squared [[self1987]].", least),
		"Survivors at a single concentration have exact binomial limits [[clopper1934]] and are compared with the survival that the baseline predicts.",
	}
}

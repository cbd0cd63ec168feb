package render

import (
	"fmt"
	"math"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// Methods is what a paper must say of how results were made. Its paragraphs cite
// references by key, as [[key]] or [[key,key]].
type Methods struct {
	version    string
	paragraphs []string
	inputs     []Input
}

// Methods tells how the fits were made.
func (f *Fits) Methods() *Methods {
	m := &Methods{version: f.Version, inputs: f.Inputs}
	m.say(fitSentences(f)...)
	m.say(seedSentence(f), inputSentence(f.Inputs))
	return m
}

// Methods tells how the comparisons were made.
func (c *Comparisons) Methods() *Methods {
	f := &Fits{Version: c.Version, Options: c.Options.Analysis}
	m := &Methods{version: c.Version, inputs: c.Inputs}
	m.say(fitSentences(f)...)
	m.say(baselineSentences(given(c.Baselines))...)
	m.say(ratioSentences(c.Options)...)
	m.say(fractionSentences(c.Options)...)
	m.say(seedSentence(f), inputSentence(c.Inputs))
	return m
}

// Methods tells how the baselines were made.
func (b *Baselines) Methods() *Methods {
	f := &Fits{Version: b.Version, Options: b.Options}
	m := &Methods{version: b.Version, inputs: b.Inputs}
	m.say(fitSentences(f)...)
	m.say(baselineSentences(given(b.Baselines))...)
	m.say("Candidates for a discriminating concentration are LC99 and twice LC99 of the baseline under the probit, logit and complementary log-log link.")
	m.say(seedSentence(f), inputSentence(b.Inputs))
	return m
}

// Paragraphs returns the text with citations by author and year.
func (m *Methods) Paragraphs() []string {
	var out []string
	for _, p := range m.paragraphs {
		out = append(out, cited(p, func(list []Reference) string {
			var names []string
			for _, r := range list {
				names = append(names, r.Short())
			}
			return "(" + strings.Join(names, "; ") + ")"
		}))
	}
	return out
}

// References returns what the paragraphs cite, in the order of the alphabet, with
// the version of this program.
func (m *Methods) References() []Reference {
	list := citedIn(m.paragraphs)
	for i := range list {
		if list[i].Kind == "software" {
			list[i].Where = "Software, version " + m.version
		}
	}
	return list
}

// Inputs are the files behind the results.
func (m *Methods) Inputs() []Input { return m.inputs }

// Version is that of this program.
func (m *Methods) Version() string { return m.version }

func (m *Methods) say(sentences ...string) {
	var said []string
	for _, s := range sentences {
		if s != "" {
			said = append(said, s)
		}
	}
	if said != nil {
		m.paragraphs = append(m.paragraphs, strings.Join(said, " "))
	}
}

var linkWords = map[doseresp.Link]string{doseresp.Probit: "probit", doseresp.Logit: "logit", doseresp.Cloglog: "complementary log-log"}

func fitSentences(f *Fits) []string {
	o := f.Options.Fit
	dead := "Moribund mites counted as dead."
	if !f.Options.Moribund.AsDead() {
		dead = "Moribund mites counted as alive."
	}
	sentences := []string{
		fmt.Sprintf("Dose-response lines were fitted by maximum likelihood with a %s link on log10 dose [[finney1971]], with Vialwise %s [[vialwise]].", linkWords[o.Link], f.Version),
		naturalSentence(o.Natural),
		dead,
		fmt.Sprintf("Standard errors come from the %s information matrix.", o.Information),
		fmt.Sprintf("Limits of the lethal concentrations are %s fiducial limits [[fieller1940]].", percent(level(o))),
		heterogeneitySentence(o.Heterogeneity),
		"Where bounded fiducial limits do not exist, those of a posterior take their place, and are marked: beta-binomial likelihood [[griffiths1973]], integrated numerically, with these priors: " + priorWords(f.Options) + ".",
		"Robust limits, which let containers vary beyond binomial chance, are profile likelihood limits [[venzon1988]] of a beta-binomial model [[griffiths1973]], or those of the posterior where these are not bounded.",
	}
	return append(sentences, limitSentences(f)...)
}

func naturalSentence(n doseresp.NaturalMortality) string {
	switch n.Mode {
	case doseresp.None:
		return "Natural mortality was taken as 0, and untreated containers were left out."
	case doseresp.Fixed:
		return "Natural mortality was fixed at " + percent(n.Value) + "."
	case doseresp.AbbottCorrection:
		return "Mortality was corrected for natural mortality by Abbott's formula before the fit [[abbott1925]]."
	}
	return "Natural mortality was estimated jointly with the line wherever there were untreated containers, and otherwise taken as 0."
}

func heterogeneitySentence(rule doseresp.HeterogeneityRule) string {
	when := map[doseresp.HeterogeneityRule]string{
		doseresp.WhenAboveOne:    "exceeded 1",
		doseresp.WhenSignificant: "was significant (P < 0.15)",
	}[rule]
	if when == "" {
		return "No heterogeneity factor was applied."
	}
	return "Where the heterogeneity h, Pearson's chi-squared over its degrees of freedom by container, " + when +
		", the variances in the limits were multiplied by h and Student's t took the place of the normal quantile [[finney1971]]."
}

// priorWords states the priors of the posterior.
func priorWords(o bioassay.AnalysisOptions) string {
	p := doseresp.DefaultPriors()
	if o.Priors != nil {
		p = *o.Priors
	}
	centre := "the middle of the tested doses"
	if !math.IsNaN(p.Log10LC50Mean) {
		centre = fmt.Sprintf("%.4g", p.Log10LC50Mean)
	}
	natural := ""
	if mode := o.Fit.Natural.Mode; mode == doseresp.Estimated || mode == doseresp.AbbottCorrection {
		natural = fmt.Sprintf(" natural mortality Beta(%g, %g),", p.NaturalA, p.NaturalB)
	}
	return fmt.Sprintf("log10 LC50 normal about %s with SD %g, slope lognormal with median %g probits and log-SD %g,%s intra-container correlation exponential with mean %g",
		centre, p.Log10LC50SD, p.SlopeMedian, p.SlopeLogSD, natural, p.RhoMean)
}

// limitSentences tell of the sets of limits that were asked for.
func limitSentences(f *Fits) []string {
	var out []string
	if f.Options.Limits.Profile {
		out = append(out, "Profile likelihood limits [[venzon1988]] are given beside them, by the binomial likelihood and by the beta-binomial one.")
	}
	if f.Options.Limits.Posterior {
		out = append(out, "Posterior medians with equal-tailed limits are given beside them.")
	}
	if f.Options.Limits.Bootstrap {
		out = append(out, fmt.Sprintf("Parametric bootstrap limits, percentile [[efron1979]] and bias-corrected accelerated [[efron1987]], rest on %d replicates.", replicates(f)))
	}
	return out
}

func seedSentence(f *Fits) string {
	if f.Options.Limits.Bootstrap {
		return fmt.Sprintf("The bootstrap drew its random numbers with seed %d; nothing else is random.", f.Options.Seed)
	}
	return "No random numbers were used."
}

func inputSentence(inputs []Input) string {
	var files []string
	for _, i := range inputs {
		files = append(files, fmt.Sprintf("%s (SHA-256 %s)", oneLine(i.File), i.SHA256))
	}
	if files == nil {
		return ""
	}
	return "Counts were read from " + strings.Join(files, ", ") + "."
}

package render

import (
	"math"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// The parts of the JSON that hold further limits, diagnostics and lack of fit.
// Sets of limits that were not computed are left out.

type posteriorLCJSON struct {
	Median number `json:"median"`
	Lower  number `json:"lower"`
	Upper  number `json:"upper"`
	Kind   string `json:"kind"`
}

type bootstrapLCJSON struct {
	Percentile limitsJSON `json:"percentile"`
	BCa        limitsJSON `json:"bca"`
	Failed     int        `json:"failed"`
}

type reportedJSON struct {
	Estimate number `json:"estimate"`
	Lower    number `json:"lower"`
	Upper    number `json:"upper"`
	From     string `json:"from"`
}

type robustJSON struct {
	Lower number `json:"lower"`
	Upper number `json:"upper"`
	From  string `json:"from"`
}

type betaBinomialJSON struct {
	Intercept number `json:"intercept"`
	Slope     number `json:"slope"`
	Natural   number `json:"natural_mortality"`
	Rho       number `json:"rho"`
	Boundary  bool   `json:"boundary"`
	LogLik    number `json:"loglik"`
}

type posteriorJSON struct {
	Priors priorsJSON `json:"priors"`
	Error  number     `json:"error"`
	Points int        `json:"points"`
}

type priorsJSON struct {
	Log10LC50Mean number `json:"log10_lc50_mean"`
	Log10LC50SD   number `json:"log10_lc50_sd"`
	SlopeMedian   number `json:"slope_median_probits"`
	SlopeLogSD    number `json:"slope_log_sd"`
	NaturalA      number `json:"natural_mortality_a"`
	NaturalB      number `json:"natural_mortality_b"`
	RhoMean       number `json:"rho_mean"`
}

type exceedsJSON struct {
	Dose        number `json:"dose"`
	Probability number `json:"probability"`
}

type bootstrapJSON struct {
	Replicates int    `json:"replicates"`
	Seed       uint64 `json:"seed"`
	Rho        number `json:"rho"`
	Bracketed  int    `json:"bracketed"`
	Excluded   int    `json:"excluded"`
}

type diagnosticJSON struct {
	Concentration number `json:"concentration"`
	Exposed       int    `json:"exposed"`
	Dead          int    `json:"dead"`
	Expected      number `json:"expected"`
	Residual      number `json:"residual"`
	Leverage      number `json:"leverage"`
	Standardised  number `json:"standardised"`
	Sparse        bool   `json:"sparse"`
}

type lackOfFitJSON struct {
	Verdict  string            `json:"verdict"`
	BestLink string            `json:"best_link"`
	AIC      map[string]number `json:"aic"`
	Message  string            `json:"message"`
}

func newReportedJSON(r bioassay.Reported) reportedJSON {
	from := "fiducial"
	switch {
	case r.Posterior:
		from = "posterior"
	case math.IsNaN(r.Estimate):
		from = "none"
	}
	return reportedJSON{positive(r.Estimate), positive(r.Lower), positive(r.Upper), from}
}

// addLimits fills in the sets of limits of the i-th LCp.
func (j *lcJSON) addLimits(a *bioassay.Analysis, i int) {
	l := &a.Limits
	j.Reported = newReportedJSON(a.Report(i))
	robust := l.Robust[i]
	j.Robust = robustJSON{positive(robust.Lower), positive(robust.Upper), robust.From.String()}
	if l.Profile != nil {
		profile, beta := newLimitsJSON(l.Profile[i]), newLimitsJSON(l.BetaBinomialProfile[i])
		j.Profile, j.BetaBinomialProfile = &profile, &beta
	}
	if l.Posterior != nil {
		p := l.PosteriorLC[i]
		j.Posterior = &posteriorLCJSON{positive(p.Median), positive(p.Lower), positive(p.Upper), doseresp.Bounded.String()}
	}
	if l.Bootstrap != nil {
		b := l.Bootstrap.Limits[i]
		j.Bootstrap = &bootstrapLCJSON{newLimitsJSON(b.Percentile), newLimitsJSON(b.BCa), b.Failed}
	}
}

// addFurther fills in what is said once for an assay.
func (j *assayJSON) addFurther(a *bioassay.Analysis, seed uint64) {
	l := &a.Limits
	if b := l.BetaBinomial; b != nil {
		j.BetaBinomial = &betaBinomialJSON{number(b.Intercept), number(b.Slope), number(b.Natural), number(b.Rho), b.Boundary, number(b.LogLik)}
	}
	if p := l.Posterior; p != nil {
		q := p.Priors
		j.Posterior = &posteriorJSON{
			Priors: priorsJSON{
				number(q.Log10LC50Mean), number(q.Log10LC50SD), number(q.SlopeMedian), number(q.SlopeLogSD),
				number(q.NaturalA), number(q.NaturalB), number(q.RhoMean),
			},
			Error: number(p.Error), Points: p.Points,
		}
	}
	for _, e := range l.Exceeds {
		j.Exceeds = append(j.Exceeds, exceedsJSON{number(e.Dose), number(e.Probability)})
	}
	if b := l.Bootstrap; b != nil {
		j.Bootstrap = &bootstrapJSON{b.Replicates, seed, number(b.Rho), b.Bracketed, b.Excluded}
	}
	for _, d := range a.Diagnostics {
		j.Diagnostics = append(j.Diagnostics, diagnosticJSON{
			number(d.Container.Dose), d.Container.Exposed, d.Container.Dead,
			number(d.ExpectedDead), number(d.Residual), number(d.Leverage), number(d.Standardised), d.Sparse,
		})
	}
	if a.Fit.Status == doseresp.Converged {
		j.LackOfFit = newLackOfFitJSON(a.LackOfFit)
	}
}

func newLackOfFitJSON(l doseresp.LackOfFit) *lackOfFitJSON {
	j := &lackOfFitJSON{Verdict: l.Verdict.String(), BestLink: l.BestLink.String(), AIC: map[string]number{}, Message: l.Message}
	for _, link := range doseresp.Links() {
		j.AIC[link.String()] = number(l.ByLink[link].AIC)
	}
	return j
}

package figures

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/bioassay"
	"vialwise/doseresp"
	"vialwise/plots"
)

// LinkScale is the figure of an analysis on the scale of its link, where the
// line is straight; ok is false without a line.
func LinkScale(a *bioassay.Analysis, mark string) (f plots.LinkScale, ok bool) {
	return plots.LinkScale{Curve: Curve(a, mark), Link: a.Fit.Link}, a.Fit.Status == doseresp.Converged
}

// Residuals is the figure of the standardised Pearson residual of every
// container in the likelihood; ok is false without a line.
func Residuals(a *bioassay.Analysis, mark string) (f plots.Residuals, ok bool) {
	own := Curve(a, mark)
	f = plots.Residuals{Caption: own.Caption, Substance: own.Substance, Kind: "Standardised Pearson residual"}
	for _, d := range a.Diagnostics {
		if d.Container.Exposed == 0 || math.IsNaN(d.ExpectedDead) {
			continue
		}
		f.Residual = append(f.Residual, plots.Residual{
			Concentration: d.Container.Dose, Fitted: d.ExpectedDead / float64(d.Container.Exposed),
			Value: d.Standardised, Exposed: d.Container.Exposed,
		})
	}
	return f, a.Fit.Status == doseresp.Converged && len(f.Residual) > 0
}

// Density is the figure of the posterior of LC50 with its prior and, below it,
// the fiducial and the robust limits; ok is false where no posterior was
// computed.
func Density(a *bioassay.Analysis, mark string) (f plots.Density, ok bool) {
	p := a.Limits.Posterior
	i := slices.IndexFunc(a.Fit.LC, func(lc doseresp.LC) bool { return lc.Percent == 50 })
	if p == nil || i < 0 {
		return f, false
	}
	own := Curve(a, mark)
	prior := distuv.Normal{Mu: p.Priors.Log10LC50Mean, Sigma: p.Priors.Log10LC50SD}
	limits := a.Limits.PosteriorLC[i]
	f = plots.Density{
		Caption: own.Caption, Substance: own.Substance, Posterior: p.Density, Prior: prior.Prob,
		Median: limits.Median, Lower: limits.Lower, Upper: limits.Upper, Level: a.Fit.Level,
	}
	if lc := a.Fit.LC[i]; lc.Fiducial.Kind == doseresp.Bounded {
		f.Limits = append(f.Limits, plots.Interval{Name: "fiducial", Estimate: lc.Estimate, Lower: lc.Fiducial.Lower, Upper: lc.Fiducial.Upper})
	}
	if r := a.Limits.Robust[i]; r.From == bioassay.RobustBetaBinomial {
		f.Limits = append(f.Limits, plots.Interval{Name: "robust", Estimate: a.Fit.LC[i].Estimate, Lower: r.Lower, Upper: r.Upper})
	}
	return f, true
}

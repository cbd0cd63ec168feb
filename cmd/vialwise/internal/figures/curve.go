package figures

import (
	"fmt"
	"math"
	"slices"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
	"vialwise/plots"
)

// Curve turns an analysis into its dose-response figure, with a remark in its
// footer.
func Curve(a *bioassay.Analysis, mark string) plots.Curve {
	r := a.Fit
	answer := a.Report(slices.IndexFunc(r.LC, func(lc doseresp.LC) bool { return lc.Percent == 50 }))
	c := plots.Curve{
		Caption:   plots.Caption{Title: a.Assay.Name, Subtitle: subtitle(a), Mark: mark},
		Substance: plots.Substance{Acaricide: a.Assay.Acaricide, Unit: a.Assay.Unit},
		Population: plots.Population{
			Points:           pooled(a),
			NaturalMortality: r.Natural.Estimate,
			LC50:             math.NaN(),
		},
	}
	if r.Status != doseresp.Converged {
		c.Note = "no fit: " + r.Status.String()
		if answer.Posterior {
			c.Note += "; † posterior median and limits"
		}
		c.Bracket = [2]float64{r.Bracket.Lower, r.Bracket.Upper}
		return c
	}
	c.Response = r.Mortality
	if m := multiplier(r); m < math.Inf(1) {
		c.Band = fittedLine(r, m).Band
	}
	c.LC50, c.Lower, c.Upper = answer.Estimate, answer.Lower, answer.Upper
	if answer.Posterior {
		c.Note = "† limits of the posterior: no bounded fiducial ones exist"
	}
	return c
}

// multiplier returns what the standard errors of a fit are multiplied by in its
// fiducial limits, √g |b| / SE(b): the quantile times the root of the
// heterogeneity factor.
func multiplier(r *doseresp.Result) float64 {
	return math.Sqrt(r.G) * math.Abs(r.Slope) / r.SlopeStdErr
}

// fittedLine is the fit as figures draw it.
func fittedLine(r *doseresp.Result, multiplier float64) plots.Line {
	return plots.Line{
		Link: r.Link, Intercept: r.Intercept, Slope: r.Slope,
		NaturalMortality: r.Natural.Estimate, Cov: r.Cov, Multiplier: multiplier,
	}
}

func subtitle(a *bioassay.Analysis) string {
	unit := a.Assay.Unit
	if unit != "" {
		unit = " " + unit
	}
	s := fmt.Sprintf("LC50 %s%s, n %d", render.LC50(a), unit, a.Fit.TreatedExposed)
	if a.Assay.CollectedOn != (bioassay.Date{}) {
		s += ", " + a.Assay.CollectedOn.String()
	}
	return s
}

// pooled adds up the containers at each concentration, for display only.
func pooled(a *bioassay.Analysis) []plots.Point {
	var points []plots.Point
	for _, c := range a.Assay.Counts(a.Moribund) {
		i := slices.IndexFunc(points, func(p plots.Point) bool { return p.Concentration == c.Dose })
		if i < 0 {
			i = len(points)
			points = append(points, plots.Point{Concentration: c.Dose})
		}
		points[i].Exposed += c.Exposed
		points[i].Dead += c.Dead
	}
	return points
}

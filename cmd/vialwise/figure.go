package main

import (
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
	"vialwise/plots"
)

// curve turns an analysis into its dose-response figure, with a remark in its
// footer.
func curve(a *bioassay.Analysis, mark string) plots.Curve {
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

// writeCurve draws the figure of an analysis.
func writeCurve(w io.Writer, a *bioassay.Analysis, mark string) error {
	if err := plots.Write(w, curve(a, mark), plots.SVG); err != nil {
		return fmt.Errorf("figure of assay %q: %w", a.Assay.Name, err)
	}
	return nil
}

// deviceName matches names that Windows keeps for devices, whatever extension
// follows.
var deviceName = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com\d|lpt\d)$`)

// folded is equal for names that a file system may take for the same. Upper
// case comes first because two small letters, as sigma and final sigma, share one.
func folded(name string) string { return strings.ToLower(strings.ToUpper(name)) }

// fileNames gives every name a file name of its own that any file system
// takes: letters and digits of any script are kept.
func fileNames(names []string) []string {
	used := map[string]bool{}
	files := make([]string, len(names))
	for i, name := range names {
		base := strings.Trim(strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' {
				return r
			}
			return '-'
		}, name), "-")
		if base == "" || deviceName.MatchString(base) {
			base = strings.TrimSuffix("assay-"+base, "-")
		}
		if runes := []rune(base); len(runes) > 60 {
			base = string(runes[:60])
		}
		file := base
		for n := 2; used[folded(file)]; n++ {
			file = fmt.Sprintf("%s-%d", base, n)
		}
		used[folded(file)] = true
		files[i] = file
	}
	return files
}

package doseresp

import (
	"fmt"
	"math"
	"strings"
)

// sentence puts the verdict into words, with the numbers it rests on.
func (l *LackOfFit) sentence() string {
	chosen, best := &l.ByLink[l.Chosen], &l.ByLink[l.BestLink]
	x := chosen.Pearson
	switch {
	case math.IsNaN(chosen.AIC):
		return fmt.Sprintf("the %v link finds no finite rising line (%v), so its fit cannot be judged", l.Chosen, chosen.Status)
	case x.DF < 1:
		return fmt.Sprintf("no degree of freedom is left: the %v line passes through its counts whatever they are, and its fit cannot be judged", l.Chosen)
	case l.Verdict == WrongLink:
		return fmt.Sprintf("%v describes these counts better than %v (AIC %s) and takes away the bend that %v leaves (P = %.2g, with %v %.2g): change the link; a heterogeneity factor would only hide the bend",
			l.BestLink, l.Chosen, l.listAIC(), l.Chosen, chosen.CurvedP, l.BestLink, best.CurvedP)
	case l.Verdict == LineFits:
		return fmt.Sprintf("the %v line agrees with the containers (χ² = %.4g, df %d, P = %.2g; AIC %s)", l.Chosen, x.X2, x.DF, x.P, l.listAIC())
	case l.Verdict == ExtraVariation && l.Within.P < lackOfFitLevel:
		return fmt.Sprintf("containers of the same dose differ more than chance allows (χ² within doses = %.4g, df %d, P = %.2g), which no link explains (AIC %s): the limits need the heterogeneity factor, h = %.3g",
			l.Within.X2, l.Within.DF, l.Within.P, l.listAIC(), x.X2/float64(x.DF))
	case l.Verdict == ExtraVariation:
		return fmt.Sprintf("the counts scatter about the line of every link without a bend (%v: χ² = %.4g, df %d, P = %.2g; AIC %s): the limits need the heterogeneity factor, h = %.3g",
			l.Chosen, x.X2, x.DF, x.P, l.listAIC(), x.X2/float64(x.DF))
	}
	return fmt.Sprintf("the %v line does not agree with the containers (χ² = %.4g, df %d, P = %.2g), but neither another link (AIC %s) nor variation between containers of a dose%s explains it clearly: look at the residuals",
		l.Chosen, x.X2, x.DF, x.P, l.listAIC(), l.withinWords())
}

// withinWords puts P within doses in brackets, or why there is none.
func (l *LackOfFit) withinWords() string {
	if l.Within.DF < 1 {
		return " (one container each)"
	}
	return fmt.Sprintf(" (P = %.2g)", l.Within.P)
}

// listAIC lists the criterion by link.
func (l *LackOfFit) listAIC() string {
	var parts []string
	for _, link := range Links() {
		if aic := l.ByLink[link].AIC; math.IsNaN(aic) {
			parts = append(parts, fmt.Sprintf("%v none", link))
		} else {
			parts = append(parts, fmt.Sprintf("%v %.1f", link, aic))
		}
	}
	return strings.Join(parts, ", ")
}

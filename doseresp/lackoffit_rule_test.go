package doseresp

import (
	"math"
	"testing"
)

// TestLackOfFitRule moves one number at a time across its threshold, from a
// probit line that is bent and a cloglog one that is not.
func TestLackOfFitRule(t *testing.T) {
	wrong := func() *LackOfFit {
		l := &LackOfFit{Chosen: Probit, BestLink: Cloglog, Within: Pearson{X2: 8, DF: 10, P: .6}}
		l.ByLink[Probit] = LinkFit{AIC: 44.1, Pearson: Pearson{X2: 25, DF: 14, P: .04}, CurvedP: .049}
		l.ByLink[Logit] = LinkFit{AIC: 45, Pearson: Pearson{X2: 25, DF: 14, P: .04}, CurvedP: .03}
		l.ByLink[Cloglog] = LinkFit{AIC: 40, Pearson: Pearson{X2: 15, DF: 14, P: .4}, CurvedP: .6}
		return l
	}
	for name, c := range map[string]struct {
		change func(*LackOfFit)
		want   LackOfFitVerdict
	}{
		"as it is":               {func(*LackOfFit) {}, WrongLink},
		"X2 not significant":     {func(l *LackOfFit) { l.ByLink[Probit].Pearson.P = .2 }, WrongLink},
		"AIC too near":           {func(l *LackOfFit) { l.ByLink[Probit].AIC = 43.9 }, UndecidedLackOfFit},
		"AIC near, for this h":   {func(l *LackOfFit) { l.Within.X2 = 10.5 }, UndecidedLackOfFit},
		"h below 1":              {func(l *LackOfFit) { l.ByLink[Probit].AIC, l.Within.X2 = 43.9, 2 }, UndecidedLackOfFit},
		"chosen not bent":        {func(l *LackOfFit) { l.ByLink[Probit].CurvedP = .051 }, UndecidedLackOfFit},
		"bend unknown":           {func(l *LackOfFit) { l.ByLink[Probit].CurvedP = math.NaN() }, UndecidedLackOfFit},
		"best bent too":          {func(l *LackOfFit) { l.ByLink[Cloglog].CurvedP = .04 }, UndecidedLackOfFit},
		"best misfits, straight": {func(l *LackOfFit) { l.ByLink[Cloglog].Pearson.P = .04 }, ExtraVariation},
		"best misfits, bent": {func(l *LackOfFit) {
			l.ByLink[Cloglog].Pearson.P, l.ByLink[Cloglog].CurvedP = .04, .04
		}, UndecidedLackOfFit},
		"all but logit misfit": {func(l *LackOfFit) {
			l.ByLink[Cloglog].Pearson.P, l.ByLink[Logit].Pearson.P = .04, .06
		}, UndecidedLackOfFit},
		"logit has no line": {func(l *LackOfFit) {
			l.ByLink[Cloglog].Pearson.P, l.ByLink[Logit] = .04, LinkFit{AIC: math.NaN()}
		}, ExtraVariation},
		"uneven within, near": {func(l *LackOfFit) { l.Within = Pearson{X2: 19, DF: 10, P: .04} }, ExtraVariation},
		"uneven within, X2 not": {func(l *LackOfFit) {
			l.Within, l.ByLink[Probit].Pearson.P = Pearson{X2: 19, DF: 10, P: .04}, .06
		}, LineFits},
		"fits":         {func(l *LackOfFit) { l.ByLink[Probit].AIC, l.ByLink[Probit].Pearson.P = 42, .06 }, LineFits},
		"no degree":    {func(l *LackOfFit) { l.ByLink[Probit].Pearson.DF = 0 }, UndecidedLackOfFit},
		"no line":      {func(l *LackOfFit) { l.ByLink[Probit].AIC = math.NaN() }, UndecidedLackOfFit},
		"no replicate": {func(l *LackOfFit) { l.Within = Pearson{P: math.NaN()} }, WrongLink},
	} {
		l := wrong()
		c.change(l)
		if l.judge(); l.Verdict != c.want {
			t.Errorf("%s: %v, want %v", name, l.Verdict, c.want)
		}
	}
}

func TestLowestAIC(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		chosen Link
		aic    [3]float64
		want   Link
	}{
		{Probit, [3]float64{9, 8, 7}, Cloglog},
		{Cloglog, [3]float64{7, 8, 9}, Probit},
		{Logit, [3]float64{8, 8, 8}, Logit},
		{Probit, [3]float64{nan, 8, 7}, Cloglog},
		{Probit, [3]float64{9, nan, nan}, Probit},
		{Logit, [3]float64{nan, nan, nan}, Logit},
	} {
		l := LackOfFit{Chosen: c.chosen}
		for i, aic := range c.aic {
			l.ByLink[i].AIC = aic
		}
		if got := l.lowestAIC(); got != c.want {
			t.Errorf("%v with AIC %v: %v, want %v", c.chosen, c.aic, got, c.want)
		}
	}
}

// TestCurvatureNeedsThreeDoses: through two doses, however many containers
// they have, there is no bend.
func TestCurvatureNeedsThreeDoses(t *testing.T) {
	for _, doses := range []int{2, 3} {
		assay := []Container{{0, 20, 1}, {0, 20, 2}}
		for i, dead := range []int{5, 11, 14}[:doses] {
			dose := math.Pow(2, float64(i))
			assay = append(assay, Container{dose, 20, dead}, Container{dose, 20, dead + 2})
		}
		l, err := ExplainLackOfFit(assay, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range l.ByLink {
			if math.IsNaN(k.CurvedP) != (doses == 2) || math.IsNaN(k.Curvature) != (doses == 2) {
				t.Errorf("%d doses: %+v", doses, k)
			}
		}
	}
}

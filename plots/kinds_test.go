package plots

import (
	"fmt"
	"math"

	"vialwise/doseresp"
)

// several returns a set of populations with LC50s spread over decades of the
// given range. All is invented.
func several(n int, decades float64, name func(i int) string) CurveSet {
	c := CurveSet{Caption: Caption{Title: "Spring 2031", Subtitle: "invented populations"}, Substance: Substance{"amitraz", "µg/vial"}}
	for i := range n {
		lc := math.Pow(10, decades*(float64(i)/math.Max(1, float64(n-1))-0.5))
		l := line(lc, 2.2)
		one := Population{Name: name(i), NaturalMortality: 0.05, LC50: lc, Lower: lc / 1.3, Upper: lc * 1.35, Response: l.Mortality, Band: l.Band}
		one.Points = append(one.Points, Point{0, 30, 1 + i%3})
		for k := range 5 {
			d := math.Pow(10, -0.6+0.3*float64(k)) * math.Pow(10, math.Round(math.Log10(lc)))
			one.Points = append(one.Points, Point{d, 20 + 5*(i%4), int(float64(20+5*(i%4))*l.Mortality(d) + 0.5)})
		}
		c.Populations = append(c.Populations, one)
	}
	return c
}

func apiary(i int) string { return fmt.Sprintf("Apiary %d", i+1) }

func greek(i int) string { return fmt.Sprintf("%s%d", greek60[:len(greek60)-3], i) }

// ratios returns a forest of n invented populations.
func ratios(n int, name func(i int) string) Forest {
	r := Forest{
		Caption:   Caption{Title: "Resistance ratios to amitraz", Subtitle: "against the baseline of 2029, invented data"},
		Variation: [2]float64{0.6, 1.7},
	}
	for i := range n {
		v := math.Pow(10, 1.6*math.Sin(float64(i)*1.7)*math.Sin(float64(i)*1.7)-0.3)
		r.Ratios = append(r.Ratios, Ratio{Name: name(i), Estimate: v, Lower: v / (1.3 + 0.1*float64(i%4)), Upper: v * (1.35 + 0.2*float64(i%3))})
	}
	return r
}

// everyRatio has each kind of knowledge.
func everyRatio() Forest {
	r := ratios(0, apiary)
	r.Ratios = []Ratio{
		{"North valley", 1.1, 0.8, 1.5, Estimated, PlaceByLimits},
		{"Upper lake, second year", 6.4, 3.9, 11.2, Estimated, PlaceByLimits},
		{"Harbour", 0.42, 0.31, 0.55, Estimated, PlaceByLimits},
		{"No upper limit", 3.1, 1.2, inf, Estimated, PlaceByLimits},
		{"No limits at all", 2.2, 0, inf, Estimated, PlaceByLimits},
		{"No lower limit", 1.4, 0, 4, Estimated, PlaceByLimits},
		{"All survived the top dose", 24, nan, nan, Above, PlaceByLimits},
		{"All died at the lowest dose", 0.3, nan, nan, Below, PlaceByLimits},
		{"Without limits", 2.8, nan, nan, Estimated, PlaceByLimits},
		{"Too few mites", nan, nan, nan, Estimated, PlaceByLimits},
		{"Far limits", 5, 1e-4, 1e6, Estimated, PlaceByLimits},
	}
	return r
}

func residuals(n int) Residuals {
	r := Residuals{Caption: Caption{Title: "Apiary 14, spring 2031"}, Substance: Substance{"amitraz", "µg/vial"}, Kind: "Pearson residual"}
	for i := range n {
		d := 0.25 * math.Pow(2, float64(i/4%6))
		r.Residual = append(r.Residual, Residual{d, probit(1.32, 2.6, 0.05)(d), 2.4 * math.Sin(float64(i)*2.3), 10})
	}
	if n > 3 {
		r.Residual = append(r.Residual, Residual{0, 0.05, -0.6, 20}, Residual{0, 0.05, 0.9, 20}, Residual{4, 0.9, nan, 10})
	}
	return r
}

func normal(mean, sd float64) func(float64) float64 {
	return func(x float64) float64 {
		z := (x - mean) / sd
		return math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
	}
}

func posterior() Density {
	return Density{
		Caption: Caption{Title: "Apiary 3, spring 2031", Note: "no fit: separated"}, Substance: Substance{"coumaphos", "µg/vial"},
		Posterior: normal(0.15, 0.09), Prior: normal(0.15, 1), Median: math.Pow(10, 0.15), Level: 0.95,
		Lower: math.Pow(10, 0.15-1.96*0.09), Upper: math.Pow(10, 0.15+1.96*0.09),
		Limits: []Interval{{"posterior", math.Pow(10, 0.15), math.Pow(10, 0.15-1.96*0.09), math.Pow(10, 0.15+1.96*0.09)}, {"fiducial", nan, 0, inf}, {"profile", nan, 1, 2}},
	}
}

func mixed() Mixture {
	base := probit(1.3, 2.5, 0.04)
	return Mixture{
		Caption: Caption{Title: "Upper lake, autumn 2032", Subtitle: "against the baseline of 2029, invented data"}, Substance: Substance{"amitraz", "µg/vial"},
		Points:   []Point{{0, 40, 2}, {1, 20, 6}, {4, 20, 12}, {11, 30, 20}, {22, 30, 21}},
		Baseline: base, Field: func(d float64) float64 { return 0.04 + 0.7*(base(d)-0.04) },
		NaturalMortality: 0.04, Fraction: 0.3, Lower: 0.17, Upper: 0.44,
	}
}

func seasons(n int, label func(i int) string) Timeline {
	t := Timeline{Caption: Caption{Title: "Harbour", Subtitle: "amitraz, invented data"}, Quantity: "Resistance ratio at LC50", Baseline: [2]float64{0.7, 1.5}}
	for i := range n {
		v := math.Pow(10, 0.11*float64(i)) * (1 + 0.2*math.Sin(float64(i)*2))
		t.Seasons = append(t.Seasons, Season{Label: label(i), Estimate: v, Lower: v / 1.6, Upper: v * 1.7})
	}
	return t
}

func season(i int) string { return fmt.Sprintf("%d-%s", 2031+i/2, []string{"spring", "autumn"}[i%2]) }

// kinds are the figures of other kinds than the curve.
func kinds() map[string]Figure {
	zeroAndHundred := several(12, 0, apiary)
	for i := range zeroAndHundred.Populations {
		one := &zeroAndHundred.Populations[i]
		*one = Population{Name: one.Name, NaturalMortality: nan, LC50: nan, Bracket: [2]float64{1, 2}, Points: separated().Points}
	}
	edge := ordinary()
	edge.Points = []Point{{0, 30, 1}, {0.1, 30, 0}, {0.5, 30, 3}, {1, 30, 10}, {4, 30, 30}, {8, 30, 30}}
	edge.Band, edge.Response = line(1.32, 2.6).Band, line(1.32, 2.6).Mortality
	logit := ordinary()
	l := line(1.32, 4)
	l.Link = doseresp.Logit
	logit.Response, logit.Band = l.Mortality, l.Band
	extremes := separated()
	extremes.Bracket = [2]float64{1, 2}
	broken := seasons(9, season)
	broken.Seasons[3] = Season{season(3), nan, nan, nan, Estimated}
	broken.Seasons[5].Upper, broken.Seasons[6].Lower = inf, 0
	broken.Seasons[8].Censored = Above
	flat := posterior()
	flat.Posterior, flat.Limits, flat.Prior = normal(0.15, 1), nil, nil
	flat.Lower, flat.Upper = 1e-3, 1e3
	longNames := posterior()
	for i := range longNames.Limits {
		longNames.Limits[i].Name = greek(i)
	}
	wide := func(c Caption) Caption { c.Width = TwoColumns; return c }
	set3, set12, forest20, res, mix, post, line9 := several(3, 1, apiary), several(12, 1.5, apiary), ratios(20, greek), residuals(24), mixed(), posterior(), broken
	set3.Caption, set12.Caption, forest20.Caption, res.Caption, mix.Caption, post.Caption, line9.Caption =
		wide(set3.Caption), wide(set12.Caption), wide(forest20.Caption), wide(res.Caption), wide(mix.Caption), wide(post.Caption), wide(line9.Caption)
	bound := mixed()
	bound.Fraction, bound.Lower, bound.Upper, bound.FractionLowerBound = 0.031, nan, nan, true
	none := mixed()
	none.Fraction, none.Lower, none.Upper, none.Points = 0, 0, 1, nil
	hostile := several(2, 1, func(i int) string { return []string{`<b onload="x">&`, "]]>\x00瓦螨"}[i] })
	return map[string]Figure{
		"set-1": several(1, 1, apiary), "set-3": several(3, 1, apiary), "set-3-wide": set3,
		"set-12": several(12, 1.5, apiary), "set-12-wide": set12, "set-24": several(24, 2, apiary),
		"set-six-decades": several(7, 6, apiary), "set-greek": several(12, 1.5, greek), "set-0-100": zeroAndHundred,
		"set-hostile": hostile,
		"scale":       LinkScale{edge, doseresp.Probit}, "scale-logit": LinkScale{logit, doseresp.Logit},
		"scale-cloglog": LinkScale{with(edge, func(c *Curve) { c.NaturalMortality = nan }), doseresp.Cloglog},
		"scale-0-100":   LinkScale{extremes, doseresp.Probit}, "scale-zero": LinkScale{Curve{}, doseresp.Probit},
		"scale-unbounded": LinkScale{unbounded(), doseresp.Probit},
		"residuals":       residuals(24), "residuals-wide": res, "residuals-1": residuals(1), "residuals-0": residuals(0),
		"residuals-huge": Residuals{Residual: []Residual{{1, 0.5, 1234.5, 10}, {1e6, 1, -3, 10}}},
		"forest":         everyRatio(), "forest-1": ratios(1, apiary), "forest-20-greek": ratios(20, greek), "forest-20-wide": forest20,
		"forest-100": ratios(100, apiary), "forest-100-greek": ratios(100, greek),
		"forest-plain":     Forest{Ratios: []Ratio{{"a", 1e-3, 1e-4, 1e-2, Estimated, PlaceByLimits}, {"b", 1e3, 1e2, 1e4, Estimated, PlaceByLimits}}},
		"forest-no-result": Forest{Ratios: []Ratio{{Estimate: nan, Lower: nan, Upper: nan}}},
		"mixture":          mixed(), "mixture-wide": mix, "mixture-bound": bound, "mixture-none": none,
		"density": posterior(), "density-wide": post, "density-flat": flat, "density-greek": longNames,
		"timeline": broken, "timeline-wide": line9, "timeline-1": seasons(1, season), "timeline-40": seasons(40, season),
		"timeline-greek": seasons(12, greek), "timeline-gaps": Timeline{Seasons: []Season{{"2031", nan, nan, nan, Estimated}}},
	}
}

// figures are all of them.
func figures() map[string]Figure {
	out := kinds()
	for name, f := range trends() {
		out[name] = f
	}
	for name, f := range pictures() {
		out[name] = f
	}
	for name, f := range maps() {
		out[name] = f
	}
	for name, c := range curves() {
		out[name] = c
	}
	return out
}

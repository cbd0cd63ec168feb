package plots

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"vialwise/doseresp"

	"gonum.org/v1/plot/vg"
)

// Each kind states its finding in its description.
func TestKindsTellTheFinding(t *testing.T) {
	for name, want := range map[string][]string{
		"set-3":          {"Mortality of 3 populations against concentration of Amitraz (µg/vial).", "Apiary 2: LC50 1 µg/vial, limits 0.7692 to 1.35; Natural mortality 5 %; Dead of exposed: control 2 of 30"},
		"set-0-100":      {"Apiary 12: No LC50 is estimated; it lies between 1 and 2 µg/vial; Dead of exposed"},
		"scale":          {"on the probit scale", "LC50 1.32 µg/vial, limits 1.02 to 1.7."},
		"residuals":      {"9 of 26 residuals lie beyond 2; the largest is −2.396 at 2 µg/vial."},
		"forest":         {"2 of 11 lie above the susceptible variation of 0.6 to 1.7.", "All survived the top dose: above 24.", "Too few mites: no result.", "No upper limit: 3.1, limits 1.2 to unbounded above."},
		"forest-plain":   {"1 of 2 lie above 1."},
		"mixture":        {"Resistant fraction 30\u00a0%, limits 17 to 44\u00a0%.", "Plateau at 71.2\u00a0% mortality."},
		"mixture-bound":  {"Resistant fraction at least 3.1\u00a0%, without limits."},
		"density":        {"Median 1.413 µg/vial, 95\u00a0% limits 0.941 to 2.12.", "fiducial: unbounded below to unbounded above.", "profile: 1 to 2."},
		"timeline":       {"Baseline range 0.7 to 1.5.", "2032-autumn: no result.", "2035-spring: above", "2031-spring: 1, limits 0.625 to 1.7."},
		"set-greek":      {greek(11) + ": LC50"},
		"timeline-greek": {greek(3) + ": "},
	} {
		_, got := figures()[name].words()
		for _, w := range want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: description %q lacks %q", name, got, w)
			}
		}
	}
}

// Two populations differ in at least two of colour, dash and shape, so that they
// are still apart in grey.
func TestLooksDiffer(t *testing.T) {
	for i := range maxPopulations {
		for j := range i {
			a, b := lookOf(i), lookOf(j)
			n := 0
			if a.colour != b.colour {
				n++
			}
			if a.shape != b.shape {
				n++
			}
			if len(a.dash) != len(b.dash) || len(a.dash) > 0 && a.dash[0] != b.dash[0] {
				n++
			}
			if n < 2 {
				t.Errorf("populations %d and %d differ in %d of colour, dash and shape", i+1, j+1, n)
			}
		}
	}
}

// The area of a mark does not depend on its shape: the shoelace formula against
// π r².
func TestShapesHaveOneArea(t *testing.T) {
	for _, s := range []shape{square, triangle, tilted, inverted} {
		c := look{shape: s}.corners(vg.Point{}, 1, 0)
		area := 0.0
		for i := range c {
			j := (i + 1) % len(c)
			area += float64(c[i].X*c[j].Y-c[j].X*c[i].Y) / 2
		}
		if got := math.Abs(area); math.Abs(got-math.Pi) > 0.01 {
			t.Errorf("shape %d of radius 1 has area %.3f, want %.3f", s, got, math.Pi)
		}
	}
}

func TestSideOfTheVariation(t *testing.T) {
	r := Forest{Variation: [2]float64{0.5, 2}}
	for _, c := range []struct {
		ratio       Ratio
		side, plain int // with the variation, and against 1
	}{
		{Ratio{"", 5, 2.1, 9, Estimated, PlaceByLimits}, 1, 1},
		{Ratio{"", 3, 1.1, 9, Estimated, PlaceByLimits}, 0, 1},
		{Ratio{"", 1, 0.4, 9, Estimated, PlaceByLimits}, 0, 0},
		{Ratio{"", 0.2, 0.1, 0.4, Estimated, PlaceByLimits}, -1, -1},
		{Ratio{"", 5, 0, inf, Estimated, PlaceByLimits}, 0, 0},
		{Ratio{"", 5, nan, nan, Estimated, PlaceByLimits}, 0, 0},
		{Ratio{"", 2, nan, nan, Above, PlaceByLimits}, 1, 1},
		{Ratio{"", 1.5, nan, nan, Above, PlaceByLimits}, 0, 1},
		{Ratio{"", 0.4, nan, nan, Below, PlaceByLimits}, -1, -1},
		{Ratio{"", 4, nan, nan, Below, PlaceByLimits}, 0, 0},
		{Ratio{"", nan, nan, nan, Above, PlaceByLimits}, 0, 0},
		{Ratio{"", 1.9, 1.3, 2.7, Estimated, PlaceAbove}, 1, 1}, // a test has decided
		{Ratio{"", 5, 2.1, 9, Estimated, PlaceWithin}, 0, 0},
		{Ratio{"", 0.8, 0.7, 1.1, Estimated, PlaceBelow}, -1, -1},
	} {
		if got := r.side(c.ratio); got != c.side {
			t.Errorf("%+v lies at %d of the variation, want %d", c.ratio, got, c.side)
		}
		if got := (Forest{}).side(c.ratio); got != c.plain {
			t.Errorf("%+v lies at %d of 1, want %d", c.ratio, got, c.plain)
		}
	}
}

func TestNumbersOfARow(t *testing.T) {
	for want, r := range map[string]Ratio{
		"18.0 (11.2–31.4)":  {"", 18, 11.2, 31.4, Estimated, PlaceByLimits},
		"3.10 (1.20–∞)":     {"", 3.1, 1.2, inf, Estimated, PlaceByLimits},
		"9.99 (0–1000)":     {"", 9.994, 0, 999.9, Estimated, PlaceByLimits},
		"10.0 (0.0123–123)": {"", 9.996, 0.01234, 123.4, Estimated, PlaceByLimits},
		">\u00a024.0":       {"", 24, nan, nan, Above, PlaceByLimits},
		"<\u00a00.300":      {"", 0.3, nan, nan, Below, PlaceByLimits},
		"no result":         {"", nan, nan, nan, Estimated, PlaceByLimits},
		"2.80":              {"", 2.8, nan, nan, Estimated, PlaceByLimits},
	} {
		if got := r.numbers(); got != want {
			t.Errorf("%+v is written %q, want %q", r, got, want)
		}
	}
}

// A full page of ratios goes on A4, whatever their names.
func TestHundredRatiosFitOnPaper(t *testing.T) {
	const a4 = 297 * vg.Millimeter
	for _, name := range []string{"forest-100", "forest-100-greek"} {
		if g, _ := drawn(t, figures()[name]); g.h > a4 {
			t.Errorf("%s is %.0f mm high", name, g.h/vg.Millimeter)
		}
	}
}

// On the scale of its link the fitted mortality is a straight line.
func TestFitIsStraightOnItsScale(t *testing.T) {
	for _, link := range doseresp.Links() {
		l := line(1.32, 2.6)
		l.Link = link
		c := LinkScale{ordinary(), link}
		c.Response, c.NaturalMortality = l.Mortality, l.NaturalMortality
		for _, d := range []float64{0.5, 1, 2, 5} {
			want := l.Intercept + l.Slope*math.Log10(d)
			if got := c.bend(c.Response(d)); math.Abs(got-want) > 1e-9 {
				t.Errorf("%v: at %g the line lies at %g, want %g", link, d, got, want)
			}
		}
		if !math.IsInf(c.bend(0.03), -1) || !math.IsInf(c.bend(1), 1) {
			t.Errorf("%v: below natural mortality or at 100 %%: not at infinity", link)
		}
	}
}

// The band of a line at log10 d = 2, by hand: η = 3 ± 2 √(0.04 - 2·2·0.01 + 4·0.09).
func TestBandOfALine(t *testing.T) {
	l := Line{Intercept: -1, Slope: 2, NaturalMortality: 0.1, Cov: [2][2]float64{{0.04, -0.01}, {-0.01, 0.09}}, Multiplier: 2}
	const half = 1.2
	want := func(eta float64) float64 { return 0.1 + 0.9*0.5*math.Erfc(-eta/math.Sqrt2) }
	lower, upper := l.Band(100)
	for _, c := range []struct{ got, want float64 }{{lower, want(3 - half)}, {upper, want(3 + half)}, {l.Mortality(100), want(3)}} {
		if math.Abs(c.got-c.want) > 1e-12 {
			t.Errorf("got %g, want %g", c.got, c.want)
		}
	}
	if lower, _ := (Line{Cov: [2][2]float64{{-1, 0}, {0, 0}}, Multiplier: 1, NaturalMortality: nan}).Band(1); !math.IsNaN(lower) {
		t.Errorf("a covariance of no line gives the limit %g", lower)
	}
}

func TestEvenTicks(t *testing.T) {
	for want, s := range map[string]span{
		"−2 −1 0 1 2":           {-2.5, 2.5},
		"−1000 −500 0 500 1000": {-1300, 1300},
		"0.2 0.4 0.6":           {0.1, 0.7},
	} {
		var got []string
		for _, k := range evenTicks(s, func(k []tick) bool { return len(k) <= 5 }) {
			got = append(got, k.label)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%v: ticks %q, want %q", s, got, want)
		}
	}
}

func TestTwoLines(t *testing.T) {
	for s, want := range map[string][2]string{
		"2031-spring": {"2031", "spring"}, "2031": {"2031", ""}, "early spring 2031": {"early", "spring 2031"}, "": {"", ""},
	} {
		if first, second := twoLines(s); first != want[0] || second != want[1] {
			t.Errorf("%q is broken into %q and %q", s, first, second)
		}
	}
}

// A name cut short keeps both of its ends.
func TestNamesAreCutInTheMiddle(t *testing.T) {
	b := fitName(greek(7), 100, keySize, footSize, 2)
	got := strings.Join(b.lines, " ")
	if !strings.HasPrefix(got, "Ανθεκτικότητα") || !strings.HasSuffix(got, "20317") || !strings.Contains(got, "…") || len(b.lines) > 2 {
		t.Errorf("cut to %q", b.lines)
	}
}

// Containers at one place stand side by side around it.
func TestResidualsStandSideBySide(t *testing.T) {
	r := Residuals{Residual: []Residual{{1, 0.5, 1, 10}, {2, 0.7, 1, 10}, {1, 0.5, -1, 10}}}
	got := r.shifts(frame{}, func(k Residual) float64 { return k.Concentration })
	if got[0] != -got[2] || got[0] >= 0 || got[1] != 0 {
		t.Errorf("shifts %v", got)
	}
}

// No line joins seasons across a gap or to a bound.
func TestGapBreaksTheTimeline(t *testing.T) {
	line := seasons(6, season)
	line.Seasons[2].Estimate, line.Seasons[5].Censored = nan, Above
	canvas := newStrokes()
	line.course().draw(pen{canvas}, frame{right: 100, top: 100, across: span{-0.5, 5.5}, up: span{-1, 1}}, seasonRadius)
	joined := 0
	for _, p := range canvas.paths[blue] {
		if p[0].Pos.X != p[len(p)-1].Pos.X && p[0].Pos.Y != p[len(p)-1].Pos.Y {
			joined += len(p) - 1
		}
	}
	if joined != 2 { // first to second, fourth to fifth
		t.Errorf("%d pieces of line, want 2", joined)
	}
}

func TestWhatOtherKindsCannotDraw(t *testing.T) {
	for want, f := range map[string]Figure{
		"0 populations: give 1 to 24":                 CurveSet{},
		"25 populations: give 1 to 24":                several(25, 1, apiary),
		"population 1 (a): LC50 -1":                   CurveSet{Populations: []Population{{Name: "a", LC50: -1}}},
		"0 ratios":                                    Forest{},
		"101 ratios":                                  ratios(101, apiary),
		"ratio 1 (a): estimate -1":                    Forest{Ratios: []Ratio{{"a", -1, nan, nan, Estimated, PlaceByLimits}}},
		"ratio 1 (a): limits 3 to 2":                  Forest{Ratios: []Ratio{{"a", 1, 3, 2, Estimated, PlaceByLimits}}},
		"baseline range 2 to 1":                       Forest{Ratios: []Ratio{{"a", 1, 1, 2, Estimated, PlaceByLimits}}, Variation: [2]float64{2, 1}},
		"leaves no room for its rows":                 Forest{Caption: Caption{Height: 60 * vg.Millimeter}, Ratios: ratios(40, apiary).Ratios},
		"residual 1: fitted mortality 2":              Residuals{Residual: []Residual{{1, 2, 0, 1}}},
		"residual 1: concentration -1":                Residuals{Residual: []Residual{{-1, 0.5, 0, 1}}},
		"residual 1 is infinite":                      Residuals{Residual: []Residual{{1, 0.5, inf, 1}}},
		"without seasons":                             Timeline{},
		"season a: estimate 0":                        Timeline{Seasons: []Season{{"a", 0, nan, nan, Estimated}}},
		"resistant fraction 2":                        Mixture{Fraction: 2},
		"limits 0.5 to 0.2 of the resistant fraction": Mixture{Lower: 0.5, Upper: 0.2},
		"point 1 (concentration 1): 3 dead of 2":      Mixture{Points: []Point{{1, 2, 3}}},
		"without a posterior":                         Density{},
		"median 3 with limits 1 to 2":                 Density{Posterior: normal(0, 1), Median: 3, Lower: 1, Upper: 2},
		"level 95":                                    Density{Posterior: normal(0, 1), Median: 1.5, Lower: 1, Upper: 2, Level: 95},
		"nowhere positive":                            Density{Posterior: func(float64) float64 { return nan }, Median: 1.5, Lower: 1, Upper: 2, Level: 0.95},
		"x: limits 3 to 2":                            Density{Posterior: normal(0, 1), Median: 1.5, Lower: 1, Upper: 2, Level: 0.95, Limits: []Interval{{"x", nan, 3, 2}}},
	} {
		var b bytes.Buffer
		err := Write(&b, f, InlineSVG)
		if err == nil || !strings.Contains(err.Error(), want) || b.Len() > 0 {
			t.Errorf("error %v after %d bytes, want one with %q", err, b.Len(), want)
		}
	}
}

// The texts of the figure itself stay as they are.
func TestWithTextsLeavesTheValue(t *testing.T) {
	set, forest := several(2, 1, apiary), ratios(2, apiary)
	shout := func(s string) string { return strings.ToUpper(s) }
	if got := set.withTexts(shout).(CurveSet); got.Populations[1].Name != "APIARY 2" || set.Populations[1].Name != "Apiary 2" {
		t.Errorf("names %q and %q", got.Populations[1].Name, set.Populations[1].Name)
	}
	if got := forest.withTexts(shout).(Forest); got.Ratios[0].Name != "APIARY 1" || forest.Ratios[0].Name != "Apiary 1" {
		t.Errorf("names %q and %q", got.Ratios[0].Name, forest.Ratios[0].Name)
	}
}

package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// probit returns the response with the given LC50, slope and natural mortality.
func probit(lc50, slope, natural float64) func(float64) float64 {
	return func(d float64) float64 {
		z := slope * math.Log10(d/lc50)
		return natural + (1-natural)*0.5*math.Erfc(-z/math.Sqrt2)
	}
}

const (
	greek60 = "Ανθεκτικότητα του βαρρόα στην αμιτράζη, Κρήτη, άνοιξη 2031 Α"
	longest = "Ανθεκτικότητα του ακάρεως βαρρόα στην αμιτράζη και το ταυ-φλουβαλινικό σε δεκατέσσερα μελισσοκομεία της ανατολικής Κρήτης, άνοιξη και φθινόπωρο 2031, δεύτερη επανάληψη με νέα σειρά"
)

var inf, nan = math.Inf(1), math.NaN()

// ordinary is an invented assay.
func ordinary() Curve {
	return Curve{
		Caption:   Caption{Title: "Apiary 14, spring 2031", Subtitle: "LC50 1.32 µg/vial (fiducial limits 1.02–1.70), 300 mites, probit"},
		Substance: Substance{"amitraz", "µg/vial"},
		Population: Population{
			Points: []Point{
				{0, 60, 3}, {0.25, 40, 4}, {0.5, 40, 9}, {1, 60, 25}, {2, 40, 28}, {4, 40, 37}, {8, 20, 20},
			},
			Response: probit(1.32, 2.6, 0.05), NaturalMortality: 0.05,
			LC50: 1.32, Lower: 1.02, Upper: 1.70,
		},
	}
}

// sixDecades spans a wide range, as when an unknown active is first tried.
func sixDecades() Curve {
	c := ordinary()
	c.Title, c.Subtitle = "Range finding", ""
	c.Points = []Point{{0, 20, 1}, {0.001, 20, 1}, {0.1, 20, 5}, {10, 20, 12}, {1000, 20, 19}}
	c.Response = probit(2, 0.7, 0.05)
	c.LC50, c.Lower, c.Upper = 2, 0.2, 30
	return c
}

// line is a fitted line with an invented covariance.
func line(lc50, slope float64) Line {
	return Line{
		Intercept: -slope * math.Log10(lc50), Slope: slope, NaturalMortality: 0.05,
		Cov: [2][2]float64{{0.012, -0.008}, {-0.008, 0.08}}, Multiplier: 2,
	}
}

// twelveDecades needs powers of ten.
func twelveDecades() Curve {
	c := sixDecades()
	c.Points = []Point{{1e-7, 20, 1}, {1e-3, 20, 5}, {10, 20, 12}, {1e5, 20, 19}}
	c.LC50, c.Lower, c.Upper = 2, 0.01, 300
	c.Response = probit(2, 0.3, 0)
	return c
}

func unbounded() Curve {
	c := ordinary()
	c.Title, c.Subtitle = "Shallow line: limits do not exist", "g = 1.3"
	c.Points = []Point{{0, 20, 1}, {1, 10, 3}, {2, 10, 5}, {4, 10, 4}, {8, 10, 7}}
	c.Response = probit(3.5, 0.9, 0.05)
	c.LC50, c.Lower, c.Upper = 3.5, 0, inf
	return c
}

func separated() Curve {
	return Curve{
		Caption:   Caption{Title: "Apiary 3, spring 2031", Note: "no fit: separated; LC50 between 1 and 2 µg/vial"},
		Substance: Substance{"coumaphos", "µg/vial"},
		Population: Population{
			Points:           []Point{{0, 15, 0}, {0.5, 15, 0}, {1, 15, 0}, {2, 15, 15}, {4, 15, 15}},
			NaturalMortality: nan, LC50: nan, Lower: nan, Upper: nan, Bracket: [2]float64{1, 2},
		},
	}
}

func allAlive() Curve {
	c := separated()
	c.Note, c.Bracket = "no fit: none died; LC50 above 4 µg/vial", [2]float64{4, inf}
	c.Points = []Point{{0, 15, 0}, {0.5, 15, 0}, {1, 15, 0}, {2, 15, 0}, {4, 15, 0}}
	return c
}

func allDead() Curve {
	c := separated()
	c.Note, c.Bracket = "no fit: all died; LC50 below 0.5 µg/vial", [2]float64{0, 0.5}
	c.Points = []Point{{0, 15, 0}, {0.5, 15, 15}, {1, 15, 15}, {2, 15, 15}, {4, 15, 15}}
	return c
}

func beyond(lc50, lower, upper float64) Curve {
	c := ordinary()
	c.Title, c.Subtitle = "Estimate beyond the tested range", "extrapolated"
	c.Points = []Point{{0, 20, 1}, {1, 20, 1}, {2, 20, 2}, {4, 20, 3}, {8, 20, 4}}
	c.LC50, c.Lower, c.Upper = lc50, lower, upper
	c.Response = probit(lc50, 1.2, 0.05)
	return c
}

func with(c Curve, change func(*Curve)) Curve {
	change(&c)
	return c
}

// curves are the ordinary, the extreme and the hostile curves.
func curves() map[string]Curve {
	one := []Point{{1, 20, 9}}
	return map[string]Curve{
		"ordinary":       ordinary(),
		"six-decades":    sixDecades(),
		"twelve-decades": twelveDecades(),
		"unbounded":      unbounded(),
		"separated":      separated(),
		"all-alive":      allAlive(),
		"all-dead":       allDead(),
		"just-beyond":    beyond(30, 12, inf),
		"far-beyond":     beyond(5000, 90, 1e6),
		"far-below":      beyond(1e-4, 1e-6, 1e-3),
		"all-far-above":  beyond(5000, 900, inf),
		"zero":           {},
		"no-points":      with(ordinary(), func(c *Curve) { c.Points = nil }),
		"no-mites":       with(ordinary(), func(c *Curve) { c.Points = []Point{{0, 0, 0}, {1, 0, 0}} }),
		"only-control":   with(separated(), func(c *Curve) { c.Points = c.Points[:1]; c.Bracket = [2]float64{}; c.NaturalMortality = 0.02 }),
		"no-control":     with(ordinary(), func(c *Curve) { c.Points = c.Points[1:]; c.NaturalMortality = nan }),
		"one-dose": with(separated(), func(c *Curve) {
			c.Points = one
			c.Note = "no fit: too few doses"
			c.Bracket = [2]float64{}
		}),
		"band":        with(ordinary(), func(c *Curve) { c.Band = line(1.32, 2.6).Band; c.Response = line(1.32, 2.6).Mortality }),
		"no-limits":   with(ordinary(), func(c *Curve) { c.Lower, c.Upper = nan, nan }),
		"no-response": with(ordinary(), func(c *Curve) { c.Response = func(float64) float64 { return nan } }),
		"hostile": with(ordinary(), func(c *Curve) {
			c.Title, c.Subtitle, c.Note = `<script>&"'`, `</title><text x="1"/>`, "a\x00b\nc\xff]]>"
			c.Acaricide, c.Unit = `<!--`, `--> style="font-family:Liberation Sans;font-variant:normal;`
		}),
		"greek": with(ordinary(), func(c *Curve) { c.Title = greek60 }),
		"longest": with(ordinary(), func(c *Curve) {
			c.Title, c.Subtitle, c.Note, c.Mark = longest, longest, longest, longest
			c.Acaricide, c.Unit = longest, "μικρογραμμάρια ανά φιαλίδιο"
			c.Height = 100 * vg.Millimeter
		}),
		"one-word": with(ordinary(), func(c *Curve) {
			c.Title = "ΜεθυλοχλωροϊσοθειαζολινονοπροπυλαμινοβενζολοσουλφονυλουρίαΜεθυλοχλωροϊσοθειαζολινονο"
		}),
		"chinese": with(ordinary(), func(c *Curve) {
			c.Title = "瓦螨对双甲脒的抗药性,第十四蜂场,二〇三一年春季,第二次重复试验与对照组的比较结果汇总"
		}),
		"narrow": with(ordinary(), func(c *Curve) {
			c.Points = []Point{{0, 20, 1}, {1.1, 20, 4}, {1.3, 20, 9}, {1.6, 20, 16}}
			c.Response = probit(1.32, 12, 0.05)
			c.LC50, c.Lower, c.Upper = 1.32, 1.2, 1.45
		}),
		"dense": with(ordinary(), func(c *Curve) {
			c.Points = nil
			for i := range 24 {
				c.Points = append(c.Points, Point{0.01 * math.Pow(1.6, float64(i)), 10 + 25*i, (10 + 25*i) * i / 24})
			}
			c.LC50, c.Lower, c.Upper = 2.2, 1.9, 2.5
			c.Response = probit(2.2, 1, 0.02)
		}),
		// The first label would run into "control".
		"crowded-left": with(ordinary(), func(c *Curve) {
			c.Points = []Point{{0, 20, 1}, {1.2e-4, 20, 4}, {5e-4, 20, 9}, {8e-4, 20, 16}}
			c.LC50, c.Lower, c.Upper = 5e-4, 4e-4, 6e-4
		}),
		// The last label would run off the page.
		"crowded-right": with(ordinary(), func(c *Curve) {
			c.Points = []Point{{0, 20, 1}, {1.26e4, 20, 4}, {5e4, 20, 9}, {8e4, 20, 16}}
			c.LC50, c.Lower, c.Upper = 5e4, 4e4, 6e4
		}),
		// Eight labels of the 1-2-5 series, too wide for one column.
		"wide-labels": with(ordinary(), func(c *Curve) {
			c.Points = []Point{{0, 20, 1}, {1.3e-4, 20, 4}, {1e-3, 20, 9}, {0.016, 20, 16}}
			c.LC50, c.Lower, c.Upper = 0.001, 0.0007, 0.0014
			c.Response = probit(0.001, 2, 0.05)
			c.Width = 70 * vg.Millimeter
		}),
		"marked": with(ordinary(), func(c *Curve) { c.Points = nil; c.Mark = " invented\ndata " }),
		"micro":  with(ordinary(), func(c *Curve) { c.Subtitle = ""; c.Unit = "ug/vial" }),
		// A point lies at the LC50, once with many mites and once with few.
		"on-point": with(ordinary(), func(c *Curve) {
			c.Points[3] = Point{1.32, 60, 31}
			c.Mark = "invented data"
		}),
		"on-small-point": with(ordinary(), func(c *Curve) { c.Points[3] = Point{1.32, 6, 3} }),
		"wide":           with(ordinary(), func(c *Curve) { c.Width, c.Height = 174*vg.Millimeter, 100*vg.Millimeter }),
		"small":          with(ordinary(), func(c *Curve) { c.Width, c.Height = 60*vg.Millimeter, 60*vg.Millimeter }),
		"huge-numbers": with(ordinary(), func(c *Curve) {
			c.Points = []Point{{1e-300, 20, 1}, {1e-3, 20, 4}, {1e300, math.MaxInt32, 9}}
			c.LC50, c.Lower, c.Upper = 1e-10, 5e-324, math.MaxFloat64
		}),
	}
}

package doseresp

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// posteriorCases are the kinds of counts that a posterior must answer.
// Invented.
var posteriorCases = map[string][]Container{
	"ordinary":  benchAssay(),
	"separated": {{0, 15, 0}, {1, 15, 0}, {2, 15, 0}, {4, 15, 15}, {8, 15, 15}},
	"all dead":  {{0, 15, 1}, {1, 10, 10}, {2, 10, 10}},
	"none dead": {{0, 15, 1}, {1, 10, 0}, {2, 10, 0}},
	"one dose":  {{1, 10, 5}},
	"falling":   {{0, 15, 0}, {1, 10, 9}, {2, 10, 5}, {4, 10, 2}},
	"scattered": {{0, 12, 0}, {1, 12, 0}, {1, 12, 7}, {2, 12, 2}, {2, 12, 11}, {4, 12, 5}, {4, 12, 12}, {8, 12, 12}, {8, 12, 6}},
}

func posterior(t testing.TB, containers []Container, o Options, p Priors) *Posterior {
	t.Helper()
	post, err := NewPosterior(containers, o, p)
	if err != nil {
		t.Fatal(err)
	}
	return post
}

// walk is a random-walk Metropolis sampler of the same posterior in other
// coordinates, logit C and log ρ with their Jacobians, written here only to
// check the quadrature. It returns the log10 LCp visited.
func walk(t *testing.T, containers []Container, o Options, steps int, percent float64) []float64 {
	t.Helper()
	var d design
	d.summarise(containers)
	priors := DefaultPriors()
	priors.Log10LC50Mean = (d.treated[0].x + d.treated[len(d.treated)-1].x) / 2
	target := newTarget(&d, o, priors)
	expit := func(x float64) float64 { return 1 / (1 + math.Exp(-x)) }
	density := func(x [4]float64) float64 {
		c, rho := expit(x[2]), math.Exp(x[3])
		if rho >= 1 {
			return math.Inf(-1)
		}
		return target.log(place{x[0], x[1], c, rho}) + math.Log(c*(1-c)) + x[3]
	}
	r := rand.New(rand.NewPCG(7, 11))
	x := [4]float64{priors.Log10LC50Mean, target.slope, -3, -4}
	scale := [4]float64{.3, .4, 1, 1.5}
	here := density(x)
	shift := o.Link.Quantile(percent/100) - o.Link.Quantile(.5)
	var out []float64
	accepted, tried := [4]int{}, [4]int{}
	for i := range steps {
		k := i % 4
		y := x
		y[k] += scale[k] * r.NormFloat64()
		tried[k]++
		if there := density(y); there-here > math.Log(r.Float64()) {
			x, here = y, there
			accepted[k]++
		}
		if i < steps/10 && tried[k] == 500 { // tune each step during burn-in only
			scale[k] *= math.Exp(2 * (float64(accepted[k])/500 - .44))
			accepted[k], tried[k] = 0, 0
		}
		if i >= steps/10 && k == 3 {
			out = append(out, x[0]+shift/math.Exp(x[1]))
		}
	}
	slices.Sort(out)
	return out
}

// TestPosteriorAgainstRandomWalk compares the quadrature with a long
// random-walk sampler: the cumulative probability that the quadrature gives to
// the sampler's quantiles agrees within 0.02, some four Monte Carlo errors of
// 225,000 correlated draws.
func TestPosteriorAgainstRandomWalk(t *testing.T) {
	if testing.Short() {
		t.Skip("the sampler takes seconds; run without -short")
	}
	for name, c := range posteriorCases {
		for _, link := range Links() {
			if link != Probit && name != "ordinary" && name != "separated" {
				continue
			}
			t.Run(name+" "+link.String(), func(t *testing.T) {
				t.Parallel()
				compareWithWalk(t, c, Options{Link: link})
			})
		}
	}
}

func compareWithWalk(t *testing.T, c []Container, o Options) {
	const tolerance, steps = 0.02, 1_000_000
	p := posterior(t, c, o, DefaultPriors())
	for _, percent := range []float64{50, 90} {
		draws := walk(t, c, o, steps, percent)
		for _, q := range []float64{.025, .25, .5, .75, .975} {
			x := draws[int(q*float64(len(draws)))]
			got := 1 - p.ProbabilityAbove(percent, math.Pow(10, x))
			if math.Abs(got-q) > tolerance {
				t.Errorf("LC%g: quadrature gives %.4f below the sampler's %g quantile", percent, got, q)
			}
		}
	}
}

// finest computes the posterior on the finest grid.
func finest(t *testing.T, containers []Container, o Options) *Posterior {
	t.Helper()
	var d design
	d.summarise(containers)
	priors := DefaultPriors()
	priors.Log10LC50Mean = (d.treated[0].x + d.treated[len(d.treated)-1].x) / 2
	target := newTarget(&d, o, priors)
	r := target.findRegion()
	target.fill(&r, resolutions[2])
	return target.fill(&r, resolutions[len(resolutions)-1])
}

// TestPosteriorErrorIsHonest compares the reported error with the true one on
// random untidy assays: in 95 of 100 it is no larger than reported, and never
// above 0.01 in cumulative probability.
func TestPosteriorErrorIsHonest(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	assays := 60
	if testing.Short() {
		assays = 10
	}
	within, worst := 0, 0.0
	for i := range assays {
		c := randomAssay(r)
		o := Options{Link: Links()[i%3]}
		p := posterior(t, c, o, DefaultPriors())
		e := p.change(finest(t, c, o))
		worst = math.Max(worst, e)
		if e <= p.Error+2e-4 {
			within++
		}
		if e > 0.01 {
			t.Errorf("assay %d: reported error %.2g, true %.2g: %v", i, p.Error, e, c)
		}
	}
	t.Logf("%d of %d within the reported error, worst true error %.2g", within, assays, worst)
	if within < assays*95/100 {
		t.Errorf("only %d of %d within the reported error", within, assays)
	}
}

// TestPosteriorAlwaysAnswers: finite, ordered limits for every kind of counts,
// every link and every treatment of natural mortality.
func TestPosteriorAlwaysAnswers(t *testing.T) {
	for name, c := range posteriorCases {
		for _, link := range Links() {
			for _, n := range []NaturalMortality{{Mode: Estimated}, {Mode: None}, {Mode: Fixed, Value: .05}, {Mode: AbbottCorrection}} {
				p := posterior(t, c, Options{Link: link, Natural: n}, DefaultPriors())
				for _, percent := range []float64{10, 50, 90, 99} {
					l := p.LC(percent, .95)
					if !(0 < l.Lower && l.Lower < l.Median && l.Median < l.Upper && !math.IsInf(l.Upper, 1)) {
						t.Errorf("%s %v %v LC%g: %+v", name, link, n.Mode, percent, l)
					}
				}
			}
		}
	}
}

// TestPosteriorIdentities: limits invert probabilities, the density integrates
// to one, and a change of the unit of dose multiplies every dose.
func TestPosteriorIdentities(t *testing.T) {
	for name, c := range posteriorCases {
		p := posterior(t, c, Options{}, DefaultPriors())
		l := p.LC(90, .9)
		for dose, want := range map[float64]float64{l.Lower: .95, l.Median: .5, l.Upper: .05} {
			if got := p.ProbabilityAbove(90, dose); math.Abs(got-want) > 1e-6 {
				t.Errorf("%s: P(LC90 > %g) = %.8f, want %g", name, dose, got, want)
			}
		}
		if p.ProbabilityAbove(50, 0) != 1 || p.ProbabilityAbove(50, 1e300) > 1e-12 {
			t.Errorf("%s: probabilities at the ends", name)
		}
		lower, upper := math.Log10(p.LC(50, .9999).Lower)-1, math.Log10(p.LC(50, .9999).Upper)+1
		sum, step := 0.0, (upper-lower)/20000
		for x := lower; x < upper; x += step {
			sum += p.Density(x) * step
		}
		if math.Abs(sum-1) > 6e-3 { // the spline may dip below 0 beside a steep end
			t.Errorf("%s: density integrates to %.6f", name, sum)
		}
		scaled := slices.Clone(c)
		for i := range scaled {
			scaled[i].Dose *= 1000
		}
		slices.Reverse(scaled)
		q := posterior(t, scaled, Options{}, DefaultPriors()).LC(50, .95)
		want := p.LC(50, .95)
		for _, pair := range [][2]float64{{q.Lower, want.Lower}, {q.Median, want.Median}, {q.Upper, want.Upper}} {
			if relativeError(pair[0], 1000*pair[1]) > 2e-3 {
				t.Errorf("%s: %g after multiplying doses by 1000, want %g", name, pair[0], 1000*pair[1])
			}
		}
	}
}

// TestPosteriorFollowsCountsAndPriors: with many mites the posterior agrees
// with maximum likelihood; without a death at the top dose it lies above it;
// and priors move it.
func TestPosteriorFollowsCountsAndPriors(t *testing.T) {
	// on the line with slope 2.5 and LC50 1, with the scatter of a binomial
	var many []Container
	for i, p := range []float64{.0662, .2259, .5, .7741, .9338} {
		for k := range 40 {
			scatter := math.Sin(float64(7*k)) * math.Sqrt(2*50*p*(1-p))
			many = append(many, Container{Dose: math.Pow(2, float64(i)-2), Exposed: 50, Dead: int(math.Round(50*p + scatter))})
		}
	}
	o := Options{Natural: NaturalMortality{Mode: None}, Heterogeneity: Never}
	fit, err := Fit(many, o)
	if err != nil {
		t.Fatal(err)
	}
	priors := DefaultPriors()
	priors.RhoMean = 1e-3 // nearly binomial, as the fit
	l := posterior(t, many, o, priors).LC(50, .95)
	if relativeError(l.Median, fit.LC[1].Estimate) > .005 ||
		math.Abs(math.Log10(l.Upper/l.Lower)/(2*1.96*fit.LC[1].Log10SE)-1) > .15 {
		t.Errorf("posterior %+v, maximum likelihood %+v", l, fit.LC[1])
	}
	p := posterior(t, posteriorCases["none dead"], Options{}, DefaultPriors())
	if got := p.ProbabilityAbove(50, 2); got < .97 {
		t.Errorf("none dead at 2: P(LC50 > 2) = %.3f", got)
	}
	priors = DefaultPriors()
	priors.Log10LC50SD = .2
	if narrow := posterior(t, posteriorCases["none dead"], Options{}, priors).LC(50, .95); narrow.Upper > p.LC(50, .95).Upper/4 {
		t.Errorf("a narrower prior gives %+v", narrow)
	}
	for _, bad := range []Priors{{}, {Log10LC50Mean: math.Inf(1), Log10LC50SD: 1, SlopeMedian: 1, SlopeLogSD: 1, NaturalA: 1, NaturalB: 1, RhoMean: 1}} {
		if _, err := NewPosterior(many, Options{}, bad); err == nil {
			t.Errorf("priors %+v were accepted", bad)
		}
	}
	if _, err := NewPosterior([]Container{{0, 10, 1}, {1, 0, 0}}, Options{}, DefaultPriors()); err != ErrNoTreated {
		t.Errorf("controls alone: %v", err)
	}
}

// TestTallyAgreesWithLogGammas holds the products to the beta function.
func TestTallyAgreesWithLogGammas(t *testing.T) {
	lbeta := func(a, b float64) float64 {
		x, _ := math.Lgamma(a)
		y, _ := math.Lgamma(b)
		z, _ := math.Lgamma(a + b)
		return x + y - z
	}
	for _, n := range []int{1, 7, 15, 90, 150, 5000} {
		for _, dead := range []int{0, n / 3, n} {
			var one tally
			one.add(Container{Dose: 1, Exposed: n, Dead: dead})
			for _, P := range []float64{.001, .3, .97} {
				for _, rho := range []float64{.01, .1, .6} {
					a, b := P*(1-rho)/rho, (1-P)*(1-rho)/rho
					want := lbeta(a+float64(dead), b+float64(n-dead)) - lbeta(a, b)
					if got := one.loglik(P, 1-P, rho); math.Abs(got-want) > 1e-8*(1+math.Abs(want)) {
						t.Errorf("n %d dead %d P %g rho %g: %.12g, want %.12g", n, dead, P, rho, got, want)
					}
				}
			}
		}
	}
}

// threeVials is six doses of three vials of twelve with three controls.
// Invented.
func threeVials() []Container {
	out := []Container{{0, 12, 0}, {0, 12, 1}, {0, 12, 0}}
	for i, dead := range [][3]int{{1, 0, 2}, {2, 3, 1}, {5, 4, 6}, {7, 9, 8}, {11, 10, 11}, {12, 12, 11}} {
		for _, r := range dead {
			out = append(out, Container{Dose: .5 * math.Pow(2, float64(i)), Exposed: 12, Dead: r})
		}
	}
	return out
}

func BenchmarkPosterior(b *testing.B) {
	assay := threeVials()
	b.ReportAllocs()
	for b.Loop() {
		p := posterior(b, assay, Options{}, DefaultPriors())
		if p.LC(50, .95).Median == 0 {
			b.Fatal("no median")
		}
	}
}

// BenchmarkPosteriorSlowest is the slowest of the kinds of counts above.
func BenchmarkPosteriorSlowest(b *testing.B) {
	for name, assay := range posteriorCases {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				posterior(b, assay, Options{}, DefaultPriors())
			}
		})
	}
}

// TestGaussWeights holds the quadrature rules in use to their degree: weights
// that add up to 1 and integrate x exactly. The library's table of 26 points
// is wrong (its weights add up to 0.9894), so that number must not be used.
func TestGaussWeights(t *testing.T) {
	for _, level := range resolutions {
		for _, n := range []int{level.c, level.rho} {
			x, w := gauss(n)
			sum, mean := 0.0, 0.0
			for i := range x {
				sum += w[i]
				mean += w[i] * x[i]
			}
			if math.Abs(sum-1) > 1e-12 || math.Abs(mean-0.5) > 1e-12 {
				t.Errorf("%d points: weights add up to %.15g, the mean of x is %.15g", n, sum, mean)
			}
		}
	}
}

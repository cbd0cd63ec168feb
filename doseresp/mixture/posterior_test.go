package mixture

import (
	"math"
	"testing"

	"vialwise/doseresp"
)

// bruteDensity is the posterior of q at midpoints, without natural mortality,
// by plain sums over a wide lattice of intercept, slope and shift, from the
// joint log-likelihood itself, which the quadrature does not use.
func bruteDensity(b *Baseline, field []doseresp.Container, fractions int) []float64 {
	j := b.with(field)
	p := j.start()
	priors := b.options.Priors
	density := make([]float64, fractions)
	linePrior := b.linePrior()
	intercept, slope := p[atA], p[atB]
	highest := j.m.loglik(p)
	for da := -1.6; da <= 1.6; da += 0.2 {
		for dl := -1.0; dl <= 1.0; dl += 0.125 {
			p[atA], p[atB] = intercept+da, slope*math.Exp(dl)
			// a density in θ and log slope: dθ = da/b
			prior := linePrior.log((b.middle()-p[atA])/p[atB], math.Log(p[atB])) - math.Log(p[atB])
			for _, s := range b.shiftNodes() {
				p[atS] = s.x
				for i := range density {
					q := (float64(i) + 0.5) / float64(fractions)
					p[atQ] = q
					density[i] += s.weight * math.Exp(j.m.loglik(p)-highest+prior+
						(priors.FractionA-1)*math.Log(q)+(priors.FractionB-1)*math.Log1p(-q))
				}
			}
		}
	}
	return density
}

// quantileOf is the quantile of a density at midpoints of equal cells.
func quantileOf(density []float64, probability float64) float64 {
	total, sum := 0.0, 0.0
	for _, d := range density {
		total += d
	}
	for i, d := range density {
		if sum+d >= probability*total {
			return (float64(i) + (probability*total-sum)/d) / float64(len(density))
		}
		sum += d
	}
	return 1
}

// TestPosteriorAgainstBruteForce compares quantiles with the lattice's.
func TestPosteriorAgainstBruteForce(t *testing.T) {
	const tolerance = 1.5e-3
	o := Options{Natural: doseresp.NaturalMortality{Mode: doseresp.None}, Heterogeneity: doseresp.Never}
	b, err := NewBaseline([][]doseresp.Container{firstBaseline}, o)
	if err != nil {
		t.Fatal(err)
	}
	r, err := b.Fit(someField)
	if err != nil {
		t.Fatal(err)
	}
	density := bruteDensity(b, someField, 200)
	for _, p := range []float64{0.025, 0.25, 0.5, 0.75, 0.975} {
		if got, want := r.Posterior.Quantile(p), quantileOf(density, p); math.Abs(got-want) > tolerance {
			t.Errorf("quantile %g is %.5f, lattice %.5f", p, got, want)
		}
	}
	total, mean, above := 0.0, 0.0, 0.0
	for i, d := range density {
		q := (float64(i) + 0.5) / float64(len(density))
		total += d
		mean += d * q
		if q > 0.2 {
			above += d
		}
	}
	if math.Abs(r.Posterior.Mean-mean/total) > tolerance || math.Abs(r.Posterior.Above(0.2)-above/total) > 2*tolerance {
		t.Errorf("mean %.5f, P(q > 0.2) %.5f; lattice %.5f, %.5f", r.Posterior.Mean, r.Posterior.Above(0.2), mean/total, above/total)
	}
}

// TestNaturalIntegratedOut compares the baseline's likelihood at some lines
// with a sum over each assay's C of the joint likelihood and the prior; the
// constant that the nodes leave out is the same at every line.
func TestNaturalIntegratedOut(t *testing.T) {
	const tolerance = 0.03 // of log-likelihoods that differ by up to 50
	b := someBaseline(t, Options{Heterogeneity: doseresp.Never})
	natural := b.naturalNodes(&b.counts, b.freeC, 1)
	m := &b.with(nil).m.counts.groups
	line := b.options.Priors.Line
	brute := func(theta, slope float64) float64 {
		total := 0.0
		for k := range b.assays {
			sum := 0.0
			for c := 0.0005; c < 0.6; c += 0.001 {
				l := (line.NaturalA-1)*math.Log(c) + (line.NaturalB-1)*math.Log1p(-c)
				for i := range *m {
					g := &(*m)[i]
					if g.assay != k {
						continue
					}
					P := c
					if !g.control {
						P = c + (1-c)*b.options.Link.CDF(slope*(g.x-theta))
					}
					l += g.loglik(P, 1-P)
				}
				sum += math.Exp(l + 40)
			}
			total += math.Log(sum)
		}
		return total
	}
	const theta, slope = 0.0, 2.5
	constant := brute(theta, slope) - b.logBaseline(theta, slope, natural, 1)
	for _, at := range [][2]float64{{0.1, 2}, {-0.15, 3}, {0.05, 4}} {
		want := brute(at[0], at[1]) - constant
		if got := b.logBaseline(at[0], at[1], natural, 1); math.Abs(got-want) > tolerance {
			t.Errorf("θ %g, slope %g: %.8g, by summing %.8g", at[0], at[1], got, want)
		}
	}
}

// TestPosteriorRefined repeats the integral with far more lines, natural
// mortalities and values of q.
func TestPosteriorRefined(t *testing.T) {
	const tolerance = 2e-3
	for _, tau := range []float64{0, 0.1} {
		b := someBaseline(t, Options{Tau: tau})
		r, j, err := b.estimate(someField)
		if err != nil {
			t.Fatal(err)
		}
		h := r.Heterogeneity.Factor()
		coarse := j.posterior(r)
		in := &integrand{b: b, h: h, groups: j.m.fieldDoses(), shifts: b.shiftNodes(), natural: j.base.naturalOf(j.m.counts, 2, h)}
		fine := in.over(wider(b, h), 0, 1, 121).normalise(*b.options.Priors)
		for _, p := range []float64{0.025, 0.25, 0.5, 0.75, 0.975} {
			if got, want := coarse.Quantile(p), fine.Quantile(p); math.Abs(got-want) > tolerance {
				t.Errorf("τ %g: quantile %g is %.5f, refined %.5f", tau, p, got, want)
			}
		}
		if math.Abs(coarse.Plateau-fine.Plateau) > tolerance || math.Abs(coarse.Mean-fine.Mean) > tolerance {
			t.Errorf("τ %g: plateau %.5f and %.5f, mean %.5f and %.5f", tau, coarse.Plateau, fine.Plateau, coarse.Mean, fine.Mean)
		}
	}
}

// wider lays the lines of a baseline on a rectangle of its own, densely.
func wider(b *Baseline, h float64) *grid {
	g := &grid{link: b.options.Link}
	prior := b.linePrior()
	natural := b.naturalNodes(&b.counts, b.freeC, h)
	delta := b.newDeltaRule(h, 21)
	centre := (b.middle()-b.line.Intercept)/b.line.Slope - b.centre
	for u := -0.6; u <= 0.6; u += 0.03 {
		for v := -1.2; v <= 1.2; v += 0.08 {
			n := lineNode{theta: centre + u, slope: b.line.Slope * math.Exp(v)}
			n.weight = prior.log(n.theta, math.Log(n.slope)) + b.logDelta(n.theta, n.slope, delta, natural, h) + 40
			g.lines = append(g.lines, n)
		}
	}
	return g
}

// TestPosteriorIsADistribution checks the functions of one posterior against
// each other.
func TestPosteriorIsADistribution(t *testing.T) {
	const tolerance = 1e-9
	r, err := someBaseline(t, Options{}).Fit(someField)
	if err != nil {
		t.Fatal(err)
	}
	p := r.Posterior
	if p.Above(-0.1) != 1 || p.Above(0) != 1 || p.Above(1) != 0 {
		t.Errorf("P(q > 0) = %g, P(q > 1) = %g", p.Above(0), p.Above(1))
	}
	last := 0.0
	for probability := 0.01; probability < 1; probability += 0.01 {
		q := p.Quantile(probability)
		if q < last {
			t.Errorf("quantile %g is %g, below the one before", probability, q)
		}
		last = q
		if got := 1 - p.Above(q); math.Abs(got-probability) > tolerance {
			t.Errorf("P(q <= quantile %g) = %.12g", probability, got)
		}
	}
	i := p.Limits(0.9)
	for probability, limit := range map[float64]float64{0.05: i.Lower, 0.5: i.Estimate, 0.95: i.Upper} {
		if q := p.Quantile(probability); math.Abs(limit-q) > tolerance {
			t.Errorf("quantile %g among the limits is %g, else %g", probability, limit, q)
		}
	}
}

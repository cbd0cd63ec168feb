package mixture

import (
	"cmp"
	"math"
	"slices"

	"vialwise/doseresp"
)

// lineNode is one line of the susceptible part of a field, θ its log10 LC50
// from the centre, with the logarithm of its weight: what prior and baseline
// say of it.
type lineNode struct{ theta, slope, weight float64 }

// How finely the lines are laid out: in standard deviations, on a square grid
// cut to a circle. The trapezoidal rule is nearly exact for a smooth density
// at such a step.
const (
	lineStep   = 1.1
	lineReach  = 4.4
	naturals   = 4 // nodes of a natural mortality
	deltaNodes = 9 // nodes of δ
)

// grid is the posterior of the line as the baseline leaves it, to the power
// 1/h where containers vary more than binomial counts.
type grid struct {
	link  doseresp.Link
	lines []lineNode // the heaviest first
}

// newGrid lays lines around a centre whose spread in θ and log slope is
// given, both as the counts alone have them, and weighs them by the prior and
// the baseline.
func (b *Baseline) newGrid(theta, lambda float64, spread [3]float64, h float64) *grid {
	prior := b.linePrior()
	theta, lambda, spread = prior.with(theta, lambda, spread)
	t11, t21, t22 := factor2(spread)
	g := &grid{link: b.options.Link}
	natural := b.naturalNodes(&b.counts, b.freeC[:b.assays], h)
	delta := b.newDeltaRule(h, deltaNodes)
	steps := int(lineReach / lineStep)
	top := math.Inf(-1)
	for i := -steps; i <= steps; i++ {
		for k := -steps; k <= steps; k++ {
			u, v := float64(i)*lineStep, float64(k)*lineStep
			if u*u+v*v > lineReach*lineReach {
				continue
			}
			n := lineNode{theta: theta + t11*u}
			log := lambda + t21*u + t22*v
			n.slope = math.Exp(log)
			n.weight = prior.log(n.theta, log) + b.logDelta(n.theta, n.slope, delta, natural, h)
			top = max(top, n.weight)
			g.lines = append(g.lines, n)
		}
	}
	if math.IsInf(top, -1) { // too far off for a double to tell the lines apart
		for i := range g.lines {
			g.lines[i].weight = 0
		}
		top = 0
	}
	kept := g.lines[:0]
	for _, n := range g.lines {
		if n.weight > top-negligible {
			n.weight -= top
			kept = append(kept, n)
		}
	}
	g.lines = kept
	slices.SortStableFunc(kept, func(a, b lineNode) int { return cmp.Compare(b.weight, a.weight) })
	return g
}

// likely is the grid of the few heaviest lines.
func (g *grid) likely() *grid {
	few := 1
	for few < len(g.lines) && g.lines[few].weight > -2 {
		few++
	}
	return &grid{link: g.link, lines: g.lines[:few]}
}

// negligible is a difference in log weight that no posterior notices.
const negligible = 18.0

// factor2 is the Cholesky factor of a covariance xx, xy, yy.
func factor2(v [3]float64) (a, b, c float64) {
	a = math.Sqrt(v[0])
	b = v[1] / a
	return a, b, math.Sqrt(max(v[2]-b*b, 1e-6*v[2]))
}

// linePrior is the prior of θ and log slope, both normal.
type linePrior struct{ theta, thetaSD, lambda, lambdaSD float64 }

func (b *Baseline) linePrior() linePrior {
	p := &b.options.Priors.Line
	prior := linePrior{
		theta: p.Log10LC50Mean - b.centre, thetaSD: p.Log10LC50SD,
		lambda: math.Log(p.SlopeMedian * b.options.Link.Scale()), lambdaSD: p.SlopeLogSD,
	}
	if math.IsNaN(prior.theta) {
		prior.theta = 0 // the mean of the baseline's log doses
	}
	return prior
}

func (p *linePrior) log(theta, lambda float64) float64 {
	x, y := (theta-p.theta)/p.thetaSD, (lambda-p.lambda)/p.lambdaSD
	return -0.5 * (x*x + y*y)
}

// with combines a normal likelihood of θ and log slope with the prior.
func (p *linePrior) with(theta, lambda float64, spread [3]float64) (float64, float64, [3]float64) {
	det := spread[0]*spread[2] - spread[1]*spread[1]
	if !(det > 0) {
		det = spread[0] * spread[2] * 1e-6
	}
	k11, k12, k22 := spread[2]/det, -spread[1]/det, spread[0]/det // the precision
	p11, p22 := 1/(p.thetaSD*p.thetaSD), 1/(p.lambdaSD*p.lambdaSD)
	r1 := k11*theta + k12*lambda + p11*p.theta
	r2 := k12*theta + k22*lambda + p22*p.lambda
	k11, k22 = k11+p11, k22+p22
	det = k11*k22 - k12*k12
	return (k22*r1 - k12*r2) / det, (k11*r2 - k12*r1) / det, [3]float64{k22 / det, -k12 / det, k11 / det}
}

// naturalNodes returns the nodes of each assay's C: of its prior and its
// controls where it is estimated, else the value that it has. Without controls
// it keeps its prior.
func (b *Baseline) naturalNodes(c *counts, freeC []bool, h float64) [][]node {
	nodes := make([][]node, len(freeC))
	for k := range freeC {
		nodes[k] = b.naturalOf(c, k, h)
	}
	return nodes
}

func (b *Baseline) naturalOf(c *counts, assay int, h float64) []node {
	if b.options.Natural.Mode != doseresp.Estimated {
		value := 0.0
		if b.options.Natural.Mode == doseresp.Fixed {
			value = b.options.Natural.Value
		}
		return []node{{value, 1}}
	}
	dead, alive := c.control(assay)
	p := &b.options.Priors.Line
	return betaNodes(p.NaturalA+dead/h, p.NaturalB+alive/h, naturals)
}

// logBaseline is the log-likelihood of the baseline's treated containers with
// every C integrated out, divided by h.
func (b *Baseline) logBaseline(theta, slope float64, natural [][]node, h float64) float64 {
	var byNode [naturals]float64
	total := 0.0
	groups := b.counts.groups
	for k, nodes := range natural {
		clear(byNode[:])
		for i := range groups {
			g := &groups[i]
			if g.assay != k || g.control {
				continue
			}
			t := b.options.Link.Tails(b.middle() + slope*(g.x-b.centre-theta))
			for n := range nodes {
				c := nodes[n].x
				byNode[n] += g.loglik(c+(1-c)*t.CDF, (1-c)*t.Survival)
			}
		}
		total += logSum(byNode[:len(nodes)], nodes, h)
	}
	return total
}

// logSum is log Σ weight exp(l/h).
func logSum(l []float64, nodes []node, h float64) float64 {
	top := math.Inf(-1)
	for _, x := range l {
		top = max(top, x)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for i, x := range l {
		sum += nodes[i].weight * math.Exp((x-top)/h)
	}
	return top/h + math.Log(sum)
}

// middle is the η of LC50.
func (b *Baseline) middle() float64 { return b.median }

// layOwnGrid is the grid of the baseline alone, around its own line.
func (b *Baseline) layOwnGrid() *grid {
	theta, lambda, spread := b.ownLine(b.h, b.spread())
	return b.newGrid(theta, lambda, spread, b.h)
}

// ownLine is the baseline's line with its spread, times h and with extra
// variance of θ.
func (b *Baseline) ownLine(h, extra float64) (theta, lambda float64, spread [3]float64) {
	slope, c, v := b.line.Slope, b.centre, b.line.Cov
	theta = (b.middle()-b.line.Intercept)/slope - c
	aa := v[0][0] + 2*c*v[0][1] + c*c*v[1][1] // of the centred intercept
	ab := v[0][1] + c*v[1][1]
	return theta, math.Log(slope), lineSpread(theta, slope, aa*h, ab*h, v[1][1]*h, extra)
}

// lineSpread is the covariance of θ and log slope by the delta method, from
// that of the centred intercept and the slope, extra variance added to θ.
func lineSpread(theta, slope, aa, ab, bb, extra float64) [3]float64 {
	s2 := slope * slope
	return [3]float64{
		(aa+2*theta*ab+theta*theta*bb)/s2 + extra,
		-(ab + theta*bb) / s2,
		bb / s2,
	}
}

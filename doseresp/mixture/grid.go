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
// given, and weighs them by the prior and the baseline.
func (b *Baseline) newGrid(theta, lambda float64, spread [3]float64, h float64) *grid {
	t11, t21, t22 := factor2(spread)
	g := &grid{link: b.options.Link}
	natural := b.naturalNodes(&b.counts, b.freeC[:b.assays], h)
	delta := normalNodes(math.Sqrt(b.spread()), deltaNodes)
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
			n.weight = b.logSlopePrior(log) + b.logDelta(n.theta, n.slope, delta, natural, h)
			top = max(top, n.weight)
			g.lines = append(g.lines, n)
		}
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

func (b *Baseline) logSlopePrior(lambda float64) float64 {
	p := &b.options.Priors.Line
	z := (lambda - math.Log(p.SlopeMedian*b.options.Link.Scale())) / p.SlopeLogSD
	return -0.5 * z * z
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

// logDelta is the log-likelihood of the baseline where the field's line lies
// at θ, the baseline's δ to its left.
func (b *Baseline) logDelta(theta, slope float64, delta []node, natural [][]node, h float64) float64 {
	sum, top := 0.0, math.Inf(-1)
	for _, d := range delta {
		l := b.logBaseline(theta-d.x, slope, natural, h) + math.Log(d.weight)
		if l > top {
			sum, top = sum*math.Exp(top-l)+1, l
		} else {
			sum += math.Exp(l - top)
		}
	}
	return top + math.Log(sum)
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
				byNode[n] += logPart(g.dead, c+(1-c)*t.CDF) + logPart(g.alive, (1-c)*t.Survival)
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
func (b *Baseline) middle() float64 { return b.options.Link.Quantile(0.5) }

// layOwnGrid is the grid of the baseline alone, around its own line.
func (b *Baseline) layOwnGrid() *grid {
	h := b.line.Heterogeneity.Factor()
	slope := b.line.Slope
	theta := (b.middle()-b.line.Intercept)/slope - b.centre
	// Derivatives of θ and log slope in the centred intercept and the slope.
	c := b.centre
	v := b.line.Cov
	aa := v[0][0] + 2*c*v[0][1] + c*c*v[1][1]
	ab := v[0][1] + c*v[1][1]
	return b.newGrid(theta, math.Log(slope), lineSpread(theta, slope, aa*h, ab*h, v[1][1]*h, b.spread()), h)
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

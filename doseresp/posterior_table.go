package doseresp

import (
	"math"

	"vialwise/doseresp/internal/quick"
)

// gridTables evaluates the likelihood with C and ρ integrated out at any line,
// from tables of every dose's log-likelihood over logit mortality at each ρ.
type gridTables struct {
	t                  *target
	cs                 []node
	rhos               []node
	first              float64 // the first knot of logit mortality
	step               float64 // between knots
	knots              int
	doses              []doseTable
	control            []float64 // log-likelihood of the controls, weights included, by C and ρ
	odds               []float64
	sums               []float64
	massC              []float64 // posterior density of C at its nodes, up to a constant
	massRho            []float64
	weightC, weightRho []float64 // quadrature weights, without the priors
}

// doseTable holds the values and second derivatives of one dose at its knots,
// by knot and ρ.
type doseTable struct{ value, second []float64 }

const logitReach = 11.0 // beyond ±this the log-likelihoods are straight in logit mortality

// newGridTables tabulates over nodes of C and ρ. No C that is asked for may
// lie below lowest; spread is how much further apart than usual the knots are.
func newGridTables(t *target, cs, rhos []node, lowest, spread float64) *gridTables {
	g := &gridTables{
		t: t, cs: cs, rhos: rhos,
		doses: make([]doseTable, len(t.doses)), control: make([]float64, len(cs)*len(rhos)),
		odds: make([]float64, len(t.doses)), sums: make([]float64, len(rhos)),
		massC: make([]float64, len(cs)), massRho: make([]float64, len(rhos)),
	}
	g.weightC, g.weightRho = make([]float64, len(cs)), make([]float64, len(rhos))
	for i, c := range cs {
		g.weightC[i] = c.weight
	}
	for i, rho := range rhos {
		g.weightRho[i] = rho.weight
	}
	most := 0
	for i := range t.doses {
		most = max(most, t.doses[i].n)
	}
	// The error of a cubic spline is step⁴/384 times the fourth derivative,
	// which is at most n/8.
	step := spread * math.Min(0.4, 0.35*math.Pow(36/float64(most), 0.25))
	g.first = -logitReach
	if lowest > 0 { // no mortality lies below C
		g.first = math.Max(g.first, math.Log(lowest/(1-lowest))-step)
	}
	g.knots = int(math.Ceil((logitReach-g.first)/step)) + 1
	g.step = (logitReach - g.first) / float64(g.knots-1)
	mortality := make([]tails, g.knots)
	for i := range mortality {
		mortality[i] = logitAt(g.first + g.step*float64(i))
	}
	column, second := make([]float64, g.knots), make([]float64, g.knots)
	for i := range t.doses {
		g.doses[i] = g.tabulate(&t.doses[i], mortality, column, second)
	}
	g.addControls()
	return g
}

// addControls fills in control.
func (g *gridTables) addControls() {
	for i, c := range g.cs {
		for k, rho := range g.rhos {
			l := c.logWeight + rho.logWeight
			if g.t.control.n > 0 {
				l += g.t.control.loglik(c.value, 1-c.value, rho.value)
			}
			g.control[i*len(g.rhos)+k] = l
		}
	}
}

// withC is g with other nodes of C, for marginal alone. The tables of the doses
// are shared.
func (g *gridTables) withC(cs []node) *gridTables {
	out := *g
	out.cs, out.control = cs, make([]float64, len(cs)*len(g.rhos))
	out.addControls()
	return &out
}

// tabulate fills in a dose, given the mortality at every knot.
func (g *gridTables) tabulate(d *tally, mortality []tails, column, second []float64) doseTable {
	n := len(g.rhos)
	table := doseTable{make([]float64, g.knots*n), make([]float64, g.knots*n)}
	for k, rho := range g.rhos {
		total := d.total(rho.value)
		for i := range mortality {
			column[i] = d.counted(mortality[i].cdf, mortality[i].survival, rho.value) - total
		}
		splineSecond(column, g.step, second)
		for i := range column {
			table.value[i*n+k] = column[i]
			table.second[i*n+k] = second[i] * g.step * g.step / 6
		}
	}
	return table
}

// lineOdds are the odds of death by treatment at every dose.
func (g *gridTables) lineOdds(theta, lambda float64) []float64 {
	b := math.Exp(lambda)
	for i := range g.t.doses {
		f := g.t.link.Tails(g.t.middle + b*(g.t.doses[i].x-theta))
		g.odds[i] = f.CDF / max(f.Survival, 1e-300)
	}
	return g.odds
}

// sumAt leaves the log-likelihood at one C, weights included, in sums, by ρ.
func (g *gridTables) sumAt(ic int, c node) {
	n := len(g.rhos)
	copy(g.sums, g.control[ic*n:(ic+1)*n])
	background := c.value / (1 - c.value)
	for i, odds := range g.odds {
		// P/Q = (C + (1-C)F)/((1-C)(1-F)), with odds = F/(1-F)
		g.addDose(&g.doses[i], quick.Rough(odds+(1+odds)*background), g.sums)
	}
}

// belowRounding is a difference of logs whose smaller term rounding takes away.
const belowRounding = 38

// marginal is the log-likelihood of a line, C and ρ integrated out.
func (g *gridTables) marginal(theta, lambda float64) float64 {
	g.lineOdds(theta, lambda)
	total, top := 0.0, math.Inf(-1)
	for ic, c := range g.cs {
		g.sumAt(ic, c)
		for _, l := range g.sums {
			switch {
			case l > top:
				total = total*quick.Exp(top-l) + 1
				top = l
			case l > top-belowRounding:
				total += quick.Exp(l - top)
			}
		}
	}
	return top + math.Log(total)
}

// addDose adds one dose's log-likelihood at a logit mortality to every ρ.
func (g *gridTables) addDose(d *doseTable, logit float64, sums []float64) {
	n := len(sums)
	at := (logit - g.first) / g.step
	if !(at > 0 && at < float64(g.knots-1)) {
		g.addBeyond(d, at, sums)
		return
	}
	i := int(at)
	u := at - float64(i)
	v := 1 - u
	cu, cv := u*u*u-u, v*v*v-v
	// slices of one length each, so that the loop needs no bounds checks
	value0, value1 := d.value[i*n:][:n], d.value[(i+1)*n:][:n]
	second0, second1 := d.second[i*n:][:n], d.second[(i+1)*n:][:n]
	for k := range sums {
		sums[k] += v*value0[k] + u*value1[k] + cv*second0[k] + cu*second1[k]
	}
}

// addBeyond continues a dose's log-likelihood in a straight line.
func (g *gridTables) addBeyond(d *doseTable, at float64, sums []float64) {
	n := len(sums)
	first, next, past := 0, 1, -math.Max(at, -1e4)
	if at > 0 {
		first, next, past = g.knots-1, g.knots-2, math.Min(at, 1e4)-float64(g.knots-1)
	}
	for k := range n {
		y := d.value[first*n+k]
		sums[k] += y + past*(y-d.value[next*n+k])
	}
}

// addMasses adds the densities of C and ρ at one line, whose log posterior
// lies below the top by drop, to massC and massRho. Their weights are divided
// out again: what counts is whether the density has died away at the ends.
func (g *gridTables) addMasses(theta, lambda, top float64) {
	g.odds = g.lineOdds(theta, lambda)
	for ic, c := range g.cs {
		g.sumAt(ic, c)
		for k, l := range g.sums {
			p := math.Exp(l + g.t.logPriorLine(theta, lambda) - top)
			g.massC[ic] += p / g.weightC[ic]
			g.massRho[k] += p / g.weightRho[k]
		}
	}
}

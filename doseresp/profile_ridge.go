package doseresp

import "math"

// profiler searches the profile likelihood of one LCp, in the standardised
// dose.
type profiler struct {
	m             *model
	z             float64
	cdf, survival float64    // F(z), 1 - F(z)
	drop          float64    // h q/2, the fall in log-likelihood that the set allows
	concave       bool       // C = 0: ℓp has one maximum and falls away from it
	finite        bool       // the maximum is a line, not a step
	flat          ridge      // the level line through z, through which every θ can be had
	top           float64    // the highest log-likelihood found
	peak          ridge      // a point in the set, or where to start from
	ends          [2]ridge   // the outermost points known to belong to the set
	highest       ridge      // the point of the ridge that raised top last, else peak
	guess         [2]float64 // of the limits, NaN without
	rivals        rivals
}

// ridge is the highest point of the likelihood with the line through (θ, z).
type ridge struct {
	theta, b, c    float64
	loglik         float64
	slope          float64 // dℓp/dθ
	driftB, driftC float64 // of b and C as θ grows
}

// The rules by which the ascent at fixed θ ends.
const (
	ridgeDone  = 1e-8 // gᵀI⁻¹g/2 from here is the rise that is left, to its power 3/2
	ridgeNoise = 1e-13
	ridgeSteps = 200 // ordinary data need 1 to 4
	ridgeCap   = 1e8 // no slope is steeper: the step itself is computed apart
	driftReach = 4.0 // a prediction changes b by this factor at most
)

// predict is the start of the ascent at theta, from a ridge point nearby.
func (g *ridge) predict(theta float64) ridge {
	by := theta - g.theta
	b := min(max(g.b+by*g.driftB, g.b/driftReach), g.b*driftReach)
	c := min(max(g.c+by*g.driftC, g.c/driftReach), (g.c+1)/2)
	return ridge{theta: theta, b: b, c: c}
}

// through turns derivatives in (a, b, C) into those in (b, C) for lines
// through (θ, z), along which a = z - bθ.
func through(v *symmetric, theta float64) symmetric {
	return symmetric{
		aa: v.bb - 2*theta*v.ab + theta*theta*v.aa,
		ab: v.bc - theta*v.ac,
		bb: v.cc,
	}
}

func (p *profiler) evaluate(g *ridge, d *derivatives) {
	p.m.evaluate(params{p.z - g.b*g.theta, g.b, g.c}, d)
}

// climb maximises the likelihood at start.theta over b >= 0 and C >= 0, from
// start: Newton's steps where the observed information is positive definite,
// scoring steps elsewhere, halved until the likelihood rises.
func (p *profiler) climb(start ridge) ridge {
	g := start
	if !p.m.freeC {
		g.c = p.m.fixedC
	}
	var d, trial derivatives
	p.evaluate(&g, &d)
	if !(d.loglik > p.flat.loglik) { // worse than no slope at all
		g.b, g.c = 0, p.flat.c
		p.evaluate(&g, &d)
	}
	for range ridgeSteps {
		if 0 < g.c && g.c < negligibleC && d.gc < 0 && p.m.freeC && p.m.control.dead == 0 {
			g.c = 0
			p.evaluate(&g, &d)
		}
		step, decrement := p.direction(&g, &d)
		if decrement <= ridgeDone && g.b+step.b >= 0 && g.c+step.c >= 0 {
			g.b, g.c = g.b+step.b, g.c+step.c
			d.loglik += decrement / 2
			break
		}
		next, ok := p.search(&g, step, decrement, &d, &trial)
		if !ok || trial.loglik <= d.loglik && decrement < ridgeNoise*(1+math.Abs(d.loglik)) || next.b > ridgeCap {
			break
		}
		g, d = next, trial
	}
	p.finish(&g, &d)
	return g
}

// direction is the next step in b and C, and its decrement. A parameter on its
// bound that the score or the step would carry outwards stays there.
func (p *profiler) direction(g *ridge, d *derivatives) (step params, decrement float64) {
	gb, gc := d.gb-g.theta*d.ga, d.gc
	freeB := g.b > 0 || gb > 0
	freeC := p.m.freeC && (g.c > 0 || gc > 0)
	for {
		f, ok := p.factor(g, d, freeB, freeC)
		if !ok {
			return params{}, 0
		}
		x, decrement := f.solve(held(gb, freeB), held(gc, freeC), 0)
		switch {
		case freeC && g.c == 0 && x.b <= 0:
			freeC = false
		case freeB && g.b == 0 && x.a <= 0:
			freeB = false
		default:
			return params{b: x.a, c: x.b}, decrement
		}
	}
}

// held is the score of a parameter, 0 where its bound holds it.
func held(score float64, free bool) float64 {
	if free {
		return score
	}
	return 0
}

// factor factors the observed information in (b, C), or the expected one
// where that is not positive definite; a parameter that is held stands apart.
func (p *profiler) factor(g *ridge, d *derivatives, freeB, freeC bool) (f factor, ok bool) {
	for _, information := range [...]*symmetric{&d.observed, &d.expected} {
		v := through(information, g.theta)
		if !freeB {
			v.aa, v.ab = 1, 0
		}
		if !freeC {
			v.bb, v.ab = 1, 0
		}
		if f, ok = cholesky(&v, false); ok {
			break
		}
	}
	return f, ok
}

// search halves the step until the likelihood rises enough, and stops at the
// bounds. It leaves the new point's derivatives in trial.
func (p *profiler) search(g *ridge, step params, decrement float64, d, trial *derivatives) (ridge, bool) {
	db, dc := step.b, step.c
	edgeB, edgeC := math.Inf(1), math.Inf(1)
	if db < 0 {
		edgeB = g.b / -db
	}
	if dc < 0 {
		edgeC = g.c / -dc
	}
	slack := 1e-15 * math.Abs(d.loglik)
	t := 1.0
	for range 60 {
		t = min(t, edgeB, edgeC)
		next := *g
		next.b, next.c = max(g.b+t*db, 0), max(g.c+t*dc, 0)
		if t == edgeB {
			next.b = 0
		}
		if t == edgeC {
			next.c = 0
		}
		if next.c > cCap {
			next.c = (g.c + 1) / 2
		}
		p.evaluate(&next, trial)
		if trial.loglik >= d.loglik+leastRise*t*decrement-slack {
			return next, next != *g
		}
		t /= 2
	}
	return *g, false
}

// finish fills in what the search along θ needs. By the envelope theorem
// dℓp/dθ = -b Σ ∂ℓ/∂η; the drift is that of the root of the score in (b, C).
func (p *profiler) finish(g *ridge, d *derivatives) {
	g.loglik = d.loglik
	g.slope = -g.b * d.ga
	freeB, freeC := g.b > 0, p.m.freeC && g.c > 0
	if f, ok := p.factor(g, d, freeB, freeC); ok {
		byB, byC := g.b*(d.observed.ab-g.theta*d.observed.aa)-d.ga, g.b*d.observed.ac
		x, _ := f.solve(held(byB, freeB), held(byC, freeC), 0)
		g.driftB, g.driftC = x.a, x.b
	}
}

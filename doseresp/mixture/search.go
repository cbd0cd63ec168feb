package mixture

import (
	"math"

	"vialwise/doseresp"
)

// form is one shape of the model, by what of q and s is free.
type form uint8

const (
	none    form = iota // q is 0
	plateau             // q is free, no dose kills the resistant part
	shifted             // q and s are free
)

// setForm frees the coordinates of a form. A C is free where the model
// estimates it.
func (c *climber) setForm(f form, freeC []bool) {
	c.free[atA], c.free[atB] = true, true
	c.free[atQ], c.free[atS] = f != none, f == shifted
	c.free[atD] = c.m.variance > 0
	for k, free := range freeC {
		c.free[atC+k] = free
	}
}

// shifts are the log10 shifts from which ascents may start, above the least.
var shifts = []float64{0, 0.2, 0.45, 0.7, 1, 1.3, 1.7, 2.2, 3}

// candidate is a place to start from: a shift, the best q there with the line
// held, and how well they do.
type candidate struct{ q, s, loglik float64 }

// survey finds the best q at each of the shifts with the rest of p held, and
// keeps the highest of them at most in best, the highest first. The likelihood
// is concave in q.
func (c *climber) survey(p []float64, fixedQ bool, best []candidate) {
	for i := range best {
		best[i].loglik = math.Inf(-1)
	}
	copy(c.trial, p)
	c.divide(p)
	for _, s := range shifts {
		k := candidate{q: p[atQ], s: c.lower[atS] + s}
		c.trial[atS] = k.s
		c.shift(c.trial)
		if !fixedQ {
			k.q = c.bestFraction(c.trial)
		}
		c.trial[atQ] = k.q
		k.loglik = c.fieldLoglik(c.trial)
		for i := range best {
			if k.loglik > best[i].loglik {
				k, best[i] = best[i], k
			}
		}
	}
}

// bestFraction maximises the field's log-likelihood over q, after divide, by Newton
// steps inside a shrinking interval.
func (c *climber) bestFraction(p []float64) float64 {
	low, high := 0.0, 1.0
	q := 0.1
	for range 12 {
		slope, curvature := c.fractionSlope(p, q)
		if slope > 0 {
			low = q
		} else {
			high = q
		}
		next := q + slope/curvature
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-q) < 1e-3 {
			return next
		}
		q = next
	}
	return q
}

// parts are the two parts of the field at a dose, whatever q.
type parts struct{ s, r doseresp.Tails }

// divide fills in the parts at the doses of the field.
func (c *climber) divide(p []float64) {
	groups := c.m.fieldDoses()
	c.parts = c.parts[:0]
	for i := range groups {
		c.parts = append(c.parts, parts{s: c.m.susceptible(p, &groups[i])})
	}
	c.shift(p)
}

// shift fills in the resistant part anew, which alone the shift moves.
func (c *climber) shift(p []float64) {
	groups := c.m.fieldDoses()
	for i := range groups {
		c.parts[i].r = c.m.resistant(p, &groups[i])
	}
}

// fractionSlope is the derivative of the field's log-likelihood in q, and
// minus the second, after divide.
func (c *climber) fractionSlope(p []float64, q float64) (slope, curvature float64) {
	groups := c.m.fieldDoses()
	for i := range groups {
		g, s, r := &groups[i], &c.parts[i].s, &c.parts[i].r
		natural := p[atC+g.assay]
		x := mix(s, r, q)
		d := (1 - natural) * (r.CDF - s.CDF)
		if g.dead > 0 {
			w := d / (natural + (1-natural)*x.killed)
			slope += g.dead * w
			curvature += g.dead * w * w
		}
		if g.alive > 0 {
			w := d / ((1 - natural) * x.spared)
			slope -= g.alive * w
			curvature += g.alive * w * w
		}
	}
	return slope, curvature
}

// fieldLoglik is the part of loglik from the treated field groups, after divide.
func (c *climber) fieldLoglik(p []float64) float64 {
	sum := 0.0
	groups := c.m.fieldDoses()
	for i := range groups {
		g := &groups[i]
		natural := p[atC+g.assay]
		x := mix(&c.parts[i].s, &c.parts[i].r, p[atQ])
		sum += g.loglik(natural+(1-natural)*x.killed, (1-natural)*x.spared)
	}
	return sum
}

package doseresp

import "math"

// startAt returns a starting line for natural mortality c: the weighted least
// squares line through the transformed corrected proportions, with half a
// death and half a survivor added to each group.
func (m *model) startAt(c float64) params {
	var w, wu, wz, wuu, wuz float64
	for i := range m.treated {
		g := &m.treated[i]
		p := (g.dead + 0.5) / (g.exposed + 1)
		p = max((p-c)/(1-c), 0.5/(g.exposed+1))
		z, weight := m.link.rough(p), g.exposed*p*(1-p)
		w += weight
		wu += weight * g.u
		wz += weight * z
		wuu += weight * g.u * g.u
		wuz += weight * g.u * z
	}
	det := w*wuu - wu*wu
	if !(det > 1e-12*w*wuu) {
		return params{a: wz / w, c: c}
	}
	b := (w*wuz - wu*wz) / det
	return params{a: (wz - b*wu) / w, b: b, c: c}
}

// flatStart is the level line at the mean mortality of the treated, corrected
// for natural mortality c.
func (m *model) flatStart(c float64) params {
	exposed, dead := m.totals()
	p := min(max((dead/exposed-c)/(1-c), 0.01), 0.99)
	return params{a: m.link.rough(p), c: c}
}

// rough is a cheap stand-in for Quantile, good to a few per cent, for starts.
func (l Link) rough(p float64) float64 {
	if l == Cloglog {
		return math.Log(-math.Log1p(-p))
	}
	z := math.Log(p / (1 - p))
	if l == Probit {
		z /= 1.7
	}
	return z
}

// startC is the natural mortality of the first start: the controls' rate.
func (m *model) startC() float64 {
	if !m.freeC {
		return m.fixedC
	}
	return min(m.control.rate(), 0.99)
}

// maximise finds the highest summit. One start is enough where the likelihood
// has one maximum: always with C = 0, since log F and log(1-F) are concave in
// η for every link (Pratt 1981, J. Am. Stat. Assoc. 76:103-106), and in
// practice where C is small and the line fits. Elsewhere the ascent is
// repeated from other starts.
func (m *model) maximise(limit step) summit {
	best := m.climb(m.startAt(m.startC()))
	if !m.freeC && m.fixedC == 0 || best.converged && !m.doubtful(&best, limit) {
		return best
	}
	for _, start := range m.otherStarts() {
		s := m.climb(start)
		best.iterations += s.iterations
		if s.loglik > best.loglik+1e-9 || !best.converged && s.converged && s.loglik > best.loglik-1e-9 {
			s.iterations = best.iterations
			best = s
		}
	}
	return best
}

// doubtful says whether a summit might have a higher one beside it: the line
// rises too little or too much for the doses, natural mortality is high or has
// left what the controls show, the fit is poor, or a mere step does nearly as
// well.
func (m *model) doubtful(s *summit, limit step) bool {
	if s.b < 0.2 || s.b > 20 || s.c > 0.3 || limit.loglik > s.loglik-1 {
		return true
	}
	if s.c == 0 && m.freeC && m.treated[0].dead+m.treated[1].dead > 0 {
		return true // deaths at low doses that natural mortality might explain better
	}
	x2, excess := 0.0, 0.0
	for i := range m.treated {
		g := &m.treated[i]
		t := m.link.at(s.a + s.b*g.u)
		x2 += pearsonTerm(g.exposed, g.dead, s.c+(1-s.c)*t.cdf, (1-s.c)*t.survival)
	}
	if n := m.control.exposed; n > 0 && m.freeC {
		rate := (m.control.dead + 1) / (n + 2)
		excess = math.Abs(s.c-rate) / math.Sqrt(rate*(1-rate)/n)
	}
	return x2 > 2*float64(len(m.treated)) || excess > 2
}

// otherStarts pools the controls with ever more low doses for the natural
// mortality of the start. At each it tries the line through the corrected
// proportions and a steep one through the next gap between doses.
func (m *model) otherStarts() []params {
	starts := []params{m.startAt(min(0.3*(m.control.dead+0.1)/(m.control.exposed+1), 0.5))}
	n, r := m.control.exposed, m.control.dead
	for i, g := range m.treated {
		if c := r / n; n > 0 && c < 1 {
			starts = append(starts, m.startAt(c), m.steepAt(i, c))
		}
		n += g.exposed
		r += g.dead
	}
	return starts
}

// steepAt is a line that rises from low to high response around the gap below
// group i.
func (m *model) steepAt(i int, c float64) params {
	u, width := m.treated[i].u, 1.0
	if i > 0 {
		width = u - m.treated[i-1].u
	}
	b := 2 / width
	return params{a: -b * (u - width/2), b: b, c: c}
}

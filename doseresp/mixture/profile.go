package mixture

import (
	"math"
	"slices"
)

// profiler follows the highest log-likelihood at a fixed q.
type profiler struct {
	*joint
	need float64   // the log-likelihood at the limits
	last []float64 // the point at the q last asked for
	rise float64   // of the profile with q there
}

// fraction returns q of the shifted form with its profile limits: those q at
// which twice the fall of the log-likelihood, divided by h, stays below the
// quantile of F(1, df), or of chi-squared (see doseresp's Profile). The shift
// stays free, the plateau among its values. One dose has no q.
func (j *joint) fraction(r *Result) Interval {
	if !r.Identified {
		return r.Fraction
	}
	top := &j.top[shifted]
	t := r.quantile((1 - r.Level) / 2)
	p := &profiler{joint: j, need: top.loglik - r.Heterogeneity.Factor()*t*t/2}
	q := top.p[atQ]
	i := Interval{Estimate: q, Lower: 0, Upper: 1}
	if q > 0 {
		p.last = slices.Clone(top.p)
		i.Lower = p.limit(q, 0, j.top[none].loglik)
	}
	p.last = slices.Clone(top.p)
	if q == 0 {
		p.last[atS] = math.Inf(1)
	}
	if q < 1 {
		i.Upper = p.limit(q, 1, math.NaN())
	}
	return i
}

// limitTolerance is the width to which a limit of q is found.
const limitTolerance = 1e-7

// limit finds where the profile falls to p.need between the estimate and end,
// by follow or, where that loses the way, by regula falsi with halved ends (the
// Illinois rule: Dowell & Jarratt 1971, BIT 11:168-174, from memory) on the
// signed root of the fall. It returns end itself where the profile stays above.
// atEnd is the profile there, NaN where that is still to be computed.
func (p *profiler) limit(q, end, atEnd float64) float64 {
	start := slices.Clone(p.last)
	if x, found := p.follow(q, end, atEnd); found {
		return x
	}
	p.last = start
	top := p.top[shifted].loglik
	goal := math.Sqrt(top - p.need)
	fall := func(l float64) float64 { return math.Sqrt(max(top-l, 0)) - goal }
	if math.IsNaN(atEnd) {
		inside, outside, atInside, atOutside := p.approach(q, end, fall)
		if math.IsNaN(outside) {
			return end
		}
		return p.bisect(inside, outside, atInside, atOutside, fall)
	}
	if fall(atEnd) <= 0 {
		return end
	}
	return p.bisect(q, end, -goal, fall(atEnd), fall)
}

// approach steps from the estimate towards end in growing steps until the
// profile has fallen far enough; outside is NaN where it never does. Small
// steps keep the path of the other coordinates from jumping to a lower ridge.
func (p *profiler) approach(q, end float64, fall func(float64) float64) (inside, outside, atInside, atOutside float64) {
	inside, atInside = q, fall(p.top[shifted].loglik)
	step := max(0.02, 0.25*q)
	for {
		outside = min(inside+step, end)
		atOutside = fall(p.at(outside, every))
		if atOutside > 0 {
			return inside, outside, atInside, atOutside
		}
		if outside == end {
			return inside, math.NaN(), atInside, atOutside
		}
		inside, atInside = outside, atOutside
		step *= 1.6
	}
}

func (p *profiler) bisect(a, b, fa, fb float64, fall func(float64) float64) float64 {
	side := 0
	for range 60 {
		if math.Abs(b-a) < limitTolerance {
			break
		}
		q := (a*fb - b*fa) / (fb - fa)
		if !(q > min(a, b) && q < max(a, b)) {
			q = (a + b) / 2
		}
		f := fall(p.at(q, every))
		switch {
		case math.Abs(f) < rootFound:
			return q
		case f < 0:
			a, fa = q, f
			if side == -1 {
				fb /= 2
			}
			side = -1
		default:
			b, fb = q, f
			if side == 1 {
				fa /= 2
			}
			side = 1
		}
	}
	return (a + b) / 2
}

const (
	followSteps = 12   // that a search may take
	rootFound   = 1e-8 // of the signed root of the fall
)

// follow is limit by Newton's method on the signed root of the fall, climbing from
// the last point alone. Only its first point and the limit are compared with other
// ascents. found is false where one of these leads higher, and where the steps
// run out.
func (p *profiler) follow(q, end, atEnd float64) (limit float64, found bool) {
	start := slices.Clone(p.last)
	if atEnd >= p.need {
		return end, true
	}
	if end == 1 && p.at(1, likeliest) >= p.need {
		return 1, true // also where the set has a gap
	}
	copy(p.last, start)
	top := p.top[shifted].loglik
	goal := math.Sqrt(top - p.need)
	inside, outside, known := q, end, !math.IsNaN(atEnd)
	x := q + math.Copysign(min(max(0.02, 0.25*q), math.Abs(end-q)/2), end-q)
	loglik := p.at(x, every)
	for range followSteps {
		root := math.Sqrt(max(top-loglik, 0))
		f := root - goal
		switch {
		case math.Abs(f) < rootFound:
			return x, p.settled(x, loglik)
		case f > 0:
			outside, known = x, true
		case x == end:
			return end, true
		default:
			inside = x
		}
		x = p.reach(q, inside, x+2*f*root/p.rise)
		if !known && math.Abs(x-q) >= math.Abs(end-q) {
			x = end
		} else if !(x > min(inside, outside) && x < max(inside, outside)) {
			x = (inside + outside) / 2
		}
		p.last[atQ] = x
		loglik = p.ascendFrom(p.last, summit{})
	}
	return 0, false
}

// reach keeps a step from going more than thrice as far from the estimate as the
// set is known to reach, or the path would jump to a lower ridge.
func (p *profiler) reach(q, inside, x float64) float64 {
	const least = 0.05
	far := max(3*math.Abs(inside-q), least)
	if math.Abs(x-q) > far {
		return q + math.Copysign(far, x-q)
	}
	return x
}

// settled says that no other ascent, that from the summit among them, leads higher
// at q.
func (p *profiler) settled(q, loglik float64) bool {
	least := loglik + likelihoodTolerance
	if p.at(q, likeliest) > least {
		return false
	}
	p.last = slices.Clone(p.top[none].p)
	return p.at(q, likeliest) <= least
}

// How many other ascents a value of the profile is compared with: those from the
// two best shifts and from the plateau, or from the best shift alone.
const (
	every     = 3
	likeliest = 1
)

// at is the profile at q: the highest of the ascents from the last point and from
// starts other shifts beside it.
func (p *profiler) at(q float64, starts int) float64 {
	if q == 0 {
		return p.top[none].loglik
	}
	p.last[atQ] = q
	point := slices.Clone(p.last)
	var best [2]candidate
	p.survey(point, true, best[:])
	high := p.ascendFrom(p.last, summit{})
	rise := p.rise
	for _, s := range []float64{best[0].s, best[1].s, math.Inf(1)}[:starts] {
		from := slices.Clone(point)
		from[atS] = s
		if l := p.ascendFrom(from, summit{p.last, high, true}); l > high {
			high, rise, p.last = l, p.rise, from
		}
	}
	p.rise = rise
	return high
}

// ascendFrom climbs from a point, which it moves, with q held.
func (p *profiler) ascendFrom(point []float64, known summit) float64 {
	p.setForm(shifted, p.freeC)
	p.free[atQ], p.free[atS] = false, !math.IsInf(point[atS], 1)
	loglik, _ := p.climb(point, known)
	p.rise = p.d.gradient[atQ]
	return loglik
}

package doseresp

import "math"

// findRegion finds where the posterior has its mass: a high point, then how
// far it extends in C and ρ there, and in θ at every slope.
func (t *target) findRegion() region {
	p := t.highPoint()
	r := region{
		c:   interval{p.c, p.c},
		rho: t.extentRho(p, nuisanceDrop),
	}
	if t.freeC {
		r.c = t.extentC(p, nuisanceDrop)
	}
	t.followSlopes(&r, p)
	return r
}

// highPoint climbs to a point near the top of the posterior, from the best of
// a coarse scan, one coordinate after the other.
func (t *target) highPoint() place {
	best, top := place{}, math.Inf(-1)
	c := t.fixedC
	if t.freeC {
		c = 0.02
		if n := float64(t.control.n); n > 0 {
			dead := 0.0
			for _, k := range t.control.containers {
				dead += float64(k.Dead)
			}
			c = (dead + 0.5) / (n + 1)
		}
	}
	for i := range 33 {
		theta := t.scan(float64(i) / 32)
		for _, lambda := range []float64{t.slope - 0.7, t.slope, t.slope + 0.7} {
			p := place{theta, lambda, c, 0.03}
			if l := t.log(p); l > top {
				best, top = p, l
			}
		}
	}
	for _, size := range []float64{0.3, 0.06} {
		best = t.climbAxes(best, size)
	}
	return best
}

// scan spreads θ over the tested doses and as far beyond as the prior reaches.
func (t *target) scan(at float64) float64 {
	low, high := t.doses[0].x, t.doses[len(t.doses)-1].x
	reach := 3 * t.priors.Log10LC50SD
	low, high = math.Min(low, t.priors.Log10LC50Mean-reach), math.Max(high, t.priors.Log10LC50Mean+reach)
	return low + at*(high-low)
}

// climbAxes improves a place by parabolic steps along each coordinate, C and ρ
// on a scale that cannot leave their domains.
func (t *target) climbAxes(p place, size float64) place {
	axes := []func(q place, d float64) place{
		func(q place, d float64) place { q.theta += d; return q },
		func(q place, d float64) place { q.lambda += 2 * d; return q },
		func(q place, d float64) place { q.rho = shiftLogit(q.rho, 4*d); return q },
	}
	if t.freeC {
		axes = append(axes, func(q place, d float64) place { q.c = shiftLogit(q.c, 4*d); return q })
	}
	here := t.log(p)
	for range 2 {
		for _, move := range axes {
			step := size
			for range 6 {
				up, down := t.log(move(p, step)), t.log(move(p, -step))
				switch {
				case up > here && up >= down:
					p, here = move(p, step), up
				case down > here:
					p, here = move(p, -step), down
				default:
					step /= 3
				}
				if step < size/4 {
					break
				}
			}
		}
	}
	return p
}

// shiftLogit moves a proportion along the logit scale, not below 0.001.
func shiftLogit(x, d float64) float64 {
	l := math.Log(x/(1-x)) + d
	return math.Min(math.Max(1/(1+math.Exp(-l)), 1e-3), 0.95)
}

// extentC and extentRho find how far the posterior reaches along C and along ρ.
func (t *target) extentC(p place, drop float64) interval {
	return t.extent(p, p.c, drop, func(q *place, v float64) { q.c = v })
}

func (t *target) extentRho(p place, drop float64) interval {
	return t.extent(p, p.rho, drop, func(q *place, v float64) { q.rho = v })
}

// extent finds how far the posterior reaches along one nuisance from a high
// point, widened since other lines may want more of it.
func (t *target) extent(p place, at, drop float64, set func(*place, float64)) interval {
	const least, most, first = 0, 1, 0.02
	top := t.log(p)
	reach := func(direction float64) float64 {
		step, x := first, at
		for {
			next := x + direction*step
			if next <= least || next >= most {
				return math.Min(math.Max(next, least), most)
			}
			q := p
			set(&q, next)
			if t.log(q) < top-drop {
				return next
			}
			x = next
			step *= 1.3

		}
	}
	low, high := reach(-1), reach(1)
	low = math.Max(least, at-1.2*(at-low))
	if low < first { // so near the boundary that the boundary belongs to it
		low = least
	}
	return interval{low, math.Min(most, at+1.2*(high-at))}
}

// slopesScanned is the number of slopes at which the extent of θ is measured.
const slopesScanned = 9

// followSlopes walks from the high point to gentler and steeper slopes, along
// the best θ at each, until the posterior has died away, then measures the
// extent of θ at equally spaced slopes between.
func (t *target) followSlopes(r *region, p place) {
	top := t.log(p)
	ends := [2]float64{}
	for side, direction := range []float64{-1, 1} {
		q := p
		step := 0.25
		for n := 0; n < 40; n++ {
			q.lambda += direction * step
			q.theta = t.bestTheta(q)
			if t.log(q) < top-posteriorDrop {
				break
			}
		}
		ends[side] = q.lambda
	}
	r.lambda = interval{ends[0], ends[1]}
	r.theta = make([]stretch, slopesScanned)
	start := int(math.Round((p.lambda - ends[0]) / (ends[1] - ends[0]) * (slopesScanned - 1)))
	for _, direction := range []int{-1, 1} {
		q := p
		for i := start; i >= 0 && i < slopesScanned; i += direction {
			q.lambda = r.lambda.at(float64(i) / (slopesScanned - 1))
			q.theta = t.bestTheta(q)
			r.theta[i] = t.extentTheta(q, top)
		}
	}
}

// bestTheta maximises over θ at fixed slope, C and ρ, by ever shorter steps.
func (t *target) bestTheta(q place) float64 {
	best := t.log(q)
	for step := 0.4; step > 0.01; step /= 2 {
		for _, direction := range []float64{-1, 1} {
			for range 20 {
				next := q
				next.theta += direction * step
				l := t.log(next)
				if l <= best {
					break
				}
				q, best = next, l
			}
		}
	}
	return q.theta
}

// tailMargin lengthens the tails by about a half, since C and ρ, fixed while
// the extent is measured, make them heavier.
const tailMargin = 0.4

// extentTheta finds how far θ reaches on both sides of its best value: its
// width, where the log density has fallen by 2, and its ends, where it lies
// below the top by posteriorDrop or, at slopes that hardly matter, by a few.
func (t *target) extentTheta(q place, top float64) stretch {
	best := t.log(q)
	floor := math.Min(top-posteriorDrop, best-4)
	left, right := t.fall(q, -1, best-2), t.fall(q, 1, best-2)
	width := (left + right) / 2
	return stretch{
		q.theta, width,
		-math.Asinh(t.fall(q, -1, floor)/width) - tailMargin, math.Asinh(t.fall(q, 1, floor)/width) + tailMargin,
	}
}

// fall is the distance from the best θ at which the log density falls below a
// floor, to a few per cent.
func (t *target) fall(q place, direction, floor float64) float64 {
	below := func(distance float64) bool {
		next := q
		next.theta += direction * distance
		return t.log(next) < floor
	}
	outside := 0.05
	for n := 0; n < 60 && !below(outside); n++ {
		outside *= 1.6
	}
	inside := outside / 1.6
	for n := 0; n < 60 && below(inside) && inside > 1e-9; n++ {
		outside, inside = inside, inside/1.6
	}
	middle := math.Sqrt(inside * outside)
	if below(middle) {
		return middle
	}
	return outside
}

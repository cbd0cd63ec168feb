package doseresp

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// result sorts what the replicates gave into limits.
func (b *bootstrap) result(f *Fitter) *BootstrapResult {
	out := &BootstrapResult{Fit: b.fit, Replicates: len(b.known), Rho: b.rho}
	for _, s := range b.known {
		switch s {
		case Converged:
		case Separated, AllDead, NoneDead:
			out.Bracketed++
		default:
			out.Excluded++
		}
	}
	left := b.leaveOneOut(f)
	for i := range b.etas {
		l := BootstrapLimits{Percent: b.fit.LC[i].Percent, Failed: out.Bracketed + out.Excluded}
		o := b.order(i)
		l.Bias = o.bias(b.centre[i].low)
		l.Acceleration = acceleration(left[i])
		l.Percentile = o.percentile(b.fit.Level)
		l.BCa = o.corrected(b.fit.Level, l.Bias, l.Acceleration)
		out.Limits = append(out.Limits, l)
	}
	return out
}

// ordered are the usable replicates of one log10 LCp, sorted once by the
// lower and once by the upper end of what they say.
type ordered struct{ low, high []float64 }

func (b *bootstrap) order(percent int) ordered {
	var o ordered
	for i := percent; i < len(b.spans); i += len(b.etas) {
		if s := b.spans[i]; !math.IsNaN(s.low) {
			o.low = append(o.low, s.low)
			o.high = append(o.high, s.high)
		}
	}
	slices.Sort(o.low)
	slices.Sort(o.high)
	return o
}

// enough says whether the replicates that are left can carry limits.
func (o ordered) enough(level float64) bool { return len(o.low) >= fewestReplicates(level) }

// percentile are the limits between which the middle of the replicates lies
// (Efron 1979, Ann. Statist. 7:1-26, from memory).
func (o ordered) percentile(level float64) Limits {
	if !o.enough(level) {
		return Limits{0, math.Inf(1), Unbounded, Bracket{}}
	}
	tail := (1 - level) / 2
	return limitsOfLog10(sortedQuantile(o.low, tail), sortedQuantile(o.high, 1-tail))
}

// bias is Efron's z0 = Φ⁻¹(share of replicates below the estimate). Those at
// the estimate, or with a bracket around it, count one half.
func (o ordered) bias(estimate float64) float64 {
	n := 0.0
	for i := range o.low {
		// Each order is counted by itself: a replicate is below where its upper
		// end is, and not above where its lower end is not.
		if o.high[i] < estimate {
			n += 0.5
		}
		if o.low[i] <= estimate {
			n += 0.5
		}
	}
	switch share := n / float64(len(o.low)); {
	case len(o.low) == 0:
		return math.NaN()
	case share == 0:
		return math.Inf(-1)
	case share == 1:
		return math.Inf(1)
	default:
		return distuv.UnitNormal.Quantile(share)
	}
}

// corrected are the bias-corrected and accelerated limits (Efron 1987, J. Am.
// Stat. Assoc. 82:171-185, equation 2.3 from memory): percentiles at the tails
// that biasCorrectedTail returns. A limit whose tail holds less than one
// replicate is unbounded, and both are where bias or acceleration do not exist.
func (o ordered) corrected(level, bias, acceleration float64) Limits {
	none := Limits{0, math.Inf(1), Unbounded, Bracket{}}
	if !o.enough(level) || math.IsNaN(acceleration) || math.IsInf(bias, 0) {
		return none
	}
	z := distuv.UnitNormal.Quantile(0.5 + level/2)
	lower, upper := math.Inf(-1), math.Inf(1)
	n := float64(len(o.low))
	if p := biasCorrectedTail(-z, bias, acceleration); p*n >= 1 && (1-p)*n >= 1 {
		lower = sortedQuantile(o.low, p)
	}
	if p := biasCorrectedTail(z, bias, acceleration); p*n >= 1 && (1-p)*n >= 1 {
		upper = sortedQuantile(o.high, p)
	}
	return limitsOfLog10(lower, upper)
}

// biasCorrectedTail is the percentile Φ(z0 + (z0 + z)/(1 - a (z0 + z))) that
// stands for Φ(z), NaN where the acceleration leaves none.
func biasCorrectedTail(z, bias, acceleration float64) float64 {
	shrink := 1 - acceleration*(bias+z)
	if !(shrink > 0) {
		return math.NaN()
	}
	return distuv.UnitNormal.CDF(bias + (bias+z)/shrink)
}

// leaveOneOut returns, for each percent, log10 LCp of the fits that lack one
// container. The only untreated container stays wherever C rests on it: without
// it another model would be fitted.
func (b *bootstrap) leaveOneOut(f *Fitter) [][]float64 {
	values := make([][]float64, len(b.etas))
	rest := make([]Container, 0, len(b.drawn))
	spans := make([]interval, len(b.etas))
	var r Result
	mode := b.fit.Natural.Mode
	for skip, out := range b.drawn {
		if out.Dose == 0 && b.fit.Controls == 1 && (mode == Estimated || mode == AbbottCorrection) {
			continue
		}
		rest = rest[:0]
		for i, c := range b.drawn {
			if i != skip {
				rest = append(rest, c.Container)
			}
		}
		if err := f.Fit(rest, b.options, &r); err != nil {
			r.Status = NoSlope
		}
		f.locate(&r, b.etas, spans)
		for i, s := range spans {
			if s.low != s.high {
				s.low = math.NaN() // a bracket is no number
			}
			values[i] = append(values[i], s.low)
		}
	}
	return values
}

// acceleration is Σ(m - θi)³ / (6 (Σ(m - θi)²)^1.5) of the leave-one-out
// values θi with mean m (Efron 1987, section 10, from memory). With a handful
// of containers it is little more than chance and, since the container is the
// unit, no number of mites in them makes it vanish.
func acceleration(values []float64) float64 {
	mean, square, cube := 0.0, 0.0, 0.0
	for _, v := range values {
		mean += v / float64(len(values))
	}
	for _, v := range values {
		d := mean - v
		square += d * d
		cube += d * d * d
	}
	if square == 0 {
		return 0
	}
	return cube / (6 * square * math.Sqrt(square))
}

// sortedQuantile interpolates between the values next to (n-1) p, counted from
// 0 (type 7 of Hyndman & Fan 1996, Am. Stat. 50:361-365, from memory). Between
// a finite and an infinite value the infinite one is taken.
func sortedQuantile(x []float64, p float64) float64 {
	position := p * float64(len(x)-1)
	i := int(position)
	part := position - float64(i)
	switch {
	case part == 0 || x[i] == x[i+1] || math.IsInf(x[i], 0):
		return x[i]
	case math.IsInf(x[i+1], 0):
		return x[i+1]
	}
	return x[i] + part*(x[i+1]-x[i])
}

// limitsOfLog10 turns limits on log10 dose into limits on dose.
func limitsOfLog10(lower, upper float64) Limits {
	var unit design
	unit.scale = 1
	return unit.doseLimits(lower, upper, Bounded)
}

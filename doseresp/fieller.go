package doseresp

import "math"

// LimitKind says what shape a confidence set of LCp has.
type LimitKind uint8

// The kinds of limits. ExcludedRegion is the set outside a gap: with the
// slope not clearly different from 0 both very low and very high doses agree
// with the counts, and only those between the two excluded limits do not.
const (
	Bounded LimitKind = iota
	UnboundedAbove
	UnboundedBelow
	Unbounded
	ExcludedRegion
)

var kindNames = [...]string{
	Bounded: "bounded", UnboundedAbove: "unbounded-above", UnboundedBelow: "unbounded-below",
	Unbounded: "unbounded", ExcludedRegion: "excluded-region",
}

// LimitKinds lists every kind, in the order of their constants.
func LimitKinds() []LimitKind {
	return []LimitKind{Bounded, UnboundedAbove, UnboundedBelow, Unbounded, ExcludedRegion}
}

// String returns the kind's name as results spell it.
func (k LimitKind) String() string { return nameOf(kindNames[:], k) }

// Limits is a confidence set for a dose. Lower is 0 and Upper +Inf where the
// set has no bound on that side, both for ExcludedRegion, whose gap then is
// Excluded.
type Limits struct {
	Lower, Upper float64
	Kind         LimitKind
	Excluded     Bracket // the gap of an ExcludedRegion, else zero
}

// line is a fitted line with the covariance of its coefficients, in any
// linear scale of log dose.
type line struct{ a, b, vaa, vab, vbb float64 }

// fieller returns the set of x at which a + b x agrees with z,
//
//	(a + b x - z)² <= t² (Vaa + 2 x Vab + x² Vbb)
//
// (Fieller 1940, J. R. Stat. Soc. Suppl. 7:1-64; Finney 1971, equation 4.36).
// Expanded it is A x² + 2 B x + C <= 0 with A = b²(1 - g) and g = t² Vbb/b²:
// an interval for g < 1, and for g > 1 the whole line or all but a gap. lower
// and upper are the ends of the interval, or of the gap.
func (l line) fieller(z, t float64) (lower, upper float64, kind LimitKind) {
	t2 := t * t
	A := l.b*l.b - t2*l.vbb
	B := (l.a-z)*l.b - t2*l.vab
	C := (l.a-z)*(l.a-z) - t2*l.vaa
	disc := B*B - A*C
	switch {
	case A == 0 && B > 0:
		return math.Inf(-1), -C / (2 * B), UnboundedBelow
	case A == 0 && B < 0:
		return -C / (2 * B), math.Inf(1), UnboundedAbove
	case A > 0:
		kind = Bounded
		disc = max(disc, 0) // the estimate is inside; rounding alone is below 0
	case A < 0 && disc > 0:
		kind = ExcludedRegion
	default:
		return math.Inf(-1), math.Inf(1), Unbounded
	}
	// The root that adds numbers of one sign first, the other from the product.
	q := -(B + math.Copysign(math.Sqrt(disc), B))
	first, second := q/A, C/q
	if q == 0 {
		second = first
	}
	return min(first, second), max(first, second), kind
}

// g is Finney's g = t² Vbb/b².
func (l line) g(t float64) float64 { return t * t * l.vbb / (l.b * l.b) }

// solve returns θ = (z - a)/b and its standard error by the delta method.
func (l line) solve(z float64) (theta, se float64) {
	theta = (z - l.a) / l.b
	return theta, math.Sqrt(l.vaa+2*theta*l.vab+theta*theta*l.vbb) / math.Abs(l.b)
}

// doseLimits turns limits on standardised log dose into limits on dose. A
// limit that no double can hold is no limit.
func (d *design) doseLimits(lower, upper float64, kind LimitKind) Limits {
	lo, hi := d.dose(lower), d.dose(upper)
	if kind == ExcludedRegion {
		return Limits{0, math.Inf(1), kind, Bracket{lo, hi}}
	}
	switch {
	case lo == 0 && math.IsInf(hi, 1):
		kind = Unbounded
	case lo == 0:
		kind = UnboundedBelow
	case math.IsInf(hi, 1):
		kind = UnboundedAbove
	}
	return Limits{Lower: lo, Upper: hi, Kind: kind}
}

// dose is the dose at standardised log dose u.
func (d *design) dose(u float64) float64 { return math.Exp(math.Ln10 * (d.centre + d.scale*u)) }

package plots

import (
	"cmp"
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"
)

// Density is the figure of the posterior of an LC50 (or another LCp) with its
// prior. A strip below, on the same axis, compares limits by name.
type Density struct {
	Caption
	Substance
	Quantity string // "LC50" unless stated

	// Posterior and Prior are densities of the log10 of the quantity; Prior may be
	// nil.
	Posterior, Prior func(log10 float64) float64

	// Median, Lower and Upper are the posterior's, in the unit of the axis.
	Median, Lower, Upper float64
	Level                float64 // of the limits, such as 0.95

	// Limits are estimates by name for the strip, such as the fiducial ones. An
	// Estimate of NaN has no mark.
	Limits []Interval
}

// Interval is an estimate with limits under the name of its method. A Lower of 0
// and an Upper of +Inf are unbounded.
type Interval struct {
	Name                   string
	Estimate, Lower, Upper float64
}

func (d Density) withTexts(do func(string) string) Figure {
	d.Caption, d.Substance, d.Quantity = d.Caption.withTexts(do), d.Substance.withTexts(do), do(d.Quantity)
	d.Limits = append([]Interval(nil), d.Limits...)
	for i := range d.Limits {
		d.Limits[i].Name = do(d.Limits[i].Name)
	}
	return d
}

// quantity names what the density is of.
func (d Density) quantity() string {
	return cmp.Or(clean(d.Quantity), "LC50")
}

func (d Density) words() (name, description string) {
	say := []string{fmt.Sprintf("Median %s%s, %s\u00a0%% limits %s", digits(d.Median), d.unitWords(), digits(100*d.Level), sayLimits(d.Lower, d.Upper))}
	for _, k := range d.Limits {
		estimate := ""
		if k.Estimate > 0 {
			estimate = digits(k.Estimate) + ", "
		}
		say = append(say, clean(k.Name)+": "+estimate+sayLimits(k.Lower, k.Upper))
	}
	return d.name("Posterior of the " + d.quantity() + ": " + d.axisWords()),
		d.tell("Posterior density of the "+d.quantity()+" of "+d.axisWords(), say...)
}

// check reports the first value that cannot be drawn.
func (d Density) check() error {
	switch {
	case d.Posterior == nil:
		return fmt.Errorf("plots: a density without a posterior: give the function")
	case !(0 < d.Lower && d.Lower <= d.Median && d.Median <= d.Upper) || math.IsInf(d.Upper, 1):
		return fmt.Errorf("plots: median %g with limits %g to %g: give positive numbers in order", d.Median, d.Lower, d.Upper)
	case !(d.Level > 0 && d.Level < 1):
		return fmt.Errorf("plots: level %g of the limits: give a proportion between 0 and 1", d.Level)
	}
	for _, k := range d.Limits {
		if math.IsNaN(k.Lower) || math.IsNaN(k.Upper) || k.Lower > k.Upper {
			return fmt.Errorf("plots: %s: limits %g to %g: give the lower first", clean(k.Name), k.Lower, k.Upper)
		}
	}
	return nil
}

// across is the range of the axis: the limits with half of their distance on
// either side, and near limits of other methods.
func (d Density) across() span {
	s := span{math.Log10(d.Lower), math.Log10(d.Upper)}
	half := max(0.6*(s.hi-s.lo), 0.1)
	s = span{s.lo - half, s.hi + half}
	own := s
	for _, k := range d.Limits {
		s = s.withNear(logOf(k.Lower), own).withNear(logOf(k.Upper), own).withNear(logOf(k.Estimate), own)
	}
	return s.padded()
}

// densitySteps is the number of segments of a density over the axis.
const densitySteps = 240

// sampled returns a density over the axis.
func sampled(s span, density func(float64) float64) (x, y []float64) {
	for i := range densitySteps + 1 {
		at := s.lo + (s.hi-s.lo)*float64(i)/densitySteps
		x, y = append(x, at), append(y, max(orNothing(density(at)), 0))
	}
	return x, y
}

func (d Density) page() (page, error) {
	if err := d.check(); err != nil {
		return page{}, err
	}
	across := d.across()
	highest := 0.0
	_, y := sampled(across, d.Posterior)
	for _, v := range y {
		highest = max(highest, v)
	}
	if highest == 0 || math.IsInf(highest, 1) {
		return page{}, fmt.Errorf("plots: the posterior density is nowhere positive and finite over its limits: give the density of the log10")
	}
	plan := plan{
		across: across, up: span{0, highest * 1.04}, xLabel: d.axisLabel(),
		yLabel: "Density of log10 " + d.quantity(), xTicks: logTicks, stripRow: stripRow + 1,
	}
	for _, k := range d.Limits {
		plan.strip = append(plan.strip, k.Name)
	}
	s, l, err := d.onePanel(plan, keyBox{items: d.key()}, d.footerWords(across), 0)
	if err != nil {
		return page{}, err
	}
	return page{s.w, s.h, func(p pen) { s.draw(p); l.drawAxes(p); d.draw(p, l) }}, nil
}

func (d Density) key() []keyItem {
	items := []keyItem{
		{name: "posterior", sample: sampleStroke(stroke{blue, curveLine, nil})},
		{name: digits(100*d.Level) + "\u00a0% limits and median", sample: sampleTint(blueTint)},
	}
	if d.Prior != nil {
		items = append(items, keyItem{name: "prior", sample: sampleStroke(stroke{grey, curveLine, extrapolated})})
	}
	return items
}

func (d Density) footerWords(across span) [][]string {
	if len(d.Limits) == 0 {
		return nil
	}
	say := []string{"Strip: estimates and limits by method."}
	for _, k := range d.Limits {
		if !across.holds(logOf(k.Lower)) || !across.holds(math.Log10(k.Upper)) {
			return [][]string{append(say, "Arrow: beyond the axis, or no limit.")}
		}
	}
	return [][]string{say}
}

// draw draws the data.
func (d Density) draw(p pen, l panel) {
	f := l.frame
	x, y := sampled(f.across, d.Posterior)
	inside := []vg.Point{{X: f.x(math.Log10(d.Lower)), Y: f.y(0)}}
	limits := span{math.Log10(d.Lower), math.Log10(d.Upper)}
	height := func(at float64) vg.Length { return f.y(max(orNothing(d.Posterior(at)), 0)) }
	inside = append(inside, vg.Point{X: f.x(limits.lo), Y: height(limits.lo)})
	for i := range x {
		if limits.holds(x[i]) {
			inside = append(inside, vg.Point{X: f.x(x[i]), Y: f.y(y[i])})
		}
	}
	inside = append(inside, vg.Point{X: f.x(limits.hi), Y: height(limits.hi)}, vg.Point{X: f.x(limits.hi), Y: f.y(0)})
	p.shape(blueTint, inside...)
	for _, at := range []float64{limits.lo, limits.hi} {
		p.upright(blue, barLine, nil, f.x(at), f.y(0), height(at))
	}
	p.across(faint, hairline, nil, f.axis, f.right+offset, f.y(0))
	if d.Prior != nil {
		f.drawDensity(p, d.Prior, stroke{grey, curveLine, extrapolated})
	}
	f.drawDensity(p, d.Posterior, stroke{blue, curveLine, nil})
	median := math.Log10(d.Median)
	p.upright(blue, limitLine, nil, f.x(median), f.y(0), height(median))
	for i, k := range d.Limits {
		k.draw(p, f, l.stripY(i))
	}
}

// drawDensity draws a density; where it exceeds the range it runs along its end.
func (f frame) drawDensity(p pen, density func(float64) float64, s stroke) {
	x, y := sampled(f.across, density)
	pts := make([]vg.Point, len(x))
	for i := range x {
		pts[i] = vg.Point{X: f.x(x[i]), Y: f.y(min(y[i], f.up.hi))}
	}
	p.line(s.colour, s.width, s.dash, pts...)
}

// draw draws an interval in its row.
func (k Interval) draw(p pen, f frame, y vg.Length) {
	f.drawStripBar(p, stroke{ink, barLine, nil}, y, logOf(k.Lower), math.Log10(k.Upper))
	if at := math.Log10(k.Estimate); k.Estimate > 0 && f.across.holds(at) {
		p.mark(look{colour: ink}, vg.Point{X: f.x(at), Y: y}, 1.8)
	}
}

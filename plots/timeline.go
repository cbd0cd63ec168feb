package plots

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"
)

// Timeline is the figure of an LC50 or a resistance ratio season by season on a
// logarithmic scale, with limits and the range of the baseline. A season without
// a result leaves a gap, across which no line is drawn.
type Timeline struct {
	Caption
	Quantity string // name of the axis, such as "Resistance ratio at LC50"
	Seasons  []Season
	Baseline [2]float64 // range of the susceptible; zero for none

	Trend      []TrendPoint // the fitted trend, one for each of Seasons; nil for none
	TrendWords string       // the trend in words, such as "rising 1.4-fold a year (1.1 to 1.8)"
}

// TrendPoint is the fitted trend in one season with its limits; NaN where it is
// not drawn.
type TrendPoint struct{ Lower, Fit, Upper float64 }

// Season is the result of one season. With an Estimate of NaN the season is a
// gap.
type Season struct {
	Label                  string
	Estimate, Lower, Upper float64 // NaN limits are not drawn; 0 and +Inf are unbounded
	Censored               Censoring
}

func (t Timeline) withTexts(do func(string) string) Figure {
	t.Caption, t.Quantity = t.Caption.withTexts(do), do(t.Quantity)
	t.Seasons = append([]Season(nil), t.Seasons...)
	for i := range t.Seasons {
		t.Seasons[i].Label = do(t.Seasons[i].Label)
	}
	return t
}

func (t Timeline) quantity() string {
	if s := clean(t.Quantity); s != "" {
		return s
	}
	return "LC50"
}

func (t Timeline) words() (name, description string) {
	var say []string
	if t.hasBaseline() {
		say = append(say, "Baseline range "+digits(t.Baseline[0])+" to "+digits(t.Baseline[1]))
	}
	for _, s := range t.Seasons {
		say = append(say, clean(s.Label)+": "+sayEstimate(s.Censored, s.Estimate, s.Lower, s.Upper))
	}
	return t.name(t.quantity() + " by season"), t.tell(t.quantity()+" by season", say...)
}

func (t Timeline) hasBaseline() bool { return t.Baseline != [2]float64{} }

func (t Timeline) check() error {
	if len(t.Seasons) == 0 {
		return fmt.Errorf("plots: a timeline without seasons: give at least one")
	}
	for _, s := range t.Seasons {
		if err := checkEstimate("season "+clean(s.Label), s.Censored, s.Estimate, s.Lower, s.Upper); err != nil {
			return err
		}
	}
	return checkBaseline(t.Baseline)
}

// up is the range of the vertical axis: the estimates, the baseline, and limits
// that are not far from them.
func (t Timeline) up() span {
	core := nothing
	for _, s := range t.Seasons {
		core = core.with(math.Log10(s.Estimate))
		switch s.Censored { // room for the arrow
		case Above:
			core = core.with(math.Log10(s.Estimate) + boundRoom)
		case Below:
			core = core.with(math.Log10(s.Estimate) - boundRoom)
		}
	}
	if t.hasBaseline() {
		core = core.with(math.Log10(t.Baseline[0])).with(math.Log10(t.Baseline[1]))
	}
	if core.empty() {
		core = span{0, 0}
	}
	all := core
	for _, s := range t.Seasons {
		if s.Censored == Estimated {
			all = all.withNear(logOf(s.Lower), core).withNear(logOf(s.Upper), core)
		}
	}
	return all.padded()
}

func (t Timeline) page() (page, error) {
	if err := t.check(); err != nil {
		return page{}, err
	}
	n := len(t.Seasons)
	plan := plan{
		across: span{-0.5, float64(n) - 0.5}, up: t.up(), yLabel: t.quantity(),
		xTicks: t.seasonTicks, yTicks: logTicks, twoLines: true,
	}
	s, l, err := t.onePanel(plan, keyBox{items: t.key()}, t.footerWords(plan.up), 0)
	if err != nil {
		return page{}, err
	}
	return page{s.w, s.h, func(p pen) { s.draw(p); l.drawAxes(p); t.draw(p, l.frame) }}, nil
}

func (t Timeline) key() []keyItem {
	items := []keyItem{{name: "estimate and limits", sample: func(p pen, x, y vg.Length) {
		p.upright(blue, barLine, nil, x+keySwatch/2, y-4, y+4)
		p.mark(look{colour: blue}, vg.Point{X: x + keySwatch/2, Y: y}, 2.4)
	}}}
	if t.censored() {
		items = append(items, keyItem{name: "only a bound is known", sample: func(p pen, x, y vg.Length) {
			p.hollow(look{colour: blue}, vg.Point{X: x + keySwatch/2, Y: y}, 2.4)
		}})
	}
	if t.hasBaseline() {
		items = append(items, keyItem{name: "range of the baseline", sample: sampleTint(bandGrey)})
	}
	return items
}

// censored reports whether a season has only a bound.
func (t Timeline) censored() bool {
	for _, s := range t.Seasons {
		if s.Censored != Estimated && !math.IsNaN(s.Estimate) {
			return true
		}
	}
	return false
}

func (t Timeline) footerWords(up span) [][]string {
	var say []string
	gaps, arrows := false, false
	for _, s := range t.Seasons {
		if math.IsNaN(s.Estimate) {
			gaps = true
			continue
		}
		low, high := s.Censored.limits(s.Estimate, s.Lower, s.Upper)
		arrows = arrows || logOf(low) < up.lo || math.Log10(high) > up.hi
	}
	if gaps {
		say = append(say, "Gap: no result in that season.")
	}
	if arrows {
		say = append(say, "Arrow: beyond the axis, or no limit.")
	}
	return [][]string{say}
}

// draw draws the data.
func (t Timeline) draw(p pen, f frame) {
	if t.hasBaseline() {
		p.box(bandGrey, f.axis, f.y(math.Log10(t.Baseline[0])), f.right+offset, f.y(math.Log10(t.Baseline[1])))
	}
	var run []vg.Point
	for i, s := range t.Seasons {
		if math.IsNaN(s.Estimate) || s.Censored != Estimated {
			p.line(blue, barLine, extrapolated, run...)
			run = nil
			continue
		}
		run = append(run, vg.Point{X: f.x(float64(i)), Y: f.y(math.Log10(s.Estimate))})
	}
	p.line(blue, barLine, extrapolated, run...)
	for i, s := range t.Seasons {
		if !math.IsNaN(s.Estimate) {
			s.draw(p, f, f.x(float64(i)))
		}
	}
}

// draw draws the estimate of one season with its bar.
func (s Season) draw(p pen, f frame, x vg.Length) {
	low, high := s.Censored.limits(s.Estimate, s.Lower, s.Upper)
	at := vg.Point{X: x, Y: f.y(math.Log10(s.Estimate))}
	if !math.IsNaN(low) && !math.IsNaN(high) {
		f.drawUpright(p, x, logOf(low), math.Log10(high))
	}
	if s.Censored == Estimated {
		p.mark(look{colour: blue}, at, 2.8)
	} else {
		p.hollow(look{colour: blue}, at, 2.8)
	}
}

// drawUpright draws a bar from low to high, log10 values, with an arrow head where
// a limit does not exist or lies beyond the axis.
func (f frame) drawUpright(p pen, x vg.Length, low, high float64) {
	from, to := f.y(max(low, f.up.lo)), f.y(min(high, f.up.hi))
	p.upright(blue, barLine*1.25, nil, x, from, to)
	if low < f.up.lo {
		p.arrowUp(blue, vg.Point{X: x, Y: from - offset/2}, -arrowLen)
	} else {
		p.across(blue, barLine*1.25, nil, x-2, x+2, from)
	}
	if high > f.up.hi {
		p.arrowUp(blue, vg.Point{X: x, Y: to + offset/2}, arrowLen)
	} else {
		p.across(blue, barLine*1.25, nil, x-2, x+2, to)
	}
}

package plots

import (
	"cmp"
	"fmt"

	"gonum.org/v1/plot/vg"
)

// Timeline is the figure of an LC50 or a resistance ratio season by season on a
// logarithmic scale, with limits, the range of the baseline and the trend. A
// season without a result leaves a gap, across which no line is drawn.
type Timeline struct {
	Caption
	Quantity string // name of the axis, such as "Resistance ratio at LC50"
	Seasons  []Season
	Baseline [2]float64 // range of the susceptible; zero for none

	Trend      []TrendPoint // the fitted trend, one for each of Seasons; nil for none
	TrendWords string       // the trend in words, such as "rising 1.4-fold a year (1.1 to 1.8)"
}

// Season is the result of one season. With an Estimate of NaN the season is a
// gap.
type Season struct {
	Label                  string
	Estimate, Lower, Upper float64 // NaN limits are not drawn; 0 and +Inf are unbounded
	Censored               Censoring
}

// TrendPoint is the fitted trend in one season with its limits; with a Fit of NaN
// it is not drawn there, and goes straight from the season before to the one
// after.
type TrendPoint struct{ Lower, Fit, Upper float64 }

func (t Timeline) withTexts(do func(string) string) Figure {
	t.Caption, t.Quantity, t.TrendWords = t.Caption.withTexts(do), do(t.Quantity), do(t.TrendWords)
	t.Seasons = append([]Season(nil), t.Seasons...)
	for i := range t.Seasons {
		t.Seasons[i].Label = do(t.Seasons[i].Label)
	}
	return t
}

// course is what the figure draws.
func (t Timeline) course() course { return course{t.Seasons, t.Trend} }

func (t Timeline) labels() seasonLabels {
	out := make(seasonLabels, len(t.Seasons))
	for i, s := range t.Seasons {
		out[i] = s.Label
	}
	return out
}

// timeQuantity is the name of the vertical axis.
func timeQuantity(s string) string {
	return cmp.Or(clean(s), "LC50")
}

func (t Timeline) words() (name, description string) {
	say := sayBaseline(t.Baseline)
	for _, s := range t.Seasons {
		say = append(say, clean(s.Label)+": "+sayEstimate(s.Censored, s.Estimate, s.Lower, s.Upper))
	}
	if s := clean(t.TrendWords); s != "" {
		say = append(say, "Trend: "+s)
	}
	subject := timeQuantity(t.Quantity) + " by season"
	return t.name(subject), t.tell(subject, say...)
}

func sayBaseline(b [2]float64) []string {
	if b == ([2]float64{}) {
		return nil
	}
	return []string{"Baseline range " + digits(b[0]) + " to " + digits(b[1])}
}

func (t Timeline) check() error {
	if len(t.Seasons) == 0 {
		return fmt.Errorf("plots: a timeline without seasons: give at least one")
	}
	if err := t.course().check(""); err != nil {
		return err
	}
	return checkBaseline(t.Baseline)
}

func (t Timeline) page() (page, error) {
	if err := t.check(); err != nil {
		return page{}, err
	}
	n := len(t.Seasons)
	plan := plan{
		across: span{-0.5, float64(n) - 0.5}, up: upOf(t.Baseline, t.course()), yLabel: timeQuantity(t.Quantity),
		xTicks: t.labels().ticks, yTicks: logTicks, twoLines: true,
	}
	footer := timeFooter(plan.up, t.course())
	if s := clean(t.TrendWords); s != "" {
		footer = append(footer, []string{"Trend: " + s + "."})
	}
	s, l, err := t.onePanel(plan, keyBox{items: timeKey(t.Baseline, t.course())}, footer, 0)
	if err != nil {
		return page{}, err
	}
	return page{s.w, s.h, func(p pen) {
		s.draw(p)
		l.drawAxes(p)
		drawBaseline(p, l.frame, t.Baseline)
		t.course().draw(p, l.frame, seasonRadius)
	}}, nil
}

// seasonRadius is the size of the point of a season.
const seasonRadius vg.Length = 2.8

// timeKey explains the marks of timelines.
func timeKey(baseline [2]float64, all ...course) []keyItem {
	items := []keyItem{{name: "estimate and limits", sample: func(p pen, x, y vg.Length) {
		p.upright(blue, barLine, nil, x+keySwatch/2, y-4, y+4)
		p.mark(look{colour: blue}, vg.Point{X: x + keySwatch/2, Y: y}, 2.4)
	}}}
	if anyOf(all, course.censored) {
		items = append(items, keyItem{name: "only a bound is known", sample: func(p pen, x, y vg.Length) {
			p.hollow(look{colour: blue}, vg.Point{X: x + keySwatch/2, Y: y}, 2.4)
		}})
	}
	if anyOf(all, course.trending) {
		items = append(items, keyItem{name: "trend and limits", sample: func(p pen, x, y vg.Length) {
			sampleTint(vermilionTint)(p, x, y)
			p.across(vermilion, curveLine, nil, x, x+keySwatch, y)
		}})
	}
	if baseline != ([2]float64{}) {
		items = append(items, keyItem{name: "range of the baseline", sample: sampleTint(bandGrey)})
	}
	return items
}

// timeFooter says how the marks of timelines are to be read.
func timeFooter(up span, all ...course) [][]string {
	var say []string
	if anyOf(all, course.gaps) {
		say = append(say, "Gap: no result in that season.")
	}
	if anyOf(all, func(c course) bool { return c.beyond(up) }) {
		say = append(say, "Arrow: beyond the axis, or no limit.")
	}
	return [][]string{say}
}

package plots

import (
	"fmt"
	"math"

	"vialwise/doseresp"

	"gonum.org/v1/plot/vg"
)

// LinkScale is the figure of a curve on the scale of its link, on which the
// fitted mortality, corrected for natural mortality, is a straight line. It shows
// where the counts depart from that. Controls have no place on it. A point at 0
// or 100 %, or below natural mortality, lies at infinity: it is drawn at the end
// of the axis as an arrow head.
type LinkScale struct {
	Curve
	Link doseresp.Link
}

func (c LinkScale) withTexts(do func(string) string) Figure {
	c.Caption, c.Substance = c.Caption.withTexts(do), c.Substance.withTexts(do)
	return c
}

func (c LinkScale) words() (name, description string) {
	return c.name(fmt.Sprintf("%s scale: %s", capital(c.Link.String()), c.axisWords())),
		c.tell(fmt.Sprintf("Mortality, corrected for natural mortality, on the %v scale against concentration of %s", c.Link, c.axisWords()),
			c.sayLC50(c.unitWords()), c.sayNatural(), sayCounts(c.Points))
}

// corrected is the mortality of those that natural mortality would spare.
func (c LinkScale) corrected(mortality float64) float64 {
	if !c.hasNatural() {
		return mortality
	}
	return (mortality - c.NaturalMortality) / (1 - c.NaturalMortality)
}

// bend places a mortality on the scale of the link; what lies at infinity is
// infinite.
func (c LinkScale) bend(mortality float64) float64 {
	switch p := c.corrected(mortality); {
	case !(p > 0):
		return math.Inf(-1)
	case p >= 1:
		return math.Inf(1)
	default:
		return c.Link.Quantile(p)
	}
}

// The least range of the vertical axis, and the most that counts stretch it to.
var (
	usualPercents = [2]float64{5, 95}
	outerPercents = [2]float64{0.05, 99.95}
)

// up is the range of the vertical axis: the points inside it with some margin.
func (c LinkScale) up() span {
	at := func(percent float64) float64 { return c.Link.Quantile(percent / 100) }
	s := span{at(usualPercents[0]), at(usualPercents[1])}
	for _, p := range c.Points {
		if p.Exposed > 0 && p.Concentration > 0 {
			s = s.with(c.bend(float64(p.Dead) / float64(p.Exposed)))
		}
	}
	pad := 0.08 * (s.hi - s.lo)
	return span{max(s.lo-pad, at(outerPercents[0])), min(s.hi+pad, at(outerPercents[1]))}
}

// ticks label those percentages that fit, the outer ones first to go.
func (c LinkScale) ticks(s span, fits func([]tick) bool) []tick {
	for _, list := range [][]float64{
		{0.1, 0.5, 1, 2, 5, 10, 20, 30, 50, 70, 80, 90, 95, 98, 99, 99.5, 99.9},
		{0.1, 1, 5, 10, 25, 50, 75, 90, 95, 99, 99.9},
		{0.1, 1, 5, 20, 50, 80, 95, 99, 99.9},
		{1, 10, 50, 90, 99},
	} {
		var inside []float64
		for _, v := range list {
			if s.holds(c.Link.Quantile(v / 100)) {
				inside = append(inside, v)
			}
		}
		if t := percentTicks(inside, c.Link.Quantile); fits(t) {
			return t
		}
	}
	return percentTicks([]float64{50}, c.Link.Quantile)
}

func (c LinkScale) page() (page, error) {
	if err := c.check(""); err != nil {
		return page{}, err
	}
	plan := c.mortalityPlan(c.axisSpan())
	plan.up, plan.bend, plan.yTicks = c.up(), c.bend, c.ticks
	plan.yLabel = fmt.Sprintf("Mortality (%%), %v scale", c.Link)
	if c.hasNatural() && c.NaturalMortality > 0 {
		plan.yLabel = fmt.Sprintf("Corrected mortality (%%), %v scale", c.Link)
	}
	s, l, err := c.onePanel(plan, keyBox{items: c.key()}, c.footerWords(plan.across), 0)
	if err != nil {
		return page{}, err
	}
	return page{s.w, s.h, func(p pen) { s.draw(p); l.drawAxes(p); c.draw(p, l.frame) }}, nil
}

// key is that of the curve without the natural mortality.
func (c LinkScale) key() []keyItem {
	items := c.Curve.key()
	if n := len(items); n > 0 && items[n-1].name == naturalName {
		items = items[:n-1]
	}
	return items
}

func (c LinkScale) footerWords(across span) [][]string {
	groups := c.Curve.footerWords(across)
	for _, p := range c.Points {
		if p.Exposed > 0 && p.Concentration > 0 && math.IsInf(c.bend(float64(p.Dead)/float64(p.Exposed)), 0) {
			return append(groups, []string{"Arrow heads: all dead, or no more than would die anyway."})
		}
	}
	return groups
}

// draw draws the data.
func (c LinkScale) draw(p pen, f frame) {
	c.NaturalMortality = orNothing(c.NaturalMortality)
	if f.across.empty() {
		p.write(face(bodySize, false), text, (f.left+f.right)/2, (f.bottom+f.top)/2, atMiddle, noTreated)
		return
	}
	c.drawBracket(p, f)
	c.drawBand(p, f, bandGrey)
	c.drawCurve(p, f, soleStyle)
	c.drawLC50(p, f)
	_, c.Points = split(c.Points)
	inside, outside := c.Points[:0:0], c.Points[:0:0]
	for _, pt := range c.Points {
		if math.IsInf(c.bend(float64(pt.Dead)/float64(pt.Exposed)), 0) {
			outside = append(outside, pt)
		} else {
			inside = append(inside, pt)
		}
	}
	for _, pt := range outside {
		c.drawOutside(p, f, pt)
	}
	c.Points = inside
	c.drawMarks(p, f)
}

// drawOutside draws a point at infinity: its exact limits as far as they go, and
// an arrow head.
func (c LinkScale) drawOutside(p pen, f frame, pt Point) {
	low, high := exactLimits(pt.Dead, pt.Exposed)
	x := f.x(math.Log10(pt.Concentration))
	p.upright(blue, barLine, nil, x, f.y(low), f.y(high))
	tip, length := f.top+offset/2, arrowLen
	if pt.Dead < pt.Exposed {
		tip, length = f.bottom-offset/2, -arrowLen
	}
	p.arrowUp(blue, vg.Point{X: x, Y: tip}, length)
}

// orNothing replaces NaN by 0.
func orNothing(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

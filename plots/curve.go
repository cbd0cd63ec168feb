package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// Curve is the dose-response figure of one assay: observed mortality with exact
// binomial limits against concentration on a logarithmic scale, the control
// apart at the left, the fitted curve with its band, and the LC50 with its
// limits. A CurveSet shows several assays.
type Curve struct {
	Caption
	Substance
	Population
}

// curveStyle is how the marks of a curve look.
type curveStyle struct {
	look
	line      look // the fitted curve
	lineWidth vg.Length
	barWidth  vg.Length
	biggest   vg.Length // radius of the point with most mites
	shift     vg.Length // of the points to the right, so that several populations do not hide each other
	control   vg.Length // likewise of the controls
}

// soleStyle is the style of the only population of a figure.
var soleStyle = curveStyle{
	look: look{colour: blue}, line: look{colour: ink},
	lineWidth: curveLine, barWidth: barLine, biggest: maxRadius,
}

func (c Curve) withTexts(do func(string) string) Figure {
	c.Caption, c.Substance = c.Caption.withTexts(do), c.Substance.withTexts(do)
	return c
}

func (c Curve) words() (name, description string) {
	return c.name("Dose-response curve: " + c.axisWords()),
		c.tell("Mortality against concentration of "+c.axisWords(),
			c.sayLC50(c.unitWords()), c.sayNatural(), sayCounts(c.Points))
}

// mortalityPlan is the panel of mortality against concentration.
func (s Substance) mortalityPlan(across span) plan {
	return plan{
		across: across, up: span{0, 1}, xLabel: s.axisLabel(), yLabel: "Mortality (%)",
		xTicks: logTicks, yTicks: percents,
	}
}

func (c Curve) page() (page, error) {
	s, l, err := c.arrange()
	if err != nil {
		return page{}, err
	}
	return page{s.w, s.h, func(p pen) { s.draw(p); l.drawAxes(p); c.draw(p, l.frame) }}, nil
}

// arrange lays the figure out.
func (c Curve) arrange() (sheet, panel, error) {
	if err := c.check(""); err != nil {
		return sheet{}, panel{}, err
	}
	plan := c.mortalityPlan(c.axisSpan())
	if controls, _ := split(c.Points); len(controls) > 0 {
		plan.controls = 1
	}
	return c.onePanel(plan, keyBox{items: c.key()}, c.footerWords(plan.across), 0)
}

// draw draws the data.
func (c Curve) draw(p pen, f frame) {
	if f.across.empty() {
		p.write(face(bodySize, false), text, (f.left+f.right)/2, f.y(0.5)+gap, atMiddle, noTreated)
		c.drawNatural(p, f)
	} else {
		c.drawBracket(p, f)
		c.drawBand(p, f, bandGrey)
		c.drawNatural(p, f)
		c.drawCurve(p, f, soleStyle)
		c.drawLC50(p, f)
	}
	c.drawMarks(p, f)
}

// noTreated is what a figure says in place of data.
const noTreated = "no treated mites"

// drawMarks draws the points and the diamond of the LC50. The diamond is white
// inside, over the curve, but its white lies under the points and only its
// outline above them, so that a point at the LC50 stays in sight.
func (c Population) drawMarks(p pen, f frame) {
	most := crowd{}.with(c.Points).most
	if f.across.empty() || !c.hasLC50() || !f.across.holds(math.Log10(c.LC50)) {
		c.drawPoints(p, f, soleStyle, most)
		return
	}
	at := vg.Point{X: f.x(math.Log10(c.LC50)), Y: f.y(c.halfKill())}
	p.shape(white, diamond(at, diamondRad)...)
	c.drawPoints(p, f, soleStyle, most)
	p.outline(white, diamondLine+0.5, diamond(at, diamondRad)...)
	p.outline(vermilion, diamondLine, diamond(at, diamondRad)...)
}

// key returns the items for the marks that the figure has.
func (c Curve) key() []keyItem {
	var items []keyItem
	seen := crowd{}.with(c.Points).most > 0
	drawn := !c.axisSpan().empty()
	if seen {
		items = append(items, keyItem{name: "observed", sample: samplePoint})
	}
	if c.Response != nil && drawn {
		items = append(items, keyItem{name: "fitted", sample: sampleCurve})
	}
	if c.Band != nil && drawn {
		items = append(items, keyItem{name: "its band", sample: sampleTint(bandGrey)})
	}
	if c.hasLC50() {
		name := "LC50"
		if c.hasLimits() {
			name = "LC50 and limits"
		}
		items = append(items, keyItem{name: name, sample: c.sampleLC50})
	}
	if c.hasBracket() {
		items = append(items, keyItem{name: "LC50 lies here", sample: sampleBracket})
	}
	if c.hasNatural() && seen {
		items = append(items, keyItem{name: naturalName, sample: sampleNatural})
	}
	return items
}

// naturalName is what the key calls the line of natural mortality.
const naturalName = "natural mortality"

// footerWords returns the clauses of the footer; each group starts a line.
func (c Curve) footerWords(across span) [][]string {
	groups := [][]string{crowd{}.with(c.Points).footerWords()}
	if c.hasLC50() && c.hasNatural() && c.NaturalMortality > 0 {
		groups = append(groups, []string{"LC50: the dose that kills half of the mites that natural mortality spares."})
	}
	return append(groups, c.arrowWords(across))
}

// arrowWords explains the arrow heads at the ends of the axis.
func (c Population) arrowWords(across span) []string {
	if !c.hasLC50() || across.empty() {
		return nil
	}
	var say []string
	if !across.holds(math.Log10(c.LC50)) {
		say = append(say, "Arrow: LC50 beyond the axis.")
	}
	if !c.hasLimits() {
		return say
	}
	if c.Lower <= 0 && math.IsInf(c.Upper, 1) {
		return append(say, "Arrows: no limits exist.")
	}
	switch low := math.Log10(max(c.Lower, 0)); {
	case math.IsInf(low, -1):
		say = append(say, "Arrow: no lower limit.")
	case low < across.lo:
		say = append(say, "Arrow: lower limit beyond the axis.")
	}
	switch high := math.Log10(c.Upper); {
	case math.IsInf(high, 1):
		say = append(say, "Arrow: no upper limit.")
	case high > across.hi:
		say = append(say, "Arrow: upper limit beyond the axis.")
	}
	return say
}

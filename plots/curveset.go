package plots

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"
)

// CurveSet is the dose-response figure of several populations, told apart by
// colour, dash and the shape of their points. Below the curves, on the same axis,
// a strip has a row for each population with its LC50 and limits.
type CurveSet struct {
	Caption
	Substance
	Populations []Population // 1 to 24
}

// maxBands is the number of bands that can be told apart where they overlap.
const maxBands = 3

// stripRow is the height of a row of the strip.
const stripRow vg.Length = 7

func (c CurveSet) withTexts(do func(string) string) Figure {
	c.Caption, c.Substance = c.Caption.withTexts(do), c.Substance.withTexts(do)
	c.Populations = append([]Population(nil), c.Populations...)
	for i := range c.Populations {
		c.Populations[i].Name = do(c.Populations[i].Name)
	}
	return c
}

func (c CurveSet) words() (name, description string) {
	var say []string
	for _, one := range c.Populations {
		parts := []string{one.sayLC50(c.unitWords()), one.sayNatural(), sayCounts(one.Points)}
		if parts[1] == "" {
			parts = append(parts[:1], parts[2])
		}
		say = append(say, clean(one.Name)+": "+strings.Join(parts, "; "))
	}
	return c.name("Dose-response curves: " + c.axisWords()),
		c.tell(fmt.Sprintf("Mortality of %d populations against concentration of %s", len(c.Populations), c.axisWords()), say...)
}

// check reports the first value that cannot be drawn.
func (c CurveSet) check() error {
	if n := len(c.Populations); n == 0 || n > maxPopulations {
		return fmt.Errorf("plots: %d populations: give 1 to %d; a ratio forest holds more", n, maxPopulations)
	}
	for i, one := range c.Populations {
		if err := one.check(fmt.Sprintf("population %d (%s): ", i+1, clean(one.Name))); err != nil {
			return err
		}
	}
	return nil
}

// axisSpan holds what each population has a place for.
func (c CurveSet) axisSpan() span {
	s := nothing
	for _, one := range c.Populations {
		if own := one.axisSpan(); !own.empty() {
			s = s.with(own.lo).with(own.hi)
		}
	}
	return s
}

func (c CurveSet) page() (page, error) {
	if err := c.check(); err != nil {
		return page{}, err
	}
	plan := c.mortalityPlan(c.axisSpan())
	plan.strip, plan.stripRow = make([]string, len(c.Populations)), stripRow
	plan.strip[0] = "LC50"
	key := keyBox{grid: true}
	for i, one := range c.Populations {
		if controls, _ := split(one.Points); len(controls) > 0 {
			plan.controls = len(c.Populations)
		}
		key.items = append(key.items, keyItem{name: one.Name, sample: sampleLook(lookOf(i))})
	}
	s, l, err := c.onePanel(plan, key, c.footerWords(plan.across), c.extra())
	if err != nil {
		return page{}, err
	}
	return page{s.w, s.h, func(p pen) { s.draw(p); l.drawAxes(p); c.draw(p, l) }}, nil
}

// extra is the height that several populations ask for beyond good data.
func (c CurveSet) extra() vg.Length {
	return min(vg.Length(len(c.Populations))*4, 48)
}

func (c CurveSet) footerWords(across span) [][]string {
	seen, bands := crowd{}, 0
	natural, arrows := false, false
	for _, one := range c.Populations {
		seen = seen.with(one.Points)
		if one.Band != nil {
			bands++
		}
		natural = natural || one.hasLC50() && one.hasNatural() && one.NaturalMortality > 0
		arrows = arrows || len(one.arrowWords(across)) > 0
	}
	groups := [][]string{seen.footerWords()}
	if bands > 0 {
		words := "Shaded: pointwise bands."
		if len(c.Populations) > maxBands {
			words = fmt.Sprintf("Bands are left out with more than %d populations.", maxBands)
		}
		groups[0] = append(groups[0], words)
	}
	if len(c.Populations) > 1 {
		groups[0] = append(groups[0], "Points at one concentration stand side by side.")
	}
	if natural {
		groups = append(groups, []string{"LC50: the dose that kills half of the mites that natural mortality spares."})
	}
	strip := []string{"Strip: LC50 and limits; dashed: LC50 not estimated, but within."}
	if !c.anyBracket() {
		strip = []string{"Strip: LC50 and limits."}
	}
	if arrows {
		strip = append(strip, "Arrow: beyond the axis, or no limit.")
	}
	return append(groups, strip)
}

func (c CurveSet) anyBracket() bool {
	for _, one := range c.Populations {
		if one.hasBracket() {
			return true
		}
	}
	return false
}

// draw draws the data.
func (c CurveSet) draw(p pen, l panel) {
	f := l.frame
	if f.across.empty() {
		p.write(face(bodySize, false), text, (f.left+f.right)/2, f.y(0.5)+gap, atMiddle, noTreated)
	}
	seen := crowd{}
	for _, one := range c.Populations {
		seen = seen.with(one.Points)
	}
	if !f.across.empty() {
		for i, one := range c.Populations {
			if len(c.Populations) <= maxBands {
				one.drawBand(p, f, tint(lookOf(i).colour))
			}
		}
		for i, one := range c.Populations {
			one.drawCurve(p, f, c.style(i, f))
		}
	}
	for i, one := range c.Populations {
		one.drawPoints(p, f, c.style(i, f), seen.most)
	}
	if f.across.empty() {
		return
	}
	for i, one := range c.Populations {
		one.drawStrip(p, f, lookOf(i), l.stripY(i))
	}
}

// style is that of the i-th population. Points are smaller and bars thinner the
// more there are.
func (c CurveSet) style(i int, f frame) curveStyle {
	n := len(c.Populations)
	own := lookOf(i)
	s := curveStyle{look: own, line: own, lineWidth: curveLine, barWidth: barLine, biggest: maxRadius * 0.9}
	if n > maxBands {
		s.barWidth, s.biggest = hairline, maxRadius*0.72
	}
	place := vg.Length(i) - vg.Length(n-1)/2
	s.control = place * controlStep(n)
	s.shift = place * c.shiftStep(f)
	return s
}

// shiftStep is how far apart the points of neighbouring populations stand at one
// concentration: all of them within half of the least distance of two
// concentrations.
func (c CurveSet) shiftStep(f frame) vg.Length {
	n := len(c.Populations)
	if n < 2 || f.across.empty() {
		return 0
	}
	var all []Point
	for _, one := range c.Populations {
		all = append(all, one.Points...)
	}
	_, treated := split(all)
	least := f.right - f.left
	for i := 1; i < len(treated); i++ {
		if d := f.x(math.Log10(treated[i].Concentration)) - f.x(math.Log10(treated[i-1].Concentration)); d > 0.5 {
			least = min(least, d)
		}
	}
	return min(3, least/2/vg.Length(n-1))
}

// drawStrip draws the LC50 with its limits in a row of the strip, or the bracket.
func (c Population) drawStrip(p pen, f frame, l look, y vg.Length) {
	s := stroke{l.colour, barLine * 1.25, nil}
	switch {
	case c.hasLC50():
		low, high := math.Log10(c.LC50), math.Log10(c.LC50)
		if c.hasLimits() {
			low, high = logOf(c.Lower), logOf(c.Upper)
		}
		f.drawStripBar(p, s, y, low, high)
		if x := math.Log10(c.LC50); f.across.holds(x) {
			p.mark(l, vg.Point{X: f.x(x), Y: y}, 2.1)
		}
	case c.hasBracket():
		s.dash = bandEdge
		f.drawStripBar(p, s, y, logOf(c.Bracket[0]), math.Log10(c.Bracket[1]))
	}
}

// drawStripBar draws the bar of a row of the strip; it is low enough for arrows
// of neighbouring rows to stay apart.
func (f frame) drawStripBar(p pen, s stroke, y vg.Length, low, high float64) {
	f.drawInterval(p, s, y, low, high, 1.8)
}

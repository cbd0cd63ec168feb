package plots

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"
)

// Mixture is the figure of a field population in which a fraction resists: the
// baseline's curve, the curve of the mixture, and the plateau at which only the
// resistant part is left, at C + (1-C)(1-q) for a natural mortality C and a
// resistant fraction q.
type Mixture struct {
	Caption
	Substance
	Points             []Point                             // of the field population
	Baseline           func(concentration float64) float64 // mortality of the susceptible, natural mortality included
	Field              func(concentration float64) float64 // mortality of the mixture, likewise
	NaturalMortality   float64                             // NaN for none
	Fraction           float64                             // q, 0 to 1
	Lower, Upper       float64                             // limits of q; NaN for none
	FractionLowerBound bool                                // q is a lower bound, as from a model without an upper curve
}

func (m Mixture) withTexts(do func(string) string) Figure {
	m.Caption, m.Substance = m.Caption.withTexts(do), m.Substance.withTexts(do)
	return m
}

// hasLimits reports whether q has limits.
func (m Mixture) hasLimits() bool { return !math.IsNaN(m.Lower) && !math.IsNaN(m.Upper) }

// fractionWords is q as the figure prints it, in per cent.
func (m Mixture) fractionWords() string {
	s := significant(100*m.Fraction, 3) + "\u00a0%"
	if m.FractionLowerBound {
		return "≥\u00a0" + s
	}
	return s
}

// limitWords are the limits of q as the figure prints them.
func (m Mixture) limitWords() string {
	if !m.hasLimits() {
		return "without limits"
	}
	return "limits " + significant(100*m.Lower, 3) + " to " + significant(100*m.Upper, 3) + "\u00a0%"
}

func (m Mixture) words() (name, description string) {
	fraction := "Resistant fraction " + m.fractionWords() + ", " + m.limitWords()
	if m.FractionLowerBound {
		fraction = "Resistant fraction at least " + significant(100*m.Fraction, 3) + "\u00a0%, " + m.limitWords()
	}
	return m.name("Resistant fraction: " + m.axisWords()),
		m.tell("Mortality of a mixture against concentration of "+m.axisWords(),
			fraction, "Plateau at "+significant(100*m.plateau(m.Fraction), 3)+"\u00a0% mortality", sayCounts(m.Points))
}

// plateau is the mortality at which only the fraction q is left.
func (m Mixture) plateau(q float64) float64 {
	c := orNothing(m.NaturalMortality)
	return c + (1-c)*(1-q)
}

// check reports the first value that cannot be drawn.
func (m Mixture) check() error {
	if err := checkPoints(m.Points); err != nil {
		return fmt.Errorf("plots: %w", err)
	}
	if c := m.NaturalMortality; c < 0 || c >= 1 {
		return fmt.Errorf("plots: natural mortality %g: give a proportion from 0 to below 1, or NaN for none", c)
	}
	if !(m.Fraction >= 0 && m.Fraction <= 1) {
		return fmt.Errorf("plots: resistant fraction %g: give a proportion", m.Fraction)
	}
	if m.hasLimits() && !(0 <= m.Lower && m.Lower <= m.Upper && m.Upper <= 1) {
		return fmt.Errorf("plots: limits %g to %g of the resistant fraction: give proportions, the lower first", m.Lower, m.Upper)
	}
	return nil
}

func (m Mixture) page() (page, error) {
	if err := m.check(); err != nil {
		return page{}, err
	}
	plan := m.mortalityPlan(tested(m.Points).padded())
	if controls, _ := split(m.Points); len(controls) > 0 {
		plan.controls = 1
	}
	plan.right = bracketGap + room(face(keySize, false), m.fractionWords())
	s, l, err := m.onePanel(plan, keyBox{items: m.key()}, m.footerWords(), 0)
	if err != nil {
		return page{}, err
	}
	return page{s.w, s.h, func(p pen) { s.draw(p); l.drawAxes(p); m.draw(p, l.frame) }}, nil
}

// bracketGap is the room for the bracket of the fraction beside the data.
const bracketGap vg.Length = 8

func (m Mixture) key() []keyItem {
	var items []keyItem
	if (crowd{}).with(m.Points).most > 0 {
		items = append(items, keyItem{name: "observed, field", sample: samplePoint})
	}
	if tested(m.Points).empty() {
		return items
	}
	if m.Field != nil {
		items = append(items, keyItem{name: "mixture", sample: sampleCurve})
	}
	if m.Baseline != nil {
		items = append(items, keyItem{name: "baseline", sample: sampleStroke(baselineStroke)})
	}
	name := "plateau"
	if m.hasLimits() {
		name = "plateau and limits"
	}
	return append(items, keyItem{name: name, sample: m.samplePlateau})
}

// baselineStroke is the line of the baseline.
var baselineStroke = stroke{green, curveLine, []vg.Length{6, 2}}

func (m Mixture) samplePlateau(p pen, x, y vg.Length) {
	if m.hasLimits() {
		p.box(vermilionTint, x, y-3, x+keySwatch, y+3)
	}
	p.across(vermilion, limitLine, plateauDash, x, x+keySwatch, y)
}

func (m Mixture) footerWords() [][]string {
	say := "Bracket: resistant fraction, " + m.limitWords() + "."
	if m.FractionLowerBound {
		say = "Bracket: resistant fraction, a lower bound, " + m.limitWords() + "."
	}
	if tested(m.Points).empty() {
		say = ""
	}
	return [][]string{crowd{}.with(m.Points).footerWords(), {say}}
}

// draw draws the data.
func (m Mixture) draw(p pen, f frame) {
	if f.across.empty() {
		p.write(face(bodySize, false), text, (f.left+f.right)/2, f.y(0.5)+gap, atMiddle, noTreated)
	} else {
		m.drawPlateau(p, f)
	}
	one := Population{Points: m.Points, NaturalMortality: m.NaturalMortality}
	one.drawNatural(p, f)
	if !f.across.empty() {
		if m.Baseline != nil {
			f.trace(p, m.Baseline, f.across, baselineStroke)
		}
		if m.Field != nil {
			f.trace(p, m.Field, f.across, stroke{ink, curveLine, nil})
		}
	}
	one.drawPoints(p, f, soleStyle, crowd{}.with(m.Points).most)
}

// drawPlateau draws the plateau with its limits, and beside the data a bracket
// from it to 100 %.
func (m Mixture) drawPlateau(p pen, f frame) {
	right := f.right + offset
	y := f.y(m.plateau(m.Fraction))
	if m.hasLimits() {
		p.box(vermilionTint, f.left-offset/2, f.y(m.plateau(m.Upper)), right, f.y(m.plateau(m.Lower)))
	}
	p.across(vermilion, limitLine, plateauDash, f.left-offset/2, right, y)
	x := right + bracketGap/2
	p.line(vermilion, barLine, nil, vg.Point{X: x - 2.5, Y: f.top}, vg.Point{X: x, Y: f.top}, vg.Point{X: x, Y: y}, vg.Point{X: x - 2.5, Y: y})
	p.write(face(keySize, false), text, x+gap, (y+f.top)/2-keySize*0.35, atStart, m.fractionWords())
}

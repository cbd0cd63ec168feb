package plots

import (
	"cmp"
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"
)

// Residuals is the figure of how containers depart from the fitted mortality, in
// two panels: against concentration and against the fitted mortality. A residual
// is positive where more died than expected.
type Residuals struct {
	Caption
	Substance
	Kind     string // of the residuals, such as "Pearson residual"
	Residual []Residual
}

// Residual is that of one container.
type Residual struct {
	Concentration float64 // 0 is the control, which only the second panel has
	Fitted        float64 // mortality, natural mortality included, as a proportion
	Value         float64 // NaN where the line must pass through the container; not drawn
	Exposed       int     // mites
}

// usualResidual is the value that about one in twenty exceeds where the line
// holds (the normal distribution's 1.96).
const usualResidual = 2

func (r Residuals) withTexts(do func(string) string) Figure {
	r.Caption, r.Substance, r.Kind = r.Caption.withTexts(do), r.Substance.withTexts(do), do(r.Kind)
	return r
}

// kind names the residuals.
func (r Residuals) kind() string {
	return cmp.Or(clean(r.Kind), "Residual")
}

func (r Residuals) words() (name, description string) {
	drawn, beyond, most := 0, 0, Residual{}
	for _, k := range r.Residual {
		if math.IsNaN(k.Value) {
			continue
		}
		if drawn++; math.Abs(k.Value) > usualResidual {
			beyond++
		}
		if math.Abs(k.Value) > math.Abs(most.Value) {
			most = k
		}
	}
	finding := fmt.Sprintf("%d of %d residuals lie beyond %d", beyond, drawn, usualResidual)
	if drawn > 0 {
		finding += fmt.Sprintf("; the largest is %s at %s%s", signed(most.Value), digits(most.Concentration), r.unitWords())
	}
	return r.name("Residuals: " + r.axisWords()),
		r.tell(r.kind()+" against concentration of "+r.axisWords()+" and against fitted mortality", finding)
}

// check reports the first value that cannot be drawn.
func (r Residuals) check() error {
	for i, k := range r.Residual {
		switch {
		case !(k.Concentration >= 0) || math.IsInf(k.Concentration, 1):
			return fmt.Errorf("plots: residual %d: concentration %g: give a finite number, 0 for the control", i+1, k.Concentration)
		case !(k.Fitted >= 0 && k.Fitted <= 1):
			return fmt.Errorf("plots: residual %d: fitted mortality %g: give a proportion", i+1, k.Fitted)
		case math.IsInf(k.Value, 0):
			return fmt.Errorf("plots: residual %d is infinite: give a number, or NaN for none", i+1)
		}
	}
	return nil
}

// plans returns the two panels.
func (r Residuals) plans() (byDose, byFitted plan) {
	dose, up := nothing, span{-usualResidual - 0.5, usualResidual + 0.5}
	for _, k := range r.Residual {
		if k.Concentration > 0 {
			dose = dose.with(math.Log10(k.Concentration))
		}
		if reach := math.Abs(k.Value) * 1.08; reach > up.hi {
			up = span{-reach, reach}
		}
	}
	byDose = plan{across: dose.padded(), up: up, xLabel: r.axisLabel(), yLabel: r.kind(), xTicks: logTicks, yTicks: evenTicks}
	byFitted = byDose
	byFitted.across, byFitted.xTicks, byFitted.xLabel = span{0, 1}, percents, "Fitted mortality (%)"
	return byDose, byFitted
}

func (r Residuals) page() (page, error) {
	if err := r.check(); err != nil {
		return page{}, err
	}
	first, second := r.plans()
	inner := r.width() - 2*margin
	beside := inner > sideBySide
	needs := first.needs(inner)
	if !beside {
		needs = 2*first.needs(inner) + gap
	}
	s, err := r.sheet(keyBox{}, r.footerWords(), needs)
	if err != nil {
		return page{}, err
	}
	one, two := s.body, s.body
	if beside {
		one.right = (s.body.left+s.body.right)/2 - 2*gap
		two.left = one.right + 4*gap
	} else {
		one.bottom = (s.body.bottom+s.body.top)/2 + gap/2
		two.top = one.bottom - gap
	}
	a, err := s.place(first, one)
	if err != nil {
		return page{}, err
	}
	b, err := s.place(second, two)
	if err != nil {
		return page{}, err
	}
	return page{s.w, s.h, func(p pen) {
		s.draw(p)
		r.draw(p, a, func(k Residual) float64 { return math.Log10(k.Concentration) })
		r.draw(p, b, func(k Residual) float64 { return k.Fitted })
	}}, nil
}

// sideBySide is the width above which two panels stand beside each other.
const sideBySide = 120 * vg.Millimeter

func (r Residuals) footerWords() [][]string {
	say := []string{
		"Above 0: more died than expected (filled), below: fewer (open).",
		fmt.Sprintf("Dashed: ±%d.", usualResidual),
		"Containers at one place stand side by side.",
	}
	missing := 0
	for _, k := range r.Residual {
		if math.IsNaN(k.Value) {
			missing++
		}
	}
	if missing > 0 {
		say = append(say, fmt.Sprintf("Not drawn: %d that the line must pass through.", missing))
	}
	return [][]string{say}
}

// draw draws one panel with the residuals at the places that at gives them.
func (r Residuals) draw(p pen, l panel, at func(Residual) float64) {
	l.drawAxes(p)
	f := l.frame
	zero := f.y(0)
	p.across(text, axisLine, nil, f.axis, f.right+offset, zero)
	for _, v := range []float64{-usualResidual, usualResidual} {
		p.across(grey, barLine, extrapolated, f.axis, f.right+offset, f.y(v))
	}
	shifts := r.shifts(f, at)
	for i, k := range r.Residual {
		x := at(k)
		if math.IsNaN(k.Value) || math.IsInf(x, 0) {
			continue
		}
		place := vg.Point{X: f.x(x) + shifts[i], Y: f.y(k.Value)}
		p.upright(blue, barLine, nil, place.X, zero, place.Y)
		if k.Value < 0 {
			p.hollow(look{colour: blue}, place, maxRadius*0.6)
		} else {
			p.mark(look{colour: blue}, place, maxRadius*0.6)
		}
	}
}

// shifts sets containers at one place side by side.
func (r Residuals) shifts(f frame, at func(Residual) float64) []vg.Length {
	const step, most = 3.4, 24 // points apart, and over all
	count, seen := map[float64]int{}, map[float64]int{}
	for _, k := range r.Residual {
		count[at(k)]++
	}
	out := make([]vg.Length, len(r.Residual))
	for i, k := range r.Residual {
		n := count[at(k)]
		apart := min(step, most/vg.Length(max(1, n-1)))
		out[i] = (vg.Length(seen[at(k)]) - vg.Length(n-1)/2) * apart
		seen[at(k)]++
	}
	return out
}

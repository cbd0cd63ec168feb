package plots

import (
	"cmp"
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// Forest is the figure of resistance ratios of many populations on one
// logarithmic axis, a row each, with their limits and the variation among the
// susceptible. Its height follows the number of rows unless it is stated.
type Forest struct {
	Caption
	Quantity string // name of the axis, "Resistance ratio at LC50" unless stated
	Ratios   []Ratio
	// Variation is the range of ratios found among susceptible populations; zero
	// for none. Marks tell whether the limits lie beyond it, or without it beyond 1.
	Variation [2]float64
}

// Ratio is the resistance ratio of one population. With an Estimate of NaN its row
// says that there is no result.
type Ratio struct {
	Name                   string
	Estimate, Lower, Upper float64 // NaN limits are not drawn; 0 and +Inf are unbounded
	Censored               Censoring
	Place                  Place // where it lies, as a test says that allows for both; zero to read it from the limits
}

// Place is where a ratio lies against the variation of the susceptible or,
// without it, against 1.
type Place uint8

// The places. PlaceByLimits asks that the limits lie outside the variation as
// drawn, which is stricter than a test that combines the uncertainty of both.
const (
	PlaceByLimits Place = iota
	PlaceAbove
	PlaceWithin // it cannot be told apart
	PlaceBelow
)

// maxRatios is the number of rows that a page of paper holds.
const maxRatios = 100

func (r Forest) withTexts(do func(string) string) Figure {
	r.Caption, r.Quantity = r.Caption.withTexts(do), do(r.Quantity)
	r.Ratios = append([]Ratio(nil), r.Ratios...)
	for i := range r.Ratios {
		r.Ratios[i].Name = do(r.Ratios[i].Name)
	}
	return r
}

func (r Forest) quantity() string {
	return cmp.Or(clean(r.Quantity), "Resistance ratio at LC50")
}

func (r Forest) words() (name, description string) {
	var say []string
	above := 0
	for _, k := range r.Ratios {
		if r.side(k) > 0 {
			above++
		}
		say = append(say, clean(k.Name)+": "+sayEstimate(k.Censored, k.Estimate, k.Lower, k.Upper))
	}
	finding := fmt.Sprintf("%d of %d lie above 1", above, len(r.Ratios))
	if r.hasVariation() {
		finding = fmt.Sprintf("%d of %d lie above the susceptible variation of %s to %s",
			above, len(r.Ratios), digits(r.Variation[0]), digits(r.Variation[1]))
	}
	return r.name(r.quantity() + " by population"),
		r.tell(fmt.Sprintf("%s of %d populations", r.quantity(), len(r.Ratios)), append([]string{finding}, say...)...)
}

func (r Forest) hasVariation() bool { return r.Variation != [2]float64{} }

// side says where a ratio lies with its limits: 1 above the variation of the
// susceptible, -1 below it, 0 where that cannot be told.
func (r Forest) side(k Ratio) int {
	switch k.Place {
	case PlaceAbove:
		return 1
	case PlaceBelow:
		return -1
	case PlaceWithin:
		return 0
	}
	band := [2]float64{1, 1}
	if r.hasVariation() {
		band = r.Variation
	}
	low, high := k.Censored.limits(k.Estimate, k.Lower, k.Upper)
	switch {
	case math.IsNaN(k.Estimate):
		return 0
	case low > band[1] || k.Censored == Above && low == band[1]:
		return 1
	case high < band[0] || k.Censored == Below && high == band[0]:
		return -1
	}
	return 0
}

func (r Forest) check() error {
	if n := len(r.Ratios); n == 0 || n > maxRatios {
		return fmt.Errorf("plots: %d ratios: give 1 to %d, and draw more in parts", n, maxRatios)
	}
	for i, k := range r.Ratios {
		if err := checkEstimate(fmt.Sprintf("ratio %d (%s)", i+1, clean(k.Name)), k.Censored, k.Estimate, k.Lower, k.Upper); err != nil {
			return err
		}
	}
	return checkBaseline(r.Variation)
}

// across is the range of the axis: the estimates, the variation, 1, and limits
// that are not far from them.
func (r Forest) across() span {
	core := span{0, 0}
	for _, k := range r.Ratios {
		core = k.Censored.stretch(core, k.Estimate)
	}
	if r.hasVariation() {
		core = core.with(math.Log10(r.Variation[0])).with(math.Log10(r.Variation[1]))
	}
	all := core
	for _, k := range r.Ratios {
		if k.Censored == Estimated {
			all = all.withNear(logOf(k.Lower), core).withNear(logOf(k.Upper), core)
		}
	}
	return all.padded()
}

// numbers writes a ratio as its row ends.
func (k Ratio) numbers() string {
	if math.IsNaN(k.Estimate) {
		return "no result"
	}
	s := k.Censored.sign() + threeDigits(k.Estimate)
	if k.Censored != Estimated || math.IsNaN(k.Lower) || math.IsNaN(k.Upper) {
		return s
	}
	low, high := "0", "∞"
	if k.Lower > 0 {
		low = threeDigits(k.Lower)
	}
	if !math.IsInf(k.Upper, 1) {
		high = threeDigits(k.Upper)
	}
	return s + " (" + low + "–" + high + ")"
}

func (r Forest) key() []keyItem {
	items := []keyItem{}
	seen := map[int]bool{}
	for _, k := range r.Ratios {
		if !math.IsNaN(k.Estimate) {
			seen[r.side(k)] = true
		}
	}
	what := "1"
	if r.hasVariation() {
		what = "the variation"
	}
	for _, side := range []int{1, 0, -1} {
		name := map[int]string{1: "above " + what, 0: "not told apart from " + what, -1: "below " + what}[side]
		if !r.hasVariation() && side == 0 {
			name = "not told apart from 1"
		}
		if seen[side] {
			items = append(items, keyItem{name: name, sample: func(p pen, x, y vg.Length) {
				p.across(sideColour(side), limitLine*0.8, nil, x, x+keySwatch, y)
				markSide(p, vg.Point{X: x + keySwatch/2, Y: y}, side)
			}})
		}
	}
	if r.hasVariation() {
		items = append(items, keyItem{name: "susceptible variation", sample: sampleTint(bandGrey)})
	}
	return items
}

// sideColour is the colour of the marks on one side of the variation.
func sideColour(side int) color.NRGBA {
	switch side {
	case 1:
		return vermilion
	case -1:
		return blue
	}
	return ink
}

// markSide draws the mark of an estimate: a filled square above the variation, a
// filled circle below, an open circle where that cannot be told.
func markSide(p pen, at vg.Point, side int) {
	const r = 2.5
	switch side {
	case 1:
		p.mark(look{colour: vermilion, shape: square}, at, r)
	case -1:
		p.mark(look{colour: blue}, at, r)
	default:
		p.hollow(look{colour: ink}, at, r)
	}
}

func (r Forest) footerWords(across span) [][]string {
	var say []string
	arrows, bounds := false, false
	for _, k := range r.Ratios {
		if math.IsNaN(k.Estimate) {
			continue
		}
		bounds = bounds || k.Censored != Estimated
		low, high := k.Censored.limits(k.Estimate, k.Lower, k.Upper)
		arrows = arrows || logOf(low) < across.lo || math.Log10(high) > across.hi
	}
	if bounds {
		say = append(say, "> and <: only a bound is known.")
	}
	if arrows {
		say = append(say, "Arrow: beyond the axis, or no limit.")
	}
	return [][]string{say}
}

package figures

import (
	"math"

	"vialwise/bioassay"
	"vialwise/plots"
)

// setSize is the number of assays in one figure of a baseline.
const setSize = 12

// Baseline are the figures of the assays of a baseline side by side, in parts
// where it has more than can be told apart.
func Baseline(b *bioassay.Baseline, mark string) []plots.CurveSet {
	var out []plots.CurveSet
	for from := 0; from < len(b.Assays); from += setSize {
		c := plots.CurveSet{
			Caption:   plots.Caption{Title: "Baseline: " + b.Name, Mark: mark, Width: plots.TwoColumns},
			Substance: plots.Substance{Acaricide: b.Acaricide, Unit: b.Unit},
		}
		for _, a := range b.Assays[from:min(from+setSize, len(b.Assays))] {
			one := Curve(a, "").Population
			one.Name = a.Assay.Name
			if len(b.Assays) > 1 {
				one.Band = nil // many bands hide each other
			}
			if math.IsNaN(one.LC50) {
				one.Lower, one.Upper = math.NaN(), math.NaN()
			}
			c.Populations = append(c.Populations, one)
		}
		out = append(out, c)
	}
	return out
}

package atlas

import (
	"math"
	"strconv"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/track"
	"vialwise/doseresp"
	"vialwise/doseresp/meta"
)

// values makes those of one layer and season.
type values struct {
	atlas    *Atlas
	comparer *bioassay.Comparer
	earlier  map[geo.Cell]Value
	before   int // apiaries in values of this acaricide and season that earlier editions published

	fresh int // apiaries in values that are published now
	kept  int // values that stand
	held  int // results that are held back
}

// least is the number of results by which an area speaks: k more than were ever
// in a value of the acaricide and season. So k of them at least were in none.
func (v *values) least() int { return v.atlas.K + v.before }

// all sums up the areas with enough results; where there are fewer, what was
// published stands.
func (v *values) all(results [][]track.Season) (out []Value) {
	for area, list := range results {
		earlier, published := v.earlier[v.atlas.Areas[area]]
		switch {
		case len(list) >= v.least():
			out = append(out, v.one(area, list))
			v.fresh += len(list)
		case published:
			earlier.Area = area
			out = append(out, earlier)
			v.kept++
			v.held += max(0, len(list)-earlier.Apiaries)
		case len(list) >= v.atlas.K:
			v.held += len(list)
		}
	}
	return out
}

func (v *values) one(area int, seasons []track.Season) Value {
	out := Value{Area: area, Apiaries: len(seasons), Ratio: bioassay.NoInterval()}
	var y, variances []float64
	var chances [][]float64
	bounds := 0 // apiaries of which only a bound is known, and which a mean would leave out
	for _, s := range seasons {
		out.Mites += s.Mites
		if s.Bounded() {
			bounds++
		}
		chances = append(chances, s.Bands)
		if !math.IsNaN(s.Log) && s.LogSE > 0 && !math.IsInf(s.LogSE, 1) {
			y, variances = append(y, s.Log), append(variances, s.LogSE*s.LogSE)
		}
	}
	if bounds == 0 && len(y) >= v.least() { // of all results it holds for their ratio too
		out.Ratio = rounded(meanRatio(y, variances, v.comparer, v.atlas.Level))
	}
	out.Shares = track.MeanShares(chances)
	for i, share := range out.Shares {
		out.Shares[i] = math.Round(100*share) / 100
		if out.Shares[i] > out.Shares[out.Band] {
			out.Band = i
		}
	}
	out.Certainty = out.certainty()
	return out
}

// meanRatio is the mean ratio that track.Pool returns, of two apiaries and more,
// without what a map has no use for: predicting takes Pool ten times as long, and a
// map has tens of thousands of means.
func meanRatio(y, v []float64, c *bioassay.Comparer, level float64) bioassay.Interval {
	r, err := meta.Regress(y, v, make([][]float64, len(y)), meta.Options{Level: level})
	if err != nil {
		panic("atlas: " + err.Error())
	}
	mean, limits := r.Coefficients[0], r.Coefficients[0].Limits
	few := len(y) < meta.FewestForLimits
	if few {
		limits = meta.Interval{Lower: math.Inf(-1), Upper: math.Inf(1)}
	}
	ratio := c.RatioOf(doseresp.NewLogDose(mean.Estimate, mean.StdErr, int(r.DF), limits.Lower, limits.Upper))
	if few {
		return bioassay.Interval{Estimate: ratio.Estimate, Upper: math.Inf(1)}
	}
	return bioassay.Interval{Estimate: ratio.Estimate, Lower: ratio.Mover.Lower, Upper: ratio.Mover.Upper}
}

// certainty follows from published numbers alone.
func (v *Value) certainty() Certainty {
	limits := v.Ratio.Lower > 0 && !math.IsInf(v.Ratio.Upper, 1)
	switch share := v.Shares[v.Band]; {
	case share >= clearShare && limits:
		return Clear
	case share >= likelyShare:
		return Likely
	}
	return Unsure
}

// rounded is a ratio as it is published, with three digits, without limits that
// are not two.
func rounded(i bioassay.Interval) bioassay.Interval {
	out := bioassay.Interval{Estimate: threeDigits(i.Estimate), Lower: threeDigits(i.Lower), Upper: threeDigits(i.Upper)}
	if !(out.Lower > 0) || math.IsInf(out.Upper, 1) {
		out.Lower, out.Upper = math.NaN(), math.NaN()
	}
	return out
}

func threeDigits(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 2, 64), 64)
	if err != nil {
		panic("atlas: " + err.Error())
	}
	return r
}

// Total is what all shown areas of a season have in common.
type Total struct {
	Areas, Apiaries, Mites int
	Shares                 []float64 // of the apiaries in each band
}

// Total sums up the areas that a layer shows in a season, and nothing else.
func (a *Atlas) Total(layer, season int) Total {
	t := Total{Shares: make([]float64, len(a.Bands))}
	for _, v := range a.Layers[layer].Values[season] {
		t.Areas++
		t.Apiaries += v.Apiaries
		t.Mites += v.Mites
		for i, share := range v.Shares {
			t.Shares[i] += share * float64(v.Apiaries)
		}
	}
	for i := range t.Shares {
		t.Shares[i] /= max(1, float64(t.Apiaries))
	}
	return t
}

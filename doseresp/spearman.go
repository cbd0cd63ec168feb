package doseresp

import (
	"errors"
	"math"
)

// ErrSpearmanKarber says that the counts do not allow the estimate.
var ErrSpearmanKarber = errors.New("the Spearman-Kärber estimate needs two or more doses, each with two or more individuals, mortality 0 at the lowest, 1 at the highest and never falling between")

// SpearmanKarber estimates log10 LC50 without a model, as the mean of the
// tolerance distribution between the doses,
//
//	Σ (p[i+1] - p[i]) (x[i] + x[i+1])/2
//
// with variance Σ p(1-p)/(n-1) ((x[i+1] - x[i-1])/2)² over the inner doses
// (Finney 1978, Statistical Method in Biological Assay, 3rd edition, chapter
// 18). Controls are left out; mortality must run from 0 to 1 without falling.
func SpearmanKarber(containers []Container) (log10LC50, stdErr float64, err error) {
	if err := checkContainers(containers); err != nil {
		return math.NaN(), math.NaN(), err
	}
	var d design
	d.summarise(containers)
	g := d.treated
	last := len(g) - 1
	if last < 1 || g[0].dead > 0 || g[last].survivors() > 0 {
		return math.NaN(), math.NaN(), ErrSpearmanKarber
	}
	variance := 0.0
	for i := 0; i < last; i++ {
		rise := g[i+1].rate() - g[i].rate()
		if rise < 0 || g[i].exposed < 2 {
			return math.NaN(), math.NaN(), ErrSpearmanKarber
		}
		log10LC50 += rise * (g[i].x + g[i+1].x) / 2
		if i > 0 {
			width := (g[i+1].x - g[i-1].x) / 2
			variance += g[i].rate() * (1 - g[i].rate()) / (g[i].exposed - 1) * width * width
		}
	}
	return log10LC50, math.Sqrt(variance), nil
}

package sim

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
)

// ratioWorker is the memory of one goroutine.
type ratioWorker struct {
	study           *RatioStudy
	field, baseline []doseresp.Container
	comparer        doseresp.LineComparer
	tests           doseresp.LineTests
	sides           [2]ratioSide // field, baseline
	limits          [ratioMethods][len(studyPercents)]doseresp.Limits
	hasPosterior    bool // the posterior was asked for
}

// ratioSide is one population of a pair.
type ratioSide struct {
	fitter               doseresp.Fitter
	fit, plain           doseresp.Result
	plainDose            [len(studyPercents)]doseresp.LogDose
	dose, robust, shared [len(studyPercents)]doseresp.LogDose
	posterior            [len(studyPercents)]*doseresp.DoseDistribution
	hasLine              bool
}

func newRatioWorker(s *RatioStudy) *ratioWorker { return &ratioWorker{study: s} }

// ratioOptions are those of all fits, but for the heterogeneity rule.
func ratioOptions(rule doseresp.HeterogeneityRule) doseresp.Options {
	return doseresp.Options{Heterogeneity: rule, Percents: studyPercents[:], Level: studyLevel}
}

// cell draws and judges the data sets of cell number i.
func (w *ratioWorker) cell(i int) (RatioResult, error) {
	s, c := w.study, w.study.Cells[i]
	r := RatioResult{RatioCell: c, DataSets: s.DataSets, Posteriors: min(s.Posteriors, s.DataSets)}
	for m := range ratioMethods {
		for _, p := range studyPercents {
			r.Limits = append(r.Limits, RatioScore{Method: m, Percent: p})
		}
	}
	for m := range lineTestMethods {
		r.Tests = append(r.Tests, TestScore{Method: m})
	}
	folds := make([][]float64, len(r.Limits))
	for set := range s.DataSets {
		w.field, w.baseline = c.draw(w.field[:0], w.baseline[:0], NewSource(s.Seed, dataStream(i, set)))
		if err := w.judge(set < s.Posteriors); err != nil {
			return r, err
		}
		w.count(&r, folds)
	}
	for k := range r.Limits {
		r.Limits[k].MedianFold = median(folds[k])
	}
	return r, nil
}

// count adds the answers to one data set.
func (w *ratioWorker) count(r *RatioResult, folds [][]float64) {
	if !w.sides[0].hasLine || !w.sides[1].hasLine {
		r.NoLine++
	}
	for k := range r.Limits {
		m, i := k/len(studyPercents), k%len(studyPercents)
		if w.hasPosterior || RatioMethod(m) != RatioPosterior {
			folds[k] = r.Limits[k].add(w.limits[m][i], r.Ratio, folds[k])
		}
	}
	t := &w.tests
	for m, p := range [lineTestMethods]float64{
		t.Parallelism.P, plainF(t, t.Parallelism), t.Parallelism.Verdict,
		t.Equality.P, plainF(t, t.Equality), t.Equality.Verdict,
	} {
		r.Tests[m].add(p)
	}
}

// judge computes every method's limits and the tests.
func (w *ratioWorker) judge(posterior bool) error {
	for i, containers := range [][]doseresp.Container{w.field, w.baseline} {
		if err := w.sides[i].prepare(containers, posterior); err != nil {
			return err
		}
	}
	shared := w.sides[0].dispersion().Plus(w.sides[1].dispersion())
	for i := range w.sides {
		w.sides[i].share(shared)
	}
	if err := w.compare(posterior); err != nil {
		return err
	}
	return w.comparer.Compare([][][]doseresp.Container{{w.field}, {w.baseline}}, ratioOptions(doseresp.WhenAboveOne), &w.tests)
}

// refit fits by one rule; counts that cannot be fitted have no line.
func (s *ratioSide) refit(containers []doseresp.Container, rule doseresp.HeterogeneityRule, r *doseresp.Result) error {
	err := s.fitter.Fit(containers, ratioOptions(rule), r)
	if errors.Is(err, doseresp.ErrNotConverged) {
		r.Status = doseresp.NoSlope
		return nil
	}
	return err
}

// prepare fits one population and finds its own limits. The default fit comes
// last, so that share can start from it.
func (s *ratioSide) prepare(containers []doseresp.Container, posterior bool) error {
	if err := s.refit(containers, doseresp.Never, &s.plain); err != nil {
		return err
	}
	for i, p := range studyPercents {
		s.plainDose[i] = s.fitter.LogDose(&s.plain, p)
	}
	if err := s.refit(containers, doseresp.WhenAboveOne, &s.fit); err != nil {
		return err
	}
	s.hasLine = s.fit.Status == doseresp.Converged
	for i, p := range studyPercents {
		s.dose[i] = s.fitter.LogDose(&s.fit, p)
		s.robust[i] = s.fitter.RobustLogDose(&s.fit, p)
	}
	if posterior {
		return s.fillPosterior(containers)
	}
	return nil
}

// fillPosterior computes the posteriors of the LCp.
func (s *ratioSide) fillPosterior(containers []doseresp.Container) error {
	post, err := doseresp.NewPosterior(containers, ratioOptions(doseresp.WhenAboveOne), doseresp.DefaultPriors())
	if err != nil {
		return err
	}
	for i, p := range studyPercents {
		s.posterior[i] = post.Distribution(p)
	}
	return nil
}

// dispersion is that of the last fit.
func (s *ratioSide) dispersion() doseresp.Dispersion { return s.fitter.Dispersion(&s.fit) }

// share finds the limits with a factor that both populations share.
func (s *ratioSide) share(d doseresp.Dispersion) {
	for i, p := range studyPercents {
		s.shared[i] = s.fitter.SharedLogDose(&s.fit, p, d)
	}
}

// plainF is the P of the F form with X²/df as it stands.
func plainF(t *doseresp.LineTests, l doseresp.LineTest) float64 {
	if math.IsNaN(l.P) || t.Pooled.DF < 1 {
		return math.NaN()
	}
	h := max(1, t.Pooled.X2/float64(t.Pooled.DF))
	return distuv.F{D1: float64(l.DF), D2: float64(t.Pooled.DF)}.Survival(l.X2 / float64(l.DF) / h)
}

// compare fills in the limits of the ratios. The posterior is computed where
// it was asked for, and where the answer needs it.
func (w *ratioWorker) compare(posterior bool) error {
	w.hasPosterior = posterior
	f, b := &w.sides[0], &w.sides[1]
	for i := range studyPercents {
		plain := doseresp.NewRatio(f.plainDose[i], b.plainDose[i], nil, studyLevel)
		robust := doseresp.NewRatio(f.robust[i], b.robust[i], nil, studyLevel)
		own := doseresp.NewRatio(f.dose[i], b.dose[i], nil, studyLevel)
		ratio := doseresp.NewRatio(f.shared[i], b.shared[i], nil, studyLevel)
		w.limits[RatioDeltaZ][i], w.limits[RatioProfileZ][i] = plain.Delta, plain.Mover
		w.limits[RatioDeltaT][i], w.limits[RatioProfileOwn][i] = own.Delta, own.Mover
		w.limits[RatioBetaBinomial][i] = robust.Mover
		w.limits[RatioProfileShared][i], w.limits[RatioAnswer][i] = ratio.Mover, ratio.Mover
		if !posterior && ratio.Difference != doseresp.Undecided {
			continue
		}
		if !posterior {
			posterior = true // of the rest of this pair too
			if err := errors.Join(f.fillPosterior(w.field), b.fillPosterior(w.baseline)); err != nil {
				return err
			}
		}
		ratio = doseresp.NewRatio(f.shared[i], b.shared[i], doseresp.NewRatioPosterior(f.posterior[i], b.posterior[i]), studyLevel)
		w.limits[RatioPosterior][i] = doseresp.Limits{Lower: ratio.Posterior.Lower, Upper: ratio.Posterior.Upper}
		if ratio.Basis == doseresp.ByPosterior {
			w.limits[RatioAnswer][i] = w.limits[RatioPosterior][i]
		}
	}
	return nil
}

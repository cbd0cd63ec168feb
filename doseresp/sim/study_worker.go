package sim

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vialwise/doseresp"
)

// studyLevel is the level of all limits.
const studyLevel = 0.95

// studyWorker is the memory of one goroutine.
type studyWorker struct {
	study        *Study
	fitter       doseresp.Fitter
	plain, fit   doseresp.Result
	containers   []doseresp.Container
	answers      [methodCount][len(studyPercents)]answer
	seconds      [stageCount]float64
	wide         doseresp.Result // without heterogeneity, with Student's t
	sparse       doseresp.Result
	plainOptions doseresp.Options
	quantiles    map[int]float64 // of Student's t, by degrees of freedom
	unfitted     bool            // the likelihood was not maximised
}

func newStudyWorker(s *Study) *studyWorker {
	return &studyWorker{
		study: s, quantiles: map[int]float64{},
		plainOptions: doseresp.Options{Heterogeneity: doseresp.Never, Percents: studyPercents[:], Level: studyLevel},
	}
}

// timed runs one stage and adds the time it took.
func (w *studyWorker) timed(stage Stage, work func() error) error {
	clock := w.study.Clock
	if clock == nil {
		return work()
	}
	start := clock()
	err := work()
	w.seconds[stage] += clock() - start
	return err
}

// judge computes every method's answers to the containers.
func (w *studyWorker) judge(cell, set int) error {
	w.answers = [methodCount][len(studyPercents)]answer{}
	stages := []struct {
		stage Stage
		work  func() error
	}{
		{StageFit, w.fits},
		{StageProfile, w.profiles},
		{StageBetaProfile, w.betaProfiles},
		{StageSparse, w.sparseLimits},
		{StagePosterior, func() error { return w.posterior(w.study.Cells[cell].Rho) }},
	}
	if set < w.study.Bootstrapped {
		stages = append(stages, struct {
			stage Stage
			work  func() error
		}{StageBootstrap, func() error { return w.bootstrap(cell, set) }})
	}
	for _, s := range stages {
		if err := w.timed(s.stage, s.work); err != nil {
			return err
		}
	}
	w.rules()
	return nil
}

// fits makes the fit without heterogeneity and, last, the default fit, which
// the profiles then start from.
func (w *studyWorker) fits() error {
	err := w.fitter.Fit(w.containers, w.plainOptions, &w.plain)
	if err == nil && w.plain.Status == doseresp.Converged {
		z := distuv.UnitNormal.Quantile(0.5 + studyLevel/2)
		for i, lc := range w.plain.LC {
			w.answers[DeltaZ][i] = deltaAnswer(lc, z)
			w.answers[FiellerZ][i] = answer{lc.Fiducial, true}
		}
		if err := w.fitter.Fit(w.containers, w.atQuantile(w.student()), &w.wide); err != nil {
			return err
		}
	}
	options := w.plainOptions
	options.Heterogeneity = doseresp.WhenAboveOne
	err = w.fitter.Fit(w.containers, options, &w.fit)
	if w.unfitted = errors.Is(err, doseresp.ErrNotConverged); w.unfitted {
		return nil
	}
	if err == nil && w.fit.Status == doseresp.Converged {
		for i, lc := range w.fit.LC {
			w.answers[FiellerT][i] = answer{lc.Fiducial, true}
		}
	}
	return err
}

// deltaAnswer is log10 LCp ± z SE.
func deltaAnswer(lc doseresp.LC, z float64) answer {
	fold := math.Pow(10, z*lc.Log10SE)
	l := doseresp.Limits{Lower: lc.Estimate / fold, Upper: lc.Estimate * fold}
	if !(l.Lower > 0) || math.IsInf(l.Upper, 1) || math.IsNaN(fold) {
		l = doseresp.Limits{Lower: 0, Upper: math.Inf(1), Kind: doseresp.Unbounded}
	}
	return answer{l, true}
}

func (w *studyWorker) profiles() error {
	switch w.fit.Status {
	case doseresp.Converged, doseresp.Separated, doseresp.AllDead, doseresp.NoneDead:
	default:
		return nil
	}
	if w.unfitted {
		return nil
	}
	for i, percent := range studyPercents {
		w.answers[ProfileF][i] = answer{w.fitter.Profile(&w.fit, percent), true}
	}
	return nil
}

func (w *studyWorker) betaProfiles() error {
	if w.unfitted || w.fit.Status != doseresp.Converged {
		return nil
	}
	for i, percent := range studyPercents {
		l := w.fitter.BetaBinomialProfile(&w.fit, percent)
		given := true
		if l.Kind == doseresp.Unbounded { // because there is no line, or because it is nearly level
			_, given = w.fitter.BetaBinomial(&w.fit)
		}
		w.answers[BetaProfileF][i] = answer{l, given}
	}
	return nil
}

// posterior computes the posterior and, where mites correlate most, that with
// the wider prior too.
func (w *studyWorker) posterior(rho float64) error {
	priors := doseresp.DefaultPriors()
	if err := w.posteriorWith(priors, &w.answers[PosteriorDefault]); err != nil {
		return err
	}
	if rho < narrowRho {
		return nil
	}
	priors.RhoMean = 0.06
	return w.posteriorWith(priors, &w.answers[PosteriorNarrow])
}

// narrowRho is the correlation from which on PosteriorNarrow is studied.
const narrowRho = 0.1

func (w *studyWorker) posteriorWith(priors doseresp.Priors, answers *[len(studyPercents)]answer) error {
	p, err := doseresp.NewPosterior(w.containers, w.plainOptions, priors)
	if err != nil {
		return err
	}
	for i, percent := range studyPercents {
		l := p.LC(percent, studyLevel)
		answers[i] = answer{doseresp.Limits{Lower: l.Lower, Upper: l.Upper}, true}
		if !(l.Lower > 0) || math.IsInf(l.Upper, 1) {
			answers[i].Kind = doseresp.Unbounded
		}
	}
	return nil
}

// sparseLimits are those of FiellerSparse and ProfileSparse.
func (w *studyWorker) sparseLimits() error {
	if w.unfitted || w.fit.Status != doseresp.Converged {
		return nil
	}
	h := max(sparseFactor(w.containers, &w.fit), 1)
	if err := w.fitter.Fit(w.containers, w.atQuantile(w.student()*math.Sqrt(h)), &w.sparse); err != nil {
		return err
	}
	for i, percent := range studyPercents {
		w.answers[FiellerSparse][i] = answer{w.sparse.LC[i].Fiducial, true}
		w.answers[ProfileSparse][i] = answer{w.fitter.Profile(&w.sparse, percent), true}
		if h == 1 {
			w.answers[FiellerSparse][i] = w.answers[FiellerZ][i]
		}
	}
	return nil
}

// bootstrap draws binomial replicates: the rule Never makes it so.
func (w *studyWorker) bootstrap(cell, set int) error {
	b, err := doseresp.Bootstrap(w.containers, w.plainOptions, doseresp.BootstrapOptions{
		Replicates: w.study.Replicates,
		Workers:    1,
		NewSampler: func(replicate int) doseresp.Sampler {
			return NewSource(replicateSeed(w.study.Seed), replicateStream(cell, set, replicate))
		},
	})
	switch {
	case errors.Is(err, doseresp.ErrNoLine), errors.Is(err, doseresp.ErrNotConverged):
		return nil
	case err != nil:
		return err
	}
	for i, l := range b.Limits {
		w.answers[BootstrapPercentile][i] = answer{l.Percentile, true}
		w.answers[BootstrapBCa][i] = answer{l.BCa, true}
	}
	return nil
}

package doseresp

import (
	"errors"
	"math"
)

// LackOfFitVerdict says why a line does not agree with its counts.
type LackOfFitVerdict uint8

// The verdicts of ExplainLackOfFit.
const (
	LineFits           LackOfFitVerdict = iota // no lack of fit
	WrongLink                                  // another link fits and this one is bent
	ExtraVariation                             // containers vary more than binomial counts
	UndecidedLackOfFit                         // the counts do not tell
)

var verdictNames = [...]string{
	LineFits: "fits", WrongLink: "wrong-link", ExtraVariation: "heterogeneity", UndecidedLackOfFit: "undecided",
}

// String returns the verdict's name as results spell it.
func (v LackOfFitVerdict) String() string { return nameOf(verdictNames[:], v) }

// Thresholds of ExplainLackOfFit.
const (
	lackOfFitLevel = 0.05 // P below which a test counts as significant
	clearlyBetter  = 4.0  // difference in AIC (Burnham & Anderson 2002, Model Selection and Multimodel Inference, 2nd edition, section 2.6, from memory)
)

// LackOfFit compares the links on one assay and says what a poor fit means.
type LackOfFit struct {
	Verdict  LackOfFitVerdict
	Chosen   Link // of the options
	BestLink Link // with the lowest AIC
	ByLink   [3]LinkFit
	Within   Pearson // between containers of the same dose, under BestLink
	Message  string  // the verdict in one sentence, with its numbers
}

// LinkFit is how one link agrees with the counts: NaN without a finite line.
type LinkFit struct {
	Status    Status
	AIC       float64
	Pearson   Pearson // by container
	within    Pearson // within doses
	Curvature float64 // score z of a term in the square of log dose, divided by √h within doses
	CurvedP   float64 // its two-sided P; NaN with fewer than three doses
}

// misfits says that X² by container is significant.
func (l *LinkFit) misfits() bool { return l.Pearson.P < lackOfFitLevel }

// bent says that the residuals leave a curve along log dose.
func (l *LinkFit) bent() bool { return l.CurvedP < lackOfFitLevel }

// ExplainLackOfFit fits an assay with every link and judges the one in the
// options. With "significant" for P < 0.05, the rule is, in this order:
//
//   - undecided where the chosen link has no finite rising line, or no degree
//     of freedom is left;
//   - wrong-link where another link has the lowest AIC, by more than 4; where
//     the term in the square of log dose, added to the line, is significant
//     under the chosen link and not under that one (Rao's score test); and
//     where X² by container is not significant under it. X² under the chosen
//     link need not be: the directed tests see a bend that X², spread over all
//     containers, does not;
//   - fits where X² by container is not significant;
//   - heterogeneity where X² within doses, by container less by dose, is
//     significant under the link of the lowest AIC, since no line can explain
//     that; or where X² by container is significant under every link and the
//     best is not bent;
//   - undecided otherwise.
//
// Where containers of a dose vary more than binomial counts, bends and
// differences in AIC arise by chance: both are divided by h within doses (the
// z by its root) where that is above 1. One container a dose does not allow
// that, and a bend may then be chance. Probit and logit differ in the tails
// alone, which no bend shows: the verdict wrong-link in practice tells cloglog
// from the other two. It fails as Fit does.
func ExplainLackOfFit(containers []Container, options Options) (LackOfFit, error) {
	l := LackOfFit{Chosen: options.Link}
	var f Fitter
	for _, link := range Links() {
		var err error
		options.Link = link
		l.ByLink[link], err = f.judgeLink(containers, options)
		if err != nil && (link == l.Chosen || !errors.Is(err, ErrNotConverged)) {
			return LackOfFit{}, err
		}
	}
	l.BestLink = l.lowestAIC()
	l.Within = l.ByLink[l.BestLink].within
	for i := range l.ByLink {
		k := &l.ByLink[i]
		k.Curvature /= math.Sqrt(l.withinFactor())
		k.CurvedP = chiSquaredSurvival(k.Curvature*k.Curvature, 1)
	}
	l.judge()
	l.Message = l.sentence()
	return l, nil
}

// judgeLink fits the link of the options; its curvature is not yet scaled.
func (f *Fitter) judgeLink(containers []Container, options Options) (LinkFit, error) {
	var r Result
	nan := math.NaN()
	none := Pearson{X2: nan, P: nan}
	err := f.Fit(containers, options, &r)
	k := LinkFit{Status: r.Status, AIC: nan, Pearson: none, within: none, Curvature: nan, CurvedP: nan}
	if err != nil || r.Status != Converged {
		return k, err
	}
	x, doses := r.PearsonContainer, r.PearsonDose
	k.AIC, k.Pearson = r.AIC(), x
	// The difference is Σ (r - n p̄)²/(n P(1-P)), p̄ the pooled rate of the dose.
	k.within = newPearson(max(x.X2-doses.X2, 0), x.DF-doses.DF, 0)
	k.Curvature = f.model.curvature(&f.summit)
	return k, nil
}

// lowestAIC is the link that describes the counts best, the chosen one where
// they are even or none has a line.
func (l *LackOfFit) lowestAIC() Link {
	best := l.Chosen
	for _, link := range Links() {
		aic, lowest := l.ByLink[link].AIC, l.ByLink[best].AIC
		if aic < lowest || math.IsNaN(lowest) && !math.IsNaN(aic) {
			best = link
		}
	}
	return best
}

// withinFactor is h within doses where above 1, else 1.
func (l *LackOfFit) withinFactor() float64 {
	if l.Within.DF < 1 {
		return 1
	}
	return max(1, l.Within.X2/float64(l.Within.DF))
}

// judge applies the rule of ExplainLackOfFit.
func (l *LackOfFit) judge() {
	chosen, best := &l.ByLink[l.Chosen], &l.ByLink[l.BestLink]
	switch {
	case math.IsNaN(chosen.AIC) || chosen.Pearson.DF < 1:
		l.Verdict = UndecidedLackOfFit
	case chosen.AIC-best.AIC > clearlyBetter*l.withinFactor() && chosen.bent() && !best.bent() && !best.misfits():
		l.Verdict = WrongLink
	case !chosen.misfits():
		l.Verdict = LineFits
	case l.Within.P < lackOfFitLevel || l.everyLinkMisfits() && !best.bent():
		l.Verdict = ExtraVariation
	default:
		l.Verdict = UndecidedLackOfFit
	}
}

func (l *LackOfFit) everyLinkMisfits() bool {
	for i := range l.ByLink {
		if k := &l.ByLink[i]; !math.IsNaN(k.AIC) && !k.misfits() {
			return false
		}
	}
	return true
}

// curvature is the score test of γ = 0 in η = a + b u + γ u²: the derivative
// of the log-likelihood by γ over its standard error, given that a, b and C
// are fitted (Rao 1948, Proc. Camb. Phil. Soc. 44:50-57, from memory). It is
// above 0 where mortality, on the scale of η, bends upwards, and NaN where
// fewer than three doses leave no bend to see.
func (m *model) curvature(s *summit) float64 {
	var d derivatives
	m.evaluate(s.params, &d)
	f, ok := cholesky(&d.expected, m.freeC && s.c > 0)
	if !ok {
		return math.NaN()
	}
	var score, own float64
	var shared params // information that γ shares with a, b and C
	for i := range m.treated {
		g := &m.treated[i]
		t := m.link.at(s.a + s.b*g.u)
		w, alive := t.reverse, 1-s.c
		if s.c > 0 {
			w = alive * t.density() / (s.c + alive*t.cdf)
		}
		square := g.u * g.u
		fisher := g.exposed * w * t.hazard * square
		score += (g.dead*w - g.survivors()*t.hazard) * square
		own += fisher * square
		shared.a += fisher
		shared.b += fisher * g.u
		shared.c += g.exposed * w / alive * square
	}
	_, explained := f.solve(shared.a, shared.b, shared.c)
	variance := own - explained
	if !(variance > 1e-10*own) {
		return math.NaN() // two doses, or two that carry all the weight
	}
	return score / math.Sqrt(variance)
}

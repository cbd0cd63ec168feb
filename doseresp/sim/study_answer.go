package sim

import "vialwise/doseresp"

// cautiousG is the g above which the tables warn of their limits.
const cautiousG = 0.25

// answer is what a method says of one LCp; given is false where it has no
// line to start from, or was not tried.
type answer struct {
	doseresp.Limits
	given bool
}

func (a answer) bounded() bool { return a.given && a.Kind == doseresp.Bounded }

// or is the first answer where bounded and wanted, else the second.
func (a answer) or(b answer, wanted bool) answer {
	if wanted && a.bounded() {
		return a
	}
	return b
}

// rules chooses between the answers of the methods.
func (w *studyWorker) rules() {
	for i := range studyPercents {
		fiducial, posterior := w.answers[FiellerT][i], w.answers[PosteriorDefault][i]
		w.answers[FiducialAnswer][i] = fiducial.or(posterior, true)
		w.answers[CautiousAnswer][i] = fiducial.or(posterior, w.fit.G <= cautiousG)
		w.answers[SparseAnswer][i] = w.answers[FiellerSparse][i].or(posterior, true)
		w.answers[RobustAnswer][i] = w.answers[BetaProfileF][i].or(posterior, true)
		student := fiducial
		if fiducial.given && !w.fit.Heterogeneity.Applied {
			student.Limits = w.wide.LC[i].Fiducial
		}
		w.answers[StudentAnswer][i] = student.or(posterior, true)
	}
}

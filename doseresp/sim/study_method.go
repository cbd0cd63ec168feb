package sim

// Method is a way to compute limits, or a rule that chooses between some.
type Method uint8

// The methods. The last five are rules that answer for every data set: limits
// of the first kind where they are bounded, else the posterior's.
const (
	DeltaZ              Method = iota // log10 LCp ± z SE, no heterogeneity
	FiellerZ                          // Fieller with the normal quantile, no heterogeneity
	FiellerT                          // Fieller, where h > 1 with h and Student's t: the default table
	ProfileF                          // profile likelihood, h >= 1, F(1, df)
	FiellerSparse                     // as FiellerT, with the factor of sparseFactor for h
	ProfileSparse                     // as ProfileF, likewise
	BetaProfileF                      // beta-binomial profile likelihood, F(1, df)
	PosteriorDefault                  // posterior with the default priors
	PosteriorNarrow                   // the same with a prior mean of 0.06 for the correlation; where that is 0.1
	BootstrapPercentile               // parametric bootstrap
	BootstrapBCa                      // the same, bias-corrected and accelerated
	FiducialAnswer                    // FiellerT, else the posterior
	StudentAnswer                     // as FiducialAnswer, with Student's t also where h <= 1
	CautiousAnswer                    // as FiducialAnswer, only where g <= 0.25
	SparseAnswer                      // FiellerSparse, else the posterior
	RobustAnswer                      // BetaProfileF, else the posterior
	methodCount
)

var methodNames = [methodCount]string{
	"delta-z", "fieller-z", "fieller-t", "profile-f", "fieller-t-sparse", "profile-f-sparse", "beta-binomial-profile-f", "posterior", "posterior-rho-0.06",
	"bootstrap-percentile", "bootstrap-bca", "fiducial-answer", "student-answer", "cautious-answer",
	"sparse-answer", "robust-answer",
}

// String returns the method's name as results spell it.
func (m Method) String() string { return methodNames[m] }

// Methods lists every method, in the order of their constants.
func Methods() []Method {
	all := make([]Method, methodCount)
	for i := range all {
		all[i] = Method(i)
	}
	return all
}

// Stage is a part of the work whose time is measured.
type Stage uint8

// The stages. Fits come with their delta and Fieller limits.
const (
	StageDraw        Stage = iota // drawing the counts
	StageFit                      // three fits: without h, with it, and with Student's t alone
	StageProfile                  // both profile limits
	StageBetaProfile              // both beta-binomial profile limits
	StageSparse                   // a fit and both profile limits with the factor of sparseFactor
	StagePosterior                // two posteriors and both limits of each
	StageBootstrap                // a bootstrap with all its replicates
	stageCount
)

// studyPercents are the p of the LCp that are studied.
var studyPercents = [...]float64{50, 90}

// StudyPercents lists the p of the LCp that are studied.
func StudyPercents() []float64 { return studyPercents[:] }

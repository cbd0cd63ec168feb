package bioassay

import "vialwise/doseresp"

// Brief is a comparison of one field assay with a baseline at LC50, in the few
// numbers that a series over seasons is made of: a programme holds a hundred
// thousand of them. What does not exist is NaN, a limit that does not exist is
// 0 or +Inf.
type Brief struct {
	Status         doseresp.Status
	Mites          int // exposed, treated and untreated, without the missing
	Controls       int // of these, untreated
	Concentrations int // different ones above 0

	LC50 Interval // in the unit of the assay; fiducial limits, or those of the posterior as Posterior says
	// Posterior says that the limits of LC50 are those of the posterior, for want
	// of fiducial ones.
	Posterior bool
	// Censored says that LC50 is only known to lie above or below
	// LC50.Estimate.
	Censored doseresp.Censoring

	Log   float64 // log10 LC50; NaN without a line
	LogSE float64 // by the delta method, heterogeneity included; NaN likewise
	DF    int     // of LogSE where heterogeneity is in it, else 0

	Ratio         Interval // the resistance ratio at LC50, limits as in Comparison
	RatioCensored doseresp.Censoring
	Difference    doseresp.Difference // of the ratio from 1
	Natural       Natural

	Bands []float64 // posterior probability of each band, in the order of the rules; nil without a posterior

	Fraction   Interval // q with its profile limits; of one concentration the survivors there
	FractionP  float64  // of the one-sided test against there being no resistant part
	WholeShift bool     // the counts do not tell a part from a shift of the whole
	Single     bool     // the assay has one concentration, and Fraction is about survivors
}

// Interval is an estimate with limits.
type Interval struct{ Estimate, Lower, Upper float64 }

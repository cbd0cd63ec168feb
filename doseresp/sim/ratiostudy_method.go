package sim

// RatioMethod names limits of a ratio that a RatioStudy judges.
type RatioMethod uint8

// The limits. RatioAnswer is what decides whether populations are different.
const (
	RatioDeltaZ RatioMethod = iota
	RatioDeltaT
	RatioProfileZ
	RatioProfileOwn
	RatioProfileShared
	RatioBetaBinomial
	RatioPosterior
	RatioAnswer
	ratioMethods
)

var ratioMethodTexts = [...]struct{ name, what string }{
	RatioDeltaZ:        {"delta-z", "log10 ratio ± 1.96 standard errors (Robertson & Preisler 1992); variation between containers ignored"},
	RatioDeltaT:        {"delta-t", "the same, h in the variance of a population, and Student's t, where its own h = X²/df by container is above 1"},
	RatioProfileZ:      {"profile-z", "both profile limits combined (Zou & Donner 2008), chi-squared cut; variation between containers ignored"},
	RatioProfileOwn:    {"profile-own-h", "the same, each with its own h, at least 1, and the quantile of F(1, df)"},
	RatioProfileShared: {"profile-shared-h", "the same, both with one factor H of all containers (Fletcher 2012) and the quantile of F(1, df) where H is above 1, else with chi-squared"},
	RatioBetaBinomial:  {"beta-binomial", "both beta-binomial profile limits combined, quantile of F(1, df)"},
	RatioPosterior:     {"posterior", "posterior interval with the default priors"},
	RatioAnswer:        {"answer", "profile-shared-h, but the posterior where that contains 1 and lacks a bound"},
}

// RatioMethods lists every kind of limits, in the order of their constants.
func RatioMethods() []RatioMethod {
	out := make([]RatioMethod, ratioMethods)
	for i := range out {
		out[i] = RatioMethod(i)
	}
	return out
}

// String returns the method's name as tables spell it.
func (m RatioMethod) String() string { return ratioMethodTexts[m].name }

// Explanation says in one line what the limits are.
func (m RatioMethod) Explanation() string { return ratioMethodTexts[m].what }

// LineTestMethod names a test of lines that a RatioStudy judges.
type LineTestMethod uint8

// The tests.
const (
	ParallelX2 LineTestMethod = iota
	ParallelF
	ParallelVerdict
	EqualX2
	EqualF
	EqualVerdict
	lineTestMethods
)

var lineTestTexts = [...]struct{ name, what string }{
	ParallelX2:      {"parallelism-chi2", "likelihood ratio of one slope, chi-squared"},
	ParallelF:       {"parallelism-f", "the same over X²/df of all containers, at least 1, and F with its degrees of freedom"},
	ParallelVerdict: {"parallelism", "the test that decides: over the factor H of profile-shared-h, and F, where H is above 1, else chi-squared"},
	EqualX2:         {"equality-chi2", "likelihood ratio of one line, chi-squared"},
	EqualF:          {"equality-f", "the same over X²/df of all containers, at least 1, and F"},
	EqualVerdict:    {"equality", "the test that decides, as for parallelism"},
}

// LineTestMethods lists every test, in the order of their constants.
func LineTestMethods() []LineTestMethod {
	out := make([]LineTestMethod, lineTestMethods)
	for i := range out {
		out[i] = LineTestMethod(i)
	}
	return out
}

// String returns the test's name as tables spell it.
func (m LineTestMethod) String() string { return lineTestTexts[m].name }

// Explanation says in one line what the test is.
func (m LineTestMethod) Explanation() string { return lineTestTexts[m].what }

package meta

import "math"

// FewestForLimits is the number of units below which a mean is given no limits
// unless τ² is known from elsewhere: those of three or two units are so wide
// that they say little more than that units are lacking.
const FewestForLimits = 4

// FewestForPrediction is the number of units below which nothing is predicted.
const FewestForPrediction = 3

// Summary is the mean of several units with what is known of their variation.
// Of a single unit it is that unit.
type Summary struct {
	Between
	Units  int
	Level  float64
	Mean   float64
	StdErr float64 // of the mean; of two units and more √(Factor/Σw)
	DF     float64 // of Student's t, k - 1; +Inf where normal limits are used
	Factor float64 // see Regression
	Limits Interval
	// Carried are the limits Mean ± t StdErr from two units on, for use in further
	// calculation. They differ from Limits for two and three units, where they
	// are too wide to be shown as a result by themselves.
	Carried    Interval
	Prediction Prediction
	Shrunk     []Shrunk
	Warnings   []Warning
}

// Summarise returns the random-effects mean of the estimates y with variances
// v. It fails with an *InputError, ErrNoUnits or ErrOptions, and panics where y
// and v differ in length.
func Summarise(y, v []float64, o Options) (*Summary, error) {
	r, err := Regress(y, v, make([][]float64, len(y)), o)
	if err != nil {
		return nil, err
	}
	mean := r.Coefficients[0]
	s := &Summary{
		Between: r.Between, Units: r.Units, Level: r.Level,
		Mean: mean.Estimate, StdErr: mean.StdErr, DF: r.DF, Factor: r.Factor,
		Limits: mean.Limits, Carried: mean.Limits, Shrunk: r.Shrunk,
	}
	switch {
	case o.Method == Given:
	case s.Units == 1:
		s.single(y[0], v[0])
	case s.Units < FewestForLimits:
		s.Limits = nowhere
	}
	s.Prediction = r.predict()
	s.Warnings = s.warnings()
	return s, nil
}

// single makes the summary of one unit that unit, with normal limits.
func (s *Summary) single(y, v float64) {
	s.Mean, s.StdErr, s.DF, s.Factor = y, math.Sqrt(v), math.Inf(1), 1
	s.Limits = around(s.Mean, Quantile(0.5+s.Level/2, s.DF)*s.StdErr)
	s.Carried = s.Limits
}

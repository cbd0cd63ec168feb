package meta

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Method names the estimator of the between-unit variance τ².
type Method uint8

// The methods.
const (
	// PauleMandel solves Q(τ²) = k - p, the generalised Q set to its
	// expectation (Paule & Mandel 1982, J. Res. Natl. Bur. Stand. 87:377-385).
	// It assumes no normal distribution.
	PauleMandel Method = iota
	// REML maximises the restricted likelihood (Patterson & Thompson 1971,
	// Biometrika 58:545-554).
	REML
	// Given takes τ² from Options as known: limits are normal ones and exist
	// for any number of units.
	Given
)

var methodNames = [...]string{PauleMandel: "paule-mandel", REML: "reml", Given: "given"}

// Methods lists every method, in the order of their constants.
func Methods() []Method { return []Method{PauleMandel, REML, Given} }

// String returns the method's name as flags and results spell it.
func (m Method) String() string {
	if int(m) < len(methodNames) {
		return methodNames[m]
	}
	return fmt.Sprintf("unknown(%d)", uint8(m))
}

// ParseMethod returns the method of that name.
func ParseMethod(name string) (Method, error) {
	for _, m := range Methods() {
		if m.String() == name {
			return m, nil
		}
	}
	return 0, fmt.Errorf("unknown method %q; use one of %s", name, strings.Join(methodNames[:], ", "))
}

// Options chooses the estimator of τ² and the level of limits. The zero value
// is the default: Paule & Mandel, 95 %.
type Options struct {
	Method Method
	Tau2   float64 // used by Given, at least 0
	Level  float64 // of all limits, in (0, 1); 0 for DefaultLevel
}

// DefaultLevel is the level of limits unless another is asked for.
const DefaultLevel = 0.95

// Errors of a summary. An InputError says which unit is the matter.
var (
	ErrOptions = errors.New("impossible option")
	ErrNoUnits = errors.New("there is no unit to summarise")
	ErrDesign  = errors.New("the covariates do not determine their coefficients")
)

// InputError is an estimate or a variance that nothing can be computed from.
type InputError struct {
	Unit        int // counted from 0
	Y, Variance float64
}

// Error names the unit, counted from 1.
func (e *InputError) Error() string {
	return fmt.Sprintf("unit %d: estimate %g with variance %g; both must be finite and the variance above 0: leave the unit out or give its variance", e.Unit+1, e.Y, e.Variance)
}

func (o *Options) complete() error {
	if o.Level == 0 {
		o.Level = DefaultLevel
	}
	switch {
	case int(o.Method) >= len(methodNames):
		return fmt.Errorf("%w: %v is no method; use one of %s", ErrOptions, o.Method, strings.Join(methodNames[:], ", "))
	case !(o.Level > 0 && o.Level < 1):
		return fmt.Errorf("%w: level %g; a level must lie above 0 and below 1", ErrOptions, o.Level)
	case o.Method == Given && !(o.Tau2 >= 0 && !math.IsInf(o.Tau2, 1)):
		return fmt.Errorf("%w: between-unit variance %g; it must be finite and at least 0", ErrOptions, o.Tau2)
	}
	return nil
}

func checkUnits(y, v []float64) error {
	if len(y) != len(v) {
		panic(fmt.Sprintf("meta: %d estimates and %d variances", len(y), len(v)))
	}
	if len(y) == 0 {
		return ErrNoUnits
	}
	for i := range y {
		// A sum is finite only where both are.
		if sum := y[i] + v[i]; !(v[i] > 0) || math.IsNaN(sum) || math.IsInf(sum, 0) {
			return &InputError{i, y[i], v[i]}
		}
	}
	return nil
}

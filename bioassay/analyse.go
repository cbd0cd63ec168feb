package bioassay

import (
	"fmt"

	"vialwise/doseresp"
)

// Analysis is an assay with the line fitted to it and every warning about it.
type Analysis struct {
	Assay    Assay
	Moribund Moribund // how moribund mites were counted
	Fit      *doseresp.Result
	Warnings []Warning
}

// AnalysisOptions chooses how assays become fits.
type AnalysisOptions struct {
	Fit      doseresp.Options
	Moribund Moribund
}

// WarnMissingMites says that mites placed in containers were not found again.
const WarnMissingMites WarningCode = "missing-mites"

// Analyse fits an assay. It fails only where the options and the counts
// contradict each other; counts without a finite line have a status.
func Analyse(a Assay, o AnalysisOptions) (*Analysis, error) {
	result, err := doseresp.Fit(a.Counts(o.Moribund), o.Fit)
	if err != nil {
		return nil, fmt.Errorf("assay %q: %w", a.Name, err)
	}
	analysis := &Analysis{Assay: a, Moribund: o.Moribund, Fit: result, Warnings: a.warnings()}
	for _, w := range result.Warnings() {
		analysis.Warnings = append(analysis.Warnings, Warning{
			Code: WarningCode(w.Code), Message: w.Message, Cure: w.Cure,
		})
	}
	return analysis, nil
}

// warnings are the doubts that stem from the counts as recorded.
func (a Assay) warnings() []Warning {
	missing, placed := 0, 0
	for _, c := range a.Containers {
		missing += c.Missing
		placed += c.Exposed
	}
	if missing == 0 {
		return nil
	}
	return []Warning{{
		Code:    WarnMissingMites,
		Message: fmt.Sprintf("%d of %d mites placed were not found at the reading and are left out of n", missing, placed),
		Cure:    "seal the containers and search them fully at the reading",
	}}
}

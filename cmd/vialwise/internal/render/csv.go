package render

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

var csvHeader = []string{
	"assay", "apiary", "population", "role", "collected_on", "tested_on", "acaricide", "protocol", "unit",
	"containers", "exposed", "treated_exposed", "control_exposed", "control_dead",
	"link", "status", "natural_mortality_mode", "natural_mortality", "natural_mortality_se",
	"intercept", "intercept_se", "slope", "slope_se", "loglik", "aic", "deviance",
	"x2_container", "df_container", "p_container", "x2_dose", "df_dose", "p_dose",
	"heterogeneity_rule", "h", "h_applied", "level", "g", "lc50_above", "lc50_below",
	"p", "lc", "log10_se", "fiducial_lower", "fiducial_upper", "fiducial_kind", "excluded_lower", "excluded_upper",
}

// writeCSV writes one row for each assay and percent, in full precision.
// Cells that do not exist are empty.
func writeCSV(w io.Writer, f *Fits) error {
	out := csv.NewWriter(w)
	if err := out.Write(csvHeader); err != nil {
		return err
	}
	for _, a := range f.Analyses {
		common := csvCommon(a)
		for _, lc := range a.Fit.LC {
			if err := out.Write(append(common[:len(common):len(common)], csvLC(lc)...)); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

func csvCommon(a *bioassay.Analysis) []string {
	s, r := a.Assay, a.Fit
	whole := strconv.Itoa
	return []string{
		cellSafe(s.Name), cellSafe(s.Apiary), cellSafe(s.Population), s.Role.String(),
		s.CollectedOn.String(), s.TestedOn.String(), cellSafe(s.Acaricide), cellSafe(s.Protocol), cellSafe(s.Unit),
		whole(r.Containers + r.Controls), whole(r.Exposed()), whole(r.TreatedExposed), whole(r.ControlExposed), whole(r.ControlDead),
		r.Link.String(), r.Status.String(), r.Natural.Mode.String(), full(r.Natural.Estimate), full(r.Natural.StdErr),
		full(r.Intercept), full(r.InterceptStdErr), full(r.Slope), full(r.SlopeStdErr), full(r.LogLik), full(r.AIC()), full(r.Deviance),
		full(r.PearsonContainer.X2), whole(r.PearsonContainer.DF), full(r.PearsonContainer.P),
		full(r.PearsonDose.X2), whole(r.PearsonDose.DF), full(r.PearsonDose.P),
		r.Heterogeneity.Rule.String(), full(r.Heterogeneity.H), strconv.FormatBool(r.Heterogeneity.Applied),
		full(r.Level), full(r.G), bound(r.Bracket.Lower), bound(r.Bracket.Upper),
	}
}

// bound is a dose. 0 stands for no bound, or for a dose below every double.
func bound(x float64) string {
	if x == 0 {
		return ""
	}
	return full(x)
}

func csvLC(lc doseresp.LC) []string {
	excluded := doseresp.Bracket{Lower: math.NaN(), Upper: math.NaN()}
	if lc.Fiducial.Kind == doseresp.ExcludedRegion {
		excluded = lc.Fiducial.Excluded
	}
	return []string{
		full(lc.Percent), bound(lc.Estimate), full(lc.Log10SE),
		bound(lc.Fiducial.Lower), bound(lc.Fiducial.Upper), lc.Fiducial.Kind.String(),
		bound(excluded.Lower), bound(excluded.Upper),
	}
}

// cellSafe keeps a spreadsheet from running a name as a formula: a leading
// character that starts one is preceded by an apostrophe.
func cellSafe(s string) string {
	if s == "" {
		return s
	}
	switch s[0] {
	case '=', '+', '-', '@', '\t', '\r':
		return "'" + s
	}
	return s
}

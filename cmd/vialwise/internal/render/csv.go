package render

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

var csvHeader = []string{
	"file", "assay", "apiary", "population", "role", "collected_on", "tested_on", "acaricide", "protocol", "unit",
	"containers", "exposed", "treated_exposed", "control_exposed", "control_dead",
	"link", "status", "natural_mortality_mode", "natural_mortality", "natural_mortality_se",
	"intercept", "intercept_se", "slope", "slope_se", "loglik", "aic", "deviance",
	"x2_container", "df_container", "p_container", "x2_dose", "df_dose", "p_dose",
	"heterogeneity_rule", "h", "h_applied", "level", "g", "lc50_above", "lc50_below",
	"p", "lc", "log10_se", "fiducial_lower", "fiducial_upper", "fiducial_kind", "excluded_lower", "excluded_upper",
	"reported", "reported_lower", "reported_upper", "reported_from",
	"robust_lower", "robust_upper", "robust_from",
	"profile_lower", "profile_upper", "profile_kind",
	"beta_binomial_lower", "beta_binomial_upper", "beta_binomial_kind", "rho",
	"posterior_median", "posterior_lower", "posterior_upper",
	"percentile_lower", "percentile_upper", "percentile_kind", "bca_lower", "bca_upper", "bca_kind",
	"findings",
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
		for i, lc := range a.Fit.LC {
			row := append(common[:len(common):len(common)], csvLC(lc)...)
			row = append(append(row, csvFurther(a, i)...), findings(a))
			if err := out.Write(row); err != nil {
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
		cellSafe(s.File()), cellSafe(s.Name), cellSafe(s.Apiary), cellSafe(s.Population), s.Role.String(),
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

// csvFurther holds the default answer, then the sets of limits that were
// computed; the cells of the others are empty.
func csvFurther(a *bioassay.Analysis, i int) []string {
	l := &a.Limits
	r := newReportedJSON(a.Report(i))
	cells := []string{full(float64(r.Estimate)), full(float64(r.Lower)), full(float64(r.Upper)), r.From}
	robust := l.Robust[i]
	cells = append(cells, bound(robust.Lower), bound(robust.Upper), robust.From.String())
	if l.Profile == nil {
		cells = append(cells, make([]string, 7)...)
	} else {
		cells = append(cells, csvLimits(l.Profile[i])...)
		cells = append(cells, csvLimits(l.BetaBinomialProfile[i])...)
		rho := ""
		if l.BetaBinomial != nil {
			rho = full(l.BetaBinomial.Rho)
		}
		cells = append(cells, rho)
	}
	if l.Posterior == nil {
		cells = append(cells, "", "", "")
	} else {
		p := l.PosteriorLC[i]
		cells = append(cells, bound(p.Median), bound(p.Lower), bound(p.Upper))
	}
	if l.Bootstrap == nil {
		return append(cells, make([]string, 6)...)
	}
	cells = append(cells, csvLimits(l.Bootstrap.Limits[i].Percentile)...)
	return append(cells, csvLimits(l.Bootstrap.Limits[i].BCa)...)
}

func csvLimits(l doseresp.Limits) []string {
	return []string{bound(l.Lower), bound(l.Upper), l.Kind.String()}
}

// findings lists the codes of an assay's warnings.
func findings(a *bioassay.Analysis) string {
	codes := make([]string, len(a.Warnings))
	for i, w := range a.Warnings {
		codes[i] = string(w.Code)
	}
	return strings.Join(codes, " ")
}

// writeRows writes whole rows of text, the header first.
func writeRows(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	for _, row := range rows {
		for i, cell := range row {
			row[i] = cellSafe(cell)
		}
	}
	return out.WriteAll(rows)
}

// namedRows writes rows of a list by the names of their cells.
type namedRows struct {
	out    *csv.Writer
	header []string
	row    []string
	err    error // the first
}

// newNamedRows writes the header.
func newNamedRows(w io.Writer, header []string) *namedRows {
	out := csv.NewWriter(w)
	return &namedRows{out: out, header: header, err: out.Write(header)}
}

// write writes a row. Of cells of one name the last stands; a cell that none
// names is blank.
func (r *namedRows) write(cells ...map[string]string) {
	if r.err != nil {
		return
	}
	r.row = r.row[:0]
	for _, name := range r.header {
		value := ""
		for _, c := range cells {
			if v, ok := c[name]; ok {
				value = v
			}
		}
		r.row = append(r.row, cellSafe(value))
	}
	r.err = r.out.Write(r.row)
}

// end writes what is left and returns the first error of all.
func (r *namedRows) end() error {
	r.out.Flush()
	if r.err == nil {
		r.err = r.out.Error()
	}
	return r.err
}

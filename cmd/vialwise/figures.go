package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/figures"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/plots"
)

// The kinds of figures: of an assay by itself, and of its comparison with a
// baseline.
var (
	assayKinds      = []string{"curve", "link-scale", "residuals", "posterior"}
	comparisonKinds = []string{"forest", "against", "mixture"}
)

// figureFlags are those of figures beyond the flags of compare.
type figureFlags struct {
	kinds, formats []string
	wide           bool
	folder         string
}

func newFigures() *cobra.Command {
	var model fitFlags
	var compared compareFlags
	var flags figureFlags
	cmd := &cobra.Command{
		Use:   "figures FILE…",
		Short: "Draw figures for print: curves, residuals, ratios, as SVG, PDF or PNG",
		Long: `Figures fits every assay and writes its figures into a folder, each in the
formats that are asked for. The kinds curve, link-scale, residuals and posterior
are of an assay by itself; forest, against and mixture are of its comparison
with a baseline, which the tables must hold. A figure that an assay cannot have,
such as the residuals of counts without a line, is left out and named.`,
		Example: `  vialwise figures --out figures counts.csv
  vialwise figures --kind curve,residuals --file pdf,png --wide --out figures counts.csv
  vialwise figures --kind forest --file pdf --out figures counts.csv`,
		Args: needFiles("figures"),
		RunE: func(cmd *cobra.Command, files []string) error {
			formats, err := flags.check()
			if err != nil {
				return err
			}
			analysis, err := model.options("text")
			if err != nil {
				return err
			}
			analysis.Fit.Percents = []float64{50, 90}
			analysis.Limits.Posterior = analysis.Limits.Posterior || slices.Contains(flags.kinds, "posterior")
			data, programme, err := compared.baseline.read(cmd.InOrStdin(), files)
			if err != nil {
				return err
			}
			remark(cmd.ErrOrStderr(), data.warnings)
			var drawn []namedFigure
			var missing []string
			if flags.wants(assayKinds) {
				fits, err := analyse(data, analysis)
				if err != nil {
					return err
				}
				drawn, missing = flags.ofAssays(fits)
			}
			if flags.wants(comparisonKinds) {
				options, err := compared.options(analysis, programme)
				if err != nil {
					return err
				}
				compared.baseline.moribund = cmd.Flags().Changed("moribund")
				answer, err := compare(data, programme, compared.baseline, options, newProgress(cmd.ErrOrStderr(), false))
				if err != nil {
					return err
				}
				more, none := flags.ofComparisons(answer)
				drawn, missing = append(drawn, more...), append(missing, none...)
			}
			for _, m := range missing {
				fmt.Fprintf(cmd.ErrOrStderr(), "vialwise: no figure: %s\n", m)
			}
			return flags.write(drawn, formats)
		},
	}
	model.register(cmd.Flags())
	compared.register(cmd.Flags())
	cmd.Flags().StringSliceVar(&flags.kinds, "kind", []string{"curve"}, "kinds of figures, comma-separated: "+strings.Join(slices.Concat(assayKinds, comparisonKinds), ", "))
	cmd.Flags().StringSliceVar(&flags.formats, "file", []string{"svg"}, "formats of the files, comma-separated: svg, pdf, png")
	cmd.Flags().BoolVar(&flags.wide, "wide", false, "as wide as two columns of a page, 174 mm, rather than one, 85 mm")
	cmd.Flags().StringVar(&flags.folder, "out", "", "folder to write, which is made where there is none")
	return cmd
}

// check reads the flags about figures.
func (f *figureFlags) check() (formats []plots.Format, err error) {
	if f.folder == "" {
		return nil, usageError{errors.New("figures are files: name a folder for them, as in --out figures")}
	}
	all := slices.Concat(assayKinds, comparisonKinds)
	for _, kind := range f.kinds {
		if !slices.Contains(all, kind) {
			return nil, usageError{fmt.Errorf("unknown kind of figure %q; use one or more of %s", kind, strings.Join(all, ", "))}
		}
	}
	for _, name := range f.formats {
		format, err := plots.ParseFormat(name)
		if err != nil || !slices.Contains([]string{"svg", "pdf", "png"}, name) {
			return nil, usageError{fmt.Errorf("unknown format of files %q; use one or more of svg, pdf, png", name)}
		}
		formats = append(formats, format)
	}
	return formats, nil
}

func (f *figureFlags) wants(kinds []string) bool {
	return slices.ContainsFunc(f.kinds, func(k string) bool { return slices.Contains(kinds, k) })
}

// namedFigure is a figure with what it is of.
type namedFigure struct {
	name, kind string
	figure     plots.Figure
}

// sized sets the width of a figure.
func (f *figureFlags) sized(c *plots.Caption) {
	if f.wide {
		c.Width = plots.TwoColumns
	}
}

// ofAssays draws the kinds of every assay, and names those that there are not.
func (f *figureFlags) ofAssays(fits *render.Fits) (drawn []namedFigure, missing []string) {
	for _, a := range fits.Analyses {
		for _, kind := range f.kinds {
			figure, ok := f.ofAssay(a, kind)
			switch {
			case figure == nil:
			case ok:
				drawn = append(drawn, namedFigure{a.Assay.Name, kind, figure})
			default:
				missing = append(missing, fmt.Sprintf("%s of assay %q, whose counts have no line (%v)", kind, a.Assay.Name, a.Fit.Status))
			}
		}
	}
	return drawn, missing
}

// ofAssay is nil for kinds that are not of an assay by itself.
func (f *figureFlags) ofAssay(a *bioassay.Analysis, kind string) (plots.Figure, bool) {
	switch kind {
	case "curve":
		c := figures.Curve(a, "")
		f.sized(&c.Caption)
		return c, true
	case "link-scale":
		l, ok := figures.LinkScale(a, "")
		f.sized(&l.Caption)
		return l, ok
	case "residuals":
		r, ok := figures.Residuals(a, "")
		f.sized(&r.Caption)
		return r, ok
	case "posterior":
		d, ok := figures.Density(a, "")
		f.sized(&d.Caption)
		return d, ok
	}
	return nil, false
}

// ofComparisons draws the kinds of every comparison. A forest is always wide.
func (f *figureFlags) ofComparisons(c *render.Comparisons) (drawn []namedFigure, missing []string) {
	if slices.Contains(f.kinds, "forest") {
		for _, forest := range figures.Forests(c, "") {
			drawn = append(drawn, namedFigure{forest.Title, "forest", forest})
		}
	}
	var none []string
	for _, r := range c.Compared {
		name := r.Field.Assay.Name
		if slices.Contains(f.kinds, "against") {
			against := figures.Against(r, "")
			f.sized(&against.Caption)
			drawn = append(drawn, namedFigure{name, "against", against})
		}
		if slices.Contains(f.kinds, "mixture") {
			if mixture, ok := figures.Mixture(r, ""); ok {
				f.sized(&mixture.Caption)
				drawn = append(drawn, namedFigure{name, "mixture", mixture})
			} else {
				none = append(none, name)
			}
		}
	}
	if none != nil {
		missing = append(missing, fmt.Sprintf("mixture of %d of %d assays, which show no resistant part, %q the first", len(none), len(c.Compared), none[0]))
	}
	return drawn, missing
}

// write draws the figures and writes them, one after the other.
func (f *figureFlags) write(drawn []namedFigure, formats []plots.Format) error {
	if len(drawn) == 0 {
		return errors.New("there is no figure to draw")
	}
	names := make([]string, len(drawn))
	for i, d := range drawn {
		names[i] = d.name + " " + d.kind
	}
	if err := os.MkdirAll(f.folder, 0o755); err != nil {
		return fmt.Errorf("cannot write the figures: %w; choose another folder with --out", err)
	}
	for i, file := range fileNames(names) {
		for k, format := range formats {
			var b bytes.Buffer
			if err := plots.Write(&b, drawn[i].figure, format); err != nil {
				return fmt.Errorf("figure %s of %q: %w", drawn[i].kind, drawn[i].name, err)
			}
			if err := writeFile(filepath.Join(f.folder, file+"."+f.formats[k]), b.Bytes()); err != nil {
				return err
			}
		}
	}
	return nil
}

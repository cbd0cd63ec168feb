package main

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
	"vialwise/doseresp"
)

// decideFlags are those of decide.
type decideFlags struct {
	registry           registryFlags
	who                whoFlag
	by, why, programme string
}

func newDecide() *cobra.Command {
	var flags decideFlags
	cmd := &cobra.Command{
		Use:   "decide ASSAY CODE keep|discard|none",
		Short: "Record a named person's decision about a finding on a registered assay",
		Long: `Decide records in the registry what a named person decided about one finding of
check on one assay, and why. CODE is the code of the finding.

  keep      use the assay although the finding discards it; of the findings
            ` + strings.Join(liftable(), ", ") + `
  discard   rest no claim on the assay, whatever the rules say
  none      take back what was decided before

The commands that read the registry honour the decision that stands; the
findings stay visible, and every decision stays in the history.`,
		Example: `  vialwise decide N12-3 controls-failed keep --by "A. Keeper" --why "the controls stood in the sun; the treated vials did not"
  vialwise decide N14-1 not-blind discard --by "A. Keeper" --why "the reader labelled the vials"
  vialwise decide N12-3 controls-failed none --by "A. Keeper" --why "the treated vials stood there too"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			d, err := flags.decision(args)
			if err != nil {
				return err
			}
			who, err := flags.who.person()
			if err != nil {
				return err
			}
			answer, err := flags.run(cmd.Context(), d, who)
			if err != nil {
				return err
			}
			_, err = fmt.Fprintln(cmd.OutOrStdout(), answer)
			return err
		},
	}
	flags.registry.register(cmd.Flags())
	flags.who.register(cmd)
	cmd.Flags().StringVar(&flags.by, "by", "", "person who decided and answers for it")
	cmd.Flags().StringVar(&flags.why, "why", "", "reason of the decision")
	cmd.Flags().StringVar(&flags.programme, "programme", "", "TOML file with the programme's own protocols and rule sets, by which to say what follows")
	return cmd
}

func liftable() (codes []string) {
	for _, c := range bioassay.Liftable() {
		codes = append(codes, string(c))
	}
	return codes
}

// findingCode is what the code of a finding looks like.
var findingCode = regexp.MustCompile("^[a-z]+(-[a-z]+)*$")

// decision reads the command line.
func (f *decideFlags) decision(args []string) (d registry.Decision, err error) {
	fail := func(format string, a ...any) (registry.Decision, error) {
		return d, usageError{fmt.Errorf(format, a...)}
	}
	if len(args) != 3 {
		return fail("decide needs an assay, the code of a finding and a verdict, as in: vialwise decide N12-3 controls-failed keep --by NAME --why TEXT")
	}
	d = registry.Decision{Assay: args[0], Code: bioassay.WarningCode(args[1]), Verdict: registry.Verdict(args[2]), By: strings.TrimSpace(f.by), Why: strings.TrimSpace(f.why)}
	switch {
	case !slices.Contains([]registry.Verdict{registry.Keep, registry.Discard, registry.NoVerdict}, d.Verdict):
		return fail("verdict %q: use keep, discard or none", d.Verdict)
	case !findingCode.MatchString(args[1]):
		return fail("%q is not the code of a finding; vialwise check shows them, such as controls-failed", args[1])
	case d.Verdict == registry.Keep && !slices.Contains(bioassay.Liftable(), d.Code):
		return fail("no decision can lift the finding %q; keep is for %s", d.Code, strings.Join(liftable(), ", "))
	case d.By == "" || d.Why == "":
		return fail("a decision needs the person who answers for it and the reason: --by NAME --why TEXT")
	}
	return d, nil
}

// run records the decision and says what follows from it.
func (f *decideFlags) run(ctx context.Context, d registry.Decision, who string) (answer string, err error) {
	programme, err := loadProgramme(f.programme)
	if err != nil {
		return "", err
	}
	r, err := f.registry.open(registry.Options{Who: who})
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	event, err := r.Decide(ctx, d, who)
	if err != nil {
		return "", err
	}
	answer = "Nothing was written: that is what stands already."
	if event != nil {
		answer = fmt.Sprintf("Event %d: assay %q, finding %s: %s, decided by %s.", event.ID, d.Assay, d.Code, d.Verdict, shown(d.By))
	}
	decisions, err := r.Decisions(ctx)
	if err != nil {
		return "", err
	}
	for e, err := range r.Assays(ctx, registry.Filter{Names: []string{d.Assay}}) {
		if err != nil {
			return "", err
		}
		answer += " " + standingOf(e.Assay, programmeWith(programme, decisions))
	}
	return answer, nil
}

// standingOf says in words whether a claim may rest on an assay, as far as the
// assay by itself tells.
func standingOf(a bioassay.Assay, p *bioassay.Programme) string {
	v := p.Judge(a, plainAnalysis(a, p))
	words := "A claim may rest on the assay."
	if !v.Usable {
		var reasons []string
		for _, f := range v.Reasons {
			reasons = append(reasons, string(f.Code)+": "+f.Message)
		}
		words = "No claim rests on the assay: " + strings.Join(reasons, "; ") + "."
	}
	for _, f := range v.Findings {
		if f.Code == bioassay.IdleOverride {
			words += " Note that " + f.Message + "; " + f.Cure + "."
		}
	}
	return shown(words)
}

// plainAnalysis fits the line that some findings look at, nil where none can be
// fitted.
func plainAnalysis(a bioassay.Assay, p *bioassay.Programme) *bioassay.Analysis {
	out := &bioassay.Analysis{Assay: a, Fit: new(doseresp.Result)}
	if protocol, ok := p.Protocol(a.Protocol); ok {
		out.Moribund = protocol.Moribund
	}
	var fitter doseresp.Fitter
	if err := fitter.Fit(a.Counts(out.Moribund), doseresp.Options{Percents: []float64{50}}, out.Fit); err != nil {
		return nil
	}
	return out
}

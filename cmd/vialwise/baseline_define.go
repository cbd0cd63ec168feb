package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
	"vialwise/bioassay/tables"
	"vialwise/cmd/vialwise/internal/render"
)

// defineFlags choose the assays of a baseline.
type defineFlags struct {
	registry                   registryFlags
	who                        whoFlag
	note, acaricide, programme string
	assays                     []string
}

func newBaselineDefine() *cobra.Command {
	var output outputFlags
	var flags defineFlags
	cmd := &cobra.Command{
		Use:   "define NAME [FILE…]",
		Short: "Define the next version of a named baseline from registered assays",
		Long: `Define makes the next version of a named baseline in the registry. Its assays are
those that --assays names, those of susceptible mites in the files named (all of
a file where none has the role baseline), or else all registered ones with that
role, of one acaricide where --acaricide names it. They must be registered, agree
in acaricide, protocol, unit, exposure and reading time, and be usable by the
quality rules and the decisions recorded.

A version is tied to the counts as they are now. When an assay of it is amended
the version stays what it was, is listed as outdated, and can be defined again.
Where the newest version says the same already, nothing is written.`,
		Example: `  vialwise baseline define reference-amitraz --acaricide amitraz
  vialwise baseline define reference --assays S1-2031,S2-2031 --note "two isolated islands"
  vialwise baseline define reference susceptible-2031.csv`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 || strings.TrimSpace(args[0]) == "" {
				return usageError{errors.New("define needs the name of the baseline, as in: vialwise baseline define reference --assays S1,S2")}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := errors.Join(output.check(args[1:]...), flags.registry.spare(&output), flags.check(args[1:])); err != nil {
				return err
			}
			who, err := flags.who.person()
			if err != nil {
				return err
			}
			answer, err := flags.run(cmd, args[0], args[1:], who, output.quiet)
			if err != nil {
				return err
			}
			return output.deliver(cmd.OutOrStdout(), func(w io.Writer) error { return render.WriteRecord(w, answer, output.format) })
		},
	}
	output.register(cmd)
	flags.registry.register(cmd.Flags())
	flags.who.register(cmd)
	cmd.Flags().StringSliceVar(&flags.assays, "assays", nil, "names of registered assays, comma-separated")
	cmd.Flags().StringVar(&flags.acaricide, "acaricide", "", "take the registered assays of susceptible mites of this acaricide")
	cmd.Flags().StringVar(&flags.note, "note", "", "remark that is kept with the version")
	cmd.Flags().StringVar(&flags.programme, "programme", "", "TOML file with the programme's own protocols, rule sets and overrides")
	return cmd
}

func (f *defineFlags) check(files []string) error {
	ways := 0
	for _, given := range []bool{len(f.assays) > 0, len(files) > 0, f.acaricide != ""} {
		if given {
			ways++
		}
	}
	if ways > 1 {
		return usageError{errors.New("choose the assays in one way: --assays, files, or --acaricide")}
	}
	return nil
}

func (f *defineFlags) run(cmd *cobra.Command, name string, files []string, who string, quiet bool) (out *render.Record, err error) {
	programme, err := loadProgramme(f.programme)
	if err != nil {
		return nil, err
	}
	r, err := f.registry.open(registry.Options{Who: who})
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	assays, err := f.choose(cmd, r, files)
	if err != nil {
		return nil, err
	}
	if err := f.fit(cmd.Context(), r, assays, programme); err != nil {
		return nil, err
	}
	names := make([]string, len(assays))
	for i, a := range assays {
		names[i] = a.Name
		if a.Role != bioassay.RoleBaseline && !quiet {
			fmt.Fprintf(cmd.ErrOrStderr(), "vialwise: assay %q has the role field; it stands in the baseline because you named it\n", a.Name)
		}
	}
	b, err := r.DefineBaseline(cmd.Context(), name, names, f.note, who)
	if err != nil {
		return nil, err
	}
	return &render.Record{Version: version, Registry: f.registry.name(), Baselines: []registry.Baseline{*b}}, nil
}

// choose returns the registered assays that the command line means.
func (f *defineFlags) choose(cmd *cobra.Command, r *registry.Registry, files []string) ([]bioassay.Assay, error) {
	filter := registry.Filter{Names: f.assays, Roles: []bioassay.Role{bioassay.RoleBaseline}}
	if f.acaricide != "" {
		filter.Acaricides = []string{f.acaricide}
	}
	if len(f.assays) > 0 {
		filter.Roles = nil
	}
	if len(files) > 0 {
		named, err := namesIn(cmd, r, files)
		if err != nil {
			return nil, err
		}
		filter = registry.Filter{Names: named}
	}
	assays, err := registered(cmd.Context(), r, filter)
	if err != nil {
		return nil, err
	}
	if len(assays) == 0 && len(filter.Names) == 0 {
		return nil, fmt.Errorf("registry %q has no such assay whose role is baseline; import the counts of susceptible mites with baseline in the column role, or name assays with --assays", r.Path())
	}
	return assays, allThere(assays, filter.Names)
}

// registered returns the assays that pass a filter.
func registered(ctx context.Context, r *registry.Registry, filter registry.Filter) (assays []bioassay.Assay, err error) {
	for e, err := range r.Assays(ctx, filter) {
		if err != nil {
			return nil, err
		}
		assays = append(assays, e.Assay)
	}
	return assays, nil
}

// allThere reports names that are not registered.
func allThere(assays []bioassay.Assay, names []string) error {
	known := map[string]bool{}
	for _, a := range assays {
		known[a.Name] = true
	}
	var missing []error
	for _, n := range names {
		if !known[n] {
			missing = append(missing, fmt.Errorf("assay %q is not registered; upper and lower case differ", n))
			known[n] = true
		}
	}
	return errors.Join(missing...)
}

// namesIn returns the names of the assays of susceptible mites in count tables,
// which must be registered with the same counts.
func namesIn(cmd *cobra.Command, r *registry.Registry, files []string) (names []string, err error) {
	for _, file := range files {
		table, result, err := comparedFile(cmd, r, file)
		if err != nil {
			return nil, err
		}
		if result.New+result.Changed > 0 {
			return nil, fmt.Errorf("%s is not registered as it stands; import it first, with: vialwise import %[1]s", render.ShownInput(shown(file)))
		}
		names = append(names, susceptible(table.Assays)...)
	}
	return names, nil
}

// comparedFile reads a count table and compares it with the record.
func comparedFile(cmd *cobra.Command, r *registry.Registry, file string) (*tables.Table, *registry.ImportResult, error) {
	in, err := openInput(cmd.InOrStdin(), file)
	if err != nil {
		return nil, nil, err
	}
	defer in.close()
	table, err := tables.Read(shown(file), in.content)
	if err != nil {
		return nil, nil, err
	}
	source, err := in.source(file)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", shown(file), err)
	}
	result, err := r.Import(cmd.Context(), table, source, registry.ImportOptions{DryRun: true})
	return table, result, err
}

// susceptible are the names of the assays whose role is baseline, or of all
// where none has it.
func susceptible(assays []bioassay.Assay) (names []string) {
	var all []string
	for _, a := range assays {
		all = append(all, a.Name)
		if a.Role == bioassay.RoleBaseline {
			names = append(names, a.Name)
		}
	}
	if names == nil {
		return all
	}
	return names
}

// fit refuses assays that cannot stand together, or that are discarded.
func (f *defineFlags) fit(ctx context.Context, r *registry.Registry, assays []bioassay.Assay, programme *bioassay.Programme) error {
	if groups := bioassay.GroupBaselines(assays); len(groups) > 1 {
		var kinds []string
		for _, g := range groups {
			kinds = append(kinds, fmt.Sprintf("%s (%s)", kindOf(g[0]), bioassay.Plural(len(g), "assay")))
		}
		return fmt.Errorf("these assays do not stand together: %s; define one baseline for each, with --assays or --acaricide", strings.Join(kinds, "; "))
	}
	decisions, err := r.Decisions(ctx)
	if err != nil {
		return err
	}
	_, discarded := judge(assays, programmeWith(programme, decisions)).usable(assays)
	if len(discarded) == 0 {
		return nil
	}
	return errors.Join(refusals(discarded), errors.New("no baseline was defined; leave these assays out, or record a decision with vialwise decide"))
}

// kindOf says what an assay tests and how.
func kindOf(a bioassay.Assay) string {
	var parts []string
	for _, p := range []string{a.Acaricide, a.Protocol, a.Unit} {
		if p != "" {
			parts = append(parts, shown(p))
		}
	}
	return strings.Join(parts, ", ")
}

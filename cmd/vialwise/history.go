package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"vialwise/bioassay/registry"
	"vialwise/cmd/vialwise/internal/render"
)

// historyFlags choose a part of the history.
type historyFlags struct {
	registry registryFlags
	event    int64
	assay    string
}

func newHistory() *cobra.Command {
	var output outputFlags
	var flags historyFlags
	cmd := &cobra.Command{
		Use:   "history",
		Short: "Show who changed what in the registry, when and why",
		Long: `History lists every change of the registry: who made it, when, from which file
and why. With --event it shows one of them and the values that it amended, with
--assay every version of one assay, counts included, and the decisions about it.`,
		Example: `  vialwise history
  vialwise history --event 12
  vialwise history --assay N7-amitraz-2031
  vialwise history --format csv --out history.csv`,
		Args: noFiles("history", "--assay NAME shows one assay"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := errors.Join(output.check(), flags.registry.spare(&output)); err != nil {
				return err
			}
			given := func(name string) bool { return cmd.Flags().Changed(name) }
			switch {
			case given("event") && given("assay"):
				return usageError{errors.New("--event and --assay do not go together; ask one after the other")}
			case given("event") && flags.event < 1:
				return usageError{fmt.Errorf("event %d: events are numbered from 1", flags.event)}
			}
			answer, err := flags.run(cmd.Context())
			if err != nil {
				return err
			}
			return output.deliver(cmd.OutOrStdout(), func(w io.Writer) error { return render.WriteRecord(w, answer, output.format) })
		},
	}
	output.register(cmd)
	flags.registry.register(cmd.Flags())
	cmd.Flags().Int64Var(&flags.event, "event", 0, "number of one event, to see what it changed")
	cmd.Flags().StringVar(&flags.assay, "assay", "", "name of one assay, to see all its versions")
	return cmd
}

func (f *historyFlags) run(ctx context.Context) (*render.Record, error) {
	r, err := f.registry.read()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	out := &render.Record{Version: version, Registry: f.registry.name()}
	events, err := r.History(ctx)
	if err != nil {
		return nil, err
	}
	switch {
	case f.assay != "":
		err = f.versions(ctx, r, events, out)
	case f.event > 0:
		err = f.one(ctx, r, events, out)
	default:
		out.Events = append([]registry.Event{}, events...)
	}
	return out, err
}

// one looks up an event with what it changed, decided or defined.
func (f *historyFlags) one(ctx context.Context, r *registry.Registry, events []registry.Event, out *render.Record) error {
	i := slices.IndexFunc(events, func(e registry.Event) bool { return e.ID == f.event })
	if i < 0 {
		return fmt.Errorf("there is no event %d; the history of registry %q has %d, and vialwise history lists them", f.event, f.registry.file(), len(events))
	}
	out.Events = events[i : i+1]
	changes, err := r.Changes(ctx, f.event)
	if err != nil {
		return err
	}
	out.Changes = append([]registry.Change{}, changes...)
	decisions, err := r.AllDecisions(ctx)
	if err != nil {
		return err
	}
	out.Decisions = slices.DeleteFunc(decisions, func(d registry.Decision) bool { return d.Event != f.event })
	baselines, err := r.Baselines(ctx)
	out.Baselines = slices.DeleteFunc(baselines, func(b registry.Baseline) bool { return b.Event != f.event })
	return err
}

// versions looks up an assay with the decisions about it.
func (f *historyFlags) versions(ctx context.Context, r *registry.Registry, events []registry.Event, out *render.Record) error {
	by := map[int64]registry.Event{}
	for _, e := range events {
		by[e.ID] = e
	}
	for e, err := range r.Versions(ctx, f.assay) {
		if err != nil {
			return err
		}
		out.Versions = append(out.Versions, render.RecordedVersion{Entry: e, By: by[e.Event]})
	}
	if out.Versions == nil {
		return fmt.Errorf("there is no assay %q in registry %q; upper and lower case differ", f.assay, f.registry.file())
	}
	decisions, err := r.AllDecisions(ctx)
	out.Decisions = slices.DeleteFunc(decisions, func(d registry.Decision) bool { return d.Assay != out.Versions[0].Name })
	return err
}

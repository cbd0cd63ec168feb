package main

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"path/filepath"
	"strconv"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
	"vialwise/bioassay/track"
	"vialwise/cmd/vialwise/internal/render"
)

// registrySource are the counts of a registry.
type registrySource struct {
	ctx      context.Context
	registry *registry.Registry
	rules    *bioassay.Programme // with the decisions of the registry
	places   []bioassay.Apiary
	flags    baselineFlags
	used     map[string]bool // names of baseline assays
	decided  map[string]bool // names of assays that decisions are about
	state    *render.RegistryState
	total    int
}

func newRegistrySource(ctx context.Context, f *trackFlags) (s *registrySource, err error) {
	programme, err := loadProgramme(f.compare.baseline.programme)
	if err != nil {
		return nil, err
	}
	if (f.compare.baseline.between != 0) != (f.compare.baseline.source != "") {
		return nil, usageError{errors.New("--between-sd and --between-source belong together: a number needs its source")}
	}
	r, err := f.registry.read()
	if err != nil {
		return nil, err
	}
	s = &registrySource{ctx: ctx, registry: r, rules: programme, flags: f.compare.baseline, used: map[string]bool{}, decided: map[string]bool{}}
	if err := s.read(); err != nil {
		r.Close()
		return nil, err
	}
	return s, nil
}

// read reads all but the assays.
func (s *registrySource) read() (err error) {
	if s.places, err = s.registry.Apiaries(s.ctx); err != nil {
		return err
	}
	decisions, err := s.registry.Decisions(s.ctx)
	if err != nil {
		return err
	}
	s.rules = programmeWith(s.rules, decisions)
	for _, o := range s.rules.Overrides {
		s.decided[o.Assay] = true
	}
	events, err := s.registry.History(s.ctx)
	if err != nil {
		return err
	}
	s.state = registryState(s.registry.Path(), events)
	s.total, err = s.registry.CountAssays(s.ctx, registry.Filter{})
	return err
}

func (s *registrySource) programme() *bioassay.Programme { return s.rules }
func (s *registrySource) apiaries() []bioassay.Apiary    { return s.places }
func (s *registrySource) close()                         { s.registry.Close() }
func (s *registrySource) describe(t *render.Tracks)      { t.Registry = s.state }

// baselines builds the newest version of every defined baseline, or the one that
// was asked for, and for what they do not cover those of the assays whose role is
// baseline.
func (s *registrySource) baselines(o bioassay.CompareOptions) ([]track.Reference, error) {
	defined, err := s.chosen()
	if err != nil {
		return nil, err
	}
	var out []track.Reference
	for _, d := range defined {
		r, err := s.defined(d, o)
		if err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	if s.flags.name != "" {
		return out, nil
	}
	rest, err := s.uncovered(out)
	if err != nil {
		return nil, err
	}
	if len(rest) == 0 {
		if len(out) == 0 {
			return nil, fmt.Errorf("%w: no assay in the registry has the role baseline; import the counts of susceptible mites with baseline in the column role", bioassay.ErrNoBaseline)
		}
		return out, nil
	}
	own := s.flags
	own.name = ""
	baselines, _, _, err := own.build(judge(rest, s.rules), s.rules, o)
	if err != nil {
		if len(out) > 0 && errors.Is(err, bioassay.ErrNoBaseline) {
			return out, nil
		}
		return nil, err
	}
	return append(out, unversioned(baselines)...), nil
}

// chosen are the definitions to use: the newest version of each name, or the one
// that the command line names.
func (s *registrySource) chosen() ([]registry.Baseline, error) {
	if s.flags.name != "" {
		name, version, err := baselineVersion(s.flags.name)
		if err != nil {
			return nil, err
		}
		b, err := s.registry.Baseline(s.ctx, name, version)
		if errors.Is(err, registry.NoSuchEntry) {
			return nil, errors.Join(err, s.others())
		}
		if err != nil {
			return nil, err
		}
		return []registry.Baseline{*b}, nil
	}
	all, err := s.registry.Baselines(s.ctx)
	if err != nil {
		return nil, err
	}
	var newest []registry.Baseline
	for i, b := range all {
		if i == len(all)-1 || all[i+1].Name != b.Name {
			newest = append(newest, b)
		}
	}
	return newest, nil
}

// others tells which baselines could have been named.
func (s *registrySource) others() error {
	all, err := s.registry.Baselines(s.ctx)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		return errors.New("no baseline is defined in it; leave --baseline out, which takes the assays whose role is baseline, or define one with: vialwise baseline define NAME")
	}
	names := map[string]bool{}
	for _, b := range all {
		names[fmt.Sprintf("%s@%d", b.Name, b.Version)] = true
	}
	return fmt.Errorf("it has %s", someOf(names))
}

// defined builds a baseline from the counts that its version is tied to.
func (s *registrySource) defined(d registry.Baseline, o bioassay.CompareOptions) (track.Reference, error) {
	var assays []bioassay.Assay
	for e, err := range s.registry.BaselineAssays(s.ctx, d.Name, d.Version) {
		if err != nil {
			return track.Reference{}, err
		}
		assays = append(assays, e.Assay)
		s.used[e.Name] = true
	}
	options := bioassay.BaselineOptions{Analysis: o.Analysis}
	options.Analysis.Fit.Percents = baselinePercents(o)
	options.Analysis.Moribund = s.flags.moribundOf(assays[0], s.rules, o.Analysis.Moribund)
	if s.flags.between != 0 {
		options.BetweenSD, options.BetweenSource = bioassay.Known(s.flags.between), s.flags.source
	}
	b, err := bioassay.BuildBaseline(d.Name, assays, options)
	if err != nil {
		return track.Reference{}, fmt.Errorf("baseline %s, version %d: %w", d.Name, d.Version, err)
	}
	return track.Reference{Baseline: b, Version: d.Version, Outdated: d.Outdated}, nil
}

// uncovered are the assays of susceptible mites that no defined baseline could
// stand for.
func (s *registrySource) uncovered(defined []track.Reference) (rest []bioassay.Assay, err error) {
	for e, err := range s.registry.Assays(s.ctx, registry.Filter{Roles: []bioassay.Role{bioassay.RoleBaseline}}) {
		if err != nil {
			return nil, err
		}
		s.used[e.Name] = true
		covered := false
		for _, d := range defined {
			_, mismatch := bioassay.Comparable(e.Assay, d.Example())
			covered = covered || mismatch == nil
		}
		if !covered {
			rest = append(rest, e.Assay)
		}
	}
	return rest, nil
}

func (s *registrySource) fields() (iter.Seq2[track.Entry, error], int) {
	rules := rulesKey(s.rules)
	return func(yield func(track.Entry, error) bool) {
		for e, err := range s.registry.Heads(s.ctx, registry.Filter{}) {
			if err != nil {
				yield(track.Entry{}, err)
				return
			}
			if s.used[e.Name] || e.Role == bioassay.RoleBaseline {
				continue
			}
			field := track.Entry{Assay: e.Assay, Origin: bioassay.Origin{File: e.File}, Number: e.Revision, Key: entryKey(e), Rules: rules}
			if s.decided[e.Name] {
				field.Rules = ""
			}
			if !yield(field, nil) {
				return
			}
		}
	}, s.total
}

func (s *registrySource) counts(fields []*track.Entry) error {
	entries := make([]*registry.Entry, len(fields))
	for i, e := range fields {
		entries[i] = &registry.Entry{Assay: e.Assay, Revision: e.Number, File: e.Origin.File}
	}
	if err := s.registry.Fill(s.ctx, entries); err != nil {
		return err
	}
	for i, e := range fields {
		e.Assay = entries[i].Assay
	}
	return nil
}

// discarded says why no claim may rest on an assay: a quality rule that no recorded
// decision lifts, or a decision against it.
func (s *registrySource) discarded(a bioassay.Assay) string {
	v := s.rules.Judge(a, nil)
	var reasons []string
	for _, f := range v.Reasons {
		reasons = append(reasons, fmt.Sprintf("%s: %s; %s", f.Code, f.Message, f.Cure))
	}
	return strings.Join(reasons, "; ")
}

// baselineVersion parts the name of a baseline from the version after an @, 0
// for the newest.
func baselineVersion(text string) (name string, version int, err error) {
	i := strings.LastIndex(text, "@")
	if i < 0 {
		return text, 0, nil
	}
	version, err = strconv.Atoi(text[i+1:])
	if err != nil || version < 1 {
		return "", 0, usageError{fmt.Errorf("baseline %q: after the @ stands the number of a version, from 1", text)}
	}
	return text[:i], version, nil
}

// registryState is the registry as results name it.
func registryState(path string, events []registry.Event) *render.RegistryState {
	state := &render.RegistryState{File: filepath.Base(path)}
	if n := len(events); n > 0 {
		state.Events, state.Head = events[n-1].ID, events[n-1].Hash
	}
	return state
}

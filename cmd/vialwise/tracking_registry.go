package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"strings"
	"sync"

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
	s = &registrySource{ctx: ctx, registry: r, rules: programme, flags: f.compare.baseline, used: map[string]bool{}}
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
	return func(yield func(track.Entry, error) bool) {
		for e, err := range s.registry.Assays(s.ctx, registry.Filter{}) {
			if err != nil {
				yield(track.Entry{}, err)
				return
			}
			if s.used[e.Name] || e.Role == bioassay.RoleBaseline {
				continue
			}
			if !yield(track.Entry{Assay: e.Assay, Key: entryKey(e)}, nil) {
				return
			}
		}
	}, s.total
}

// entryKey stands for all of an assay that a result depends on.
func entryKey(e registry.Entry) string {
	return hashOf(e.Content, e.Acaricide, e.Protocol, e.Unit, fmt.Sprint(e.ExposureHours, e.ReadingHours))
}

func hashOf(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d:%s", len(p), p)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// settingsKey stands for the options and baselines of a run.
func settingsKey(o bioassay.CompareOptions, references []track.Reference) string {
	parts := []string{fmt.Sprintf("%+v %v %v", o.Analysis.Fit, o.Analysis.Moribund, o.LeastFold)}
	if p := o.Analysis.Priors; p != nil {
		parts = append(parts, fmt.Sprintf("%+v", *p))
	}
	if b := o.Bands; b != nil {
		parts = append(parts, fmt.Sprintf("%+v", *b))
	}
	for _, r := range references {
		parts = append(parts, r.Name, fmt.Sprint(r.BetweenSD))
		for _, a := range r.Assays {
			parts = append(parts, a.Assay.Name, fmt.Sprint(a.Moribund, a.Assay.Unit, a.Assay.Counts(a.Moribund)))
		}
	}
	return hashOf(parts...)
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

// store keeps results in the registry, unless it may only be read.
func (s *registrySource) store(settings string) track.Store {
	software, err := softwareKey()
	if err != nil {
		return nil // nothing is kept by a program that cannot tell its version
	}
	return &resultStore{s.ctx, s.registry, settings, software}
}

// softwareKey tells one build of the program from another: results of a build
// that computed otherwise must not be found.
var softwareKey = sync.OnceValues(func() (string, error) {
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return version + " " + hex.EncodeToString(h.Sum(nil)), nil
})

// resultStore is the track.Store of a registry.
type resultStore struct {
	ctx                context.Context
	registry           *registry.Registry
	settings, software string
}

// Find returns what was kept. A value that cannot be read is computed anew.
func (s *resultStore) Find(keys []string) (map[string]*bioassay.Brief, error) {
	found, err := s.registry.Results(s.ctx, s.settings, s.software, keys)
	if err != nil {
		return nil, err
	}
	out := make(map[string]*bioassay.Brief, len(found))
	for key, value := range found {
		b := new(bioassay.Brief)
		if b.UnmarshalBinary(value) == nil {
			out[key] = b
		}
	}
	return out, nil
}

// Keep keeps results. A registry that cannot be written to has done its work
// without.
func (s *resultStore) Keep(results map[string]*bioassay.Brief) error {
	var out []registry.Result
	for key, b := range results {
		value, err := b.MarshalBinary()
		if err != nil {
			return err
		}
		out = append(out, registry.Result{Input: key, Value: value})
	}
	err := s.registry.KeepResults(s.ctx, s.settings, s.software, out)
	if errors.Is(err, registry.NotWritable) || errors.Is(err, registry.DiskFull) || errors.Is(err, registry.Busy) {
		return nil
	}
	return err
}

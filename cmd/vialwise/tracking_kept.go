package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"sync"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
	"vialwise/bioassay/track"
)

// entryKey stands for all of an assay that a result depends on.
func entryKey(e registry.Entry) string {
	return hashOf(e.Content, e.Acaricide, e.Protocol, e.Unit, fmt.Sprint(e.ExposureHours, e.ReadingHours))
}

func hashOf(parts ...string) string {
	sum := sumOf(parts...)
	return hex.EncodeToString(sum[:])
}

func sumOf(parts ...string) [sha256.Size]byte {
	var text []byte
	for _, p := range parts {
		text = append(strconv.AppendInt(text, int64(len(p)), 10), ':')
		text = append(text, p...)
	}
	return sha256.Sum256(text)
}

// rulesKey stands for the rules of a programme, but for its decisions on single
// assays.
func rulesKey(p *bioassay.Programme) string {
	sum := sumOf(p.Digest)
	return string(sum[:])
}

// settingsKey stands for the options and baselines of a run, but for the LCp of its
// comparisons: a Brief is about LC50 and the bands, whatever else was asked for.
func settingsKey(o bioassay.CompareOptions, references []track.Reference) string {
	o.Analysis.Fit.Percents = nil
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

// store keeps results in the registry, unless it may only be read.
func (s *registrySource) store(settings string) track.Store {
	software, err := softwareKey()
	if err != nil {
		return nil // nothing is kept by a program that cannot tell its version
	}
	return &resultStore{ctx: s.ctx, registry: s.registry, settings: settings, software: software}
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
	alone              bool // results of other builds have been forgotten
}

// Find returns what was kept. A value that cannot be read is computed anew.
func (s *resultStore) Find(keys []string) (map[string]track.Kept, error) {
	found, err := s.registry.Results(s.ctx, s.settings, s.software, keys)
	if err != nil {
		return nil, err
	}
	out := make(map[string]track.Kept, len(found))
	for key, value := range found {
		if k, ok := decodeKept(value); ok {
			out[key] = k
		}
	}
	return out, nil
}

// encodeKept writes the length of the key of the rules, that key and the Brief.
func encodeKept(k track.Kept) ([]byte, error) {
	brief, err := k.Brief.MarshalBinary()
	return slices.Concat([]byte{byte(len(k.Rules))}, []byte(k.Rules), brief), err
}

// decodeKept reads what encodeKept wrote.
func decodeKept(value []byte) (track.Kept, bool) {
	if len(value) == 0 || len(value) <= int(value[0]) {
		return track.Kept{}, false
	}
	brief := 1 + int(value[0])
	k := track.Kept{Brief: new(bioassay.Brief), Rules: string(value[1:brief])}
	return k, k.Brief.UnmarshalBinary(value[brief:]) == nil
}

// Keep keeps results. A registry that cannot be written to has done its work
// without.
func (s *resultStore) Keep(results map[string]track.Kept) error {
	var out []registry.Result
	for key, k := range results {
		value, err := encodeKept(k)
		if err != nil {
			return err
		}
		out = append(out, registry.Result{Input: key, Value: value})
	}
	err := s.keep(out)
	if errors.Is(err, registry.NotWritable) || errors.Is(err, registry.DiskFull) || errors.Is(err, registry.Busy) {
		return nil
	}
	return err
}

// keep keeps results beside none of other builds.
func (s *resultStore) keep(results []registry.Result) error {
	if !s.alone {
		if err := s.registry.ForgetResults(s.ctx, s.software); err != nil {
			return err
		}
		s.alone = true
	}
	return s.registry.KeepResults(s.ctx, s.settings, s.software, results)
}

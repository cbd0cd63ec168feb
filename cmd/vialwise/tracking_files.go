package main

import (
	"errors"
	"io"
	"iter"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
	"vialwise/bioassay/track"
	"vialwise/cmd/vialwise/internal/render"
)

// fileSource are count tables with a table of apiaries.
type fileSource struct {
	data     *counts
	rules    *bioassay.Programme
	places   []bioassay.Apiary
	judged   *judged
	flags    baselineFlags
	compared []bioassay.Assay
	reasons  map[*bioassay.Container]string
}

func newFileSource(f *trackFlags, stdin io.Reader, files []string) (*fileSource, error) {
	if f.registry.path != "" {
		return nil, usageError{errors.New("count tables and --registry cannot be tracked together; import the tables first")}
	}
	data, programme, err := f.compare.baseline.read(stdin, files)
	if err != nil {
		return nil, err
	}
	places := new(tables.ApiaryTable)
	if f.apiaries != "" {
		if places, err = tables.ReadApiariesFile(f.apiaries); err != nil {
			return nil, err
		}
	}
	return fileSourceOf(f, data, programme, places), nil
}

// fileSourceOf is the source of tables that were read.
func fileSourceOf(f *trackFlags, data *counts, programme *bioassay.Programme, places *tables.ApiaryTable) *fileSource {
	data.warnings = append(data.warnings, places.Warnings...)
	return &fileSource{
		data: data, rules: programme, flags: f.compare.baseline, places: places.Apiaries,
		judged: judge(data.assays, programme), reasons: map[*bioassay.Container]string{},
	}
}

func (s *fileSource) programme() *bioassay.Programme { return s.rules }
func (s *fileSource) apiaries() []bioassay.Apiary    { return s.places }
func (s *fileSource) store(string) track.Store       { return nil }
func (s *fileSource) counts([]*track.Entry) error    { return nil }
func (s *fileSource) close()                         {}

func (s *fileSource) baselines(o bioassay.CompareOptions) ([]track.Reference, error) {
	baselines, fields, refused, err := s.flags.build(s.judged, s.rules, o)
	if err != nil {
		return nil, err
	}
	s.compared = fields
	for _, r := range refused {
		if r.Assay.Role != bioassay.RoleBaseline && len(r.Assay.Containers) > 0 {
			s.compared = append(s.compared, r.Assay)
			s.reasons[&r.Assay.Containers[0]] = r.Err.Error()
		}
	}
	return unversioned(baselines), nil
}

// unversioned are baselines that no registry has defined.
func unversioned(baselines []*bioassay.Baseline) (out []track.Reference) {
	for _, b := range baselines {
		out = append(out, track.Reference{Baseline: b})
	}
	return out
}

func (s *fileSource) fields() (iter.Seq2[track.Entry, error], int) {
	return func(yield func(track.Entry, error) bool) {
		for _, a := range s.compared {
			e := track.Entry{Assay: a}
			if len(a.Containers) > 0 {
				e.Origin = a.Containers[0].Source
			}
			if !yield(e, nil) {
				return
			}
		}
	}, len(s.compared)
}

func (s *fileSource) discarded(a bioassay.Assay) string {
	if len(a.Containers) == 0 {
		return ""
	}
	return s.reasons[&a.Containers[0]]
}

func (s *fileSource) describe(t *render.Tracks) {
	t.Inputs, t.Reading = s.data.inputs, s.data.warnings
}

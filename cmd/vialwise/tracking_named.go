package main

import (
	"iter"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
)

// named reads the counts of a part of the assays again: a hundred thousand take
// seconds.
func (s *registrySource) named(names []string) iter.Seq2[bioassay.Assay, error] {
	return func(yield func(bioassay.Assay, error) bool) {
		if len(names) == 0 {
			return // a filter without a name lets all pass
		}
		for e, err := range s.registry.Assays(s.ctx, registry.Filter{Names: names}) {
			if !yield(e.Assay, err) {
				return
			}
		}
	}
}

// named leaves none out: they are in memory.
func (s *fileSource) named([]string) iter.Seq2[bioassay.Assay, error] {
	return func(yield func(bioassay.Assay, error) bool) {
		for _, a := range s.compared {
			if !yield(a, nil) {
				return
			}
		}
	}
}

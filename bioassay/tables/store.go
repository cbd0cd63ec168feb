package tables

import "vialwise/bioassay"

// store holds the containers of a table while it is read, in blocks, so that a
// table of a million rows is neither copied nor given room it does not use. The
// rows of an assay that stand together stay where they are; an assay whose rows
// stand apart gets a place of its own, which grows in small steps.
type store struct {
	block []bioassay.Container // room for the next rows
}

const (
	storeBlock = 1024 // containers
	leastStep  = 8    // by which a place of its own grows, or an eighth
)

// rows are the containers of one assay.
type rows struct {
	run []bioassay.Container // in a block
	own []bioassay.Container // instead, once they stand apart
}

// add appends a container to the rows of an assay.
func (s *store) add(r *rows, c bioassay.Container) {
	if r.own == nil && s.extend(r, c) {
		return
	}
	if r.own == nil {
		r.own, r.run = append(make([]bioassay.Container, 0, len(r.run)+leastStep), r.run...), nil
	}
	if n := len(r.own); n == cap(r.own) {
		r.own = append(make([]bioassay.Container, 0, n+max(leastStep, n/8)), r.own...)
	}
	r.own = append(r.own, c)
}

// extend puts a container into the block, unless other rows stand between it
// and those of its assay.
func (s *store) extend(r *rows, c bioassay.Container) bool {
	at, n := len(s.block), len(r.run)
	full := at == cap(s.block)
	if n > 0 && (full || &r.run[n-1] != &s.block[at-1]) {
		return false
	}
	if full {
		s.block, at = make([]bioassay.Container, 0, storeBlock), 0
	}
	s.block = append(s.block, c)
	r.run = s.block[at-n : at+1]
	return true
}

// containers returns all rows of an assay.
func (r *rows) containers() []bioassay.Container {
	if r.own != nil {
		return r.own[:len(r.own):len(r.own)]
	}
	return r.run[:len(r.run):len(r.run)]
}

package atlas

import (
	"vialwise/bioassay"
	"vialwise/bioassay/geo"
)

// Exact holds the places of single apiaries. It is not for sharing.
type Exact struct{ Apiaries []ExactApiary }

// ExactApiary is one apiary at its place.
type ExactApiary struct {
	Code  string
	Place geo.Point
}

// NewExact returns the apiaries that have a place, in their order.
func NewExact(apiaries []bioassay.Apiary) *Exact {
	e := new(Exact)
	for _, a := range apiaries {
		if a.Located() {
			e.Apiaries = append(e.Apiaries, ExactApiary{a.Code, place(a)})
		}
	}
	return e
}

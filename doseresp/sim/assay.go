package sim

import (
	"slices"

	"vialwise/doseresp"
)

// Assay draws one assay: the containers of the doses in their order, then the
// controls.
func Assay(truth Truth, design Design, source *Source) []doseresp.Container {
	return Append(nil, truth, design, source)
}

// Append appends what Assay draws to dst and returns the extended slice. It
// allocates only where dst is too small, so a study can pass dst[:0] again and
// again. It panics if the truth is impossible or a dose or number negative.
func Append(dst []doseresp.Container, truth Truth, design Design, source *Source) []doseresp.Container {
	dst = slices.Grow(dst, design.Containers())
	for _, dose := range design.Doses {
		dst = appendDose(dst, truth, dose, design.Replicates, design.Exposed, source)
	}
	return appendDose(dst, truth, 0, design.Controls, design.ControlExposed, source)
}

// appendDose fills the containers of one dose, which share their mortality.
func appendDose(dst []doseresp.Container, truth Truth, dose float64, containers, exposed int, source *Source) []doseresp.Container {
	p := truth.Mortality(dose)
	for range containers {
		dead := source.BetaBinomial(exposed, p, truth.Rho)
		dst = append(dst, doseresp.Container{Dose: dose, Exposed: exposed, Dead: dead})
	}
	return dst
}

package doseresp

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Container is the count of one vial, jar, capsule or dish, the unit of
// replication.
type Container struct {
	Dose    float64 // concentration; 0 is an untreated or solvent control
	Exposed int     // individuals at risk
	Dead    int     // of these, dead at the reading
}

// Errors of a container that cannot be a count. A *CountError wraps one.
var (
	ErrDose   = errors.New("dose must be a finite number, zero or more")
	ErrCounts = errors.New("counts must satisfy 0 <= dead <= exposed")
)

// CountError says which container is unusable and why.
type CountError struct {
	Index     int // position in the slice that was passed
	Container Container
	Err       error
}

func (e *CountError) Error() string {
	return fmt.Sprintf("container %d (dose %g, exposed %d, dead %d): %v",
		e.Index+1, e.Container.Dose, e.Container.Exposed, e.Container.Dead, e.Err)
}

// Unwrap returns ErrDose or ErrCounts.
func (e *CountError) Unwrap() error { return e.Err }

func checkContainers(containers []Container) error {
	for i, c := range containers {
		switch {
		case !(c.Dose >= 0) || math.IsInf(c.Dose, 1):
			return &CountError{i, c, ErrDose}
		case c.Dead < 0 || c.Dead > c.Exposed:
			return &CountError{i, c, ErrCounts}
		}
	}
	return nil
}

// group is the sufficient statistic of all containers at one dose: for a
// binomial likelihood their total counts. Dead is fractional after the
// classical correction for natural mortality.
type group struct {
	dose    float64
	x       float64 // log10 dose, -Inf for the control
	u       float64 // x centred and scaled
	exposed float64
	dead    float64
}

func (g group) survivors() float64 { return g.exposed - g.dead }

// rate is the proportion dead.
func (g group) rate() float64 { return g.dead / g.exposed }

// design is an assay sorted and summed by dose, as the fit walks through it.
type design struct {
	control group       // exposed is 0 where there is none or the model drops it
	treated []group     // by rising dose, all with exposed > 0
	sorted  []Container // those with individuals, controls first, by rising dose

	centre, scale float64 // u = (x - centre)/scale
	containers    int     // treated, with individuals
	controls      int     // untreated, with individuals
}

// summarise fills the design from checked containers, reusing its memory.
func (d *design) summarise(containers []Container) {
	d.sorted = d.sorted[:0]
	d.treated = d.treated[:0]
	d.control = group{x: math.Inf(-1)}
	d.containers, d.controls = 0, 0
	for _, c := range containers {
		if c.Exposed > 0 {
			d.sorted = append(d.sorted, c)
		}
	}
	// The full order makes every sum independent of the order of the input.
	if !slices.IsSortedFunc(d.sorted, compareContainers) {
		slices.SortFunc(d.sorted, compareContainers)
	}
	for _, c := range d.sorted {
		if c.Dose == 0 {
			d.controls++
			d.control.add(c)
			continue
		}
		d.containers++
		if n := len(d.treated); n == 0 || d.treated[n-1].dose != c.Dose {
			d.treated = append(d.treated, group{dose: c.Dose, x: math.Log10(c.Dose)})
		}
		d.treated[len(d.treated)-1].add(c)
	}
	d.standardise()
}

func compareContainers(a, b Container) int {
	switch {
	case a.Dose != b.Dose:
		return cmp.Compare(a.Dose, b.Dose)
	case a.Exposed != b.Exposed:
		return a.Exposed - b.Exposed
	}
	return a.Dead - b.Dead
}

func (g *group) add(c Container) {
	g.exposed += float64(c.Exposed)
	g.dead += float64(c.Dead)
}

// treatedContainers are the sorted containers without the controls.
func (d *design) treatedContainers() []Container { return d.sorted[d.controls:] }

// eachCount visits every treated container by rising dose: the number of its
// group, and its exposed and dead as the fit counts them, the dead corrected
// where Abbott's formula was applied.
func (d *design) eachCount(n NaturalResult, visit func(group int, exposed, dead float64)) {
	i := 0
	for _, k := range d.treatedContainers() {
		for d.treated[i].dose != k.Dose {
			i++
		}
		dead := float64(k.Dead)
		if n.Mode == AbbottCorrection {
			dead = correctedDead(k, n.Estimate)
		}
		visit(i, float64(k.Exposed), dead)
	}
}

// standardise centres and scales log dose by its mean and standard deviation
// over the different doses, so that the ascent does not depend on their unit
// and no dose, however far off and however little tested, has a huge u.
func (d *design) standardise() {
	n := float64(len(d.treated))
	var sum, square float64
	for _, g := range d.treated {
		sum += g.x
	}
	d.centre, d.scale = 0, 1
	if n > 0 {
		d.centre = sum / n
	}
	for _, g := range d.treated {
		square += (g.x - d.centre) * (g.x - d.centre)
	}
	if square > 0 {
		d.scale = math.Sqrt(square / n)
	}
	for i := range d.treated {
		d.treated[i].u = (d.treated[i].x - d.centre) / d.scale
	}
}

// totals returns the exposed and dead of all treated groups.
func (d *design) totals() (exposed, dead float64) {
	for _, g := range d.treated {
		exposed += g.exposed
		dead += g.dead
	}
	return exposed, dead
}

package bioassay

import "fmt"

// Container is the count of one vial, jar, capsule or dish, the unit of
// replication, as it was entered.
type Container struct {
	Label             string  // as written on the container; blank when unlabelled
	Concentration     float64 // in the unit of the assay; 0 is an untreated or solvent control
	ConcentrationText string  // the concentration as entered; blank when it was computed
	Exposed           int     // mites put in
	Dead              int     // of these, dead at the reading
	Moribund          int     // of these, neither dead nor walking, not counted in Dead
	Missing           int     // of these, not found at the reading
	MiteSource        string  // where the mites came from, such as brood or adult bees
	CappedBrood       Answer  // whether the colony had capped brood when sampled
	TestedBlind       Answer  // whether the reader did not know the concentration
	Note              string
	Extra             []Field // filled cells of unknown columns, by rising name
	Source            Origin
}

// IsControl reports whether the container holds untreated mites.
func (c Container) IsControl() bool { return c.Concentration == 0 }

// AtRisk is the number of mites that were found again and so inform the fit:
// a missing mite is neither alive nor dead.
func (c Container) AtRisk() int { return c.Exposed - c.Missing }

// Field is a cell of a column this program does not know, kept as entered.
type Field struct {
	Name, Value string
}

// Origin is where a value was read. The zero Origin means that it was not read
// from a file.
type Origin struct {
	File string
	Line int // 1 is the first line of the file
}

// String returns file and line as far as they are known, "counts.csv:7".
func (o Origin) String() string {
	if o.File != "" && o.Line > 0 {
		return fmt.Sprintf("%s:%d", o.File, o.Line)
	}
	return o.File
}

// Answer is a yes, a no, or no answer at all.
type Answer int8

// The answers. A question nobody answered is Unanswered, which is not a no.
const (
	Unanswered Answer = iota
	No
	Yes
)

// String returns "yes", "no", or nothing for a question left open.
func (a Answer) String() string {
	switch a {
	case Yes:
		return "yes"
	case No:
		return "no"
	}
	return ""
}

// Optional is a number that may be absent, which is not the same as zero.
type Optional struct {
	Value float64
	Known bool
}

// Known returns an Optional that is present.
func Known(v float64) Optional { return Optional{Value: v, Known: true} }

// Moribund is the rule for mites that are neither dead nor walking.
type Moribund uint8

// The rules. Moribund mites count as dead unless told otherwise.
const (
	MoribundDead Moribund = iota
	MoribundAlive
)

// AsDead reports whether the rule counts moribund mites as dead.
func (m Moribund) AsDead() bool { return m == MoribundDead }

// String says the rule in the words of a table footnote.
func (m Moribund) String() string {
	if m == MoribundAlive {
		return "moribund counted as alive"
	}
	return "moribund counted as dead"
}

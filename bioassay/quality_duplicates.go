package bioassay

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
)

// Duplicates finds assays that were entered twice, as they come in one by one.
// It remembers little of each, so that whole registries can pass through. The
// zero value is ready.
type Duplicates struct {
	named   map[string]*known
	counted map[string]*known
}

// known is what is remembered of an assay.
type known struct {
	name   string
	counts string
	at     Origin
}

// enoughPartials is the number of containers with both dead and living from
// which equal counts are no chance: all dead or none dead is common, and two
// small assays of that kind may be alike (common practice).
const enoughPartials = 3

// Add returns the findings on an assay in the light of those added before it:
// the same name again, or the same counts in every container.
func (d *Duplicates) Add(a Assay) []Finding {
	if d.named == nil {
		d.named, d.counted = map[string]*known{}, map[string]*known{}
	}
	k := &known{name: a.Name, counts: countKey(a)}
	if len(a.Containers) > 0 {
		k.at = a.Containers[0].Source
	}
	found := func(severity Severity, code WarningCode, cure, format string, args ...any) []Finding {
		return []Finding{{Severity: severity, Warning: Warning{Code: code, Message: fmt.Sprintf(format, args...), Cure: cure, Origin: k.at}}}
	}
	var out []Finding
	namesake, twin := d.named[k.name], d.counted[k.counts]
	switch {
	case namesake != nil && namesake.counts == k.counts:
		out = found(Discard, CountedTwice, "give the file only once, or delete one of the two",
			"assay %q is also in %s, with the same counts in all %s: it would count twice", k.name, namesake.place(), Plural(len(a.Containers), "container"))
	case namesake != nil:
		out = found(Doubt, SameName, "give one of them another name, or put all rows of the assay into one file",
			"another assay named %q is in %s, with other counts", k.name, namesake.place())
	case twin != nil && distinctive(a):
		out = found(Doubt, SameCounts, "look at the bench sheets; delete one of the two if it was entered twice under another name",
			"all %s have the same concentrations and counts as those of assay %q in %s", Plural(len(a.Containers), "container"), twin.name, twin.place())
	}
	if namesake == nil {
		d.named[k.name] = k
	}
	if twin == nil {
		d.counted[k.counts] = k
	}
	return out
}

func (k *known) place() string {
	if k.at.File == "" {
		return "the data before it"
	}
	return fmt.Sprintf("%s:%d", k.at.File, k.at.Line)
}

// distinctive reports whether the counts of an assay hardly arise twice.
func distinctive(a Assay) bool {
	partial := 0
	for _, c := range a.Containers {
		if dead := c.Dead + c.Moribund; dead > 0 && dead < c.AtRisk() {
			partial++
		}
	}
	return partial >= enoughPartials
}

// countKey is the same for two assays with the same counts, in whatever order
// of their containers.
func countKey(a Assay) string {
	rows := slices.Clone(a.Containers)
	slices.SortFunc(rows, func(x, y Container) int {
		return cmp.Or(cmp.Compare(x.Concentration, y.Concentration), cmp.Compare(x.Exposed, y.Exposed),
			cmp.Compare(x.Dead, y.Dead), cmp.Compare(x.Moribund, y.Moribund), cmp.Compare(x.Missing, y.Missing))
	})
	key := make([]byte, 0, 16*len(rows))
	for _, c := range rows {
		key = binary.BigEndian.AppendUint64(key, math.Float64bits(c.Concentration))
		for _, n := range []int{c.Exposed, c.Dead, c.Moribund, c.Missing} {
			key = binary.AppendVarint(key, int64(n))
		}
	}
	sum := sha256.Sum256(key)
	return string(sum[:])
}

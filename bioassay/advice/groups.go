package advice

import (
	_ "embed" // the data of the groups
	"slices"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"
)

//go:embed groups.toml
var groupsTOML string

// Group is a group of actives with one mode of action.
type Group struct {
	Code      string // by the classification; blank where it gives none
	Mechanism string
	Synthetic bool
	Actives   []string // common names, by rising name
}

// Cross is a known cross-resistance between actives.
type Cross struct {
	Actives []string
	Fold    string
	Source  string
}

// groupData is the file groups.toml.
type groupData struct {
	Source   string
	Expected struct {
		Source           string
		Synthetic, Other float64
	}
	Group        []Group
	Unclassified []struct{ Actives []string }
	Cross        []Cross           `toml:"cross_resistance"`
	Same         map[string]string // other spelling to common name

	of map[string]Group // by common name
}

var loadGroups = sync.OnceValue(func() *groupData {
	d := &groupData{of: map[string]Group{}}
	if _, err := toml.Decode(groupsTOML, d); err != nil {
		panic("advice: groups.toml: " + err.Error())
	}
	for _, u := range d.Unclassified {
		for _, a := range u.Actives {
			d.Group = append(d.Group, Group{Actives: []string{a}})
		}
	}
	for _, g := range d.Group {
		for _, a := range g.Actives {
			d.of[a] = g
		}
	}
	return d
})

// Groups returns the groups, those of one unclassified active at the end.
func Groups() []Group { return slices.Clone(loadGroups().Group) }

// GroupSource is the source of the groups.
func GroupSource() string { return loadGroups().Source }

// CrossResistance returns the known cases of cross-resistance.
func CrossResistance() []Cross { return slices.Clone(loadGroups().Cross) }

// Common returns the common name of an active: in small letters, other
// spellings replaced. An active that the program does not know keeps its name.
func Common(active string) string {
	d := loadGroups()
	name := strings.Join(strings.Fields(strings.ToLower(strings.ReplaceAll(active, "_", " "))), " ")
	if same, ok := d.Same[name]; ok {
		return same
	}
	if spaced := strings.ReplaceAll(name, "-", " "); len(d.of[spaced].Actives) > 0 {
		return spaced
	}
	return name
}

// GroupOf returns the group of an active, false when the program does not know
// it.
func GroupOf(active string) (Group, bool) {
	g, ok := loadGroups().of[Common(active)]
	return g, ok
}

// Related reports whether two actives are the same, of one group, or known for
// cross-resistance, so that changing from one to the other is no rotation.
func Related(a, b string) bool {
	a, b = Common(a), Common(b)
	if a == b {
		return true
	}
	if g, ok := GroupOf(a); ok && slices.Contains(g.Actives, b) {
		return true
	}
	return slices.ContainsFunc(loadGroups().Cross, func(c Cross) bool {
		return slices.Contains(c.Actives, a) && slices.Contains(c.Actives, b)
	})
}

// expectedEfficacy is the efficacy in colonies, in percent, that a treatment
// should reach: at least 95 for a synthetic active, at least 90 for others
// (COLOSS BEEBOOK, varroa chapter, 4.5.4, citing EMA). An unknown active is held
// to the lower of the two.
func expectedEfficacy(active string) float64 {
	d := loadGroups()
	if g, ok := GroupOf(active); ok && g.Synthetic {
		return d.Expected.Synthetic
	}
	return d.Expected.Other
}

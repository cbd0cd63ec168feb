package registry

import (
	"cmp"
	"fmt"

	"vialwise/bioassay"
)

// Conflict is a field in which an import differs from the record.
type Conflict struct {
	Kind         Subject
	Name         string // of the assay, or code of the apiary
	Container    string // label or place of the container; blank for a field of the whole
	Field        string // name of the column; "container" for one that stands on one side only
	Old, New     string // as registered and as imported, blank for nothing
	OldAt, NewAt bioassay.Origin
}

// String returns one line with both sides.
func (c Conflict) String() string {
	what := fmt.Sprintf("%s %q", c.Kind, c.Name)
	if c.Container != "" {
		what += ", container " + shown(c.Container)
	}
	side := func(text string, at bioassay.Origin) string {
		text = shown(cmp.Or(text, "nothing"))
		if at == (bioassay.Origin{}) {
			return text
		}
		return fmt.Sprintf("%s (%s:%d)", text, shown(at.File), at.Line)
	}
	return fmt.Sprintf("%s: %s was %s, is now %s", what, c.Field, side(c.Old, c.OldAt), side(c.New, c.NewAt))
}

// diffFields compares two versions field by field.
func diffFields[T any](fields []field[T], old, new *T, frame Conflict) []Conflict {
	var found []Conflict
	for _, f := range fields {
		if c := frame; f.text(old) != f.text(new) {
			c.Field, c.Old, c.New = f.name, f.text(old), f.text(new)
			found = append(found, c)
		}
	}
	return found
}

func diffApiaries(old, new *bioassay.Apiary) []Conflict {
	return diffFields(apiaryFields, old, new, Conflict{Kind: OfApiary, Name: new.Code, OldAt: old.Source, NewAt: new.Source})
}

// diffAssays compares two versions of an assay. Versions whose content hashes
// differ always have a conflict.
func diffAssays(old, new *bioassay.Assay) []Conflict {
	frame := Conflict{Kind: OfAssay, Name: new.Name}
	atHead := frame
	atHead.OldAt, atHead.NewAt = assayOrigin(old), assayOrigin(new)
	found := diffFields(assayFields, old, new, atHead)
	for _, p := range pairs(old.Containers, new.Containers) {
		found = append(found, p.conflicts(old.Containers, new.Containers, frame)...)
	}
	return found
}

// pair holds the places of a container in the two versions, -1 for none.
type pair struct{ old, new int }

func (p pair) conflicts(old, new []bioassay.Container, frame Conflict) []Conflict {
	frame.Field = "container"
	switch {
	case p.old < 0:
		c := &new[p.new]
		frame.Container, frame.New, frame.NewAt = place(c, p.new), summary(c), c.Source
	case p.new < 0:
		c := &old[p.old]
		frame.Container, frame.Old, frame.OldAt = place(c, p.old), summary(c), c.Source
	default:
		a, b := &old[p.old], &new[p.new]
		frame.Container, frame.OldAt, frame.NewAt = place(a, p.old), a.Source, b.Source
		return diffFields(containerFields, a, b, frame)
	}
	return []Conflict{frame}
}

// place names a container by its label, or by its place in the assay.
func place(c *bioassay.Container, i int) string {
	return cmp.Or(c.Label, fmt.Sprintf("no. %d", i+1))
}

// pairs matches the containers of two versions: equal ones first, which are
// left out, then by label, then by concentration, each in order. The rest have
// no partner.
func pairs(old, new []bioassay.Container) []pair {
	partner := make([]int, len(old)) // in new, 1 higher; 0 for none yet
	taken := make([]bool, len(new))
	match := func(key func(*bioassay.Container) string) {
		free := map[string][]int{}
		for j := range new {
			if k := key(&new[j]); !taken[j] && k != "" {
				free[k] = append(free[k], j)
			}
		}
		for i := range old {
			if k := key(&old[i]); partner[i] == 0 && len(free[k]) > 0 {
				partner[i], taken[free[k][0]] = free[k][0]+1, true
				free[k] = free[k][1:]
			}
		}
	}
	match(func(c *bioassay.Container) string { return string(containerContent(nil, c)) })
	equal := make([]bool, len(old))
	for i := range old {
		equal[i] = partner[i] > 0
	}
	match(func(c *bioassay.Container) string { return c.Label })
	match(func(c *bioassay.Container) string { return string(tuple(nil).float(c.Concentration)) })
	var list []pair
	for i := range old {
		if !equal[i] {
			list = append(list, pair{i, partner[i] - 1})
		}
	}
	for j := range new {
		if !taken[j] {
			list = append(list, pair{-1, j})
		}
	}
	return list
}

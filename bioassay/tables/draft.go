package tables

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
)

// groupWords are the words that name a count within the header of a replicate,
// in English and Spanish (common practice).
var groupWords = map[string]int{
	"exposed": colExposed, "exp": colExposed, "n": colExposed, "total": colExposed, "tested": colExposed, "expuestos": colExposed, "expuestas": colExposed,
	"dead": colDead, "d": colDead, "killed": colDead, "died": colDead, "muertos": colDead, "muertas": colDead,
	"moribund": colMoribund, "moribundos": colMoribund, "moribundas": colMoribund,
	"missing": colMissing, "lost": colMissing, "perdidos": colMissing, "perdidas": colMissing,
}

// DraftMapping drafts the mapping of a wide sheet from its header, by pairing
// the columns that have the same mark of a replicate: R1 exposed with R1 dead,
// n2 with d2. What it does not understand it leaves out, and the file's name
// stands in for an assay that no column names. A person has to check it.
func DraftMapping(header []string, file string) (Mapping, error) {
	m := Mapping{Columns: map[string]string{}, Fixed: map[string]string{}}
	d := draft{m: &m, at: map[string]int{}}
	for _, name := range header {
		if name = trim(name); name != "" {
			d.add(name)
		}
	}
	d.finish(file)
	if e := m.check(); e != nil {
		remedy := "name the columns of a replicate alike, such as R1 exposed and R1 dead, or write the mapping by hand"
		if namesAlive(header) {
			remedy = exposedMustBeGiven + ": add such a column for each replicate, named like R1 exposed"
		}
		return Mapping{}, Errors{{File: file, Line: 1, Code: BadMapping,
			Message: "no mapping can be drafted from the header, " + nameList(header) + ": " + e.Message, Remedy: remedy}}
	}
	return m, nil
}

// draft is a mapping in the making.
type draft struct {
	m      *Mapping
	at     map[string]int // of each mark, its replicate
	common string         // column of exposed without a mark
	single []string       // columns that are no more than a mark
}

// add takes a column into the mapping.
func (d *draft) add(name string) {
	mark, columns := marked(name)
	if len(columns) == 0 || mark == "" {
		d.addShared(name, mark)
		return
	}
	i, ok := d.at[mark]
	if !ok {
		i = len(d.m.Replicates)
		d.at[mark] = i
		d.m.Replicates = append(d.m.Replicates, Replicate{Container: mark})
	}
	r := &d.m.Replicates[i]
	switch {
	case slices.Equal(columns, []int{colDead, colExposed}):
		r.Counts, d.m.Cell = name, deadFirst
	case slices.Equal(columns, []int{colExposed, colDead}):
		r.Counts, d.m.Cell = name, exposedFirst
	default:
		r.set(columns[0], name)
	}
}

// set names the column of a count.
func (r *Replicate) set(column int, name string) {
	switch column {
	case colExposed:
		r.Exposed = name
	case colDead:
		r.Dead = name
	case colMoribund:
		r.Moribund = name
	case colMissing:
		r.Missing = name
	}
}

// addShared takes a column that is not one of a replicate.
func (d *draft) addShared(name, mark string) {
	r := countLayout.resolve(name)
	if r.known < 0 {
		if _, columns := marked(name); len(columns) == 1 && columns[0] == colExposed {
			d.common = name
		} else if numbered(mark) {
			d.single = append(d.single, name)
		}
		return
	}
	switch known := countNames[r.known]; {
	case r.known == colExposed:
		d.common = name
	case r.known == colDead || r.known == colMoribund || r.known == colMissing || r.known == colContainer || d.m.Columns[known] != "":
	default:
		d.m.Columns[known] = name
		if r.unit != "" {
			d.m.Fixed["unit"] = r.unit
		}
	}
}

// finish fills in what single columns do not tell.
func (d *draft) finish(file string) {
	if len(d.m.Replicates) == 0 && len(d.single) > 1 {
		d.m.Cell = deadFirst
		for _, name := range d.single {
			d.m.Replicates = append(d.m.Replicates, Replicate{Container: name, Counts: name})
		}
	}
	for i := range d.m.Replicates {
		if r := &d.m.Replicates[i]; r.Exposed == "" && r.Counts == "" {
			r.Exposed = d.common
		}
	}
	if d.m.Columns["unit"] != "" {
		delete(d.m.Fixed, "unit")
	}
	if d.m.Columns["assay"] == "" {
		base := filepath.Base(file)
		d.m.Fixed["assay"] = strings.TrimSuffix(base, filepath.Ext(base))
	}
}

// marked splits the name of a column into the mark of a replicate and the
// counts that it names, in their order.
func marked(name string) (mark string, columns []int) {
	var rest []string
	for _, word := range words(name) {
		if column, ok := groupWords[keyOf(word)]; ok && !slices.Contains(columns, column) {
			columns = append(columns, column)
			continue
		}
		rest = append(rest, word)
	}
	return strings.Join(rest, ""), columns
}

// words splits a name at every sign, and between letters and digits.
func words(name string) []string {
	var list []string
	last := ' '
	for _, r := range name {
		sort := func(r rune) int { return map[bool]int{unicode.IsLetter(r): 1, unicode.IsDigit(r): 2}[true] }
		switch {
		case sort(r) == 0:
		case sort(r) == sort(last):
			list[len(list)-1] += string(r)
		default:
			list = append(list, string(r))
		}
		last = r
	}
	return list
}

// numbered reports whether a mark is a short word and a number, such as R1.
func numbered(mark string) bool {
	parts := words(mark)
	return len(mark) <= 12 && (len(parts) == 2 || len(parts) == 1) && digitsOnly(parts[len(parts)-1])
}

// quotedCounts is for messages about a cell with two counts.
func quotedCounts(order string) string {
	return fmt.Sprintf("two counts, %s, such as %s", order, map[string]string{deadFirst: "12/15", exposedFirst: "15/12"}[order])
}

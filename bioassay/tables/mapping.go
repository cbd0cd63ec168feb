package tables

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
)

// Mapping says how a wide bench sheet, one row for each dose and a group of
// columns for each replicate, becomes a count table, one row for each container.
// It is kept in a small TOML file, which [DraftMapping] writes and a person
// checks.
type Mapping struct {
	// Sheet is the sheet of a workbook. Blank is every sheet that has the
	// columns.
	Sheet string `toml:"sheet"`
	// Cell is what one cell of a replicate holds: blank for one count, or
	// "dead/exposed" or "exposed/dead" for two, such as 12/15.
	Cell string `toml:"cell"`
	// Fixed are values for the whole sheet, by column of the count table.
	Fixed map[string]string `toml:"fixed"`
	// Columns are columns of the sheet that hold for all containers of a row,
	// by column of the count table.
	Columns map[string]string `toml:"columns"`
	// Replicates are the containers of a row.
	Replicates []Replicate `toml:"replicate"`
}

// Replicate names the columns of a sheet that hold the counts of one container.
type Replicate struct {
	Container string `toml:"container"` // label of the container, not a column
	Exposed   string `toml:"exposed"`
	Dead      string `toml:"dead"`
	Moribund  string `toml:"moribund"`
	Missing   string `toml:"missing"`
	Counts    string `toml:"counts"` // instead of exposed and dead, where a cell holds both
}

// The orders of two counts in one cell.
const (
	deadFirst    = "dead/exposed"
	exposedFirst = "exposed/dead"
)

// BadMapping is the code of errors of a mapping, or of a sheet that it does not
// fit.
const BadMapping Code = "bad-mapping"

// ReadMappingFile reads the mapping in a file. See [ReadMapping].
func ReadMappingFile(path string) (Mapping, error) {
	f, err := os.Open(path)
	if err != nil {
		return Mapping{}, fmt.Errorf("mapping: %w", err)
	}
	defer f.Close()
	return ReadMapping(path, f)
}

const maxMappingBytes = 1 << 20

// ReadMapping reads a mapping from TOML. A key that it does not know is an
// error, as is a mapping that fits no sheet; both have their line.
func ReadMapping(name string, r io.Reader) (Mapping, error) {
	var m Mapping
	text, err := io.ReadAll(io.LimitReader(r, maxMappingBytes+1))
	switch {
	case err != nil:
		return m, fmt.Errorf("%s: cannot be read: %w", shownFile(name), err)
	case len(text) > maxMappingBytes:
		return m, mappingError(name, 0, fmt.Sprintf("the mapping is longer than %d KiB", maxMappingBytes>>10), "give the TOML file of the mapping")
	}
	meta, err := toml.Decode(string(text), &m)
	var syntax toml.ParseError
	switch {
	case errors.As(err, &syntax):
		return Mapping{}, mappingError(name, syntax.Position.Line, "the mapping is not valid: "+bareOr(syntax.Message), "correct the line")
	case err != nil:
		line := 0 // a value of another type, whose line stands in the text alone
		fmt.Sscanf(err.Error(), "toml: line %d", &line)
		return Mapping{}, mappingError(name, line, "the mapping is not valid: a value is not of the type that its key takes", "put texts between quotation marks")
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		return Mapping{}, mappingError(name, keyLine(text, unknown[0]), fmt.Sprintf("the key %s is not known", quoted(unknown[0].String())),
			"delete it; the keys are sheet, cell, [fixed], [columns] and, in each [[replicate]], container, exposed, dead, moribund, missing, counts")
	}
	if e := m.check(); e != nil {
		e.File, e.Line = name, keyLine(text, strings.Split(e.Name, "."))
		e.Name = ""
		return Mapping{}, Errors{e}
	}
	return m, nil
}

func mappingError(name string, line int, message, remedy string) error {
	return Errors{{File: name, Line: line, Code: BadMapping, Message: message, Remedy: remedy}}
}

// keyLine finds the line of a key, 0 if it is not found.
func keyLine(text []byte, key []string) int {
	table := ""
	for i, line := range bytes.Split(text, []byte("\n")) {
		s := strings.TrimSpace(string(line))
		if strings.HasPrefix(s, "[") {
			table = strings.Trim(strings.TrimSpace(strings.SplitN(s, "#", 2)[0]), "[] ")
			if table == strings.Join(key, ".") {
				return i + 1
			}
			continue
		}
		name, _, ok := strings.Cut(s, "=")
		name = strings.Trim(strings.TrimSpace(name), `"'`)
		if ok && strings.TrimPrefix(table+"."+name, ".") == strings.Join(key, ".") {
			return i + 1
		}
	}
	return 0
}

// check refuses a mapping that contradicts itself. The name of the error is
// the key that it is about.
func (m Mapping) check() *Error {
	bad := func(key, format string, arguments ...any) *Error {
		return &Error{Name: key, Code: BadMapping, Message: fmt.Sprintf(format, arguments...), Remedy: "correct the mapping, or draft it anew"}
	}
	if m.Cell != "" && m.Cell != deadFirst && m.Cell != exposedFirst {
		return bad("cell", "a cell holds %s; it can hold %s or %s", quoted(m.Cell), quoted(deadFirst), quoted(exposedFirst))
	}
	for table, entries := range map[string]map[string]string{"columns": m.Columns, "fixed": m.Fixed} {
		for _, key := range slices.Sorted(maps.Keys(entries)) {
			switch at := slices.Index(countNames, key); {
			case at < 0:
				return bad(table+"."+key, "there is no column %s in a count table", quoted(key))
			case trim(entries[key]) == "":
				return bad(table+"."+key, "no value is given for %s", key)
			case at == colDead || at == colMoribund || at == colMissing || table == "columns" && (at == colExposed || at == colContainer):
				return bad(table+"."+key, "%s differs between replicates", key)
			}
		}
	}
	for _, key := range slices.Sorted(maps.Keys(m.Columns)) {
		if m.Fixed[key] != "" {
			return bad("fixed."+key, "%s is fixed and has a column too", key)
		}
	}
	for _, key := range []string{"assay", "concentration"} {
		if m.Columns[key] == "" && m.Fixed[key] == "" {
			return bad("columns", "neither a column nor a fixed value is given for %s", key)
		}
	}
	if len(m.Replicates) == 0 {
		return bad("replicate", "there is no replicate")
	}
	for i, r := range m.Replicates {
		if what := m.replicateFault(r); what != "" {
			return bad("replicate", "replicate %d %s", i+1, what)
		}
	}
	return nil
}

// replicateFault says what is wrong with a replicate; blank when nothing is.
func (m Mapping) replicateFault(r Replicate) string {
	both := r.Counts != ""
	switch {
	case both && m.Cell == "":
		return `has both counts in one cell; say which comes first with cell = "` + deadFirst + `" or cell = "` + exposedFirst + `"`
	case both && (r.Exposed != "" || r.Dead != ""):
		return "has counts as well as exposed or dead"
	case !both && r.Dead == "":
		return "has no column for dead"
	case !both && r.Exposed == "" && m.Fixed["exposed"] == "":
		return "has no column for exposed, and none is fixed"
	}
	return ""
}

// Text returns the mapping as TOML, with remarks for the person who checks it.
// The file is the one that it was drafted for, blank when it was not.
func (m Mapping) Text(file string) []byte {
	var b bytes.Buffer
	if file != "" {
		fmt.Fprintf(&b, "# Drafted from the header of %s. Check every line, above all which\n# columns are exposed and which are dead.\n\n", shownFile(file))
	}
	if m.Sheet != "" {
		fmt.Fprintf(&b, "sheet = %s\n", tomlText(m.Sheet))
	}
	if m.Cell != "" {
		fmt.Fprintf(&b, "# Two counts stand in one cell, in this order.\ncell = %s\n", tomlText(m.Cell))
	}
	writeEntries(&b, "fixed", "The same for the whole sheet.", m.Fixed)
	writeEntries(&b, "columns", "Columns of the sheet that hold for every replicate of a row.", m.Columns)
	for _, r := range m.Replicates {
		b.WriteString("\n[[replicate]]\n")
		for _, entry := range []struct{ key, value string }{{"container", r.Container}, {"exposed", r.Exposed}, {"dead", r.Dead},
			{"moribund", r.Moribund}, {"missing", r.Missing}, {"counts", r.Counts}} {
			if entry.value != "" {
				fmt.Fprintf(&b, "%s = %s\n", entry.key, tomlText(entry.value))
			}
		}
	}
	return bytes.TrimPrefix(b.Bytes(), []byte("\n"))
}

// writeEntries writes a table in the order of the columns of a count table.
func writeEntries(b *bytes.Buffer, table, remark string, entries map[string]string) {
	if len(entries) == 0 {
		return
	}
	fmt.Fprintf(b, "\n# %s\n[%s]\n", remark, table)
	for _, name := range countNames {
		if value := entries[name]; value != "" {
			fmt.Fprintf(b, "%s = %s\n", name, tomlText(value))
		}
	}
}

// tomlText returns a basic string of TOML.
func tomlText(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7F:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
